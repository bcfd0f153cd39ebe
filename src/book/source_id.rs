//! The id of an error source, the same in its own book and in others.

use std::fmt;

/// An error source by what it is, not by its place: a reading by notebook, block, key and written value, a bias by
/// its instrument and calibration: `days/2026-04-11#sag rear/aboard=507 mm`. Ordered as text.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub struct SourceId {
    text: String,
    /// Where the notebook's name ends; `None` for a source that is the same in every notebook.
    notebook: Option<usize>,
    /// Where the written value begins, with its `=`; the text's end where there is none.
    written: usize,
}

impl SourceId {
    /// For an assumption, an instrument or a model, which belong to no notebook.
    pub fn everywhere(what: impl Into<String>) -> Self {
        let text = what.into();
        Self { notebook: None, written: text.len(), text }
    }

    /// For a notebook, by its path.
    pub fn of_notebook(path: &str, what: &str) -> Self {
        let stem = path.strip_suffix(".md").unwrap_or(path);
        let text = format!("{stem}#{what}");
        Self { notebook: Some(stem.len()), written: text.len(), text }
    }

    /// The same with its written value.
    #[must_use]
    pub fn written(mut self, written: &str) -> Self {
        self.text.push('=');
        self.text.push_str(written);
        self
    }

    /// The same as the `count`th of several that are written alike, from 1.
    #[must_use]
    pub fn of_equals(mut self, count: usize) -> Self {
        if count > 1 {
            self.text.push_str(&format!("#{count}"));
        }
        self
    }

    /// For something assumed about this source.
    #[must_use]
    pub fn assumed(&self, what: &str) -> Self {
        let what = format!("{what}, ");
        let at = self.notebook.map_or(0, |end| end + 1);
        let mut text = self.text.clone();
        text.insert_str(at, &what);
        Self { text, notebook: self.notebook, written: self.written + what.len() }
    }

    /// Whether it is still empty, to be worked out later.
    pub fn is_open(&self) -> bool {
        self.text.is_empty()
    }

    pub fn as_str(&self) -> &str {
        &self.text
    }

    /// Without the written value.
    pub fn without_words(&self) -> &str {
        self.text.get(..self.written).unwrap_or(&self.text)
    }

    /// Its notebook, without the ending.
    pub fn notebook(&self) -> Option<&str> {
        self.text.get(..self.notebook?)
    }

    /// The same with another name for its notebook, given without the ending.
    #[must_use]
    pub fn with_notebook(&self, other: &str) -> Self {
        let Some(rest) = self.notebook.and_then(|end| self.text.get(end..)) else { return self.clone() };
        let written = self.written + other.len() - (self.text.len() - rest.len());
        Self { text: format!("{other}{rest}"), notebook: Some(other.len()), written }
    }
}

impl fmt::Display for SourceId {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(&self.text)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn its_parts_are_told_apart_whatever_stands_in_them() {
        let id = SourceId::of_notebook("days/a=b.md", "sag rear/aboard").written("507 mm").of_equals(2);
        assert_eq!(id.as_str(), "days/a=b#sag rear/aboard=507 mm#2");
        assert_eq!(id.without_words(), "days/a=b#sag rear/aboard");
        assert_eq!(id.notebook(), Some("days/a=b"));
        let there = id.with_notebook("d/c");
        assert_eq!((there.as_str(), there.notebook()), ("d/c#sag rear/aboard=507 mm#2", Some("d/c")));
        assert_eq!(there.without_words(), "d/c#sag rear/aboard");
        let legs = there.assumed("legs");
        assert_eq!(legs.as_str(), "d/c#legs, sag rear/aboard=507 mm#2");
        assert_eq!(legs.without_words(), "d/c#legs, sag rear/aboard");
        let model = SourceId::everywhere("model/gas");
        assert_eq!((model.without_words(), model.notebook()), ("model/gas", None));
        assert_eq!(model.with_notebook("x"), model);
    }
}

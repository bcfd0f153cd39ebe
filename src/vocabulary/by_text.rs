//! Rows of the tables by their texts.

/// Values by their texts. Lengths decide before texts are compared: notebooks ask for tens of names each.
pub(super) struct ByText<T>(Vec<(&'static str, T)>);

impl<T> ByText<T> {
    /// Of two with one text, the first counts.
    pub fn new(all: impl IntoIterator<Item = (&'static str, T)>) -> Self {
        let mut all: Vec<_> = all.into_iter().collect();
        all.sort_by_key(|(text, _)| (text.len(), *text));
        all.dedup_by_key(|(text, _)| *text);
        Self(all)
    }

    pub fn get(&self, text: &str) -> Option<&T> {
        let order = |(known, _): &(&str, T)| known.len().cmp(&text.len()).then_with(|| (**known).cmp(text));
        let at = self.0.binary_search_by(order).ok()?;
        self.0.get(at).map(|(_, value)| value)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn each_value_is_found_by_its_text_alone() {
        let texts = ["tyre", "", "at", "tyre.front", "by", "tyre.rear", "at"];
        let known = ByText::new(texts.into_iter().zip(0..));
        let found = ["", "at", "by", "tyre", "tyre.rear", "tyre.front"].map(|text| known.get(text).copied());
        assert_eq!(found, [1, 2, 4, 0, 5, 3].map(Some));
        assert!(["a", "tyres", "tyre.fron", "Tyre"].iter().all(|text| known.get(text).is_none()));
    }
}

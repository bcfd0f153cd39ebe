//! An advice file being read: what is wrong with it, and the words that it declares.

use crate::finding::{Finding, closest};
use crate::notebook::{Entry, Node, Value};
use crate::quantity::{self, Kind, Problem, Quantity, UnitDefaults};
use crate::source::Span;
use crate::vocabulary::{self, Named, Names};

use super::{Keys, Own, Taken, Takes};
use crate::advice::codes;
use crate::speech::{Message, say};

/// The words that a file declares, and those that exist already. Entries may refer to each other in any order.
#[derive(Debug, Default)]
pub(in crate::advice) struct OwnWords {
    pub places: Vec<String>,
    pub looks: Vec<String>,
    pub complaints: Vec<String>,
    pub feels: Vec<String>,
    pub cautions: Vec<String>,
    /// Groups of settings under `work`.
    pub work: Vec<String>,
}

/// An advice file being read.
pub(in crate::advice) struct File {
    pub findings: Vec<Finding>,
    pub words: OwnWords,
    /// Something in the present entry is missing or wrong.
    pub(super) is_broken: bool,
}

impl OwnWords {
    pub(super) fn of(&self, own: Own) -> (Noun, &[String]) {
        match own {
            Own::Place => (Noun::Place, &self.places),
            Own::Look => (Noun::Look, &self.looks),
            Own::Complaint => (Noun::Complaint, &self.complaints),
            Own::Feel => (Noun::Complaint, &self.feels),
            Own::Caution => (Noun::Caution, &self.cautions),
        }
    }
}

/// What kind of name was expected.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Noun {
    Name,
    Setting,
    Figure,
    FigureOrReading,
    SettingOrFigure,
    SettingOrWork,
    FigureReadingOrSetting,
    Place,
    Look,
    Complaint,
    Caution,
}

impl Noun {
    fn told(self) -> Message {
        match self {
            Self::Name => say!("name"),
            Self::Setting => say!("setting"),
            Self::Figure => say!("figure"),
            Self::FigureOrReading => say!("figure or reading"),
            Self::SettingOrFigure => say!("setting or figure"),
            Self::SettingOrWork => say!("setting or group of `work`"),
            Self::FigureReadingOrSetting => say!("figure, reading or setting"),
            Self::Place => say!("place"),
            Self::Look => say!("look"),
            Self::Complaint => say!("complaint"),
            Self::Caution => say!("caution"),
        }
    }
}

impl File {
    pub fn new(findings: Vec<Finding>, words: OwnWords) -> Self {
        Self { findings, words, is_broken: false }
    }

    /// Reads an entry by itself; `None` where something in it is missing or wrong.
    pub fn whole<T>(&mut self, read: impl FnOnce(&mut Self) -> Option<T>) -> Option<T> {
        let around = std::mem::replace(&mut self.is_broken, false);
        let read = read(self);
        let is_broken = std::mem::replace(&mut self.is_broken, around);
        read.filter(|_| !is_broken)
    }

    /// The table of an entry.
    pub fn open<'t>(&mut self, entry: &'t Entry) -> Option<Keys<'t, '_>> {
        if let Value::Table(table) = &entry.value.value {
            return Some(Keys::new(table, entry.key_span, self));
        }
        let headline = say!("`{entry}` is not a table", entry = entry.key);
        self.bad(entry.value.span, headline, say!("write it as a table"));
        None
    }

    /// The table of a key, or one of a list of them.
    pub fn open_at<'t>(&mut self, node: &'t Node<'t>, key: &str) -> Option<Keys<'t, '_>> {
        if let Value::Table(table) = &node.value {
            return Some(Keys::new(table, node.span, self));
        }
        self.bad(node.span, say!("`{key}` is not a table", key), say!("write it as a table: `[{key}]`", key));
        None
    }

    /// The name of an entry.
    pub fn name_of<T: Taken>(&mut self, entry: &Entry, takes: Takes) -> Option<T> {
        T::take(&entry.name(), &entry.key, takes, self)
    }

    /// One of a few words.
    pub fn word<T: Copy>(&mut self, node: &Node, key: &str, words: &[(&str, T)]) -> Option<T> {
        let text = self.text(node)?;
        let found = words.iter().find(|(word, _)| *word == text);
        if found.is_none() {
            let all = Message::either(words.iter().map(|(word, _)| Message::text(*word)));
            let headline = say!("`{text}` is not one of the words of `{key}`", text, key);
            self.bad(node.span, headline, say!("write {all}", all));
        }
        found.map(|(_, value)| *value)
    }

    pub(super) fn text<'n>(&mut self, node: &'n Node) -> Option<&'n str> {
        if let Value::Text(text) = &node.value {
            return Some(&text.text);
        }
        self.bad(node.span, say!("a text is wanted here"), say!("write it in quotes"));
        None
    }

    /// A name of the vocabulary, parsed by a function.
    pub(super) fn name<T>(
        &mut self,
        node: &Node,
        takes: Takes,
        parse: impl Fn(&str) -> Option<T>,
    ) -> Option<T> {
        let text = self.text(node)?;
        self.name_in(node.span, text, takes, parse)
    }

    /// A name within a text.
    pub fn name_in<T>(
        &mut self,
        span: Span,
        text: &str,
        takes: Takes,
        parse: impl Fn(&str) -> Option<T>,
    ) -> Option<T> {
        let name = parse(text);
        if name.is_none() {
            let what = if let Takes::Name(what) = takes { what } else { Noun::Name };
            self.unknown(span, text, what, vocabulary::every_name());
        }
        name
    }

    /// The settings or figures that an entry is for, with their kinds of quantity. A reading is neither, and words have no
    /// size.
    pub fn names_with_kinds(&mut self, entry: &Entry) -> Option<(Names, Vec<Kind>)> {
        self.name(&entry.name(), Takes::Name(Noun::SettingOrFigure), |text| {
            let names = Names::parse(text)?;
            let kinds = names.kinds();
            let is_of_reading = matches!(names, Names::Only(Named::Reading(_)));
            (!is_of_reading && !kinds.is_empty()).then_some((names, kinds))
        })
    }

    /// One value or several.
    pub fn list<T: Taken>(&mut self, node: &Node, key: &str, takes: Takes) -> Vec<T> {
        node.items().iter().filter_map(|item| T::take(item, key, takes, self)).collect()
    }

    /// One quantity or several.
    pub fn quantities(&mut self, node: &Node, kinds: &[Kind]) -> Vec<Quantity> {
        node.items().iter().filter_map(|item| self.measured(item, kinds, quantity::quantity)).collect()
    }

    pub fn bad(&mut self, span: Span, headline: Message, help: Message) {
        self.is_broken = true;
        self.findings.push(Finding::new(&codes::BAD_VALUE, span, headline).help(help));
    }

    pub fn unknown(&mut self, span: Span, text: &str, what: Noun, names: &[String]) {
        self.is_broken = true;
        let headline = say!("there is no {what} `{text}`", what = what.told(), text);
        let mut finding = Finding::new(&codes::UNKNOWN_NAME, span, headline);
        for name in closest(text, names.iter().map(String::as_str)) {
            finding = finding.fix(say!("did you mean `{name}`?", name), span, format!("\"{name}\""));
        }
        self.findings.push(finding);
    }

    /// A text that `quantity` reads.
    pub fn measured<T>(
        &mut self,
        node: &Node,
        kinds: &[Kind],
        read: impl FnOnce(&str, &[Kind], &UnitDefaults) -> Result<T, Problem>,
    ) -> Option<T> {
        let text = self.text(node)?;
        match read(text, kinds, &UnitDefaults::default()) {
            Ok(value) => Some(value),
            Err(problem) => {
                self.is_broken = true;
                self.findings.push(problem.finding(|range| node.place(range)));
                None
            }
        }
    }
}

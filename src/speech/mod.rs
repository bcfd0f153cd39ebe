//! What is said to people, before their language is known.
//!
//! A message is an English pattern and the parts for its places. It is made where the facts are known, and becomes text
//! where the reader is known. English is the pattern itself; another language looks the pattern up in its catalogue. What no
//! catalogue has stays as written. What is counted has two patterns, one for one and one for more: English, German and
//! Spanish need no third.
//!
//! Only [`say!`] makes a message from words of ours, so that a test can gather all of them from the code. Text that nobody
//! translates (a name, a path, something from a notebook) enters as a part.

mod catalogue;
mod tongue;

use std::borrow::Cow;
use std::fmt;

pub use catalogue::{Catalogue, ENGLISH, Faulty, SHIPPED_TAGS, places, quoted, sections};
pub use tongue::{DECIMAL_POINT, ENGLISH_TAG, Tongue};

/// Something to say.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Message(Inside);

#[derive(Debug, Clone, PartialEq, Eq)]
enum Inside {
    /// A pattern, after its context and a bar where it has one, and the parts for its places.
    Pattern(&'static str, Vec<(&'static str, Message)>),
    /// A pattern from a table or a file, without places.
    Word(Cow<'static, str>),
    /// A label of the vocabulary, and the word for its open part.
    Open(&'static str, Box<Message>),
    /// Text that nobody translates: a name, a path, something from a notebook.
    Text(String),
    /// A number with a decimal point, or several.
    Number(String),
    /// English words of a library, which no catalogue can have.
    Foreign(String),
    /// Several, one behind the other, with a text between them that is the same in every language.
    Joined(Vec<Message>, &'static str),
}

/// Makes a message: `say!("{label} is {shown}", label = row.label(), shown)`. A place named like its variable needs no
/// `=`. A short word with several meanings has a context: `say!("low" in "sag")`.
macro_rules! say {
    (@value $name:ident) => { &$name };
    (@value $name:ident $value:expr) => { &$value };
    ($pattern:literal in $context:literal $(, $name:ident $(= $value:expr)?)* $(,)?) => {{
        if false {
            // Every place has its part.
            let _ = ::std::format_args!($pattern $(, $name = "")*);
        }
        $crate::speech::Message::of(
            ::std::concat!($context, "|", $pattern),
            ::std::vec![$((
                ::std::stringify!($name),
                $crate::speech::Part::part($crate::speech::say!(@value $name $($value)?)),
            )),*],
        )
    }};
    ($pattern:literal $(, $name:ident $(= $value:expr)?)* $(,)?) => {{
        if false {
            let _ = ::std::format_args!($pattern $(, $name = "")*);
        }
        $crate::speech::Message::of(
            $pattern,
            ::std::vec![$((
                ::std::stringify!($name),
                $crate::speech::Part::part($crate::speech::say!(@value $name $($value)?)),
            )),*],
        )
    }};
}
pub(crate) use say;

/// What can be put into a place of a message.
pub trait Part {
    fn part(&self) -> Message;
}

impl Message {
    /// For [`say!`] alone.
    #[doc(hidden)]
    pub fn of(pattern: &'static str, parts: Vec<(&'static str, Message)>) -> Self {
        Self(Inside::Pattern(pattern, parts))
    }

    /// Text that nobody translates, the same in every language.
    pub fn text(text: impl Into<String>) -> Self {
        Self(Inside::Text(text.into()))
    }

    /// A library's English words; other languages leave them out.
    pub fn foreign(words: impl Into<String>) -> Self {
        Self(Inside::Foreign(words.into()))
    }

    /// Words from a table or a file, which a catalogue may translate.
    pub fn word(word: impl Into<Cow<'static, str>>) -> Self {
        Self(Inside::Word(word.into()))
    }

    /// Numbers with a decimal point, and signs that are the same in every language.
    pub fn number(number: impl Into<String>) -> Self {
        Self(Inside::Number(number.into()))
    }

    /// A label of the vocabulary with its open part (`END`, `NAME`, …) filled in.
    pub fn filled(label: &'static str, open: Message) -> Self {
        Self(Inside::Open(label, Box::new(open)))
    }

    /// Several, with this sign between.
    pub fn joined(all: impl IntoIterator<Item = Message>, between: &'static str) -> Self {
        Self(Inside::Joined(all.into_iter().collect(), between))
    }

    /// `a, b or c`.
    pub fn either(all: impl IntoIterator<Item = Message>) -> Self {
        let mut all: Vec<Message> = all.into_iter().collect();
        match all.pop() {
            Some(last) if !all.is_empty() => say!("{some} or {last}", some = Self::joined(all, ", "), last),
            Some(only) => only,
            None => Self::default(),
        }
    }

    /// `a, b and c`.
    pub fn both(all: impl IntoIterator<Item = Message>) -> Self {
        let mut all: Vec<Message> = all.into_iter().collect();
        match all.pop() {
            Some(last) if !all.is_empty() => say!("{some} and {last}", some = Self::joined(all, ", "), last),
            Some(only) => only,
            None => Self::default(),
        }
    }

    /// In English, where the reader is not known.
    pub fn in_english(&self) -> String {
        self.to_string()
    }

    /// Whether there is nothing to say.
    pub fn is_empty(&self) -> bool {
        match &self.0 {
            Inside::Pattern(pattern, _) | Inside::Open(pattern, _) => pattern.is_empty(),
            Inside::Word(word) => word.is_empty(),
            Inside::Text(text) | Inside::Number(text) | Inside::Foreign(text) => text.is_empty(),
            Inside::Joined(all, _) => all.iter().all(Message::is_empty),
        }
    }

    /// Into a text, in a language.
    fn write(&self, tongue: &Tongue, text: &mut String) {
        match &self.0 {
            Inside::Pattern(key, parts) => fill(tongue.of_key(key), text, |name, text| {
                match parts.iter().find(|(known, _)| *known == name) {
                    Some((_, part)) => part.write(tongue, text),
                    None => return false,
                }
                true
            }),
            Inside::Word(word) => text.push_str(tongue.of_key(word)),
            Inside::Open(label, open) => {
                text.push_str(&opened(tongue.of_key(label), &tongue.say(open)));
            }
            Inside::Text(words) => text.push_str(words),
            Inside::Foreign(words) if tongue.is_english() => text.push_str(words),
            Inside::Foreign(_) => {}
            Inside::Number(number) => text.push_str(&tongue.number(number)),
            Inside::Joined(all, between) => {
                for (at, message) in all.iter().enumerate() {
                    if at > 0 {
                        text.push_str(between);
                    }
                    message.write(tongue, text);
                }
            }
        }
    }
}

/// The pattern of a key: the text behind its context, which is words in lower case. A formula may have bars of its own.
pub fn pattern(key: &str) -> &str {
    let is_context = |text: &str| {
        !text.is_empty()
            && !text.ends_with(' ')
            && text.chars().all(|letter| letter == ' ' || letter.is_ascii_lowercase())
    };
    key.split_once('|').filter(|(context, _)| is_context(context)).map_or(key, |(_, pattern)| pattern)
}

/// Writes a pattern with its places filled; a place without a part stays as it is.
fn fill(pattern: &str, text: &mut String, mut part: impl FnMut(&str, &mut String) -> bool) {
    let mut rest = pattern;
    while let Some((before, behind)) = rest.split_once(['{', '}']) {
        text.push_str(before);
        let is_open = rest.as_bytes().get(before.len()) == Some(&b'{');
        let sign = if is_open { '{' } else { '}' };
        rest = behind;
        if let Some(doubled) = behind.strip_prefix(sign) {
            text.push(sign);
            rest = doubled;
        } else if let Some((name, more)) = behind.split_once('}').filter(|_| is_open) {
            if !part(name, text) {
                text.push('{');
                text.push_str(name);
                text.push('}');
            }
            rest = more;
        } else {
            text.push(sign);
        }
    }
    text.push_str(rest);
}

/// The open parts of labels.
pub const OPEN: [&str; 5] = ["NAME", "END", "P", "GEAR", "ANYTHING"];

/// A label with its open part filled in by words.
fn opened(label: &str, open: &str) -> String {
    let mut text = String::with_capacity(label.len() + open.len());
    let mut rest = label;
    while !rest.is_empty() {
        let end = rest.find(|letter: char| !letter.is_alphanumeric()).unwrap_or(rest.len());
        let (word, behind) = rest.split_at_checked(end).unwrap_or((rest, ""));
        text.push_str(if OPEN.contains(&word) { open } else { word });
        let sign = behind.chars().next();
        text.extend(sign);
        rest = sign.and_then(|sign| behind.get(sign.len_utf8()..)).unwrap_or_default();
    }
    text
}

impl Default for Message {
    fn default() -> Self {
        Self::text(String::new())
    }
}

/// In English.
impl fmt::Display for Message {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.pad(&Tongue::default().say(self))
    }
}

impl From<&Message> for Message {
    fn from(message: &Message) -> Self {
        message.clone()
    }
}

impl<T: Part + ?Sized> Part for &T {
    fn part(&self) -> Message {
        (**self).part()
    }
}

impl Part for Message {
    fn part(&self) -> Message {
        self.clone()
    }
}

impl Part for str {
    fn part(&self) -> Message {
        Message::text(self)
    }
}

impl Part for String {
    fn part(&self) -> Message {
        Message::text(self.as_str())
    }
}

impl Part for Cow<'_, str> {
    fn part(&self) -> Message {
        Message::text(self.as_ref())
    }
}

/// Whole numbers and letters are the same everywhere; dates are written as in a notebook.
macro_rules! written_alike {
    ($($type:ty)*) => {
        $(impl Part for $type {
            fn part(&self) -> Message {
                Message::text(self.to_string())
            }
        })*
    };
}
written_alike!(char u8 u16 u32 u64 usize i8 i16 i32 i64 isize jiff::civil::Date);

impl Part for f64 {
    fn part(&self) -> Message {
        Message::number(self.to_string())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn german() -> Tongue {
        let text = "language = \"Deutsch\"\ndecimal = \",\"\n[findings]\n\"{a} of {b}\" = \"{b}, davon {a}\"\n\"way|in\" = \"hinein\"\n\"{some} or {last}\" = \"{some} oder {last}\"\n[names]\n\"END rider sag\" = \"Durchhang mit Fahrer, END\"\n\"end|rear\" = \"hinten\"\n";
        Tongue::of(Catalogue::read("de", text).unwrap())
    }

    #[test]
    fn a_pattern_is_said_in_the_readers_language() {
        let b = Message::number("2.5 mm");
        let message = say!("{a} of {b}", a = "x.5", b);
        assert_eq!(message.to_string(), "x.5 of 2.5 mm");
        assert_eq!(german().say(&message), "2,5 mm, davon x.5");
        assert_eq!(say!("in" in "way").to_string(), "in");
        assert_eq!(german().say(&say!("in" in "way")), "hinein");
        assert_eq!(german().say(&say!("in" in "place")), "in");
        let names = ["a", "b", "c"].map(Message::text);
        assert_eq!(german().say(&Message::either(names)), "a, b oder c");
    }

    #[test]
    fn a_label_has_its_open_part_in_the_readers_language() {
        let label = Message::filled("END rider sag", Message::word("end|rear"));
        assert_eq!(label.to_string(), "rear rider sag");
        assert_eq!(german().say(&label), "Durchhang mit Fahrer, hinten");
    }

    #[test]
    fn braces_are_written_twice_and_what_nobody_fills_stays() {
        let name = 3;
        assert_eq!(say!("{{{name}}} }}").to_string().as_str(), "{{name}} }");
        assert_eq!(say!("{{{name}}} }}", name).to_string(), "{3} }");
    }
}

//! Values of keys: texts, words, quantities, names.

use crate::notebook::{Node, Value};
use crate::quantity::{self, Amount, Kind, Quantity, Way};
use crate::speech::say;
use crate::vocabulary::{self, End, FigureName, Named, Names, Setting};

use super::{File, Taken, Takes, words};

/// A size and a direction, in the words of a `change`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct By {
    pub size: Quantity,
    pub way: Way,
}

words! {
    End: "front" = Self::Front, "rear" = Self::Rear;
}

impl Taken for String {
    fn take(node: &Node, key: &str, takes: Takes, file: &mut File) -> Option<Self> {
        let text = file.text(node)?;
        match takes {
            Takes::Own(own) => {
                let (what, known) = file.words.of(own);
                if !known.iter().any(|known| known == text) {
                    let known = known.to_vec();
                    file.unknown(node.span, text, what, &known);
                    return None;
                }
            }
            Takes::Word(words) => {
                let words: Vec<(&str, ())> = words.iter().map(|word| (*word, ())).collect();
                file.word(node, key, &words)?;
            }
            _ => {}
        }
        Some(text.to_owned())
    }
}

impl Taken for bool {
    fn take(node: &Node, key: &str, _: Takes, file: &mut File) -> Option<Self> {
        if let Value::Boolean(truth) = node.value {
            return Some(truth);
        }
        let headline = say!("`{key}` is neither true nor false", key);
        file.bad(node.span, headline, say!("write `true` or `false`"));
        None
    }
}

/// Whole days.
impl Taken for u32 {
    fn take(node: &Node, _: &str, _: Takes, file: &mut File) -> Option<Self> {
        let text = file.text(node)?;
        let number = text.strip_suffix("days").or_else(|| text.strip_suffix("day"));
        let days = number.and_then(|number| number.trim().parse().ok());
        if days.is_none() {
            let headline = say!("`{text}` is not a number of days", text);
            file.bad(node.span, headline, say!("write whole days: `30 days`"));
        }
        days
    }
}

impl Takes {
    fn kinds(self) -> &'static [Kind] {
        if let Self::Quantity(kinds) = self { kinds } else { &[] }
    }
}

impl Taken for Quantity {
    fn take(node: &Node, _: &str, takes: Takes, file: &mut File) -> Option<Self> {
        file.measured(node, takes.kinds(), quantity::quantity)
    }
}

/// In the SI base unit.
impl Taken for f64 {
    fn take(node: &Node, key: &str, takes: Takes, file: &mut File) -> Option<Self> {
        Quantity::take(node, key, takes, file).map(|quantity| quantity.value)
    }
}

impl Taken for By {
    fn take(node: &Node, _: &str, takes: Takes, file: &mut File) -> Option<Self> {
        match file.measured(node, takes.kinds(), quantity::amount)? {
            Amount::By(size, way) => Some(Self { size, way }),
            Amount::At(_) => {
                let headline = say!("`{text}` does not say which way", text = file.text(node)?);
                let help = say!("write it as in a `change`: `2 clicks in`, `2 mm down`, `+2 psi`");
                file.bad(node.span, headline, help);
                None
            }
        }
    }
}

impl Taken for Setting {
    fn take(node: &Node, _: &str, takes: Takes, file: &mut File) -> Option<Self> {
        file.name(node, takes, Self::parse)
    }
}

impl Taken for FigureName {
    fn take(node: &Node, _: &str, takes: Takes, file: &mut File) -> Option<Self> {
        file.name(node, takes, Self::parse)
    }
}

impl Taken for Named {
    fn take(node: &Node, _: &str, takes: Takes, file: &mut File) -> Option<Self> {
        file.name(node, takes, vocabulary::lookup)
    }
}

impl Taken for Names {
    fn take(node: &Node, _: &str, takes: Takes, file: &mut File) -> Option<Self> {
        file.name(node, takes, Self::parse)
    }
}

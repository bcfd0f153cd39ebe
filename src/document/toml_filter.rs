//! Writes a template's value as TOML, so that a whole chart or row fits into a layout block.
//!
//! Serde writes it like JSON, with `=` behind keys: texts, numbers and lists have one form in both.

use std::io::{self, Write};

use serde::Serialize;
use serde_json::ser::{Formatter, Serializer};
use tera::Value;

/// A table at the top becomes lines of `key = value`, anything else one value. Absent parts are left out, and so are numbers
/// that are not finite.
///
/// # Errors
///
/// Where such a value is alone: TOML has no form for it.
pub(super) fn write(value: &Value) -> Result<String, String> {
    let mut out = Vec::new();
    let written = serde_json::to_value(value).and_then(|mut value| {
        leave_out_absent(&mut value);
        let Some(table) = value.as_object() else { return inline(&value, &mut out) };
        for (key, value) in table {
            inline(key, &mut out)?;
            out.extend_from_slice(b" = ");
            inline(value, &mut out)?;
            out.push(b'\n');
        }
        Ok(())
    });
    written.map_err(|error| error.to_string())?;
    String::from_utf8(out).map_err(|error| error.to_string())
}

fn leave_out_absent(value: &mut serde_json::Value) {
    if let Some(items) = value.as_array_mut() {
        items.retain(|item| !item.is_null());
        items.iter_mut().for_each(leave_out_absent);
    } else if let Some(table) = value.as_object_mut() {
        table.retain(|_, item| !item.is_null());
        table.values_mut().for_each(leave_out_absent);
    }
}

fn inline<T: Serialize + ?Sized>(value: &T, out: &mut Vec<u8>) -> serde_json::Result<()> {
    value.serialize(&mut Serializer::with_formatter(out, Inline))
}

/// JSON, except for what separates a key from its value, and for characters that TOML or a fence does not take as they
/// are.
struct Inline;

impl Formatter for Inline {
    fn write_null<W: ?Sized + Write>(&mut self, _: &mut W) -> io::Result<()> {
        Err(io::Error::other("there is no such value in TOML"))
    }

    fn begin_object<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        out.write_all(b"{ ")
    }

    fn end_object<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        out.write_all(b" }")
    }

    fn begin_object_key<W: ?Sized + Write>(&mut self, out: &mut W, is_first: bool) -> io::Result<()> {
        out.write_all(if is_first { b"" } else { b", " })
    }

    fn begin_object_value<W: ?Sized + Write>(&mut self, out: &mut W) -> io::Result<()> {
        out.write_all(b" = ")
    }

    fn begin_array_value<W: ?Sized + Write>(&mut self, out: &mut W, is_first: bool) -> io::Result<()> {
        out.write_all(if is_first { b"" } else { b", " })
    }

    fn write_string_fragment<W: ?Sized + Write>(&mut self, out: &mut W, text: &str) -> io::Result<()> {
        // A backtick at the start of a line could close the fence around it.
        let is_plain = |letter: char| letter != '`' && !letter.is_control();
        for part in text.split_inclusive(|letter| !is_plain(letter)) {
            let plain = part.trim_end_matches(|letter| !is_plain(letter));
            out.write_all(plain.as_bytes())?;
            for letter in part.chars().skip(plain.chars().count()) {
                write!(out, "\\u{:04X}", u32::from(letter))?;
            }
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    #[test]
    fn what_is_written_reads_back_the_same() {
        let inner = BTreeMap::from([("a \"b\" \\ ```\n~\u{7}\u{7f}\u{85}é`", "x\ty"), ("z", "")]);
        let outer = BTreeMap::from([("rows", vec![inner.clone(), inner])]);
        let text = write(&Value::from_serializable(&outer)).unwrap();
        let back: BTreeMap<String, Vec<BTreeMap<String, String>>> = toml::from_str(&text).unwrap();
        assert_eq!(format!("{back:?}"), format!("{outer:?}"));
        assert!(!text.contains('`') && text.lines().count() == 1, "{text}");
    }

    #[test]
    fn absent_values_are_left_out_and_endless_ones_refused() {
        let text = write(&Value::from_serializable(&BTreeMap::from([("a", Some(2.0)), ("b", None)])));
        assert_eq!(text.unwrap(), "\"a\" = 2.0\n");
        assert!(write(&Value::from_serializable(&f64::NAN)).is_err());
        assert!(write(&Value::from_serializable(&None::<f64>)).is_err());
    }

    #[test]
    fn numbers_stay_what_they_are() {
        let numbers = (3_u8, -2.5e-9, 1e21, 1e-7, u32::MAX);
        let text = write(&Value::from_serializable(&BTreeMap::from([("a", numbers)]))).unwrap();
        let back: BTreeMap<String, (u8, f64, f64, f64, u32)> = toml::from_str(&text).unwrap();
        assert_eq!(back["a"], numbers);
    }
}

//! Writes a template's value as TOML, so that a whole chart or row can be put into a layout block.

use tera::Value;

/// How deep values may lie within each other.
const DEPTH: usize = 16;

/// A table at the top becomes lines of `key = value`; everything else one value. Absent values are left out.
///
/// # Errors
///
/// A value that TOML has no form for: an absent one on its own, a number that is not finite, or one that lies
/// too deep.
pub(super) fn write(value: &Value) -> Result<String, String> {
    let mut out = String::new();
    if let Some(map) = value.as_map() {
        let mut entries: Vec<_> = map.iter().map(|(key, value)| (key.to_string(), value)).collect();
        // The engine's tables have no order of their own.
        entries.sort_by(|a, b| a.0.cmp(&b.0));
        for (key, value) in entries.iter().filter(|(_, value)| !is_absent(value)) {
            string(key, &mut out);
            out.push_str(" = ");
            inline(value, 0, &mut out)?;
            out.push('\n');
        }
    } else {
        inline(value, 0, &mut out)?;
    }
    Ok(out)
}

fn is_absent(value: &Value) -> bool {
    value.is_none() || value.is_undefined()
}

fn inline(value: &Value, depth: usize, out: &mut String) -> Result<(), String> {
    if depth > DEPTH {
        return Err("the value lies too deep for TOML".to_owned());
    }
    if let Some(text) = value.as_str() {
        string(text, out);
    } else if let Some(is_true) = value.as_bool() {
        out.push_str(if is_true { "true" } else { "false" });
    } else if let Some(items) = value.as_array() {
        out.push('[');
        for (at, item) in items.iter().filter(|item| !is_absent(item)).enumerate() {
            if at > 0 {
                out.push_str(", ");
            }
            inline(item, depth + 1, out)?;
        }
        out.push(']');
    } else if let Some(map) = value.as_map() {
        let mut entries: Vec<_> = map.iter().map(|(key, value)| (key.to_string(), value)).collect();
        entries.sort_by(|a, b| a.0.cmp(&b.0));
        out.push_str("{ ");
        for (at, (key, value)) in entries.iter().filter(|(_, value)| !is_absent(value)).enumerate() {
            if at > 0 {
                out.push_str(", ");
            }
            string(key, out);
            out.push_str(" = ");
            inline(value, depth + 1, out)?;
        }
        out.push_str(" }");
    } else if value.is_f64() {
        match value.as_f64().filter(|number| number.is_finite()) {
            // With its point, so that it stays what it is.
            Some(number) => out.push_str(&format!("{number:?}")),
            None => return Err("the number is not finite".to_owned()),
        }
    } else if let Some(number) = value.as_i128() {
        out.push_str(&number.to_string());
    } else {
        return Err(format!("a value of the kind {} cannot be written as TOML", value.name()));
    }
    Ok(())
}

/// A basic string, with everything escaped that could end it.
fn string(text: &str, out: &mut String) {
    out.push('"');
    for letter in text.chars() {
        match letter {
            '"' => out.push_str("\\\""),
            '\\' => out.push_str("\\\\"),
            '\n' => out.push_str("\\n"),
            '\t' => out.push_str("\\t"),
            // A backtick at the start of a line could close the fence around it; no other letter can.
            '`' => out.push_str("\\u0060"),
            control if control.is_control() => out.push_str(&format!("\\u{:04X}", u32::from(control))),
            other => out.push(other),
        }
    }
    out.push('"');
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    #[test]
    fn what_is_written_reads_back_the_same() {
        let inner = BTreeMap::from([("a \"b\" \\ ```\n~\u{7}é", "x\ty"), ("z", "")]);
        let outer = BTreeMap::from([("rows", vec![inner.clone(), inner])]);
        let text = write(&Value::from_serializable(&outer)).unwrap();
        let back: BTreeMap<String, Vec<BTreeMap<String, String>>> = toml::from_str(&text).unwrap();
        assert_eq!(format!("{back:?}"), format!("{outer:?}"));
        assert!(!text.contains("```"));
    }

    #[test]
    fn absent_values_are_left_out_and_endless_ones_refused() {
        let text = write(&Value::from_serializable(&BTreeMap::from([("a", Some(2.0)), ("b", None)])));
        assert_eq!(text.unwrap(), "\"a\" = 2.0\n");
        assert!(write(&Value::from_serializable(&f64::NAN)).is_err());
    }
}

//! Holds JSON against a schema of JSON Schema's draft 7: the keywords that the schema of SARIF uses, and no others.
//!
//! `.ci/run` has the same done by a validator that is not ours: `tests/browser/sarif.mjs`.

use serde_json::Value;

/// What a value breaks of a schema, each with its place.
pub fn faults(schema: &Value, value: &Value) -> Vec<String> {
    let mut found = Vec::new();
    hold(schema, schema, value, "$", &mut found);
    found
}

fn hold(root: &Value, schema: &Value, value: &Value, at: &str, found: &mut Vec<String>) {
    if let Some(to) = schema.get("$ref") {
        let to = to.as_str().unwrap().strip_prefix('#').unwrap();
        return hold(root, root.pointer(to).unwrap(), value, at, found);
    }
    let inner = |schema: &Value, value: &Value, at: &str| {
        let mut found = Vec::new();
        hold(root, schema, value, at, &mut found);
        found
    };
    for (keyword, rule) in schema.as_object().unwrap() {
        let holds = match keyword.as_str() {
            "$schema" | "$id" | "title" | "description" | "default" | "definitions" => true,
            "type" => rule
                .as_array()
                .map_or_else(|| is_of(rule, value), |all| all.iter().any(|it| is_of(it, value))),
            "enum" => rule.as_array().unwrap().contains(value),
            "minimum" => value.as_f64().is_none_or(|it| it >= rule.as_f64().unwrap()),
            "maximum" => value.as_f64().is_none_or(|it| it <= rule.as_f64().unwrap()),
            "minItems" => value.as_array().is_none_or(|it| it.len() as u64 >= rule.as_u64().unwrap()),
            "uniqueItems" => value.as_array().is_none_or(|all| {
                rule == false || all.iter().enumerate().all(|(at, it)| !all[..at].contains(it))
            }),
            "format" => value.as_str().is_none_or(|text| is_in(rule.as_str().unwrap(), text)),
            // Of what we write, nothing has a pattern.
            "pattern" => !value.is_string(),
            "anyOf" => rule.as_array().unwrap().iter().any(|schema| inner(schema, value, at).is_empty()),
            "oneOf" => {
                rule.as_array().unwrap().iter().filter(|schema| inner(schema, value, at).is_empty()).count()
                    == 1
            }
            "required" => value.as_object().is_none_or(|object| {
                rule.as_array().unwrap().iter().all(|key| object.contains_key(key.as_str().unwrap()))
            }),
            "items" => {
                for (index, item) in value.as_array().into_iter().flatten().enumerate() {
                    found.extend(inner(rule, item, &format!("{at}[{index}]")));
                }
                true
            }
            "properties" => {
                for (key, schema) in rule.as_object().unwrap() {
                    if let Some(value) = value.get(key) {
                        found.extend(inner(schema, value, &format!("{at}.{key}")));
                    }
                }
                true
            }
            "additionalProperties" => {
                let named = schema.get("properties").and_then(Value::as_object);
                let others = value.as_object().into_iter().flatten();
                let others = others.filter(|(key, _)| !named.is_some_and(|named| named.contains_key(*key)));
                for (key, value) in others {
                    match rule {
                        Value::Bool(true) => {}
                        Value::Bool(false) => found.push(format!("{at}.{key}: is not known")),
                        schema => found.extend(inner(schema, value, &format!("{at}.{key}"))),
                    }
                }
                true
            }
            unknown => panic!("{unknown} is a keyword that nobody looks at"),
        };
        if !holds {
            found.push(format!("{at}: {keyword} is {rule}"));
        }
    }
}

fn is_of(kind: &Value, value: &Value) -> bool {
    match kind.as_str().unwrap() {
        "string" => value.is_string(),
        "object" => value.is_object(),
        "array" => value.is_array(),
        "boolean" => value.is_boolean(),
        "null" => value.is_null(),
        "number" => value.is_number(),
        "integer" => value.as_f64().is_some_and(|it| it.fract() == 0.0),
        other => panic!("{other} is a type that nobody looks at"),
    }
}

/// RFC 3986: letters, digits and marks, `%` with two hexadecimal digits; a reference without a scheme has no colon in its first
/// part.
fn is_in(format: &str, text: &str) -> bool {
    let mut parts = text.split('%');
    let is_plain = |part: &str| {
        part.bytes().all(|it| it.is_ascii_alphanumeric() || b"-._~:/?#[]@!$&'()*+,;=".contains(&it))
    };
    let is_spelt = is_plain(parts.next().unwrap())
        && parts.all(|part| {
            part.len() >= 2 && part.bytes().take(2).all(|it| it.is_ascii_hexdigit()) && is_plain(&part[2..])
        });
    let (scheme, _) = text.split_once(':').unwrap_or_default();
    let is_scheme = scheme.starts_with(|it: char| it.is_ascii_alphabetic())
        && scheme.bytes().all(|it| it.is_ascii_alphanumeric() || b"+-.".contains(&it));
    match format {
        "uri" => is_spelt && is_scheme,
        "uri-reference" => is_spelt && (is_scheme || !text.split('/').next().unwrap().contains(':')),
        // Nothing that we write has a time.
        _ => false,
    }
}

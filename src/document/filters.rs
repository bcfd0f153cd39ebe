//! What templates can do with values: each filter pays for what it goes through.

use std::io::{self, Write};

use tera::{Kwargs, State, Tera, TeraResult, Value};

use super::block::PROSE;
use super::guard::{self, STEPS};
use super::toml_filter;
use crate::notebook::fence_around;
use crate::speech::{Tongue, say};

/// Sets the engine up, with words in English.
pub(super) fn add(engine: &mut Tera) {
    // Every template makes Markdown, whatever its name.
    engine.autoescape_on([""]);
    engine.set_escape_fn(escape);
    engine.register_function(STEPS, steps);
    engine.register_filter("toml", toml);
    engine.register_filter("prose", prose);
    engine.register_filter("code", code);
    engine.register_filter("default", default);
    engine.register_filter("length", length);
    engine.register_filter("upper", |text: &str, _: Kwargs, _: &State| changed(text, str::to_uppercase));
    engine.register_filter("lower", |text: &str, _: Kwargs, _: &State| changed(text, str::to_lowercase));
    engine.register_filter("trim", |text: &str, _: Kwargs, _: &State| {
        changed(text, |text| text.trim().to_owned())
    });
    engine.register_filter("join", join);
    engine.register_filter("replace", replace);
    engine.register_test("same", same);
    speak(engine, &Tongue::ENGLISH);
}

/// Sets the engine up for a language.
pub(super) fn speak(engine: &mut Tera, tongue: &Tongue) {
    let (of_say, of_told) = (tongue.clone(), tongue.clone());
    engine.register_filter("say", move |words: &str, parts: Kwargs, _: &State| say(words, &parts, &of_say));
    engine.register_filter("told", move |value: Value, kwargs: Kwargs, _: &State| {
        told(value, &kwargs, &of_told)
    });
}

/// Takes what a filter went through from the run's steps.
fn spend(bytes: usize) -> TeraResult<()> {
    guard::spend(bytes).map_err(tera::Error::message)
}

/// Counts one turn of a loop.
fn steps(kwargs: Kwargs, _: &State) -> TeraResult<bool> {
    spend(kwargs.must_get("n")?)?;
    Ok(false)
}

/// The number of items of a list, or of letters of a text.
fn length(value: &Value, _: Kwargs, _: &State) -> TeraResult<usize> {
    if let Some(text) = value.as_str() {
        spend(text.len())?;
        return Ok(text.chars().count());
    }
    let items = value.as_array().map(|items| items.len()).or_else(|| value.as_map().map(|map| map.len()));
    items.ok_or_else(|| tera::Error::message("only texts, lists and tables have a length"))
}

/// Whether two texts, numbers or unknown values are the same. Lists are refused, as they may be as long as the
/// page.
fn same(value: &Value, kwargs: Kwargs, _: &State) -> TeraResult<bool> {
    let other: Value = kwargs.must_get("as")?;
    let is_long = |value: &Value| value.as_array().is_some() || value.as_map().is_some();
    if is_long(value) || is_long(&other) {
        return Err(tera::Error::message("only texts and numbers are compared"));
    }
    spend(value.as_str().map_or(1, str::len))?;
    Ok(*value == other)
}

fn changed(text: &str, change: impl Fn(&str) -> String) -> TeraResult<String> {
    spend(text.len())?;
    Ok(change(text))
}

/// The items of a list, joined with `sep` between them.
fn join(items: &[Value], kwargs: Kwargs, _: &State) -> TeraResult<String> {
    let between = kwargs.get::<&str>("sep")?.unwrap_or("");
    let mut text = String::new();
    for (at, item) in items.iter().enumerate() {
        let item = item.to_string();
        spend(item.len() + between.len() + 1)?;
        if at > 0 {
            text.push_str(between);
        }
        text.push_str(&item);
    }
    Ok(text)
}

/// A text with each `from` replaced by `to`.
fn replace(text: &str, kwargs: Kwargs, _: &State) -> TeraResult<String> {
    let (from, to): (&str, &str) = (kwargs.must_get("from")?, kwargs.must_get("to")?);
    spend(text.len())?;
    spend(text.matches(from).count().saturating_mul(to.len()))?;
    Ok(text.replace(from, to))
}

/// Escapes a value so that Markdown shows it as it is, on one line. Only what stands in backticks, a word as notebooks
/// spell it, is set as such.
///
/// A line break would end a table's row or a heading, and could begin a fence.
fn escape(value: &str, out: &mut dyn Write) -> std::io::Result<()> {
    guard::spend(value.len()).map_err(io::Error::other)?;
    let (mut rest, mut is_start) = (value, true);
    while let Some((before, behind)) = rest.split_once('`') {
        as_it_is(before, is_start, out)?;
        is_start = false;
        rest = match behind.split_once('`').filter(|(word, after)| is_spelt(word, after)) {
            Some((word, after)) => {
                write!(out, "`{word}`")?;
                after
            }
            None => {
                out.write_all(b"\\`")?;
                behind
            }
        };
    }
    as_it_is(rest, is_start, out)
}

/// Whether what stands between two backticks can be set as such; what is behind must not make a longer row of backticks.
fn is_spelt(word: &str, after: &str) -> bool {
    !word.is_empty()
        && word.trim() == word
        && !word.contains(['|', '\\', '\n', '\r'])
        && !after.starts_with('`')
}

/// A part of a value without backticks; the first part is at the start of a line.
fn as_it_is(part: &str, is_start: bool, out: &mut dyn Write) -> io::Result<()> {
    let digits = if is_start { part.bytes().take_while(u8::is_ascii_digit).count() } else { 0 };
    for (at, letter) in part.char_indices() {
        match letter {
            '\n' | '\r' => out.write_all(b" ")?,
            '\\' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '~' | '#' | '!' | '&' | '{' | '}' => {
                write!(out, "\\{letter}")?;
            }
            // At the start of a line these would begin a list, or underline what is above.
            '-' | '+' | '=' if at == 0 && is_start => write!(out, "\\{letter}")?,
            // `1. May` is a date, not the first item of a list.
            '.' | ')' if at > 0 && at == digits => write!(out, "\\{letter}")?,
            _ => write!(out, "{letter}")?,
        }
    }
    Ok(())
}

/// A value in TOML.
fn toml(value: &Value, _: Kwargs, _: &State) -> TeraResult<Value> {
    let text = toml_filter::write(value).map_err(tera::Error::message)?;
    spend(text.len())?;
    Ok(Value::safe_string(&text))
}

/// A figure in a line of text: its value, else what it needs; with `short` a dash instead.
fn told(value: Value, kwargs: &Kwargs, tongue: &Tongue) -> TeraResult<String> {
    let of = |key: &'static str| value.as_map().and_then(|map| map.get(&key.into()));
    if let Some(shown) = of("shown").and_then(Value::as_str) {
        spend(shown.len())?;
        return Ok(shown.to_owned());
    }
    let Some(wanted) = of("wanted").and_then(Value::as_str) else { return Ok(String::new()) };
    spend(wanted.len())?;
    if kwargs.get::<bool>("short")? == Some(true) {
        return Ok("–".to_owned());
    }
    let is_wanted = of("is_wanted").and_then(Value::as_bool) == Some(true);
    Ok(match is_wanted {
        true => tongue.say(&say!("needs {wanted}", wanted)),
        false => wanted.to_owned(),
    })
}

/// A template's own words in a language, with their places filled.
fn say(words: &str, parts: &Kwargs, tongue: &Tongue) -> TeraResult<String> {
    let mut fault = None;
    let text = tongue.fill(words, |place| match parts.get::<Value>(place) {
        Ok(Some(value)) => Some(value.to_string()),
        Ok(None) => None,
        Err(error) => {
            fault = Some(error);
            None
        }
    });
    spend(text.len())?;
    fault.map_or(Ok(text), Err)
}

/// What replaces a missing value: a name that the page does not have, or an unknown one. The engine's own
/// filter of this name lets unknown values through.
fn default(value: Value, kwargs: Kwargs, _: &State) -> TeraResult<Value> {
    if value.is_undefined() || value.is_none() { kwargs.must_get("value") } else { Ok(value) }
}

/// A rider's own Markdown, in a block of its own. It cannot leave anything open for the template, and nothing in it can
/// become a layout block, however it is written.
fn prose(text: &str, _: Kwargs, _: &State) -> TeraResult<Value> {
    fenced(&format!("layout {PROSE}"), text)
}

/// A text as it is written, letter by letter.
fn code(text: &str, _: Kwargs, _: &State) -> TeraResult<Value> {
    fenced("", text.trim_end())
}

fn fenced(kind: &str, text: &str) -> TeraResult<Value> {
    spend(text.len())?;
    let fence = fence_around(text);
    Ok(Value::safe_string(&format!("\n{fence}{kind}\n{text}\n{fence}\n")))
}

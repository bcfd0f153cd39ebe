//! The template engine, set up once: its templates, and how values enter them.

use std::collections::BTreeMap;
use std::io::{self, Write};
use std::ops::Range;

use serde::Serialize;
use tera::{Context, Kwargs, State, Tera, TeraResult, Value};

use super::block::PROSE;
use super::error::{Place, TemplateError};
use super::guard::{self, Guarded, STEPS};
use super::toml_filter;
use crate::notebook::fence_around;
use crate::source::limits;
use crate::speech::{Tongue, say};

/// The built-in templates: their names and texts. A book's own with the same name replaces one.
pub static BUILT_IN: &[(&str, &str)] = &[
    ("card.md", include_str!("../../templates/card.md")),
    ("coil.md", include_str!("../../templates/coil.md")),
    ("compare.md", include_str!("../../templates/compare.md")),
    ("contents.md", include_str!("../../templates/contents.md")),
    ("curves.md", include_str!("../../templates/curves.md")),
    ("compare-seasons.md", include_str!("../../templates/compare-seasons.md")),
    ("pressures.md", include_str!("../../templates/pressures.md")),
    ("proof.md", include_str!("../../templates/proof.md")),
    ("due.md", include_str!("../../templates/due.md")),
    ("figures.md", include_str!("../../templates/figures.md")),
    ("gearing.md", include_str!("../../templates/gearing.md")),
    ("next.md", include_str!("../../templates/next.md")),
    ("prepare.md", include_str!("../../templates/prepare.md")),
    ("season.md", include_str!("../../templates/season.md")),
    ("show.md", include_str!("../../templates/show.md")),
    ("side-view.md", include_str!("../../templates/side-view.md")),
    ("sheet.md", include_str!("../../templates/sheet.md")),
    ("spring.md", include_str!("../../templates/spring.md")),
    ("state.md", include_str!("../../templates/state.md")),
    ("today.md", include_str!("../../templates/today.md")),
    ("try.md", include_str!("../../templates/try.md")),
    ("roster.md", include_str!("../../templates/roster.md")),
    ("why.md", include_str!("../../templates/why.md")),
];

/// Templates, ready to render.
#[derive(Debug, Clone)]
pub struct Templates {
    engine: Tera,
    /// By name, as the engine has them.
    guarded: BTreeMap<String, Guarded>,
}

impl Templates {
    /// The built-in templates, with `own` texts added or replacing those with their names.
    ///
    /// # Errors
    ///
    /// Where a text is not a template, or says something that a template may not; the error has its place.
    pub fn new<'t>(own: impl IntoIterator<Item = (&'t str, &'t str)>) -> Result<Self, TemplateError> {
        let mut engine = Tera::new();
        // Every template makes Markdown, whatever its name.
        engine.autoescape_on([""]);
        engine.set_escape_fn(escape);
        engine.register_function(STEPS, steps);
        engine.register_filter("toml", toml);
        engine.register_filter("prose", prose);
        engine.register_filter("say", |words: &str, parts: Kwargs, _: &State| {
            say(words, &parts, &Tongue::ENGLISH)
        });
        engine.register_filter("code", code);
        engine.register_filter("told", |value: Value, kwargs: Kwargs, _: &State| {
            told(value, &kwargs, &Tongue::ENGLISH)
        });
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
        let all = BUILT_IN.iter().copied().chain(own);
        let guarded: BTreeMap<String, Guarded> = all
            .map(|(name, text)| Ok((name.to_owned(), Guarded::new(name, text)?)))
            .collect::<Result<_, TemplateError>>()?;
        let templates = Self { engine: Tera::default(), guarded };
        // All at once, since they may include one another.
        let texts = templates.guarded.iter().map(|(name, guarded)| (name.as_str(), guarded.text.as_str()));
        engine.add_raw_templates(texts).map_err(|error| templates.fault("", &error))?;
        Ok(Self { engine, ..templates })
    }

    /// The engine for another language.
    fn speaking(&self, tongue: &Tongue) -> Tera {
        let mut engine = self.engine.clone();
        let (of_say, of_told) = (tongue.clone(), tongue.clone());
        engine
            .register_filter("say", move |words: &str, parts: Kwargs, _: &State| say(words, &parts, &of_say));
        engine.register_filter("told", move |value: Value, kwargs: Kwargs, _: &State| {
            told(value, &kwargs, &of_told)
        });
        engine
    }

    /// An error of the engine in our words, at its place in the template as it was written.
    fn fault(&self, template: &str, error: &tera::Error) -> TemplateError {
        TemplateError::from_engine(template, error, |name: &str, range: Range<usize>| {
            self.guarded.get(name).map_or(Place::Whole, |guarded| guarded.place(range.start, range.end))
        })
    }

    /// Whether there is a template with this name.
    pub fn has(&self, name: &str) -> bool {
        self.engine.contains_template(name)
    }

    /// Renders a page value to Markdown in English.
    ///
    /// # Errors
    ///
    /// As [`Self::render_in`].
    pub fn render(&self, name: &str, page: &impl Serialize) -> Result<String, TemplateError> {
        self.render_in(name, page, &Tongue::ENGLISH)
    }

    /// Renders a page value to Markdown. The value's fields are the template's names; its own words are in a language.
    ///
    /// # Errors
    ///
    /// - no template has this name;
    /// - the page is not a structure or table;
    /// - the template asks for a name that is not there, or for something that the value cannot do;
    /// - it takes more steps or writes more than there is to say: the limits are in [`limits`].
    pub fn render_in(
        &self,
        name: &str,
        page: &impl Serialize,
        tongue: &Tongue,
    ) -> Result<String, TemplateError> {
        if !self.has(name) {
            return Err(TemplateError::whole(name, "there is no template of this name"));
        }
        let context = Context::from_serialize(page).map_err(|error| self.fault(name, &error))?;
        guard::allow(limits::TEMPLATE_STEPS + limits::TEMPLATE_STEPS_PER_BYTE * said(page));
        let mut written = Written { bytes: Vec::new(), is_full: false };
        let result = match tongue.is_english() {
            true => self.engine.render_to(name, &context, &mut written),
            false => self.speaking(tongue).render_to(name, &context, &mut written),
        };
        if let Err(error) = result {
            let mut fault = self.fault(name, &error);
            if written.is_full {
                let most = limits::WRITTEN_BYTES;
                fault.message = format!("it writes more than {most} bytes, which is the most");
            } else if guard::is_spent() {
                fault.message = guard::spent();
            }
            return Err(fault);
        }
        String::from_utf8(written.bytes).map_err(|_| TemplateError::whole(name, "what it wrote is not text"))
    }
}

/// What a template wrote, up to the limit.
struct Written {
    bytes: Vec<u8>,
    is_full: bool,
}

impl Write for Written {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        if self.bytes.len() + bytes.len() > limits::WRITTEN_BYTES {
            self.is_full = true;
            return Err(io::Error::other("too much is written"));
        }
        self.bytes.extend_from_slice(bytes);
        Ok(bytes.len())
    }

    fn flush(&mut self) -> io::Result<()> {
        Ok(())
    }
}

/// How much a page says, in bytes.
fn said(page: &impl Serialize) -> u64 {
    struct Count(u64);
    impl Write for Count {
        fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
            self.0 += bytes.len() as u64;
            Ok(bytes.len())
        }
        fn flush(&mut self) -> io::Result<()> {
            Ok(())
        }
    }
    let mut count = Count(0);
    // What has no form in JSON ends the count early, and leaves the template fewer steps.
    let _ = serde_json::to_writer(&mut count, page);
    count.0
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

#[cfg(test)]
mod tests {
    use super::*;

    #[derive(Serialize)]
    struct Page {
        name: &'static str,
    }

    fn rendered(template: &str, name: &'static str) -> String {
        Templates::new([("t.md", template)]).unwrap().render("t.md", &Page { name }).unwrap()
    }

    #[test]
    fn a_value_cannot_become_markdown() {
        assert_eq!(rendered("{{ name }}", "*a* | b\n# c"), r"\*a\* \| b \# c");
        assert_eq!(rendered("{{ name }}", "- x"), r"\- x");
        assert_eq!(rendered("{{ name }}", "1. May"), r"1\. May");
        assert_eq!(rendered("{{ name }}", "Přilba-Ωμ 3.5 ±"), "Přilba-Ωμ 3.5 ±");
    }

    #[test]
    fn only_a_word_in_backticks_is_set_as_one() {
        assert_eq!(rendered("{{ name }}", "write `back = true` *now*"), r"write `back = true` \*now\*");
        for (value, plain) in [
            ("a ` b", r"a \` b"),
            ("``` x", r"\`\`\` x"),
            ("` b`", r"\` b\`"),
            ("`a|b`", r"\`a\|b\`"),
            ("`a\nb`", r"\`a b\`"),
            ("`a``b`", r"\`a\``b`"),
        ] {
            assert_eq!(rendered("{{ name }}", value), plain);
        }
    }

    #[test]
    fn prose_cannot_close_its_block() {
        assert_eq!(rendered("{{ name | prose }}", "a\n```"), "\n````layout prose\na\n```\n````\n");
        assert_eq!(rendered("{{ name | prose }}", ""), "\n```layout prose\n\n```\n");
    }

    #[test]
    fn an_unknown_has_something_in_its_place() {
        #[derive(Serialize)]
        struct Page {
            unknown: Option<u8>,
            known: Option<u8>,
        }
        let text = "{{ unknown | default(value=1) | toml }} {{ known | default(value=1) }} {{ none | default(value=1) }}";
        let templates = Templates::new([("t.md", text)]).unwrap();
        assert_eq!(templates.render("t.md", &Page { unknown: None, known: Some(2) }).unwrap(), "1 2 1");
    }

    #[test]
    fn a_template_that_would_not_end_is_stopped_where_it_loops() {
        #[derive(Serialize)]
        struct Page {
            rows: Vec<&'static str>,
        }
        let page = Page { rows: vec!["a row of words"; 1000] };
        let fault = |text: &str, included: &str| {
            let templates = Templates::new([("t.md", text), ("u.md", included)]).unwrap();
            templates.render("t.md", &page).unwrap_err().to_string()
        };
        let inner = "{% for c in rows %}{% for d in rows %}{% endfor %}{% endfor %}";
        let said = fault(
            &format!("a\n{{% for a in rows %}}{{% for b in rows %}}{inner}{{% endfor %}}{{% endfor %}}"),
            "",
        );
        assert!(said.starts_with("template t.md, line 2, column ") && said.contains("steps"), "{said}");
        let said = fault(
            "{% for a in rows %}{% for b in rows %}{% include \"u.md\" %}{% endfor %}{% endfor %}",
            inner,
        );
        assert!(said.contains("steps"), "{said}");
        let said =
            fault("{% for a in rows %}{{ rows | join(sep=\"and so on and so forth\") }}{% endfor %}", "");
        assert!(said.contains("steps") || said.contains("bytes"), "{said}");
        let double = "{{ rows | join | replace(from=\"o\", to=\"oooooooooooooooooooooo\") \
                      | replace(from=\"o\", to=\"oooooooooooooooooooooooooooooooo\") \
                      | replace(from=\"o\", to=\"oooooooooooooooooooooooooooooooo\") }}";
        let said = fault(double, "");
        assert!(said.contains("steps"), "{said}");
        let long = "x".repeat(40_000);
        let said = fault(&format!("{{% for a in rows %}}{long}{{% endfor %}}"), "");
        assert!(said.contains("more than"), "{said}");
    }

    #[test]
    fn faults_have_their_place() {
        let error = Templates::new([("t.md", "fine\n{{ name")]).unwrap_err();
        assert_eq!(error.template, "t.md");
        assert!(matches!(error.place, super::super::error::Place::Template { line: 2, .. }), "{error}");
        let templates = Templates::new([("t.md", "a\nb {{ nme }}")]).unwrap();
        let error = templates.render("t.md", &Page { name: "x" }).unwrap_err();
        assert!(error.to_string().starts_with("template t.md, line 2, column "), "{error}");
        assert!(templates.render("u.md", &Page { name: "x" }).is_err());
    }
}

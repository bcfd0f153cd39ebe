//! The template engine, set up once: which templates there are, and how values enter them.

use std::io::Write;

use serde::Serialize;
use tera::{Context, Kwargs, State, Tera, TeraResult, Value};

use super::block::PROSE;
use super::error::TemplateError;
use super::toml_filter;

/// The templates that are always there: their names and texts. A book's own of the same name stands in
/// front of one of these.
pub static BUILT_IN: &[(&str, &str)] = &[
    ("compare.md", include_str!("../../templates/compare.md")),
    ("compare-seasons.md", include_str!("../../templates/compare-seasons.md")),
    ("season.md", include_str!("../../templates/season.md")),
    ("sheet.md", include_str!("../../templates/sheet.md")),
    ("roster.md", include_str!("../../templates/roster.md")),
    ("why.md", include_str!("../../templates/why.md")),
];

/// Templates, ready to render.
#[derive(Debug, Clone)]
pub struct Templates {
    engine: Tera,
}

impl Templates {
    /// The built-in templates, with `own` texts added or put in their place, each by its name.
    ///
    /// # Errors
    ///
    /// A text that is not a template; the error has its place.
    pub fn new<'t>(own: impl IntoIterator<Item = (&'t str, &'t str)>) -> Result<Self, TemplateError> {
        let mut engine = Tera::new();
        // Every template makes Markdown, whatever its name.
        engine.autoescape_on([""]);
        engine.set_escape_fn(escape);
        engine.register_filter("toml", toml);
        engine.register_filter("prose", prose);
        engine.register_filter("default", default);
        let own: Vec<(&str, &str)> = own.into_iter().collect();
        let is_replaced = |name: &str| own.iter().any(|(own_name, _)| *own_name == name);
        let built_in = BUILT_IN.iter().copied().filter(|(name, _)| !is_replaced(name));
        // All at once, as they may include one another.
        let all: Vec<(&str, &str)> = built_in.chain(own.iter().copied()).collect();
        let first = all.first().map_or("", |(name, _)| name);
        engine.add_raw_templates(all.iter().copied()).map_err(|e| TemplateError::from_engine(first, &e))?;
        Ok(Self { engine })
    }

    /// Whether there is a template of this name.
    pub fn has(&self, name: &str) -> bool {
        self.engine.contains_template(name)
    }

    /// Renders a page value to Markdown. The value's fields are the template's names.
    ///
    /// # Errors
    ///
    /// - no template has this name;
    /// - the page is not a structure or table;
    /// - the template asks for a name that is not there, or for something that the value cannot do.
    pub fn render(&self, name: &str, page: &impl Serialize) -> Result<String, TemplateError> {
        if !self.has(name) {
            return Err(TemplateError::whole(name, "there is no template of this name"));
        }
        let from_engine = |error: tera::Error| TemplateError::from_engine(name, &error);
        let context = Context::from_serialize(page).map_err(from_engine)?;
        self.engine.render(name, &context).map_err(from_engine)
    }
}

/// Writes a value so that Markdown shows it as it is, on one line.
///
/// A line break would end a table's row or a heading, and could begin a fence.
fn escape(value: &str, out: &mut dyn Write) -> std::io::Result<()> {
    let digits = value.bytes().take_while(u8::is_ascii_digit).count();
    for (at, letter) in value.char_indices() {
        match letter {
            '\n' | '\r' => out.write_all(b" ")?,
            '\\' | '`' | '*' | '_' | '[' | ']' | '<' | '>' | '|' | '~' | '#' | '!' | '&' | '{' | '}' => {
                write!(out, "\\{letter}")?;
            }
            // At the start of a line these would open a list or draw a rule under what is above.
            '-' | '+' | '=' if at == 0 => write!(out, "\\{letter}")?,
            // `1. May` is a date, not the first item of a list.
            '.' | ')' if at > 0 && at == digits => write!(out, "\\{letter}")?,
            _ => write!(out, "{letter}")?,
        }
    }
    Ok(())
}

/// A value as TOML writes it.
fn toml(value: &Value, _: Kwargs, _: &State) -> TeraResult<Value> {
    toml_filter::write(value).map(|text| Value::safe_string(&text)).map_err(tera::Error::message)
}

/// What stands for a value that is not there: a name that the page does not have, or an unknown. The engine's
/// own filter of this name lets unknowns through.
fn default(value: Value, kwargs: Kwargs, _: &State) -> TeraResult<Value> {
    if value.is_undefined() || value.is_none() { kwargs.must_get("value") } else { Ok(value) }
}

/// A rider's own Markdown, in a block of its own: what it opens it cannot leave open for the template, and nothing in it
/// can become a layout block, however it is written.
fn prose(text: &str, _: Kwargs, _: &State) -> Value {
    // No run of backticks in it is long enough to close the block.
    let longest = text.split(|letter| letter != '`').map(str::len).max().unwrap_or_default();
    let fence = "`".repeat(longest.max(2) + 1);
    Value::safe_string(&format!("\n{fence}layout {PROSE}\n{text}\n{fence}\n"))
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
        assert_eq!(rendered("{{ name }}", "*a* | `b`\n# c"), r"\*a\* \| \`b\` \# c");
        assert_eq!(rendered("{{ name }}", "- x"), r"\- x");
        assert_eq!(rendered("{{ name }}", "1. May"), r"1\. May");
        assert_eq!(rendered("{{ name }}", "Přilba-Ωμ 3.5 ±"), "Přilba-Ωμ 3.5 ±");
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

//! The template engine, set up once: its templates, and how values enter them.

use std::collections::BTreeMap;
use std::io::{self, Write};
use std::ops::Range;

use serde::Serialize;
use tera::{Context, Tera};

use super::error::{Place, TemplateError};
use super::filters;
use super::guard::{self, Guarded};
use crate::source::limits;
use crate::speech::Tongue;

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
        filters::add(&mut engine);
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
        filters::speak(&mut engine, tongue);
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

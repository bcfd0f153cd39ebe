//! What a book's own template may say, and what it costs.
//!
//! A book may come from anybody, and its templates run on the reader's machine. Templates have loops and conditions
//! over the page's values, and nothing that makes values grow: no variables, no captures, no lists of any length.
//! The rest takes time in proportion to the loops. So each turn of a loop and each inclusion has a cost. A call
//! that counts steps is inserted behind its head, and the run ends when the steps are used up. Filters and escaped
//! values count what they go through themselves.

mod scan;

use std::cell::Cell;

use super::error::{Place, TemplateError};
use crate::source::limits;

use scan::Scan;

/// The function that counts; its argument is the cost of one turn.
pub(super) const STEPS: &str = "steps";
/// The cost of a turn besides its text: the call itself.
const TURN: usize = 32;
/// How many filters may be in one pair of braces: each goes through a value.
const FILTERS: usize = 8;

/// The tags that are allowed.
const TAGS: [&str; 8] = ["for", "endfor", "if", "elif", "else", "endif", "include", "continue"];

/// The filters that are allowed: those that count what they go through, and those that look at one thing.
pub(super) const OWN_FILTERS: [&str; 12] = [
    "default", "toml", "prose", "say", "code", "told", "length", "upper", "lower", "trim", "join", "replace",
];
const SHORT_FILTERS: [&str; 7] = ["first", "last", "nth", "round", "abs", "int", "float"];

/// The tests behind `is`.
const TESTS: [&str; 16] = [
    "same",
    "defined",
    "undefined",
    "none",
    "string",
    "number",
    "map",
    "bool",
    "array",
    "integer",
    "float",
    "iterable",
    "odd",
    "even",
    "divisible_by",
    "starting_with",
];

/// Words for one value.
const CONSTANTS: [&str; 7] = ["true", "True", "false", "False", "none", "None", "null"];

thread_local! {
    /// The steps left for the run on this thread; a run stays on its thread.
    static LEFT: Cell<u64> = const { Cell::new(u64::MAX) };
}

/// Gives this thread's next run its steps.
pub(super) fn allow(steps: u64) {
    LEFT.set(steps);
}

/// Whether a run on this thread needed more steps than it had.
pub(super) fn is_spent() -> bool {
    LEFT.get() == 0
}

/// The message about such a run.
pub(super) fn spent() -> String {
    let (base, per_byte) = (limits::TEMPLATE_STEPS, limits::TEMPLATE_STEPS_PER_BYTE);
    format!("it takes more than {base} steps, and {per_byte} for each byte of its page")
}

/// Takes steps away.
///
/// # Errors
///
/// Where there were fewer; the text is for a finding.
pub(super) fn spend(steps: usize) -> Result<(), String> {
    let left = LEFT.get().checked_sub(steps as u64);
    LEFT.set(left.unwrap_or(0));
    left.map(|_| ()).ok_or_else(spent)
}

/// A book's own template, with its costs inserted.
#[derive(Debug, Clone)]
pub(super) struct Guarded {
    pub text: String,
    /// The template as it was written.
    original: String,
    /// Where something was inserted into the original, and how many bytes; in order.
    put_in: Vec<(usize, usize)>,
}

impl Guarded {
    /// # Errors
    ///
    /// What the template may not say, at its place.
    pub fn new(name: &str, original: &str) -> Result<Self, TemplateError> {
        let most = limits::TEMPLATE_BYTES;
        if original.len() > most {
            let said = format!("it has {} bytes, and {most} is the most", original.len());
            return Err(TemplateError::whole(name, said));
        }
        let mut scan = Scan { name, text: original, at: 0, open: Vec::new(), turns: Vec::new() };
        scan.template()?;
        let end = original.len();
        // A loop without an end is a syntax fault, which the engine reports.
        let left_open = std::mem::take(&mut scan.open);
        scan.turns.extend(left_open.into_iter().map(|(head, trims)| (head, trims, end - head)));
        // The text itself is gone through once for each inclusion.
        scan.turns.push((0, false, end));
        scan.turns.sort_unstable();
        let mut text = String::with_capacity(end + 64 * scan.turns.len());
        let mut put_in = Vec::new();
        let mut so_far = 0;
        for (at, trims, bytes) in scan.turns {
            text.push_str(original.get(so_far..at).unwrap_or_default());
            so_far = at;
            let trim = if trims { "-" } else { "" };
            let charge = format!("{{% if {STEPS}(n={}) %}}{{% endif {trim}%}}", bytes + TURN);
            put_in.push((at, charge.len()));
            text.push_str(&charge);
        }
        text.push_str(original.get(so_far..).unwrap_or_default());
        Ok(Self { text, original: original.to_owned(), put_in })
    }

    /// The place in the original of a range in the text with costs.
    pub fn place(&self, start: usize, end: usize) -> Place {
        let (start, end) = (self.offset(start), self.offset(end));
        place(&self.original, start, end)
    }

    fn offset(&self, at: usize) -> usize {
        let mut before = 0;
        for (place, bytes) in &self.put_in {
            if place + before + bytes > at {
                return (at - before).min(*place);
            }
            before += bytes;
        }
        at - before
    }
}

fn place(text: &str, start: usize, end: usize) -> Place {
    let before = text.get(..start).unwrap_or(text);
    let line_start = before.rfind('\n').map_or(0, |at| at + 1);
    Place::Template {
        line: before.matches('\n').count() + 1,
        column: before.get(line_start..).unwrap_or_default().chars().count() + 1,
        start,
        end: end.max(start),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_readme_lists_what_templates_may_use() {
        let readme = include_str!("../../../README.md");
        let listed = |lead: &str| {
            let list = readme.split_once(lead).unwrap().1;
            let list = list.split("\n- ").next().unwrap().split("\n\n").next().unwrap();
            list.split('`').skip(1).step_by(2).map(str::to_owned).collect::<Vec<_>>()
        };
        assert_eq!(listed("- tags: "), TAGS);
        let filters = [&OWN_FILTERS[..], &SHORT_FILTERS].concat();
        let words = listed("- filters: ");
        assert_eq!(
            words.iter().filter(|word| *word != "layout").collect::<Vec<_>>(),
            filters.iter().collect::<Vec<_>>()
        );
        assert_eq!(listed("- questions behind `is`: "), TESTS);
    }

    fn refusal(text: &str) -> Option<String> {
        Guarded::new("t.md", text).err().map(|error| error.to_string())
    }

    #[test]
    fn what_makes_values_grow_is_no_part_of_templates() {
        for (text, place) in [
            ("a\n {% set x = 1 %}", "line 2, column 5"),
            ("{% filter upper %}{% endfilter %}", "column 4"),
            ("{{ range(end=100000) }}", "column 4"),
            ("{{ [x for x in y] }}", "column 7"),
            ("{% for x in range(end=9) %}{% endfor %}", "column 13"),
            ("{{ a ~ a }}", "column 6"),
            ("{{ a[1:] }}", "column 7"),
            ("{% if a == b %}{% endif %}", "column 9"),
            ("{% if a in b %}{% endif %}", "column 9"),
            ("{{ a | indent(width=100000000) }}", "column 8"),
            ("{% if a is containing(b) %}{% endif %}", "column 12"),
            ("{% extends \"sheet.md\" %}", "column 4"),
            ("{% component x() %}{% endcomponent %}", "column 4"),
            ("{# {{ fine() #}{% raw %}{% set x = 1 %}{% endraw %}{{ \"}}\" | first }}{{ f() }}", "column 73"),
        ] {
            let said = refusal(text).unwrap_or_default();
            assert!(said.contains(place), "{text}: {said}");
        }
        assert_eq!(refusal("{{ a | trim | trim | trim | trim | trim | trim | trim | trim | trim }}"), {
            Some("template t.md, line 1, column 64: there are more than 8 filters here".to_owned())
        });
        assert!(refusal(&" ".repeat(limits::TEMPLATE_BYTES + 1)).is_some());
    }

    #[test]
    fn loops_and_conditions_are_left_as_they_are_but_for_their_charges() {
        let text = "a{% for x in y.in -%}\n  {% if x.for == \"~\" and not (z is not none) %}{{ x | default(value=[1, 2]) }}\
                    {% elif loop.first %}{% else %}{% endif %}{%- endfor %}b";
        let guarded = Guarded::new("t.md", text).unwrap();
        let body = text.find("{%- endfor").unwrap() - text.find("\n").unwrap();
        let charges = [
            format!("{{% if steps(n={}) %}}{{% endif %}}", text.len() + TURN),
            format!("{{% if steps(n={}) %}}{{% endif -%}}", body + TURN),
        ];
        assert!(charges.iter().all(|charge| guarded.text.contains(charge)), "{}", guarded.text);
        let without = charges.iter().fold(guarded.text.clone(), |text, charge| text.replace(charge, ""));
        assert_eq!(without, text);
        // A place in the text with costs is the same place in the template.
        let at = guarded.text.find("loop.first").unwrap();
        assert!(matches!(
            guarded.place(at, at + 4),
            Place::Template { line: 2, start, .. } if text[start..].starts_with("loop.first")
        ));
    }

    #[test]
    fn a_template_that_ends_anywhere_is_read_to_its_end() {
        let text =
            "{# é #}{% raw %}{%{% endraw -%}{{ \"\\\"}}\" | toml -}}{% for x in y %}{{ x['a'] }}{% endfor %}";
        for (end, _) in text.char_indices() {
            let _ = Guarded::new("t.md", &text[..end]);
        }
        assert!(Guarded::new("t.md", text).is_ok());
    }
}

//! A day whose file has another date in its name.

use jiff::civil::Date;

use crate::checks::code;
use crate::checks::place::OfDay;
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::speech::say;

pub(super) static CODE: Code = code(
    "date/not-the-files",
    Severity::Warning,
    r#"A day whose `date` is not the one that its file is named after.

Days follow each other by their dates. One that was copied, and kept the old date,
stands in the wrong place of the diary: what it changed holds too early.

````days/2026-11-22-mab.md
+++
kind = "day"
date = 2026-11-12
+++
````

Better: `date = 2026-11-22`, or give the file the name of its day.
"#,
);

/// Letters of `2026-11-22`.
const LETTERS: usize = 10;

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    let day = place.day;
    let path = place.book.sources.path(day.notebook.document.file);
    let name = path.rsplit('/').next().unwrap_or(path);
    let named = name.get(..LETTERS).and_then(|start| start.parse::<Date>().ok());
    let Some(named) = named.filter(|named| day.is_dated && *named != day.date) else { return };
    let headline = say!("the date is {date}, and the file is named after {named}", date = day.date, named);
    let is_quoted = place.book.sources.text(day.date_span).starts_with(['"', '\'']);
    let meant = if is_quoted { format!("\"{named}\"") } else { named.to_string() };
    findings.push(
        Finding::new(&CODE, day.date_span, headline)
            .fix(say!("write `{named}`", named), day.date_span, meant)
            .help(say!("or name the file after {date}", date = day.date)),
    );
}

//! Templates and page values into a layout-neutral tree.
//!
//! [`compose`] renders a page value (anything that serialises) through a template and reads the Markdown
//! that comes out into a [`Document`]. Both back ends draw that one tree, so they say the same. This room
//! decides what is on a page and in which order things give way when it is full ([`fit`]). It knows no
//! font, no colour and no paper, and opens no file: a book's own templates come in as texts.
//!
//! # The language that templates write
//!
//! A template writes notebook Markdown: an optional TOML head, prose, headings, lists, tables,
//! images; and a few layout blocks of our own. A layout block is a fence whose first word is `layout` and
//! whose second names the kind; more words follow. Its body is TOML where the block is data, and Markdown
//! where it holds other things. Fences nest as in all Markdown: the outer one has more backticks.
//!
//! ```text
//! +++
//! title = "Set-up sheet"         # bookmark and window title; wanted
//! language = "en"                # BCP 47; the reader's if absent
//! subject = "…"                  # optional
//! author = "…"                   # optional
//! date = "2026-05-02"            # the document's own date; nothing here asks a clock
//! foot = "day.md · 1f3e…"        # at the foot of each page, before `page n of m`
//! pages = 1                      # gives way in the fixed order until it fits this many; flows if absent
//! lines = 40                     # at a terminal, lists are cut until each head with what is below it fits this many
//! +++
//! ```
//!
//! | fence | body | what it is |
//! | --- | --- | --- |
//! | `layout head` | TOML: `title`, `subtitle`, `[[field]]` with `label`, `value` | the top of a sheet |
//! | `layout settings` | TOML: `headings` (4: what, value, change, as ridden), `unchanged` (over the unchanged ones, and behind `+n`), `[[row]]` with `name`, and any of `group`, `value`, `expanded`, `unit`, `change`, `note`, `wanted`, `changed`, `keep` | what to set, with a box to write in; what changed is large |
//! | `layout pressures` | TOML: `headings` (over names, cells and boxes), `[[row]]` with `name`, `change` and a `[[row.cell]]` for each column with any of `value`, `expanded`, `unit`, `wanted`, `small` | what to pump and where, with a box to write in |
//! | `layout tiles` | TOML: `[[tile]]` with `label`, and any of `value`, `expanded` (what it may be off by), `unit`, `change`, `note`, `wanted`, `band` | figures side by side |
//! | `layout marks` | the same | figures below each other, the strip of each band on its line |
//! | `layout columns 2 1` | Markdown; a line `---` between two columns | columns of these relative widths |
//! | `layout flow 3` | Markdown | runs on through columns of one height |
//! | `layout checklist` | a Markdown list | each item with a box to tick |
//! | `layout chart [wide] [keep]` | TOML, see [`chart::Chart`] | axes, curves, bands, marks |
//! | `layout drawing` | TOML, see [`drawing::Drawing`] | places, lines, circles and dimensions to scale |
//! | `layout lines 6` | a label, may be empty | lines to write on |
//! | `layout box 18` | a label, may be empty | a box to write in, this many millimetres high |
//! | `layout cautions` | Markdown | small print at the foot of the last page |
//! | `layout prose` | Markdown | a rider's own words, in which no fence is a layout block |
//! | `layout page` | nothing | what follows begins a new page |
//! | `layout page loose` | nothing | the same, unless more than half of the page is left: then it goes on below |
//!
//! In columns a heading of the fifth level is shown only where the columns are beside each other. One of the sixth is shown only
//! where they are below each other, at a terminal or on a telephone: the names of a row's cells.
//!
//! Tables are Markdown tables: `---:` sets a column to the right, aligned on the decimal mark, and their
//! heads are repeated on every page. An image alone in a paragraph is a picture. `layout table` holds one
//! Markdown table and sets it at the small size, for wide rows.
//!
//! `wanted` names the reading that a missing value waits for: an empty box takes the value's place.
//! `band = { low = 95, high = 105, from = 80, to = 120, value = 101, error = 2, last = 98, unit = "mm" }` draws the
//! reading as a mark on its band; every key but `low` and `high` may be absent.
//! `changed` is true when `change` is not empty, unless it is set.
//!
//! # Languages
//!
//! A template's own words come through the filter `say`, which has them in the reader's language: `{{ "to set" | say }}`, or
//! with placeholders to fill `{{ "{count} of {all} laps" | say(count=laps.count, all=laps.all) }}`; in a TOML body
//! `{{ "to set" | say | toml }}`. What fills the placeholders is escaped like any value. A short word that means several things
//! has a context before a bar: `{{ "sag|low" | say }}`.
//!
//! # Escaping
//!
//! A value in `{{ … }}` is escaped for Markdown. In a TOML body that would be wrong, so a value goes there
//! through the filter `toml`, which writes the whole value, quotes and all: `name = {{ row.name | toml }}`;
//! a table is written as its lines of `key = value`, so that ```` ```layout chart ```` may hold nothing but
//! `{{ page.chart | toml }}`, and absent values are left out. Text in TOML is plain text, never Markdown.
//! A figure that may be unknown comes through `told`: its value, else what it needs; `told(short=true)` a dash in the place of that.
//! A rider's own Markdown comes through the filter `prose`, which puts it into a `layout prose` that it cannot leave. A text to be
//! shown letter by letter comes through `code`.
//!
//! Templates hold loops, conditions and inclusions, and the filters `default`, `toml`, `prose`, `code`, `told`, `length`, `upper`,
//! `lower`, `trim`, `join`, `replace`, `first`, `last`, `nth`, `round`, `abs`, `int` and `float`. Values that are not
//! written out are compared by `is same(as=…)`. Templates have no variables and make no lists of any length, so that their
//! cost is in proportion to the page's data.
//! A name that the page does not have is an error, not an empty place. A page gives lists, not maps, where a
//! template walks over something: the engine's maps have no order.

mod block;
pub mod chart;
pub mod drawing;
mod error;
mod filters;
pub mod fit;
mod guard;
mod inline;
mod parse;
mod picture;
mod templates;
mod toml_filter;
pub mod tree;

use serde::Serialize;

use crate::speech::Tongue;

pub use error::TemplateError;
pub use parse::read;
pub use picture::{Anchor, Ink, Picture, Shape, Weight};
pub use templates::{BUILT_IN, Templates};
pub use tree::{Block, Document};

/// Renders a page value through the named template in English and reads what comes out.
///
/// # Errors
///
/// - the template is not known, or has a fault of syntax;
/// - it asks for a name that the page does not have;
/// - what it wrote is not a document: a layout block that is not known or whose body cannot be read.
pub fn compose(
    template: &str,
    page: &impl Serialize,
    templates: &Templates,
) -> Result<Document, TemplateError> {
    compose_in(&Tongue::ENGLISH, template, page, templates)
}

/// The same in a language.
///
/// # Errors
///
/// As [`compose`].
pub fn compose_in(
    tongue: &Tongue,
    template: &str,
    page: &impl Serialize,
    templates: &Templates,
) -> Result<Document, TemplateError> {
    let text = templates.render_in(template, page, tongue)?;
    Ok(parse::read_in(template, &text, tongue.tag())?.spoken(tongue))
}

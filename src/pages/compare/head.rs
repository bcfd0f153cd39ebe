//! What each side of a comparison is about.

use serde::Serialize;

use crate::book::Notebook;
use crate::speech::say;

use super::super::blob_id;
use super::super::say::Say;
use super::Side;

/// One side, described so that nobody mistakes it for the other.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct SideHead {
    /// As the user named it.
    pub name: String,
    /// Relative to its book.
    pub notebook: String,
    /// The notebook's git blob id.
    pub blob: String,
    pub date: Option<String>,
    pub rider: Option<String>,
    pub machine: Option<String>,
    pub track: Option<String>,
    /// Temperature of the air, where it was written.
    pub air: Option<String>,
    /// A short name that distinguishes it from the other.
    pub label: String,
    /// What is known of it, in one line.
    pub line: String,
    /// What is known of it alone, beside what its label says already; else how the user named it.
    pub alone: String,
}

/// What both sides have alike, with its name.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct InBoth {
    pub label: String,
    pub value: String,
}

/// Both heads, and what they have alike.
pub(super) fn heads(a: &Side<'_>, b: &Side<'_>, say: Say<'_>) -> (SideHead, SideHead, Vec<InBoth>) {
    let (mut first, mut second) = (head(a, say), head(b, say));
    let told_by = |part: fn(&SideHead) -> Option<&String>| {
        let (one, two) = (part(&first)?, part(&second)?);
        (one != two).then(|| (one.clone(), two.clone()))
    };
    let is_one_notebook = first.notebook == second.notebook;
    let labels = told_by(|head| head.date.as_ref()).or_else(|| told_by(|head| head.rider.as_ref()));
    let labels = labels.or_else(|| told_by(|head| head.machine.as_ref())).filter(|_| !is_one_notebook);
    let labels = labels.or_else(|| against_standard(a, b, (&first, &second)));
    (first.label, second.label) = labels.unwrap_or_else(|| (a.label().to_owned(), b.label().to_owned()));
    let shared = in_both(&first, &second, say);
    (first.alone, second.alone) = (alone(&first, &second), alone(&second, &first));
    (first, second, shared)
}

/// What a head knows, in the order in which it is said.
fn parts(head: &SideHead) -> [Option<&String>; 5] {
    [&head.date, &head.rider, &head.machine, &head.track, &head.air].map(Option::as_ref)
}

fn in_both(one: &SideHead, other: &SideHead, say: Say<'_>) -> Vec<InBoth> {
    let names = [say!("date"), say!("rider"), say!("machine"), say!("track"), say!("air")];
    let pairs = names.iter().zip(parts(one)).zip(parts(other));
    let alike = pairs.filter_map(|((name, one), other)| {
        let value = one.filter(|_| one == other)?.clone();
        Some(InBoth { label: say.text(name), value })
    });
    alike.collect()
}

fn alone(head: &SideHead, other: &SideHead) -> String {
    let own = parts(head).into_iter().zip(parts(other)).filter(|(one, other)| one != other);
    let own = own.filter_map(|(one, _)| one).filter(|part| **part != head.label);
    let mut own: Vec<&str> = own.map(String::as_str).collect();
    if own.is_empty() || !is_evident(head) {
        own.push(&head.name);
    }
    own.join(" · ")
}

/// Whether the name is no more than the path of the notebook, without a revision or a line; or stands above already.
fn is_evident(head: &SideHead) -> bool {
    let before = head.name.strip_suffix(head.notebook.as_str());
    // On Windows a path may begin with a drive.
    let is_path = |before: &str| !before.get(2..).unwrap_or_default().contains(':');
    head.name == head.label || before.is_some_and(is_path)
}

/// A day compared with a machine's notebook: its date, and what the other side is.
fn against_standard(a: &Side<'_>, b: &Side<'_>, heads: (&SideHead, &SideHead)) -> Option<(String, String)> {
    let label = |side: &Side<'_>, head: &SideHead| match side.day() {
        Some(_) => head.date.clone(),
        None => Some(side.units().say(&say!("setting|standard"))),
    };
    let is_one_day = a.day().is_some() != b.day().is_some();
    Some((label(a, heads.0)?, label(b, heads.1)?)).filter(|_| is_one_day)
}

fn head(side: &Side<'_>, say: Say<'_>) -> SideHead {
    let (book, day, notebook) = (side.book(), side.day(), side.notebook());
    let title = |notebook: Option<&Notebook>| notebook.map(|notebook| notebook.title.clone());
    let air = side.state().and_then(|state| state.conditions()?.air);
    let mut head = SideHead {
        name: side.name().to_owned(),
        notebook: notebook.path.clone(),
        blob: blob_id(side.text().as_bytes()),
        date: day.filter(|day| day.is_dated).map(|day| day.date.to_string()),
        rider: title(day.and_then(|day| book.rider(day))),
        // A machine's, rider's or track's own notebook is named by its title alone.
        machine: if day.is_none() {
            Some(notebook.title.clone())
        } else {
            title(day.and_then(|day| book.machine(day)))
        },
        track: title(day.and_then(|day| book.track(day))),
        air: air.map(|air| say.quantity(&air.quantity).to_string()),
        label: String::new(),
        line: String::new(),
        alone: String::new(),
    };
    head.line = parts(&head).into_iter().flatten().map(String::as_str).collect::<Vec<_>>().join(" · ");
    head
}

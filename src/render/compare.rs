//! Comparisons as text for a terminal.

mod table;

use std::fmt::Write;

use crate::pages::compare::{
    Comparison, FigureChange, Lived, Said, SeasonComparison, SeasonLine, SideHead, Verdict,
};
use crate::pages::wrapped;

use table::{LINE, Row, laid_out};

/// Nothing in it is told by colour alone.
#[derive(Debug, Clone, Copy, Default)]
pub struct Look {
    pub colour: bool,
}

impl Look {
    fn strong(self, text: &str) -> String {
        self.with("\u{1b}[1m", text)
    }

    fn faint(self, text: &str) -> String {
        self.with("\u{1b}[2m", text)
    }

    fn with(self, code: &str, text: &str) -> String {
        if self.colour && !text.is_empty() { format!("{code}{text}\u{1b}[0m") } else { text.to_owned() }
    }
}

/// What stands for a value that is not there.
const NOTHING: &str = "–";
/// Over what the settings that differ do.
const BY_THEMSELVES: &str = "What these changes do by themselves";
/// What stands for an uncertainty that is not known; the page's legend says so.
const UNKNOWN: &str = "(spread unknown)";

/// A comparison for people; one line where nothing differs.
pub fn text(comparison: &Comparison, look: Look) -> String {
    let mut page = Page { text: String::new(), look };
    let (a, b) = (&comparison.a, &comparison.b);
    page.side("A", a);
    page.side("B", b);
    if comparison.is_empty {
        page.text.push_str("\nNothing differs.\n");
    }
    let heads = ["", a.label.as_str(), b.label.as_str(), "change"];
    page.table(
        "Settings",
        &heads,
        comparison.settings.iter().map(|line| {
            let change = line.change.clone().unwrap_or_default();
            Row {
                cells: [line.label.clone(), said(line.a.as_ref()), said(line.b.as_ref()), change],
                is_faint: line.change.is_none(),
            }
        }),
    );
    if let Some(done) = &comparison.by_themselves {
        let rows = done.lines.iter().map(|line| Row {
            cells: [
                line.label.clone(),
                said(line.from.as_ref()),
                said(line.to.as_ref()),
                line.change.clone(),
            ],
            is_faint: false,
        });
        page.table(BY_THEMSELVES, &["", "from", "to", "change"], rows);
        if done.lines.is_empty() {
            page.heading(BY_THEMSELVES);
        }
        let with = format!("with the sags and the air of {}", a.label);
        let with = Some(with).filter(|_| !done.lines.is_empty());
        let without = done.unmodelled.as_ref().map(|names| format!("no model covers {names}"));
        let both: Vec<String> = with.into_iter().chain(without).collect();
        page.remark(&both.join("; "), "  ");
    }
    page.table(
        "Written otherwise",
        &["", a.label.as_str(), b.label.as_str(), ""],
        comparison.written.iter().map(|line| {
            let name = [line.block.as_str(), line.key.as_str()].into_iter().filter(|part| !part.is_empty());
            let or_nothing = |text: &Option<String>| text.clone().unwrap_or_else(|| NOTHING.to_owned());
            let name = name.collect::<Vec<_>>().join(" · ");
            Row { cells: [name, or_nothing(&line.a), or_nothing(&line.b), String::new()], is_faint: false }
        }),
    );
    let (air, rest): (Vec<&FigureChange>, Vec<&FigureChange>) =
        comparison.figures.iter().partition(|line| line.is_of_air);
    // The curve's largest difference says what a row of places along it would.
    let is_told = |line: &&FigureChange| comparison.is_complete || !line.is_along_fork;
    let rest: Vec<&FigureChange> = rest.into_iter().filter(is_told).collect();
    let is_short = !comparison.is_complete;
    page.figures("Measured, and what follows from it", &heads, &rest, is_short);
    let pressures = match &comparison.pressures.brought_to {
        Some(air) => format!("Pressures, {} brought to {air}", b.label),
        None => "Pressures".to_owned(),
    };
    let lines: Vec<&FigureChange> = comparison.pressures.lines.iter().collect();
    page.figures(&pressures, &heads, &lines, is_short);
    if !comparison.pressures.as_written.is_empty() {
        let labels = comparison.pressures.as_written.join(", ");
        page.remark(&format!("as written, with no temperature to bring them by: {labels}"), "  ");
    }
    if let Some(fork) = &comparison.fork {
        page.heading("Fork force");
        let verdict = fork.verdict.words().filter(|_| fork.verdict != Verdict::Within);
        let verdict = verdict.map(|words| format!(", {words}")).unwrap_or_default();
        let air = if fork.is_in_own_air { "; each in the air of its own track" } else { "" };
        let (place, change) = (&fork.largest_at_told, &fork.change);
        page.lines(&format!("largest difference at {place} of travel: {change}{verdict}{air}"));
    }
    page.figures("Air", &heads, &air, is_short);
    if let Some(legend) = &comparison.legend {
        page.text.push('\n');
        page.remark(legend, "  ");
    }
    if comparison.is_text_changed {
        page.text.push_str("\nnotes edited\n");
    }
    if !comparison.assumed.is_empty() {
        page.text.push('\n');
        page.remark(&format!("Taken for granted: {}.", comparison.assumed.join("; ")), "");
    }
    page.text
}

/// Two seasons for people.
pub fn seasons_text(seasons: &SeasonComparison, look: Look) -> String {
    let mut page = Page { text: format!("{}\n", look.strong(&seasons.title)), look };
    for season in [&seasons.a, &seasons.b] {
        let days = if season.days == 1 { "day" } else { "days" };
        let mut told = format!("{}: {} {days}", season.name, season.days);
        if let (Some(first), Some(last)) = (&season.first, &season.last) {
            let _ = write!(told, ", {first} to {last}");
        }
        let tracks: Vec<String> =
            season.tracks.iter().map(|(track, days)| format!("{track} ({days})")).collect();
        if !tracks.is_empty() {
            let _ = write!(told, "; {}", tracks.join(", "));
        }
        page.lines(&told);
    }
    let heads = ["", seasons.a.name.as_str(), seasons.b.name.as_str(), "median moved"];
    let row = |line: &SeasonLine| Row {
        cells: [
            line.label.clone(),
            lived(line.a.as_ref()),
            lived(line.b.as_ref()),
            line.change.clone().unwrap_or_default(),
        ],
        is_faint: line.change.is_none(),
    };
    page.table("Settings: median (range) at the end of the day", &heads, seasons.settings.iter().map(row));
    page.table("Figures: median (range)", &heads, seasons.figures.iter().map(row));
    if !seasons.sag.is_empty() {
        page.heading("Sag");
        for drift in &seasons.sag {
            let told = drift.told.as_deref().unwrap_or("one reading tells no way");
            page.lines(&format!("{}, {}: {told} ({} readings)", drift.label, drift.season, drift.readings));
        }
    }
    page.text
}

fn said(said: Option<&Said>) -> String {
    said.map_or_else(|| NOTHING.to_owned(), |said| said.told.clone())
}

fn measured(said: Option<&Said>) -> String {
    said.map_or_else(|| "not measured".to_owned(), |said| said.told.clone())
}

fn lived(lived: Option<&Lived>) -> String {
    match lived {
        Some(Lived { median, range: Some(range), .. }) => format!("{median} ({range})"),
        Some(Lived { median, range: None, .. }) => median.clone(),
        None => NOTHING.to_owned(),
    }
}

struct Page {
    text: String,
    look: Look,
}

impl Page {
    fn heading(&mut self, heading: &str) {
        let _ = writeln!(self.text, "\n{}", self.look.strong(heading));
    }

    /// A side and what is known of it, on one line or on two.
    fn side(&mut self, label: &str, head: &SideHead) {
        let told = format!("{label} {}  {}", head.name, head.line);
        let gap = if told.chars().count() <= LINE { "  " } else { "\n  " };
        let rest = if head.line.is_empty() { String::new() } else { format!("{gap}{}", head.line) };
        let _ = writeln!(self.text, "{} {}{rest}", self.look.strong(label), head.name);
    }

    /// Words over as many lines as they take.
    fn lines(&mut self, words: &str) {
        for line in wrapped(words, LINE - 2) {
            let _ = writeln!(self.text, "  {line}");
        }
    }

    /// Words below a table or a page, less strong than the lines.
    fn remark(&mut self, words: &str, indent: &str) {
        for line in wrapped(words, LINE - indent.len()) {
            let _ = writeln!(self.text, "{indent}{}", self.look.faint(&line));
        }
    }

    /// Figures that were seen to change; those that were not are counted, unless all are wanted.
    fn figures(&mut self, heading: &str, heads: &[&str; 4], lines: &[&FigureChange], is_short: bool) {
        let is_shown = |line: &&&FigureChange| !is_short || line.verdict != Verdict::Within;
        let within = lines.iter().filter(|line| is_short && line.verdict == Verdict::Within).count();
        let rows: Vec<Row> = lines
            .iter()
            .filter(is_shown)
            .map(|line| {
                let change = line.change.clone().unwrap_or_default();
                let change = match line.verdict {
                    Verdict::Unknown => format!("{change} {UNKNOWN}"),
                    Verdict::Apart => "another track".to_owned(),
                    _ => change,
                };
                Row {
                    cells: [line.label.clone(), measured(line.a.as_ref()), measured(line.b.as_ref()), change],
                    is_faint: matches!(line.verdict, Verdict::Same | Verdict::Apart),
                }
            })
            .collect();
        if rows.is_empty() && within > 0 {
            self.heading(heading);
        } else {
            self.table(heading, heads, rows.into_iter());
        }
        if within > 0 {
            let others = if within == 1 { "figure".to_owned() } else { "figures".to_owned() };
            self.remark(&format!("no measurable change in {within} {others}; `--all` tells them"), "  ");
        }
    }

    fn table(&mut self, heading: &str, heads: &[&str; 4], rows: impl Iterator<Item = Row>) {
        let rows: Vec<Row> = rows.collect();
        if rows.is_empty() {
            return;
        }
        self.heading(heading);
        let heads = Row { cells: heads.map(str::to_owned), is_faint: true };
        for (told, row) in laid_out(&heads, &rows) {
            let is_faint = row.is_none_or(|row| row.is_faint);
            let _ = writeln!(self.text, "{}", if is_faint { self.look.faint(&told) } else { told });
        }
    }
}

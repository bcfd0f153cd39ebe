//! Comparisons as text for a terminal.

use std::fmt::Write;

use crate::pages::compare::{Comparison, FigureChange, Lived, Said, SeasonComparison, SeasonLine, Verdict};

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

/// A comparison for people; one line where nothing differs.
pub fn text(comparison: &Comparison, look: Look) -> String {
    let mut page = Page { text: String::new(), look };
    let (a, b) = (&comparison.a, &comparison.b);
    page.pairs(&[("A", &[&a.name, &a.line]), ("B", &[&b.name, &b.line])]);
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
    page.figures("Figures", &heads, &comparison.figures, comparison.is_complete);
    let pressures = match &comparison.pressures.brought_to {
        Some(air) => format!("Pressures at the gate, brought to {air}"),
        None => "Pressures at the gate".to_owned(),
    };
    page.figures(&pressures, &heads, &comparison.pressures.lines, comparison.is_complete);
    if let Some(fork) = &comparison.fork {
        page.heading("Fork force");
        let verdict = fork.verdict.words().filter(|_| fork.verdict != Verdict::Within);
        let verdict = verdict.map(|words| format!(", {words}")).unwrap_or_default();
        let _ = writeln!(
            page.text,
            "  largest difference at {} of travel: {}{verdict}",
            fork.largest_at_told, fork.change
        );
    }
    if comparison.is_text_changed {
        page.text.push_str("\ntext changed\n");
    }
    if !comparison.assumed.is_empty() {
        let assumed = format!("Taken for granted: {}.", comparison.assumed.join("; "));
        let _ = writeln!(page.text, "\n{}", look.faint(&assumed));
    }
    page.text
}

/// Two seasons for people.
pub fn seasons_text(seasons: &SeasonComparison, look: Look) -> String {
    let mut page = Page { text: format!("{}\n", look.strong(&seasons.title)), look };
    for season in [&seasons.a, &seasons.b] {
        let days = if season.days == 1 { "day" } else { "days" };
        let _ = write!(page.text, "  {}: {} {days}", season.name, season.days);
        if let (Some(first), Some(last)) = (&season.first, &season.last) {
            let _ = write!(page.text, ", {first} to {last}");
        }
        let tracks: Vec<String> =
            season.tracks.iter().map(|(track, days)| format!("{track} ({days})")).collect();
        if !tracks.is_empty() {
            let _ = write!(page.text, "; {}", tracks.join(", "));
        }
        page.text.push('\n');
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
            let _ = writeln!(
                page.text,
                "  {}, {}: {told} ({} readings)",
                drift.label, drift.season, drift.readings
            );
        }
    }
    page.text
}

fn said(said: Option<&Said>) -> String {
    said.map_or_else(|| NOTHING.to_owned(), |said| said.told.clone())
}

fn lived(lived: Option<&Lived>) -> String {
    match lived {
        Some(Lived { median, range: Some(range), .. }) => format!("{median} ({range})"),
        Some(Lived { median, range: None, .. }) => median.clone(),
        None => NOTHING.to_owned(),
    }
}

struct Row {
    cells: [String; 4],
    is_faint: bool,
}

struct Page {
    text: String,
    look: Look,
}

impl Page {
    fn heading(&mut self, heading: &str) {
        let _ = writeln!(self.text, "\n{}", self.look.strong(heading));
    }

    fn pairs(&mut self, pairs: &[(&str, &[&String])]) {
        for (label, parts) in pairs {
            let parts: Vec<&str> =
                parts.iter().map(|part| part.as_str()).filter(|part| !part.is_empty()).collect();
            let _ = writeln!(self.text, "{} {}", self.look.strong(label), parts.join("  "));
        }
    }

    /// Figures that were seen to change, and in one line those that were not.
    fn figures(&mut self, heading: &str, heads: &[&str; 4], lines: &[FigureChange], complete: bool) {
        let is_shown = |line: &&FigureChange| complete || line.verdict != Verdict::Within;
        let rows: Vec<Row> = lines
            .iter()
            .filter(is_shown)
            .map(|line| {
                let change = line.change.clone().unwrap_or_default();
                let words = line.verdict.words().filter(|_| line.verdict == Verdict::Unknown);
                let change = words.map_or_else(|| change.clone(), |words| format!("{change} ({words})"));
                Row {
                    cells: [line.label.clone(), said(line.a.as_ref()), said(line.b.as_ref()), change],
                    is_faint: line.verdict == Verdict::Same,
                }
            })
            .collect();
        let within: Vec<&str> =
            lines.iter().filter(|line| !is_shown(line)).map(|line| line.label.as_str()).collect();
        if rows.is_empty() && within.is_empty() {
            return;
        }
        if rows.is_empty() {
            self.heading(heading);
        } else {
            self.table(heading, heads, rows.into_iter());
        }
        if !within.is_empty() {
            let _ = writeln!(
                self.text,
                "  {}",
                self.look.faint(&format!("within the measurement: {}", within.join(", ")))
            );
        }
    }

    fn table(&mut self, heading: &str, heads: &[&str; 4], rows: impl Iterator<Item = Row>) {
        let rows: Vec<Row> = rows.collect();
        if rows.is_empty() {
            return;
        }
        self.heading(heading);
        let cells = std::iter::once(heads.map(str::to_owned)).chain(rows.iter().map(|row| row.cells.clone()));
        let widths = cells.fold([0; 4], |widths: [usize; 4], cells| {
            let mut cells = cells.iter();
            widths.map(|width| width.max(cells.next().map_or(0, |cell| cell.chars().count())))
        });
        let line = |cells: [&str; 4]| {
            let mut padded = String::new();
            for (cell, width) in cells.into_iter().zip(widths) {
                let _ = write!(padded, "  {cell:<width$}");
            }
            padded.trim_end().to_owned()
        };
        let _ = writeln!(self.text, "{}", self.look.faint(&line(*heads)));
        for row in &rows {
            let [name, a, b, change] = &row.cells;
            let told = line([name, a, b, change]);
            let _ = writeln!(self.text, "{}", if row.is_faint { self.look.faint(&told) } else { told });
        }
    }
}

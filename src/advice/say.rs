//! Advice as plain text, for a terminal.

use super::answer::{Answer, Change, LookState, Next, OnFile, ReadingState, Standing};

/// Where the second column begins.
const COLUMN: usize = 10;

/// The advice as text; `all` tells every step with what became of it.
pub fn text(next: &Next, all: bool) -> String {
    let mut page = Page::default();
    if let Some(complaint) = &next.complaint {
        page.line(&on_file(complaint));
        for other in &next.others {
            page.row("also", &on_file(other));
        }
        if let Some(stop) = &next.stop {
            page.row("stop", stop);
        }
        page.row("look at", &next.first);
        for reading in &next.readings {
            page.row("", &reading_text(reading));
        }
        page.gap();
    }
    looks(&mut page, &next.looks);
    for tried in &next.tried {
        page.row("tried", &tried.text);
    }
    page.gap();
    for text in &next.put_right {
        page.row("put right", text);
    }
    answer(&mut page, &next.answer);
    for caution in &next.cautions {
        page.row("caution", caution);
    }
    if all {
        steps(&mut page, next);
    } else if let count @ 1.. = next.skipped().count() {
        let steps = if count == 1 { "1 step is".to_owned() } else { format!("{count} steps are") };
        page.gap();
        page.line(&format!("{steps} left out; `--all` says which, and why."));
    }
    page.text
}

fn on_file(complaint: &OnFile) -> String {
    let mut text = complaint.say.clone();
    if let Some(place) = complaint.place.as_ref().filter(|place| !text.contains(place.as_str())) {
        text.push_str(&format!(" at {place}"));
    }
    if let Some(strength) = complaint.strength {
        text.push_str(&format!(", {strength} of 5"));
    }
    if !complaint.words.is_empty() {
        text.push_str(&format!(" - {}", complaint.words));
    }
    let at = &complaint.at;
    format!("{text} ({}, {}:{})", complaint.date, at.file, at.line)
}

fn reading_text(reading: &ReadingState) -> String {
    let mut text = format!("{} {}", reading.label, reading.shown.as_deref().unwrap_or("not measured"));
    match (&reading.band, reading.is_in_band) {
        (Some(band), Some(false)) => text.push_str(&format!(", outside its band {band}")),
        (Some(band), _) => text.push_str(&format!(", band {band}")),
        (None, _) => {}
    }
    if let Some(note) = &reading.note {
        text.push_str(&format!("; {note}"));
    }
    text
}

fn looks(page: &mut Page, looks: &[LookState]) {
    let due: Vec<&LookState> = looks.iter().filter(|look| !look.is_done).collect();
    let mut heading = "before";
    for look in due {
        page.row(heading, &format!("[ ] {}", look.say));
        heading = "";
    }
}

fn answer(page: &mut Page, answer: &Answer) {
    match answer {
        Answer::Change(change) => change_text(page, change),
        Answer::Measure(measure) => page.row("measure", &measure.text),
        Answer::Undo(undo) => {
            page.row("undo", &undo.text);
            page.row("write", &undo.write);
        }
        Answer::Ride(text) => page.row("ride", &text.text),
        Answer::Doctor(text) => page.row("stop", &text.text),
        Answer::Check(check) => {
            page.row("first", &check.text);
            page.row("write", &check.write);
        }
        Answer::Nothing(text) => page.row("next", &text.text),
    }
}

fn change_text(page: &mut Page, change: &Change) {
    page.row("change", &change.text);
    let usual = change.usual.iter().map(|usual| ("usual", usual.as_str()));
    let total = change.total.iter().map(|total| ("total", total.as_str()));
    for (heading, text) in usual.chain(total) {
        page.row(heading, text);
    }
    let mut heading = "model";
    for prediction in &change.predictions {
        let change =
            if prediction.is_beyond_measurement { &prediction.change } else { "no measurable change" };
        page.row(
            heading,
            &format!("{} {} → {} ({change})", prediction.label, prediction.before, prediction.after),
        );
        heading = "";
    }
    if let Some(text) = &change.unpredicted {
        page.row("model", text);
    }
    page.row("costs", &change.costs);
    page.row("better if", &change.better);
    page.row("source", &change.source);
    if let Some(worth) = &change.worth {
        page.row("known", &worth.text);
    }
    page.row("undo", &change.undo);
    for also in &change.also {
        page.row("also", also);
    }
    page.row("write", &change.write);
}

fn steps(page: &mut Page, next: &Next) {
    page.gap();
    for step in &next.steps {
        let worth = step.worth.as_ref().filter(|worth| worth.taken > 0).map(|worth| &worth.text);
        let notes = step.note.iter().chain(worth);
        let note: String = notes.map(|note| format!("; {note}")).collect();
        match &step.standing {
            Standing::Next => page.row("next", &format!("{}{note}", step.text)),
            Standing::Later => page.row("later", &format!("{}{note}", step.text)),
            Standing::Skipped(skip) => page.row("left out", &format!("{}: {}", step.text, skip.text)),
        }
    }
}

/// Lines in two columns.
#[derive(Default)]
struct Page {
    text: String,
}

impl Page {
    fn line(&mut self, text: &str) {
        self.text.push_str(text);
        self.text.push('\n');
    }

    /// A heading, and a text of one line or several behind it.
    fn row(&mut self, heading: &str, text: &str) {
        let mut heading = heading;
        for line in text.lines() {
            self.line(format!("{heading:COLUMN$} {line}").trim_end());
            heading = "";
        }
    }

    /// An empty line, never two and none at the top.
    fn gap(&mut self) {
        if !self.text.is_empty() && !self.text.ends_with("\n\n") {
            self.text.push('\n');
        }
    }
}

//! What the commands do with a book, in this process, and what counts as a failure.

use std::fmt;
use std::fmt::Write as _;
use std::panic::{self, AssertUnwindSafe};
use std::sync::Mutex;
use std::time::{Duration, Instant};

use jiff::civil::Date;
use loambook::advice::{self, Asking, Wanted};
use loambook::checks;
use loambook::document::{self, Document, Templates};
use loambook::finding::order;
use loambook::pages::compare::{Side, Subject};
use loambook::pages::next::NextPage;
use loambook::pages::{compare, due, figures, gearing, roster, season, sheet, spring, state, today, what_if};
use loambook::render::findings::{Look, json, sarif, text};
use loambook::render::html::{self, HtmlOptions};
use loambook::render::pdf::{self, PdfOptions};
use loambook::render::terminal::{self, TextOptions};
use loambook::render::{Images, calendar, csv};
use loambook::session::{Compiled, Session};
use loambook::source::{Memory, Store, limits};
use loambook::vocabulary::FigureName;
use serde::Serialize;

use super::books::Files;

/// The longest that a book of these sizes may compute, with code that is not fully optimised. What takes longer grows faster than
/// the book.
const LIMIT: Duration = Duration::from_secs(20);
/// How many days of a book are printed and compared in a case.
const DAYS: usize = 3;
pub const ASKED_ON: Date = Date::constant(2026, 12, 1);

/// How much is done with a book.
#[derive(Debug, Clone, Copy)]
pub struct Effort {
    /// Whether pages are laid out on paper too, which takes the most time.
    pub is_printed: bool,
    pub is_told_twice: bool,
    /// Which days are looked at, among other things.
    pub salt: u64,
}

/// Why a book failed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Fall {
    /// The place and the message.
    Panic(String),
    /// The same book gave two answers; the first line that differs.
    TwoAnswers(String),
    Slow(Duration),
}

impl Fall {
    /// The same for two books that fail for one reason.
    pub fn kind(&self) -> String {
        match self {
            // The place; the words hold values.
            Self::Panic(panic) => panic.lines().next().unwrap_or_default().to_owned(),
            Self::TwoAnswers(line) => format!("two answers {:.20}", line),
            Self::Slow(_) => "slow".to_owned(),
        }
    }
}

impl fmt::Display for Fall {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Panic(panic) => write!(f, "it panics at {panic}"),
            Self::TwoAnswers(line) => write!(f, "the same book has two answers: {line}"),
            Self::Slow(took) => write!(f, "it takes {:.1} s", took.as_secs_f64()),
        }
    }
}

static PANIC: Mutex<Option<String>> = Mutex::new(None);

/// Panics are noted down, with their place, and not printed.
pub fn keep_panics_quiet() {
    panic::set_hook(Box::new(|panic| {
        let place = panic.location().map(ToString::to_string).unwrap_or_default();
        let words = panic.payload_as_str().unwrap_or_default();
        if let Ok(mut kept) = PANIC.lock() {
            kept.get_or_insert(format!("{place}\n{words}"));
        }
    }));
}

/// How long this process has computed, where the system tells; else how long it has run. On a machine that does other things
/// as well a clock on the wall says nothing about a book.
pub fn computed(since: Instant) -> Duration {
    // User and system time in hundredths of a second, the twelfth and thirteenth word behind the program's name: proc(5).
    let stat = std::fs::read_to_string("/proc/self/stat").unwrap_or_default();
    let words = stat.rsplit_once(") ").map_or("", |(_, behind)| behind);
    let times = words.split(' ').skip(11).take(2).map(str::parse::<u64>);
    let ticks: Option<u64> = times.map(Result::ok).sum();
    match ticks {
        Some(ticks) if ticks > 0 => Duration::from_millis(ticks * 10),
        _ => since.elapsed(),
    }
}

/// Does with a book what the commands do; what went wrong, if anything.
pub fn fall(files: &Files, effort: Effort) -> Option<Fall> {
    *PANIC.lock().unwrap() = None;
    let wall = Instant::now();
    let before = computed(wall);
    let run = || panic::catch_unwind(AssertUnwindSafe(|| everything(files, effort)));
    let panicked = |_| Fall::Panic(PANIC.lock().unwrap().take().unwrap_or_default());
    let first = match run().map_err(panicked) {
        Ok(told) => told,
        Err(fall) => return Some(fall),
    };
    let took = computed(wall).saturating_sub(before);
    if took > LIMIT {
        return Some(Fall::Slow(took));
    }
    if effort.is_told_twice {
        match run().map_err(panicked) {
            Ok(second) if second != first => return Some(Fall::TwoAnswers(difference(&first, &second))),
            Ok(_) => {}
            Err(fall) => return Some(fall),
        }
    }
    None
}

fn difference(first: &str, second: &str) -> String {
    let lines = first.lines().zip(second.lines()).find(|(first, second)| first != second);
    lines
        .map_or_else(|| "one is longer".to_owned(), |(first, second)| format!("{first:.200} | {second:.200}"))
}

/// All that is said about a book.
fn everything(files: &Files, effort: Effort) -> String {
    let mut store = Memory::new();
    for (path, bytes) in files {
        store.set(path.clone(), bytes.clone());
    }
    let mut told = String::new();
    let Ok(mut session) = Session::over(&store) else { return told };
    let Compiled { book, season: replayed, advice, mut findings } = session.compile(Some(ASKED_ON));
    checks::tell_once(&book, &mut findings);
    order(&mut findings);
    told.push_str(&text(
        &findings,
        &book.sources,
        Look { colour: effort.salt.is_multiple_of(2), ..Look::default() },
    ));
    told.push_str(&json(&findings, &book.sources));
    if effort.is_printed {
        told.push_str(&sarif(&findings, &book.sources, &advice::catalogue()));
    }

    let templates = templates(files).unwrap_or_else(|error| {
        let _ = writeln!(told, "{error}");
        Templates::new([]).unwrap()
    });
    let mut press = Press { store: &store, templates, is_printed: effort.is_printed, told: &mut told };
    let count = replayed.days.len();
    let days: Vec<usize> =
        (0..count.min(DAYS)).map(|at| (effort.salt as usize).wrapping_add(at * 7) % count).collect();
    for day in &days {
        let of_sheet =
            sheet::Options { on: Some(ASKED_ON), torques: true, diary: true, ..sheet::Options::default() };
        if let Some(page) = sheet::sheet(&book, &replayed, &advice, *day, of_sheet) {
            let row = roster::row(&book, &replayed, *day, &page, None);
            press.told.push_str(&serde_json::to_string(&row).unwrap_or_default());
            press.page("sheet.md", &page, page.photos.iter().map(|photo| photo.path.as_str()));
        }
        if let Some(page) = figures::of_day(&book, &replayed, *day) {
            press.json(&page);
            press.text("figures.md", &page.at_end(figures::Extent::All));
        }
        if let Some(page) = today::today(&book, &replayed, &advice, *day, ASKED_ON, false) {
            let tonight = today::tonight(&book.about.units, ASKED_ON, vec![page], &[]);
            press.page("today.md", &tonight, []);
        }
        for figure in ["sag.rear.rider", "sag.front.rider", "geometry.trail", "drive.ratio"] {
            let Some(figure) = FigureName::parse(figure) else { continue };
            let wanted = Wanted { figure, value: 0.1, by: None };
            let best = advice::best(&book, &replayed, &advice, *day, &wanted);
            press
                .told
                .push_str(&best.map_or_else(|why| why, |best| what_if::solved_told(&book, *day, &best, 0.1)));
        }
        let asking = Asking { day: *day, points: None, on: Some(ASKED_ON), is_of_book: false };
        if let Some(next) = advice::next(&book, &replayed, asking, &advice) {
            press.text("next.md", &NextPage::new(String::new(), next).laid(true));
        }
        if let Some(page) = spring::springs(&book, &replayed, *day) {
            press.text("spring.md", &page);
        }
        if let Some(page) = gearing::gearings(&book, &replayed, *day) {
            press.text("gearing.md", &page.laid());
        }
        if let Some(page) = state::of_day(&book, &replayed, *day, None) {
            press.text("state.md", &page);
        }
    }
    for machine in book.machines.keys() {
        if let Some(page) = state::of_machine(&book, machine) {
            press.text("state.md", &page);
        }
    }
    for bytes in files.values().skip(effort.salt as usize % files.len().max(1)).take(1) {
        press.told.extend(state::alone(bytes));
    }
    let list = due::due(&book, &replayed, ASKED_ON);
    press.text("due.md", &list.laid());
    press.told.push_str(&calendar::calendar(&list));

    let history = season::page(&book, &replayed, &advice, &season::Options::default());
    press.told.push_str(&csv::write(&season::table(&history, &book.units_for(None))));
    press.page("season.md", &history, []);

    // Any two notebooks may be asked for, be they days or not.
    let notebooks: Vec<_> = book.sources.files().collect();
    let pick = |salt: u64| notebooks.get(salt as usize % notebooks.len().max(1)).copied();
    if let (Some(a), Some(b)) = (pick(effort.salt >> 8), pick(effort.salt >> 16)) {
        let side = |file| Side::new(&book, &replayed, book.sources.path(file), Subject::Notebook(file));
        if let (Some(a), Some(b)) = (side(a), side(b)) {
            let page = compare::compare(&a, &b, effort.salt.is_multiple_of(3));
            press.page("compare.md", &page, []);
        }
    }
    if effort.salt.is_multiple_of(3) {
        told.push_str(&super::edited::tried(files, effort.salt));
    }
    if effort.salt.is_multiple_of(5) {
        told.push_str(&super::edited::edited(files, effort.salt));
    }
    told
}

fn templates(files: &Files) -> Result<Templates, document::TemplateError> {
    let own = files.iter().filter_map(|(path, bytes)| {
        let name = path.strip_prefix("templates/").filter(|name| name.ends_with(".md"))?;
        Some((name, std::str::from_utf8(bytes).ok()?))
    });
    Templates::new(own)
}

/// Lays pages out, as text of which everything that is said is kept.
struct Press<'a> {
    store: &'a dyn Store,
    templates: Templates,
    is_printed: bool,
    told: &'a mut String,
}

impl Press<'_> {
    fn json(&mut self, page: &impl Serialize) {
        self.told.push_str(&serde_json::to_string(page).unwrap_or_default());
        self.told.push('\n');
    }

    fn composed(&mut self, template: &str, page: &impl Serialize) -> Option<Document> {
        let composed = document::compose(template, page, &self.templates);
        let note = |error: &_| {
            let _ = writeln!(self.told, "{error}");
        };
        composed.inspect_err(note).ok()
    }

    fn text(&mut self, template: &str, page: &impl Serialize) {
        self.json(page);
        if let Some(document) = self.composed(template, page) {
            self.told.push_str(&terminal::write(&document, TextOptions::default()));
        }
    }

    fn page<'p>(&mut self, template: &str, page: &impl Serialize, photos: impl IntoIterator<Item = &'p str>) {
        self.json(page);
        let Some(document) = self.composed(template, page) else { return };
        self.told.push_str(&terminal::write(&document, TextOptions::default()));
        let read = |path: &str| Some((path.to_owned(), self.store.read(path, limits::PHOTO_BYTES).ok()?));
        let images: Images = photos.into_iter().filter_map(read).collect();
        let options = HtmlOptions { images: images.clone(), is_sortable: true, ..HtmlOptions::default() };
        self.told.push_str(&html::write(&document, &options));
        if self.is_printed {
            let options = PdfOptions { images, ..PdfOptions::default() };
            match pdf::write(&[document], &options) {
                Ok(printed) => self.told.push_str(&String::from_utf8_lossy(&printed.bytes)),
                Err(error) => {
                    let _ = writeln!(self.told, "{error}");
                }
            }
        }
    }
}

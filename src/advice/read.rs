//! An advice file into its data.

use std::sync::{Arc, LazyLock};

use crate::finding::Finding;
use crate::notebook::{self, Entry, Node, Value};
use crate::quantity::{self, Kind, UnitDefaults, Way};
use crate::source::{FileId, Sources, Span};
use crate::vocabulary::{self, End, figures, settings};

use super::codes;
use super::data::{
    Advice, AtEnd, Best, ChamberRole, Complaint, Ease, ForkKind, FromStandard, FuellingRule, HardRange, Look,
    Make, Needs, ReadingRule, Ring, RingWord, SagTo, Step, Total,
};
use super::injury::{Injury, Phrase, plain};
use super::keys::{Keys, is_name, items, kinds_of};

/// Where a book keeps an advice file of its own.
pub const ADVICE_FILE: &str = "templates/advice.toml";

/// The advice that ships.
const SHIPPED: &str = include_str!("../../templates/advice.toml");

const ENDS: [(&str, End); 2] = [("front", End::Front), ("rear", End::Rear)];

impl Advice {
    /// The advice that ships with the program: read once.
    pub fn shipped() -> Arc<Self> {
        static READ: LazyLock<Arc<Advice>> = LazyLock::new(|| {
            let mut sources = Sources::new();
            let file = sources.set(ADVICE_FILE, SHIPPED);
            // A test holds that there is nothing to say about it.
            Arc::new(Advice::default().overlaid(file, SHIPPED).0)
        });
        Arc::clone(&READ)
    }

    /// The advice that ships, and over it what a book's own file says; what is wrong with that file is reported.
    pub fn read(file: FileId, text: &str) -> (Self, Vec<Finding>) {
        Self::clone(&Self::shipped()).overlaid(file, text)
    }

    /// Lays a file over this advice: what has a name that is there already takes its place.
    fn overlaid(mut self, file: FileId, text: &str) -> (Self, Vec<Finding>) {
        let (table, mut findings) = notebook::parse_table(file, text);
        let mut keys = Keys::new(&table, Span::top(file), &mut findings);
        if keys.truth("alone") == Some(true) {
            self.looks.clear();
            self.readings.clear();
            self.complaints.clear();
        }
        let places = keys.texts("places");
        if !places.is_empty() {
            self.places = places;
        }
        self.read_looks(&mut keys);
        self.read_readings(&mut keys);
        self.read_tables_of_names(&mut keys);
        self.read_totals(&mut keys);
        self.read_ranges(&mut keys);
        self.read_rules(&mut keys);
        self.read_complaints(&mut keys);
        self.read_said(&mut keys);
        keys.close();
        (self, findings)
    }

    fn read_looks(&mut self, keys: &mut Keys<'_, '_>) {
        for entry in keys.entries("look") {
            let Some(mut own) = open(entry, keys.findings) else { continue };
            let look = Look {
                name: entry.key.clone(),
                say: own.needed("say"),
                shown_by: own.texts("shown_by"),
                holds_days: own.days("holds").unwrap_or(0),
                for_all: own.truth("for_all").unwrap_or(true),
                needs_bleeders: own.truth("bleeders").unwrap_or(false),
            };
            own.close();
            if !own.is_broken {
                put(&mut self.looks, look, |look| &look.name);
            }
        }
    }

    fn read_readings(&mut self, keys: &mut Keys<'_, '_>) {
        for entry in keys.entries("reading") {
            let Some(mut own) = open(entry, keys.findings) else { continue };
            if !is_pattern(&entry.key) {
                own.unknown(entry.key_span, &entry.key, "figure or reading", vocabulary::every_name());
            }
            let rule = ReadingRule {
                pattern: entry.key.clone(),
                every_days: own.days("every"),
                after: own.texts("after"),
                say: own.needed("say"),
                low: own.text("low"),
                high: own.text("high"),
            };
            own.close();
            if !own.is_broken {
                put(&mut self.readings, rule, |rule| &rule.pattern);
            }
        }
    }

    fn read_tables_of_names(&mut self, keys: &mut Keys<'_, '_>) {
        for (key, into) in [("work", &mut self.work), ("together", &mut self.together)] {
            for entry in keys.entries(key) {
                let mut names = Vec::new();
                for item in items(&entry.value) {
                    let Some(text) = keys.text_of(item) else { continue };
                    if settings::row(&text).is_some() {
                        names.push(text);
                    } else {
                        keys.unknown(item.span, &text, "setting", vocabulary::every_name());
                    }
                }
                put(into, (entry.key.clone(), names), |(name, _)| name);
            }
        }
        for entry in keys.entries("caution") {
            if let Some(text) = keys.text_of(&entry.value) {
                put(&mut self.cautions, (entry.key.clone(), text), |(name, _)| name);
            }
        }
    }

    fn read_totals(&mut self, keys: &mut Keys<'_, '_>) {
        for entry in keys.entries("total") {
            let kinds = kinds_of_pattern(&entry.key);
            if kinds.is_empty() {
                keys.unknown(entry.key_span, &entry.key, "setting or figure", vocabulary::every_name());
                continue;
            }
            // Of what holds air, a share of its own pressure too.
            let kinds = match kinds.contains(&Kind::GaugePressure) {
                true => [kinds, vec![Kind::Share]].concat(),
                false => kinds,
            };
            let most = items(&entry.value).iter().filter_map(|item| keys.quantity_of(item, &kinds)).collect();
            put(&mut self.totals, Total { pattern: entry.key.clone(), most }, |total| &total.pattern);
        }
    }

    fn read_ranges(&mut self, keys: &mut Keys<'_, '_>) {
        for entry in keys.entries("range") {
            let kinds = kinds_of_pattern(&entry.key);
            if kinds.is_empty() {
                keys.unknown(entry.key_span, &entry.key, "setting or figure", vocabulary::every_name());
                continue;
            }
            let Some(text) = keys.text_of(&entry.value) else { continue };
            match quantity::interval(&text, &kinds, &UnitDefaults::default()) {
                Ok(within) => {
                    let range = HardRange { pattern: entry.key.clone(), within };
                    put(&mut self.ranges, range, |range| &range.pattern);
                }
                Err(problem) => keys.findings.push(problem.finding(|range| entry.value.place(range))),
            }
        }
    }

    fn read_rules(&mut self, keys: &mut Keys<'_, '_>) {
        for (table, place) in keys.tables("from_standard") {
            let mut own = Keys::new(table, place, keys.findings);
            let rule = FromStandard {
                clicks: own.quantity("clicks", &[Kind::Clicks]).map(|clicks| clicks.value),
                share: own.quantity("share", &[Kind::Share]).map(|share| share.value),
                half_for: own.texts("half_for"),
            };
            own.close();
            self.from_standard = rule;
        }
        for (table, place) in keys.tables("ring") {
            let mut own = Keys::new(table, place, keys.findings);
            let mut share = |key| own.quantity(key, &[Kind::Share]).map(|share| share.value);
            let ring = Ring {
                deep_from: share("deep_from").unwrap_or(self.ring.deep_from),
                bottomed_from: share("bottomed_from").unwrap_or(self.ring.bottomed_from),
            };
            own.close();
            self.ring = ring;
        }
        for (table, place) in keys.tables("fuelling") {
            let mut own = Keys::new(table, place, keys.findings);
            let or = |texts: Vec<String>, before: &Vec<String>| {
                if texts.is_empty() { before.clone() } else { texts }
            };
            let heat = own.quantity("great_heat_from", &[Kind::Temperature]).map(|heat| heat.value);
            let rule = FuellingRule {
                never_leanest_on: or(own.texts("never_leanest_on"), &self.fuelling.never_leanest_on),
                great_heat_from: heat.unwrap_or(self.fuelling.great_heat_from),
                not_leaner_for: or(own.texts("not_leaner_for"), &self.fuelling.not_leaner_for),
                richest_with_traction: or(
                    own.texts("richest_with_traction"),
                    &self.fuelling.richest_with_traction,
                ),
            };
            own.close();
            self.fuelling = rule;
        }
        for (table, place) in keys.tables("injury") {
            let mut own = Keys::new(table, place, keys.findings);
            read_injury(&mut own, &mut self.injury);
            own.close();
        }
    }

    fn read_complaints(&mut self, keys: &mut Keys<'_, '_>) {
        let entries = keys.entries("complaint");
        // Entries may name each other in any order.
        let words: Vec<String> = self
            .complaints
            .iter()
            .map(|complaint| complaint.key.clone())
            .chain(entries.iter().map(|entry| entry.key.clone()))
            .collect();
        for entry in entries {
            let Some(own) = open(entry, keys.findings) else { continue };
            let (complaint, is_broken) = self.read_complaint(entry, own, &words);
            if !is_broken {
                put(&mut self.complaints, complaint, |complaint| &complaint.key);
            }
        }
    }

    fn read_said(&mut self, keys: &mut Keys<'_, '_>) {
        let of_names = |table: &Node, names: &[String], what: &str, keys: &mut Keys<'_, '_>| {
            let Value::Table(table) = &table.value else { return Vec::new() };
            let mut all = Vec::new();
            for entry in &table.entries {
                if names.contains(&entry.key) {
                    let ways = items(&entry.value).iter().filter_map(|item| keys.text_of(item)).collect();
                    all.push((entry.key.clone(), ways));
                } else {
                    keys.unknown(entry.key_span, &entry.key, what, names);
                }
            }
            all
        };
        let words: Vec<String> = self.words().into_iter().map(str::to_owned).collect();
        for entry in keys.entries("said") {
            match entry.key.as_str() {
                "complaint" => {
                    for ways in of_names(&entry.value, &words, "complaint", keys) {
                        put(&mut self.said.complaints, ways, |(name, _)| name);
                    }
                }
                "place" => {
                    for ways in of_names(&entry.value, &self.places, "place", keys) {
                        put(&mut self.said.places, ways, |(name, _)| name);
                    }
                }
                "words" => {
                    let Some(mut own) = open(entry, keys.findings) else { continue };
                    let said = &mut self.said;
                    for (key, into) in [
                        ("small", &mut said.small),
                        ("joins", &mut said.joins),
                        ("content", &mut said.content),
                        ("not_so", &mut said.not_so),
                        ("is_over", &mut said.is_over),
                        ("parts", &mut said.parts),
                        ("at", &mut said.at),
                        ("no_place", &mut said.no_place),
                        ("counted", &mut said.counted),
                    ] {
                        let texts = own.texts(key);
                        if !texts.is_empty() {
                            *into = texts;
                        }
                    }
                    own.close();
                }
                other => {
                    let names = ["complaint", "place", "words"].map(str::to_owned);
                    keys.unknown(entry.key_span, other, "table of `said`", &names);
                }
            }
        }
    }

    fn read_complaint(&self, entry: &Entry, mut own: Keys<'_, '_>, words: &[String]) -> (Complaint, bool) {
        let names = vocabulary::every_name();
        let looks: Vec<String> = self.looks.iter().map(|look| look.name.clone()).collect();
        let is_word = |text: &str| words.iter().any(|word| word == text);
        let is_place = |text: &str| self.places.iter().any(|place| place == text);
        let is_look = |text: &str| looks.iter().any(|look| look == text);
        let mut complaint = Complaint {
            key: entry.key.clone(),
            word: own.text("word").unwrap_or_else(|| entry.key.clone()),
            also_called: own.texts("also_called"),
            at: own.known("at", "place", is_place, &self.places),
            say: own.needed("say"),
            first: own.needed("first"),
            rests_on: own.known("rests_on", "figure or reading", is_name, names),
            shows: own.known("shows", "figure", is_pattern, names),
            looks: own.known("looks", "look", is_look, &looks),
            yields_to: own.known("yields_to", "complaint", is_word, words),
            bottomed: own.word("bottomed", &ENDS),
            warns: own.text("warns"),
            needs: read_needs(&mut own, names),
            no_cure: own.text("no_cure"),
            predict: own.known("predict", "figure", |name| figures::row(name).is_some(), names),
            steps: Vec::new(),
            then: own.known_one("then", "complaint", is_word, words),
        };
        for (table, place) in own.tables("step") {
            let mut step = Keys::new(table, place, own.findings);
            let read = self.read_step(&mut step, names);
            step.close();
            // A step that is half understood is never offered; the others are.
            complaint.steps.extend(read.filter(|_| !step.is_broken));
        }
        own.close();
        (complaint, own.is_broken)
    }

    fn read_step(&self, own: &mut Keys<'_, '_>, names: &[String]) -> Option<Step> {
        let is_place = |text: &str| self.places.iter().any(|place| place == text);
        let cautions: Vec<String> = self.cautions.iter().map(|(name, _)| name.clone()).collect();
        let make = read_make(own, names);
        let is_made = make.is_some();
        let best = own.tables("best").first().copied().and_then(|(table, place)| {
            let mut best = Keys::new(table, place, own.findings);
            let is_figure = |name: &str| figures::row(name).is_some();
            let raise = best.known_one("raise", "figure", is_figure, names);
            let against = best.known_one("against", "figure", is_figure, names);
            let is_computed = best.truth("computed").unwrap_or(false);
            best.close();
            let is_broken = best.is_broken;
            own.is_broken |= is_broken;
            raise.map(|raise| Best { raise, against, is_computed })
        });
        // Every key is asked for before a step is given up, so that each is told from one that nobody knows.
        let step = Step {
            make: make.unwrap_or(Make::Jet),
            at: own.known("at", "place", is_place, &self.places),
            usual: own.text("usual"),
            costs: own.needed("costs"),
            better: own.needed("better"),
            undo: own.text("undo"),
            ease: own
                .word(
                    "ease",
                    &[
                        ("spot", Ease::Spot),
                        ("shop", Ease::Shop),
                        ("parts", Ease::Parts),
                        ("never", Ease::Never),
                    ],
                )
                .unwrap_or(Ease::Spot),
            fork: own.word("fork", &[("air", ForkKind::Air), ("coil", ForkKind::Coil)]),
            ring: own.word("ring", &[("little", RingWord::Little), ("deep", RingWord::Deep)]),
            outside: own.known_one("outside", "figure or reading", is_name, names),
            helped: own.known_one("helped", "setting", is_name, names),
            limit: own.known("limit", "figure, reading or setting", is_name, names),
            goes_first: own.truth("goes_first").unwrap_or(false),
            how: own.text("how"),
            by_manual: own.text("by_manual"),
            at_end: self.read_at_end(own),
            caution: own.known_one(
                "caution",
                "caution",
                |name| cautions.iter().any(|known| known == name),
                &cautions,
            ),
            best,
        };
        is_made.then_some(step)
    }

    /// What is said and looked at where a step has come to its end.
    fn read_at_end(&self, own: &mut Keys<'_, '_>) -> Option<AtEnd> {
        let (table, place) = own.tables("at_end").first().copied()?;
        let looks: Vec<String> = self.looks.iter().map(|look| look.name.clone()).collect();
        let mut end = Keys::new(table, place, own.findings);
        let is_look = |text: &str| looks.iter().any(|look| look == text);
        let (say, look) = (end.needed("say"), end.known_one("look", "look", is_look, &looks));
        end.close();
        let is_broken = end.is_broken;
        own.is_broken |= is_broken;
        Some(AtEnd { say, look: look? })
    }
}

/// `more geometry.trail`: what a step must do for it to be a cure.
fn read_needs(own: &mut Keys<'_, '_>, names: &[String]) -> Option<Needs> {
    let text = own.text("needs")?;
    let place = own.place_of("needs");
    let (way, figure) = text.split_once(' ').unwrap_or((&text, ""));
    let is_more = match way {
        "more" => true,
        "less" => false,
        _ => {
            own.bad(
                place,
                format!("`{text}` does not say which way"),
                "write `more` or `less` and a figure".to_owned(),
            );
            return None;
        }
    };
    if figures::row(figure).is_none() {
        own.unknown(place, figure, "figure", names);
        return None;
    }
    Some(Needs { figure: figure.to_owned(), is_more })
}

/// Words of injury are added to those that are known: no file takes one away.
fn read_injury(own: &mut Keys<'_, '_>, injury: &mut Injury) {
    let texts = [
        ("say", &mut injury.say),
        ("others", &mut injury.others),
        ("ask", &mut injury.ask),
        ("look_over", &mut injury.look_over),
    ];
    for (key, text) in texts {
        if let Some(own) = own.text(key) {
            *text = own;
        }
    }
    let phrases =
        [("signs", &mut injury.signs), ("doubtful", &mut injury.doubtful), ("crash", &mut injury.crash)];
    for (key, known) in phrases {
        own.texts(key).iter().for_each(|text| known.push(Phrase::new(text)));
    }
    let words = [
        ("things", &mut injury.things),
        ("body", &mut injury.body),
        ("not", &mut injury.not),
        ("between", &mut injury.between),
        ("or", &mut injury.or),
        ("free", &mut injury.free),
        ("never", &mut injury.never),
    ];
    for (key, known) in words {
        let new: Vec<String> = own.texts(key).iter().map(|text| plain(text)).collect();
        known.extend(new.into_iter().filter(|word| !known.contains(word)).collect::<Vec<_>>());
    }
}

/// What a step does, by the key that it is written under.
fn read_make(own: &mut Keys<'_, '_>, names: &[String]) -> Option<Make> {
    for key in ["by", "to", "do", "start"] {
        // Which of them a step needs depends on what it changes.
        let _ = own.node(key);
    }
    if own.node("setting").is_some() {
        let is_setting = |name: &str| settings::row(name).is_some();
        let setting = own.known_one("setting", "setting", is_setting, names)?;
        let kinds = kinds_of(&setting);
        if let Some(to) = own.text("to") {
            return Some(Make::Word { setting, to, doing: own.needed("do") });
        }
        let by = own.moves("by", kinds);
        let row = settings::row(&setting)?;
        for by in &by {
            if row.direction(by.way).is_none() {
                let place = own.place_of("by");
                own.bad(
                    place,
                    format!("`{setting}` does not go that way"),
                    "write it as in a `change` of that setting".to_owned(),
                );
            }
        }
        return Some(Make::Move { setting, by, start: own.quantity("start", kinds) });
    }
    if own.node("chamber").is_some() {
        let roles =
            [("main", ChamberRole::Main), ("negative", ChamberRole::Negative), ("every", ChamberRole::Every)];
        let which = own.word("chamber", &roles)?;
        if own.node("to").is_some() {
            own.word("to", &[("balance", ())])?;
            let most = own.quantity("by", &[Kind::GaugePressure, Kind::Share]);
            return most.map(|most| Make::Balance { most });
        }
        let by = own.moves("by", &[Kind::GaugePressure, Kind::Share]).into_iter().next()?;
        return Some(Make::Chamber { which, by });
    }
    if own.node("sag").is_some() {
        let end = own.word("sag", &ENDS)?;
        if own.node("to").is_some() {
            own.word("to", &[("aim", ())])?;
            return Some(Make::Sag { end, to: SagTo::Aim });
        }
        let by = own.moves("by", &[Kind::Length]).into_iter().next()?;
        let to = if by.way == Way::Minus { SagTo::Less(by.size) } else { SagTo::More(by.size) };
        return Some(Make::Sag { end, to });
    }
    if own.node("spring").is_some() {
        let end = own.word("spring", &ENDS)?;
        let is_stiffer = own.word("to", &[("stiffer", true), ("softer", false)])?;
        return Some(Make::Spring { end, is_stiffer });
    }
    if own.node("fuelling").is_some() {
        let is_richer = own.word("fuelling", &[("richer", true), ("leaner", false)])?;
        return Some(Make::Fuelling { is_richer });
    }
    if own.node("jet").is_some() {
        own.word("jet", &[("for-air", ())])?;
        return Some(Make::Jet);
    }
    own.lacks("setting");
    None
}

/// A table under a name, ready to be read.
fn open<'t, 'f>(entry: &'t Entry, findings: &'f mut Vec<Finding>) -> Option<Keys<'t, 'f>> {
    let Node { value, span } = &entry.value;
    match value {
        Value::Table(table) => Some(Keys::new(table, entry.key_span, findings)),
        _ => {
            let headline = format!("`{}` is no table", entry.key);
            findings.push(Finding::new(&codes::BAD_VALUE, *span, headline).help("write it as a table"));
            None
        }
    }
}

/// Whether a text is a pattern of a figure, reading or setting, or a name of one.
fn is_pattern(text: &str) -> bool {
    let patterns = figures::FIGURES.iter().chain(figures::READINGS).map(|row| row.pattern);
    patterns.chain(settings::SETTINGS.iter().map(|row| row.pattern)).any(|pattern| pattern == text)
        || is_name(text)
}

/// The kinds that a pattern's values have.
fn kinds_of_pattern(pattern: &str) -> Vec<Kind> {
    let setting = settings::SETTINGS.iter().find(|row| {
        row.pattern == pattern || settings::row(pattern).is_some_and(|own| std::ptr::eq(own, **row))
    });
    if let Some(row) = setting {
        return match row.value {
            settings::SettingValue::Quantity(kinds) => kinds.to_vec(),
            settings::SettingValue::Text | settings::SettingValue::Word(_) => Vec::new(),
        };
    }
    let figure =
        figures::FIGURES.iter().copied().find(|row| row.pattern == pattern).or_else(|| figures::row(pattern));
    figure.and_then(|row| row.kind()).into_iter().collect()
}

/// Puts an entry in the place of the one with the same name, or at the end.
fn put<T>(all: &mut Vec<T>, entry: T, name: impl Fn(&T) -> &String) {
    match all.iter_mut().find(|known| name(known) == name(&entry)) {
        Some(known) => *known = entry,
        None => all.push(entry),
    }
}

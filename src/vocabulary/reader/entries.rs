//! Entries of the blocks that take keys beyond those they list: settings, bands, limits, pressures.

use crate::finding::Finding;
use crate::notebook::{Node, Table, Value, dates};
use crate::quantity::Kind;
use crate::speech::{Message, say};

use super::super::blocks::{self, Change, PRESSURE, Typed};
use super::super::names::{End, is_name};
use super::super::settings::{Setting, SettingValue};
use super::super::spec::{Open, Possible, Shape, ValueSpec};
use super::super::values::{
    AdjusterRange, Assigned, Assignment, Band, Dated, Entries, Fastener, Given, Instrument, Interval,
    IntervalLength, LastDone, Leaf, Limit, LimitBounds, Others, PressureReading, Readings, Service,
    UnitChoice, Written,
};
use super::super::{codes, lookup};
use super::{Keys, Read, Reader};

const AIM: &str = "aim";
const WITHIN: &str = "within";
const WANT: &str = "want";
const RECHECK: &str = "recheck";
const ACCEPTED: &str = "accepted";
/// An interval that does not count days or hours.
const BEFORE_EACH_RIDE: &str = "before each ride";
const EVERY: &str = "every";
const LAST: &str = "last";
const FOUND: &str = "found";
const AFTER_RIDE: &str = "after_ride";
/// The section that chooses units.
pub const UNITS: &str = "units";
const INSTRUMENT: &str = "instrument";
const RESOLUTION: &str = "resolution";
const BIAS: &str = "bias";
const REPEATABILITY: &str = "repeatability";
const CALIBRATED: &str = "calibrated";
const HOSE: &str = "hose";

/// Whether an open block takes a key.
pub(super) fn takes(open: Open, name: &str) -> bool {
    match open {
        Open::No => false,
        Open::Settings => Setting::parse(name).is_some(),
        Open::Adjusters => adjuster(name).is_some(),
        Open::Limits | Open::Bands => lookup(name).is_some(),
        Open::Pressures => pressure_name(name).is_some(),
        Open::Services | Open::Torques => true,
        Open::Units => unit_kind(name).is_some(),
        Open::Book => unit_kind(name).is_some() || instrument_name(name).is_some(),
    }
}

/// The clicker with this name.
fn adjuster(name: &str) -> Option<Setting> {
    Setting::parse(name).filter(|setting| setting.info().is_adjuster())
}

/// Whether a table is an entry itself, and not part of a dotted key.
pub(super) fn is_entry(open: Open, table: &Table) -> bool {
    let words: &[&str] = match open {
        Open::Bands => &[AIM, WITHIN, WANT, RECHECK],
        Open::Services => &[EVERY, LAST],
        _ => return false,
    };
    table.entries.iter().any(|entry| words.contains(&&*entry.key))
}

/// The kind whose unit `units.TYPE` chooses.
fn unit_kind(key: &str) -> Option<Kind> {
    Kind::from_word(key.strip_prefix(UNITS)?.strip_prefix('.')?)
}

/// The NAME of `instrument.NAME`.
fn instrument_name(key: &str) -> Option<&str> {
    key.strip_prefix(INSTRUMENT)?.strip_prefix('.').filter(|name| is_name(name))
}

/// When a pressure was read.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Occasion {
    Left,
    Found,
    AfterRide,
}

/// The setting that a key of `pressures` reads, and when. A chamber has its own name or the setting's.
fn pressure_name(key: &str) -> Option<(Setting, Occasion)> {
    let behind = |word: &str| key.strip_prefix(word).and_then(|rest| rest.strip_prefix('.'));
    let (rest, occasion) = match (behind(FOUND), behind(AFTER_RIDE)) {
        (Some(rest), _) => (rest, Occasion::Found),
        (None, Some(rest)) => (rest, Occasion::AfterRide),
        (None, None) => (key, Occasion::Left),
    };
    let in_full = || Setting::parse(rest).filter(|setting| setting.is_pressure());
    let by_its_name = || is_name(rest).then(|| Setting::CHAMBER.named(rest));
    let setting = in_full().or_else(by_its_name)?;
    let is_reserved = Setting::CHAMBER.word_of(setting).is_some_and(is_reserved_chamber);
    (!is_reserved).then_some((setting, occasion))
}

/// The setting that a key of `pressures` reads: `tyre.front` of `found.tyre.front`.
pub fn pressure_setting(key: &str) -> Option<Setting> {
    pressure_name(key).map(|(setting, _)| setting)
}

/// Whether a chamber may not have this name, because it means something else in `pressures`.
pub fn is_reserved_chamber(chamber: &str) -> bool {
    let own = blocks::Pressures::SPEC.key(chamber).is_some();
    let words = [FOUND, AFTER_RIDE, "chamber", "void", "tyre"];
    own || words.contains(&chamber) || End::from_word(chamber).is_some()
}

/// Another setting that was written where a chamber's pressure could be: `fork.rebound = "12 clicks"` reads as a chamber
/// `fork`.
fn setting_within(leaf: &Leaf<'_>) -> Option<Setting> {
    let Value::Table(inner) = &leaf.node.value else { return None };
    inner.entries.iter().find_map(|entry| Setting::parse(&format!("{}.{}", leaf.name, entry.key)))
}

impl Reader<'_> {
    /// Reads all entries under keys that the block does not list.
    pub fn others(&mut self, keys: &Keys<'_>) -> Others {
        if keys.leaves.iter().all(|leaf| leaf.listed.is_some()) {
            return Others::default();
        }
        let mut others = Entries::default();
        for leaf in &keys.leaves {
            if leaf.listed.is_some() || leaf.name == "void" {
                continue;
            }
            match keys.spec.open {
                Open::No => {}
                Open::Settings => {
                    let is_step = keys.spec.word == Change::SPEC.word;
                    others.settings.extend(self.kept(&leaf.name, |reader| reader.assignment(leaf, is_step)));
                }
                Open::Adjusters => {
                    let spec = ValueSpec::positive(&[Kind::Clicks, Kind::Turns]);
                    let Some(name) = adjuster(&leaf.name) else { continue };
                    if let Some(range) = Given::read(leaf.node, &spec, self) {
                        others.adjusters.push(AdjusterRange { name, name_span: leaf.name_span, range });
                    }
                }
                Open::Limits => others.limits.extend(self.limit(leaf)),
                Open::Bands => others.bands.extend(self.band(leaf)),
                Open::Pressures => {
                    let Some((name, occasion)) = pressure_name(&leaf.name) else { continue };
                    if let Some(other) = setting_within(leaf) {
                        let headline = say!("`{other}` is no pressure", other);
                        let finding = Finding::new(&codes::UNKNOWN_KEY, leaf.name_span, headline);
                        self.report(finding.help(say!(
                            "`{other}` is a setting: it is written in `settings` or `change`",
                            other
                        )));
                        continue;
                    }
                    let all = match occasion {
                        Occasion::Left => &mut others.pressures,
                        Occasion::Found => &mut others.found,
                        Occasion::AfterRide => &mut others.after_ride,
                    };
                    if let Some(first) = all.iter().find(|reading| reading.name == name) {
                        let headline = say!("`{leaf}` is here a second time", leaf = leaf.name);
                        let finding = Finding::new(&codes::UNKNOWN_KEY, leaf.name_span, headline);
                        let help =
                            say!("a chamber goes by its own name or by `chamber.NAME`: keep one of them");
                        self.report(finding.see(first.name_span, say!("the same, written first")).help(help));
                        continue;
                    }
                    let read = |reader: &mut Self| Readings::read(leaf.node, &PRESSURE, reader);
                    if let Some(readings) = self.kept(&leaf.name, read) {
                        all.push(PressureReading {
                            name,
                            name_span: leaf.name_span,
                            readings: readings.into(),
                        });
                    }
                }
                Open::Units | Open::Book if unit_kind(&leaf.name).is_some() => {
                    others.units.extend(self.unit_choice(leaf))
                }
                Open::Units => {}
                Open::Book => others.instruments.extend(self.instrument(leaf)),
                Open::Services => others.services.extend(self.service(leaf)),
                Open::Torques => {
                    if let Some(torque) = Given::read(leaf.node, &ValueSpec::positive(&[Kind::Torque]), self)
                    {
                        others.torques.push(Fastener {
                            name: leaf.name.to_string(),
                            name_span: leaf.name_span,
                            torque,
                        });
                    }
                }
            }
        }
        Others::of(others)
    }

    /// A setting and the value written for it; a step only where one is allowed.
    fn assignment(&mut self, leaf: &Leaf<'_>, may_be_step: bool) -> Option<Assignment> {
        let name = Setting::parse(&leaf.name)?;
        let row = name.info();
        let value = match row.value {
            SettingValue::Quantity(kinds) => {
                let kinds = if row.has_collar() { &[Kind::Length, Kind::Turns] } else { kinds };
                Assigned::Amount(if may_be_step {
                    self.amount(leaf.node, kinds, row.possible)?
                } else {
                    self.standing(leaf.node, kinds, row.possible)?
                })
            }
            SettingValue::Text => Assigned::Word(Written::read(leaf.node, &ValueSpec::text(), self)?.text),
            SettingValue::Word(words) => {
                Assigned::Word(Written::read(leaf.node, &ValueSpec::word(words), self)?.text)
            }
        };
        Some(Assignment { name, name_span: leaf.name_span, value, span: leaf.node.span })
    }

    fn limit(&mut self, leaf: &Leaf<'_>) -> Option<Limit> {
        let name = lookup(&leaf.name)?;
        let kinds = name.kinds();
        let bounds = if kinds.is_empty() {
            LimitBounds::Word(Written::read(leaf.node, &ValueSpec::text(), self)?)
        } else if is_range(leaf.node) {
            LimitBounds::Range(self.bounds(leaf.node, &kinds)?)
        } else {
            LimitBounds::Exactly(self.quantity(leaf.node, &kinds, Possible::Any)?)
        };
        Some(Limit { name, name_span: leaf.name_span, bounds, span: leaf.node.span })
    }

    fn band(&mut self, leaf: &Leaf<'_>) -> Option<Band> {
        let name = lookup(&leaf.name)?;
        let kinds = name.kinds();
        let mut band = Band {
            name,
            name_span: leaf.name_span,
            aim: None,
            within: None,
            want: None,
            recheck: None,
            accepted: None,
            span: leaf.node.span,
        };
        let Value::Table(table) = &leaf.node.value else {
            // For a band most people would write just a range.
            if kinds.is_empty() {
                band.want = Written::read(leaf.node, &ValueSpec::text(), self);
            } else {
                band.within = self.bounds(leaf.node, &kinds);
            }
            return Some(band);
        };
        for entry in &table.entries {
            match &*entry.key {
                AIM if !kinds.is_empty() => band.aim = self.quantity(&entry.value, &kinds, Possible::Any),
                WITHIN if !kinds.is_empty() => band.within = self.bounds(&entry.value, &kinds),
                WANT => band.want = Written::read(&entry.value, &ValueSpec::text(), self),
                RECHECK => band.recheck = Interval::read(&entry.value, &ValueSpec::of(Shape::One), self),
                ACCEPTED => band.accepted = Written::read(&entry.value, &ValueSpec::text(), self),
                other => {
                    let wanted = if kinds.is_empty() {
                        "`want`, `recheck` and `accepted`"
                    } else {
                        "`aim`, `within`, `want`, `recheck` and `accepted`"
                    };
                    self.report(
                        Finding::new(
                            &codes::UNKNOWN_KEY,
                            entry.key_span,
                            say!("a band of `{leaf}` has no `{other}`", leaf = leaf.name, other),
                        )
                        .help(say!("it takes {wanted}", wanted)),
                    );
                }
            }
        }
        Some(band)
    }

    fn unit_choice(&mut self, leaf: &Leaf<'_>) -> Option<UnitChoice> {
        let kind = unit_kind(&leaf.name)?;
        let written = Written::read(leaf.node, &ValueSpec::text(), self)?;
        let unit = self.unit(&written, kind)?;
        Some(UnitChoice { kind, unit, span: written.span })
    }

    fn instrument(&mut self, leaf: &Leaf<'_>) -> Option<Instrument> {
        let name = instrument_name(&leaf.name)?.to_owned();
        let Value::Table(table) = &leaf.node.value else {
            self.wrong_form(leaf.node, Message::text("`{ resolution = \"1 mm\", bias = \"1 mm\" }`"));
            return None;
        };
        let mut instrument = Instrument {
            name,
            name_span: leaf.name_span,
            resolution: None,
            bias: None,
            repeatability: None,
            calibrated: None,
            hose: None,
        };
        for entry in &table.entries {
            let node = &entry.value;
            let kinds = widths(node);
            match &*entry.key {
                RESOLUTION => instrument.resolution = self.quantity(node, kinds, Possible::Positive),
                BIAS => instrument.bias = self.quantity(node, kinds, Possible::NotNegative),
                REPEATABILITY => instrument.repeatability = self.quantity(node, kinds, Possible::NotNegative),
                CALIBRATED => instrument.calibrated = Dated::read(node, &ValueSpec::of(Shape::Date), self),
                HOSE => instrument.hose = self.quantity(node, &[Kind::Volume], Possible::NotNegative),
                other => self.report(
                    Finding::new(&codes::UNKNOWN_KEY, entry.key_span, say!("an instrument has no `{other}`", other))
                        .help(say!("it takes `resolution`, `bias`, `repeatability`, `calibrated` and, for a gauge, `hose`")),
                ),
            }
        }
        Some(instrument)
    }

    fn service(&mut self, leaf: &Leaf<'_>) -> Option<Service> {
        let Value::Table(table) = &leaf.node.value else {
            self.wrong_form(leaf.node, Message::text("`{ every = \"30 h\", last = \"12 h\" }`"));
            return None;
        };
        let mut service = Service {
            name: leaf.name.to_string(),
            name_span: leaf.name_span,
            every: None,
            last: None,
            span: leaf.node.span,
        };
        for entry in &table.entries {
            match &*entry.key {
                EVERY => service.every = Interval::read(&entry.value, &ValueSpec::of(Shape::One), self),
                LAST => service.last = LastDone::read(&entry.value, &ValueSpec::of(Shape::DateOrHours), self),
                other => self.report(
                    Finding::new(
                        &codes::UNKNOWN_KEY,
                        entry.key_span,
                        say!("a service has no `{other}`", other),
                    )
                    .help(say!("it takes `every` and `last`")),
                ),
            }
        }
        Some(service)
    }
}

/// The kinds that an instrument's width may have. A percentage says so by its sign; a bare number lacks its
/// unit.
fn widths(node: &Node) -> &'static [Kind] {
    match &node.value {
        Value::Text(text) if text.text.contains('%') => &[Kind::Share],
        _ => &[
            Kind::Length,
            Kind::GaugePressure,
            Kind::AbsolutePressure,
            Kind::Mass,
            Kind::Force,
            Kind::TemperatureDifference,
        ],
    }
}

fn is_range(node: &Node) -> bool {
    matches!(&node.value, Value::Text(text) if text.text.contains(".."))
}

impl Read for Interval {
    fn read(node: &Node, _spec: &ValueSpec, reader: &mut Reader<'_>) -> Option<Self> {
        let written = match &node.value {
            Value::Text(text) => text.text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase(),
            _ => String::new(),
        };
        if written == BEFORE_EACH_RIDE {
            return Some(Self { length: IntervalLength::EachRide, span: node.span });
        }
        if written.contains("ride") && !written.contains(|letter: char| letter.is_ascii_digit()) {
            reader.wrong_form(node, say!("days, hours ridden or `\"{each}\"`", each = BEFORE_EACH_RIDE));
            return None;
        }
        let given = reader.quantity(node, &[Kind::Time], Possible::Positive)?;
        let length = if given.quantity.unit.counts_days() {
            IntervalLength::Days(given.value() / 86_400.0)
        } else {
            IntervalLength::Ridden(given.value())
        };
        Some(Self { length, span: node.span })
    }
}

impl Read for LastDone {
    fn read(node: &Node, spec: &ValueSpec, reader: &mut Reader<'_>) -> Option<Self> {
        let is_date = match &node.value {
            Value::Date(_) => true,
            Value::Text(text) => {
                let parts = text.text.bytes().filter(|&byte| byte == b'-').count();
                parts == 2 || dates::is_like_one(&text.text)
            }
            _ => false,
        };
        if is_date {
            Dated::read(node, spec, reader).map(Self::On)
        } else {
            reader.quantity(node, &[Kind::Time], Possible::NotNegative).map(Self::At)
        }
    }
}

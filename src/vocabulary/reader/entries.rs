//! Entries of the blocks that take keys beyond those they list: settings, bands, limits, pressures.

use crate::finding::Finding;
use crate::notebook::{Node, Value, dates};
use crate::quantity::Kind;
use crate::speech::{Message, say};

use super::super::blocks::{Change, PRESSURE, Typed};
use super::super::settings::{Setting, SettingValue};
use super::super::spec::{BlockSpec, Open, Possible, Shape, ValueSpec};
use super::super::values::{
    AdjusterRange, Assigned, Assignment, Band, Dated, Entries, Fastener, Given, Instrument, Interval,
    IntervalLength, LastDone, Limit, LimitBounds, Others, PressureReading, Readings, Service, UnitChoice,
    Written,
};
use super::super::{Named, codes};
use super::leaf::{AIM, EVERY, LAST, Leaf, Meaning, Occasion, RECHECK, WANT, WITHIN, instrument_name};
use super::{Keys, Read, Reader};

const ACCEPTED: &str = "accepted";
/// An interval that does not count days or hours.
const BEFORE_EACH_RIDE: &str = "before each ride";
const RESOLUTION: &str = "resolution";
const BIAS: &str = "bias";
const REPEATABILITY: &str = "repeatability";
const CALIBRATED: &str = "calibrated";
const HOSE: &str = "hose";

/// Another setting that was written where a chamber's pressure could be: `fork.rebound = "12 clicks"` reads as a chamber
/// `fork`.
fn setting_within(leaf: &Leaf<'_>) -> Option<Setting> {
    let Value::Table(inner) = &leaf.node.value else { return None };
    let name = &leaf.name;
    inner.entries.iter().find_map(|entry| Setting::parse(&format!("{name}.{}", entry.key)))
}

/// A key of the block that a chamber's name has all the letters of: `At`.
fn in_another_case(spec: &'static BlockSpec, name: &str) -> Option<&'static str> {
    spec.keys.iter().map(|key| key.name).find(|key| key.eq_ignore_ascii_case(name))
}

impl Reader<'_> {
    /// Reads all entries under keys that the block does not list.
    pub fn others(&mut self, keys: &Keys<'_>) -> Others {
        let meant = || keys.leaves.iter().filter_map(|leaf| Some((leaf, leaf.meaning()?)));
        if meant().next().is_none() {
            return Others::default();
        }
        let mut others = Entries::default();
        if keys.spec.open == Open::Settings {
            // Days are kept by the thousand, without spare room.
            others.settings.reserve_exact(meant().count());
        }
        for (leaf, meaning) in meant() {
            match meaning {
                Meaning::Void => {}
                Meaning::Setting(name) => {
                    let is_step = keys.spec.word == Change::SPEC.word;
                    let read = |reader: &mut Self| reader.assignment(leaf, name, is_step);
                    others.settings.extend(self.kept(leaf, read));
                }
                Meaning::Adjuster(name) => {
                    let spec = ValueSpec::positive(&[Kind::Clicks, Kind::Turns]);
                    if let Some(range) = Given::read(leaf.node, &spec, self) {
                        others.adjusters.push(AdjusterRange { name, name_span: leaf.name_span, range });
                    }
                }
                Meaning::Limit(name) => others.limits.extend(self.limit(leaf, name)),
                Meaning::Band(name) => others.bands.extend(self.band(leaf, name)),
                Meaning::Pressure(name, occasion) => {
                    if let Some(other) = setting_within(leaf) {
                        let headline = say!("`{other}` is no pressure", other);
                        let finding = Finding::new(&codes::UNKNOWN_KEY, leaf.name_span, headline);
                        self.report(finding.help(say!(
                            "`{other}` is a setting: it is written in `settings` or `change`",
                            other
                        )));
                        continue;
                    }
                    if let Some(listed) = in_another_case(keys.spec, &leaf.name) {
                        let headline =
                            say!("`{spec}` has no key `{leaf}`", spec = keys.spec.word, leaf = leaf.name);
                        let finding = Finding::new(&codes::UNKNOWN_KEY, leaf.name_span, headline);
                        self.report(finding.fix(
                            say!("did you mean `{name}`?", name = listed),
                            leaf.name_span,
                            listed,
                        ));
                        continue;
                    }
                    let all = match occasion {
                        Occasion::Left => &mut others.pressures,
                        Occasion::Found => &mut others.found,
                        Occasion::AfterRide => &mut others.after_ride,
                    };
                    self.pressure(leaf, name, all);
                }
                Meaning::Unit(kind) => others.units.extend(self.unit_choice(leaf, kind)),
                Meaning::Instrument => others.instruments.extend(self.instrument(leaf)),
                Meaning::Service => others.services.extend(self.service(leaf)),
                Meaning::Fastener => {
                    let spec = ValueSpec::positive(&[Kind::Torque]);
                    if let Some(torque) = Given::read(leaf.node, &spec, self) {
                        let (name, name_span) = (leaf.name.to_string(), leaf.name_span);
                        others.torques.push(Fastener { name, name_span, torque });
                    }
                }
            }
        }
        Others::of(others)
    }

    /// A pressure, among those of its occasion.
    fn pressure(&mut self, leaf: &Leaf<'_>, name: Setting, all: &mut Vec<PressureReading>) {
        if let Some(first) = all.iter().find(|reading| reading.name == name) {
            let headline = say!("`{leaf}` is here a second time", leaf = leaf.name);
            let finding = Finding::new(&codes::UNKNOWN_KEY, leaf.name_span, headline);
            let help = say!("a chamber goes by its own name or by `chamber.NAME`: keep one of them");
            self.report(finding.see(first.name_span, say!("the same, written first")).help(help));
            return;
        }
        let read = |reader: &mut Self| Readings::read(leaf.node, &PRESSURE, reader);
        if let Some(readings) = self.kept(leaf, read) {
            all.push(PressureReading { name, name_span: leaf.name_span, readings: readings.into() });
        }
    }

    /// A setting and the value written for it; a step only where one is allowed.
    fn assignment(&mut self, leaf: &Leaf<'_>, name: Setting, may_be_step: bool) -> Option<Assignment> {
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

    fn limit(&mut self, leaf: &Leaf<'_>, name: Named) -> Option<Limit> {
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

    fn band(&mut self, leaf: &Leaf<'_>, name: Named) -> Option<Band> {
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
        self.aim_in_its_band(&mut band);
        Some(band)
    }

    fn unit_choice(&mut self, leaf: &Leaf<'_>, kind: Kind) -> Option<UnitChoice> {
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
            Value::Text(text) if !text.text.bytes().any(|byte| byte.is_ascii_digit()) => {
                text.text.split_whitespace().collect::<Vec<_>>().join(" ").to_lowercase()
            }
            _ => String::new(),
        };
        if written == BEFORE_EACH_RIDE {
            return Some(Self { length: IntervalLength::EachRide, span: node.span });
        }
        if written.contains("ride") {
            reader.wrong_form(node, say!("days, hours ridden or `\"{each}\"`", each = BEFORE_EACH_RIDE));
            return None;
        }
        let given = reader.hours(node, Possible::Positive)?;
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
            reader.hours(node, Possible::NotNegative).map(Self::At)
        }
    }
}

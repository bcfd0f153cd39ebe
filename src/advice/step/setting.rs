//! A setting moved by a step, or given a word.

use crate::advice::answer::Why;
use crate::advice::data::Step;
use crate::advice::scene::Base;
use crate::advice::table::By;
use crate::physics::chain;
use crate::quantity::{self, Amount, Kind, Quantity, UnitDefaults, Units, show, show_change};
use crate::season::{HeldValue, State};
use crate::speech::{Message, say};
use crate::vocabulary::settings::Together;
use crate::vocabulary::{FigureName, Setting};

use super::room::Room;
use super::{Proposal, Weighed, Weigher, moved_by, plain, skip, undo};

impl Weigher<'_> {
    pub(super) fn moved(
        &self,
        name: Setting,
        by: &[By],
        start: Option<Quantity>,
        step: &Step,
    ) -> Weighed<Proposal> {
        let row = name.info();
        let on_file = self.scene.base(name);
        let is_on_file = on_file.is_some();
        let base = match (on_file, start) {
            (Some(base), _) => base,
            (None, Some(quantity)) => Base { quantity, inside: None },
            (None, None) => {
                return skip(
                    Why::Unknown,
                    self.scene.say(&say!("`{name}` is not on file: write it into `settings`", name)),
                );
            }
        };
        let Some(by) = by.iter().find(|by| by.size.kind == base.quantity.kind) else {
            return skip(
                Why::Unknown,
                self.scene.say(&say!(
                    "`{name}` is kept in {plural}, and the step is not",
                    name,
                    plural = Message::word(base.quantity.kind.plural())
                )),
            );
        };
        let Some(direction) = row.direction(by.way) else {
            return skip(
                Why::Unknown,
                self.scene.say(&say!("`{name}` does not go `{way}`", name, way = by.way.word())),
            );
        };
        let size = in_divisions(name, &base.quantity, by.size);
        let wanted = direction * size.value;
        let from = HeldValue::Quantity(base.quantity);
        let Room { delta, total, mut also } = self.room(name, &base, start, wanted)?;
        let units = &self.units_for(&base.quantity);
        // What is predicted is what will be written, to the digit.
        let written = self.step_as_written(name, &base, Quantity { value: delta, plus_minus: None, ..size });
        let mut to = base.quantity.moved_by(&written);
        if !is_on_file {
            to = self.as_written(name, to, delta);
        }
        self.on_hand(name, &to)?;
        also.extend(base.inside.map(|inside| {
            let (inside, aim) = (show(&inside, units), show(&base.quantity, units));
            self.scene.say(&say!(
                "it holds what showed {inside}, and its aim is {aim}: the step goes onto both",
                inside,
                aim
            ))
        }));
        let after_value = HeldValue::Quantity(to);
        let before = self.scene.state.clone();
        let after = match is_on_file && name.is_pressure() {
            true => before.with_step(name, written),
            false => before.with_setting(name, after_value.clone()),
        };
        if row.together == Some(Together::Gearing) {
            self.axle_fits(&after)?;
            also.push(self.scene.say(&say!("the axle moves with the chain: set the slack, look at the alignment, and measure the rear sag again")));
        }
        let delta = written.value;
        let change = show_change(base.quantity.kind, delta, units, row.way(true)).to_string();
        let change_written =
            plain(&show_change(base.quantity.kind, delta, &units.plain(), row.way(true)).to_string());
        let label = self.scene.say(&name.label());
        let shown = (show(&base.quantity, units), show(&to, units));
        let back = show_change(base.quantity.kind, -delta, units, row.way(true)).to_string();
        Ok(Proposal {
            text: format!("{label} {change}: {} → {}", shown.0, shown.1),
            write: vec![if is_on_file {
                format!("{name} = \"{change_written}\"")
            } else {
                format!("{name} = \"{}\"", show(&to, &units.plain()))
            }],
            by: Some(change),
            total,
            moves: vec![(name, Some(from), after_value)],
            before,
            after,
            also,
            rests_on: if name.is_pressure() { vec![name.into()] } else { Vec::new() },
            undo: undo(step, self.scene.say(&say!("{label} {back}: write `back = true`", label, back))),
        })
    }

    pub(super) fn worded(&self, name: Setting, to: &str, doing: &str, step: &Step) -> Weighed<Proposal> {
        let held = self.scene.state.setting(name);
        if held.and_then(|held| held.value.word()) == Some(to) {
            return skip(Why::InBand, self.scene.say(&say!("`{name}` is `{to}` already", name, to)));
        }
        let before = held.map(|held| held.value.clone());
        let after_value = HeldValue::Word(to.to_owned());
        Ok(Proposal {
            text: self.scene.word(doing),
            write: vec![format!("{name} = \"{to}\"")],
            after: self.scene.state.with_setting(name, after_value.clone()),
            moves: vec![(name, before, after_value)],
            undo: undo(step, self.scene.say(&say!("put it back as it was: write `back = true`"))),
            ..self.unmoved()
        })
    }

    /// Whether a sprocket is on hand.
    fn on_hand(&self, name: Setting, to: &Quantity) -> Weighed<()> {
        let drive = self.scene.machine.and_then(|machine| machine.drive());
        let hand = match name {
            Setting::DRIVE_REAR => drive.and_then(|drive| drive.sprockets_rear.as_ref()),
            Setting::DRIVE_FRONT => drive.and_then(|drive| drive.sprockets_front.as_ref()),
            _ => None,
        };
        let Some(hand) = hand else { return Ok(()) };
        if hand.values.iter().any(|given| (given.value() - to.value).abs() < 0.5) {
            return Ok(());
        }
        skip(Why::OnHand, self.scene.say(&say!("no sprocket with {to} teeth is on hand", to = to.value)))
    }

    /// Whether the chain leaves its axle inside the adjuster.
    fn axle_fits(&self, after: &State) -> Weighed<()> {
        let drive = self.scene.machine.and_then(|machine| machine.drive());
        let Some(adjuster) = drive.and_then(|drive| drive.adjuster) else { return Ok(()) };
        let Some(at) = self.scene.value(after, FigureName::DRIVE_AXLE_MOVE) else { return Ok(()) };
        // The slack takes up half a link either way.
        let half = drive
            .and_then(|drive| drive.chain.as_ref())
            .and_then(|chain| chain::pitch(chain.text.trim()))
            .unwrap_or(0.0)
            / 2.0;
        let is_inside = adjuster.low.is_none_or(|low| at >= low.value - half)
            && adjuster.high.is_none_or(|high| at <= high.value + half);
        if is_inside {
            return Ok(());
        }
        let (at, range) = (self.scene.shown(Kind::Length, at), self.scene.shown_bounds(&adjuster));
        skip(
            Why::Limit,
            self.scene.say(&say!(
                "with this chain the axle would be at {at}, and its adjuster has {range}",
                at,
                range
            )),
        )
    }

    /// The reader's units; where none was chosen, a pressure steps in the unit that it was written in.
    fn units_for(&self, base: &Quantity) -> Units {
        let mut units = self.scene.units.clone();
        if base.kind == Kind::GaugePressure && units.chosen(base.kind).is_none() {
            units.set(base.kind, base.unit);
        }
        units
    }

    /// A step of a pressure, with the digits that will be written; it never goes past what the exact one kept to.
    /// Other steps stay as they are.
    fn step_as_written(&self, name: Setting, base: &Base, exact: Quantity) -> Quantity {
        if !name.is_pressure() {
            return exact;
        }
        let row = name.info();
        let units = &self.units_for(&base.quantity).plain();
        let written = |step: f64| {
            let text = plain(&show_change(exact.kind, step, units, row.way(true)).to_string());
            match quantity::amount(&text, &[exact.kind], &UnitDefaults::default()) {
                Ok(Amount::By(size, way)) => {
                    Some(Quantity { value: row.direction(way)? * size.value, ..size })
                }
                _ => None,
            }
        };
        let Some(step) = written(exact.value) else { return exact };
        let is_past = |step: &Quantity| {
            let all = [Some(base.quantity), base.inside];
            let bounds: Vec<_> = self.scene.limits(name).into_iter().map(|(bounds, _)| bounds).collect();
            all.iter().flatten().any(|from| {
                let (rounded, meant) = (from.value + step.value, from.value + exact.value);
                bounds.iter().any(|bounds| !bounds.contain(rounded) && bounds.contain(meant))
            })
        };
        if !is_past(&step) {
            return step;
        }
        written(step.value - step.last_digit.copysign(step.value)).unwrap_or(exact)
    }

    /// A value with the digits that will be written and set; it never goes past what the exact one kept to.
    fn as_written(&self, name: Setting, exact: Quantity, delta: f64) -> Quantity {
        let written = plain(&show(&exact, &self.scene.plain).to_string());
        let read = quantity::quantity(&written, &[exact.kind], &UnitDefaults::default());
        let rounded = read.unwrap_or(exact);
        let band = self.scene.band(name).and_then(|band| band.within);
        let bounds = self.scene.limits(name).into_iter().map(|(bounds, _)| bounds).chain(band);
        if bounds.into_iter().all(|bounds| bounds.contain(rounded.value) || !bounds.contain(exact.value)) {
            return rounded;
        }
        moved_by(&rounded, -rounded.last_digit.copysign(delta), &rounded)
    }
}

/// A step of a pressure in whole divisions of its gauge, at least one: 1 psi is one tenth on a gauge with tenths of a bar. Other
/// steps stay as they are.
fn in_divisions(name: Setting, base: &Quantity, size: Quantity) -> Quantity {
    let is_division = name.is_pressure() && base.last_digit > 0.0;
    if !is_division {
        return size;
    }
    let divisions = (size.value / base.last_digit).round().max(1.0);
    Quantity {
        value: divisions * base.last_digit,
        plus_minus: None,
        unit: base.unit,
        last_digit: base.last_digit,
        ..size
    }
}

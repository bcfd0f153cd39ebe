//! The preload that gives the wanted sag: by itself, or with another spring.

use crate::advice::answer::Why;
use crate::advice::data::Step;
use crate::quantity::{Kind, Quantity, show, show_change};
use crate::season::{HeldValue, State};
use crate::speech::{Message, say};
use crate::vocabulary::{End, FigureName, Setting};

use super::{Proposal, Weighed, Weigher, moved_by, plain, skip, undo};

/// Steps of the search for a preload: the sag is nearly linear in it.
const SECANTS: usize = 8;

impl Weigher<'_> {
    pub(super) fn by_preload(
        &self,
        end: End,
        preload: Setting,
        (now, target): (f64, f64),
        is_nearest: bool,
        mut also: Vec<String>,
        step: &Step,
    ) -> Weighed<Proposal> {
        let scene = self.scene;
        let (from_sag, to_sag) = (scene.shown(Kind::Length, now), scene.shown(Kind::Length, target));
        let base = scene.base(preload);
        let solved = base
            .as_ref()
            .and_then(|base| self.preload_for(scene.state, end, preload, base.quantity.value, target));
        let (Some(base), Some(wanted)) = (base, solved) else {
            also.push(self.scene.say(&say!(
                "the preload for it cannot be worked out: go by the tape, and write `{preload}` afterwards",
                preload
            )));
            return Ok(Proposal {
                text: match target > now {
                    true => scene.say(&say!(
                        "{end} rider sag {from_sag} → {to_sag}, by less preload",
                        end,
                        from_sag,
                        to_sag
                    )),
                    false => scene.say(&say!(
                        "{end} rider sag {from_sag} → {to_sag}, by more preload",
                        end,
                        from_sag,
                        to_sag
                    )),
                },
                write: vec![format!("# {preload} = …")],
                also,
                rests_on: vec![FigureName::SAG_RIDER.of(end).into()],
                undo: undo(
                    step,
                    self.scene.say(&say!("turn the preload back until the tape reads as before")),
                ),
                ..self.unmoved()
            });
        };
        // A collar is set by quarter turns, a fork's cap by half millimetres.
        let pitch = scene.machine.and_then(|machine| machine.shock()).and_then(|shock| shock.thread_pitch);
        let pitch = pitch.filter(|_| end == End::Rear).map(|pitch| pitch.value());
        let grain = pitch.map_or(0.5e-3, |pitch| 0.25 * pitch);
        // Towards an aim it goes as near as it can; a step within a band stops short of its end.
        let grains = (wanted - base.quantity.value) / grain;
        let delta =
            if is_nearest { grains.round() } else { (grains.abs() + 1e-6).floor().copysign(grains) } * grain;
        if delta == 0.0 {
            let (why, grain) =
                (if is_nearest { Why::InBand } else { Why::Band }, scene.shown(Kind::Length, grain));
            return skip(
                why,
                self.scene.say(&say!(
                    "it is at {from_sag}, and less than {grain} of preload would bring it to {to_sag}",
                    from_sag,
                    grain,
                    to_sag
                )),
            );
        }
        let step_size = Quantity { last_digit: if pitch.is_some() { 1e-5 } else { 1e-4 }, ..base.quantity };
        let to = moved_by(&base.quantity, delta, &step_size);
        self.preload_fits(preload, to.value)?;
        if to.value < 0.0 {
            return skip(Why::Limit, self.scene.say(&say!("the spring would be loose at full extension")));
        }
        let from = HeldValue::Quantity(base.quantity);
        let after_value = HeldValue::Quantity(to);
        let row = preload.info();
        let units = &scene.units;
        let (kind, count) = pitch.map_or((Kind::Length, delta), |pitch| (Kind::Turns, delta / pitch));
        let change = show_change(kind, count, units, row.way(true)).to_string();
        let written = plain(&show_change(kind, count, &scene.plain, row.way(true)).to_string());
        let back = show_change(kind, -count, units, row.way(true)).to_string();
        let after = scene.state.with_setting(preload, after_value.clone());
        let label = preload.label();
        let reached = scene.value(&after, FigureName::SAG_RIDER_EXPECTED.of(end)).unwrap_or(target);
        Ok(Proposal {
            text: self.scene.say(&say!(
                "{end} rider sag {from_sag} → {reached}: {label} {change}",
                end,
                from_sag,
                reached = scene.shown(Kind::Length, reached),
                label,
                change
            )),
            write: vec![format!("{preload} = \"{written}\"")],
            by: Some(change),
            moves: vec![(preload, Some(from), after_value)],
            after,
            also,
            rests_on: vec![FigureName::SAG_RIDER.of(end).into()],
            undo: undo(step, self.scene.say(&say!("{label} {back}: write `back = true`", label, back))),
            ..self.unmoved()
        })
    }

    /// Whether a preload, in m, is inside its limits.
    fn preload_fits(&self, preload: Setting, value: f64) -> Weighed<()> {
        let scene = self.scene;
        let Some((bounds, what)) = scene.past(preload, value) else { return Ok(()) };
        skip(
            Why::Limit,
            scene.say(&say!(
                "it takes {to} of preload, and {what} is {bounds}",
                to = scene.shown(Kind::Length, value),
                what = Message::word(what),
                bounds = scene.shown_bounds(&bounds)
            )),
        )
    }

    /// The preload for which the model expects a rider sag, in m; by secants, from the present one.
    fn preload_for(&self, state: &State, end: End, preload: Setting, from: f64, target: f64) -> Option<f64> {
        let name = FigureName::SAG_RIDER_EXPECTED.of(end);
        let expected = |value: f64| {
            let supposed = state.with_setting(preload, HeldValue::Quantity(length(value)));
            self.scene.value(&supposed, name)
        };
        let (mut a, mut b) = (from, from + 1e-3);
        let (mut at_a, mut at_b) = (expected(a)?, expected(b)?);
        for _ in 0..SECANTS {
            if (at_b - at_a).abs() < 1e-12 {
                break;
            }
            let next = b + (target - at_b) * (b - a) / (at_b - at_a);
            (a, at_a) = (b, at_b);
            (b, at_b) = (next, expected(next)?);
        }
        ((at_b - target).abs() < 1e-4 && b.is_finite()).then_some(b)
    }

    /// The next spring on hand, with the preload that keeps the rider sag.
    pub(super) fn spring(&self, end: End, is_stiffer: bool, step: &Step) -> Weighed<Proposal> {
        let scene = self.scene;
        let name = Setting::spring_of(end);
        let Some(base) = scene.base(name) else {
            return skip(
                Why::Unknown,
                self.scene.say(&say!("`{name}` is not on file: write it into `settings`", name)),
            );
        };
        let hand =
            scene.machine.and_then(|machine| machine.springs(end)).and_then(|springs| springs.rates.as_ref());
        let is_beyond = |rate: &f64| {
            if is_stiffer { *rate > base.quantity.value * 1.001 } else { *rate < base.quantity.value * 0.999 }
        };
        let next = hand.into_iter().flat_map(|rates| &rates.values).filter(|given| is_beyond(&given.value()));
        let next = next.min_by(|a, b| {
            (a.value() - base.quantity.value).abs().total_cmp(&(b.value() - base.quantity.value).abs())
        });
        let Some(next) = next else {
            return skip(
                Why::OnHand,
                scene.say(&match is_stiffer {
                    true => say!("no stiffer {end} spring is on hand", end),
                    false => say!("no softer {end} spring is on hand", end),
                }),
            );
        };
        let from = HeldValue::Quantity(base.quantity);
        let to = HeldValue::Quantity(next.quantity);
        if let Some((bounds, what)) = scene.past(name, next.value()) {
            return skip(
                Why::Limit,
                self.scene.say(&say!(
                    "{what} is {bounds}",
                    what = Message::word(what),
                    bounds = scene.shown_bounds(&bounds)
                )),
            );
        }
        let mut after = scene.state.with_setting(name, to.clone());
        let units = &scene.units;
        let mut write = vec![format!("{name} = \"{}\"", show(&next.quantity, &scene.plain))];
        let mut moves = vec![(name, Some(from), to)];
        let preload = Setting::preload_of(end);
        let expected = scene.value(scene.state, FigureName::SAG_RIDER_EXPECTED.of(end));
        let set = scene.base(preload);
        let solved = set
            .as_ref()
            .zip(expected)
            .and_then(|(set, sag)| self.preload_for(&after, end, preload, set.quantity.value, sag));
        let mut also =
            vec![self.scene.say(&say!("set the {end} rider sag again, then look at the static sag", end))];
        match (set, solved) {
            (Some(set), Some(wanted)) => {
                self.preload_fits(preload, wanted)?;
                let kept = Quantity { last_digit: 1e-4, ..length((wanted * 1e4).round() / 1e4) };
                let value = HeldValue::Quantity(kept);
                write.push(format!("{preload} = \"{}\"", show(&kept, &scene.plain)));
                after = after.with_setting(preload, value.clone());
                moves.push((preload, Some(HeldValue::Quantity(set.quantity)), value));
            }
            _ => also.push(
                self.scene
                    .say(&say!("the preload that keeps the rider sag cannot be worked out: go by the tape")),
            ),
        }
        let shown = (show(&base.quantity, units), show(&next.quantity, units));
        Ok(Proposal {
            text: scene.say(&match is_stiffer {
                true => say!("stiffer {end} spring: {from} → {to}", end, from = shown.0, to = shown.1),
                false => say!("softer {end} spring: {from} → {to}", end, from = shown.0, to = shown.1),
            }),
            write,
            after,
            moves,
            also,
            rests_on: vec![FigureName::SAG_RIDER.of(end).into()],
            undo: undo(step, self.scene.say(&say!("the old spring with its preload: write `back = true`"))),
            ..self.unmoved()
        })
    }
}

fn length(value: f64) -> Quantity {
    Quantity {
        kind: Kind::Length,
        value,
        unit: Kind::Length.usual_unit(),
        plus_minus: None,
        last_digit: 1e-6,
    }
}

//! How far a setting may go: limits, bands, the adjuster, and the most that makes sense in a day.

use crate::advice::answer::Why;
use crate::advice::scene::Base;
use crate::quantity::{Kind, Quantity, show};
use crate::speech::{Message, say};
use crate::vocabulary::Setting;
use crate::vocabulary::values::Bounds;

use super::{Weighed, Weigher, shown_size, skip};

/// How far a setting may go.
pub(super) struct Room {
    /// In the SI base unit, with its sign.
    pub delta: f64,
    /// How much of the day's total it uses.
    pub total: Option<String>,
    pub also: Vec<String>,
}

/// One thing that ends a move.
pub(super) struct Stop {
    /// How far away it is.
    pub left: f64,
    /// Less than this is not worth a ride.
    pub least: f64,
    pub why: Why,
    /// Why nothing is left.
    pub text: String,
    /// What is said where it is less than was wanted.
    pub shorter: String,
}

/// How far a move goes, and what is said where that is less than was wanted.
pub(super) struct Way {
    size: f64,
    shorter: Option<String>,
}

impl Way {
    /// How far it goes, after noting what is to be said.
    pub(super) fn noted(self, also: &mut Vec<String>) -> f64 {
        also.extend(self.shorter);
        self.size
    }
}

/// How far it goes of what is wanted, before the nearest of its stops.
pub(super) fn fit(stops: Vec<Stop>, wanted: f64, is_whole: bool) -> Weighed<Way> {
    let Some(nearest) = stops.into_iter().min_by(|a, b| a.left.total_cmp(&b.left)) else {
        return Ok(Way { size: wanted, shorter: None });
    };
    let mut size = wanted.min(nearest.left);
    if is_whole {
        size = (size + 1e-9).floor();
    }
    let least = if is_whole { 1.0 } else { nearest.least };
    if size < least * (1.0 - 1e-9) {
        return skip(nearest.why, nearest.text);
    }
    Ok(Way { size, shorter: (size < wanted * (1.0 - 1e-9)).then_some(nearest.shorter) })
}

/// How far away the end of a setting is, and what it is.
type End = (f64, Why, String);

impl Weigher<'_> {
    /// How far a setting may go of what is wanted; one that nobody wrote before begins at `start`.
    pub(super) fn room(
        &self,
        name: Setting,
        base: &Base,
        start: Option<Quantity>,
        wanted: f64,
    ) -> Weighed<Room> {
        let scene = self.scene;
        let sign = wanted.signum();
        let mut also = Vec::new();
        // What is inside rises with the aim, and neither may pass a limit.
        let inside = base
            .inside
            .map(|inside| inside.value)
            .filter(|inside| sign * (inside - base.quantity.value) > 0.0);
        let base = &base.quantity;
        if sign > 0.0 && scene.has_no_top(name) {
            let text = match Setting::CHAMBER.word_of(name).is_some() {
                true => say!("limit unknown: read the leg, and write it down as the chamber's `limit`"),
                false => say!(
                    "limit unknown: read the sidewall and the manual, and write it down as `{name}` in `limits`",
                    name
                ),
            };
            return skip(Why::NoLimit, scene.say(&text));
        }
        let mut ends = self.bounds(name, inside.unwrap_or(base.value), sign);
        ends.extend(self.adjuster_end(name, base, sign, &mut also));
        let mut used = None;
        ends.extend(self.since_standard(name, base, sign));
        let began = scene.base_at(scene.before_changes(&[name]), name).map(|base| base.quantity);
        let of_its_own = || {
            let share = scene.advice.total(name, Kind::Share)?;
            let most = (share.value * began.unwrap_or(*base).value).max(wanted.abs());
            Some(Quantity { value: most, plus_minus: None, ..*base })
        };
        if let Some(most) = scene.advice.total(name, base.kind).or_else(of_its_own) {
            let gone = sign * (base.value - began.or(start).map_or(base.value, |began| began.value));
            let shown = show(&most, &scene.units);
            let text = self.scene.say(&say!(
                "the most it makes sense to move in a day is {shown}, from where it began",
                shown
            ));
            ends.push(((most.value - gone).max(0.0), Why::Total, text));
            used = Some((gone, most));
        }
        let wanted = wanted.abs();
        let is_whole = matches!(base.kind, Kind::Clicks | Kind::Teeth | Kind::Links | Kind::Count);
        let stop = |(left, why, text): End| {
            let shorter = scene.say(&say!("less than the usual step, as {text}", text));
            // Half a step can still be felt.
            Stop { left, least: 0.5 * wanted, why, text, shorter }
        };
        let size = fit(ends.into_iter().map(stop).collect(), wanted, is_whole)?.noted(&mut also);
        let total = used.map(|(gone, most)| {
            let units = &scene.units;
            let after = Quantity { value: gone + size, plus_minus: None, unit: most.unit, ..most };
            self.scene.say(&say!(
                "{after} of {most} from where the day began",
                after = shown_size(&after, units),
                most = show(&most, units)
            ))
        });
        Ok(Room { delta: sign * size, total, also })
    }

    /// How far a clicker may still go from the machine's standard setting.
    fn since_standard(&self, name: Setting, base: &Quantity, sign: f64) -> Option<End> {
        let (scene, rule) = (self.scene, &self.scene.advice.practice().from_standard);
        if !name.info().is_adjuster() {
            return None;
        }
        let standard = scene.season.standard.get(&scene.machine?.name)?.get(name)?;
        let standard = standard.value.quantity().filter(|standard| standard.kind == base.kind)?;
        let of_range = scene.adjuster(name).filter(|range| range.kind == base.kind);
        let of_range = rule.share.zip(of_range).map(|(share, range)| share * range.value);
        let clicks = rule.clicks.filter(|_| base.kind == Kind::Clicks);
        let most = [clicks, of_range].into_iter().flatten().reduce(f64::min)?;
        let level = scene.state.rider().and_then(|rider| rider.level.as_ref());
        let is_half = level.is_some_and(|level| rule.half_for.contains(&level.text));
        let most = if is_half { 0.5 * most } else { most };
        let most = if base.kind == Kind::Clicks { (most + 1e-9).floor() } else { most };
        let room = (most - sign * (base.value - standard.value)).max(0.0);
        let shown = shown_size(&Quantity { value: most, plus_minus: None, ..*base }, &scene.units);
        let text = self.scene.say(&say!(
            "{shown} from the standard setting is as far as makes sense: ask somebody who knows the machine",
            shown
        ));
        Some((room, Why::Total, text))
    }

    /// Limits and the machine's band.
    fn bounds(&self, name: Setting, from: f64, sign: f64) -> Vec<End> {
        let scene = self.scene;
        let stop = |bounds: &Bounds, why: Why, what: Message| -> Option<End> {
            let end = if sign > 0.0 { bounds.high } else { bounds.low }?;
            Some((
                sign * (end.value - from),
                why,
                self.scene.say(&say!("{what} is {bounds}", what, bounds = scene.shown_bounds(bounds))),
            ))
        };
        let limits = scene.limits(name).into_iter();
        let band = scene.band(name).and_then(|band| band.within);
        limits
            .filter_map(|(bounds, what)| stop(&bounds, Why::Limit, Message::word(what)))
            .chain(band.and_then(|within| stop(&within, Why::Band, say!("its band"))))
            .collect()
    }

    /// The end of a clicker; where it is not on file, how to record it.
    fn adjuster_end(&self, name: Setting, base: &Quantity, sign: f64, also: &mut Vec<String>) -> Option<End> {
        if !name.info().is_adjuster() {
            return None;
        }
        if sign <= 0.0 {
            return Some((base.value, Why::Adjuster, self.scene.say(&say!("the adjuster is closed"))));
        }
        let Some(range) = self.scene.adjuster(name).filter(|range| range.kind == base.kind) else {
            also.push(
                self.scene.say(&say!(
                    "how far the adjuster opens is not on file: add `{name}` to `adjusters`",
                    name
                )),
            );
            return None;
        };
        let text =
            self.scene.say(&say!("the adjuster ends at {range}", range = show(&range, &self.scene.units)));
        Some((range.value - base.value, Why::Adjuster, text))
    }
}

//! A rider sag brought to its aim, or by a step.

use crate::advice::answer::Why;
use crate::advice::data::Step;
use crate::advice::make::SagTo;
use crate::figures::Absent;
use crate::quantity::{Kind, show};
use crate::speech::say;
use crate::vocabulary::values::Bounds;
use crate::vocabulary::{End, FigureName, Setting};

use super::room::{Stop, fit};
use super::{Proposal, Weighed, Weigher, skip};

/// m. A sag this near to an aim without a band is at it.
const NEAR_AIM: f64 = 1e-3;

impl Weigher<'_> {
    /// A rider sag, moved by preload.
    pub(super) fn sag(&self, end: End, to: SagTo, step: &Step) -> Weighed<Proposal> {
        let scene = self.scene;
        let read = FigureName::SAG_RIDER.of(end);
        let expected = read.answering();
        let Some(now) = scene.value(scene.state, expected) else {
            let why = match scene.absent(scene.state, read) {
                Some(Absent::Missing(_)) => None,
                Some(other) => Some(other.reason()),
                None => scene.why_absent(scene.state, expected),
            };
            let why = why.unwrap_or_else(|| say!("the {end} rider sag was not measured", end));
            return skip(Why::Unknown, scene.say(&why));
        };
        let within = scene.band(read).and_then(|band| band.within);
        let wanted = match to {
            SagTo::More(size) => size.value,
            SagTo::Less(size) => -size.value,
            SagTo::Aim => self.to_aim(read, now, within)?,
        };
        let preload = Setting::preload_of(end);
        let sign = wanted.signum();
        let mut size = wanted.abs();
        let mut also = vec![self.scene.say(&say!("measure the {end} sag again", end))];
        let total = scene.advice.total(read, Kind::Length).map(|most| {
            let began = scene
                .value(scene.before_changes(&[preload, Setting::spring_of(end)]), expected)
                .unwrap_or(now);
            (most, sign * (now - began))
        });
        if let Some((most, gone)) = total {
            let shown = show(&most, &scene.units);
            let stop = Stop {
                left: most.value - gone,
                least: 0.5 * size.min(most.value),
                why: Why::Total,
                text: scene.say(&say!(
                    "the most it makes sense to move in a day is {shown}, from where it began",
                    shown
                )),
                shorter: scene.say(&say!(
                    "not all the way today: {shown} from where the day began is the most that makes sense",
                    shown
                )),
            };
            size = fit(vec![stop], size, false)?.noted(&mut also);
        }
        if let Some(within) = within.filter(|_| to != SagTo::Aim) {
            let band_end = if sign > 0.0 { within.high } else { within.low };
            let stop = band_end.map(|band_end| Stop {
                left: sign * (band_end.value - now),
                least: 0.5 * size,
                why: Why::Band,
                text: scene.say(&say!(
                    "its band is {within}, and it is at {now}",
                    within = scene.shown_bounds(&within),
                    now = scene.shown(Kind::Length, now)
                )),
                shorter: scene.say(&say!(
                    "less than the usual step, as its band is {within}",
                    within = scene.shown_bounds(&within)
                )),
            });
            size = fit(stop.into_iter().collect(), size, false)?.noted(&mut also);
        }
        let target = now + sign * size;
        let mut proposal = self.by_preload(end, preload, (now, target), to == SagTo::Aim, also, step)?;
        let reached =
            scene.value(&proposal.after, expected).filter(|_| !proposal.moves.is_empty()).unwrap_or(target);
        proposal.total = total.map(|(most, gone)| {
            let used = scene.shown(Kind::Length, gone + sign * (reached - now));
            self.scene.say(&say!(
                "{used} of {most} from where the day began",
                used,
                most = show(&most, &scene.units)
            ))
        });
        Ok(proposal)
    }

    /// How far a sag is from its aim; left out where it is near enough.
    fn to_aim(&self, read: FigureName, now: f64, within: Option<Bounds>) -> Weighed<f64> {
        let band = self.scene.band(read);
        if let Some(within) = within.filter(|within| within.contain(now)) {
            let shown = (self.scene.shown(Kind::Length, now), self.scene.shown_bounds(&within));
            return skip(
                Why::InBand,
                self.scene.say(&say!(
                    "it is at {now}, and its band is {band}",
                    now = shown.0,
                    band = shown.1
                )),
            );
        }
        // Outside only where the reading can tell.
        if let Some((within, off)) = within.and_then(|within| Some((within, within.past(now)?)))
            && let Some(expanded) = self.scene.expanded(read).filter(|expanded| off <= *expanded)
        {
            let shown = |value| self.scene.shown(Kind::Length, value);
            let (now, band) = (shown(now), self.scene.shown_bounds(&within));
            let text = self.scene.say(&say!(
                "it is at {now}, give or take {expanded}, and its band is {band}: it may well be inside",
                now,
                expanded = shown(expanded),
                band
            ));
            return skip(Why::InBand, text);
        }
        let middle = within.and_then(|within| Some(0.5 * (within.low?.value + within.high?.value)));
        let Some(aim) = band.and_then(|band| band.aim).map(|aim| aim.value()).or(middle) else {
            return skip(
                Why::Unknown,
                self.scene.say(&say!("the machine's band gives `{read}` no aim", read)),
            );
        };
        if within.is_none() && (aim - now).abs() < NEAR_AIM {
            return skip(
                Why::InBand,
                self.scene.say(&say!("it is at its aim, {aim}", aim = self.scene.shown(Kind::Length, aim))),
            );
        }
        Ok(aim - now)
    }
}

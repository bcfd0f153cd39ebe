//! One step, weighed: what it would change here and now, or why it is left out.

use crate::physics::chain;
use crate::quantity::{self, Kind, Quantity, UnitDefaults, Units, Way, show, show_change};
use crate::season::{Difference, HeldValue, State};
use crate::vocabulary::blocks::{self, Chamber, Fuelling, NEGATIVE, POSITIVE, RiderBlock, TrackBlock};
use crate::vocabulary::names::fill;
use crate::vocabulary::settings::{self, SettingRow, Together};
use crate::vocabulary::values::{Bounds, Texts};
use crate::vocabulary::{End, figures};

use super::answer::{Skip, Verdict, Why};
use super::data::{By, ChamberRole, Complaint, ForkKind, Make, RingWord, SagTo, Step};
use super::rides::{Ride, Trial};
use super::scene::{Base, Scene};

/// What a step would do.
pub(super) struct Proposal {
    /// Name, before, after.
    pub moves: Vec<(String, Option<HeldValue>, HeldValue)>,
    pub text: String,
    pub by: Option<String>,
    pub total: Option<String>,
    /// Lines of a `change` block.
    pub write: Vec<String>,
    pub before: State,
    pub after: State,
    pub also: Vec<String>,
    pub rests_on: Vec<String>,
    pub undo: String,
}

/// A step with what became of it.
pub(super) struct Candidate<'a> {
    pub step: &'a Step,
    pub text: String,
    pub outcome: Result<Proposal, Skip>,
    /// It was tried against this complaint today, and helped.
    pub has_helped: bool,
    /// Its place among the steps, that of the first of its group.
    pub position: usize,
    /// What the model gives it within its group.
    pub gain: Option<f64>,
}

/// What the steps of a complaint are weighed against.
pub(super) struct Weigher<'a> {
    pub scene: &'a Scene<'a>,
    pub complaint: &'a Complaint,
    pub place: Option<&'a str>,
    pub ride: &'a Ride<'a>,
    pub trials: &'a [Trial<'a>],
}

type Weighed<T> = Result<T, Skip>;

fn skip<T>(why: Why, text: impl Into<String>) -> Weighed<T> {
    Err(Skip { why, text: text.into() })
}

/// A gain at the top below this counts as none, in N.
const NO_FORCE: f64 = 1.0;

impl<'a> Weigher<'a> {
    /// All steps in the order in which they would be taken, those left out in their places.
    pub fn all(&self, steps: &[&'a Step]) -> Vec<Candidate<'a>> {
        let mut all: Vec<Candidate<'a>> = Vec::new();
        for (index, step) in steps.iter().copied().enumerate() {
            let first_of_group =
                steps.iter().position(|other| step.best.is_some() && other.best == step.best);
            let position = first_of_group.unwrap_or(index);
            let makes = match self.conditions(step).and_then(|()| self.made(step)) {
                Ok(makes) => makes,
                Err(skipped) => {
                    let text = self.describe(&step.make);
                    all.push(Candidate {
                        step,
                        text,
                        outcome: Err(skipped),
                        has_helped: false,
                        position,
                        gain: None,
                    });
                    continue;
                }
            };
            for make in makes {
                let text = self.describe(&make);
                let outcome = self.weigh(&make, step);
                let mut candidate =
                    Candidate { step, text, outcome, has_helped: false, position, gain: None };
                self.rank(&mut candidate);
                all.push(candidate);
            }
        }
        all.sort_by(|a, b| {
            let key = |c: &Candidate<'_>| (c.step.ease, !c.has_helped, c.position, c.gain.is_none());
            key(a).cmp(&key(b)).then_with(|| b.gain.unwrap_or(0.0).total_cmp(&a.gain.unwrap_or(0.0)))
        });
        all
    }

    /// Conditions that do not depend on how far the step goes.
    fn conditions(&self, step: &Step) -> Weighed<()> {
        if let (false, Some(place)) = (step.at.is_empty(), self.place)
            && !step.at.iter().any(|at| at == place)
        {
            return skip(
                Why::NotApplicable,
                format!("it is for {}, and this is felt at {place}", step.at.join(" and ")),
            );
        }
        let fork = self.scene.machine.and_then(|machine| machine.fork()).and_then(|fork| fork.kind.as_ref());
        match (step.fork, fork.map(|kind| kind.text.as_str())) {
            (Some(ForkKind::Coil), Some(blocks::AIR)) => {
                return skip(Why::NotApplicable, "the fork has air springs");
            }
            (Some(ForkKind::Air), Some(blocks::COIL)) => {
                return skip(Why::NotApplicable, "the fork has coil springs");
            }
            (Some(_), None) => {
                return skip(
                    Why::Unknown,
                    "the machine's notebook does not say which fork it has: add `kind` to `fork`",
                );
            }
            _ => {}
        }
        if let Some(wanted) = step.ring {
            let name = fill(figures::TRAVEL_USED_SHARE, End::Front.word());
            let Some(used) = self.scene.value(self.ride.state, &name) else {
                return skip(
                    Why::Unknown,
                    "the travel ring tells nothing without the fork's travel: add `travel` to `fork`",
                );
            };
            let is_deep = used >= self.scene.advice.ring.deep_from;
            let shown = self.scene.shown(Kind::Share, used);
            match wanted {
                RingWord::Little if is_deep => {
                    return skip(
                        Why::NotApplicable,
                        format!(
                            "the ring stood at {shown} of the travel: that is deep, and softer would be worse"
                        ),
                    );
                }
                RingWord::Deep if !is_deep => {
                    return skip(
                        Why::NotApplicable,
                        format!(
                            "the ring stood at {shown} of the travel: that is little, and firmer would be worse"
                        ),
                    );
                }
                _ => {}
            }
        }
        if let Some(name) = &step.outside {
            let reading = self.scene.reading(name, Some(self.ride));
            match reading.is_in_band {
                Some(true) => return skip(Why::InBand, format!("{} is as its band wants it", reading.label)),
                None => {
                    return skip(
                        Why::NotApplicable,
                        format!("the machine has no band for {}", reading.label),
                    );
                }
                Some(false) => {}
            }
        }
        if let Some(name) = &step.helped {
            let helped = self.trials.iter().any(|trial| {
                trial.verdict == Some(Verdict::Better)
                    && trial.is_void.is_none()
                    && trial.was_against(self.complaint)
                    && trial.settings.iter().any(|moved| moved.name == *name)
            });
            if !helped {
                return skip(Why::NotApplicable, format!("`{name}` was not yet ridden and found better"));
            }
        }
        if !step.limit.is_empty() && !step.limit.iter().any(|name| self.scene.has_limit(name)) {
            return skip(
                Why::NoLimit,
                format!("the maker's limit is not on file: add {} to `limits`", either(&step.limit)),
            );
        }
        Ok(())
    }

    /// Roles become chambers.
    fn made(&self, step: &Step) -> Weighed<Vec<Make>> {
        let Make::Chamber { which, by } = &step.make else { return Ok(vec![step.make.clone()]) };
        let side = if *which == ChamberRole::Negative { NEGATIVE } else { POSITIVE };
        let chambers: Vec<(&str, &Chamber)> = self.scene.chambers(side).collect();
        if chambers.is_empty() {
            return skip(
                Why::NotApplicable,
                format!("the fork has no {side} air chamber that is set by itself"),
            );
        }
        let to_move =
            |name: &str| Make::Move { setting: fill(settings::CHAMBER, name), by: vec![*by], start: None };
        match which {
            ChamberRole::Every => Ok(chambers.iter().map(|(name, _)| to_move(name)).collect()),
            ChamberRole::Main | ChamberRole::Negative => {
                let push = |(name, chamber): &(&str, &Chamber)| {
                    let area = area(chamber)?;
                    Some(area * self.scene.base(&fill(settings::CHAMBER, name))?.quantity.value)
                };
                let strongest =
                    chambers.iter().max_by(|a, b| push(a).unwrap_or(0.0).total_cmp(&push(b).unwrap_or(0.0)));
                Ok(strongest.map(|(name, _)| to_move(name)).into_iter().collect())
            }
        }
    }

    fn weigh(&self, make: &Make, step: &Step) -> Weighed<Proposal> {
        match make {
            Make::Move { setting, by, start } => self.moved(setting, by, *start, step),
            Make::Word { setting, to, doing } => self.worded(setting, to, doing, step),
            Make::Sag { end, to } => self.sag(*end, *to, step),
            Make::Spring { end, is_stiffer } => self.spring(*end, *is_stiffer, step),
            Make::Fuelling { is_richer } => self.fuelling(*is_richer, step),
            Make::Jet => self.jet(step),
            Make::Balance { most } => self.balance(*most, step),
            Make::Chamber { .. } => skip(Why::NotApplicable, "no chamber was found for it"),
        }
    }

    /// Leaves a step out that was tried against this complaint on the same stretch and did not help.
    fn untried(&self, name: &str, from: &HeldValue, to: &HeldValue) -> Weighed<()> {
        match self.last_trial(name, from, to) {
            Some(trial) if trial.verdict != Some(Verdict::Better) => {
                let word = trial.verdict.map_or("no better", Verdict::word);
                skip(Why::Tried, format!("tried on {}: {word}", trial.date))
            }
            _ => Ok(()),
        }
    }

    fn last_trial(&self, name: &str, from: &HeldValue, to: &HeldValue) -> Option<&Trial<'a>> {
        self.trials.iter().rev().find(|trial| {
            trial.is_void.is_none()
                && trial.verdict.is_some()
                && trial.was_against(self.complaint)
                && trial.is_about(name, from, to)
        })
    }

    /// How far a setting may go of what is wanted, with what it uses of its total.
    fn room(&self, name: &str, base: &Quantity, wanted: f64) -> Weighed<(f64, Option<String>, Vec<String>)> {
        let scene = self.scene;
        let sign = wanted.signum();
        let towards = |bounds: &Bounds| {
            let end = if sign > 0.0 { bounds.high } else { bounds.low };
            end.map(|end| sign * (end.value - base.value))
        };
        let mut rooms: Vec<(f64, Why, String)> = Vec::new();
        let mut also = Vec::new();
        for (bounds, what) in scene.limits(name) {
            if let Some(room) = towards(&bounds) {
                rooms.push((room, Why::Limit, format!("{what} is {}", scene.shown_bounds(&bounds))));
            }
        }
        if settings::row(name).is_some_and(SettingRow::is_adjuster) {
            match (scene.adjuster(name), sign > 0.0) {
                (_, false) => rooms.push((base.value, Why::Adjuster, "the adjuster is closed".to_owned())),
                (Some(range), true) if range.kind == base.kind => {
                    let text = format!("the adjuster ends at {}", show(&range, &scene.units));
                    rooms.push((range.value - base.value, Why::Adjuster, text));
                }
                (_, true) => also
                    .push(format!("how far the adjuster opens is not on file: add `{name}` to `adjusters`")),
            }
        }
        if let Some(within) = scene.band(name).and_then(|band| band.within)
            && let Some(room) = towards(&within)
        {
            rooms.push((room, Why::Band, format!("its band is {}", scene.shown_bounds(&within))));
        }
        let mut used = None;
        if let Some(most) = scene.advice.total(name, base.kind) {
            let began = scene
                .base_at(scene.before_changes(&[name]), name)
                .map_or(base.value, |base| base.quantity.value);
            let gone = sign * (base.value - began);
            let shown = show(&most, &scene.units);
            rooms.push((
                most.value - gone,
                Why::Total,
                format!("the most it makes sense to move in a day is {shown}, from where it began"),
            ));
            used = Some((gone, most));
        }
        let wanted = wanted.abs();
        let is_whole = matches!(base.kind, Kind::Clicks | Kind::Teeth | Kind::Links | Kind::Count);
        // Half a step is still one that can be felt; less is not worth a ride.
        let least = if is_whole { 1.0 } else { 0.5 * wanted };
        let tightest = rooms.into_iter().min_by(|a, b| a.0.total_cmp(&b.0));
        let mut size = tightest.as_ref().map_or(wanted, |(room, ..)| wanted.min(*room));
        if is_whole {
            size = (size + 1e-9).floor();
        }
        if let Some((_, why, text)) = &tightest {
            if size < least * (1.0 - 1e-9) {
                return skip(*why, text.clone());
            }
            if size < wanted * (1.0 - 1e-9) {
                also.push(format!("less than the usual step, as {text}"));
            }
        }
        let total = used.map(|(gone, most)| {
            let units = &scene.units;
            let after = Quantity { value: gone + size, plus_minus: None, unit: most.unit, ..most };
            format!("{} of {} from where the day began", shown_size(&after, units), show(&most, units))
        });
        Ok((sign * size, total, also))
    }

    fn moved(&self, name: &str, by: &[By], start: Option<Quantity>, step: &Step) -> Weighed<Proposal> {
        let Some(row) = settings::row(name) else {
            return skip(Why::Unknown, format!("there is no setting `{name}`"));
        };
        let on_file = self.scene.base(name);
        let is_on_file = on_file.as_ref().is_some_and(|base| base.is_set);
        let base = match (on_file, start) {
            (Some(base), _) => base,
            (None, Some(quantity)) => Base { quantity, is_set: false, read: None },
            (None, None) => {
                return skip(Why::Unknown, format!("`{name}` is not on file: write it into `settings`"));
            }
        };
        let Some(by) = by.iter().find(|by| by.size.kind == base.quantity.kind) else {
            return skip(
                Why::Unknown,
                format!("`{name}` is kept in {}, and the step is not", base.quantity.kind.plural()),
            );
        };
        let Some(direction) = row.direction(by.way) else {
            return skip(Why::Unknown, format!("`{name}` does not go {}", by.way.word()));
        };
        let wanted = direction * by.size.value;
        let from = HeldValue::Quantity(base.quantity);
        self.untried(name, &from, &HeldValue::Quantity(moved_by(&base.quantity, wanted, &by.size)))?;
        let (delta, total, mut also) = self.room(name, &base.quantity, wanted)?;
        let mut to = moved_by(&base.quantity, delta, &by.size);
        if !is_on_file {
            to = self.as_written(name, to, delta);
        }
        self.on_hand(name, &to)?;
        also.extend(base.read.map(|read| {
            let shown = (show(&read, &self.scene.units), show(&base.quantity, &self.scene.units));
            format!("it was read at {}, which is {} at the gate", shown.0, shown.1)
        }));
        let after_value = HeldValue::Quantity(to);
        let before = self.scene.state.clone();
        let after = before.with_setting(name, after_value.clone());
        if row.together == Some(Together::Gearing) {
            self.axle_fits(&after)?;
            also.push("the axle moves with the chain: set the slack, look at the alignment, and measure the rear sag again".to_owned());
        }
        let units = &self.scene.units;
        let change = show_change(base.quantity.kind, delta, units, row.way(true)).to_string();
        let label = row.label_for(name);
        let shown = (show(&base.quantity, units), show(&to, units));
        let back = show_change(base.quantity.kind, -delta, units, row.way(true)).to_string();
        Ok(Proposal {
            text: format!("{label} {change}: {} → {}", shown.0, shown.1),
            write: vec![if is_on_file {
                format!("{name} = \"{}\"", plain(&change))
            } else {
                format!("{name} = \"{}\"", shown.1)
            }],
            by: Some(change),
            total,
            moves: vec![(name.to_owned(), Some(from), after_value)],
            before,
            after,
            also,
            rests_on: if is_pressure(name) { vec![name.to_owned()] } else { Vec::new() },
            undo: undo(step, format!("{label} {back}: write `back = true`")),
        })
    }

    /// Whether a sprocket is there.
    fn on_hand(&self, name: &str, to: &Quantity) -> Weighed<()> {
        let drive = self.scene.machine.and_then(|machine| machine.drive());
        let hand = match name {
            settings::DRIVE_REAR => drive.and_then(|drive| drive.sprockets_rear.as_ref()),
            settings::DRIVE_FRONT => drive.and_then(|drive| drive.sprockets_front.as_ref()),
            _ => None,
        };
        let Some(hand) = hand else { return Ok(()) };
        if hand.values.iter().any(|given| (given.value() - to.value).abs() < 0.5) {
            return Ok(());
        }
        skip(Why::OnHand, format!("no sprocket with {} teeth is on hand", to.value))
    }

    /// Whether the chain still has its axle inside the adjuster.
    fn axle_fits(&self, after: &State) -> Weighed<()> {
        let drive = self.scene.machine.and_then(|machine| machine.drive());
        let Some(adjuster) = drive.and_then(|drive| drive.adjuster) else { return Ok(()) };
        let Some(at) = self.scene.value(after, figures::DRIVE_AXLE_MOVE) else { return Ok(()) };
        // Half a link either way is taken up by the slack.
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
            format!("with this chain the axle would stand at {at}, and its adjuster goes {range}"),
        )
    }

    /// A value with the digits that it is written down with, which are those that it is set to; never past what the
    /// exact one kept to.
    fn as_written(&self, name: &str, exact: Quantity, delta: f64) -> Quantity {
        let written = plain(&show(&exact, &self.scene.units).to_string());
        let read = quantity::quantity(&written, &[exact.kind], &UnitDefaults::default());
        let rounded = read.unwrap_or(exact);
        let band = self.scene.band(name).and_then(|band| band.within);
        let bounds = self.scene.limits(name).into_iter().map(|(bounds, _)| bounds).chain(band);
        if bounds.into_iter().all(|bounds| bounds.contain(rounded.value) || !bounds.contain(exact.value)) {
            return rounded;
        }
        moved_by(&rounded, -rounded.last_digit.copysign(delta), &rounded)
    }

    fn worded(&self, name: &str, to: &str, doing: &str, step: &Step) -> Weighed<Proposal> {
        let held = self.scene.state.setting(name);
        if held.and_then(|held| held.value.word()) == Some(to) {
            return skip(Why::InBand, format!("`{name}` is `{to}` already"));
        }
        let before = held.map(|held| held.value.clone());
        let after_value = HeldValue::Word(to.to_owned());
        let nothing = HeldValue::Word(String::new());
        self.untried(name, before.as_ref().unwrap_or(&nothing), &after_value)?;
        Ok(Proposal {
            text: doing.to_owned(),
            by: None,
            total: None,
            write: vec![format!("{name} = \"{to}\"")],
            before: self.scene.state.clone(),
            after: self.scene.state.with_setting(name, after_value.clone()),
            moves: vec![(name.to_owned(), before, after_value)],
            also: Vec::new(),
            rests_on: Vec::new(),
            undo: undo(step, "put it back as it was: write `back = true`".to_owned()),
        })
    }

    /// A rider sag, moved by preload.
    fn sag(&self, end: End, to: SagTo, step: &Step) -> Weighed<Proposal> {
        let scene = self.scene;
        let read = fill(figures::SAG_RIDER, end.word());
        let expected = fill(figures::SAG_RIDER_EXPECTED, end.word());
        let Some(now) = scene.value(scene.state, &expected) else {
            return skip(Why::Unknown, format!("the {end} rider sag was not measured"));
        };
        let within = scene.band(&read).and_then(|band| band.within);
        let wanted = match to {
            SagTo::More(size) => size.value,
            SagTo::Less(size) => -size.value,
            SagTo::Aim => self.to_aim(&read, now, within)?,
        };
        let preload = match end {
            End::Front => settings::FORK_PRELOAD,
            End::Rear => settings::SHOCK_PRELOAD,
        };
        let sign = wanted.signum();
        let mut size = wanted.abs();
        let mut also = vec![format!("measure the {end} sag again")];
        let total = scene.advice.total(&read, Kind::Length).map(|most| {
            let began =
                scene.value(scene.before_changes(&[preload, spring_of(end)]), &expected).unwrap_or(now);
            (most, sign * (now - began))
        });
        if let Some((most, gone)) = total {
            let room = most.value - gone;
            let shown = show(&most, &scene.units);
            if room < 0.5 * size.min(most.value) {
                return skip(
                    Why::Total,
                    format!("the most it makes sense to move in a day is {shown}, from where it began"),
                );
            }
            if room < size {
                also.push(format!(
                    "not all the way today: {shown} from where the day began is the most that makes sense"
                ));
                size = room;
            }
        }
        if let Some(within) = within.filter(|_| to != SagTo::Aim) {
            let band_end = if sign > 0.0 { within.high } else { within.low };
            let room = band_end.map_or(f64::INFINITY, |band_end| sign * (band_end.value - now));
            if room < 0.5 * size {
                return skip(
                    Why::Band,
                    format!(
                        "its band is {}, and it stands at {}",
                        scene.shown_bounds(&within),
                        scene.shown(Kind::Length, now)
                    ),
                );
            }
            if room < size {
                also.push(format!(
                    "less than the usual step, as its band is {}",
                    scene.shown_bounds(&within)
                ));
                size = room;
            }
        }
        let target = now + sign * size;
        let mut proposal = self.by_preload(end, preload, (now, target), to == SagTo::Aim, also, step)?;
        let reached =
            scene.value(&proposal.after, &expected).filter(|_| !proposal.moves.is_empty()).unwrap_or(target);
        proposal.total = total.map(|(most, gone)| {
            let used = scene.shown(Kind::Length, gone + sign * (reached - now));
            format!("{used} of {} from where the day began", show(&most, &scene.units))
        });
        Ok(proposal)
    }

    /// How far a sag is from its aim; left out where it is near enough.
    fn to_aim(&self, read: &str, now: f64, within: Option<Bounds>) -> Weighed<f64> {
        let band = self.scene.band(read);
        if let Some(within) = within.filter(|within| within.contain(now)) {
            let shown = (self.scene.shown(Kind::Length, now), self.scene.shown_bounds(&within));
            return skip(Why::InBand, format!("it stands at {}, and its band is {}", shown.0, shown.1));
        }
        let middle = within.and_then(|within| Some(0.5 * (within.low?.value + within.high?.value)));
        let Some(aim) = band.and_then(|band| band.aim).map(|aim| aim.value()).or(middle) else {
            return skip(Why::NotApplicable, format!("the machine's band gives `{read}` no aim"));
        };
        if within.is_none() && (aim - now).abs() < NEAR_AIM {
            return skip(
                Why::InBand,
                format!("it stands at its aim, {}", self.scene.shown(Kind::Length, aim)),
            );
        }
        Ok(aim - now)
    }

    fn by_preload(
        &self,
        end: End,
        preload: &str,
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
            let which = if target > now { "less" } else { "more" };
            also.push(format!(
                "the preload for it cannot be worked out: go by the tape, and write `{preload}` afterwards"
            ));
            return Ok(Proposal {
                text: format!("{end} rider sag {from_sag} → {to_sag}, by {which} preload"),
                by: None,
                total: None,
                write: vec![format!("# {preload} = …")],
                moves: Vec::new(),
                before: scene.state.clone(),
                after: scene.state.clone(),
                also,
                rests_on: vec![fill(figures::SAG_RIDER, end.word())],
                undo: undo(step, "turn the preload back until the tape reads as before".to_owned()),
            });
        };
        // A collar is set by quarters of a turn, a fork's cap by halves of a millimetre.
        let pitch = scene.machine.and_then(|machine| machine.shock()).and_then(|shock| shock.thread_pitch);
        let pitch = pitch.filter(|_| end == End::Rear).map(|pitch| pitch.value());
        let grain = pitch.map_or(0.5e-3, |pitch| 0.25 * pitch);
        // To an aim it goes as near as it can; a step within a band stops short rather than past its end.
        let grains = (wanted - base.quantity.value) / grain;
        let delta =
            if is_nearest { grains.round() } else { (grains.abs() + 1e-6).floor().copysign(grains) } * grain;
        if delta == 0.0 {
            let (why, grain) =
                (if is_nearest { Why::InBand } else { Why::Band }, scene.shown(Kind::Length, grain));
            return skip(
                why,
                format!(
                    "it stands at {from_sag}, and less than {grain} of preload would bring it to {to_sag}"
                ),
            );
        }
        let step_size = Quantity { last_digit: if pitch.is_some() { 1e-5 } else { 1e-4 }, ..base.quantity };
        let to = moved_by(&base.quantity, delta, &step_size);
        for (bounds, what) in scene.limits(preload) {
            if !bounds.contain(to.value) {
                return skip(
                    Why::Limit,
                    format!(
                        "it takes {} of preload, and {what} is {}",
                        scene.shown(Kind::Length, to.value),
                        scene.shown_bounds(&bounds)
                    ),
                );
            }
        }
        if to.value < 0.0 {
            return skip(Why::Limit, "the spring would be loose at full extension".to_owned());
        }
        let from = HeldValue::Quantity(base.quantity);
        let after_value = HeldValue::Quantity(to);
        self.untried(preload, &from, &after_value)?;
        let Some(row) = settings::row(preload) else {
            return skip(Why::Unknown, format!("there is no setting `{preload}`"));
        };
        let units = &scene.units;
        let (kind, count) = pitch.map_or((Kind::Length, delta), |pitch| (Kind::Turns, delta / pitch));
        let change = show_change(kind, count, units, row.way(true)).to_string();
        let back = show_change(kind, -count, units, row.way(true)).to_string();
        let after = scene.state.with_setting(preload, after_value.clone());
        let label = row.label_for(preload);
        let reached = scene.value(&after, &fill(figures::SAG_RIDER_EXPECTED, end.word())).unwrap_or(target);
        Ok(Proposal {
            text: format!(
                "{end} rider sag {from_sag} → {}: {label} {change}",
                scene.shown(Kind::Length, reached)
            ),
            write: vec![format!("{preload} = \"{}\"", plain(&change))],
            by: Some(change),
            total: None,
            moves: vec![(preload.to_owned(), Some(from), after_value)],
            before: scene.state.clone(),
            after,
            also,
            rests_on: vec![fill(figures::SAG_RIDER, end.word())],
            undo: undo(step, format!("{label} {back}: write `back = true`")),
        })
    }

    /// The preload with which the model expects a rider sag, in m; by secants, from the preload that is set.
    fn preload_for(&self, state: &State, end: End, preload: &str, from: f64, target: f64) -> Option<f64> {
        let name = fill(figures::SAG_RIDER_EXPECTED, end.word());
        let expected = |value: f64| {
            let supposed = state.with_setting(preload, HeldValue::Quantity(length(value)));
            self.scene.value(&supposed, &name)
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

    /// The next spring on hand, with the preload that keeps the rider sag where it is.
    fn spring(&self, end: End, is_stiffer: bool, step: &Step) -> Weighed<Proposal> {
        let scene = self.scene;
        let name = spring_of(end);
        let Some(base) = scene.base(name) else {
            return skip(Why::Unknown, format!("`{name}` is not on file: write it into `settings`"));
        };
        let word = if is_stiffer { "stiffer" } else { "softer" };
        let hand =
            scene.machine.and_then(|machine| machine.springs(end)).and_then(|springs| springs.rates.as_ref());
        let is_beyond = |rate: &f64| {
            if is_stiffer { *rate > base.quantity.value * 1.001 } else { *rate < base.quantity.value * 0.999 }
        };
        let next = hand.into_iter().flat_map(|rates| &rates.values).filter(|given| is_beyond(&given.value()));
        let next = next.min_by(|a, b| {
            (a.value() - base.quantity.value).abs().total_cmp(&(b.value() - base.quantity.value).abs())
        });
        let Some(next) = next else { return skip(Why::OnHand, format!("no {word} {end} spring is on hand")) };
        let from = HeldValue::Quantity(base.quantity);
        let to = HeldValue::Quantity(next.quantity);
        self.untried(name, &from, &to)?;
        for (bounds, what) in scene.limits(name) {
            if !bounds.contain(next.value()) {
                return skip(Why::Limit, format!("{what} is {}", scene.shown_bounds(&bounds)));
            }
        }
        let mut after = scene.state.with_setting(name, to.clone());
        let units = &scene.units;
        let mut write = vec![format!("{name} = \"{}\"", show(&next.quantity, units))];
        let mut moves = vec![(name.to_owned(), Some(from), to)];
        let preload = if end == End::Rear { settings::SHOCK_PRELOAD } else { settings::FORK_PRELOAD };
        let expected = scene.value(scene.state, &fill(figures::SAG_RIDER_EXPECTED, end.word()));
        let set = scene.base(preload);
        let solved = set
            .as_ref()
            .zip(expected)
            .and_then(|(set, sag)| self.preload_for(&after, end, preload, set.quantity.value, sag));
        let mut also = vec![format!("set the {end} rider sag again, then look at the static sag")];
        match (set, solved) {
            (Some(set), Some(wanted)) => {
                if let Some((bounds, what)) =
                    scene.limits(preload).into_iter().find(|(bounds, _)| !bounds.contain(wanted))
                {
                    let shown = (scene.shown(Kind::Length, wanted), scene.shown_bounds(&bounds));
                    return skip(
                        Why::Limit,
                        format!("it takes {} of preload, and {what} is {}", shown.0, shown.1),
                    );
                }
                let value = HeldValue::Quantity(Quantity {
                    last_digit: 1e-4,
                    ..length((wanted * 1e4).round() / 1e4)
                });
                write.push(format!("{preload} = \"{}\"", scene.shown_held(&value)));
                after = after.with_setting(preload, value.clone());
                moves.push((preload.to_owned(), Some(HeldValue::Quantity(set.quantity)), value));
            }
            _ => also
                .push("the preload that keeps the rider sag cannot be worked out: go by the tape".to_owned()),
        }
        let shown = (show(&base.quantity, units), show(&next.quantity, units));
        Ok(Proposal {
            text: format!("{word} {end} spring: {} → {}", shown.0, shown.1),
            by: None,
            total: None,
            write,
            before: scene.state.clone(),
            after,
            moves,
            also,
            rests_on: vec![fill(figures::SAG_RIDER, end.word())],
            undo: undo(step, "the old spring with its preload: write `back = true`".to_owned()),
        })
    }

    /// The fuelling rule.
    fn fuelling(&self, is_richer: bool, step: &Step) -> Weighed<Proposal> {
        let scene = self.scene;
        let rule = &scene.advice.fuelling;
        let choices = scene
            .machine
            .and_then(|machine| machine.last::<Fuelling>())
            .and_then(|block| block.choices.as_ref());
        let Some(Texts { values: choices, .. }) = choices else {
            return skip(Why::NotApplicable, "the machine has no fuel settings to choose from");
        };
        let index_of = |word: &str| choices.iter().position(|choice| choice.text == word);
        let held = scene.state.setting(settings::FUELLING).and_then(|held| held.value.word());
        let Some(now) = held.and_then(index_of) else {
            return skip(
                Why::Unknown,
                "`fuelling` is not on file: write which choice is in, into `settings`",
            );
        };
        let last = choices.len().saturating_sub(1);
        let exhaust = scene.state.setting(settings::EXHAUST).and_then(|held| held.value.word());
        let is_freer = exhaust == Some(settings::AFTERMARKET_EXHAUST);
        let conditions = scene.state.conditions();
        let traction = conditions.and_then(|conditions| conditions.traction.as_ref());
        let is_slick = traction.is_some_and(|traction| rule.richest_with_traction.contains(&traction.text));
        let to = if is_richer {
            if now == last {
                return skip(Why::Adjuster, "it is on the richest choice already");
            }
            if is_slick { last } else { now + 1 }
        } else {
            if is_slick {
                return skip(
                    Why::NotApplicable,
                    "with so little traction the richest, softest choice is the right one",
                );
            }
            let level = scene.state.rider().and_then(RiderBlock::level_word);
            if let Some(level) = level.filter(|level| rule.not_leaner_for.iter().any(|known| known == level))
            {
                return skip(
                    Why::NotApplicable,
                    format!("leaner is for a rider who is comfortable on the machine, not for `{level}`"),
                );
            }
            if now == 0 {
                return skip(Why::Adjuster, "it is on the leanest choice already");
            }
            if is_freer { self.standard_fuelling(choices, now)? } else { now - 1 }
        };
        if to == 0 && !is_richer {
            self.may_be_leanest(exhaust, is_freer)?;
        }
        let Some(to) = choices.get(to).map(|choice| choice.text.clone()) else {
            return skip(Why::Adjuster, "there is no such choice");
        };
        let from = HeldValue::Word(held.unwrap_or_default().to_owned());
        let value = HeldValue::Word(to.clone());
        self.untried(settings::FUELLING, &from, &value)?;
        Ok(Proposal {
            text: format!(
                "fuelling {}: {} → {to}",
                if is_richer { "richer" } else { "leaner" },
                held.unwrap_or_default()
            ),
            by: None,
            total: None,
            write: vec![format!("{} = \"{to}\"", settings::FUELLING)],
            before: scene.state.clone(),
            after: scene.state.with_setting(settings::FUELLING, value.clone()),
            moves: vec![(settings::FUELLING.to_owned(), Some(from), value)],
            also: Vec::new(),
            rests_on: Vec::new(),
            undo: undo(step, "the choice before: write `back = true`".to_owned()),
        })
    }

    /// With a freer exhaust the machine's standard choice is as lean as it goes.
    fn standard_fuelling(
        &self,
        choices: &[crate::vocabulary::values::Written],
        now: usize,
    ) -> Weighed<usize> {
        let machine = self.scene.machine.map(|machine| machine.name.as_str()).unwrap_or_default();
        let standard = self.scene.season.standard.get(machine).and_then(|held| held.get(settings::FUELLING));
        let standard = standard
            .and_then(|held| held.value.word())
            .and_then(|word| choices.iter().position(|choice| choice.text == word));
        match standard {
            None => skip(
                Why::Unknown,
                "with a freer exhaust the standard choice is the right one, and the machine's `settings` do not say which that is",
            ),
            Some(standard) if standard < now => Ok(standard),
            Some(_) => skip(
                Why::InBand,
                "with a freer exhaust the standard choice is the right one, and it goes no leaner",
            ),
        }
    }

    /// Never the leanest in deep sand, mud or great heat, with a freer exhaust, or where nobody wrote whether it is so.
    fn may_be_leanest(&self, exhaust: Option<&str>, is_freer: bool) -> Weighed<()> {
        let scene = self.scene;
        let rule = &scene.advice.fuelling;
        if is_freer {
            return skip(Why::NotApplicable, "never the leanest with a freer exhaust");
        }
        if exhaust.is_none() {
            return skip(
                Why::Unknown,
                "`exhaust` is not on file, and with a freer one the leanest is never right: write it into `settings`",
            );
        }
        let conditions = scene.state.conditions();
        let track = scene
            .book
            .track(scene.about)
            .and_then(|track| track.last::<TrackBlock>())
            .and_then(|track| track.soil.as_ref());
        let ground: Vec<&str> = conditions
            .into_iter()
            .flat_map(|conditions| [conditions.soil.as_ref(), conditions.surface.as_ref()])
            .chain([track])
            .flatten()
            .map(|text| text.text.as_str())
            .collect();
        if let Some(word) =
            ground.iter().flat_map(|text| words(text)).find(|word| rule.never_leanest_on.contains(word))
        {
            return skip(Why::NotApplicable, format!("never the leanest on this ground: {word}"));
        }
        let air = conditions.and_then(|conditions| conditions.air);
        match air {
            Some(air) if air.value() >= rule.great_heat_from => skip(
                Why::NotApplicable,
                format!("never the leanest in such heat: {}", show(&air.quantity, &scene.units)),
            ),
            Some(_) if !ground.is_empty() => Ok(()),
            _ => skip(
                Why::Unknown,
                "the leanest is never right in deep sand, mud or great heat: write `soil` and `air` into `conditions`",
            ),
        }
    }

    /// The main jet that was worked out for the day's air.
    fn jet(&self, step: &Step) -> Weighed<Proposal> {
        let scene = self.scene;
        if scene.machine.and_then(|machine| machine.carburettor()).is_none() {
            return skip(Why::NotApplicable, "the machine has no carburettor");
        }
        let name = settings::JET_MAIN;
        let Some(base) = scene.base(name) else {
            return skip(Why::Unknown, "`jet.main` is not on file: write it into `settings`");
        };
        let figure = scene.figures(scene.state, &[figures::JET_MAIN_ON_HAND.to_owned()]).into_iter().next();
        let wanted = match figure {
            Some(figure) => match (figure.value(), figure.absent()) {
                (Some(value), _) => value,
                (None, Some(absent)) => {
                    return skip(
                        Why::Unknown,
                        format!("the jet for this air cannot be worked out: {}", absent.reason()),
                    );
                }
                (None, None) => return skip(Why::Unknown, "the jet for this air cannot be worked out"),
            },
            None => return skip(Why::Unknown, "the jet for this air cannot be worked out"),
        };
        if (wanted - base.quantity.value).abs() < 1e-6 {
            return skip(Why::InBand, format!("{} is the main jet for this air", base.quantity.value));
        }
        let to = Quantity { value: wanted, plus_minus: None, ..base.quantity };
        let from = HeldValue::Quantity(base.quantity);
        let value = HeldValue::Quantity(to);
        self.untried(name, &from, &value)?;
        let units = &scene.units;
        Ok(Proposal {
            text: format!("main jet for this air: {} → {}", show(&base.quantity, units), show(&to, units)),
            by: None,
            total: None,
            write: vec![format!("{name} = {}", show(&to, units))],
            before: scene.state.clone(),
            after: scene.state.with_setting(name, value.clone()),
            moves: vec![(name.to_owned(), Some(from), value)],
            also: vec!["it rules three quarters of throttle and up; pilot, needle and air screw are separate matters".to_owned()],
            rests_on: Vec::new(),
            undo: undo(step, "the jet before: write `back = true`".to_owned()),
        })
    }

    /// The negative chamber, nearer to equal force at the top.
    fn balance(&self, most: Quantity, step: &Step) -> Weighed<Proposal> {
        let scene = self.scene;
        let chamber = scene.chambers(NEGATIVE).next().map(|(name, _)| fill(settings::CHAMBER, name));
        let Some(name) = chamber else {
            return skip(Why::NotApplicable, "the fork has no negative air chamber that is set by itself");
        };
        let Some(base) = scene.base(&name) else {
            return skip(
                Why::Unknown,
                format!("`{name}` is not on file: write it into `settings`, or measure it"),
            );
        };
        let top = fill(figures::FORK_FORCE, "0");
        let force = |pressure: f64| {
            let value = HeldValue::Quantity(Quantity { value: pressure, plus_minus: None, ..base.quantity });
            scene.value(&scene.state.with_setting(&name, value), &top)
        };
        let (Some(now), Some(then)) = (force(base.quantity.value), force(base.quantity.value + most.value))
        else {
            return skip(
                Why::Unknown,
                "the force at the top cannot be worked out from the chambers as they are written",
            );
        };
        if then == now {
            return skip(Why::NoGain, "it does not move the force at the top");
        }
        // Force is linear in the pressure.
        let to_balance = -now * most.value / (then - now);
        let wanted = to_balance.clamp(-most.value, most.value);
        if wanted.abs() < 0.5 * most.value {
            return skip(
                Why::InBand,
                format!("the forces at the top are nearly equal: {} is left", scene.shown(Kind::Force, now)),
            );
        }
        let by = By {
            size: Quantity { value: wanted.abs(), ..most },
            way: if wanted > 0.0 { Way::Plus } else { Way::Minus },
        };
        self.moved(&name, &[by], None, step)
    }

    /// What a trial and the model say about where a step stands among the others.
    fn rank(&self, candidate: &mut Candidate<'_>) {
        let Ok(proposal) = &candidate.outcome else { return };
        if let Some((name, from, to)) = proposal.moves.first() {
            let nothing = HeldValue::Word(String::new());
            let from = from.as_ref().unwrap_or(&nothing);
            // Further the same way: what helped on the stretch just behind.
            candidate.has_helped = self.trials.iter().any(|trial| {
                trial.verdict == Some(Verdict::Better)
                    && trial.is_void.is_none()
                    && trial.date == self.scene.about.date
                    && trial.was_against(self.complaint)
                    && trial.goes_on(name, from, to)
            });
        }
        let Some(best) = &candidate.step.best else { return };
        let scene = self.scene;
        let rise =
            |name: &str| Some(scene.value(&proposal.after, name)? - scene.value(&proposal.before, name)?);
        let raise = rise(&best.raise);
        match raise {
            Some(raise) if raise > NO_RISE => {
                candidate.gain = Some(match best.against.as_deref().and_then(rise) {
                    Some(against) => raise / against.abs().max(NO_FORCE),
                    None => raise,
                });
            }
            Some(raise) if raise < -NO_RISE => {
                candidate.outcome = skip(Why::NoGain, format!("by the model it lowers `{}`", best.raise));
            }
            _ if best.is_computed => {
                let absent = scene.figures(&proposal.before, std::slice::from_ref(&best.raise));
                let reason = absent
                    .first()
                    .and_then(|figure| figure.absent())
                    .map_or_else(|| "it does not move it".to_owned(), |absent| absent.reason());
                candidate.outcome =
                    skip(Why::NoGain, format!("`{}` does not tell for it: {reason}", best.raise));
            }
            _ => {}
        }
    }

    /// The step in general, for the list of steps.
    fn describe(&self, make: &Make) -> String {
        let units = &self.scene.units;
        let sized = |size: &Quantity, way: Way| match way {
            Way::Plus => format!("+{}", shown_size(size, units)),
            Way::Minus => format!("\u{2212}{}", shown_size(size, units)),
            way => format!("{} {}", shown_size(size, units), way.word()),
        };
        match make {
            Make::Move { setting, by, .. } => {
                let label =
                    settings::row(setting).map_or_else(|| setting.clone(), |row| row.label_for(setting));
                let kind = self.scene.base(setting).map(|base| base.quantity.kind);
                let by = by.iter().find(|by| Some(by.size.kind) == kind).or(by.first());
                by.map_or_else(|| label.clone(), |by| format!("{label} {}", sized(&by.size, by.way)))
            }
            Make::Word { doing, .. } => doing.clone(),
            Make::Chamber { which, by } => {
                let which = match which {
                    ChamberRole::Main | ChamberRole::Every => "positive chamber",
                    ChamberRole::Negative => "negative chamber",
                };
                format!("{which} {}", sized(&by.size, by.way))
            }
            Make::Balance { .. } => "negative chamber nearer to equal force at the top".to_owned(),
            Make::Sag { end, to: SagTo::Aim } => format!("{end} rider sag to its aim"),
            Make::Sag { end, to: SagTo::More(size) } => format!("{end} rider sag {}", sized(size, Way::Plus)),
            Make::Sag { end, to: SagTo::Less(size) } => {
                format!("{end} rider sag {}", sized(size, Way::Minus))
            }
            Make::Spring { end, is_stiffer } => {
                format!("{} {end} spring", if *is_stiffer { "stiffer" } else { "softer" })
            }
            Make::Fuelling { is_richer } => {
                format!("fuelling {}", if *is_richer { "richer" } else { "leaner" })
            }
            Make::Jet => "main jet for the day's air".to_owned(),
        }
    }
}

/// A sag within this of an aim that has no band is at it, in m.
const NEAR_AIM: f64 = 1e-3;

/// Steps of the search for a preload: the sag is nearly straight in it.
const SECANTS: usize = 8;

/// A rise of a figure below this is the arithmetic's, in its SI base unit.
const NO_RISE: f64 = 1e-9;

impl RiderBlock {
    fn level_word(&self) -> Option<&str> {
        self.level.as_ref().map(|level| level.text.as_str())
    }
}

impl Trial<'_> {
    /// Whether moving a setting from here goes on the way that the trial went: the same way, from where it ended.
    fn goes_on(&self, name: &str, from: &HeldValue, to: &HeldValue) -> bool {
        let moved = self.settings.iter().find(|moved| moved.name == name);
        let Some(&Difference { before: Some(before), after: Some(after), .. }) = moved else { return false };
        match (before.value.number(), after.value.number(), from.number(), to.number()) {
            (Some(then), Some(tried), Some(from), Some(to)) => {
                let slack = 1e-3 * (to - from).abs();
                (tried - then) * (to - from) > 0.0 && (tried - from).abs() <= slack
            }
            _ => false,
        }
    }
}

/// The setting of an end's spring.
fn spring_of(end: End) -> &'static str {
    match end {
        End::Front => settings::FORK_SPRING,
        End::Rear => settings::SHOCK_SPRING,
    }
}

fn is_pressure(name: &str) -> bool {
    settings::row(name).is_some_and(|row| row.pattern == settings::CHAMBER || row.pattern == settings::TYRE)
}

fn area(chamber: &Chamber) -> Option<f64> {
    let bore = chamber.bore.map(|bore| bore.value() * bore.value() * std::f64::consts::FRAC_PI_4);
    chamber.area.map(|area| area.value()).or(bore)
}

fn moved_by(from: &Quantity, delta: f64, step: &Quantity) -> Quantity {
    let value = from.value + delta;
    // Ten decimals of a click or of a micrometre are the arithmetic's, not the rider's.
    let value = if value.abs() < 1e-12 { 0.0 } else { value };
    Quantity { value, plus_minus: None, last_digit: from.last_digit.min(step.last_digit), ..*from }
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

/// A size in the reader's units, without digits that say nothing.
fn shown_size(size: &Quantity, units: &Units) -> String {
    show_change(size.kind, size.value, units, Way::Plus).size.to_string()
}

fn undo(step: &Step, usual: String) -> String {
    step.undo.clone().unwrap_or(usual)
}

/// With the minus sign that a keyboard has.
fn plain(text: &str) -> String {
    text.replace('\u{2212}', "-")
}

fn either(names: &[String]) -> String {
    names.iter().map(|name| format!("`{name}`")).collect::<Vec<_>>().join(" or ")
}

/// Words in small letters.
pub(super) fn words(text: &str) -> Vec<String> {
    let parts = text.split(|c: char| !c.is_alphanumeric()).filter(|word| !word.is_empty());
    parts.map(str::to_lowercase).collect()
}

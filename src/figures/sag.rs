//! Sag, static and with the rider, from readings.

use crate::physics::springs;
use crate::season::SagMark;
use crate::vocabulary::End;
use crate::vocabulary::blocks::{Fork, Sag, Shock};
use crate::vocabulary::values::Readings;

use super::bench::{Bench, Got, Origin, missing, missing_at};
use super::recorder::Recorder;

/// Alone or aboard.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Load {
    Static,
    Rider,
}

impl Load {
    fn keys(self) -> [&'static str; 3] {
        match self {
            Self::Static => [Sag::alone, Sag::alone_after_push, Sag::alone_after_lift],
            Self::Rider => [Sag::aboard, Sag::aboard_after_push, Sag::aboard_after_lift],
        }
    }

    fn of(self, sag: &Sag) -> [Option<&Readings>; 3] {
        match self {
            Self::Static => {
                [sag.alone.as_ref(), sag.alone_after_push.as_ref(), sag.alone_after_lift.as_ref()]
            }
            Self::Rider => {
                [sag.aboard.as_ref(), sag.aboard_after_push.as_ref(), sag.aboard_after_lift.as_ref()]
            }
        }
    }
}

impl<'a, R: Recorder> Bench<'a, R> {
    fn sag_mark(&self, end: End, load: Load) -> Got<&'a SagMark> {
        let mark = match load {
            Load::Static => self.here.state.static_sag(end),
            Load::Rider => self.here.state.rider_sag(end),
        };
        mark.ok_or_else(|| {
            let [key, ..] = load.keys();
            missing_at("sag", end, Sag::hanging, "day").and(missing_at("sag", end, key, "day"))
        })
    }

    fn sag_reading(&self, mark: &'a SagMark, readings: &Readings, key: &'static str) -> Got<R::Number> {
        let origin = Origin { header: &mark.block.header, key };
        let tape = mark.block.tape.as_ref().or(self.here.book.about.tape.as_ref());
        self.reading(readings, origin, tape)
    }

    /// Hanging less loaded, in m: the mean of the readings after a push and after a lift where both are
    /// there; where only one way is, friction is not seen, and the figure says so.
    pub(super) fn sag(&self, end: End, load: Load) -> Got<R::Number> {
        let key = if load == Load::Static { "static sag" } else { "rider sag" };
        self.part(&format!("{key} {end}"), |bench| {
            let mark = bench.sag_mark(end, load)?;
            let hanging =
                mark.block.hanging.as_ref().ok_or_else(|| missing_at("sag", end, Sag::hanging, "day"))?;
            let hanging = bench.sag_reading(mark, hanging, Sag::hanging)?;
            let loaded = bench.loaded(mark, end, load)?;
            // Where a fork is held down by its negative chamber, the reading begins from there already.
            Ok(hanging - loaded)
        })
    }

    fn loaded(&self, mark: &'a SagMark, end: End, load: Load) -> Got<R::Number> {
        let [plain_key, push_key, lift_key] = load.keys();
        let [plain, push, lift] = load.of(&mark.block);
        if let (Some(push), Some(lift)) = (push, lift) {
            let push = self.sag_reading(mark, push, push_key)?;
            let lift = self.sag_reading(mark, lift, lift_key)?;
            return Ok(springs::without_friction(push, lift));
        }
        let (one_way, key) = match (plain, push, lift) {
            (Some(plain), _, _) => (plain, plain_key),
            (None, Some(push), _) => (push, push_key),
            (None, None, Some(lift)) => (lift, lift_key),
            (None, None, None) => return Err(missing_at("sag", end, plain_key, "day")),
        };
        self.assume_text("friction not seen");
        self.sag_reading(mark, one_way, key)
    }

    /// The rests after a push and after a lift, in m; with the rider aboard where that was read, else alone.
    pub(super) fn rests(&self, end: End) -> Got<(R::Number, R::Number)> {
        let halves = [Load::Rider, Load::Static].into_iter().filter_map(|load| {
            let mark = self.sag_mark(end, load).ok()?;
            let [_, push, lift] = load.of(&mark.block);
            Some((mark, load, push?, lift?))
        });
        let Some((mark, load, push, lift)) = halves.into_iter().next() else {
            let [_, push, lift] = Load::Rider.keys();
            return Err(missing_at("sag", end, push, "day").and(missing_at("sag", end, lift, "day")));
        };
        let [_, push_key, lift_key] = load.keys();
        let push = self.sag_reading(mark, push, push_key)?;
        let lift = self.sag_reading(mark, lift, lift_key)?;
        Ok((push, lift))
    }

    /// Travel of an end, in m: along the fork in front, vertical at the rear.
    pub(super) fn travel(&self, end: End) -> Got<R::Number> {
        let machine = self.machine()?;
        match end {
            End::Front => {
                let fork = machine.fork().ok_or_else(|| missing("fork", Fork::travel, "machine"))?;
                let travel = fork.travel.ok_or_else(|| missing("fork", Fork::travel, "machine"))?;
                Ok(self.given(&travel, Origin { header: &fork.header, key: Fork::travel }))
            }
            End::Rear => {
                let shock = machine.shock().ok_or_else(|| missing("shock", Shock::travel, "machine"))?;
                let travel = shock.travel.ok_or_else(|| missing("shock", Shock::travel, "machine"))?;
                Ok(self.given(&travel, Origin { header: &shock.header, key: Shock::travel }))
            }
        }
    }

    pub(super) fn sag_share(&self, end: End, load: Load) -> Got<R::Number> {
        Ok(self.sag(end, load)? / self.travel(end)?)
    }

    /// Rider shares of travel, front over rear.
    pub(super) fn sag_ratio(&self) -> Got<R::Number> {
        Ok(self.sag_share(End::Front, Load::Rider)? / self.sag_share(End::Rear, Load::Rider)?)
    }

    /// Where the travel ring stood, over the travel.
    pub(super) fn travel_used(&self, end: End) -> Got<R::Number> {
        let used =
            self.here.state.travel_used(end).ok_or_else(|| missing("stint", travel_used_key(end), "day"))?;
        let used = self.written(&used.quantity, used.span, || travel_used_key(end).to_owned());
        Ok(used / self.travel(end)?)
    }
}

fn travel_used_key(end: End) -> &'static str {
    use crate::vocabulary::blocks::Stint;
    match end {
        End::Front => Stint::travel_used_front,
        End::Rear => Stint::travel_used_rear,
    }
}

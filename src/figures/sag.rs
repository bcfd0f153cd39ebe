//! Sag, static and with the rider, from readings.

use crate::book::readings;
use crate::physics::springs;
use crate::season::SagMark;
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{Fork, Sag, Shock};
use crate::vocabulary::values::Readings;
use crate::vocabulary::{End, Load};

use super::bench::{Bench, Got, Origin, Part, missing, missing_at};
use super::recorder::Recorder;
use super::rejected::if_unwritten;

impl<'a, R: Recorder> Bench<'a, R> {
    fn sag_mark(&self, end: End, load: Load) -> Got<&'a SagMark> {
        match self.here.state.read_sag(end, load) {
            Some(read) => read.map_err(|rejected| self.rejected(rejected)),
            None => {
                let [key, ..] = load.keys();
                Err(missing_at("sag", end, Sag::hanging, "day").and(missing_at("sag", end, key, "day")))
            }
        }
    }

    fn sag_reading(&self, mark: &'a SagMark, values: &Readings, key: &'static str) -> Got<R::Number> {
        let origin = Origin { header: &mark.block.header, key };
        self.reading(values, origin, readings::tape(self.here.book, &mark.block))
    }

    /// Hanging less loaded, in m: the mean of the readings after a push and after a lift where both exist. With
    /// only one of them friction is not seen, and the figure says so.
    pub(super) fn sag(&self, end: End, load: Load) -> Got<R::Number> {
        self.part(Part::Sag(end, load), |bench| {
            let mark = bench.sag_mark(end, load)?;
            let hanging =
                mark.block.hanging.as_ref().ok_or_else(|| missing_at("sag", end, Sag::hanging, "day"))?;
            let hanging = bench.sag_reading(mark, hanging, Sag::hanging)?;
            let loaded = bench.loaded(mark, end, load)?;
            // Where a negative chamber holds the fork down, the readings already count from there.
            Ok(hanging - loaded)
        })
    }

    fn loaded(&self, mark: &'a SagMark, end: End, load: Load) -> Got<R::Number> {
        let rests = mark.block.rests(load);
        if let (Some((push_key, push)), Some((lift_key, lift))) = (rests.after_push, rests.after_lift) {
            let push = self.sag_reading(mark, push, push_key)?;
            let lift = self.sag_reading(mark, lift, lift_key)?;
            return Ok(springs::without_friction(push, lift));
        }
        let [plain_key, ..] = load.keys();
        let one_way = rests.counted().first().copied();
        let (key, one_way) = one_way.ok_or_else(|| missing_at("sag", end, plain_key, "day"))?;
        self.assume_text(say!("friction not measured"));
        self.sag_reading(mark, one_way, key)
    }

    /// The sags after a push and after a lift, in m; with the rider aboard where they were read, else alone.
    pub(super) fn sags_both_ways(&self, end: End) -> Got<(R::Number, R::Number)> {
        for load in [Load::Rider, Load::Static] {
            let Some(mark) = if_unwritten(self.sag_mark(end, load))? else { continue };
            let rests = mark.block.rests(load);
            let (Some((push_key, push)), Some((lift_key, lift)), Some(hanging)) =
                (rests.after_push, rests.after_lift, &mark.block.hanging)
            else {
                continue;
            };
            let hanging = self.sag_reading(mark, hanging, Sag::hanging)?;
            let push = self.sag_reading(mark, push, push_key)?;
            let lift = self.sag_reading(mark, lift, lift_key)?;
            return Ok((hanging - push, hanging - lift));
        }
        let [_, push, lift] = Load::Rider.keys();
        Err(missing_at("sag", end, push, "day").and(missing_at("sag", end, lift, "day")))
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

    /// Where the travel ring was, over the travel.
    pub(super) fn travel_used(&self, end: End) -> Got<R::Number> {
        let used =
            self.here.state.travel_used(end).ok_or_else(|| missing("stint", travel_used_key(end), "day"))?;
        let used = self.written(&used.quantity, used.span, || Message::text(travel_used_key(end)));
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

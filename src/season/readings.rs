//! The readings of a day's notebook: sags, loads, pressures, steering, hours, and what was looked at.

use std::sync::Arc;

use crate::source::Span;
use crate::vocabulary::blocks::{
    Checked, Hours as HoursBlock, Pressures, RiderBlock, Sag, Scales, Steering, Stint, Valving,
};
use crate::vocabulary::values::Given;
use crate::vocabulary::{End, FigureName, Header, Load, ReadingName, Symbol};

use super::charge::PressureMark;
use super::judged;
use super::page::Page;
use super::rejected::hot_or_cold;
use super::settings::{Changed, Event, How, Stepped};
use super::state::{Hours, Place, SagMark, Seen, Today};
use super::valving::rebuilt;

impl Page<'_> {
    pub(super) fn rider(&mut self, block: &RiderBlock) {
        // What a later description leaves out still holds.
        let mut merged = block.clone();
        if let Some(before) = &self.state.rider {
            carry(&mut merged.header, RiderBlock::mass, &mut merged.mass, (before.mass, &before.header));
            let share = (before.rear_share, &before.header);
            carry(&mut merged.header, RiderBlock::rear_share, &mut merged.rear_share, share);
            merged.level = merged.level.or_else(|| before.level.clone());
        }
        self.state.rider = Some(Arc::new(merged));
    }

    fn seen(&self, span: Span, place: Place) -> Arc<Seen> {
        let ridden = self.state.machine.hours.map(|hours| hours.ridden);
        Arc::new(Seen { date: self.day.date, ridden, span, place })
    }

    pub(super) fn sag(&mut self, block: &Arc<Sag>, place: Place) {
        let Some(end) = block.header.end() else { return };
        let mark = SagMark {
            block: Arc::clone(block),
            place,
            date: self.day.date,
            rider: self.state.rider.clone(),
            scales: self.state.pair.scales.clone(),
        };
        let mark = Arc::new(mark);
        let seen = self.seen(block.header.fence, place);
        let then = Arc::new(self.state.at_sag());
        let (judged, reported) = judged::sag(block, end, self.machine);
        self.findings.extend(reported);
        let pair = Arc::make_mut(&mut self.state.pair);
        for (load, judged) in judged {
            let counts = judged.is_ok();
            if !counts {
                let rests = block.rests(load);
                let all = [rests.plain, rests.after_push, rests.after_lift].into_iter().flatten();
                self.rejected.extend(all.map(|(_, readings)| readings.span));
            }
            pair.sag.insert((end, load), judged.map(|()| Arc::clone(&mark)));
            if load == Load::Rider {
                pair.at_sag.insert(end, Arc::clone(&then));
            }
            if counts {
                pair.seen.insert(FigureName::sag(load, end).symbol(), Arc::clone(&seen));
            }
        }
    }

    pub(super) fn scales(&mut self, block: &Arc<Scales>, place: Place) {
        let (judged, reported) = judged::scales(block, self.machine, self.state.rider.as_deref());
        self.findings.extend(reported);
        if judged.is_err() {
            let all = [&block.front_alone, &block.rear_alone, &block.front_aboard, &block.rear_aboard];
            self.rejected.extend(all.into_iter().flatten().map(|readings| readings.span));
        }
        let scales = judged.map(|()| Arc::clone(block));
        let pair = Arc::make_mut(&mut self.state.pair);
        // Scales after the tape on one day weigh the same machine and rider.
        let of_today = |(of, mark): (&(End, Load), &Result<Arc<SagMark>, _>)| {
            let mark = mark.as_ref().ok().filter(|mark| mark.place.day == place.day)?;
            Some((*of, SagMark { scales: Some(scales.clone()), ..(**mark).clone() }))
        };
        let weighed: Vec<((End, Load), SagMark)> = pair.sag.iter().filter_map(of_today).collect();
        pair.sag.extend(weighed.into_iter().map(|(of, mark)| (of, Ok(Arc::new(mark)))));
        pair.scales = Some(scales);
    }

    pub(super) fn pressures(&mut self, block: &Arc<Pressures>, place: Place) {
        let seen = self.seen(block.header.fence, place);
        let gate = self.state.gate().clone();
        let is_hot = block.at.is_none() && self.state.stint().is_some();
        let mut hot = None;
        // Readings as found come first, wherever they are in the block: they are from before topping up.
        let found = block.others.found.iter().map(|reading| (reading, true));
        let left = block.others.pressures.iter().map(|reading| (reading, false));
        for (reading, is_found) in found.chain(left) {
            let name = reading.name;
            if let Err(finding) = self.state.judged(self.machine, reading, is_found) {
                self.findings.push(*finding);
                self.rejected.push(reading.readings.span);
                continue;
            }
            let machine = Arc::make_mut(&mut self.state.machine);
            machine.seen.insert(name.symbol(), Arc::clone(&seen));
            if self.state.is_solid(name) {
                continue;
            }
            if is_hot {
                hot.get_or_insert(reading);
                continue;
            }
            let mark = PressureMark::new(block, reading, gate.clone(), place, self.day.date);
            if is_found {
                self.state.find(name, &Arc::new(mark));
            } else {
                self.state.leave(name, &Arc::new(mark));
            }
        }
        self.findings.extend(hot.map(hot_or_cold));
    }

    pub(super) fn steering(&mut self, block: &Steering, place: Place) {
        let seen = self.seen(block.header.fence, place);
        let machine = Arc::make_mut(&mut self.state.machine);
        if block.drop.is_some() {
            machine.seen.insert(Symbol::of(ReadingName::SteeringDrop.as_str()), Arc::clone(&seen));
        }
        if block.pull.is_some() {
            machine.seen.insert(Symbol::of(ReadingName::SteeringPull.as_str()), Arc::clone(&seen));
            machine.seen.insert(FigureName::STEERING_BREAKAWAY.symbol(), seen);
        }
        let mut merged = block.clone();
        if let Some((before, _)) = &machine.steering {
            merged.drop = merged.drop.or_else(|| before.drop.clone());
            if merged.pull.is_none() {
                let pull = (before.pull.clone(), &before.header);
                carry(&mut merged.header, Steering::pull, &mut merged.pull, pull);
                merged.radius = merged.radius.or(before.radius);
            }
        }
        machine.steering = Some((Arc::new(merged), place));
    }

    pub(super) fn hours(&mut self, block: &HoursBlock) {
        let machine = Arc::make_mut(&mut self.state.machine);
        let before = machine.hours.map_or(0.0, |hours| hours.ridden);
        let by_meter = machine.hours.is_some_and(|hours| hours.by_meter);
        let is_misread =
            |meter: &Given| machine.hours.is_some_and(|hours| hours.is_ahead_of(&meter.quantity));
        machine.hours = match (block.meter.filter(|meter| !is_misread(meter)), block.ridden) {
            (Some(meter), _) => Some(Hours { ridden: meter.value(), by_meter: true, span: meter.span }),
            (None, Some(ridden)) => {
                Some(Hours { ridden: before + ridden.value(), by_meter, span: ridden.span })
            }
            // A meter that runs backwards was misread: the last good reading holds.
            (None, None) => machine.hours,
        };
    }

    pub(super) fn checked(&mut self, block: &Checked, place: Place) {
        for done in block.done.iter().flat_map(|done| &done.values) {
            let seen = self.seen(done.span, place);
            let word = Symbol::of(&done.text);
            // Sags belong to machine and rider together, everything else to the machine.
            if FigureName::parse(&done.text).is_some_and(|name| name.info().is_of_rider()) {
                Arc::make_mut(&mut self.state.pair).seen.insert(word, seen);
            } else {
                Arc::make_mut(&mut self.state.machine).seen.insert(word, seen);
            }
        }
    }

    pub(super) fn valving(&mut self, block: &Valving, place: Place) {
        // A rebuild with another date was in force when that day began.
        let rebuilt = rebuilt(block, Some((self.day.date, place)));
        let Some((damper, held)) = rebuilt.filter(|(_, held)| held.place.is_some()) else { return };
        let span = held.span;
        let before = self.state.valving.insert(damper, held.clone());
        let entry = |held| Arc::new(Ok(held));
        self.events.push(Event {
            name: Changed::Valving(damper),
            step: Stepped { before: before.map(entry), after: Some(entry(held)) },
            block: place.block,
            how: How::Change,
            span,
            by: None,
        });
    }

    pub(super) fn stint(&mut self, block: &Arc<Stint>) {
        if let Some(rode) = block.rode
            && !self.state.machine.hours.is_some_and(|hours| hours.by_meter)
        {
            let machine = Arc::make_mut(&mut self.state.machine);
            let before = machine.hours.map_or(0.0, |hours| hours.ridden);
            machine.hours = Some(Hours { ridden: before + rode.value(), by_meter: false, span: rode.span });
        }
        let today: &mut Today = Arc::make_mut(&mut self.state.today);
        if block.travel_used_front.is_some() {
            today.used_front = Some(Arc::clone(block));
        }
        if block.travel_used_rear.is_some() {
            today.used_rear = Some(Arc::clone(block));
        }
        today.stint = Some(Arc::clone(block));
    }
}

/// What a later block leaves out still holds, errors included; a key with an error in the later block does not.
fn carry<T>(header: &mut Header, key: &str, now: &mut Option<T>, (value, from): (Option<T>, &Header)) {
    let is_written = now.is_some() || header.unread.keys.iter().any(|(name, _)| name == key);
    match (is_written, value) {
        (true, _) => {}
        (false, Some(value)) => *now = Some(value),
        (false, None) => {
            if let Some(rejected) = from.rejected(key) {
                header.unread.add(key, rejected);
            }
        }
    }
}

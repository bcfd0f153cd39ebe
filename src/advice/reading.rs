//! Readings that advice rests on: how each is taken, whether it is still good, and what it says.

use crate::quantity::show;
use crate::season::{How, LastWord, State};
use crate::speech::say;
use crate::vocabulary::blocks::FALLS;
use crate::vocabulary::figures::FigureId;
use crate::vocabulary::name::Open;
use crate::vocabulary::{Care, End, FigureName, Named, NamedRow, ReadingName, Setting};

use super::answer::ReadingState;
use super::data::{ReadingRule, Work};
use super::rides::Ride;
use super::scene::Scene;

/// The drop test, which is a word and no number.
pub(super) const DROP: Named = Named::Reading(ReadingName::SteeringDrop);

/// Whether a reading can be used.
pub(super) enum Freshness {
    Fresh,
    /// It must be taken first, and why.
    Due(String),
}

impl<'a> Scene<'a> {
    /// The rule for a reading.
    fn rule(&self, name: Named) -> Option<&'a ReadingRule> {
        self.advice.practice().readings.iter().find(|rule| rule.of.contain(name))
    }

    /// How a reading is taken.
    pub fn how_to(&self, name: Named) -> String {
        match self.rule(name) {
            Some(rule) => self.with_open(&rule.say, rule.of.open_in(name)),
            None => self.say(&say!("measure `{name}` and write it down", name)),
        }
    }

    /// Whether a reading is good enough to rest a change on.
    pub fn freshness(&self, name: Named, ride: Option<&Ride<'_>>) -> Freshness {
        if let Some(end) = name.figure().and_then(|name| FigureName::TRAVEL_USED_SHARE.end_of(name)) {
            return match ride.and_then(|ride| ride.state.travel_used(end)) {
                Some(_) => Freshness::Fresh,
                None => Freshness::Due(
                    self.say(&say!("the ring was not read on the ride that the complaint is from")),
                ),
            };
        }
        let seen = self.state.seen(name.as_str());
        // A pressure set today is known as well as one that was read.
        let set_today = name
            .setting()
            .and_then(|name| self.state.setting(name))
            .is_some_and(|held| held.place.is_some_and(|place| place.day == self.day));
        let Some(seen) = seen else {
            return if set_today {
                Freshness::Fresh
            } else {
                Freshness::Due(self.say(&say!("it was never measured")))
            };
        };
        let is_of_steering = name.care() == Some(Care::Steering);
        if let Some(crash) = self.crash.as_ref().filter(|_| is_of_steering && self.is_before_crash(&seen)) {
            return Freshness::Due(
                self.say(&say!("there was a crash on {date} since it was measured", date = crash.date)),
            );
        }
        let rule = self.rule(name);
        if let Some(setting) = self.worked_on(name) {
            return Freshness::Due(self.say(&say!(
                "{label} was changed since it was measured on {date}",
                label = setting.label(),
                date = seen.date
            )));
        }
        if let Some(due) = self.due.iter().find(|due| due.named == Some(name)) {
            return if due.is_wanted(self.about.date) && !set_today {
                Freshness::Due(self.units.say(&due.why()))
            } else {
                Freshness::Fresh
            };
        }
        let age = seen.date.until(self.on).map_or(0, |age| age.get_days());
        let is_old = rule
            .and_then(|rule| rule.every_days)
            .is_some_and(|every| age > i32::try_from(every).unwrap_or(i32::MAX));
        match is_old && !set_today {
            true => Freshness::Due(self.say(&say!("it was last measured on {date}", date = seen.date))),
            false => Freshness::Fresh,
        }
    }

    /// The setting whose later change has outdated a reading.
    pub fn worked_on(&self, name: Named) -> Option<Setting> {
        let work = self.rule(name).into_iter().flat_map(|rule| self.work(rule, name));
        work.into_iter().find(|setting| self.was_changed_since(name, *setting))
    }

    /// The settings whose change asks for a new reading.
    fn work(&self, rule: &ReadingRule, name: Named) -> Vec<Setting> {
        let ends = match rule.of.open_in(name) {
            Open::End(end) => vec![end],
            _ => End::BOTH.to_vec(),
        };
        let of_group = |group: &str| {
            let names: Vec<String> = ends.iter().map(|end| Work::of_end(group, *end)).collect();
            let groups = self.advice.practice().work.iter().filter(|known| names.contains(&known.name));
            groups.flat_map(|group| &group.settings).copied().collect()
        };
        let settings = |work: &Work| match work {
            Work::Setting(setting) => vec![*setting],
            Work::Group(group) => of_group(group),
        };
        rule.after.iter().flat_map(settings).collect()
    }

    pub fn was_changed_since(&self, reading: Named, setting: Setting) -> bool {
        let (Some(seen), Some(held)) = (self.state.seen(reading.as_str()), self.state.setting(setting))
        else {
            return false;
        };
        if held.place.is_none_or(|place| place <= seen.place) {
            return false;
        }
        // Written again without a change is no work.
        let end = reading.figure().and_then(|name| FigureName::SAG_RIDER.end_of(name));
        match end.and_then(|end| self.state.setting_at_sag(end, setting)) {
            Some(then) => !then.value.same_as(&held.value),
            None => matches!(held.how, How::Change | How::Back | How::Plan),
        }
    }

    /// The state of a reading, for people.
    pub fn reading(&self, name: Named, ride: Option<&Ride<'_>>) -> ReadingState {
        let label = self.say(&name.label());
        let is_of_ride = |_: &&Ride<'_>| name.row() == NamedRow::Figure(FigureId::TRAVEL_USED_SHARE);
        let state = ride.filter(is_of_ride).map_or(self.state, |ride| ride.state);
        let band = self.band(name);
        let (shown, value) = self.shown_reading(state, name);
        let within = band.and_then(|band| band.within);
        let want = band.and_then(|band| band.want.as_ref());
        let expanded = || self.expanded(name.figure()?);
        let is_in_band = match (value, within, want, &shown) {
            // Outside only where the reading can tell.
            (Some(value), Some(within), _, _) => match within.past(value) {
                None => Some(true),
                Some(off) if expanded().is_some_and(|expanded| off <= expanded) => None,
                Some(_) => Some(false),
            },
            (_, _, Some(want), Some(shown)) => Some(want.text == *shown),
            _ => None,
        };
        let (is_due, due_note) = match self.freshness(name, ride) {
            Freshness::Fresh => (false, None),
            Freshness::Due(why) => (true, Some(why)),
        };
        let meaning = match (value, within, is_in_band, self.rule(name)) {
            (Some(value), Some(within), Some(false), Some(rule)) => {
                let is_low = within.low.is_some_and(|low| value < low.value);
                let words = if is_low { &rule.low } else { &rule.high };
                words.as_ref().map(|words| self.units.word(words))
            }
            _ => None,
        };
        ReadingState {
            name,
            label,
            shown,
            band: within
                .map(|within| self.shown_bounds(&within))
                .or_else(|| want.map(|want| want.text.clone())),
            is_in_band,
            is_due,
            note: due_note.or(meaning),
        }
    }

    /// Whether a reading is not as it should be: outside the machine's band, or a drop test that falls. `None` where
    /// nobody can tell.
    pub fn is_amiss(&self, name: Named) -> Option<bool> {
        let drop = || {
            let steering = self.state.steering().filter(|_| name == DROP)?;
            Some(steering.drop.as_ref()?.text == FALLS)
        };
        self.reading(name, None).is_in_band.map(|is_in| !is_in).or_else(drop)
    }

    /// A figure, reading or setting as shown, and its value in the SI base unit where it has one.
    fn shown_reading(&self, state: &State, name: Named) -> (Option<String>, Option<f64>) {
        if name == DROP {
            return (
                state.steering().and_then(|steering| steering.drop.as_ref()).map(|drop| drop.text.clone()),
                None,
            );
        }
        if let Some(name) = name.figure() {
            let figure = self.figures(state, &[name]).into_iter().next();
            let shown = figure.as_ref().and_then(|figure| self.shown_figure(figure));
            return (shown, figure.and_then(|figure| figure.value()));
        }
        let quantity = name.setting().and_then(|name| match state.last_word(name) {
            Some(LastWord::Reading(mark)) => mark.quantity(),
            _ => self.base_at(state, name).map(|base| base.quantity),
        });
        (
            quantity.map(|quantity| show(&quantity, &self.units).to_string()),
            quantity.map(|quantity| quantity.value),
        )
    }
}

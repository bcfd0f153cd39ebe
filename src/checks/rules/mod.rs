//! The rules and what each looks at.

mod adjuster_range;
mod adjuster_unit;
mod axle_place;
pub(super) mod bands;
mod confounded;
mod drifted;
mod elevation_of_track;
mod expectations;
mod file_date;
mod fuelling_choice;
mod future_date;
mod gear_order;
mod held_down;
mod hours_backwards;
mod hours_leap;
mod leak_down;
mod leg_temperature;
mod limits;
mod mentions;
mod no_room;
mod not_on_hand;
mod odd_lap;
mod odd_links;
mod other_posture;
mod overdue;
mod preload_range;
mod rider_mass;
mod rider_on_front;
mod same_day;
mod scatter;
mod sea_level_pressure;
mod skipped_laps;
mod spring_label;
mod step_or_place;
mod stint_order;
mod swapped_pressures;
mod topped_out;
mod trail_and_offset;
mod travel_used;
mod tyre_size;
mod unknown_done;
mod unstable_linkage;
mod wheel_loads;

use std::collections::BTreeSet;

use jiff::civil::Date;

use crate::book::Book;
use crate::figures::Recording;
use crate::finding::{Code, Finding};
use crate::season::Season;
use crate::source::Span;

use super::place::{OfDay, OfMachine};
use super::written::WrittenSetting;

type OfBooks = fn(&Book, &Season, Option<Date>, &mut Vec<Finding>);
type OfMachines<M> = fn(&OfMachine<'_, '_, M>, &mut Vec<Finding>);
type OfDays<M> = fn(&OfDay<'_, '_, M>, &mut Vec<Finding>);
type OfSettings = fn(&WrittenSetting<'_>, &mut Vec<Finding>);

/// Rules over all days together.
pub(super) static OF_BOOKS: &[OfBooks] = &[same_day::check, future_date::check, overdue::check];

/// Rules over one machine's notebook.
pub(super) fn of_machines<M: Recording>() -> &'static [OfMachines<M>] {
    &[
        trail_and_offset::check,
        unstable_linkage::check,
        no_room::check,
        axle_place::check_machine,
        expectations::check_machine,
        mentions::check_machine,
        tyre_size::check,
        gear_order::check,
    ]
}

/// Rules over one day that report in its own notebook.
pub(super) fn of_days_here<M: Recording>() -> &'static [OfDays<M>] {
    &[
        topped_out::check,
        scatter::check,
        sea_level_pressure::check,
        wheel_loads::check,
        spring_label::check,
        mentions::check_day,
        hours_backwards::check,
        leak_down::check,
        leg_temperature::check,
        other_posture::check,
        unknown_done::check,
        stint_order::check,
        travel_used::check,
        elevation_of_track::check,
        hours_leap::check,
        rider_mass::check,
        rider_on_front::check,
        swapped_pressures::check,
        skipped_laps::check,
        file_date::check,
    ]
}

/// Rules over one day that may report where something was written that it goes by: in a plan, on an earlier
/// day, or in a file of laps.
pub(super) fn of_days_anywhere<M: Recording>() -> &'static [OfDays<M>] {
    &[
        held_down::check,
        axle_place::check_day,
        limits::check_day,
        bands::check,
        expectations::check_day,
        drifted::check,
        confounded::check,
        step_or_place::check,
        odd_lap::check,
    ]
}

/// Rules over one value written for a setting.
pub(super) static OF_SETTINGS: &[OfSettings] = &[
    limits::check_setting,
    preload_range::check,
    adjuster_range::check,
    adjuster_unit::check,
    not_on_hand::check,
    odd_links::check,
    fuelling_choice::check,
];

/// All of this room's codes.
pub static CODES: &[&Code] = &[
    &topped_out::CODE,
    &scatter::CODE,
    &unknown_done::CODE,
    &unstable_linkage::CODE,
    &unstable_linkage::SHORT,
    &trail_and_offset::CODE,
    &travel_used::CODE,
    &held_down::CODE,
    &sea_level_pressure::CODE,
    &wheel_loads::CODE,
    &wheel_loads::BELOW_UNSPRUNG,
    &spring_label::CODE,
    &limits::CODE,
    &bands::CODE,
    &bands::TOO_CLOSE,
    &bands::TOO_NARROW,
    &expectations::CODE,
    &no_room::CODE,
    &preload_range::CODE,
    &adjuster_range::CODE,
    &adjuster_unit::CODE,
    &axle_place::CODE,
    &not_on_hand::CODE,
    &odd_lap::CODE,
    &stint_order::CODE,
    &odd_links::CODE,
    &fuelling_choice::CODE,
    &mentions::CODE,
    &future_date::CODE,
    &same_day::CODE,
    &drifted::CODE,
    &confounded::CODE,
    &step_or_place::CODE,
    &overdue::CODE,
    &hours_backwards::CODE,
    &leak_down::CODE,
    &sea_level_pressure::SWAPPED,
    &tyre_size::CODE,
    &gear_order::CODE,
    &elevation_of_track::CODE,
    &hours_leap::CODE,
    &rider_mass::CODE,
    &rider_on_front::CODE,
    &swapped_pressures::CODE,
    &skipped_laps::CODE,
    &file_date::CODE,
    &leg_temperature::CODE,
    &other_posture::CODE,
];

/// Of findings about a fork held down by one pressure on several days, keeps the first.
fn keep_first_held_down(findings: &mut Vec<Finding>) {
    let mut said: BTreeSet<Span> = BTreeSet::new();
    findings.retain(|finding| *finding.code != held_down::CODE || said.insert(finding.span));
}

/// Drops findings that repeat another: a band's, where the adjuster, the shock or the maker's limit says more;
/// and a band that is too narrow, on all days but the last.
pub(super) fn keep_one_for_a_cause(findings: &mut Vec<Finding>) {
    bands::keep_latest(findings);
    keep_first_held_down(findings);
    let at = |code: &Code| -> BTreeSet<Span> {
        findings.iter().filter(|finding| *finding.code == *code).map(|finding| finding.span).collect()
    };
    // One limit may be written in two places: the first finding about a value is enough.
    let mut limited: BTreeSet<Span> = BTreeSet::new();
    let mut repeated = Vec::new();
    for (index, finding) in findings.iter().enumerate() {
        if *finding.code == limits::CODE && !limited.insert(finding.span) {
            repeated.push(index);
        }
    }
    let past_range = at(&preload_range::CODE);
    let mut said = at(&limits::CODE);
    said.extend(at(&adjuster_range::CODE));
    said.extend(&past_range);
    let mut index = 0;
    findings.retain(|finding| {
        let is_repeated = repeated.binary_search(&index).is_ok();
        index += 1;
        let is_band = *finding.code == bands::CODE && said.contains(&finding.span);
        let is_limit = *finding.code == limits::CODE && past_range.contains(&finding.span);
        !is_band && !is_limit && !is_repeated
    });
}

//! Readings judged where they enter: one with an error does not count; a warning changes nothing.
//!
//! The error is reported once, at its place. What rests on the reading is then missing, and names that place. An
//! older reading does not replace it.

mod reading_order;
mod sag_past_travel;
mod wheel_loads;

use crate::book::Notebook;
use crate::finding::{Code, Finding, Rejected};
use crate::vocabulary::blocks::{RiderBlock, Sag, Scales};
use crate::vocabulary::{End, Load};

pub(super) use wheel_loads::CODE as WHEEL_LOADS;
pub(super) use {reading_order::CODE as READING_ORDER, sag_past_travel::CODE as SAG_PAST_TRAVEL};

/// Whether a reading counts.
type Judged = Result<(), Rejected>;

/// An error in a sag block, and the load whose sag it makes unknown; `None` where it is both.
type Fault = (Option<Load>, Finding);

const fn code(name: &'static str, page: &'static str) -> Code {
    Code { name, severity: crate::finding::Severity::Error, since: "0.1.0", page }
}

/// The sags that a block gives, each judged.
pub(super) fn sag(block: &Sag, end: End, machine: Option<&Notebook>) -> (Vec<(Load, Judged)>, Vec<Finding>) {
    // A misread digit can exceed the travel and break the order as well: it is reported once.
    let mut faults = sag_past_travel::faults(block, end, machine);
    if faults.is_empty() {
        faults = reading_order::faults(block);
    }
    let judged = Load::BOTH.into_iter().filter_map(|load| {
        let keys = load.keys();
        let unread = |key: &&str| block.header.unread.keys.iter().any(|(name, _)| name == *key);
        let is_written = !block.rests(load).counted().is_empty() || keys.iter().any(unread);
        if !is_written && block.header.unread.line.is_none() {
            return None;
        }
        let needed = [Sag::hanging].into_iter().chain(keys);
        let unread = needed.filter(unread).find_map(|key| block.header.rejected(key));
        let lost = if block.has(load) { None } else { block.header.unread.line };
        let fault = faults.iter().find(|(of, _)| of.is_none_or(|of| of == load));
        let fault = fault.and_then(|(_, finding)| finding.rejects());
        match unread.or(lost).or(fault) {
            Some(rejected) => Some((load, Err(rejected))),
            // Without the hanging reading there is no sag; that is reported as a missing key.
            None => block.has(load).then_some((load, Ok(()))),
        }
    });
    (judged.collect(), faults.iter().map(|(_, finding)| finding.clone()).collect())
}

/// Loads on scales, judged.
pub(super) fn scales(
    block: &Scales,
    machine: Option<&Notebook>,
    rider: Option<&RiderBlock>,
) -> (Judged, Vec<Finding>) {
    let fault = wheel_loads::fault(block, machine, rider);
    let judged = fault.as_ref().and_then(Finding::rejects).map_or(Ok(()), Err);
    (judged, fault.into_iter().collect())
}

//! Where a machine and a rider begin: hardware, the standard setting, the rider's own.

use std::collections::BTreeMap;
use std::sync::Arc;

use crate::book::Notebook;
use crate::finding::{Finding, Rejected};
use crate::vocabulary::Header;
use crate::vocabulary::blocks::{Carburettor, Drive, Fork, Shock};
use crate::vocabulary::settings::{self, Owner};
use crate::vocabulary::values::Given;

use super::carry::Ledger;
use super::settings::{Entry, Held, HeldMap, HeldValue, How};

/// Settings that hardware blocks name as well: what is written for each, or the error in it.
fn hardware(machine: &Notebook) -> Vec<(&'static str, Result<Given, Rejected>)> {
    let mut named = Vec::new();
    let mut name = |setting: &'static str, header: &Header, key: &str, given: Option<Given>| {
        let entry = given.map(Ok).or_else(|| header.rejected(key).map(Err));
        named.extend(entry.map(|entry| (setting, entry)));
    };
    if let Some(fork) = machine.last::<Fork>() {
        name(settings::FORK_SPRING, &fork.header, Fork::spring, fork.spring);
        name(settings::FORK_PRELOAD, &fork.header, Fork::preload, fork.preload);
        name(settings::FORK_AIR_GAP, &fork.header, Fork::air_gap, fork.air_gap);
    }
    if let Some(shock) = machine.last::<Shock>() {
        name(settings::SHOCK_SPRING, &shock.header, Shock::spring, shock.spring);
    }
    if let Some(drive) = machine.last::<Drive>() {
        name(settings::DRIVE_FRONT, &drive.header, Drive::front, drive.front);
        name(settings::DRIVE_REAR, &drive.header, Drive::rear, drive.rear);
        name(settings::DRIVE_LINKS, &drive.header, Drive::links, drive.links);
    }
    if let Some(carburettor) = machine.last::<Carburettor>() {
        name(settings::JET_MAIN, &carburettor.header, Carburettor::main, carburettor.main);
    }
    named
}

/// The machine's standard setting: what its hardware names, and its `settings` over that.
pub(super) fn standard_entries(machine: &Notebook) -> (HeldMap, Vec<Finding>) {
    let mut map = HeldMap::new();
    let mut findings = Vec::new();
    let held = |value, how, span| Held { value, how, span, place: None, date: None };
    for (name, given) in hardware(machine) {
        let entry = given.map(|given| held(HeldValue::Quantity(given.quantity), How::Hardware, given.span));
        map.insert(name.to_owned(), entry);
    }
    let ledger = Ledger { pitch: thread_pitch(machine) };
    for block in machine.settings_named("") {
        for assignment in &block.others.settings {
            let before = map.get(&assignment.name);
            let standing = |value| held(value, How::Standard, assignment.span);
            let (entry, finding) = ledger.entry(assignment, before, standing);
            map.insert(assignment.name.clone(), entry);
            findings.extend(finding);
        }
        map.extend(unread(&block.header));
    }
    (map, findings)
}

/// The machine's standard setting, as far as it can be told, and what is wrong with it.
pub fn standard_settings(machine: &Notebook) -> (BTreeMap<String, Held>, Vec<Finding>) {
    let (entries, findings) = standard_entries(machine);
    (entries.into_iter().filter_map(|(name, entry)| Some((name, entry.ok()?))).collect(), findings)
}

/// The settings of a block with an error in them.
pub(super) fn unread(header: &Header) -> impl Iterator<Item = (String, Entry)> + use<> {
    let keys = header.unread.keys.clone().into_iter();
    keys.filter(|(name, _)| settings::row(name).is_some()).map(|(name, rejected)| (name, Err(rejected)))
}

/// The two halves of where a machine with this rider begins, and what is wrong with the rider's part.
pub(super) fn beginning(
    machine: &Notebook,
    standard: HeldMap,
    rider: Option<&Notebook>,
) -> (Arc<HeldMap>, Arc<HeldMap>, Vec<Finding>) {
    let owner = |name: &str| settings::row(name).map_or(Owner::Rider, |row| row.owner);
    let (of_machine, mut of_rider): (HeldMap, HeldMap) =
        standard.into_iter().partition(|(name, _)| owner(name) == Owner::Machine);
    let mut findings = Vec::new();
    let ledger = Ledger { pitch: thread_pitch(machine) };
    let blocks = || rider.iter().flat_map(|rider| rider.settings_named(&machine.name));
    for assignment in blocks().flat_map(|block| &block.others.settings) {
        if owner(&assignment.name) == Owner::Machine {
            findings.push(
                Finding::new(
                    &super::codes::MACHINE_OWNED,
                    assignment.name_span,
                    format!("`{}` stays on the machine, whoever rides", assignment.name),
                )
                .help(format!(
                    "write it in the `settings` of `{}`, or in the day that changed it",
                    machine.path
                )),
            );
            continue;
        }
        let held = |value| Held { value, how: How::Rider, span: assignment.span, place: None, date: None };
        let (entry, finding) = ledger.entry(assignment, of_rider.get(&assignment.name), held);
        of_rider.insert(assignment.name.clone(), entry);
        findings.extend(finding);
    }
    let unread = blocks().flat_map(|block| unread(&block.header));
    of_rider.extend(unread.filter(|(name, _)| owner(name) != Owner::Machine));
    (Arc::new(of_machine), Arc::new(of_rider), findings)
}

/// The way of the shock's collar in one turn, in m.
pub(super) fn thread_pitch(machine: &Notebook) -> Option<f64> {
    machine.last::<Shock>()?.thread_pitch.map(|pitch| pitch.value())
}

//! Where a machine and a rider begin: hardware, the standard setting, the rider's own settings.

use std::sync::Arc;

use crate::book::Notebook;
use crate::finding::{Finding, Rejected};
use crate::speech::say;
use crate::vocabulary::blocks::{Carburettor, Drive, Fork, Shock};
use crate::vocabulary::settings::Owner;
use crate::vocabulary::values::Given;
use crate::vocabulary::{Header, Setting};

use super::carry::Ledger;
use super::settings::{Entry, Held, HeldMap, HeldValue, How, Standard, in_force};

/// Settings that hardware blocks also name: the value of each, or the error in it.
fn hardware(machine: &Notebook) -> Vec<(Setting, Result<Given, Rejected>)> {
    let mut named = Vec::new();
    let mut name = |setting: Setting, header: &Header, key: &str, given: Option<Given>| {
        let entry = given.map(Ok).or_else(|| header.rejected(key).map(Err));
        named.extend(entry.map(|entry| (setting, entry)));
    };
    if let Some(fork) = machine.last::<Fork>() {
        name(Setting::FORK_SPRING, &fork.header, Fork::spring, fork.spring);
        name(Setting::FORK_PRELOAD, &fork.header, Fork::preload, fork.preload);
        name(Setting::FORK_AIR_GAP, &fork.header, Fork::air_gap, fork.air_gap);
    }
    if let Some(shock) = machine.last::<Shock>() {
        name(Setting::SHOCK_SPRING, &shock.header, Shock::spring, shock.spring);
    }
    if let Some(drive) = machine.last::<Drive>() {
        name(Setting::DRIVE_FRONT, &drive.header, Drive::front, drive.front);
        name(Setting::DRIVE_REAR, &drive.header, Drive::rear, drive.rear);
        name(Setting::DRIVE_LINKS, &drive.header, Drive::links, drive.links);
    }
    if let Some(carburettor) = machine.last::<Carburettor>() {
        name(Setting::JET_MAIN, &carburettor.header, Carburettor::main, carburettor.main);
    }
    named
}

/// The machine's standard setting: what its hardware names, with its `settings` over that.
pub(super) fn standard_entries(machine: &Notebook) -> (HeldMap, Vec<Finding>) {
    let mut map = HeldMap::default();
    let mut findings = Vec::new();
    let held = |value, how, span| Held { value, how, span, place: None, date: None };
    for (name, given) in hardware(machine) {
        let entry = given.map(|given| held(HeldValue::Quantity(given.quantity), How::Hardware, given.span));
        map.insert(name, Arc::new(entry));
    }
    let ledger = Ledger { pitch: thread_pitch(machine) };
    for block in machine.settings_named("") {
        for assignment in &block.others.settings {
            let before = map.get(&assignment.name).cloned();
            let standing = |value| held(value, How::Standard, assignment.span);
            let (entry, finding) = ledger.entry(assignment, before.as_deref(), None, standing);
            map.insert(assignment.name, Arc::new(entry));
            findings.extend(finding);
        }
        map.extend(unread(&block.header));
    }
    (map, findings)
}

/// The machine's standard setting, as far as it is known, and what is wrong with it.
pub fn standard_settings(machine: &Notebook) -> (Standard, Vec<Finding>) {
    let (entries, findings) = standard_entries(machine);
    (Standard::of(&entries), findings)
}

/// The settings of a block with an error in them.
pub(super) fn unread(header: &Header) -> impl Iterator<Item = (Setting, Arc<Entry>)> + '_ {
    let keys = header.unread.keys.iter();
    keys.filter_map(|(name, rejected)| Some((Setting::parse(name)?, Arc::new(Err(*rejected)))))
}

/// The two halves of what a machine with this rider begins on, and what is wrong with the rider's half.
pub(super) fn beginning(
    machine: &Notebook,
    standard: &HeldMap,
    rider: Option<&Notebook>,
) -> (HeldMap, HeldMap, Vec<Finding>) {
    let owner = |name: Setting| name.info().owner;
    let of = |wanted: Owner| {
        let entries = standard.iter().filter(move |(name, _)| owner(**name) == wanted);
        entries.map(|(name, entry)| (*name, Arc::clone(entry))).collect()
    };
    let (of_machine, mut of_rider): (HeldMap, HeldMap) = (of(Owner::Machine), of(Owner::Rider));
    let mut findings = Vec::new();
    let ledger = Ledger { pitch: thread_pitch(machine) };
    let blocks = || rider.iter().flat_map(|rider| rider.settings_named(&machine.name));
    let written = blocks().flat_map(|block| block.others.settings.iter().map(move |one| (block, one)));
    for (block, assignment) in written {
        if owner(assignment.name) == Owner::Machine {
            findings.push(
                Finding::new(
                    &super::codes::MACHINE_OWNED,
                    assignment.name_span,
                    say!("`{assignment}` stays on the machine, whoever rides", assignment = assignment.name),
                )
                .help(say!(
                    "write it in the `settings` of `{path}`, or in the day that changed it",
                    path = machine.path
                )),
            );
            continue;
        }
        let held = |value| Held { value, how: How::Rider, span: assignment.span, place: None, date: None };
        let before = of_rider.get(&assignment.name).cloned();
        let aim = in_force(before.as_ref()).filter(|_| block.accepted.is_none());
        let (entry, finding) = ledger.entry(assignment, before.as_deref(), aim, held);
        of_rider.insert(assignment.name, Arc::new(entry));
        findings.extend(finding);
    }
    let unread = blocks().flat_map(|block| unread(&block.header));
    of_rider.extend(unread.filter(|(name, _)| owner(*name) != Owner::Machine));
    (of_machine, of_rider, findings)
}

/// How far one turn moves the shock's collar, in m.
pub(super) fn thread_pitch(machine: &Notebook) -> Option<f64> {
    machine.last::<Shock>()?.thread_pitch.map(|pitch| pitch.value())
}

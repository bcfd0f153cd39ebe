//! Where a machine and a rider begin: hardware, the standard setting, the rider's own.

use std::sync::Arc;

use crate::book::Notebook;
use crate::finding::Finding;
use crate::vocabulary::blocks::{Carburettor, Drive, Fork, Shock};
use crate::vocabulary::settings::{self, Owner};
use crate::vocabulary::values::Given;

use super::carry::Ledger;
use super::settings::{Held, HeldMap, HeldValue, How};

/// Settings that hardware blocks name as well.
fn hardware(machine: &Notebook) -> Vec<(&'static str, Given)> {
    let fork = machine.last::<Fork>();
    let shock = machine.last::<Shock>();
    let drive = machine.last::<Drive>();
    let carburettor = machine.last::<Carburettor>();
    let named = [
        (settings::FORK_SPRING, fork.and_then(|fork| fork.spring)),
        (settings::FORK_PRELOAD, fork.and_then(|fork| fork.preload)),
        (settings::FORK_AIR_GAP, fork.and_then(|fork| fork.air_gap)),
        (settings::SHOCK_SPRING, shock.and_then(|shock| shock.spring)),
        (settings::DRIVE_FRONT, drive.and_then(|drive| drive.front)),
        (settings::DRIVE_REAR, drive.and_then(|drive| drive.rear)),
        (settings::DRIVE_LINKS, drive.and_then(|drive| drive.links)),
        (settings::JET_MAIN, carburettor.and_then(|carburettor| carburettor.main)),
    ];
    named.into_iter().filter_map(|(name, given)| Some((name, given?))).collect()
}

/// The machine's standard setting: what its hardware names, and its `settings` over that.
pub fn standard_settings(machine: &Notebook) -> (HeldMap, Vec<Finding>) {
    let mut held = HeldMap::new();
    let mut findings = Vec::new();
    for (name, given) in hardware(machine) {
        let value = HeldValue::Quantity(given.quantity);
        let how = How::Hardware;
        held.insert(name.to_owned(), Held { value, how, span: given.span, place: None, date: None });
    }
    let ledger = Ledger { pitch: thread_pitch(machine) };
    for block in machine.settings_named("") {
        for assignment in &block.others.settings {
            let before = held.get(&assignment.name);
            match ledger.value(assignment, before) {
                Ok(value) => {
                    let entry =
                        Held { value, how: How::Standard, span: assignment.span, place: None, date: None };
                    held.insert(assignment.name.clone(), entry);
                }
                Err(finding) => findings.push(*finding),
            }
        }
    }
    (held, findings)
}

/// The two halves of where a machine with this rider begins, and what is wrong with the rider's part.
pub(super) fn beginning(
    machine: &Notebook,
    standard: &HeldMap,
    rider: Option<&Notebook>,
) -> (Arc<HeldMap>, Arc<HeldMap>, Vec<Finding>) {
    let owner = |name: &str| settings::row(name).map_or(Owner::Rider, |row| row.owner);
    let (of_machine, mut of_rider): (HeldMap, HeldMap) =
        standard.clone().into_iter().partition(|(name, _)| owner(name) == Owner::Machine);
    let mut findings = Vec::new();
    let ledger = Ledger { pitch: thread_pitch(machine) };
    for assignment in rider
        .iter()
        .flat_map(|rider| rider.settings_named(&machine.name))
        .flat_map(|block| &block.others.settings)
    {
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
        match ledger.value(assignment, of_rider.get(&assignment.name)) {
            Ok(value) => {
                let entry = Held { value, how: How::Rider, span: assignment.span, place: None, date: None };
                of_rider.insert(assignment.name.clone(), entry);
            }
            Err(finding) => findings.push(*finding),
        }
    }
    (Arc::new(of_machine), Arc::new(of_rider), findings)
}

/// The way of the shock's collar in one turn, in m.
pub(super) fn thread_pitch(machine: &Notebook) -> Option<f64> {
    machine.last::<Shock>()?.thread_pitch.map(|pitch| pitch.value())
}

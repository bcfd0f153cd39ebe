//! A named plan held against what is set.

use crate::book::Notebook;
use crate::vocabulary::blocks::Settings;

use super::carry::Ledger;
use super::settings::HeldValue;
use super::standard::thread_pitch;
use super::state::State;

impl State {
    /// What a plan's settings would be from here, under their names. A line that cannot be carried out is left
    /// out: it is reported where the plan is used.
    pub fn planned<'p>(&self, machine: Option<&Notebook>, plan: &'p Settings) -> Vec<(&'p str, HeldValue)> {
        let ledger = Ledger { pitch: machine.and_then(thread_pitch) };
        let settings = plan.others.settings.iter();
        settings
            .filter_map(|assignment| {
                let name = assignment.name.as_str();
                Some((name, ledger.value(assignment, self.setting(name)).ok()?))
            })
            .collect()
    }
}

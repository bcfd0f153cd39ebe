//! Named plans: which exist, and what each would set.

use crate::book::{Book, Day, Notebook};
use crate::vocabulary::Setting;
use crate::vocabulary::blocks::{AnyBlock, Settings};

use super::carry::Ledger;
use super::settings::HeldValue;
use super::standard::thread_pitch;
use super::state::State;

impl Book {
    /// A named plan: the day's own (above a block, where one is given), else the machine's.
    pub fn plan<'a>(&'a self, day: &'a Day, name: &'a str, above: Option<usize>) -> Option<&'a Settings> {
        let blocks = &day.notebook.blocks;
        let above = above.unwrap_or(blocks.len());
        let own = blocks.iter().take(above).rev().find_map(|block| match block {
            AnyBlock::Settings(settings) if settings.header.argument() == name => Some(&**settings),
            _ => None,
        });
        own.or_else(|| self.machine(day)?.settings_named(name).last())
    }

    /// The names of all plans that a day may use.
    pub fn plans<'a>(&'a self, day: &'a Day) -> Vec<&'a str> {
        let machine = self.machine(day);
        let notebooks = machine.into_iter().chain(Some(&*day.notebook));
        let mut names: Vec<&str> = notebooks
            .flat_map(|notebook| notebook.all::<Settings>())
            .map(|settings| settings.header.argument())
            .filter(|name| !name.is_empty())
            .collect();
        names.sort_unstable();
        names.dedup();
        names
    }
}

impl State {
    /// The settings that a plan would give from here. A line that cannot be carried out is left out; it is
    /// reported where the plan is used.
    pub fn planned(&self, machine: Option<&Notebook>, plan: &Settings) -> Vec<(Setting, HeldValue)> {
        let ledger = Ledger { pitch: machine.and_then(thread_pitch) };
        let settings = plan.others.settings.iter();
        settings
            .filter_map(|assignment| {
                let name = assignment.name;
                Some((name, ledger.value(assignment, self.setting(name)).ok()?))
            })
            .collect()
    }
}

//! Which days a command about the present state of things is about.

use std::path::Path;

use super::failure::Failure;
use super::shelf::Shelf;

/// The days that were asked for, less those that another of them goes on from; where a machine's notebook was asked
/// for, the last day of each of its riders.
pub(super) fn latest(shelf: &Shelf, path: &Path) -> Result<Vec<usize>, Failure> {
    let mut asked = shelf.days();
    if asked.is_empty() {
        let machines = shelf.book.machines.values();
        let machines: Vec<&str> = machines
            .filter(|machine| shelf.is_asked(machine.document.file))
            .map(|machine| machine.name.as_str())
            .collect();
        let days = shelf.book.days.iter().enumerate();
        let of_machines =
            days.filter(|(_, day)| day.machine.as_deref().is_some_and(|name| machines.contains(&name)));
        asked = of_machines.map(|(index, _)| index).collect();
    }
    let gone_on: Vec<usize> = asked
        .iter()
        .filter_map(|day| shelf.season.days.get(*day).and_then(|replay| replay.previous))
        .collect();
    asked.retain(|day| !gone_on.contains(day));
    if asked.is_empty() {
        return Err(Failure::new(format!("there is no day in {}", path.display()))
            .help("it is asked for a day's notebook, or a machine's that was ridden"));
    }
    Ok(asked)
}

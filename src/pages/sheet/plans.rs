//! The other plan: named settings that the notebooks keep ready.

use serde::Serialize;

use crate::speech::say;

use super::super::say::Said;
use super::Desk;

/// A named plan and what it would change.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct Plan {
    pub name: String,
    pub lines: Vec<PlanLine>,
}

/// A setting of a plan.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct PlanLine {
    pub label: String,
    #[serde(flatten)]
    pub value: Said,
    /// From what is set.
    pub change: String,
}

/// Every plan that the day could use; one that would change nothing is in force already, and left out.
pub(super) fn plans(desk: &Desk<'_>) -> Vec<Plan> {
    let plans = desk
        .book
        .plans(desk.day)
        .into_iter()
        .map(|name| Plan { name: name.to_owned(), lines: lines(desk, name) });
    plans.filter(|plan| !plan.lines.is_empty()).collect()
}

fn lines(desk: &Desk<'_>, name: &str) -> Vec<PlanLine> {
    let Some(plan) = desk.book.plan(desk.day, name, None) else { return Vec::new() };
    let planned = desk.state().planned(desk.machine, plan);
    let lines = planned.into_iter().filter_map(|(name, after)| {
        let row = name.info();
        let change = match desk.state().setting(name) {
            Some(held) => desk.say.change(row, &held.value, &after)?,
            None => desk.say.text(&say!("setting|new")),
        };
        let label = desk.say.text(&name.label());
        let pump = desk.pump();
        let pressure = after.number().filter(|_| name.is_pressure());
        Some(match pressure.filter(|pressure| pump.is_past(name, *pressure)) {
            // The difference would give the number away as well.
            Some(_) => {
                let value = Said::words(&desk.say.text(&say!("past its limit")));
                PlanLine { label, value, change: desk.say.text(&say!("not to be set")) }
            }
            None => PlanLine { label, value: pump.setting(name, &after), change },
        })
    });
    lines.collect()
}

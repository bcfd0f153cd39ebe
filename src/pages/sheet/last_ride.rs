//! What the last ride was like: where, how it felt, the travel it used, its laps.

use serde::Serialize;

use crate::physics::statistics::median;
use crate::quantity::Kind;
use crate::speech::{Message, say};
use crate::vocabulary::End;
use crate::vocabulary::blocks::Stint;

use super::super::season::laps_told;
use super::Desk;

/// The last stint on file, as it was written.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
pub struct LastRide {
    /// `2026-04-11, Marram Bank`; `None` where it was ridden on the sheet's own day.
    pub when: Option<String>,
    pub lines: Vec<String>,
}

/// The day's own last stint, else that of the last time out; `None` where there is neither.
pub(super) fn last_ride(desk: &Desk<'_>) -> Option<LastRide> {
    let today = desk.day.notebook.all::<Stint>().last();
    let (when, state, stint) = match today {
        Some(stint) => (None, desk.state(), stint),
        None => {
            let (day, state) = desk.last_time()?;
            let track = desk.book.track(day).map(|track| format!(", {}", track.title)).unwrap_or_default();
            let stint = day.notebook.all::<Stint>().last()?;
            (Some(format!("{}{track}", day.date)), state, stint)
        }
    };
    let mut lines = Vec::new();
    if let Some(feel) = stint.feel.as_ref().filter(|feel| !feel.values.is_empty()) {
        let said: Vec<&str> = feel.values.iter().map(|said| said.text.as_str()).collect();
        lines.push(desk.say.text(&say!("feel: {said}", said = said.join("; "))));
    }
    let laps = desk.book.laps(stint);
    if let (Some(best), Some(median)) = (laps.iter().copied().reduce(f64::min), median(&laps)) {
        let time = |seconds: f64| desk.say.value(Kind::Time, seconds).to_string();
        lines.push(desk.say.text(&say!(
            "{laps}: best {best}, median {median}",
            laps = laps_told(laps.len()),
            best = time(best),
            median = time(median),
        )));
    }
    let rings: Vec<Message> = End::BOTH
        .into_iter()
        .filter_map(|end| {
            let ring = state.travel_used(end)?;
            let ring = desk.say.quantity(&ring.quantity).to_string();
            Some(match end {
                End::Front => say!("front {reading}", reading = ring),
                End::Rear => say!("rear {reading}", reading = ring),
            })
        })
        .collect();
    if !rings.is_empty() {
        lines.push(desk.say.text(&say!("O-ring: {rings}", rings = Message::joined(rings, ", "))));
    }
    lines.extend(
        stint.result.as_ref().map(|result| desk.say.text(&say!("result: {result}", result = result.text))),
    );
    (!lines.is_empty()).then_some(LastRide { when, lines })
}

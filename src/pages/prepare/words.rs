//! A preparation in words: for the notebook and for a terminal.

use crate::advice::FuellingWord;
use crate::speech::{Message, say};

use super::{Changed, Jet, Plan, Points, Precedent, PressureLine};

/// Common practice, no source; the sheet has more.
pub(super) fn caution() -> Message {
    say!(
        "Hand pump, front wheel off the ground, fork fully out, within the limits on the leg and in the manual. Fuelling and jets on a cold engine, in fresh air: running lean can seize one."
    )
}

/// Why it starts from that day.
pub(super) fn why(plan: &Plan) -> Vec<Message> {
    let Some(chosen) = &plan.chosen else {
        return vec![say!(
            "Nothing is on file for this rider on this machine before this day: it starts from the standard setting."
        )];
    };
    if !plan.is_similar {
        return vec![say!(
            "Nothing similar on file; from the last time out, {day}.",
            day = precedent(chosen)
        )];
    }
    let mut lines = vec![say!("Starts from {day}.", day = precedent(chosen))];
    match &plan.runner_up {
        Some(second) => {
            let more = ahead_by(&chosen.points, &second.points);
            let by =
                if more.is_empty() { say!("the later of two equals") } else { say!("ahead by {more}", more) };
            lines.push(say!(
                "Next best of {count} days on file: {day}; {by}.",
                count = plan.considered,
                day = precedent(second),
                by,
            ));
        }
        None => lines.push(say!("No other day is on file for this rider on this machine.")),
    }
    lines
}

fn precedent(day: &Precedent) -> Message {
    let (name, date) = (&day.name, &day.date);
    // Most days are named by their date.
    let place = match (&day.track, name.starts_with(date)) {
        (Some(track), true) => say!("{name} at {track}", name, track),
        (None, true) => Message::text(name.as_str()),
        (Some(track), false) => say!("{name} ({date} at {track})", name, date, track),
        (None, false) => say!("{name} ({date})", name, date),
    };
    let sum = tenths(day.sum);
    say!("{place} with {sum} points: {points}", place, sum, points = points(&day.points))
}

fn tenths(number: f64) -> Message {
    Message::number(format!("{number:.1}"))
}

fn named(points: &Points) -> [(Message, Option<f64>); 6] {
    [
        (say!("track"), points.track),
        (say!("soil"), points.soil),
        (say!("traction"), points.traction),
        (say!("temperature"), points.temperature),
        (say!("verdict"), points.verdict),
        (say!("laps"), points.laps),
    ]
}

fn points(points: &Points) -> Message {
    let all = named(points).map(|(name, points)| match points {
        Some(points) => say!("{name} {points}", name, points = tenths(points)),
        None => say!("{name} not known", name),
    });
    Message::joined(all, ", ")
}

/// What one day has more points for than another.
fn ahead_by(one: &Points, other: &Points) -> Message {
    let pairs = named(one).into_iter().zip(named(other));
    let more = pairs.filter_map(|((name, a), (_, b))| {
        let more = a.unwrap_or(0.0) - b.unwrap_or(0.0);
        (more > 0.0).then(|| say!("{name} ({points})", name, points = tenths(more)))
    });
    let more: Vec<Message> = more.collect();
    more.into_iter().reduce(|one, next| say!("{one} and {next}", one, next)).unwrap_or_default()
}

/// Where the settings come from, for a heading.
pub(super) fn settings_from(plan: &Plan) -> Message {
    match &plan.chosen {
        Some(chosen) => say!("as {day} ended", day = chosen.name),
        None => say!("the standard ones"),
    }
}

/// Why the settings are changed.
pub(super) fn because(plan: &Plan) -> Message {
    let from = match &plan.chosen {
        Some(chosen) => say!("as {day} ended", day = chosen.name),
        None => say!("nothing on file: from the standard setting"),
    };
    let is_jetted = |jet: &Jet| jet.fit.shown.is_some() && jet.fit.shown != jet.was;
    match plan.jet.as_ref().is_some_and(is_jetted) {
        true => say!("{from}; the main jet for this air", from),
        false => from,
    }
}

/// How another rider left the machine, for a heading.
pub(super) fn changeover(changeover: &Changed) -> Message {
    say!("To change by hand, {stands}", stands = changeover.stands)
}

/// What to set in each chamber and tyre.
pub(super) fn pressures(plan: &Plan) -> Vec<Message> {
    plan.pressures.iter().map(pressure).collect()
}

fn pressure(line: &PressureLine) -> Message {
    let PressureLine { label, told, bench_at, .. } = line;
    match bench_at {
        _ if !line.is_wanting => say!("{label}: {told}", label, told),
        None => say!(
            "{label}: {told}; what to set on the bench asks for how warm the bench is (`--bench`)",
            label,
            told,
        ),
        Some(_) => say!(
            "{label}: {told}; what to set on the bench asks for the forecast's air (`--air`)",
            label,
            told,
        ),
    }
}

/// What is due on the day.
pub(super) fn due(plan: &Plan) -> Vec<Message> {
    plan.due.iter().map(|look| say!("{label}: {why}", label = look.label, why = look.why)).collect()
}

/// The main jet for the air.
pub(super) fn jet(plan: &Plan) -> Option<Message> {
    plan.jet.as_ref().map(jet_in_words)
}

/// The same, where there is a jet for the air; what it needs otherwise is not shown.
pub fn jet_told(jet: &Jet) -> Option<Message> {
    jet.fit.shown.is_some().then(|| jet_in_words(jet))
}

fn jet_in_words(jet: &Jet) -> Message {
    let Some(fit) = &jet.fit.shown else {
        let lacking = jet.fit.told();
        return match &jet.was {
            Some(was) => say!("main jet: as it was (it was {was}); {lacking}", was, lacking),
            None => say!("main jet: as it was; {lacking}", lacking),
        };
    };
    let ideal = jet.ideal.told();
    match &jet.was {
        None => say!("main jet: {fit}; this air asks for {ideal}, never leaner", fit, ideal),
        Some(was) if was == fit => {
            say!("main jet: {fit} (it was {was}); this air asks for {ideal}, never leaner", fit, was, ideal)
        }
        Some(was) if jet.is_leaner => say!(
            "main jet: {fit} (it was {was}); this air asks for {ideal}, never leaner; running lean can seize an engine: read the plug; refit {was} before riding lower or colder",
            fit,
            was,
            ideal,
        ),
        Some(was) => say!(
            "main jet: {fit} (it was {was}); this air asks for {ideal}, never leaner; higher or warmer it is too rich and can foul the plug",
            fit,
            was,
            ideal,
        ),
    }
}

/// What the fuelling rule says. Common practice, no source.
pub(super) fn fuelling(plan: &Plan) -> Option<Message> {
    let FuellingWord { now, right, why, is_too_lean } = plan.fuelling.as_ref()?;
    Some(match right {
        Some(right) if *is_too_lean => say!("{right}, and not {now} as it was: {why}", right, now, why),
        Some(right) if right != now => say!("{now}, as it was; by the rule {right}: {why}", now, right, why),
        Some(_) => say!("{now}, as it was, and by the rule: {why}", now, why),
        None => say!("{now}, as it was; the rule gives no answer: {why}", now, why),
    })
}

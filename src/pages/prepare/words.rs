//! A preparation in words: for the notebook and for a terminal.

use crate::advice::FuellingWord;

use super::{Changed, Jet, Plan, Points, Precedent, PressureLine};

/// Common practice, no source; the sheet has more.
pub(super) const CAUTION: &str = "Hand pump, front wheel off the ground, fork fully out, within the limits on the leg and in the manual. Fuelling and jets on a \
    cold engine, in fresh air: running lean can seize one.";

/// Why it starts from where it does.
pub(super) fn why(plan: &Plan) -> Vec<String> {
    let Some(chosen) = &plan.chosen else {
        return vec![
            "Nothing is on file for this rider on this machine before this day: it starts from the standard setting."
                .to_owned(),
        ];
    };
    if !plan.is_similar {
        return vec![format!("Nothing similar on file; from the last time out, {}.", precedent(chosen))];
    }
    let mut lines = vec![format!("Starts from {}.", precedent(chosen))];
    match &plan.runner_up {
        Some(second) => {
            let by = ahead_by(&chosen.points, &second.points);
            let by =
                if by.is_empty() { "the later of two equals".to_owned() } else { format!("ahead by {by}") };
            lines.push(format!(
                "Of {} days on file the next is {}; {by}.",
                plan.considered,
                precedent(second)
            ));
        }
        None => lines.push("No other day is on file for this rider on this machine.".to_owned()),
    }
    lines
}

fn precedent(day: &Precedent) -> String {
    let track = day.track.as_ref().map(|track| format!(" at {track}")).unwrap_or_default();
    // Most days are named by their date.
    let day_of = if day.name.starts_with(&day.date) { track } else { format!(" ({}{track})", day.date) };
    format!("{}{day_of} with {:.1} points: {}", day.name, day.sum, points(&day.points))
}

fn named(points: &Points) -> [(&'static str, Option<f64>); 6] {
    [
        ("track", points.track),
        ("soil", points.soil),
        ("traction", points.traction),
        ("temperature", points.temperature),
        ("verdict", points.verdict),
        ("laps", points.laps),
    ]
}

fn points(points: &Points) -> String {
    let all = named(points).map(|(name, points)| match points {
        Some(points) => format!("{name} {points:.1}"),
        None => format!("{name} not known"),
    });
    all.join(", ")
}

/// What one day has more points for than another.
fn ahead_by(one: &Points, other: &Points) -> String {
    let pairs = named(one).into_iter().zip(named(other));
    let more = pairs.filter_map(|((name, a), (_, b))| {
        let more = a.unwrap_or(0.0) - b.unwrap_or(0.0);
        (more > 0.0).then(|| format!("{name} ({more:.1})"))
    });
    more.collect::<Vec<_>>().join(" and ")
}

/// Where the settings come from, for a heading.
pub(super) fn settings_from(plan: &Plan) -> String {
    match &plan.chosen {
        Some(chosen) => format!("as {} ended", chosen.name),
        None => "the standard ones".to_owned(),
    }
}

/// Why the settings are changed.
pub(super) fn because(plan: &Plan) -> String {
    match &plan.chosen {
        Some(chosen) => format!("as {} ended", chosen.name),
        None => "nothing on file: from the standard setting".to_owned(),
    }
}

/// How the machine stands where another rider had it last, for a heading.
pub(super) fn changeover(changeover: &Changed) -> String {
    format!("To change by hand, {}", changeover.stands)
}

/// What to set in each chamber and tyre.
pub(super) fn pressures(plan: &Plan) -> Vec<String> {
    plan.pressures.iter().map(pressure).collect()
}

fn pressure(line: &PressureLine) -> String {
    let PressureLine { label, told, bench_at, .. } = line;
    if !line.is_wanting {
        return format!("{label}: {told}");
    }
    let wanted = match bench_at {
        None => "how warm the bench is (`--bench`)",
        Some(_) => "the forecast's air (`--air`)",
    };
    format!("{label}: {told}; what to set on the bench asks for {wanted}")
}

/// What is due on the day.
pub(super) fn due(plan: &Plan) -> Vec<String> {
    plan.due.iter().map(|look| format!("{}: {}", look.label, look.why)).collect()
}

/// What the air asks of the main jet.
pub(super) fn jet(plan: &Plan) -> Option<String> {
    plan.jet.as_ref().map(jet_in_words)
}

/// The same, where there is a jet for the air; what is wanted for it otherwise is not told.
pub fn jet_told(jet: &Jet) -> Option<String> {
    jet.fit.shown.is_some().then(|| jet_in_words(jet))
}

fn jet_in_words(jet: &Jet) -> String {
    let was = jet.was.as_ref().map(|was| format!(" (it was {was})")).unwrap_or_default();
    match &jet.fit.shown {
        Some(fit) => {
            let refit = jet.was.as_ref().filter(|was| *was != fit).map_or_else(String::new, |was| {
                format!("; running lean can seize an engine: read the plug; refit {was} before riding lower or colder")
            });
            format!("main jet: {fit}{was}; this air asks for {}, never leaner{refit}", jet.ideal.text())
        }
        None => format!("main jet: as it was{was}; {}", jet.fit.text()),
    }
}

/// What the fuelling rule says. Common practice, no source.
pub(super) fn fuelling(plan: &Plan) -> Option<String> {
    let FuellingWord { now, right, why, is_too_lean } = plan.fuelling.as_ref()?;
    Some(match right {
        Some(right) if *is_too_lean => format!("{right}, and not {now} as it was: {why}"),
        Some(right) if right != now => format!("{now}, as it was; by the rule {right}: {why}"),
        Some(_) => format!("{now}, as it was, and by the rule: {why}"),
        None => format!("{now}, as it was; by the rule it cannot be told: {why}"),
    })
}

//! Air lost since the chamber was last set.

use crate::checks::place::OfDay;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::speech::{Message, say};
use crate::vocabulary::blocks::Pressures;
use crate::vocabulary::{FigureName, Setting};

pub(super) static CODE: Code = code(
    "pressure/leaked",
    Severity::Warning,
    r#"A chamber that loses more than a fiftieth of its air in a week.

Both readings are brought to one temperature, and the air that the gauge's hose
took is counted in. A little each week is usual: the figure `leak.chamber.NAME`
shows it, without a finding. More than that is a seal or a valve.

````
```pressures
found.main = "141 psi"
main       = "152 psi"
at         = "9 °C"
```
````

Better: look at the valve core and the seals before the next ride. If it goes
on, have somebody qualified service the fork.
"#,
);

/// Share of its air, by absolute pressure, that a sound chamber may lose in a week: common practice, no source.
const USUAL_SHARE: f64 = 0.02;
/// Pa, at sea level. ISO 2533; for a share it need not be the day's own.
const ATMOSPHERE: f64 = 101_325.0;

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    for block in place.day.notebook.all::<Pressures>() {
        for reading in &block.others.found {
            let Some(chamber) = Setting::CHAMBER.word_of(reading.name) else { continue };
            // The figure is about the last find of the day; earlier ones come in turn.
            let state = place.replay.at(block.header.span.end);
            let leak = FigureName::LEAK_CHAMBER.named(chamber);
            let figure = place.at(place.index, state, |bench| bench.measure(leak).outcome.ok());
            // A find that does not count shows nothing.
            let find =
                state.found(reading.name).filter(|find| find.mark.readings.span == reading.readings.span);
            let Some((figure, before)) = figure.flatten().zip(find.and_then(|find| find.before.as_ref()))
            else {
                continue;
            };
            let (lost, Some(was)) = (figure.value, before.quantity()) else { continue };
            let written = [Some(&was), reading.readings.values.first().map(|given| &given.quantity)];
            let squares = written.into_iter().flatten().map(shown::doubt);
            let digits = squares.map(|doubt| doubt * doubt).sum::<f64>().sqrt();
            let doubt = figure.expanded.as_ref().map_or(digits, |expanded| expanded.against([-lost]));
            let days = place.day.date.since(before.date).map_or(0, |since| since.get_days());
            let in_a_week = -lost * 7.0 / f64::from(days.max(1));
            if -lost <= doubt || in_a_week <= USUAL_SHARE * (was.value + ATMOSPHERE) {
                continue;
            }
            let unit = reading.readings.values.first().map(|given| given.quantity.unit);
            let shown = shown::computed(figure.kind, -lost, None, unit);
            findings.push(
                Finding::new(
                    &CODE,
                    reading.readings.span,
                    told(reading.name.label(), shown, days),)
                .found(say!("found at {readings}", readings = shown::mean(&reading.readings)))
                .see(before.span(), say!("{was} on {date}", was = shown::written(&was), date = before.date))
                .help(say!("look at the valve core and the seals; where it goes on, have the fork serviced by someone qualified")),
            );
        }
    }
}

/// What a chamber lost, and in how many days.
fn told(label: Message, shown: Message, days: i32) -> Message {
    match days {
        0 => say!("{label} lost {shown} on one day", label, shown),
        1 => say!("{label} lost {shown} in 1 day", label, shown),
        days => say!("{label} lost {shown} in {days} days", label, shown, days),
    }
}

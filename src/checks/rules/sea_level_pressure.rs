//! A forecast's pressure, written as the station's, and the other way round.

use crate::checks::place::OfDay;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::physics::weather;
use crate::speech::say;
use crate::vocabulary::blocks::Conditions;
use crate::vocabulary::values::Given;

pub(super) static CODE: Code = code(
    "air/sea-level-pressure",
    Severity::Warning,
    r#"A `pressure` that fits sea level, and is too high for this elevation.

Forecasts and most telephones give the pressure at sea level. At 900 m the air
around the engine and the gauge has about a tenth less. Jets and power would be
worked out for the wrong air.

````
```conditions
pressure  = "1013 hPa"
elevation = "900 m"
```
````

Better: `sea_level_pressure = "1013 hPa"`; the program works out the pressure at
the elevation.
"#,
);

pub(super) static SWAPPED: Code = code(
    "air/station-pressure",
    Severity::Warning,
    r#"A `sea_level_pressure` as low as only a storm has it, that fits the air at this
elevation.

A barometer at the gate shows the pressure there. Brought up to the elevation a
second time it is too low, and jets and power would be worked out for thin air.

````
```conditions
sea_level_pressure = "968 hPa"
elevation          = "420 m"
```
````

Better: `pressure = "968 hPa"`, as the barometer shows it.
"#,
);

/// Pa. Below it sea-level pressures come with storms, in which nobody rides. Common practice, no source.
const STORMY: f64 = 98_000.0;

/// Pa. Highest sea-level pressure in the weather, and lowest: values outside are rare. Common practice, no
/// source.
const HIGHEST: f64 = 105_000.0;
const LOWEST: f64 = 95_000.0;

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    for conditions in place.day.notebook.all::<Conditions>() {
        findings.extend(swapped(place, conditions));
        let Some(pressure) = conditions.pressure else { continue };
        let Some(elevation) = elevation(place, conditions) else { continue };
        let at_sea = weather::sea_level_pressure(pressure.value(), elevation.value());
        if at_sea <= HIGHEST || !(LOWEST..=HIGHEST).contains(&pressure.value()) {
            continue;
        }
        let standard = weather::station_pressure(STANDARD, elevation.value());
        let usual = shown::computed(pressure.quantity.kind, standard, None, Some(pressure.quantity.unit));
        let (written, height) = (shown::written(&pressure.quantity), shown::written(&elevation.quantity));
        findings.push(
            Finding::new(
                &CODE,
                pressure.span,
                say!(
                    "{written} is the pressure at sea level, not that of the air at {height}",
                    written,
                    height
                ),
            )
            .found(say!("about {usual} is usual there", usual))
            .see(elevation.span, say!("the height"))
            .help(say!(
                "write `{key} = \"{written}\"`: the tool brings it up to the height",
                key = Conditions::sea_level_pressure,
                written = written.to_string()
            )),
        );
    }
}

/// The day's elevation, else the track's.
fn elevation(place: &OfDay<'_, '_, impl Recording>, conditions: &Conditions) -> Option<Given> {
    let of_track = || place.book.track(place.day)?.track_block()?.elevation;
    conditions.elevation.or_else(of_track)
}

/// The station's pressure, written as the forecast's.
fn swapped(place: &OfDay<'_, '_, impl Recording>, conditions: &Conditions) -> Option<Finding> {
    let pressure = conditions.sea_level_pressure?;
    let elevation = elevation(place, conditions)?;
    let at_sea = weather::sea_level_pressure(pressure.value(), elevation.value());
    if pressure.value() >= STORMY || !(STORMY..=HIGHEST).contains(&at_sea) {
        return None;
    }
    let (written, height) = (shown::written(&pressure.quantity), shown::written(&elevation.quantity));
    let headline = say!("{written} is the air at {height}, not that at sea level", written, height);
    Some(Finding::new(&SWAPPED, pressure.span, headline).see(elevation.span, say!("the height")).help(say!(
        "read at the gate: write `{key} = \"{written}\"`",
        key = Conditions::pressure,
        written = written.to_string()
    )))
}

/// Pa, at sea level. ISO 2533.
const STANDARD: f64 = 101_325.0;

//! A forecast's pressure, written as the station's.

use crate::checks::place::OfDay;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::physics::weather;
use crate::speech::say;
use crate::vocabulary::blocks::Conditions;

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

/// Pa. Highest sea-level pressure in the weather, and lowest: values outside are rare. Common practice, no
/// source.
const HIGHEST: f64 = 105_000.0;
const LOWEST: f64 = 95_000.0;

pub(super) fn check(place: &OfDay<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    for conditions in place.day.notebook.all::<Conditions>() {
        let Some(pressure) = conditions.pressure else { continue };
        let of_track = || place.book.track(place.day)?.track_block()?.elevation;
        let Some(elevation) = conditions.elevation.or_else(of_track) else { continue };
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

/// Pa, at sea level. ISO 2533.
const STANDARD: f64 = 101_325.0;

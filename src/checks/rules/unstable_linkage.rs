//! A linkage with which the wheel's force falls as it rises.

use crate::checks::place::OfMachine;
use crate::checks::{code, shown};
use crate::figures::Recording;
use crate::figures::leverage_of;
use crate::finding::{Code, Finding, Severity};
use crate::physics::Shock as Rear;
use crate::physics::air::gas_force;
use crate::speech::say;
use crate::vocabulary::Setting;
use crate::vocabulary::blocks::{Link, Shock};
use crate::vocabulary::values::{Given, Leverage, LeverageForm};

pub(super) static CODE: Code = code(
    "linkage/unstable",
    Severity::Error,
    r#"A linkage with which the force at the wheel falls somewhere as the wheel rises.

No machine is built so. With the standard spring and preload it would drop
through that part of its travel, and no sag could be worked out there. Most
often a row of the table was mistyped, or the stroke was measured along the
wrong line.

````
```shock
travel   = "310 mm"
leverage = [["0 mm", "0 mm"], ["100 mm", "45 mm"], ["200 mm", "70 mm"], ["310 mm", "100 mm"]]
```
````

Better: measure the rows around that place again. On most linkages each
millimetre of stroke needs a little less wheel travel than the one before.

````
```shock
travel   = "310 mm"
leverage = [["0 mm", "0 mm"], ["100 mm", "36 mm"], ["200 mm", "74 mm"], ["310 mm", "118 mm"]]
```
````
"#,
);

pub(super) fn check(place: &OfMachine<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    let Some(shock) = place.machine.shock() else { return };
    let links = place.machine.all::<Link>().filter_map(|link| link.leverage.as_ref());
    for leverage in shock.leverage.iter().chain(links) {
        findings.extend(short(shock, leverage));
        if let Some(at) = falls_at(place, shock, leverage) {
            findings.push(
                Finding::new(
                    &CODE,
                    leverage.span,
                    say!("with this linkage the wheel's force falls from {at} mm of travel on", at = format!("{:.0}", at * 1000.0)),)
                .help(say!("measure the rows around that travel again; the leverage should fall slowly as the wheel rises")),
            );
        }
    }
}

pub(super) static SHORT: Code = code(
    "linkage/short-table",
    Severity::Warning,
    r#"A linkage table that ends before the wheel's travel does.

Nobody knows how the shock moves past the last row. A sag, wheel rate or spring
that needs it is missing.

````
```shock
travel   = "310 mm"
leverage = [["0 mm", "0 mm"], ["100 mm", "36 mm"], ["200 mm", "74 mm"]]
```
````

Better: measure rows to the end of the travel.

````
```shock
travel   = "310 mm"
leverage = [["0 mm", "0 mm"], ["100 mm", "36 mm"], ["200 mm", "74 mm"], ["310 mm", "118 mm"]]
```
````
"#,
);

/// The finding about a table whose last row is short of the travel.
fn short(shock: &Shock, leverage: &Leverage) -> Option<Finding> {
    let LeverageForm::Table(rows) = &leverage.form else { return None };
    let (travel, (end, _)) = (shock.travel?, *rows.last()?);
    if end >= travel.value() - shown::doubt(&travel.quantity) {
        return None;
    }
    let end = shown::like(&travel.quantity, end);
    let finding =
        Finding::new(&SHORT, leverage.span, say!("the linkage's table ends at {end} of wheel travel", end));
    Some(
        finding
            .see(travel.span, say!("the travel"))
            .help(say!("measure the rows up to the end of the travel: past the table nothing is worked out")),
    )
}

/// Wheel travel from which the force does not rise, in m, with the standard spring; `None` also where the
/// spring or its preload is not known.
fn falls_at(place: &OfMachine<'_, '_, impl Recording>, shock: &Shock, leverage: &Leverage) -> Option<f64> {
    let travel = shock.travel?.value();
    let standard = |name: Setting| place.state.setting(name)?.value.number();
    let gas = match (&shock.gas_force, &shock.gas, &shock.rod) {
        (Some(force), ..) => force.value(),
        (None, Some(gas), Some(rod)) => gas_force(gas.value(), Given::value(rod)),
        _ => 0.0,
    };
    let leverage = leverage_of(leverage, travel).ok()?;
    let travel = leverage.measured_to().map_or(travel, |end| end.min(travel));
    let rear = Rear {
        leverage: &leverage,
        travel,
        rate: standard(Setting::SHOCK_SPRING)?,
        preload: standard(Setting::SHOCK_PRELOAD)?,
        gas_force: gas,
    };
    rear.falls_at()
}

//! What can be wrong with how settings follow each other.

use crate::finding::{Code, Severity};

use super::judged;

const fn code(name: &'static str, severity: Severity, page: &'static str) -> Code {
    Code { name, severity, since: "0.1.0", page }
}

pub static NO_START: Code = code(
    "change/no-start",
    Severity::Error,
    r#"A relative change of a setting that was never written.

*2 clicks in* needs a place to count from.

````
```change
fork.rebound = "2 clicks in"
```
````

Better: write the setting once, in the machine's or the rider's `settings`, or
here as it now is: `fork.rebound = "10 clicks"`.
"#,
);
pub static WRONG_WAY: Code = code(
    "change/wrong-way",
    Severity::Error,
    r#"A direction that the setting does not have.

Clickers and collars go in and out, tubes and seats go up and down, pressures go
plus and minus.

````
```change
fork.height = "2 mm in"
```
````

Better: `fork.height = "2 mm down"`.
"#,
);
pub static WRONG_COUNT: Code = code(
    "change/wrong-count",
    Severity::Error,
    r#"A change in clicks of a setting that is kept in turns, or the other way round.

Nobody knows how many clicks make a turn, so the two cannot be added.

````
```settings
shock.high_compression = "1.5 turns"
```

```change
shock.high_compression = "2 clicks in"
because = "bottoms on the landing"
```
````

Better: use the unit of the setting: `shock.high_compression = "0.25 turns in"`.
"#,
);
pub static BELOW_CLOSED: Code = code(
    "change/below-nothing",
    Severity::Error,
    r#"A relative change that goes past closed, or below zero.

Clicks and turns count out from closed: an adjuster that is 3 out cannot go 4
in.

````
```settings
fork.rebound = "3 clicks"
```

```change
fork.rebound = "4 clicks in"
because = "kicks on braking bumps"
```
````

Better: count again from closed, and write what the setting now is:
`fork.rebound = "2 clicks"`.
"#,
);
pub static NO_PITCH: Code = code(
    "change/no-thread-pitch",
    Severity::Error,
    r#"A preload in turns, on a machine whose notebook does not give the thread pitch
of its collar.

Without the pitch nobody knows how many millimetres a turn is.

````
```change
shock.preload = "1 turn in"
because = "rider sag too large"
```
````

Better: add `thread_pitch = "1.5 mm"` (measure yours) to the machine's `shock`
block, or write the preload as a length.
"#,
);
pub static NOTHING_TO_UNDO: Code = code(
    "change/nothing-to-undo",
    Severity::Error,
    r#"`back = true` where no change is left to undo.

It undoes the last change that still holds, and there is none before it.

````
```change
back = true
```
````

Better: write the setting as it now is: `fork.height = "5 mm"`.
"#,
);
pub static UNKNOWN_PLAN: Code = code(
    "change/unknown-plan",
    Severity::Error,
    r#"`use` of a plan that does not exist.

A plan is a `settings NAME` block of the machine, of the rider, or further up in
the day. Without it nothing is set.

````
```change
use = "mudd"
because = "rain"
```
````

Better: take the name that the help offers, here `use = "mud"`, or write the
plan.

````
```settings mud
tyre.rear = "11 psi"
```
````
"#,
);
pub static NO_REASON: Code = code(
    "change/no-reason",
    Severity::Warning,
    r#"A change that does not say why.

Next year the number says what was done. Only the reason says whether to do it
again.

````
```change
fork.height = "2 mm down"
```
````

Better: add `because`.

````
```change
fork.height = "2 mm down"
because = "headshake on the straight"
```
````
"#,
);
pub static MACHINE_OWNED: Code = code(
    "settings/machine-owned",
    Severity::Warning,
    r#"A rider's `settings` that name something that stays on the machine, whoever
rides.

A sprocket or a jet does not change with the rider. The line does not count.

````riders/senior.md
```settings corrie-450
drive.rear = "50 teeth"
```
````

Better: write it in the machine's `settings`, or in the day on which it was
changed.
"#,
);

pub static IMPLAUSIBLE: Code = code(
    "pressure/implausible",
    Severity::Error,
    r#"A pressure left at less than half or more than twice its aim, or found at more
than twice.

Most often the unit or a digit is wrong. The reading does not count: no figure,
page or advice rests on it.

````
```settings
tyre.rear = "12 psi"
```
````

````
```pressures
tyre.rear = "12 bar"
```
````

Better: correct the unit or the digits, here `tyre.rear = "12 psi"`. Where the
reading is right, write the new aim in a `change` above it.
"#,
);
pub static FAR_FROM_AIM: Code = code(
    "pressure/far-from-its-aim",
    Severity::Error,
    r#"A pressure set to less than half or more than twice what it was set to before.

Most often a step lost its sign, or the unit is another. Nobody is to ride on
it: it does not count, and no page asks to pump it.

````
```change
tyre.front = "1 psi"
because = "slides in the wet"
```
````

Better: for a step write `tyre.front = "+1 psi"`. Where it is meant, say why:

````
```change
tyre.front = "6 psi"
because = "deep sand"
accepted = "sand tyre with a rim lock, by its maker"
```
````
"#,
);
pub static HOT_OR_COLD: Code = code(
    "pressure/hot-or-cold",
    Severity::Warning,
    r#"A pressure read after a ride, in a block that does not say how warm the leg was.

Straight off the track a leg shows more than it holds cold. Without its
temperature the reading says nothing of the gas inside. It does not count, and
no leak is judged by it.

````
```pressures
main = "161 psi"
```
````

Better: let the legs stand in the shade and write `at`. Or write what the gauge
showed straight off the track under `after_ride`.

````
```pressures
main = "153 psi"
at   = "22 °C"
```
````
"#,
);
pub static SET_ELSEWHERE: Code = code(
    "pressure/set-elsewhere",
    Severity::Error,
    r#"A pressure for a chamber that another one fills.

A chamber with `charged_from` is filled through a port at full extension, and
then has the pressure of the chamber that fills it. A value of its own does not
count.

````
```pressures
main    = "152 psi"
counter = "150 psi"
```
````

Better: write only the pressure of the chamber that is filled by hand, here
`main`.
"#,
);
pub static TOO_MUCH_KEPT: Code = code(
    "file/too-much-kept",
    Severity::Error,
    "A diary with more settings and readings to carry than the limit.

Every block that changes something makes a place where all settings and readings
in force can be looked up. Names of your own, in `other.…` and `checked`, are
carried for good, so very many of them weigh on every later block. Blocks beyond
the limit are read, and change nothing.

Better: few names of your own, and one book for each rider or year.
",
);

/// All of this room's codes.
pub static CODES: &[&Code] = &[
    &NO_START,
    &WRONG_WAY,
    &WRONG_COUNT,
    &BELOW_CLOSED,
    &NO_PITCH,
    &NOTHING_TO_UNDO,
    &UNKNOWN_PLAN,
    &NO_REASON,
    &MACHINE_OWNED,
    &IMPLAUSIBLE,
    &FAR_FROM_AIM,
    &HOT_OR_COLD,
    &SET_ELSEWHERE,
    &judged::READING_ORDER,
    &judged::SAG_PAST_TRAVEL,
    &judged::WHEEL_LOADS,
    &TOO_MUCH_KEPT,
];

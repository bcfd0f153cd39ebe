//! Tools for the evening before: springs and sprockets on hand, preparation, the roster.

use std::fs;
use std::path::Path;

use serde_json::Value;

use crate::desk::{Desk, code, err, exact, file_names, out, program};

mod gearing;
mod measured;
mod prepare;
mod roster;
mod spring;
mod team;
mod today;
mod what_if;

/// An invented machine whose figures can be worked out on paper: a constant leverage, no gas.
const MACHINE: &str = r#"+++
kind = "machine"
name = "Heron 300"
+++

```frame
rake = "26.5°"
total_offset = "50 mm"
wheelbase = "1480 mm"
swingarm = "590 mm"
pivot_height = "390 mm"
mass = "108 kg"
front_share = "48 %"
cog.ahead_of_rear_axle = "660 mm"
cog.height = "960 mm"
countershaft.ahead_of_pivot = "75 mm"
countershaft.above_pivot = "5 mm"
```

```wheel front
loaded_radius = "345 mm"
unsprung = "19 kg"
```

```wheel rear
loaded_radius = "330 mm"
unsprung = "23 kg"
```

```fork
kind = "coil"
travel = "300 mm"
spring = "4.6 N/mm"
preload = "8 mm"
```

```shock
travel = "310 mm"
leverage = 2.8
spring = "50 N/mm"
thread_pitch = "1.5 mm"
preload_range = "3..12 mm"
```

```springs rear
rates = "44 50 60 N/mm"
```

```coil rear
wire = "11.5 mm"
outside = "75.5 mm"
active_coils = 6.5
material = "music wire"
label = "50 N/mm"
```

```drive
front = 13
rear = 50
chain = "520"
links = 116
primary = 2.8
gears = [2.0, 1.5]
rev_limit = "12000 rpm"
adjuster = "-6..10 mm"
sprockets.front = [13, 14]
sprockets.rear = [48, 50, 52, 64]
```

```settings
fork.height = "5 mm"
fork.compression = "12 clicks"
shock.preload = "6 mm"
tyre.front = "13 psi"
tyre.rear = "12.5 psi"
```

```limits
tyre.front = "8..15 psi"
```

```band
sag.rear.rider = { aim = "105 mm", within = "103..107 mm", recheck = "30 days" }
sag.rear.static = { within = "30..40 mm" }
```
"#;

const RIDER: &str = "+++\nkind = \"rider\"\nname = \"Wren\"\n+++\n\n```rider\nmass = \"78 kg\"\n```\n";

const DAY: &str = r#"+++
kind = "day"
date = 2026-04-04
machine = "heron"
rider = "wren"
track = "quarry"
+++

```scales
front_alone = "52 kg"
rear_alone = "56 kg"
front_aboard = "83 kg"
rear_aboard = "103 kg"
```

```sag rear
hanging = "612 mm"
alone = "577 mm"
aboard = "507 mm"
```

```sag front
hanging = "612 mm"
alone = "580 mm"
aboard = "545 mm"
```
"#;

impl Desk {
    fn new() -> Self {
        let desk = Self::empty();
        desk.write("book.toml", "title = \"Test book\"\n\n[units]\npressure = \"psi\"\n");
        desk.write("machines/heron.md", MACHINE);
        desk.write("riders/wren.md", RIDER);
        desk.write("tracks/quarry.md", &track("Old Quarry", "clay over stone", 85));
        desk
    }

    fn with_day() -> Self {
        let desk = Self::new();
        desk.write("days/2026-04-04.md", DAY);
        desk
    }
}

fn track(name: &str, soil: &str, elevation: u32) -> String {
    format!(
        "+++\nkind = \"track\"\nname = \"{name}\"\n+++\n\n```track\nsoil = \"{soil}\"\nelevation = \"{elevation} m\"\n```\n"
    )
}

fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_else(|| panic!("{value} is no number"))
}

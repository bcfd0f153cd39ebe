//! What can be wrong with a written quantity, and the page that explains it.

use crate::finding::{Code, Severity};

const fn code(name: &'static str, page: &'static str) -> Code {
    Code { name, severity: Severity::Error, since: "0.1.0", page }
}

pub static NUMBER: Code = code(
    "quantity/number",
    r#"Something that is no number where one is wanted, or a number that cannot be
read.

A number has a decimal point (`104.5`), or is a fraction (`4 1/8`), or for times
has minutes and seconds (`2:04.1`). Twelve digits are kept. From what is not
understood nothing can be worked out, and a guess would be worse.

```
hanging = "about 612 mm"
laps = "2:64.1"
```

Better:

```
hanging = "612 ± 3 mm"
laps = "3:04.1"
```
"#,
);
pub static COMMA: Code = code(
    "quantity/comma",
    r#"A comma within a number.

`1,485` is one and a half to one reader and fifteen hundred to another, and a
notebook may have both. So decimals take a point, and thousands take no mark.

```
hanging = "612,5 mm"
```

Better:

```
hanging = "612.5 mm"
```
"#,
);
pub static NO_UNIT: Code = code(
    "quantity/no-unit",
    r#"A number without a unit, in a book that sets none for its kind.

13 is a fork's pressure in bar, and a tyre's in psi. Counts (teeth, links, jets)
need no unit, and a share may be a fraction.

```
main = 13
```

Better: `main = "13 bar"`. Or set the unit of bare numbers once, in `book.toml`:

```
[units]
pressure = "bar"
```
"#,
);
pub static UNKNOWN_UNIT: Code = code(
    "quantity/unknown-unit",
    r#"A unit that the program does not know.

Capitals and small letters differ in units. Raised digits may be written flat
(`cm3`), and a product with a dot, a space or nothing (`N·m`, `N m`, `Nm`).

```
main = "152 spi"
```

Better: `main = "152 psi"`.
"#,
);
pub static DIMENSION: Code = code(
    "quantity/dimension",
    r#"A quantity of another kind than the key takes.

A kind is more than a dimension: a mass is no force, and `2 in` is two inches,
never two clicks in.

```
pull = "4 kg"
fork.rebound = "2 in"
```

Better:

```
pull = "4 kgf"
fork.rebound = "2 clicks in"
```
"#,
);
pub static ABSOLUTE: Code = code(
    "quantity/absolute",
    r#"An absolute pressure where a gauge reads, or the other way round.

A gauge shows how much a pressure is above the surrounding air. The two differ
by a whole atmosphere, about 1 bar or 14.5 psi. Notebooks are written in gauge
pressure; `abs` is for the air itself, which no gauge shows.

```
main = "167 psi abs"
```

Better: `main = "152 psi"`, as the gauge shows it.
"#,
);
pub static SEVERAL: Code = code(
    "quantity/several",
    r#"Several values, or a range, where one value is wanted.

Where a key takes repeats of a reading, their mean counts. Elsewhere nobody
could say which one does.

```
travel = "298 300 mm"
```

Better: `travel = "300 mm"`.
"#,
);
pub static RANGE: Code = code(
    "quantity/range",
    r#"A range that is not written as one, or a dash that may mean one.

A range has two dots, and either end may be left open. A dash could also be a
minus, and the program does not guess.

```
within = "150-154 psi"
```

Better: `within = "150..154 psi"`, `"..154 psi"` or `"150.. psi"`.
"#,
);
pub static UPSIDE_DOWN: Code = code(
    "quantity/upside-down",
    r#"A range with its upper end first.

Nothing lies within it, so every value would be outside.

```
within = "106..104 mm"
```

Better: `within = "104..106 mm"`.
"#,
);
pub static IMPOSSIBLE: Code = code(
    "quantity/impossible",
    r#"A number that nothing of its kind can have.

Nothing is colder than absolute zero, no length or mass is negative, no air is
more than saturated, and clicks, teeth and links come whole. Nearly always a
unit, a sign or a decimal point slipped.

```
humidity = 55
```

Better: `humidity = "55 %"`.
"#,
);
pub static DIRECTION: Code = code(
    "quantity/direction",
    r#"A direction where a value is wanted, or two directions at once.

`2 mm down` is a change. A reading has no direction, and a sign in front already
says one.

```
hanging = "612 mm up"
fork.rebound = "+2 clicks in"
```

Better:

```
hanging = "612 mm"
fork.rebound = "2 clicks in"
```
"#,
);
pub static WORDS: Code = code(
    "quantity/words",
    r#"Words behind a quantity that mean nothing there.

A value is read whole or not at all. Remarks go into the prose, or behind `#`.

```
main = "152 psi cold"
```

Better:

```
main = "152 psi"   # cold
```
"#,
);

/// Every code of this room.
pub static CODES: &[&Code] = &[
    &NUMBER,
    &COMMA,
    &NO_UNIT,
    &UNKNOWN_UNIT,
    &DIMENSION,
    &ABSOLUTE,
    &SEVERAL,
    &RANGE,
    &UPSIDE_DOWN,
    &IMPOSSIBLE,
    &DIRECTION,
    &WORDS,
];

//! Dates in the future.

use jiff::civil::Date;

use crate::book::{Book, Day};
use crate::checks::code;
use crate::finding::{Code, Finding, Severity};
use crate::season::Season;
use crate::source::Span;
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{AnyBlock, ServiceBlock, Valving};
use crate::vocabulary::values::LastDone;

pub(super) static CODE: Code = code(
    "date/in-the-future",
    Severity::Warning,
    "A date after the date of asking: of a day, a service, a rebuilt damper or an
instrument's calibration.

Nobody has ridden that day yet. A wrong year puts a day at the wrong end of the
season, and every setting carried from it goes wrong too.

```
date = 2062-04-11
```

Better: `date = 2026-04-11`. A day that is being prepared, with nothing ridden
or read yet, gets no warning.
",
);

/// Days. Nobody prepares a day further ahead than this.
const AHEAD: i64 = 366;

/// Whether something was ridden or read on a day: one that is only prepared may lie ahead.
fn was_ridden(day: &Day) -> bool {
    day.notebook.blocks.iter().any(|block| match block {
        AnyBlock::Stint(_) | AnyBlock::Scales(_) | AnyBlock::Steering(_) | AnyBlock::Hours(_) => true,
        AnyBlock::Checked(checked) => checked.done.is_some(),
        AnyBlock::Sag(sag) => sag.hanging.is_some() || sag.alone.is_some() || sag.aboard.is_some(),
        AnyBlock::Pressures(pressures) => {
            let others = &pressures.others;
            [&others.pressures, &others.found, &others.after_ride].iter().any(|all| !all.is_empty())
        }
        _ => false,
    })
}

pub(super) fn check(book: &Book, _season: &Season, on: Option<Date>, findings: &mut Vec<Finding>) {
    let Some(on) = on else { return };
    let mut look = |date: Date, span: Span, what: Message| {
        if date > on {
            findings.push(
                Finding::new(
                    &CODE,
                    span,
                    say!("{what} is in the future: {date} is after {on}", what, date, on),
                )
                .help(say!("mend the year, the month or the day")),
            );
        }
    };
    // A prepared day lies ahead; one years ahead has a wrong date.
    let horizon = on.checked_add(jiff::Span::new().days(AHEAD)).unwrap_or(on);
    let ahead = book.days.iter().filter(|day| day.is_dated && day.date > on);
    for day in ahead.filter(|day| was_ridden(day) || day.date > horizon) {
        look(day.date, day.date_span, say!("the day"));
    }
    for notebook in book.notebooks() {
        for valving in notebook.all::<Valving>() {
            if let Some(date) = valving.date {
                look(date.date, date.span, say!("the rebuilt damper"));
            }
        }
        for service in notebook.all::<ServiceBlock>().flat_map(|block| &block.others.services) {
            if let Some(LastDone::On(date)) = &service.last {
                look(date.date, date.span, say!("the service"));
            }
        }
    }
    for instrument in book.about.instruments.values() {
        if let Some(date) = instrument.calibrated {
            look(date.date, date.span, say!("the calibration"));
        }
    }
}

//! Sag readings in an impossible order.

use crate::finding::{Code, Finding};
use crate::speech::say;
use crate::vocabulary::blocks::Sag;
use crate::vocabulary::{Keyed, Load, shown};

use super::{Fault, code};

pub(in crate::season) static CODE: Code = code(
    "sag/reading-order",
    r#"Sag readings in an impossible order: hanging must be the longest, aboard the
shortest, and after a push shorter than after a lift.

A wheel only comes closer to its mark as load is put on. Otherwise two readings
were swapped, one was misread, or the hanging reading was taken with the wheel
on the ground. Every figure from them would be wrong.

````
```sag rear
hanging = "577 mm"
alone   = "612 mm"
```
````

Better: the longest is `hanging`.

````
```sag rear
hanging = "612 mm"
alone   = "577 mm"
```
````
"#,
);

pub(super) fn faults(sag: &Sag) -> Vec<Fault> {
    let mut faults = Vec::new();
    let hanging =
        sag.hanging.as_ref().and_then(|readings| Some(((Sag::hanging, readings), readings.mean()?)));
    let first = |load: Load| sag.rests(load).counted().first().copied().zip(sag.rests(load).length());
    let (alone, aboard) = (first(Load::Static), first(Load::Rider));
    // As long alone as hanging is no misreading: the end is topped out, and another rule reports that.
    if let (Some((longer, length)), Some((shorter, below))) = (hanging, alone)
        && length < below
    {
        faults.push((None, out_of_order(longer, shorter, Must::BeLonger)));
    }
    // Without a reading alone, the rider's is compared with the hanging one.
    if let (Some((longer, length)), Some((shorter, below))) = (alone.or(hanging), aboard)
        && length <= below
    {
        faults.push((None, out_of_order(longer, shorter, Must::BeLonger)));
    }
    for load in Load::BOTH {
        let rests = sag.rests(load);
        if let (Some(push), Some(lift)) = (rests.after_push, rests.after_lift)
            && push.1.mean() > lift.1.mean()
        {
            faults.push((Some(load), out_of_order(push, lift, Must::NotBeLonger)));
        }
    }
    faults
}

/// How two readings must compare.
#[derive(Debug, Clone, Copy)]
enum Must {
    BeLonger,
    NotBeLonger,
}

/// Placed on the earlier of the two in the notebook.
fn out_of_order(one: Keyed<'_>, other: Keyed<'_>, must: Must) -> Finding {
    let ((name, length), (than, other_length)) =
        ((one.0, shown::mean(one.1)), (other.0, shown::mean(other.1)));
    let headline = match must {
        Must::BeLonger => {
            say!(
                "`{name}` ({length}) must be longer than `{than}` ({other_length})",
                name,
                length,
                than,
                other_length
            )
        }
        Must::NotBeLonger => {
            say!(
                "`{name}` ({length}) must not be longer than `{than}` ({other_length})",
                name,
                length,
                than,
                other_length
            )
        }
    };
    let is_first = one.1.span.start < other.1.span.start;
    let ((_, earlier), (_, later)) = if is_first { (one, other) } else { (other, one) };
    let help = match must {
        Must::NotBeLonger => say!(
            "friction holds a pushed machine low: swap the two if they are the wrong way round, or measure again"
        ),
        Must::BeLonger => say!("swap the two if they are the wrong way round, or measure again"),
    };
    Finding::new(&CODE, earlier.span, headline)
        .found(shown::mean(earlier))
        .see(later.span, shown::mean(later))
        .help(help)
}

//! Jets, springs and sprockets that are not on hand.

use crate::checks::written::WrittenSetting;
use crate::checks::{code, shown};
use crate::finding::{Code, Finding, Severity};
use crate::speech::{Message, say};
use crate::vocabulary::values::Readings;
use crate::vocabulary::{End, Setting};

pub(super) static CODE: Code = code(
    "parts/not-on-hand",
    Severity::Warning,
    r#"A jet, a spring or a sprocket that is not among those on hand.

The machine's notebook lists the parts in the box. Either the list is out of
date, or the number is a slip.

````
```change
jet.main = 182
because = "rich at the top"
```
````

Better: take one that is on hand, such as `jet.main = 180`, or add it to the
list.
"#,
);

pub(super) fn check(written: &WrittenSetting<'_>, findings: &mut Vec<Finding>) {
    let Some(list) = on_hand(written) else { return };
    let Some(set) = written.quantity() else { return };
    // The standard part is on the machine, and need not be in the box.
    let is_standard = written.standard.is_some_and(|standard| standard.same_as(&written.value));
    let close = |a: f64, b: f64, digit: f64| (a - b).abs() <= (0.5 * digit).max(1e-9 * b.abs());
    let is_listed = list.values.iter().any(|given| {
        let quantity = &given.quantity;
        let digit = if quantity.unit == set.unit { 0.0 } else { quantity.last_digit.max(set.last_digit) };
        quantity.kind == set.kind && close(quantity.value, set.value, digit)
    });
    if is_standard || is_listed || list.values.is_empty() {
        return;
    }
    let known = Message::either(list.values.iter().map(|given| shown::written(&given.quantity)));
    findings.push(
        Finding::new(&CODE, written.span, none_of(written.name, shown::written(set)))
            .see(list.span, say!("what is on hand"))
            .help(say!("there is {known}; add it to the list if it was bought", known)),
    );
}

fn none_of(name: Setting, set: Message) -> Message {
    match name {
        Setting::JET_MAIN => say!("no main jet of {set} is on hand", set),
        Setting::FORK_SPRING => say!("no fork spring of {set} is on hand", set),
        Setting::SHOCK_SPRING => say!("no shock spring of {set} is on hand", set),
        Setting::DRIVE_FRONT => say!("no countershaft sprocket of {set} is on hand", set),
        _ => say!("no rear sprocket of {set} is on hand", set),
    }
}

/// The list for a setting.
fn on_hand<'a>(written: &WrittenSetting<'a>) -> Option<&'a Readings> {
    let machine = written.machine;
    let springs = |end: End| machine.springs(end)?.rates.as_ref();
    Some(match written.name {
        Setting::JET_MAIN => machine.carburettor()?.on_hand.as_ref()?,
        Setting::FORK_SPRING => springs(End::Front)?,
        Setting::SHOCK_SPRING => springs(End::Rear)?,
        Setting::DRIVE_FRONT => machine.drive()?.sprockets_front.as_ref()?,
        Setting::DRIVE_REAR => machine.drive()?.sprockets_rear.as_ref()?,
        _ => return None,
    })
}

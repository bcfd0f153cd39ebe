//! A tyre's code that is not read as one.

use crate::checks::code;
use crate::checks::place::OfMachine;
use crate::figures::Recording;
use crate::finding::{Code, Finding, Severity};
use crate::physics::tyres::TyreCode;
use crate::speech::say;
use crate::vocabulary::End;
use crate::vocabulary::blocks::Wheel;

pub(super) static CODE: Code = code(
    "wheel/tyre-size",
    Severity::Warning,
    r#"A `tyre` from which no radius can be worked out.

Rake, trail, attitude and gearing rest on the radius of the wheels. Without it
they are all missing.

````
```wheel front
tyre = "80/100/21"
```
````

Better: as on the tyre's side, `tyre = "80/100-21"`. For a size in inches, such as
`3.00-21`, roll the wheel one turn along the ground and write `rollout`; until
then the finding is a note.
"#,
);

pub(super) fn check(place: &OfMachine<'_, '_, impl Recording>, findings: &mut Vec<Finding>) {
    for wheel in End::BOTH.into_iter().filter_map(|end| place.machine.wheel(end)) {
        let Some(tyre) = &wheel.tyre else { continue };
        let is_measured = wheel.loaded_radius.is_some() || wheel.rollout.is_some();
        if is_measured || TyreCode::parse(&tyre.text).is_some() {
            continue;
        }
        let headline = say!("`{code}` is not a tyre size such as `80/100-21`", code = tyre.text);
        let finding =
            Finding::new(&CODE, tyre.span, headline).found(say!("no radius, and nothing that rests on it"));
        findings.push(match meant(&tyre.text) {
            Some(meant) => {
                let quoted = format!("\"{meant}\"");
                finding.fix(say!("write `{meant}`", meant), tyre.span, quoted)
            }
            None => {
                let rolled = say!(
                    "roll the wheel one turn along the ground and write `{key} = \"…\"`",
                    key = Wheel::rollout
                );
                let mut finding = finding.help(rolled);
                finding.severity = Severity::Note;
                finding
            }
        });
    }
}

/// The size with its separators as they should be.
fn meant(written: &str) -> Option<String> {
    let mut numbers = written.split(|letter: char| !letter.is_ascii_digit()).filter(|part| !part.is_empty());
    let (width, aspect, rim) = (numbers.next()?, numbers.next()?, numbers.next()?);
    let meant = format!("{width}/{aspect}-{rim}");
    TyreCode::parse(&meant).map(|_| meant)
}

//! A fuelling that the engine does not have.

use crate::checks::code;
use crate::checks::written::WrittenSetting;
use crate::finding::{Code, Finding, Severity};
use crate::speech::say;
use crate::vocabulary::Setting;
use crate::vocabulary::blocks::Fuelling;

pub(super) static CODE: Code = code(
    "fuelling/unknown-choice",
    Severity::Error,
    r#"A `fuelling` that is not among the machine's choices.

The machine's notebook lists what the engine can be switched to; anything else
was not ridden.

````
```settings
fuelling = "milld"
```
````

Better: one of the `choices` in the machine's `fuelling` block, spelt as there:
`fuelling = "mild"`.
"#,
);

pub(super) fn check(written: &WrittenSetting<'_>, findings: &mut Vec<Finding>) {
    if written.name != Setting::FUELLING {
        return;
    }
    let choices = written.machine.last::<Fuelling>().and_then(|block| block.choices.as_ref());
    let (Some(choices), Some(set)) = (choices, written.value.word()) else { return };
    let known: Vec<&str> = choices.values.iter().map(|choice| choice.text.as_str()).collect();
    if known.is_empty() || known.contains(&set) {
        return;
    }
    let finding = Finding::new(&CODE, written.span, say!("the engine has no fuelling `{set}`", set))
        .see(choices.span, say!("its choices"))
        .one_of(set, &known);
    findings.push(finding);
}

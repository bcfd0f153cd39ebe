//! What becomes of a setting when something is written for it.

use crate::finding::{Finding, Rejected};
use crate::quantity::{Amount, Kind, Quantity, Units, Way, show};
use crate::source::Span;
use crate::speech::{Message, say};
use crate::vocabulary::Setting;
use crate::vocabulary::settings::{self, SettingRow};
use crate::vocabulary::values::{Assigned, Assignment};

use super::codes;
use super::rejected::meant;
use super::settings::{Entry, Held, HeldValue};

/// What is needed to turn written amounts into settings.
pub(super) struct Ledger {
    /// How far one turn moves the shock's collar, in m.
    pub pitch: Option<f64>,
}

/// The last digit of a length written by hand, in m.
const WRITTEN_LENGTH: f64 = 1e-4;

impl Ledger {
    /// The entry that an assignment gives a setting, and what is wrong with it. A step from an unknown value is
    /// unknown as well, and the first error says so. A new aim is held against the one before, `aim`, unless the block says why it
    /// is another.
    pub fn entry(
        &self,
        assignment: &Assignment,
        before: Option<&Entry>,
        aim: Option<&Held>,
        held: impl FnOnce(HeldValue) -> Held,
    ) -> (Entry, Option<Finding>) {
        if let (Some(Err(rejected)), Some(_)) = (before, assignment.by()) {
            return (Err(*rejected), None);
        }
        let before = before.and_then(|before| before.as_ref().ok());
        let value = self.value(assignment, before).and_then(|value| match aim {
            Some(aim) => meant(assignment, aim, &value).map(|()| value),
            None => Ok(value),
        });
        match value {
            Ok(value) => (Ok(held(value)), None),
            Err(finding) => (Err(Rejected { code: finding.code, span: finding.span }), Some(*finding)),
        }
    }

    /// The value that an assignment gives a setting, from the value before.
    pub fn value(&self, assignment: &Assignment, before: Option<&Held>) -> Result<HeldValue, Box<Finding>> {
        match &assignment.value {
            Assigned::Word(word) => Ok(HeldValue::Word(word.clone())),
            Assigned::Amount(Amount::At(quantity)) => {
                Ok(HeldValue::Quantity(self.as_length(assignment, *quantity)?))
            }
            Assigned::Amount(Amount::By(size, way)) => {
                self.moved(assignment, *size, *way, before).map(HeldValue::Quantity)
            }
        }
    }

    /// Turns of a collar become a length; anything else stays as it is.
    fn as_length(&self, assignment: &Assignment, quantity: Quantity) -> Result<Quantity, Box<Finding>> {
        if !assignment.name.info().has_collar() || quantity.kind != Kind::Turns {
            return Ok(quantity);
        }
        let pitch =
            self.pitch.filter(|_| assignment.name == Setting::SHOCK_PRELOAD).ok_or_else(|| {
                let headline = say!(
                    "`{assignment}` is given in turns, and no thread pitch is known",
                    assignment = assignment.name
                );
                Box::new(Finding::new(&codes::NO_PITCH, assignment.span, headline).help(say!(
                    "write it as a length, or add `thread_pitch = …` to the machine's `shock` block"
                )))
            })?;
        Ok(Quantity {
            kind: Kind::Length,
            value: quantity.value * pitch,
            unit: Kind::Length.usual_unit(),
            plus_minus: quantity.plus_minus.map(|u| u * pitch),
            // As a hand would write it: a collar's turn is no round length, and is known better than to a whole turn.
            last_digit: WRITTEN_LENGTH,
        })
    }

    fn moved(
        &self,
        assignment: &Assignment,
        size: Quantity,
        way: Way,
        before: Option<&Held>,
    ) -> Result<Quantity, Box<Finding>> {
        let name = assignment.name;
        let row = name.info();
        let direction = row.direction(way).ok_or_else(|| Box::new(wrong_way(assignment, row)))?;
        let held = before.ok_or_else(|| Box::new(no_start(assignment)))?;
        let from = held.value.quantity().ok_or_else(|| Box::new(no_start(assignment)))?;
        let size = self.as_length(assignment, size)?;
        if size.kind != from.kind {
            return Err(Box::new(
                Finding::new(
                    &codes::WRONG_COUNT,
                    assignment.span,
                    say!(
                        "`{name}` is kept in {kept}, and this is {written}",
                        name,
                        kept = Message::word(from.kind.plural()),
                        written = Message::word(size.kind.plural())
                    ),
                )
                .see(held.span, say!("written here")),
            ));
        }
        let by = Quantity { value: direction * size.value, ..size };
        self.stepped(name, held, &by, assignment.span)
    }

    /// A setting moved by an amount with a sign, of the same kind.
    pub fn stepped(
        &self,
        name: Setting,
        from: &Held,
        by: &Quantity,
        at: Span,
    ) -> Result<Quantity, Box<Finding>> {
        let row = name.info();
        let span = from.span;
        let HeldValue::Quantity(from) = &from.value else {
            return Err(Box::new(Finding::new(&codes::NO_START, at, say!("`{name}` is a word", name))));
        };
        let moved = from.moved_by(by);
        if !row.possible.allows(moved.value) {
            let units = Units::default();
            return Err(Box::new(
                Finding::new(
                    &codes::BELOW_CLOSED,
                    at,
                    match (row.is_adjuster(), moved.value < 0.0) {
                        (true, _) => say!("`{name}` would go past closed", name),
                        (false, true) if name == Setting::FORK_HEIGHT => {
                            say!("the fork tubes would come below flush, where the clamp does not hold all of them")
                        }
                        (false, true) => say!("`{name}` would go past nothing", name),
                        (false, false) => say!("`{name}` would go past what can be", name),
                    },
                )
                .see(span, say!("from {from} here", from = show(from, &units)))
                .help(match row.is_adjuster() {
                    true => say!("count again, and write the setting as it is"),
                    false => say!("measure again, and write the setting as it is"),
                }),
            ));
        }
        Ok(moved)
    }
}

fn no_start(assignment: &Assignment) -> Finding {
    let name = assignment.name;
    Finding::new(
        &codes::NO_START,
        assignment.span,
        say!("`{name}` is changed from a value that nobody wrote", name),
    )
    .help(say!("write `{name}` as it now is, or put where it started into `settings`", name))
}

fn wrong_way(assignment: &Assignment, row: &SettingRow) -> Finding {
    let words = match row.turning {
        settings::Turning::Adjuster | settings::Turning::Collar => {
            say!("write `in` or `out`, or `+` or `-` in front")
        }
        settings::Turning::Height => say!("write `up` or `down`, or `+` or `-` in front"),
        settings::Turning::Plain => say!("write `+` or `-` in front"),
    };
    Finding::new(
        &codes::WRONG_WAY,
        assignment.span,
        say!("`{assignment}` does not go that way", assignment = assignment.name),
    )
    .help(words)
}

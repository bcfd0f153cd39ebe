//! Changes that can be undone, the last one first.

use std::sync::Arc;

use super::charge::Step;
use super::settings::Entry;
use crate::vocabulary::Setting;

/// What one `change` replaced, for undoing it.
pub(super) type UndoStep = Arc<[Replaced]>;

/// A setting that was replaced.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Replaced {
    pub name: Setting,
    pub before: Option<Arc<Entry>>,
    /// For a pressure, the size of a relative change.
    pub step: Option<Step>,
}

/// The changes of a machine and rider that were not undone. Cheap to clone: earlier changes are shared.
#[derive(Debug, Clone, Default)]
pub(super) struct Undo {
    last: Option<Arc<Done>>,
}

#[derive(Debug)]
struct Done {
    step: UndoStep,
    before: Option<Arc<Done>>,
}

impl Undo {
    pub fn push(&mut self, step: UndoStep) {
        self.last = Some(Arc::new(Done { step, before: self.last.take() }));
    }

    /// Removes the last change; `None` where none is left.
    pub fn pop(&mut self) -> Option<UndoStep> {
        let last = self.last.take()?;
        self.last = last.before.clone();
        Some(Arc::clone(&last.step))
    }

    /// Whether undone changes lead to the same.
    pub fn leads_back_like(&self, other: &Self) -> bool {
        let (mut one, mut other) = (&self.last, &other.last);
        loop {
            match (one, other) {
                (None, None) => return true,
                (Some(mine), Some(others)) if Arc::ptr_eq(mine, others) => return true,
                (Some(mine), Some(others)) if mine.step == others.step => {
                    (one, other) = (&mine.before, &others.before);
                }
                _ => return false,
            }
        }
    }
}

/// Drops one change after another: nested drops of a long diary would overflow the stack.
impl Drop for Undo {
    fn drop(&mut self) {
        let mut next = self.last.take();
        while let Some(done) = next {
            next = Arc::into_inner(done).and_then(|done| done.before);
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn step(name: Setting) -> UndoStep {
        [Replaced { name, before: None, step: None }].into()
    }

    #[test]
    fn what_was_done_last_is_taken_back_first_and_copies_go_their_own_way() {
        let mut undo = Undo::default();
        undo.push(step(Setting::FORK_SPRING));
        let before = undo.clone();
        undo.push(step(Setting::SHOCK_SPRING));
        assert!(!undo.leads_back_like(&before));
        assert_eq!(undo.pop(), Some(step(Setting::SHOCK_SPRING)));
        assert!(undo.leads_back_like(&before));
        let mut other = Undo::default();
        other.push(step(Setting::FORK_SPRING));
        assert!(undo.leads_back_like(&other), "the same was done, if not at once");
        assert_eq!((undo.pop(), undo.pop()), (Some(step(Setting::FORK_SPRING)), None));
        assert!(!undo.leads_back_like(&before));
    }

    #[test]
    fn as_many_changes_as_a_book_can_have_are_dropped() {
        let mut undo = Undo::default();
        let step = step(Setting::FORK_SPRING);
        (0..crate::source::limits::BOOK_BLOCKS).for_each(|_| undo.push(Arc::clone(&step)));
        let copy = undo.clone();
        drop(undo);
        drop(copy);
        assert_eq!(Arc::strong_count(&step), 1);
    }
}

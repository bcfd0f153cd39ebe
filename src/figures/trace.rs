//! What the parts of a figure rest on: the places of their readings, and what was assumed.

use std::rc::Rc;

use crate::source::Span;
use crate::speech::Message;

use super::bench::Bench;
use super::recorder::Recorder;

/// What a part rests on.
#[derive(Debug, Clone, Default)]
pub(super) struct Trace {
    assumed: Vec<Message>,
    from: Vec<Span>,
}

impl Trace {
    fn add(&mut self, other: &Self) {
        add_new(&mut self.assumed, &other.assumed);
        add_new(&mut self.from, &other.from);
    }
}

/// Adds what is not there yet. Neither list has anything twice.
fn add_new<T: Clone + PartialEq>(all: &mut Vec<T>, others: &[T]) {
    let known = all.len();
    all.reserve(others.len());
    for other in others {
        if !all.iter().take(known).any(|known| known == other) {
            all.push(other.clone());
        }
    }
}

impl<R: Recorder> Bench<'_, R> {
    /// The same place where nobody asks what a value rests on.
    #[must_use]
    pub fn untraced(self) -> Self {
        self.traces.borrow_mut().clear();
        self
    }

    /// Works something out and returns what it rests on, without adding that to the caller's trace.
    pub(super) fn traced<T>(&self, work: impl FnOnce(&Self) -> T) -> (T, Option<Rc<Trace>>) {
        if self.traces.borrow().is_empty() {
            return (work(self), None);
        }
        self.traces.borrow_mut().push(Trace::default());
        let got = work(self);
        let trace = self.traces.borrow_mut().pop();
        (got, trace.map(Rc::new))
    }

    /// Works something out for a figure: the value, its assumptions and its places.
    pub(super) fn observed<T>(&self, work: impl FnOnce(&Self) -> T) -> (T, Vec<Message>, Vec<Span>) {
        let (got, trace) = self.traced(work);
        let Trace { assumed, from } = trace.map(Rc::unwrap_or_clone).unwrap_or_default();
        (got, assumed, from)
    }

    pub(super) fn note(&self, trace: Option<Rc<Trace>>) {
        if let (Some(trace), Some(top)) = (trace, self.traces.borrow_mut().last_mut()) {
            top.add(&trace);
        }
    }

    /// Notes a place that the present part rests on.
    pub(super) fn rests_on(&self, span: Span) {
        if let Some(top) = self.traces.borrow_mut().last_mut()
            && !top.from.contains(&span)
        {
            top.from.push(span);
        }
    }

    /// Notes an assumption of the present part.
    pub(super) fn assume_text(&self, text: Message) {
        if let Some(top) = self.traces.borrow_mut().last_mut() {
            add_new(&mut top.assumed, &[text]);
        }
    }
}

//! The readings of a `sag` block: the hanging one, and the rest under each load.

use super::blocks::{SEATED, Sag};
use super::values::Readings;

/// The load on the wheels when a sag is read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Load {
    /// The machine alone.
    Static,
    /// The rider aboard.
    Rider,
}

/// Readings and the key that they are written under.
pub type Keyed<'a> = (&'static str, &'a Readings);

/// The rests under one load: plain, after a push, after a lift.
#[derive(Debug, Clone, Copy)]
pub struct Rests<'a> {
    pub plain: Option<Keyed<'a>>,
    pub after_push: Option<Keyed<'a>>,
    pub after_lift: Option<Keyed<'a>>,
}

impl Load {
    pub const BOTH: [Self; 2] = [Self::Static, Self::Rider];

    /// The keys of a load's rests: plain, after a push, after a lift.
    pub fn keys(self) -> [&'static str; 3] {
        match self {
            Self::Static => [Sag::alone, Sag::alone_after_push, Sag::alone_after_lift],
            Self::Rider => [Sag::aboard, Sag::aboard_after_push, Sag::aboard_after_lift],
        }
    }
}

impl Sag {
    /// Whether the rider sat. What is not said was read standing.
    pub fn is_seated(&self) -> bool {
        self.posture.as_ref().is_some_and(|posture| posture.text == SEATED)
    }

    /// The rests under a load.
    pub fn rests(&self, load: Load) -> Rests<'_> {
        let [plain, push, lift] = match load {
            Load::Static => [&self.alone, &self.alone_after_push, &self.alone_after_lift],
            Load::Rider => [&self.aboard, &self.aboard_after_push, &self.aboard_after_lift],
        };
        let [plain_key, push_key, lift_key] = load.keys();
        Rests {
            plain: plain.as_ref().map(|readings| (plain_key, readings)),
            after_push: push.as_ref().map(|readings| (push_key, readings)),
            after_lift: lift.as_ref().map(|readings| (lift_key, readings)),
        }
    }

    /// Whether the block gives the sag under a load: it needs the hanging reading and one under the load.
    pub fn has(&self, load: Load) -> bool {
        self.hanging.is_some() && !self.rests(load).counted().is_empty()
    }
}

impl<'a> Rests<'a> {
    /// The readings that a sag comes from: after a push and after a lift where both exist, else the plain one.
    pub fn counted(&self) -> Vec<Keyed<'a>> {
        match (self.after_push, self.after_lift) {
            (Some(push), Some(lift)) => vec![push, lift],
            (push, lift) => self.plain.or(push).or(lift).into_iter().collect(),
        }
    }

    /// The length at rest from which the sag follows, in m.
    pub fn length(&self) -> Option<f64> {
        let counted = self.counted();
        let sum: f64 = counted.iter().filter_map(|(_, readings)| readings.mean()).sum();
        (!counted.is_empty()).then(|| sum / counted.len() as f64)
    }
}

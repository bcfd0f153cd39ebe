//! How far an interval may move before a rule's result changes.
//!
//! Repeats of one reading show how well every later reading with the same tool is known. So an edit of one moves the
//! intervals of all later days, by little, and hardly ever past a limit. Rules are given each interval as an
//! [`Expanded`], which notes what it was compared with. The notes of a day, its [`Margin`]s, tell by a few
//! multiplications whether the rules would find the same, without working out any figure again.

use std::cell::Cell;
use std::rc::Rc;

use jiff::civil::Date;

use crate::physics::uncertainty::{Component, combine};
use crate::season::{PoolKey, Repeats};

use super::assumptions::WELL_KNOWN;
use super::inputs::pooled_until;
use super::uncertainty::Contribution;

/// The expanded uncertainty of a value that a rule looks at, in the SI base unit.
#[derive(Debug, Clone)]
pub struct Expanded {
    value: f64,
    /// `None` where it does not depend on repeats.
    watch: Option<Rc<Watch>>,
}

/// An interval that repeats elsewhere move, and the values between which the result is the same.
#[derive(Debug)]
pub(super) struct Watch {
    moving: Moving,
    /// The interval when it was looked at.
    now: Component,
    /// Both ends excluded.
    between: Cell<(f64, f64)>,
}

/// An uncertainty, by what moves it.
#[derive(Debug, Clone, PartialEq)]
struct Moving {
    /// The part that does not come from repeats, in the unit of the result.
    steady: f64,
    /// How much of each pool's variance is in the result's.
    pools: Box<[(PoolKey, f64)]>,
}

/// What must hold for repeats so that the rules find the same on a day.
#[derive(Debug)]
pub enum Margin {
    /// Between two values, both excluded, the result is the same.
    Interval(IntervalMargin),
    /// Whether repeats far outweigh what is assumed of a tool; figures say so.
    Known(PoolKey, bool),
}

/// An interval, and the values between which it may move.
#[derive(Debug)]
pub struct IntervalMargin {
    moving: Moving,
    now: Component,
    between: (f64, f64),
}

/// How near to an end, as a share, counts as past it; rounding errors are a thousandth of this.
const SLACK: f64 = 1e-9;
/// Shares by which a shown interval is tried larger and smaller, to see whether it is still shown the same.
const TRIED: [f64; 3] = [2e-2, 2e-3, 2e-4];

impl Expanded {
    /// One that does not move, as it was written.
    pub fn fixed(value: f64) -> Self {
        Self { value, watch: None }
    }

    pub(super) fn watched(value: f64, watch: Rc<Watch>) -> Self {
        Self { value, watch: Some(watch) }
    }

    /// For callers whose result changes only where it passes one of these.
    pub fn against(&self, edges: impl IntoIterator<Item = f64>) -> f64 {
        for edge in edges {
            if edge > self.value {
                self.stays_within(0.0, edge);
            } else {
                // On an edge it may not move at all.
                self.stays_within(edge, f64::INFINITY);
            }
        }
        self.value
    }

    /// For callers whose result changes with every size.
    pub fn exactly(&self) -> f64 {
        self.stays_within(self.value, self.value);
        self.value
    }

    /// A result that has steps, as a rounded number has: if it is the same at two sizes, it is the same between them.
    pub fn in_steps<T: PartialEq>(&self, made: impl Fn(f64) -> T) -> T {
        let it = made(self.value);
        if self.watch.is_some() {
            let same = |tried: &&f64| {
                [1.0 - **tried, 1.0 + **tried].into_iter().all(|size| made(self.value * size) == it)
            };
            let room = TRIED.iter().find(same).copied().unwrap_or(0.0);
            self.stays_within(self.value * (1.0 - room), self.value * (1.0 + room));
        }
        it
    }

    /// For a caller whose result is the same between two values, both excluded. They are worked out only where a margin
    /// is kept.
    pub fn between(&self, alike: impl FnOnce(f64) -> (f64, f64)) -> f64 {
        if self.watch.is_some() {
            let (low, high) = alike(self.value);
            self.stays_within(low, high);
        }
        self.value
    }

    fn stays_within(&self, low: f64, high: f64) {
        if let Some(watch) = &self.watch {
            let (from, to) = watch.between.get();
            watch.between.set((from.max(low), to.min(high)));
        }
    }
}

impl Watch {
    /// For the uncertainty of a number; `None` where it does not depend on repeats.
    pub(super) fn of<'a>(
        parts: impl Iterator<Item = Contribution<'a>>,
        until: Option<Date>,
        repeats: &Repeats,
    ) -> Option<Rc<Self>> {
        let moving = Moving::of(parts)?;
        let now = moving.component(repeats, until);
        Some(Rc::new(Self { moving, now, between: Cell::new((0.0, f64::INFINITY)) }))
    }

    /// What must hold for it; `None` where nobody has looked at it.
    pub(super) fn margin(&self) -> Option<Margin> {
        let between = self.between.get();
        let is_looked_at = between != (0.0, f64::INFINITY);
        let (moving, now) = (self.moving.clone(), self.now);
        is_looked_at.then_some(Margin::Interval(IntervalMargin { moving, now, between }))
    }
}

impl Moving {
    fn of<'a>(parts: impl Iterator<Item = Contribution<'a>>) -> Option<Self> {
        let mut steady = 0.0;
        let mut pools: Vec<(PoolKey, f64)> = Vec::new();
        for part in parts {
            let mut add = |u: f64| steady += u * u;
            add(part.sensitivity * part.steady());
            let Some(scatter) = part.scatter else { continue };
            let Some(key) = scatter.pool.key else {
                add(part.sensitivity * scatter.u);
                continue;
            };
            let weight = part.sensitivity * scatter.u / scatter.pool.deviation;
            match pools.iter_mut().find(|(known, _)| *known == key) {
                Some((_, sum)) => *sum += weight * weight,
                None => pools.push((key, weight * weight)),
            }
        }
        (!pools.is_empty()).then(|| Self { steady: steady.sqrt(), pools: pools.into() })
    }

    fn component(&self, repeats: &Repeats, until: Option<Date>) -> Component {
        let pools = self.pools.iter().map(|(key, weight)| {
            let one = pooled_until(repeats, *key, until);
            Component { u: one.u * weight.sqrt(), ..one }
        });
        let parts: Vec<Component> = std::iter::once(Component::known(self.steady)).chain(pools).collect();
        combine(&parts)
    }
}

impl Margin {
    /// Whether it still holds with the repeats of a book up to a date.
    pub fn holds(&self, repeats: &Repeats, until: Option<Date>) -> bool {
        match self {
            Self::Known(key, was) => is_well_known(pooled_until(repeats, *key, until).freedom) == *was,
            Self::Interval(IntervalMargin { moving, now, between: (low, high) }) => {
                let then = moving.component(repeats, until);
                if then == *now {
                    return true;
                }
                let expanded = then.expanded();
                low * (1.0 + SLACK) < expanded && expanded < high * (1.0 - SLACK)
            }
        }
    }
}

/// Whether these degrees of freedom far outweigh what was assumed.
pub(super) fn is_well_known(freedom: f64) -> bool {
    freedom >= WELL_KNOWN
}

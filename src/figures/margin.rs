//! How far an interval may move before what somebody made of it is another.
//!
//! Repeats of one reading tell how well every later reading with the same tool is known, so that an edit of one moves the
//! intervals of all days behind it: by little, and hardly ever past anything. Rules are therefore given an interval as
//! [`Expanded`], which notes what it was held against. What is noted of a day, its [`Margin`]s, tells by some
//! multiplications whether the rules would say of it what they said, without working any figure out again.

use std::cell::Cell;
use std::rc::Rc;

use jiff::civil::Date;

use crate::physics::uncertainty::{Component, combine};
use crate::season::{PoolKey, Repeats};

use super::assumptions::WELL_KNOWN;
use super::inputs::pooled_until;
use super::uncertainty::Contribution;

/// The expanded uncertainty of something that a rule looks at, in the SI base unit.
#[derive(Debug, Clone)]
pub struct Expanded {
    value: f64,
    /// `None` where no repeats tell of it.
    watch: Option<Rc<Watch>>,
}

/// An interval that repeats elsewhere move, with the values between which it comes to the same.
#[derive(Debug)]
pub(super) struct Watch {
    moving: Moving,
    /// As it was when it was looked at.
    now: Component,
    /// Both ends excluded.
    between: Cell<(f64, f64)>,
}

/// An uncertainty by what moves it.
#[derive(Debug, Clone, PartialEq)]
struct Moving {
    /// The part that repeats do not tell, in the unit of the result.
    steady: f64,
    /// How much of each pool's variance is in the result's.
    pools: Box<[(PoolKey, f64)]>,
}

/// What must hold of a day's repeats for the rules to find there what they found.
#[derive(Debug)]
pub enum Margin {
    /// Between two values, both excluded, the rules come to the same.
    Interval(IntervalMargin),
    /// Whether repeats outweigh what is assumed of a tool, which figures say.
    Known(PoolKey, bool),
}

/// An interval with the values between which it may move.
#[derive(Debug)]
pub struct IntervalMargin {
    moving: Moving,
    now: Component,
    between: (f64, f64),
}

/// How near to an end, as a share, counts as past it: rounding is a thousandth of this.
const SLACK: f64 = 1e-9;
/// Shares by which an interval that is shown is tried to be larger and smaller, and still be shown so.
const TRIED: [f64; 3] = [2e-2, 2e-3, 2e-4];

impl Expanded {
    /// One that is known once and for all, as it was written.
    pub fn fixed(value: f64) -> Self {
        Self { value, watch: None }
    }

    pub(super) fn watched(value: f64, watch: Rc<Watch>) -> Self {
        Self { value, watch: Some(watch) }
    }

    /// For whoever comes to something else only where it passes one of these.
    pub fn against(&self, edges: impl IntoIterator<Item = f64>) -> f64 {
        for edge in edges {
            if edge > self.value {
                self.stays_within(0.0, edge);
            } else {
                // On an edge there is no room.
                self.stays_within(edge, f64::INFINITY);
            }
        }
        self.value
    }

    /// For whoever makes anything else of it.
    pub fn exactly(&self) -> f64 {
        self.stays_within(self.value, self.value);
        self.value
    }

    /// What is made of it in steps: what is so at two sizes is so at all between them, as it is with a rounded number.
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

    /// For whoever comes to the same between two values, both excluded, which are worked out where somebody has to know.
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
    /// Of what a number is uncertain by; `None` where no repeats tell of it.
    pub(super) fn of<'a>(
        parts: impl Iterator<Item = Contribution<'a>>,
        until: Option<Date>,
        repeats: &Repeats,
    ) -> Option<Rc<Self>> {
        let moving = Moving::of(parts)?;
        let now = moving.component(repeats, until);
        Some(Rc::new(Self { moving, now, between: Cell::new((0.0, f64::INFINITY)) }))
    }

    /// What must hold of it; `None` where nobody has looked at it.
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

/// Whether so many degrees of freedom outweigh by far what was assumed beforehand.
pub(super) fn is_well_known(freedom: f64) -> bool {
    freedom >= WELL_KNOWN
}

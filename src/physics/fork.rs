//! A front suspension along its own axis: any number of coils, trapped air and air springs.
//!
//! Travel is along the fork from full extension, as a rider reads it on the tube.

use super::air::{Chamber, SQUEEZED_TO};
use super::rest::{Rest, Unsettled, settle};
use super::{Number, solve};

/// How finely two forks are compared before the place of largest difference is refined.
const COMPARE_STEPS: u32 = 64;

/// The coils of all legs together.
#[derive(Clone, Copy, Debug)]
pub struct Coil<N> {
    /// N/m.
    pub rate: N,
    /// Length by which they are squeezed at full extension, m.
    pub preload: N,
}

/// A fork whose chambers all have room to the end of its travel.
#[derive(Clone, Debug)]
pub struct Fork<N> {
    travel: N,
    coil: Option<Coil<N>>,
    chambers: Vec<Chamber<N>>,
    atmosphere: N,
}

/// A chamber has almost no room left at or before the end of the travel.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct OutOfRoom<N> {
    /// Its index among the chambers given, from zero.
    pub chamber: usize,
    /// The travel at which its volume is zero, m: within the travel, or just beyond its end.
    pub at: N,
}

impl<N: Number> Fork<N> {
    /// A fork from its parts.
    ///
    /// **Units** m, absolute Pa. **Errors** [`OutOfRoom`], the chamber that runs out first.
    pub fn new(
        travel: N,
        coil: Option<Coil<N>>,
        chambers: Vec<Chamber<N>>,
        atmosphere: N,
    ) -> Result<Self, OutOfRoom<N>> {
        let rooms = chambers.iter().enumerate().filter_map(|(index, chamber)| {
            let at = chamber.room()?;
            (at.value() * SQUEEZED_TO <= travel.value()).then_some(OutOfRoom { chamber: index, at })
        });
        match rooms.min_by(|one, other| one.at.value().total_cmp(&other.at.value())) {
            Some(short) => Err(short),
            None => Ok(Fork { travel, coil, chambers, atmosphere }),
        }
    }

    fn plain(&self) -> Fork<f64> {
        Fork {
            travel: self.travel.value(),
            coil: self.coil.map(|coil| Coil { rate: coil.rate.value(), preload: coil.preload.value() }),
            chambers: self.chambers.iter().map(Chamber::plain).collect(),
            atmosphere: self.atmosphere.value(),
        }
    }

    pub fn chambers(&self) -> &[Chamber<N>] {
        &self.chambers
    }

    /// m.
    pub fn travel(&self) -> N {
        self.travel
    }

    /// 0, ¼, ½, ¾ and all of the travel, m.
    pub fn quarters(&self) -> [N; 5] {
        [0.0, 0.25, 0.5, 0.75, 1.0].map(|share| self.travel * share)
    }

    /// The sum over the coils and each chamber.
    fn sum(&self, coil: impl Fn(Coil<N>) -> N, chamber: impl Fn(&Chamber<N>) -> N) -> N {
        let coils = self.coil.map_or(N::constant(0.0), coil);
        self.chambers.iter().map(chamber).fold(coils, |sum, part| sum + part)
    }

    /// Force along the fork, resisting compression positive.
    ///
    /// **Units** m; N. **Domain** travel from 0 to the end; exponent 1 (slow) to 1.4 (fast).
    ///
    /// **Source** `k (x + q)` and each [`Chamber::force`].
    pub fn force(&self, travel: N, exponent: N) -> N {
        self.sum(
            |coil| coil.rate * (travel + coil.preload),
            |chamber| chamber.force(travel, exponent, self.atmosphere),
        )
    }

    /// Stiffness along the fork.
    ///
    /// **Units** m; N/m. **Source** derivative of [`force`](Self::force).
    pub fn stiffness(&self, travel: N, exponent: N) -> N {
        self.sum(|coil| coil.rate, |chamber| chamber.stiffness(travel, exponent, self.atmosphere))
    }

    /// Stiffness along the fork for quick strokes about a travel where the air has settled.
    ///
    /// **Units** m; N/m. **Source** [`Chamber::riding_stiffness`].
    pub fn riding_stiffness(&self, travel: N, exponent: N) -> N {
        self.sum(|coil| coil.rate, |chamber| chamber.riding_stiffness(travel, exponent, self.atmosphere))
    }

    /// Energy absorbed from full extension to a travel.
    ///
    /// **Units** m; J. **Source** the integral of [`force`](Self::force), each part in closed form.
    pub fn energy(&self, travel: N, exponent: N) -> N {
        self.sum(
            |coil| coil.rate * travel * (travel * 0.5 + coil.preload),
            |chamber| chamber.energy(travel, exponent, self.atmosphere),
        )
    }

    /// Gauge pressure of each chamber at a travel, Pa.
    pub fn pressures(&self, travel: N, exponent: N) -> Vec<N> {
        self.chambers.iter().map(|chamber| chamber.pressure_at(travel, exponent, self.atmosphere)).collect()
    }

    /// Where it comes to rest under a load along the fork, with its air settled.
    ///
    /// Every part makes a fork stiffer, so there is only one such place.
    ///
    /// **Units** N. **Errors** [`Unsettled::NotANumber`].
    ///
    /// **Source** equilibrium with n = 1: air and legs are at one temperature after a minute.
    pub fn rest(&self, load: N) -> Result<Rest<N>, Unsettled> {
        let plain = self.plain();
        settle(
            load,
            self.travel,
            |place| plain.force(place, 1.0),
            |place| plain.stiffness(place, 1.0),
            |place| self.force(place, N::constant(1.0)),
        )
    }

    /// Whether it extends fully whatever hangs on it: pushed out by its springs at full extension.
    ///
    /// **Source** [`force`](Self::force) with n = 1, as for [`rest`](Self::rest).
    pub fn extends_fully(&self) -> bool {
        self.plain().force(0.0, 1.0) >= 0.0
    }

    /// How it hangs with the wheel off the ground, pulled by the unsprung weight along the fork.
    ///
    /// [`Rest::ToppedOut`] is a fork that extends fully; one that floats is held down by its negative
    /// chamber, and its sag counts from there.
    ///
    /// **Units** N. **Errors** as [`rest`](Self::rest).
    pub fn hang(&self, unsprung_along_fork: N) -> Result<Rest<N>, Unsettled> {
        self.rest(-unsprung_along_fork)
    }

    /// Where along a common `travel` the forces of two forks differ most, m.
    ///
    /// **Units** m. **Source** the ends, and every place where the stiffnesses are equal.
    pub fn largest_difference(&self, other: &Fork<N>, exponent: N, travel: f64) -> f64 {
        let (one, two, exponent) = (self.plain(), other.plain(), exponent.value());
        let gap = |place: f64| (two.force(place, exponent) - one.force(place, exponent)).abs();
        let slope = |place: f64| two.stiffness(place, exponent) - one.stiffness(place, exponent);
        let place = |step: u32| travel * f64::from(step) / f64::from(COMPARE_STEPS);
        let turns = (0..COMPARE_STEPS).filter_map(|step| solve::root(slope, place(step), place(step + 1)));
        turns.chain([travel]).fold(0.0, |most, here| if gap(here) > gap(most) { here } else { most })
    }
}

/// Vertical rate at the front wheel, from the stiffness along the fork.
///
/// **Units** N/m, rad. **Domain** rake within ±π/2.
///
/// **Source** `z = x cos ε` and `Fw = F / cos ε`: `F′ / cos² ε`.
pub fn wheel_rate<N: Number>(along_fork: N, rake: N) -> N {
    along_fork / rake.cos().squared()
}

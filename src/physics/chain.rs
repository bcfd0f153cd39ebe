//! Chains and sprockets: pitch circles, the number of links, the place of the axle.
//!
//! Teeth, links and pitches are exact. The links lie on chords, so a sprocket carries one link a tooth.

use std::f64::consts::PI;

use super::{Number, Point, angle, solve};

/// A chain on two sprockets.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Chain {
    /// Between the pins, m.
    pub pitch: f64,
    pub front_teeth: u32,
    pub rear_teeth: u32,
}

/// Pitch of a chain by its designation; `None` for one that is not in the standard.
///
/// **Units** m. **Source** ISO 10190:2008: 5/8 in for 520, 525, 530, 1/2 in for 415, 420, 428.
pub fn pitch(designation: &str) -> Option<f64> {
    match designation {
        "520" | "525" | "530" => Some(0.015_875),
        "415" | "420" | "428" => Some(0.0127),
        _ => None,
    }
}

/// Radius of the circle through the pins on a sprocket.
///
/// **Units** m. **Domain** two teeth or more. **Source** ISO 606: `P / (2 sin(π/N))`.
pub fn pitch_radius(pitch: f64, teeth: u32) -> f64 {
    pitch / (2.0 * libm::sin(PI / f64::from(teeth)))
}

impl Chain {
    /// Turns of the front sprocket for one of the rear.
    pub fn final_ratio(&self) -> f64 {
        f64::from(self.rear_teeth) / f64::from(self.front_teeth)
    }

    /// Pitch radius of the front sprocket, m.
    pub fn front_radius(&self) -> f64 {
        pitch_radius(self.pitch, self.front_teeth)
    }

    /// Pitch radius of the rear sprocket, m.
    pub fn rear_radius(&self) -> f64 {
        pitch_radius(self.pitch, self.rear_teeth)
    }

    /// Links of a taut chain, not a whole number as a rule; `None` where the sprockets overlap.
    ///
    /// With the radius that N links make, `ρ = NP/2π` (the mean of the toothed polygon over its turn),
    /// and `α = asin((ρ2 − ρ1)/C)`: `2C cos α / P + N2 (π + 2α)/2π + N1 (π − 2α)/2π`.
    ///
    /// **Units** m.
    ///
    /// **Source** geometry of two circles and their outer tangents; agrees with the hull of the two pin
    /// polygons, averaged over their turn, to 1.4 × 10⁻⁵ link.
    pub fn links<N: Number>(&self, centres: N) -> Option<N> {
        let (front, rear) = (f64::from(self.front_teeth), f64::from(self.rear_teeth));
        let taper = N::constant((rear - front) * self.pitch / (2.0 * PI)) / centres;
        let lean = angle::of_sine(taper)?;
        let runs = centres * lean.cos() * 2.0 / self.pitch;
        Some(runs + (rear + front) / 2.0 + lean * ((rear - front) / PI))
    }

    /// Distance between the centres at which a chain of this many links is taut.
    ///
    /// `None` for a chain too short to go round both sprockets without their overlapping.
    ///
    /// **Units** m. **Source** [`links`](Self::links), solved.
    pub fn centres(&self, links: u32) -> Option<f64> {
        let (front, rear) = (f64::from(self.front_teeth), f64::from(self.rear_teeth));
        let nearest = (self.front_radius() + self.rear_radius()).max(f64::MIN_POSITIVE);
        // The two runs alone are never longer than the whole chain.
        let farthest = f64::from(links) * self.pitch;
        if front < 2.0 || rear < 2.0 {
            return None;
        }
        let spare = |centres: f64| self.links(centres).map_or(f64::NAN, |needed| needed - f64::from(links));
        solve::root(spare, nearest, farthest)
    }

    /// From the swingarm pivot to the axle, with the chain just taut where it is tightest.
    ///
    /// That is with countershaft, pivot and axle in line, or at the end of `droops` nearest to that where the
    /// travel stops short. `countershaft` counts from the pivot, forward and up in the chassis. `droops` are
    /// the swingarm's droops in the chassis, bottomed and fully extended.
    ///
    /// Slack and wear are left out: only the difference of two places has a meaning.
    ///
    /// **Units** m, rad.
    ///
    /// **Source** cosine rule in the triangle of countershaft, pivot and axle: in line
    /// `L = C − |Cs − P|`.
    pub fn axle_place<N: Number>(
        &self,
        links: u32,
        countershaft: Point<N>,
        droops: Option<(N, N)>,
    ) -> Option<N> {
        let centres = self.centres(links)?;
        let pivot = Point { x: N::constant(0.0), y: N::constant(0.0) };
        let arm = pivot.distance(countershaft);
        if arm.value() == 0.0 {
            return Some(N::constant(centres));
        }
        let in_line = pivot.direction(countershaft);
        let end = droops.and_then(|(bottomed, extended)| {
            let short_of_it = in_line.value() < bottomed.value();
            let past_it = in_line.value() > extended.value();
            if short_of_it { Some(bottomed) } else { past_it.then_some(extended) }
        });
        let Some(end) = end else {
            return Some(-(arm - centres));
        };
        let bend = in_line - end;
        let across = arm * bend.sin();
        let along = arm * bend.cos();
        let square = -(across.squared() - centres * centres);
        (square.value() > 0.0).then(|| square.sqrt() - along)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const CHAIN: Chain = Chain { pitch: 0.015_875, front_teeth: 13, rear_teeth: 50 };

    #[test]
    fn a_chain_that_cannot_go_round_has_no_place() {
        assert_eq!(CHAIN.centres(20), None);
        assert_eq!(Chain { front_teeth: 0, ..CHAIN }.centres(116), None);
    }

    #[test]
    fn travel_that_stops_short_lets_the_axle_further_back() {
        let countershaft = Point { x: 0.072, y: 0.014 };
        let in_line = libm::atan2(0.014, 0.072);
        let place = |droops| CHAIN.axle_place(116, countershaft, droops).unwrap();
        let tightest = place(None);
        assert_eq!(place(Some((in_line - 0.3, in_line + 0.3))), tightest);
        let short = place(Some((in_line + 0.1, in_line + 0.5)));
        assert!(short > tightest);
        // The chain is taut there: the axle is as far from the countershaft as the links reach.
        let droop = in_line + 0.1;
        let axle = Point { x: -short * libm::cos(droop), y: -short * libm::sin(droop) };
        assert!((axle.distance(countershaft) - CHAIN.centres(116).unwrap()).abs() < 1e-14);
    }
}

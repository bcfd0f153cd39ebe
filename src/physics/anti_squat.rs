//! How much of the squat under power the chain and the swingarm hold up.

use super::{Attitude, Number, Point, angle};

/// Chain line and swingarm on the ground, the rear contact at the origin.
#[derive(Clone, Copy, Debug)]
pub struct ChainLine<N> {
    /// The swingarm pivot.
    pub pivot: Point<N>,
    /// The rear axle, above the contact.
    pub rear_axle: Point<N>,
    /// Centre of the front sprocket.
    pub countershaft: Point<N>,
    /// Pitch radius of the front sprocket, m.
    pub front_sprocket: N,
    /// Pitch radius of the rear sprocket, m.
    pub rear_sprocket: N,
}

/// The effect of the chain line under power.
#[derive(Clone, Copy, Debug)]
pub struct AntiSquat<N> {
    /// A share of one; above one the rear rises under power.
    pub share: N,
    /// Of the line from the rear contact to the instant centre, rad.
    pub squat_angle: N,
}

impl<N: Number> ChainLine<N> {
    /// The chain line of an attitude.
    ///
    /// `countershaft` counts from the swingarm pivot, forward and up in chassis coordinates.
    pub fn of(attitude: &Attitude<N>, countershaft: Point<N>, front_sprocket: N, rear_sprocket: N) -> Self {
        ChainLine {
            pivot: attitude.on_ground(attitude.pivot),
            rear_axle: attitude.on_ground(attitude.rear_axle),
            countershaft: attitude.on_ground(attitude.pivot.offset(countershaft.x, countershaft.y)),
            front_sprocket,
            rear_sprocket,
        }
    }

    /// Anti-squat of this line; `None` where the sprockets overlap.
    ///
    /// The upper run `T + λ t` and the swingarm line `R + μ w` meet at the instant centre A. As T is
    /// `rr` from R square to t, `μ = −rr / (w × t)`; the tangent of the squat angle, A's height over
    /// its distance from the contact, is then `(rr w_y − R_y (w × t)) / (rr w_x)`. Parallel lines,
    /// `w × t = 0`, need no case of their own.
    ///
    /// **Units** m; `centre_of_gravity` is its height, rider included. **Domain** a swingarm that is not
    /// upright.
    ///
    /// **Source** V. Cossalter, *Motorcycle Dynamics*, ch. 6 (squat ratio); T. Foale, *Motorcycle
    /// Handling and Chassis Design* (percentage): `tan σ / (h_G / p)`.
    pub fn anti_squat(&self, centre_of_gravity: N, wheelbase: N) -> Option<AntiSquat<N>> {
        let apart = self.rear_axle.distance(self.countershaft);
        let taper = (self.rear_sprocket - self.front_sprocket) / apart;
        // The upper tangent leans down towards the smaller sprocket.
        let run = self.rear_axle.direction(self.countershaft) - angle::of_sine(taper)?;
        let along = Point { x: self.pivot.x - self.rear_axle.x, y: self.pivot.y - self.rear_axle.y };
        let crossing = along.x * run.sin() - along.y * run.cos();
        let tangent =
            (self.rear_sprocket * along.y - self.rear_axle.y * crossing) / (self.rear_sprocket * along.x);
        Some(AntiSquat { share: tangent * wheelbase / centre_of_gravity, squat_angle: tangent.atan() })
    }
}

//! The machine's attitude: rake, trail, wheelbase and droop of any set-up.
//!
//! A planar rigid chassis on flat ground. Everything is in closed form, so no solver is needed. Anti-squat is
//! in `anti_squat`. What was measured and what is assumed is the caller's concern.
//!
//! The *reference attitude* is the one for which the machine's published or measured numbers hold. Its rear
//! contact point is the origin of chassis coordinates; x points forward, y up.

use super::{Number, Point, angle};

/// The machine in its reference attitude.
#[derive(Clone, Copy, Debug)]
pub struct Reference<N> {
    /// Angle of the steering axis from the vertical, rad.
    pub rake: N,
    /// Between the contact points, m.
    pub wheelbase: N,
    /// Radius of the front tyre, m.
    pub front_radius: N,
    /// Radius of the rear tyre, m.
    pub rear_radius: N,
    /// From the steering axis to the front axle, square to the axis, m.
    pub offset: N,
    /// How far the tubes project above the upper clamp, m.
    pub fork_height: N,
    /// Along the fork, m.
    pub front_sag: N,
    /// Vertical, m.
    pub rear_sag: N,
    /// From the pivot to the rear axle, m.
    pub swingarm: N,
    /// Of the swingarm pivot above the ground, m.
    pub pivot_height: N,
}

/// What a rider or a mechanic sets, with the names of the reference.
#[derive(Clone, Copy, Debug)]
pub struct Setup<N> {
    pub front_radius: N,
    pub rear_radius: N,
    pub offset: N,
    pub fork_height: N,
    pub front_sag: N,
    /// At the reference swingarm length. A reading taken with the axle further back counts for less, see
    /// [`sag_at_reference_length`].
    pub rear_sag: N,
    /// How far the rear axle is moved back along the swingarm, m.
    pub axle_move: N,
}

/// Why a set-up is impossible.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Impossible {
    /// The swingarm does not reach from its pivot to the height of the rear axle.
    SwingarmTooShort,
    /// The axles are nearer to each other than the difference of their radii.
    WheelsOverlap,
}

impl<N: Number> Reference<N> {
    /// The set-up of the reference attitude itself.
    pub fn setup(&self) -> Setup<N> {
        Setup {
            front_radius: self.front_radius,
            rear_radius: self.rear_radius,
            offset: self.offset,
            fork_height: self.fork_height,
            front_sag: self.front_sag,
            rear_sag: self.rear_sag,
            axle_move: N::constant(0.0),
        }
    }

    /// The swingarm pivot in chassis coordinates.
    pub fn pivot(&self) -> Result<Point<N>, Impossible> {
        let rise = self.pivot_height - self.rear_radius;
        let droop = angle::of_sine(rise / self.swingarm).ok_or(Impossible::SwingarmTooShort)?;
        Ok(Point { x: self.swingarm * droop.cos(), y: self.pivot_height })
    }

    /// The place on the steering axis nearest to the front axle, in chassis coordinates: no setting moves it.
    ///
    /// **Units** m. **Source** definition of the total offset: `F0 − d n`.
    pub fn on_axis(&self) -> Point<N> {
        let axle = Point { x: self.wheelbase, y: self.front_radius };
        axle.offset(-(self.offset * self.rake.cos()), -(self.offset * self.rake.sin()))
    }

    /// Droop of the swingarm in the chassis at a vertical rear sag, downwards from the pivot positive.
    ///
    /// **Units** m; rad. **Domain** a sag that the swingarm reaches.
    ///
    /// **Source** definition: `sin θ = (hp − Rr0 − (sr − sr0)) / L0`.
    pub fn droop(&self, rear_sag: N) -> Result<N, Impossible> {
        let sine = (self.pivot_height - self.rear_radius - (rear_sag - self.rear_sag)) / self.swingarm;
        angle::of_sine(sine).ok_or(Impossible::SwingarmTooShort)
    }
}

/// A sag read with the axle further back, as it would read at the reference length.
///
/// **Units** m. **Domain** lengths above zero.
///
/// **Source** similar triangles about the pivot: `s · L0 / L`.
pub fn sag_at_reference_length<N: Number>(reading: N, reference: N, at_reading: N) -> N {
    reading * reference / at_reading
}

/// The attitude of a set-up on the ground.
#[derive(Clone, Copy, Debug)]
pub struct Attitude<N> {
    /// Turn of the chassis from the reference, nose up positive, rad.
    pub pitch: N,
    /// Of the steering axis from the vertical, rad.
    pub rake: N,
    /// From the front contact point to the steering axis, square to the axis, m.
    pub normal_trail: N,
    /// From the front contact point to the steering axis, along the ground, m.
    pub trail: N,
    /// Between the contact points, m.
    pub wheelbase: N,
    /// Of the swingarm from the ground, the axle below the pivot positive, rad.
    pub droop: N,
    /// Of the swingarm pivot above the ground, m.
    pub pivot_height: N,
    /// Wheel flop factor, m.
    pub flop: N,
    /// The rear axle in chassis coordinates.
    pub rear_axle: Point<N>,
    /// The front axle in chassis coordinates.
    pub front_axle: Point<N>,
    /// The swingarm pivot in chassis coordinates.
    pub pivot: Point<N>,
    /// Of the rear tyre, m.
    pub rear_radius: N,
}

impl<N: Number> Attitude<N> {
    /// The attitude of `setup`, with the rear sag counted vertically.
    ///
    /// **Source** V. Cossalter, *Motorcycle Dynamics*, ch. 1; J. Meijaard et al., *Proc. R. Soc. A* 463
    /// (2007) 1955, for rake, trail and their signs.
    pub fn of(reference: &Reference<N>, setup: &Setup<N>) -> Result<Self, Impossible> {
        let droop = reference.droop(setup.rear_sag)?;
        let pivot = reference.pivot()?;
        let length = reference.swingarm + setup.axle_move;
        let rear_axle = pivot.offset(-(length * droop.cos()), -(length * droop.sin()));

        // Raised tubes and sag shorten the fork along the steering axis; clamps move the axle across it.
        let shorter = (setup.fork_height - reference.fork_height) + (setup.front_sag - reference.front_sag);
        let across = setup.offset - reference.offset;
        let (sine, cosine) = (reference.rake.sin(), reference.rake.cos());
        let front_axle = Point {
            x: reference.wheelbase - shorter * sine + across * cosine,
            y: reference.front_radius + shorter * cosine + across * sine,
        };

        let apart = rear_axle.distance(front_axle);
        let rise = (setup.front_radius - setup.rear_radius) / apart;
        // The chassis turns until both tyres touch the ground.
        let on_ground = angle::of_sine(rise).ok_or(Impossible::WheelsOverlap)?;
        let pitch = on_ground - rear_axle.direction(front_axle);
        let rake = reference.rake + pitch;
        let trail = trail(setup.front_radius, rake, setup.offset);
        Ok(Attitude {
            pitch,
            rake,
            normal_trail: normal_trail(setup.front_radius, rake, setup.offset),
            trail,
            wheelbase: apart * on_ground.cos(),
            droop: droop + pitch,
            pivot_height: setup.rear_radius + length * (droop + pitch).sin(),
            flop: flop(trail, rake),
            rear_axle,
            front_axle,
            pivot,
            rear_radius: setup.rear_radius,
        })
    }

    /// Where a place given in chassis coordinates is on the ground; the rear contact is the origin.
    ///
    /// **Units** m.
    pub fn on_ground(&self, place: Point<N>) -> Point<N> {
        let (forward, up) = (place.x - self.rear_axle.x, place.y - self.rear_axle.y);
        let (sine, cosine) = (self.pitch.sin(), self.pitch.cos());
        Point { x: forward * cosine - up * sine, y: self.rear_radius + forward * sine + up * cosine }
    }

    /// Share of the weight on the front wheel, from the centre of gravity in chassis coordinates.
    ///
    /// **Units** m; a share of one. **Source** moments about the rear contact: `x_G / p`.
    pub fn front_share(&self, centre_of_gravity: Point<N>) -> N {
        self.on_ground(centre_of_gravity).x / self.wheelbase
    }
}

/// From the front contact point to the steering axis, square to the axis.
///
/// **Units** m, rad. **Source** V. Cossalter, *Motorcycle Dynamics*, ch. 1: `R sin ε − d`.
pub fn normal_trail<N: Number>(front_radius: N, rake: N, offset: N) -> N {
    front_radius * rake.sin() - offset
}

/// From the front contact point to the steering axis, along the ground.
///
/// **Units** m, rad. **Domain** rake within ±π/2.
///
/// **Source** V. Cossalter, *Motorcycle Dynamics*, ch. 1: `tn / cos ε`.
pub fn trail<N: Number>(front_radius: N, rake: N, offset: N) -> N {
    normal_trail(front_radius, rake, offset) / rake.cos()
}

/// The offset that a published trail implies.
///
/// **Units** m, rad. **Source** [`trail`] turned round: `R sin ε − t cos ε`.
pub fn offset_of_trail<N: Number>(front_radius: N, rake: N, trail: N) -> N {
    front_radius * rake.sin() - trail * rake.cos()
}

/// Wheel flop factor.
///
/// **Units** m, rad. **Source** V. Cossalter, *Motorcycle Dynamics*, ch. 1: `t sin ε cos ε`.
pub fn flop<N: Number>(trail: N, rake: N) -> N {
    trail * rake.sin() * rake.cos()
}

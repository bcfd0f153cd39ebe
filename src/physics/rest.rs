//! Where a suspension comes to rest under a load.

use super::{Number, solve};

/// Where it comes to rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Rest<N> {
    /// Fully extended: it would carry more than the load.
    ToppedOut,
    /// Floating at this travel from full extension, m.
    Floating(N),
    /// At the end of its travel: it carries less than the load.
    Bottomed,
}

impl<N: Number> Rest<N> {
    /// The travel used, of `travel` in all.
    pub fn used(self, travel: N) -> N {
        match self {
            Rest::ToppedOut => N::constant(0.0),
            Rest::Floating(place) => place,
            Rest::Bottomed => travel,
        }
    }

    /// The travel used where it floats: only there a reading shows how stiff the spring is.
    pub fn floating(self) -> Option<N> {
        match self {
            Rest::Floating(place) => Some(place),
            Rest::ToppedOut | Rest::Bottomed => None,
        }
    }
}

/// Why there is no place of rest.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Unsettled {
    /// From this wheel travel on the force falls as the wheel rises, m: the linkage data is unstable.
    Falls { at: f64 },
    /// An input was not a number.
    NotANumber,
}

/// The place where a rising `force` carries `load`.
///
/// `force` and `rate`, its derivative, are called with plain numbers. `recorded` is the same force in recording
/// numbers, called once, at the place found.
pub(super) fn settle<N: Number>(
    load: N,
    travel: N,
    force: impl Fn(f64) -> f64,
    rate: impl Fn(f64) -> f64,
    recorded: impl Fn(N) -> N,
) -> Result<Rest<N>, Unsettled> {
    let (wanted, end) = (load.value(), travel.value());
    if force(0.0) >= wanted {
        return Ok(Rest::ToppedOut);
    }
    if force(end) <= wanted {
        return Ok(Rest::Bottomed);
    }
    let place = solve::root(|place| force(place) - wanted, 0.0, end).ok_or(Unsettled::NotANumber)?;
    let slope = rate(place);
    if slope > 0.0 {
        Ok(Rest::Floating(solve::implicit(place, recorded(N::constant(place)) - load, slope)))
    } else {
        Err(Unsettled::Falls { at: place })
    }
}

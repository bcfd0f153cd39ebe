//! Tyre radii.

use crate::physics::{Number, tyres};
use crate::speech::say;
use crate::vocabulary::End;
use crate::vocabulary::blocks::Wheel;

use super::bench::{Bench, Got, Origin, Part, cannot, missing_at};
use super::recorder::Recorder;

impl<R: Recorder> Bench<'_, R> {
    /// Radius of a tyre, in m: loaded radius, else rollout, else from the code.
    pub(super) fn radius(&self, end: End) -> Got<R::Number> {
        self.part(Part::Radius(end), |bench| {
            let machine = bench.machine()?;
            let wheel = machine.wheel(end).ok_or_else(|| missing_at("wheel", end, Wheel::tyre, "machine"))?;
            let origin = |key| Origin { header: &wheel.header, key };
            if let Some(radius) = &wheel.loaded_radius {
                return Ok(bench.given(radius, origin(Wheel::loaded_radius)));
            }
            if let Some(rollout) = &wheel.rollout {
                return Ok(tyres::radius_of_rollout(bench.given(rollout, origin(Wheel::rollout))));
            }
            let code = wheel.tyre.as_ref().ok_or_else(|| missing_at("wheel", end, Wheel::tyre, "machine"))?;
            let size = tyres::TyreCode::parse(&code.text).ok_or_else(|| {
                cannot(say!("`{code}` is not a tyre size such as `80/100-21`", code = code.text))
            })?;
            bench.rests_on(code.span);
            Ok(R::Number::constant(size.free_radius()))
        })
    }
}

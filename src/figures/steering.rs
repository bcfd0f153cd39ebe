//! Bars and head bearing.

use crate::book::readings::Tool;
use crate::physics::{Number, steering};
use crate::vocabulary::Setting;
use crate::vocabulary::blocks::Steering;

use super::bench::{Bench, Got, Origin, missing};
use super::recorder::Recorder;

impl<R: Recorder> Bench<'_, R> {
    /// Overall bar width, in m: as set, or the standard bar less what was cut off each side.
    fn bar_width(&self) -> Got<R::Number> {
        let width = self.here.state.setting(Setting::BARS_WIDTH);
        let cut = self.here.state.setting(Setting::BARS_CUT);
        match (width, cut) {
            // The later of the two says how wide the bar is now.
            (Some(width), Some(cut)) if cut.place > width.place => self.width_after_cut(),
            (Some(_), _) => self.setting(Setting::BARS_WIDTH),
            (None, Some(_)) => self.width_after_cut(),
            (None, None) => Err(missing("settings", Setting::BARS_WIDTH.as_str(), "day")),
        }
    }

    fn width_after_cut(&self) -> Got<R::Number> {
        let standard = self.standard(Setting::BARS_WIDTH)?;
        let cut = self.setting(Setting::BARS_CUT)?;
        let cut_before = self.standard(Setting::BARS_CUT).unwrap_or_else(|_| R::Number::constant(0.0));
        Ok(steering::width_after_cut(standard, cut - cut_before))
    }

    /// Steering torque for the same hand force, against the standard bar: a ratio less one.
    pub(super) fn bars_torque_change(&self) -> Got<R::Number> {
        Ok(steering::torque_ratio(self.bar_width()?, self.standard(Setting::BARS_WIDTH)?) - 1.0)
    }

    /// Pull times radius, in N m.
    pub(super) fn breakaway(&self) -> Got<R::Number> {
        let block = self.here.state.steering().ok_or_else(|| missing("steering", Steering::pull, "day"))?;
        let pull = block.pull.as_ref().ok_or_else(|| missing("steering", Steering::pull, "day"))?;
        let radius = block.radius.as_ref().ok_or_else(|| missing("steering", Steering::radius, "day"))?;
        let origin = |key| Origin { header: &block.header, key };
        let with = self.here.book.read_with(Tool::PullScale, None);
        let pull = self.reading(pull, origin(Steering::pull), with)?;
        Ok(steering::breakaway_torque(pull, self.given(radius, origin(Steering::radius))))
    }
}

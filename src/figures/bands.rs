//! What the machine's bands say, for figures that need an aim.

use crate::vocabulary::blocks::BandBlock;
use crate::vocabulary::values::Band;

use super::bench::Bench;
use super::recorder::Recorder;

impl<'a, R: Recorder> Bench<'a, R> {
    /// The machine's band for a name.
    pub fn band(&self, name: &str) -> Option<&'a Band> {
        let blocks = self.here.machine?.all::<BandBlock>();
        blocks.flat_map(|block| &block.others.bands).rfind(|band| band.name == name)
    }

    /// The aim of a band, in the SI base unit: written, or the middle of what is within.
    pub(super) fn aim(&self, name: &str) -> Option<f64> {
        let band = self.band(name)?;
        match (&band.aim, self.within(name)) {
            (Some(aim), _) => {
                self.rests_on(aim.span);
                Some(aim.value())
            }
            (None, within) => within.map(|(low, high)| 0.5 * (low + high)),
        }
    }

    /// Both ends of a band, in the SI base unit; `None` where one is open.
    pub(super) fn within(&self, name: &str) -> Option<(f64, f64)> {
        let within = self.band(name)?.within?;
        self.rests_on(within.span);
        Some((within.low?.value, within.high?.value))
    }
}

//! Charts: from their data to shapes in points.
//!
//! A chart's TOML, with every key that it knows:
//!
//! ```toml
//! title = "Fork force"
//! description = "…"                 # for those who cannot see it; the title and curves unless given
//! height = 50                       # millimetres, from 20 to 120
//! x = { name = "travel", unit = "mm", from = 0, to = 300 }    # a range is found if none is given
//! y = { name = "force", unit = "N" }
//! # x may carry its own ticks, for dates: ticks = [{ at = 0, text = "2 May" }]
//! band = [{ low = 95, high = 105, name = "target" }]          # a tint across, edge values written
//! zone = [{ from = 65, to = 75, name = "rider 65 to 75 mm" }]  # a tint from foot to top, its name above
//! curve = [{ name = "now", points = [[0, 80], [300, 1900]] },
//!          { name = "last", style = "dashed", points = [] }]  # solid, dashed, dotted, points
//! # `errors = [2, 2]` beside `points` draws what each may be off by as a bar
//! mark = [{ x = 120, name = "springs" }, { x = 40, y = 300, name = "here" }]
//! ```

use crate::speech::say;

use super::picture::Weight;
pub use crate::pages::chart::{Axis, Chart, Curve, Mark, Style, Tick, Tint, Zone};

mod band;
mod draw;
mod scale;

pub use band::Band;

/// Labels of charts, in points.
const SMALL: f64 = 7.5;

/// Measures text: its width in points at a size and weight. Only the back ends know fonts.
pub type Measure<'m> = dyn Fn(&str, f64, Weight) -> f64 + 'm;

impl Chart {
    /// Why the chart cannot be drawn, if it cannot.
    pub(super) fn check(&self) -> Result<(), String> {
        let numbers = self
            .curves
            .iter()
            .flat_map(|curve| curve.points.iter().flat_map(|(x, y)| [*x, *y]))
            .chain(self.curves.iter().flat_map(|curve| curve.errors.iter().copied()))
            .chain(self.marks.iter().flat_map(|mark| [Some(mark.x), mark.y]).flatten())
            .chain(self.bands.iter().flat_map(|band| [band.low, band.high]))
            .chain(self.zones.iter().flat_map(|zone| [zone.from, zone.to]))
            .chain([self.x.from, self.x.to, self.y.from, self.y.to].into_iter().flatten())
            .chain(self.x.ticks.iter().chain(&self.y.ticks).map(|tick| tick.at));
        // Beyond this, the room between two numbers is no longer the paper's.
        if numbers.into_iter().any(|number| !number.is_finite() || number.abs() > 1e12) {
            return Err("a chart's numbers must be finite".to_owned());
        }
        if self.height.is_some_and(|height| !(20.0..=120.0).contains(&height)) {
            return Err("a chart is from 20 to 120 millimetres high".to_owned());
        }
        for axis in [&self.x, &self.y] {
            if let (Some(from), Some(to)) = (axis.from, axis.to)
                && from >= to
            {
                return Err(format!("the axis `{}` must begin below its end", axis.name));
            }
        }
        Ok(())
    }

    /// What the chart shows, in words.
    pub fn words(&self) -> String {
        if let Some(words) = &self.description {
            return words.clone();
        }
        let names: Vec<&str> = self.curves.iter().map(|curve| curve.name.as_str()).collect();
        self.tongue.say(&say!(
            "{title}: {y} over {x}. {curves}",
            title = self.title,
            y = self.y.name,
            x = self.x.name,
            curves = names.join(", "),
        ))
    }
}

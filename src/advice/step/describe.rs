//! A step in general, for the list of steps.

use crate::advice::make::{ChamberRole, Make, SagTo};
use crate::quantity::{Quantity, Way};
use crate::speech::say;

use super::{Weigher, shown_size};

impl Weigher<'_> {
    /// The step in general, for the list of steps.
    pub(super) fn describe(&self, make: &Make) -> String {
        let units = &self.scene.units;
        let sized = |size: &Quantity, way: Way| match way {
            Way::Plus => format!("+{}", shown_size(size, units)),
            Way::Minus => format!("\u{2212}{}", shown_size(size, units)),
            Way::In => units.say(&say!("{size} in", size = shown_size(size, units))),
            Way::Out => units.say(&say!("{size} out", size = shown_size(size, units))),
            Way::Up => units.say(&say!("{size} up", size = shown_size(size, units))),
            Way::Down => units.say(&say!("{size} down", size = shown_size(size, units))),
        };
        match make {
            Make::Move { setting, by, .. } => {
                let label = units.say(&setting.label());
                let kind = self.scene.base(*setting).map(|base| base.quantity.kind);
                let by = by.iter().find(|by| Some(by.size.kind) == kind).or(by.first());
                by.map_or_else(|| label.clone(), |by| format!("{label} {}", sized(&by.size, by.way)))
            }
            Make::Word { doing, .. } => units.word(doing),
            Make::Chamber { which, by } => {
                let which = match which {
                    ChamberRole::Main | ChamberRole::Every => units.say(&say!("positive chamber")),
                    ChamberRole::Negative => units.say(&say!("negative chamber")),
                };
                format!("{which} {}", sized(&by.size, by.way))
            }
            Make::Balance { .. } => {
                self.scene.say(&say!("negative chamber nearer to equal force at the top"))
            }
            Make::Sag { end, to: SagTo::Aim } => self.scene.say(&say!("{end} rider sag to its aim", end)),
            Make::Sag { end, to: SagTo::More(size) } => {
                self.scene.say(&say!("{end} rider sag {size}", end, size = sized(size, Way::Plus)))
            }
            Make::Sag { end, to: SagTo::Less(size) } => {
                self.scene.say(&say!("{end} rider sag {size}", end, size = sized(size, Way::Minus)))
            }
            Make::Spring { end, is_stiffer: true } => units.say(&say!("stiffer {end} spring", end)),
            Make::Spring { end, is_stiffer: false } => units.say(&say!("softer {end} spring", end)),
            Make::Fuelling { is_richer: true } => units.say(&say!("fuelling richer")),
            Make::Fuelling { is_richer: false } => units.say(&say!("fuelling leaner")),
            Make::Jet => self.scene.say(&say!("main jet for the day's air")),
        }
    }
}

//! A step in general, for the list of steps.

use crate::advice::data::{ChamberRole, Make, SagTo};
use crate::quantity::{Quantity, Way};
use crate::vocabulary::settings;

use super::{Weigher, shown_size};

impl Weigher<'_> {
    /// The step in general, for the list of steps.
    pub(super) fn describe(&self, make: &Make) -> String {
        let units = &self.scene.units;
        let sized = |size: &Quantity, way: Way| match way {
            Way::Plus => format!("+{}", shown_size(size, units)),
            Way::Minus => format!("\u{2212}{}", shown_size(size, units)),
            way => format!("{} {}", shown_size(size, units), way.word()),
        };
        match make {
            Make::Move { setting, by, .. } => {
                let label = settings::row(setting)
                    .map_or_else(|| setting.clone(), |row| units.say(&row.label_for(setting)));
                let kind = self.scene.base(setting).map(|base| base.quantity.kind);
                let by = by.iter().find(|by| Some(by.size.kind) == kind).or(by.first());
                by.map_or_else(|| label.clone(), |by| format!("{label} {}", sized(&by.size, by.way)))
            }
            Make::Word { doing, .. } => doing.clone(),
            Make::Chamber { which, by } => {
                let which = match which {
                    ChamberRole::Main | ChamberRole::Every => "positive chamber",
                    ChamberRole::Negative => "negative chamber",
                };
                format!("{which} {}", sized(&by.size, by.way))
            }
            Make::Balance { .. } => "negative chamber nearer to equal force at the top".to_owned(),
            Make::Sag { end, to: SagTo::Aim } => format!("{end} rider sag to its aim"),
            Make::Sag { end, to: SagTo::More(size) } => format!("{end} rider sag {}", sized(size, Way::Plus)),
            Make::Sag { end, to: SagTo::Less(size) } => {
                format!("{end} rider sag {}", sized(size, Way::Minus))
            }
            Make::Spring { end, is_stiffer } => {
                format!("{} {end} spring", if *is_stiffer { "stiffer" } else { "softer" })
            }
            Make::Fuelling { is_richer } => {
                format!("fuelling {}", if *is_richer { "richer" } else { "leaner" })
            }
            Make::Jet => "main jet for the day's air".to_owned(),
        }
    }
}

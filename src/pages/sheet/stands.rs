//! The machine's attitude, for the page behind the sheet: side view, geometry compared with standard, curves with their
//! bands.

use serde::Serialize;

use crate::figures::{Bench, Recorder};
use crate::vocabulary::figures;

use super::super::side_view::{SideView, side_view};
use super::makes::{Tile, tile};
use super::{Desk, ForceChart, LeverageChart, curves};

/// The figures shown, each with its difference from the standard setting.
const TOLD: [(&str, &str); 9] = [
    (figures::RAKE, figures::CHANGE_RAKE),
    (figures::TRAIL, figures::CHANGE_TRAIL),
    (figures::NORMAL_TRAIL, figures::CHANGE_NORMAL_TRAIL),
    (figures::WHEELBASE, figures::CHANGE_WHEELBASE),
    (figures::PITCH, figures::CHANGE_PITCH),
    (figures::DROOP, figures::CHANGE_DROOP),
    (figures::PIVOT_HEIGHT, figures::CHANGE_PIVOT_HEIGHT),
    (figures::ANTI_SQUAT, figures::CHANGE_ANTI_SQUAT),
    (figures::FRONT_SHARE, figures::CHANGE_FRONT_SHARE),
];

/// The page behind the sheet.
#[derive(Debug, Clone, PartialEq, Serialize)]
pub struct HowItStands {
    pub side_view: Option<SideView>,
    /// What the side view needs, where it cannot be drawn.
    pub wanted: Option<String>,
    /// The figures with a value.
    pub geometry: Vec<Tile>,
    pub force: Option<ForceChart>,
    pub leverage: Option<LeverageChart>,
}

/// `None` where there is nothing to show.
pub(super) fn how_it_stands<R: Recorder>(
    desk: &Desk<'_>,
    bench: &Bench<'_, R>,
    force: Option<&ForceChart>,
) -> Option<HowItStands> {
    let (side_view, wanted) = match side_view(bench, desk.say) {
        Ok(view) => (Some(view), None),
        Err(wanted) => (None, Some(wanted)),
    };
    let leverage = curves::leverage(desk, bench);
    if side_view.is_none() && (force.is_none() || leverage.is_none()) {
        return None;
    }
    let geometry = TOLD.map(|(name, change)| tile(desk, bench, name, Some(change)));
    let geometry = geometry.into_iter().filter(|tile| tile.reading.value.is_some()).collect();
    Some(HowItStands { side_view, wanted, geometry, force: force.cloned(), leverage })
}

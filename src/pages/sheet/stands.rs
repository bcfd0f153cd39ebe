//! The machine's attitude, for the page behind the sheet: side view, geometry compared with standard, curves with their
//! bands.

use serde::Serialize;

use crate::figures::{Bench, Recorder};
use crate::vocabulary::FigureName;

use super::super::side_view::{SideView, side_view};
use super::makes::{Tile, tile};
use super::{Desk, ForceChart, LeverageChart, curves};

/// The figures shown, each with its difference from the standard setting.
const TOLD: [(FigureName, FigureName); 9] = [
    (FigureName::RAKE, FigureName::CHANGE_RAKE),
    (FigureName::TRAIL, FigureName::CHANGE_TRAIL),
    (FigureName::NORMAL_TRAIL, FigureName::CHANGE_NORMAL_TRAIL),
    (FigureName::WHEELBASE, FigureName::CHANGE_WHEELBASE),
    (FigureName::PITCH, FigureName::CHANGE_PITCH),
    (FigureName::DROOP, FigureName::CHANGE_DROOP),
    (FigureName::PIVOT_HEIGHT, FigureName::CHANGE_PIVOT_HEIGHT),
    (FigureName::ANTI_SQUAT, FigureName::CHANGE_ANTI_SQUAT),
    (FigureName::FRONT_SHARE, FigureName::CHANGE_FRONT_SHARE),
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

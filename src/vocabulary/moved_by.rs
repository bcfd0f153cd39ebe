//! Which setting a hand turns for a figure. Common practice, no source.

use super::names::{End, opened};
use super::{figures, settings};

/// What is turned for a figure first: a setting, or a part of the fork that only the machine can name.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MovedBy {
    /// A setting by its name.
    Setting(&'static str),
    /// The setting of one chamber.
    Chamber(String),
    /// The fork's springs: preload of coils, else the strongest of the chambers that push out.
    ForkSpring,
}

/// What moves a figure; `None` for what no one setting is turned for.
pub fn moved_by(figure: &str) -> Option<MovedBy> {
    let is = |pattern: &str| opened(pattern, figure).is_some();
    let any = |patterns: &[&str]| patterns.iter().any(|pattern| is(pattern));
    let sags = [
        figures::SAG_RIDER,
        figures::SAG_RIDER_EXPECTED,
        figures::SAG_RIDER_SHARE,
        figures::WHEEL_RATE,
        figures::WHEEL_FREQUENCY,
    ];
    let of_end = sags.iter().find_map(|pattern| End::from_word(opened(pattern, figure)?));
    if let Some(end) = of_end {
        return Some(match end {
            End::Rear => MovedBy::Setting(settings::SHOCK_PRELOAD),
            End::Front => MovedBy::ForkSpring,
        });
    }
    if let Some(chamber) =
        opened(figures::GATE_CHAMBER, figure).or_else(|| opened(figures::FULL_CHAMBER, figure))
    {
        return Some(MovedBy::Chamber(chamber.to_owned()));
    }
    if any(&[
        figures::RAKE,
        figures::TRAIL,
        figures::NORMAL_TRAIL,
        figures::WHEELBASE,
        figures::PITCH,
        figures::FRONT_SHARE,
        figures::FLOP,
        figures::CHANGE_RAKE,
        figures::CHANGE_TRAIL,
        figures::CHANGE_NORMAL_TRAIL,
        figures::CHANGE_WHEELBASE,
        figures::CHANGE_PITCH,
        figures::CHANGE_FRONT_SHARE,
        figures::CHANGE_FLOP,
    ]) {
        return Some(MovedBy::Setting(settings::FORK_HEIGHT));
    }
    if any(&[
        figures::DROOP,
        figures::PIVOT_HEIGHT,
        figures::ANTI_SQUAT,
        figures::BALANCE_SAG,
        figures::BALANCE_FREQUENCY,
        figures::CHANGE_DROOP,
        figures::CHANGE_PIVOT_HEIGHT,
        figures::CHANGE_ANTI_SQUAT,
    ]) {
        return Some(MovedBy::Setting(settings::SHOCK_PRELOAD));
    }
    if any(&[figures::FORK_FORCE, figures::FORK_SAG_FORCE, figures::FORK_STIFFNESS, figures::FORK_ENERGY]) {
        return Some(MovedBy::ForkSpring);
    }
    if any(&[figures::DRIVE_RATIO, figures::DRIVE_SPEED, figures::DRIVE_LINKS_NEEDED]) {
        return Some(MovedBy::Setting(settings::DRIVE_REAR));
    }
    if is(figures::DRIVE_AXLE_MOVE) {
        return Some(MovedBy::Setting(settings::DRIVE_LINKS));
    }
    is(figures::BARS_TORQUE_CHANGE).then_some(MovedBy::Setting(settings::BARS_WIDTH))
}

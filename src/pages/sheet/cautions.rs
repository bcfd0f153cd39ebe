//! Cautions that belong to what a sheet asks for, in plain words.
//!
//! Common practice, no source. They never replace the machine's manual, and say so.

use crate::speech::{Message, say};
use crate::vocabulary::{blocks, figures, names, settings};

use super::super::say::Say;
use super::Desk;
use super::looks::Look;
use super::settings::ToSet;

/// What can hurt somebody.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::pages) enum Caution {
    Air,
    Nitrogen,
    Stand,
    Preload,
    ForkHeight,
    Steering,
    Chain,
    Fuelling,
    AfterAChange,
    Always,
}

impl Caution {
    /// In plain words.
    pub fn told(self) -> Message {
        match self {
            Self::Air => say!(
                "High-pressure air: hand pump, front wheel off the ground, fork fully out, within the limit marked on the leg or in the manual, face clear of the valve. Where the manual gives no order, fill positive before negative and release negative before positive. Release all pressure before taking anything apart."
            ),
            Self::Nitrogen => say!("Nitrogen is never opened or filled without training."),
            Self::Stand => say!("On the stand: a rated stand, and a second person for sag."),
            Self::Preload => say!("Preload: clean threads, lock ring tight after."),
            Self::ForkHeight => say!(
                "Fork height: both tubes equal, within their marks, clamps to the manual's torque; tyre, guard and hoses clear at full travel."
            ),
            Self::Steering => say!(
                "Steering: never past the manual's torque or pull; no notch, no play, free from lock to lock."
            ),
            Self::Chain => say!(
                "Chain: engine off, fingers clear; free play from the manual, checked where countershaft, pivot and axle are in line."
            ),
            Self::Fuelling => say!(
                "Fuelling and jets: running lean can seize or burn an engine. Work on a cold engine, in fresh air."
            ),
            Self::AfterAChange => say!(
                "After any change: bolts, brakes pumped, steering from lock to lock, one slow lap, then speed."
            ),
            Self::Always => say!(
                "Young riders: an adult and a qualified mechanic. These figures do not replace the machine's manual, the event's rules or a doctor's advice."
            ),
        }
    }
}

/// What is asked to be done, as far as it can hurt.
struct Asked<'a> {
    /// Names of the settings that are not as they were.
    changed: &'a [&'a str],
    /// Whether a chamber is to be pumped, changed or not.
    has_chambers: bool,
    /// Whether the shock has gas in it.
    is_charged: bool,
    due: &'a [Look],
}

pub(super) fn cautions(desk: &Desk<'_>, to_set: &ToSet, due: &[Look]) -> Vec<String> {
    let changed: Vec<&str> = to_set.changed().map(|line| line.id.as_str()).collect();
    let has_chambers = to_set
        .lines
        .iter()
        .filter_map(|line| settings::row(&line.id))
        .any(|row| row.pattern == settings::CHAMBER);
    let is_charged = desk.machine.and_then(|machine| machine.shock()).is_some_and(is_charged);
    Asked { changed: &changed, has_chambers, is_charged, due }.cautions(desk.say)
}

/// Cautions that belong to changes of settings, by their names.
pub(in crate::pages) fn cautions_of_changes(say: Say<'_>, changed: &[&str]) -> Vec<String> {
    let is_chamber = |name: &&&str| is(settings::CHAMBER, name);
    Asked { changed, has_chambers: changed.iter().any(|name| is_chamber(&name)), is_charged: true, due: &[] }
        .cautions(say)
}

impl Asked<'_> {
    fn cautions(&self, say: Say<'_>) -> Vec<String> {
        let asked = self;
        let turns_preload = asked.changes(&[settings::SHOCK_PRELOAD, settings::FORK_PRELOAD]);
        let springs = asked.changes(&[settings::SHOCK_SPRING, settings::FORK_SPRING, settings::SHOCK_LINK]);
        let measures_sag =
            asked.is_due(|name| [figures::SAG_STATIC, figures::SAG_RIDER].iter().any(|sag| is(sag, name)));
        let steering = asked.changes(&[settings::STEERING_TORQUE])
            || asked.is_due(|name| {
                [figures::STEERING_DROP, figures::STEERING_PULL, figures::STEERING_BREAKAWAY]
                    .iter()
                    .any(|it| is(it, name))
            });
        let chain = asked.changes(&[settings::DRIVE_FRONT, settings::DRIVE_REAR, settings::DRIVE_LINKS])
            || asked.is_due(|name| name == blocks::LOOK_CHAIN);
        let fuelling = asked.changes(&[
            settings::FUELLING,
            settings::EXHAUST,
            settings::JET_MAIN,
            settings::JET_PILOT,
            settings::NEEDLE_CLIP,
            settings::AIR_SCREW,
        ]);
        let fork_height = asked.changes(&[settings::FORK_HEIGHT, settings::CLAMP_OFFSET]);
        let all = [
            (asked.has_chambers, Caution::Air),
            // A spring or a damper taken out brings the gas with it.
            (springs && asked.is_charged, Caution::Nitrogen),
            (turns_preload || springs || measures_sag, Caution::Stand),
            (turns_preload || springs, Caution::Preload),
            (fork_height, Caution::ForkHeight),
            (steering, Caution::Steering),
            (chain, Caution::Chain),
            (fuelling, Caution::Fuelling),
            (!asked.changed.is_empty(), Caution::AfterAChange),
            (true, Caution::Always),
        ];
        all.into_iter()
            .filter(|(belongs, _)| *belongs)
            .map(|(_, caution)| say.text(&caution.told()))
            .collect()
    }
}

fn is_charged(shock: &blocks::Shock) -> bool {
    shock.gas.is_some() || shock.gas_force.is_some()
}

fn is(pattern: &str, name: &str) -> bool {
    names::opened(pattern, name).is_some()
}

impl Asked<'_> {
    /// Whether one of these settings is not as it was.
    fn changes(&self, patterns: &[&str]) -> bool {
        let rows = self.changed.iter().filter_map(|name| settings::row(name));
        rows.into_iter().any(|row| patterns.contains(&row.pattern))
    }

    fn is_due(&self, of: impl Fn(&str) -> bool) -> bool {
        self.due.iter().any(|look| of(&look.name))
    }
}

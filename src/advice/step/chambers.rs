//! Air chambers by their role: which of them a step is for, and the negative one moved towards balance.

use crate::advice::answer::Why;
use crate::advice::data::Step;
use crate::advice::make::{ChamberRole, Make};
use crate::advice::table::By;
use crate::quantity::{Kind, Quantity, Way};
use crate::speech::say;
use crate::vocabulary::blocks::{Chamber, NEGATIVE, POSITIVE};
use crate::vocabulary::{FigureName, Setting};

use super::{Proposal, Weighed, Weigher, skip};

impl Weigher<'_> {
    /// Roles become chambers.
    pub(super) fn made(&self, step: &Step) -> Weighed<Vec<Make>> {
        let Make::Chamber { which, by } = &step.make else { return Ok(vec![step.make.clone()]) };
        let side = if *which == ChamberRole::Negative { NEGATIVE } else { POSITIVE };
        let chambers: Vec<(&str, &Chamber)> = self.scene.chambers(side).collect();
        if chambers.is_empty() {
            return skip(
                Why::NotApplicable,
                self.scene.say(&match *which {
                    ChamberRole::Negative => {
                        say!("the fork has no negative air chamber that is set by itself")
                    }
                    _ => say!("the fork has no positive air chamber that is set by itself"),
                }),
            );
        }
        let to_move = |name: &str| {
            let setting = Setting::CHAMBER.named(name);
            let by = By { size: self.of_its_own(setting, by.size), way: by.way };
            Make::Move { setting, by: vec![by], start: None }
        };
        match which {
            ChamberRole::Every => Ok(chambers.iter().map(|(name, _)| to_move(name)).collect()),
            ChamberRole::Main | ChamberRole::Negative => {
                let push = |(name, chamber): &(&str, &Chamber)| {
                    let area = area(chamber)?;
                    Some(area * self.scene.base(Setting::CHAMBER.named(name))?.quantity.value)
                };
                let strongest =
                    chambers.iter().max_by(|a, b| push(a).unwrap_or(0.0).total_cmp(&push(b).unwrap_or(0.0)));
                Ok(strongest.map(|(name, _)| to_move(name)).into_iter().collect())
            }
        }
    }

    /// A share of a chamber's own pressure, in whole divisions of its gauge, at least one; other sizes stay.
    pub(super) fn of_its_own(&self, name: Setting, size: Quantity) -> Quantity {
        let base = self.scene.base(name).map(|base| base.quantity).filter(|_| size.kind == Kind::Share);
        base.map_or(size, |base| {
            let divisions = (size.value * base.value / base.last_digit).round().max(1.0);
            Quantity { value: divisions * base.last_digit, plus_minus: None, ..base }
        })
    }

    /// The negative chamber, towards equal force at the top.
    pub(super) fn balance(&self, most: Quantity, step: &Step) -> Weighed<Proposal> {
        let scene = self.scene;
        let chamber = scene.chambers(NEGATIVE).next().map(|(name, _)| Setting::CHAMBER.named(name));
        let Some(name) = chamber else {
            return skip(
                Why::NotApplicable,
                self.scene.say(&say!("the fork has no negative air chamber that is set by itself")),
            );
        };
        if scene.base(name).is_none() {
            return skip(
                Why::Unknown,
                self.scene
                    .say(&say!("`{name}` is not on file: write it into `settings`, or measure it", name)),
            );
        }
        let most = self.of_its_own(name, most);
        let top = FigureName::FORK_FORCE.of(0);
        let now = scene.value(scene.state, top);
        let then = scene.value(&scene.state.with_step(name, most), top);
        let (Some(now), Some(then)) = (now, then) else {
            return skip(
                Why::Unknown,
                self.scene.say(&say!(
                    "the force at the top cannot be worked out from the chambers as they are written"
                )),
            );
        };
        if then == now {
            return skip(Why::NoGain, self.scene.say(&say!("it does not move the force at the top")));
        }
        // Force is linear in the pressure.
        let to_balance = -now * most.value / (then - now);
        let wanted = to_balance.clamp(-most.value, most.value);
        if wanted.abs() < 0.5 * most.value {
            return skip(
                Why::InBand,
                self.scene.say(&say!(
                    "the forces at the top are nearly equal: {now} is left",
                    now = scene.shown(Kind::Force, now)
                )),
            );
        }
        let by = By {
            size: Quantity { value: wanted.abs(), ..most },
            way: if wanted > 0.0 { Way::Plus } else { Way::Minus },
        };
        self.moved(name, &[by], None, step)
    }
}

fn area(chamber: &Chamber) -> Option<f64> {
    let bore = chamber.bore.map(|bore| bore.value() * bore.value() * std::f64::consts::FRAC_PI_4);
    chamber.area.map(|area| area.value()).or(bore)
}

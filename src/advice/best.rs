//! The reverse question: which value of one setting gives a figure.
//!
//! The setting moves by its own steps, inside its range and every limit on file, until the models bring the figure as
//! near as possible to the value wanted.

use crate::book::Book;
use crate::quantity::{self, Amount, Kind, Quantity, UnitDefaults, show_change};
use crate::season::{HeldValue, Season, State};
use crate::speech::{Message, say};
use crate::vocabulary::blocks::POSITIVE;
use crate::vocabulary::settings::SettingRow;
use crate::vocabulary::{End, FigureName, MovedBy, Setting};

use super::parts::Advice;
use super::scene::Scene;

/// How many steps are tried of a setting without a range.
const FARTHEST: i32 = 400;
/// A figure that moves by a smaller share than this does not move.
const STILL: f64 = 1e-9;

/// What is wanted.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    pub figure: FigureName,
    /// In the SI base unit of the figure.
    pub value: f64,
    /// The setting to change; where none is named, the usual one for the figure.
    pub by: Option<Setting>,
}

/// The value of the setting that comes nearest.
#[derive(Debug, Clone, PartialEq)]
pub struct Best {
    pub setting: Setting,
    /// The words for a `change`; `None` where it is best left as it is.
    pub write: Option<String>,
    /// The figure that moves with settings: for a sag that was read, the expected one.
    pub figure: FigureName,
    /// The figure it gives, in its SI base unit.
    pub reached: f64,
    /// Whether the value is reached: as near as the steps of the setting allow, or within 1 % with what is on hand.
    pub is_reached: bool,
    /// What stops it, where the value is not reached.
    pub stopped_by: Option<String>,
}

/// Finds one setting for one figure, from the end of a day.
///
/// # Errors
///
/// Why there is no answer, in one line.
pub fn best(
    book: &Book,
    season: &Season,
    advice: &Advice,
    day: usize,
    wanted: &Wanted,
) -> Result<Best, String> {
    let scene = Scene::new(book, season, advice, day, usize::MAX, None)
        .ok_or_else(|| book.about.units.say(&say!("there is no such day")))?;
    let figure = wanted.figure.answering();
    let setting = match wanted.by {
        Some(setting) => setting,
        None => usual(&scene, figure).ok_or_else(|| {
            scene.say(&say!(
                "no one setting is turned for `{figure}`: name one with `--by`",
                figure = wanted.figure
            ))
        })?,
    };
    Search::of(&scene, figure, setting)?.toward(wanted.value)
}

/// The usual setting for a figure on this machine.
fn usual(scene: &Scene<'_>, figure: FigureName) -> Option<Setting> {
    match figure.moved_by()? {
        MovedBy::Setting(name) => Some(name),
        MovedBy::ForkSpring => {
            let pressure = |name: &Setting| scene.base(*name).map_or(0.0, |base| base.quantity.value);
            let chambers = scene.chambers(POSITIVE).map(|(name, _)| Setting::CHAMBER.named(name));
            let strongest = chambers.max_by(|a, b| pressure(a).total_cmp(&pressure(b)));
            Some(strongest.unwrap_or(Setting::FORK_PRELOAD))
        }
    }
}

/// One setting, moved step by step.
struct Search<'s, 'a> {
    scene: &'s Scene<'a>,
    row: &'static SettingRow,
    figure: FigureName,
    setting: Setting,
    base: Quantity,
    steps: Steps,
}

/// The values that a setting can take.
enum Steps {
    /// Multiples of a step, in the SI base unit.
    Grain(f64),
    /// What is on hand, smallest first.
    OnHand(Vec<Quantity>),
}

impl<'s, 'a> Search<'s, 'a> {
    fn of(scene: &'s Scene<'a>, figure: FigureName, setting: Setting) -> Result<Self, String> {
        let row = setting.info();
        let base = scene
            .base(setting)
            .ok_or_else(|| {
                scene.say(&say!(
                    "`{setting}` is not on file: write it into `settings`, or measure it",
                    setting
                ))
            })?
            .quantity;
        let end = End::BOTH.into_iter().find(|end| Setting::spring_of(*end) == setting);
        let on_hand = end.and_then(|end| scene.machine?.springs(end)?.rates.as_ref());
        let steps = match (end, on_hand) {
            (Some(_), Some(rates)) => {
                let mut all: Vec<Quantity> = rates.values.iter().map(|rate| rate.quantity).collect();
                all.sort_by(|a, b| a.value.total_cmp(&b.value));
                Steps::OnHand(all)
            }
            (Some(_), None) => {
                return Err(scene.say(&say!("no springs on hand are on file for `{setting}`", setting)));
            }
            (None, _) => Steps::Grain(grain(scene, setting, &base)),
        };
        Ok(Self { scene, row, figure, setting, base, steps })
    }

    fn toward(&self, target: f64) -> Result<Best, String> {
        let now = self.value(self.scene.state).ok_or_else(|| self.why_not())?;
        let all: Vec<Quantity> = match &self.steps {
            Steps::OnHand(all) => all.clone(),
            Steps::Grain(grain) => return self.walk(now, target, *grain),
        };
        let told = |quantity: &Quantity| {
            let past = self.past(quantity.value).is_none();
            let value = past.then(|| self.value(&self.with(quantity))).flatten()?;
            Some((*quantity, value))
        };
        let nearest =
            all.iter().filter_map(told).min_by(|a, b| (a.1 - target).abs().total_cmp(&(b.1 - target).abs()));
        let (quantity, reached) =
            nearest.ok_or_else(|| self.scene.say(&say!("none of the springs on hand can be worked out")))?;
        let is_same = (quantity.value - self.base.value).abs() < 0.5 * self.base.last_digit;
        let text = format!("{} = \"{}\"", self.setting, crate::quantity::show(&quantity, &self.scene.plain));
        Ok(Best {
            setting: self.setting,
            write: (!is_same).then_some(text),
            figure: self.figure,
            reached,
            is_reached: (reached - target).abs() <= 0.01 * target.abs(),
            stopped_by: Some(self.scene.say(&say!("the springs on hand"))),
        })
    }

    /// Doubles the steps until it is past the value wanted or at an end, then halves the interval.
    fn walk(&self, now: f64, target: f64, grain: f64) -> Result<Best, String> {
        let at = |step: i32| -> Result<f64, String> {
            let quantity = self.stepped(step, grain);
            match self.past(quantity.value) {
                Some(why) => Err(why),
                None => self
                    .value(&self.with(&quantity))
                    .ok_or_else(|| self.scene.say(&say!("the models go no further"))),
            }
        };
        let moved = [1, -1].map(|step| at(step).ok().map(|value| value - now));
        let is_still =
            |moved: &Option<f64>| moved.is_none_or(|by| by.abs() <= STILL * now.abs().max(target.abs()));
        if moved.iter().all(is_still) {
            return Err(match at(1) {
                Err(why) if moved.iter().all(Option::is_none) => why,
                _ => self.scene.say(&say!(
                    "`{setting}` does not move `{figure}`",
                    setting = self.setting,
                    figure = self.figure
                )),
            });
        }
        let rises = moved[0].map_or_else(|| moved[1].is_some_and(|by| by < 0.0), |by| by > 0.0);
        let way = if (target > now) == rises { 1 } else { -1 };
        let is_short = |value: f64| (value - target) * (now - target) > 0.0;
        let (mut near, mut near_value, mut far) = (0, now, None);
        let (mut step, mut stopped_by) = (1, None);
        while far.is_none() && step <= FARTHEST {
            match at(way * step) {
                Ok(value) if is_short(value) => (near, near_value, step) = (step, value, step * 2),
                Ok(value) => far = Some((step, Some(value))),
                Err(why) => {
                    stopped_by = Some(why);
                    far = Some((step, None));
                }
            }
        }
        while let Some((end, _)) = far.filter(|(end, _)| end - near > 1) {
            let middle = near + (end - near) / 2;
            match at(way * middle) {
                Ok(short) if is_short(short) => (near, near_value) = (middle, short),
                Ok(past) => far = Some((middle, Some(past))),
                Err(why) => {
                    stopped_by = Some(why);
                    far = Some((middle, None));
                }
            }
        }
        let past = far.and_then(|(end, value)| Some((end, value?)));
        let (count, reached) = match past {
            Some((end, value)) if (value - target).abs() < (near_value - target).abs() => (end, value),
            _ => (near, near_value),
        };
        let is_reached = past.is_some() || (near_value - target).abs() <= STILL * target.abs();
        let write = (count != 0).then(|| self.written(way * count, grain));
        Ok(Best {
            setting: self.setting,
            write,
            figure: self.figure,
            reached,
            is_reached,
            stopped_by: (!is_reached)
                .then(|| stopped_by.unwrap_or_else(|| self.scene.say(&say!("as far as it was tried")))),
        })
    }

    fn stepped(&self, count: i32, grain: f64) -> Quantity {
        // What is tried is what will be written, to the digit.
        let exact = f64::from(count) * grain;
        let by = self.as_change(exact).map_or(exact, |by| by.value);
        let value = self.base.value + by;
        Quantity { value: if value.abs() < 1e-12 { 0.0 } else { value }, plus_minus: None, ..self.base }
    }

    fn written(&self, count: i32, grain: f64) -> String {
        format!("{} = \"{}\"", self.setting, self.told(f64::from(count) * grain))
    }

    /// A change in the words of a `change`.
    fn told(&self, by: f64) -> String {
        let pitch = pitch(self.scene, self.setting);
        let (kind, by) = pitch.map_or((self.base.kind, by), |pitch| (Kind::Turns, by / pitch));
        show_change(kind, by, &self.scene.plain, self.row.way(true)).to_string().replace('\u{2212}', "-")
    }

    /// What the words of a change amount to, in the SI base unit of the setting.
    fn as_change(&self, by: f64) -> Option<Quantity> {
        let pitch = pitch(self.scene, self.setting);
        let kind = if pitch.is_some() { Kind::Turns } else { self.base.kind };
        let Ok(Amount::By(size, way)) = quantity::amount(&self.told(by), &[kind], &UnitDefaults::default())
        else {
            return None;
        };
        let signed = self.row.direction(way)? * size.value;
        Some(Quantity { value: signed * pitch.unwrap_or(1.0), ..size })
    }

    fn with(&self, quantity: &Quantity) -> State {
        let state = self.scene.state;
        if self.setting.is_pressure() {
            let by = Quantity { value: quantity.value - self.base.value, ..self.base };
            return state.with_step(self.setting, by);
        }
        state.with_setting(self.setting, HeldValue::Quantity(*quantity))
    }

    fn value(&self, state: &State) -> Option<f64> {
        self.scene.value(state, self.figure)
    }

    fn why_not(&self) -> String {
        match self.scene.why_absent(self.scene.state, self.figure) {
            Some(why) => {
                self.scene.say(&say!("`{figure}` cannot be worked out: {why}", figure = self.figure, why))
            }
            None => self.scene.say(&say!("`{figure}` cannot be worked out", figure = self.figure)),
        }
    }

    /// Why a value cannot be set.
    fn past(&self, value: f64) -> Option<String> {
        let scene = self.scene;
        if let Some((bounds, what)) = scene.past(self.setting, value) {
            return Some(scene.say(&say!(
                "{what} is {bounds}",
                what = Message::word(what),
                bounds = scene.shown_bounds(&bounds)
            )));
        }
        if value > self.base.value && scene.has_no_top(self.setting) {
            return Some(scene.say(&say!("limit unknown: read the leg")));
        }
        if let Some(range) = scene.adjuster(self.setting)
            && (value < -1e-9 || value > range.value + 1e-9)
        {
            return Some(
                self.scene
                    .say(&say!("the adjuster has {range}", range = scene.shown(range.kind, range.value))),
            );
        }
        (!self.row.possible.allows(value)).then(|| self.scene.say(&say!("no such value can be set")))
    }
}

/// The step of a hand: a click, a quarter turn, half a millimetre, a division of the gauge. Common practice, no source.
fn grain(scene: &Scene<'_>, setting: Setting, base: &Quantity) -> f64 {
    match base.kind {
        Kind::Clicks | Kind::Teeth | Kind::Links | Kind::Count => 1.0,
        Kind::Turns => 0.25,
        Kind::Length => match pitch(scene, setting) {
            Some(pitch) => 0.25 * pitch,
            None if matches!(setting, Setting::SHOCK_PRELOAD | Setting::FORK_PRELOAD) => 0.5e-3,
            None => 1e-3,
        },
        _ => base.last_digit,
    }
}

/// How far a turn of the collar goes, in m; `None` for a setting without a thread.
fn pitch(scene: &Scene<'_>, setting: Setting) -> Option<f64> {
    let pitch = scene.machine?.shock()?.thread_pitch?;
    (setting == Setting::SHOCK_PRELOAD).then(|| pitch.value())
}

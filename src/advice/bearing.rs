//! Which settings can affect a complaint: those of its steps, and those that move a sag behind it.

use crate::season::Changed;
use crate::vocabulary::settings::Together;
use crate::vocabulary::{End, FigureName, Named, Setting};

use super::make::Make;
use super::parts::Advice;

impl Advice {
    /// Whether a change of a setting, or of a damper's valving, can affect a complaint; `None` where the file does not
    /// know the complaint, so nobody can say.
    pub fn bears_on(&self, word: &str, changed: Changed) -> Option<bool> {
        let mut entries =
            self.practice().complaints.iter().filter(|complaint| complaint.is_called(word)).peekable();
        entries.peek()?;
        Some(entries.any(|entry| {
            let settles = entry.rests_on.iter().any(|reading| is_sag_moved(*reading, changed));
            settles || self.steps(entry).iter().any(|step| step.make.touches(changed))
        }))
    }

    /// Whether a change made alone, for the stint right after a complaint, can be judged by it. No step need name the
    /// setting: a rider also tries what the file does not have. A setting of the engine alone does not count where the
    /// engine has no part in the complaint.
    pub fn may_bear_on(&self, word: &str, changed: Changed) -> Option<bool> {
        let bears = self.bears_on(word, changed)?;
        Some(bears || changed.setting().is_some_and(|name| !name.info().is_of_engine()))
    }
}

impl Make {
    /// Whether it moves a setting, or one that counts as one change with it.
    fn touches(&self, changed: Changed) -> bool {
        let own = changed.setting();
        match self {
            Self::Move { setting, .. } | Self::Word { setting, .. } => is_same_change(*setting, changed),
            Self::Chamber { .. } | Self::Balance { .. } => own.is_some_and(is_chamber),
            Self::Sag { end, .. } | Self::Spring { end, .. } => holds_up(*end, changed),
            Self::Fuelling { .. } | Self::Jet => {
                own == Some(Setting::FUELLING) || together(changed) == Some(Together::Jetting)
            }
        }
    }
}

/// Whether two settings are the same, belong together, or are a clicker and the valving behind it.
fn is_same_change(of_step: Setting, changed: Changed) -> bool {
    let group = of_step.info().together;
    match changed {
        Changed::Setting(name) => of_step == name || (group.is_some() && group == name.info().together),
        Changed::Valving(damper) => of_step.info().damper == Some(damper),
    }
}

/// Whether a setting holds up an end.
fn holds_up(end: End, changed: Changed) -> bool {
    let group = together(changed);
    match end {
        End::Front => group == Some(Together::FrontSpring) || changed.setting().is_some_and(is_chamber),
        End::Rear => group == Some(Together::RearSpring),
    }
}

fn is_sag_moved(reading: Named, changed: Changed) -> bool {
    let end = |name| FigureName::SAG_RIDER.end_of(name).or_else(|| FigureName::SAG_STATIC.end_of(name));
    reading.figure().and_then(end).is_some_and(|end| holds_up(end, changed))
}

fn is_chamber(name: Setting) -> bool {
    Setting::CHAMBER.word_of(name).is_some()
}

fn together(changed: Changed) -> Option<Together> {
    changed.setting()?.info().together
}

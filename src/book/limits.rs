//! How far a value may go: the machine's bands and limits, its adjusters, the chambers' limits.

use crate::vocabulary::blocks::{Adjusters, BandBlock, Limits};
use crate::vocabulary::values::{Band, Bounds, Given, LimitBounds};
use crate::vocabulary::{Named, Setting};

use super::Notebook;

/// What ends the range of a setting.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum EndedBy {
    MakersLimit,
    /// Its own limit, or that of a chamber filled together with it.
    ChambersLimit,
    PreloadRange,
}

impl Notebook {
    /// All ranges that a setting must stay inside.
    pub fn ends(&self, name: Setting) -> Vec<(Bounds, EndedBy)> {
        let mut all: Vec<_> = self.limits_on(name).map(|bounds| (bounds, EndedBy::MakersLimit)).collect();
        if name.is_pressure() {
            // Its own limits come first.
            let others = self.pressure_limits(name).into_iter().skip(all.len());
            all.extend(others.map(|bounds| (bounds, EndedBy::ChambersLimit)));
        }
        if name == Setting::SHOCK_PRELOAD {
            let range = self.shock().and_then(|shock| shock.preload_range);
            all.extend(range.map(|range| (range, EndedBy::PreloadRange)));
        }
        all
    }

    /// The band for a name; of two, the later one.
    pub fn band(&self, name: impl Into<Named>) -> Option<&Band> {
        let name = name.into();
        self.all::<BandBlock>().flat_map(|block| &block.others.bands).rfind(|band| band.name == name)
    }

    /// How many clicks or turns an adjuster has.
    pub fn adjuster(&self, name: Setting) -> Option<Given> {
        let mut adjusters = self.all::<Adjusters>().flat_map(|block| &block.others.adjusters);
        adjusters.rfind(|adjuster| adjuster.name == name).map(|adjuster| adjuster.range)
    }

    /// Whether the machine's notebook has the maker's limit on a name.
    pub fn has_limit(&self, name: Named) -> bool {
        self.all::<Limits>().flat_map(|block| &block.others.limits).any(|limit| limit.name == name)
    }

    /// The maker's limits on a name, as ranges.
    pub fn limits_on(&self, name: impl Into<Named>) -> impl Iterator<Item = Bounds> + '_ {
        let name = name.into();
        let all = self.all::<Limits>().flat_map(|block| &block.others.limits);
        all.filter(move |limit| limit.name == name).filter_map(|limit| match &limit.bounds {
            LimitBounds::Range(bounds) => Some(*bounds),
            LimitBounds::Exactly(Given { quantity, span }) => {
                Some(Bounds { low: Some(*quantity), high: Some(*quantity), span: *span })
            }
            LimitBounds::Word(_) => None,
        })
    }

    /// All ranges that the pressure of a chamber or tyre must stay inside, by its setting. Chambers that are filled
    /// together keep the limits of each.
    pub fn pressure_limits(&self, setting: Setting) -> Vec<Bounds> {
        let own = |name: Setting| {
            let limit = self.chamber(Setting::CHAMBER.word_of(name)?)?.limit?;
            Some(Bounds { low: None, high: Some(limit.quantity), span: limit.span })
        };
        // Its own limits come first.
        let mut names = self.filled_together(setting);
        names.sort_by_key(|name| *name != setting);
        names.into_iter().flat_map(|name| self.limits_on(name).chain(own(name))).collect()
    }

    /// The limit that a pressure (Pa, gauge) would pass, by the setting of its chamber or tyre.
    pub fn pressure_past(&self, setting: Setting, pressure: f64) -> Option<Bounds> {
        self.pressure_limits(setting).into_iter().find(|bounds| !bounds.contain(pressure))
    }

    /// The settings of a chamber, of the one that fills it, and of others which that one fills; of a tyre only its
    /// own.
    fn filled_together(&self, setting: Setting) -> Vec<Setting> {
        let Some(chamber) = Setting::CHAMBER.word_of(setting) else { return vec![setting] };
        let source = |name: &str| {
            let from = self.chamber(name).and_then(|chamber| chamber.charged_from.as_ref());
            from.map(|from| from.text.as_str())
        };
        let from = source(chamber).unwrap_or(chamber);
        let others = self.chambers().map(|(name, _)| name);
        let others = others.filter(|name| *name != from && source(name) == Some(from));
        let names = std::iter::once(from).chain(others);
        names.map(|name| Setting::CHAMBER.named(name)).collect()
    }
}

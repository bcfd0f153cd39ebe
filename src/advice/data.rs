//! What advice is made of, as the advice file has it.

use crate::quantity::{Interval, Kind, Quantity, Way};
use crate::vocabulary::End;
use crate::vocabulary::names::opened;

use super::injury::Injury;

/// The whole of an advice file, ready to be asked. The default is one that says nothing.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Advice {
    /// The closed words for places on the track.
    pub places: Vec<String>,
    pub looks: Vec<Look>,
    pub readings: Vec<ReadingRule>,
    /// What a name under `after` stands for.
    pub work: Vec<(String, Vec<String>)>,
    /// Settings that count as one change, by the name of their group; for reading.
    pub together: Vec<(String, Vec<String>)>,
    pub totals: Vec<Total>,
    pub from_standard: FromStandard,
    pub ranges: Vec<HardRange>,
    pub ring: Ring,
    pub fuelling: FuellingRule,
    pub injury: Injury,
    /// Cautions by name.
    pub cautions: Vec<(String, String)>,
    pub complaints: Vec<Complaint>,
    pub said: Said,
}

/// How riders say things.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Said {
    /// Ways of saying a complaint, by its word.
    pub complaints: Vec<(String, Vec<String>)>,
    /// Ways of saying a place, by its name.
    pub places: Vec<(String, Vec<String>)>,
    /// Words that mean nothing by themselves.
    pub small: Vec<String>,
    /// Words between two complaints.
    pub joins: Vec<String>,
    /// Ways of saying that there is nothing to complain of.
    pub content: Vec<String>,
    /// Words behind which something is said not to have been.
    pub not_so: Vec<String>,
    /// Words behind what is no more.
    pub is_over: Vec<String>,
    /// Parts of a machine, which complaints are about.
    pub parts: Vec<String>,
    /// Words before a place.
    pub at: Vec<String>,
    /// What stands behind such a word and is no place.
    pub no_place: Vec<String>,
    /// Words beside which a number is no strength.
    pub counted: Vec<String>,
}

/// Something to look at before anything is changed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Look {
    pub name: String,
    pub say: String,
    /// Names in `checked`, or of readings, any of which shows that it was done.
    pub shown_by: Vec<String>,
    /// For how many days after it was done; 0 is that day alone.
    pub holds_days: u32,
    /// Whether every complaint asks for it.
    pub for_all: bool,
    /// Whether it is for forks with bleed screws alone.
    pub needs_bleeders: bool,
}

/// How long a reading is good for, and how it is taken.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ReadingRule {
    /// A pattern of the vocabulary: `sag.END.rider`.
    pub pattern: String,
    /// `None` for what is read anew with each ride.
    pub every_days: Option<u32>,
    /// Settings, or names of [`Advice::work`], after whose change it is read again.
    pub after: Vec<String>,
    pub say: String,
    /// What it means below its band, and above.
    pub low: Option<String>,
    pub high: Option<String>,
}

/// The most that a setting or a sag moves from where the day began.
#[derive(Debug, Clone, PartialEq)]
pub struct Total {
    pub pattern: String,
    /// One for each way of counting: clicks, turns.
    pub most: Vec<Quantity>,
}

/// The most that a clicker stands from the machine's standard setting; the less of the two counts.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct FromStandard {
    pub clicks: Option<f64>,
    /// Of the adjuster's range.
    pub share: Option<f64>,
    /// Riders' levels for whom it is half of that.
    pub half_for: Vec<String>,
}

/// What no step goes past, on any machine.
#[derive(Debug, Clone, PartialEq)]
pub struct HardRange {
    pub pattern: String,
    pub within: Interval,
}

/// What the travel ring tells, as shares of the travel.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ring {
    pub deep_from: f64,
    pub bottomed_from: f64,
}

impl Default for Ring {
    /// Deep is all of the travel, until a file says less.
    fn default() -> Self {
        Self { deep_from: 1.0, bottomed_from: 1.0 }
    }
}

/// When an injected machine's fuelling may go which way.
#[derive(Debug, Clone, PartialEq)]
pub struct FuellingRule {
    /// Words for the ground on which the leanest choice is never taken.
    pub never_leanest_on: Vec<String>,
    /// In K.
    pub great_heat_from: f64,
    /// Riders' levels for whom it goes no leaner.
    pub not_leaner_for: Vec<String>,
    /// Words of `traction` with which richer means the richest.
    pub richest_with_traction: Vec<String>,
}

impl Default for FuellingRule {
    /// No ground, heat or rider is excepted, until a file says which.
    fn default() -> Self {
        Self {
            never_leanest_on: Vec::new(),
            great_heat_from: f64::INFINITY,
            not_leaner_for: Vec::new(),
            richest_with_traction: Vec::new(),
        }
    }
}

/// A complaint with what to do about it.
#[derive(Debug, Clone, PartialEq)]
pub struct Complaint {
    /// The entry's own name in the file.
    pub key: String,
    /// The word in `feel`.
    pub word: String,
    /// Other words for the same.
    pub also_called: Vec<String>,
    /// Places to which the entry is kept; none for all.
    pub at: Vec<String>,
    pub say: String,
    pub first: String,
    /// Readings that settle it.
    pub rests_on: Vec<String>,
    /// Figures to look at, where they can be had; patterns for every chamber.
    pub shows: Vec<String>,
    /// Further looks, by name.
    pub looks: Vec<String>,
    /// Complaints of the same ride that are seen to before it.
    pub yields_to: Vec<String>,
    /// The end that must use its whole travel for the complaint to be one.
    pub bottomed: Option<End>,
    pub warns: Option<String>,
    /// What a step must do for it to be a cure, where that is known.
    pub needs: Option<Needs>,
    /// What is said of a sag that is to be put right and is no cure.
    pub no_cure: Option<String>,
    /// Figures that its changes are predicted in.
    pub predict: Vec<String>,
    pub steps: Vec<Step>,
    /// Another entry whose steps follow.
    pub then: Option<String>,
}

impl Complaint {
    /// Whether a word in `feel` means this complaint.
    pub fn is_called(&self, word: &str) -> bool {
        self.word == word || self.also_called.iter().any(|other| other == word)
    }
}

/// A figure and the way that it must go.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Needs {
    pub figure: String,
    pub is_more: bool,
}

impl Needs {
    /// 1 where more is needed, else −1.
    pub fn sign(&self) -> f64 {
        if self.is_more { 1.0 } else { -1.0 }
    }
}

/// One thing that can be changed.
#[derive(Debug, Clone, PartialEq)]
pub struct Step {
    pub make: Make,
    /// Places to which the step is kept; none for all.
    pub at: Vec<String>,
    pub usual: Option<String>,
    pub costs: String,
    /// What is felt if it worked.
    pub better: String,
    /// How it is undone, where taking it back is not enough.
    pub undo: Option<String>,
    pub ease: Ease,
    pub fork: Option<ForkKind>,
    pub ring: Option<RingWord>,
    /// A reading that must not be as its band wants it.
    pub outside: Option<String>,
    /// A setting that must have been tried and helped.
    pub helped: Option<String>,
    /// Names of which one must have a maker's limit.
    pub limit: Vec<String>,
    /// Whether it comes before all other steps, whatever is complained of.
    pub goes_first: bool,
    /// How it is done.
    pub how: Option<String>,
    /// What is offered, without a number, where the maker's limit is not on file, or nobody wrote where it stands.
    pub by_manual: Option<String>,
    /// What is said, and looked at, where it has come to its end and did not help.
    pub at_end: Option<AtEnd>,
    /// Further cautions, by name.
    pub caution: Option<String>,
    pub best: Option<Best>,
}

/// What is to be looked at where a step can go no further.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AtEnd {
    pub say: String,
    /// The name of a look.
    pub look: String,
}

/// What a step does.
#[derive(Debug, Clone, PartialEq)]
pub enum Make {
    /// Moves a setting; one way to say how far for each way of counting it.
    Move {
        setting: String,
        by: Vec<By>,
        start: Option<Quantity>,
    },
    /// Gives a setting a word; `doing` says what hands do.
    Word {
        setting: String,
        to: String,
        doing: String,
    },
    Chamber {
        which: ChamberRole,
        by: By,
    },
    /// The negative chamber, by at most so much towards equal force at the top.
    Balance {
        most: Quantity,
    },
    Sag {
        end: End,
        to: SagTo,
    },
    Spring {
        end: End,
        is_stiffer: bool,
    },
    Fuelling {
        is_richer: bool,
    },
    Jet,
}

/// How far, and which way, in the words of a `change`.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct By {
    pub size: Quantity,
    pub way: Way,
}

/// Where a rider sag goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum SagTo {
    /// To the aim of its band.
    Aim,
    More(Quantity),
    Less(Quantity),
}

/// A chamber by what it does.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChamberRole {
    /// The positive one that holds most of the fork up.
    Main,
    Negative,
    /// Every positive one, each a step for itself.
    Every,
}

/// How easily a step is undone; earlier goes first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Ease {
    /// On the spot.
    Spot,
    /// In the workshop: parts come off.
    Shop,
    /// Something may have to be bought.
    Parts,
    /// Cut or drilled.
    Never,
}

/// Which fork a step is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ForkKind {
    Air,
    Coil,
}

/// What the front travel ring must say.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RingWord {
    Little,
    Deep,
}

/// Steps that are put in order by what the model gives.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Best {
    /// The figure that is to rise.
    pub raise: String,
    /// The figure that is to rise little.
    pub against: Option<String>,
    /// Whether a step that the model does not know is left out, and not only put last.
    pub is_computed: bool,
}

impl Advice {
    /// The closed words of complaints, each once, in the order of the file.
    pub fn words(&self) -> Vec<&str> {
        let mut words: Vec<&str> = Vec::new();
        for complaint in &self.complaints {
            for word in std::iter::once(&complaint.word).chain(&complaint.also_called) {
                if !words.contains(&word.as_str()) {
                    words.push(word);
                }
            }
        }
        words
    }

    /// The entry for a complaint at a place: one kept to that place before one for all.
    pub fn complaint(&self, word: &str, place: Option<&str>) -> Option<&Complaint> {
        let of_word = || self.complaints.iter().filter(|complaint| complaint.is_called(word));
        let kept =
            |complaint: &&Complaint| place.is_some_and(|place| complaint.at.iter().any(|at| at == place));
        of_word().find(kept).or_else(|| of_word().find(|complaint| complaint.at.is_empty()))
    }

    /// The steps of an entry, and of those it goes on with.
    pub fn steps<'a>(&'a self, complaint: &'a Complaint) -> Vec<&'a Step> {
        let mut steps: Vec<&Step> = Vec::new();
        let mut seen: Vec<&str> = Vec::new();
        let mut next = Some(complaint);
        while let Some(entry) = next.filter(|entry| !seen.contains(&entry.key.as_str())) {
            seen.push(&entry.key);
            steps.extend(&entry.steps);
            next = entry.then.as_ref().and_then(|key| self.complaints.iter().find(|other| other.key == *key));
        }
        steps
    }

    /// Steps that come before those of every complaint, each with the complaint that has it.
    pub fn first_steps(&self) -> impl Iterator<Item = (&Complaint, &Step)> {
        let all = self
            .complaints
            .iter()
            .flat_map(|complaint| complaint.steps.iter().map(move |step| (complaint, step)));
        all.filter(|(_, step)| step.goes_first)
    }

    /// The most that a setting or a sag moves in a day, in its own way of counting.
    pub fn total(&self, name: &str, kind: Kind) -> Option<Quantity> {
        let of_name = |total: &&Total| total.pattern == name || opened(&total.pattern, name).is_some();
        let total = self.totals.iter().find(of_name)?;
        total.most.iter().find(|most| most.kind == kind).copied()
    }

    /// A caution by name.
    pub fn caution(&self, name: &str) -> Option<&str> {
        self.cautions.iter().find(|(known, _)| known == name).map(|(_, text)| text.as_str())
    }
}

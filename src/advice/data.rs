//! What advice consists of, and its form in the advice file.

use crate::notebook::{Entry, Node};
use crate::quantity::{self, Interval, Kind, Quantity};
use crate::speech::{Message, say};
use crate::vocabulary::blocks::{HIGH, LEVELS, LOW, MEDIUM};
use crate::vocabulary::{self, End, FigureName, Named, Names, Setting};

use super::make::{Ease, ForkKind, Make, RingWord};
use super::table::{Entered, File, Keys, Listed, Noun, Own, Several, Taken, Takes, field, pairs, table};
use Takes::{Days, Itself, Name, Text, Truth};

const LEVEL: Takes = Takes::Word(LEVELS);

table! { over
    /// The words in which riders say what they felt, and where.
    #[derive(Default)]
    Sayings;
    /// The words for places on the track.
    places: Vec<String> = "places", Text;
    said: Said = "said", Itself;
}

table! { over
    /// What to do about complaints, and by which rules.
    #[derive(Default)]
    Practice;
    looks: Listed<Look> = "look", Itself;
    readings: Listed<ReadingRule> = "reading", Itself;
    /// The settings behind a name under `after`.
    work: Listed<Group> = "work", Text;
    totals: Listed<Total> = "total", Itself;
    from_standard: FromStandard = "from_standard", Itself;
    ranges: Listed<HardRange> = "range", Itself;
    ring: Ring = "ring", Itself;
    fuelling: FuellingRule = "fuelling", Itself;
    cautions: Listed<Caution> = "caution", Text;
    complaints: Listed<Complaint> = "complaint", Itself;
}

table! { over
    /// How riders say things.
    #[derive(Default)]
    Said;
    /// Ways of saying a complaint, by its word.
    complaints: Listed<Ways> = "complaint", Takes::Own(Own::Feel);
    /// Ways of saying a place, by its name.
    places: Listed<Ways> = "place", Takes::Own(Own::Place);
    words: SaidWords = "words", Itself;
}

table! { over
    /// Words that matter to a complaint, and words that do not.
    #[derive(Default)]
    SaidWords;
    /// Words that mean nothing by themselves.
    small: Vec<String> = "small", Text;
    /// Words between two complaints.
    joins: Vec<String> = "joins", Text;
    /// Ways of saying that there is no complaint.
    content: Vec<String> = "content", Text;
    /// Words that deny what follows.
    not_so: Vec<String> = "not_so", Text;
    /// Words that follow what is over.
    is_over: Vec<String> = "is_over", Text;
    /// Words that compare a ride with the one before, by verdict.
    better: Vec<String> = "better", Text;
    same: Vec<String> = "same", Text;
    worse: Vec<String> = "worse", Text;
    /// Parts of a machine, for complaints.
    parts: Vec<String> = "parts", Text;
    /// Words before a place.
    at: Vec<String> = "at", Text;
    /// Words that may follow such a word and are no place.
    no_place: Vec<String> = "no_place", Text;
    /// Words beside which a number is not a strength.
    counted: Vec<String> = "counted", Text;
}

pairs! {
    /// Ways of saying one thing.
    Ways: of, ways: Vec<String> = Text;
    /// Settings under one name.
    Group: name, settings: Vec<Setting> = Name(Noun::Setting);
    /// A caution by its name.
    Caution: name, text: String = Text;
}

table! {
    /// Something to look at before anything is changed.
    Look, by name: String = Text;
    say: String = "say", Text;
    /// Names in `checked`, or of readings; any of them shows that it was done.
    shown_by: Vec<String> = "shown_by", Text;
    /// For how many days it counts; 0 means that day alone.
    holds_days: u32 = "holds", Days, or 0;
    /// Whether every complaint asks for it.
    for_all: bool = "for_all", Truth, or true;
    /// Whether it is only for forks with bleed screws.
    needs_bleeders: bool = "bleeders", Truth, or false;
}

table! {
    /// How long a reading counts, and how it is taken.
    ReadingRule, by of: Names = Name(Noun::FigureOrReading);
    /// `None` for what is read at every ride.
    every_days: Option<u32> = "every", Days;
    /// Work after which the reading is taken again.
    after: Vec<Work> = "after", Itself;
    say: String = "say", Text;
    /// What a value below its band means, and one above.
    low: Option<String> = "low", Text;
    high: Option<String> = "high", Text;
}

/// Work after which a reading is taken again.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Work {
    Setting(Setting),
    /// A group of [`Practice::work`]; `END.sag` is that of the reading's own end.
    Group(String),
}

impl Work {
    /// The group's name for an end.
    pub fn of_end(group: &str, end: End) -> String {
        let parts: Vec<&str> =
            group.split('.').map(|part| if part == "END" { end.word() } else { part }).collect();
        parts.join(".")
    }
}

/// The most that a setting or a sag may move from where the day began.
#[derive(Debug, Clone, PartialEq)]
pub struct Total {
    pub of: Names,
    /// One for each unit of its kind: clicks, turns.
    pub most: Vec<Quantity>,
}

/// Limits that no step passes, on any machine.
#[derive(Debug, Clone, PartialEq)]
pub struct HardRange {
    pub of: Names,
    pub within: Interval,
}

table! {
    /// The most that a clicker may be from the machine's standard setting; the smaller of the two counts.
    #[derive(Default)]
    FromStandard;
    clicks: Option<f64> = "clicks", Takes::Quantity(&[Kind::Clicks]);
    /// Of the adjuster's range.
    share: Option<f64> = "share", Takes::Quantity(&[Kind::Share]);
    /// Levels of riders for whom it is half of that.
    half_for: Vec<String> = "half_for", LEVEL;
}

table! { over
    /// What the travel ring shows, as shares of the travel.
    #[derive(Copy)]
    Ring;
    deep_from: f64 = "deep_from", Takes::Quantity(&[Kind::Share]);
    bottomed_from: f64 = "bottomed_from", Takes::Quantity(&[Kind::Share]);
}

impl Default for Ring {
    /// Deep means all of the travel, until a file says less.
    fn default() -> Self {
        Self { deep_from: 1.0, bottomed_from: 1.0 }
    }
}

table! { over
    /// When the fuelling of an injected machine may go which way.
    FuellingRule;
    /// Words for ground on which the leanest choice is never used.
    never_leanest_on: Vec<String> = "never_leanest_on", Text;
    /// In K.
    great_heat_from: f64 = "great_heat_from", Takes::Quantity(&[Kind::Temperature]);
    /// Levels of riders for whom it never goes leaner.
    not_leaner_for: Vec<String> = "not_leaner_for", LEVEL;
    /// Words of `traction` for which richer means the richest.
    richest_with_traction: Vec<String> = "richest_with_traction", Takes::Word(&[LOW, MEDIUM, HIGH]);
}

impl Default for FuellingRule {
    /// No ground, heat or rider is an exception, until a file names it.
    fn default() -> Self {
        Self {
            never_leanest_on: Vec::new(),
            great_heat_from: f64::INFINITY,
            not_leaner_for: Vec::new(),
            richest_with_traction: Vec::new(),
        }
    }
}

table! {
    /// A complaint, and what to do about it.
    Complaint, by key: String = Text;
    /// The word in `feel`, where it differs from the key.
    own_word: Option<String> = "word", Text;
    /// Other words for the same.
    also_called: Vec<String> = "also_called", Text;
    /// Places that the entry is for; none means all.
    at: Vec<String> = "at", Takes::Own(Own::Place);
    say: String = "say", Text;
    first: String = "first", Text;
    /// Readings that decide about it.
    rests_on: Vec<Named> = "rests_on", Name(Noun::FigureOrReading);
    /// Figures to look at, where they have a value; for a row, those of every chamber.
    shows: Vec<Names> = "shows", Name(Noun::Figure);
    /// Further looks, by name.
    looks: Vec<String> = "looks", Takes::Own(Own::Look);
    /// Complaints of the same ride that are dealt with first.
    yields_to: Vec<String> = "yields_to", Takes::Own(Own::Complaint);
    /// The end that must use its whole travel for this to be a complaint.
    bottomed: Option<End> = "bottomed", Itself;
    warns: Option<String> = "warns", Text;
    /// What a step must do to be a cure, where that is known.
    needs: Option<Needs> = "needs", Itself;
    /// What to say of a sag that should be put right and is no cure.
    no_cure: Option<String> = "no_cure", Text;
    /// Figures in which its changes are predicted.
    predict: Vec<FigureName> = "predict", Name(Noun::Figure);
    steps: Several<Step> = "step", Itself;
    /// Another entry whose steps follow.
    then: Option<String> = "then", Takes::Own(Own::Complaint);
}

/// A figure, and the way that it must move.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Needs {
    pub figure: FigureName,
    pub is_more: bool,
}

table! {
    /// One thing to change.
    Step;
    make: Make = "setting", Itself;
    /// Places that the step is for; none means all.
    at: Vec<String> = "at", Takes::Own(Own::Place);
    usual: Option<String> = "usual", Text;
    costs: String = "costs", Text;
    /// What the rider feels if it worked.
    better: String = "better", Text;
    /// How to undo it, where going back is not enough.
    undo: Option<String> = "undo", Text;
    ease: Ease = "ease", Itself, or Ease::Spot;
    fork: Option<ForkKind> = "fork", Itself;
    ring: Option<RingWord> = "ring", Itself;
    /// A reading that must be outside its band.
    outside: Option<Named> = "outside", Name(Noun::FigureOrReading);
    /// A setting that must have been tried and have helped.
    helped: Option<Setting> = "helped", Name(Noun::Setting);
    /// Names, one of which must have a maker's limit.
    limit: Vec<Named> = "limit", Name(Noun::FigureReadingOrSetting);
    /// Whether it comes before all other steps, whatever the complaint.
    goes_first: bool = "goes_first", Truth, or false;
    /// How to do it.
    how: Option<String> = "how", Text;
    /// What is advised without a number, where the maker's limit is not on file, or nobody wrote the setting.
    by_manual: Option<String> = "by_manual", Text;
    /// What to say and look at, where it can go no further and did not help.
    at_end: Option<AtEnd> = "at_end", Itself;
    /// Further cautions, by name.
    caution: Option<String> = "caution", Takes::Own(Own::Caution);
    best: Option<Best> = "best", Itself;
}

table! {
    /// What to look at where a step can go no further.
    AtEnd;
    say: String = "say", Text;
    /// The name of a look.
    look: String = "look", Takes::Own(Own::Look);
}

table! {
    /// Orders steps by what the model gives them.
    Best;
    /// The figure that should rise.
    raise: FigureName = "raise", Name(Noun::Figure);
    /// The figure that should rise little.
    against: Option<FigureName> = "against", Name(Noun::Figure);
    /// Whether a step that the model does not know is left out, rather than put last.
    is_computed: bool = "computed", Truth, or false;
}

impl Taken for Needs {
    /// `more geometry.trail`.
    fn take(node: &Node, key: &str, _: Takes, file: &mut File) -> Option<Self> {
        let text = String::take(node, key, Text, file)?;
        let (way, figure) = text.split_once(' ').unwrap_or((&text, ""));
        let is_more = match way {
            "more" => true,
            "less" => false,
            _ => {
                let headline = say!("`{text}` does not say which way", text);
                file.bad(node.span, headline, say!("write `more` or `less` and a figure"));
                return None;
            }
        };
        Some(Self {
            figure: file.name_in(node.span, figure, Name(Noun::Figure), FigureName::parse)?,
            is_more,
        })
    }
}

impl Taken for Work {
    fn take(node: &Node, key: &str, _: Takes, file: &mut File) -> Option<Self> {
        let text = String::take(node, key, Text, file)?;
        if let Some(setting) = Setting::parse(&text) {
            return Some(Self::Setting(setting));
        }
        let groups = &file.words.work;
        let is_known = End::BOTH.iter().all(|end| groups.contains(&Self::of_end(&text, *end)));
        if !is_known {
            let near = groups.iter().chain(vocabulary::every_setting()).cloned().collect::<Vec<_>>();
            file.unknown(node.span, &text, Noun::SettingOrWork, &near);
        }
        is_known.then_some(Self::Group(text))
    }
}

impl Entered for Total {
    fn enter(entry: &Entry, _: Takes, file: &mut File) -> Option<Self> {
        let (of, mut kinds) = file.names_with_kinds(entry)?;
        // Of what holds air, also a share of its own pressure.
        if kinds.contains(&Kind::GaugePressure) {
            kinds.push(Kind::Share);
        }
        Some(Self { of, most: file.quantities(&entry.value, &kinds) })
    }

    fn is_named_as(&self, other: &Self) -> bool {
        self.of == other.of
    }
}

impl Entered for HardRange {
    fn enter(entry: &Entry, _: Takes, file: &mut File) -> Option<Self> {
        let (of, kinds) = file.names_with_kinds(entry)?;
        Some(Self { of, within: file.measured(&entry.value, &kinds, quantity::interval)? })
    }

    fn is_named_as(&self, other: &Self) -> bool {
        self.of == other.of
    }
}

impl Needs {
    /// 1 where more is needed, −1 where less is.
    pub fn sign(&self) -> f64 {
        if self.is_more { 1.0 } else { -1.0 }
    }
}

/// A place on the track in a reader's words. The advice's own places have names in other languages; a track's sections do not.
pub fn place_said(place: &str) -> Message {
    Message::word(format!("place|{place}"))
}

impl Complaint {
    /// The word in `feel`.
    pub fn word(&self) -> &str {
        self.own_word.as_ref().unwrap_or(&self.key)
    }

    /// Every word in `feel` that means this complaint.
    pub fn words(&self) -> impl Iterator<Item = &str> {
        std::iter::once(self.word()).chain(self.also_called.iter().map(String::as_str))
    }

    /// Whether a word in `feel` means this complaint.
    pub fn is_called(&self, word: &str) -> bool {
        self.words().any(|own| own == word)
    }
}

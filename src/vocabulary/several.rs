//! Several names at once: all of a row, or one of them alone.

use std::fmt;

use crate::quantity::Kind;

use super::figures::{FigureId, ReadingName};
use super::name::{Name, Open, Part, Row};
use super::settings::SettingId;
use super::{Care, Named, lookup};

/// A row of one of the tables of names.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum NamedRow {
    Figure(FigureId),
    Reading(ReadingName),
    Setting(SettingId),
}

/// `chamber.NAME`, or `chamber.main` alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Names {
    AllOf(NamedRow),
    Only(Named),
}

impl Names {
    /// Parsed from a name, or from a row's pattern.
    pub fn parse(text: &str) -> Option<Self> {
        // `NAME` could also be a rider's word.
        fn open<R: Row>(text: &str) -> Option<R> {
            R::ALL.iter().copied().find(|row| row.pattern() == text && row.part() != Part::Nothing)
        }
        let all = open(text).map(NamedRow::Figure).or_else(|| open(text).map(NamedRow::Setting));
        all.map(Self::AllOf).or_else(|| lookup(text).map(Self::Only))
    }

    pub fn contain(self, name: Named) -> bool {
        match self {
            Self::AllOf(row) => name.row() == row,
            Self::Only(only) => name == only,
        }
    }

    /// What fills their open part in one of them; `Nothing` where there is no open part.
    pub fn open_in(self, name: Named) -> Open {
        match self {
            Self::AllOf(_) => name.open(),
            Self::Only(_) => Open::Nothing,
        }
    }

    /// Each of them; where the row is open for a word, those with these words.
    pub fn each(self, words: &[&str]) -> Vec<Named> {
        fn of<R: Row>(row: R, words: &[&str]) -> Vec<Name<R>> {
            let all = row.part().all();
            let opened = words.iter().filter_map(|word| row.part().read(word));
            let open: Vec<Open> = if all.is_empty() { opened.collect() } else { all };
            open.into_iter().map(|open| Name { row, open }).collect()
        }
        match self {
            Self::Only(name) => vec![name],
            Self::AllOf(NamedRow::Reading(name)) => vec![Named::Reading(name)],
            Self::AllOf(NamedRow::Figure(row)) => of(row, words).into_iter().map(Named::Figure).collect(),
            Self::AllOf(NamedRow::Setting(row)) => of(row, words).into_iter().map(Named::Setting).collect(),
        }
    }

    /// The kinds of quantity of their values; none for words.
    pub fn kinds(self) -> Vec<Kind> {
        match self {
            Self::Only(name) => name.kinds(),
            Self::AllOf(NamedRow::Figure(row)) => row.info().kind().into_iter().collect(),
            Self::AllOf(NamedRow::Reading(name)) => name.info().kind().into_iter().collect(),
            Self::AllOf(NamedRow::Setting(row)) => row.info().kinds().to_vec(),
        }
    }
}

/// Every name that a chamber has: figures, then settings.
pub fn names_of_chamber(chamber: &str) -> Vec<Named> {
    let figures =
        FigureId::ALL.iter().filter(|row| row.part() == Part::Word).map(|row| NamedRow::Figure(*row));
    let setting = NamedRow::Setting(SettingId::CHAMBER);
    figures.chain([setting]).flat_map(|row| Names::AllOf(row).each(&[chamber])).collect()
}

impl fmt::Display for Names {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::Only(name) => name.fmt(f),
            Self::AllOf(NamedRow::Figure(row)) => f.write_str(row.pattern()),
            Self::AllOf(NamedRow::Reading(name)) => name.fmt(f),
            Self::AllOf(NamedRow::Setting(row)) => f.write_str(row.pattern()),
        }
    }
}

impl Named {
    pub fn row(self) -> NamedRow {
        match self {
            Self::Figure(name) => NamedRow::Figure(name.row),
            Self::Reading(name) => NamedRow::Reading(name),
            Self::Setting(name) => NamedRow::Setting(name.row),
        }
    }

    /// What fills its open part.
    pub fn open(self) -> Open {
        match self {
            Self::Figure(name) => name.open,
            Self::Reading(_) => Open::Nothing,
            Self::Setting(name) => name.open,
        }
    }

    /// The danger of setting or reading it.
    pub fn care(self) -> Option<Care> {
        match self {
            Self::Figure(name) => name.info().care(),
            Self::Reading(name) => name.info().care(),
            Self::Setting(name) => name.info().care,
        }
    }

    pub fn setting(self) -> Option<super::Setting> {
        match self {
            Self::Setting(name) => Some(name),
            Self::Figure(_) | Self::Reading(_) => None,
        }
    }

    pub fn figure(self) -> Option<super::FigureName> {
        match self {
            Self::Figure(name) => Some(name),
            Self::Setting(_) | Self::Reading(_) => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_pattern_is_all_of_its_row_and_a_name_is_itself() {
        let parse = |text| Names::parse(text).unwrap();
        let named = |text| lookup(text).unwrap();
        assert!(parse("chamber.NAME").contain(named("chamber.main")));
        assert!(!parse("chamber.NAME").contain(named("tyre.front")));
        assert!(parse("chamber.main").contain(named("chamber.main")));
        assert!(!parse("chamber.main").contain(named("chamber.balance")));
        assert!(parse("fork.height").contain(named("fork.height")));
        assert!(parse("steering.drop").contain(named("steering.drop")));
        assert_eq!(Names::parse("sag.middle.rider"), None);
    }

    #[test]
    fn each_of_a_row_is_named() {
        let each = |text, words: &[&str]| -> Vec<&str> {
            Names::parse(text).unwrap().each(words).into_iter().map(Named::as_str).collect()
        };
        assert_eq!(each("leak.chamber.NAME", &["main", "b"]), ["leak.chamber.main", "leak.chamber.b"]);
        assert_eq!(each("sag.END.rider", &[]), ["sag.front.rider", "sag.rear.rider"]);
        assert_eq!(each("fork.height", &["main"]), ["fork.height"]);
    }
}

//! What a page *says*: plain serialisable values, before any layout.
//!
//! A page asks `figures`, `season` and `checks`, and turns their answers into finished strings in the reader's
//! units, once. It works out nothing physical and knows nothing of paper: templates decide what goes where,
//! `render` how it looks. What is unknown is absent here, with the name of the reading that it needs.

mod blob;
pub mod card;
pub mod chart;
mod columns;
pub mod compare;
pub mod contents;
mod dates;
pub mod due;
pub mod export;
pub mod figures;
mod gauge;
pub mod gearing;
pub mod guide;
pub(crate) mod made;
pub mod next;
pub mod pocket;
pub mod prepare;
pub mod proof;
pub mod roster;
mod say;
pub mod season;
pub mod sheet;
pub mod side_view;
pub mod spring;
pub mod starters;
pub mod state;
pub mod take;
pub mod today;
mod told;
pub mod what_if;
pub mod why;
pub mod words;

pub use blob::blob_id;
pub use say::Said;
pub use told::Told;

use crate::speech::Tongue;

/// A page for one reader, in whose language the template's words are.
pub trait ForReader {
    fn tongue(&self) -> &Tongue;
}

impl<P: ForReader> ForReader for &P {
    fn tongue(&self) -> &Tongue {
        (**self).tongue()
    }
}

macro_rules! for_reader {
    ($($page:ty),* $(,)?) => {
        $(impl ForReader for $page {
            fn tongue(&self) -> &Tongue {
                &self.tongue
            }
        })*
    };
}
for_reader!(
    compare::Comparison,
    compare::SeasonComparison,
    figures::NotebookFigures,
    gearing::Gearings,
    next::NextPage,
    prepare::Plan,
    season::Page,
    sheet::Sheet,
    spring::Springs,
    state::InForce,
    today::Tonight,
    what_if::WhatIf,
    why::Why,
);

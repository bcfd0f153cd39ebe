//! What can stand for a name in a question: the name, or its text in rooms that still hold one.

use super::name::{Name, Row};
use super::{FigureName, Named, Setting, lookup};

/// What can stand for a name in a question; a text that is no name finds nothing.
pub trait Asked<N> {
    fn asked(&self) -> Option<N>;
}

impl<R: Row> Asked<Name<R>> for Name<R> {
    fn asked(&self) -> Option<Self> {
        Some(*self)
    }
}

impl<R: Row> Asked<Name<R>> for str {
    fn asked(&self) -> Option<Name<R>> {
        Name::parse(self)
    }
}

impl<R: Row> Asked<Name<R>> for String {
    fn asked(&self) -> Option<Name<R>> {
        Name::parse(self)
    }
}

impl Asked<Setting> for Named {
    fn asked(&self) -> Option<Setting> {
        match self {
            Self::Setting(name) => Some(*name),
            Self::Figure(_) | Self::Reading(_) => None,
        }
    }
}

impl Asked<FigureName> for Named {
    fn asked(&self) -> Option<FigureName> {
        match self {
            Self::Figure(name) => Some(*name),
            Self::Setting(_) | Self::Reading(_) => None,
        }
    }
}

impl Asked<Self> for Named {
    fn asked(&self) -> Option<Self> {
        Some(*self)
    }
}

impl Asked<Named> for Setting {
    fn asked(&self) -> Option<Named> {
        Some(Named::Setting(*self))
    }
}

impl Asked<Named> for FigureName {
    fn asked(&self) -> Option<Named> {
        Some(Named::Figure(*self))
    }
}

impl Asked<Named> for str {
    fn asked(&self) -> Option<Named> {
        lookup(self)
    }
}

impl Asked<Named> for String {
    fn asked(&self) -> Option<Named> {
        lookup(self)
    }
}

impl<N, T: Asked<N> + ?Sized> Asked<N> for &T {
    fn asked(&self) -> Option<N> {
        (**self).asked()
    }
}

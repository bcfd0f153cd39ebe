//! The library's public surface: a book being worked on, what follows from it, and the values that these are
//! made of.

pub use crate::advice::{Advice, Asking, Next, next};
pub use crate::book::{Book, Day, Notebook};
pub use crate::figures::{Absent, Figure, Number, Outcome, Source};
pub use crate::finding::{Code, Finding, Severity};
pub use crate::pocket::Desk;
pub use crate::quantity::{Kind, Quantity, Unit, Units};
pub use crate::season::{Held, HeldValue, Season, State};
pub use crate::session::{Compiled, RestsOn, Session, Spot};
pub use crate::source::{Disk, Memory, Span, Store};
pub use crate::vocabulary::{End, FigureName, Named, Setting};

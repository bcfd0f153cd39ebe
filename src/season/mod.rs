//! Replay: settings, readings and loads carried down the page and from day to day.
//!
//! `DEVELOPERS.md`, "How a season is replayed", gives the order of the steps, and this room keeps it. A diary
//! is replayed like a plain-text ledger: a value holds from where it is written until it is written again. So
//! every stint knows what it was ridden on. Carrying happens here and nowhere else.

mod air;
mod carry;
mod charge;
mod codes;
mod difference;
mod judged;
mod map;
mod page;
mod plan;
mod pressure;
mod readings;
mod rejected;
mod repeats;
mod replay;
mod settings;
mod standard;
mod standing;
mod state;
mod undo;
mod valving;

pub use air::{Cold, Gate, Legs};
pub use charge::{Base, Charge, Find, PressureMark, Step};
pub use codes::CODES;
pub use difference::{Difference, Single, count_changes, singles};
pub use map::Map;
pub use pressure::{BenchPlace, Counts, LastWord, Pressure};
pub use repeats::{PoolKey, RepeatSums, Repeats};
pub(crate) use replay::replay;
pub use replay::{DayReplay, Point, Season};
pub use settings::{Changed, Event, Held, HeldValue, How, Standard, Stepped};
pub use standard::standard_settings;
pub use standing::Standing;
pub use state::{Hours, Place, SagMark, Seen, State, Weighed};

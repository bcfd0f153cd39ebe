//! From a complaint to one next change, by data.
//!
//! What the trade knows is an advice file; this room brings it together with what the notebook knows. It proposes one
//! change at a time, predicted by the model and never past a limit, and says why every other step is left out. It opens no
//! file: a book's own advice file comes in as text.

mod answer;
mod ask;
mod bearing;
mod best;
mod book;
mod clearance;
mod codes;
mod data;
mod feel;
mod fuelling;
mod injury;
mod made;
mod make;
mod next;
mod parts;
mod phrases;
mod read;
mod reading;
mod rides;
mod scene;
mod shipped;
mod step;
mod table;

pub use answer::{
    Answer, Change, Check, Location, LookState, Measure, Moved, Next, OnFile, Prediction, ReadingState, Skip,
    Standing, StepState, Text, Tried, Undo, Verdict, Why, Worth,
};
pub use best::{Best, Wanted, best};
pub use book::catalogue;
pub(crate) use book::of_book;
pub use clearance::{Signs, Unfit, check_riders, not_cleared, signs, unfit};
pub use codes::CODES;
pub use data::{Complaint, Look, Said, Step, place_said};
pub(crate) use feel::check;
pub use feel::{Ear, Feel};
pub use fuelling::{FuellingWord, fuelling};
pub use make::Ease;
pub use next::{Asking, Plan, Telling, next, plan};
pub use parts::{Advice, said_elsewhere};
pub use read::ADVICE_FILE;
pub use scene::LIMITS;

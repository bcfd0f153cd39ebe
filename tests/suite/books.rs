//! Books as the tests open them: through the session, as everybody does.

use loambook::session::{Compiled, Session};
use loambook::source::Store;

/// What a book of a store says and carries, unchecked.
pub fn replayed(store: impl Store) -> Compiled {
    Session::over(store).unwrap().replay()
}

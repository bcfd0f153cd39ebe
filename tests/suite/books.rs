//! Books as the tests open them: through the session, as everybody does.

use loambook::session::{Compiled, Session};
use loambook::source::Store;

/// A store's book, replayed but not checked.
pub fn replayed(store: impl Store) -> Compiled {
    Session::over(store).unwrap().replay()
}

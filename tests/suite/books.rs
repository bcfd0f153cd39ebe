//! Books as the tests open them: through the session, as everybody does.

use loambook::session::{Compiled, Session};
use loambook::source::Store;
use loambook::vocabulary::{FigureName, Setting};

/// A store's book, replayed but not checked.
pub fn replayed(store: impl Store) -> Compiled {
    Session::over(store).unwrap().replay()
}

/// A figure by its name in notebooks.
pub fn figure(name: &str) -> FigureName {
    FigureName::parse(name).unwrap_or_else(|| panic!("there is no figure {name}"))
}

/// A setting by its name in notebooks.
pub fn setting(name: &str) -> Setting {
    Setting::parse(name).unwrap_or_else(|| panic!("there is no setting {name}"))
}

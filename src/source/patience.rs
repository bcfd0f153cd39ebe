//! How long somebody waits for a result.

/// Whether somebody still waits: asked between one notebook and the next, by whichever thread is at work.
pub type Patience<'p> = &'p (dyn Fn() -> bool + Sync);

/// For callers who wait to the end.
pub const ENDLESS: Patience<'static> = &|| true;

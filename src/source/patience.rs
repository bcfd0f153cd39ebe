//! How long somebody waits for what is being worked out.

/// Whether it is still waited for: asked between one notebook and the next, by whichever thread is at work.
pub type Patience<'p> = &'p (dyn Fn() -> bool + Sync);

/// Of whoever waits to the end.
pub const ENDLESS: Patience<'static> = &|| true;

//! What hands take care of that set or read something. Common practice, no source.

/// Work that can hurt somebody, by what is told before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Care {
    /// High-pressure air.
    Air,
    /// A spring or a link that comes out, and with it the damper and its gas.
    Spring,
    Preload,
    /// The machine on a stand.
    Stand,
    ForkHeight,
    Steering,
    Chain,
    /// Running lean.
    Fuelling,
}

//! The dangers of work on the machine, when something is set or read. Common practice, no source.

/// Work that can hurt somebody, named by the caution before it.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Care {
    /// High-pressure air.
    Air,
    /// Taking out a spring or a link, and with it the damper and its gas.
    Spring,
    Preload,
    /// Lifting the machine on a stand.
    Stand,
    ForkHeight,
    Steering,
    Chain,
    /// Running lean.
    Fuelling,
}

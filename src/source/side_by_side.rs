//! Several things at once, where the program has threads: `par_iter` and `into_par_iter` as in `rayon`.
//!
//! A browser gives the library no threads; there they work one after another.

#[cfg(not(target_family = "wasm"))]
pub(crate) use rayon::prelude::{
    IndexedParallelIterator, IntoParallelIterator, IntoParallelRefIterator, ParallelIterator,
};

/// Makes the calling thread one of those that work: one less has to be started, and nothing is handed over and waited for.
/// Only for a thread that always comes back to its work: what others wait for must not be left to one that listens.
///
/// The others start meanwhile. A pool for the whole program would first wait for all of them, which on a busy machine takes
/// longer than the work.
#[cfg(not(target_family = "wasm"))]
pub(crate) fn take_part() {
    // Where the thread works in a pool already, that one serves. It lasts as long as the program.
    std::mem::forget(rayon::ThreadPoolBuilder::new().use_current_thread().build());
}

#[cfg(target_family = "wasm")]
pub(crate) trait IntoParallelIterator: IntoIterator + Sized {
    fn into_par_iter(self) -> Self::IntoIter {
        self.into_iter()
    }
}

#[cfg(target_family = "wasm")]
impl<I: IntoIterator> IntoParallelIterator for I {}

#[cfg(target_family = "wasm")]
pub(crate) trait IntoParallelRefIterator<T> {
    fn par_iter(&self) -> std::slice::Iter<'_, T>;
}

#[cfg(target_family = "wasm")]
impl<T> IntoParallelRefIterator<T> for [T] {
    fn par_iter(&self) -> std::slice::Iter<'_, T> {
        self.iter()
    }
}

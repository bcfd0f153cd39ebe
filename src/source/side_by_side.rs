//! Many things at once, where the program has threads: `par_iter` and `into_par_iter` as `rayon` has them.
//!
//! A browser gives the library none; there the same words mean one after another.

#[cfg(not(target_family = "wasm"))]
pub(crate) use rayon::prelude::{
    IndexedParallelIterator, IntoParallelIterator, IntoParallelRefIterator, ParallelIterator,
};

/// Does something that somebody will ask for soon, on another thread where there is one.
#[cfg(not(target_family = "wasm"))]
pub(crate) fn meanwhile(work: fn()) {
    rayon::spawn(work);
}

/// Whoever asks for it does it.
#[cfg(target_family = "wasm")]
pub(crate) fn meanwhile(_work: fn()) {}

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

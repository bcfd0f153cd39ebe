//! What is worked out once on a bench.

use std::cell::RefCell;

/// Values by their keys, each made when it is first asked for. They are few: a list is looked through sooner than a tree,
/// and takes one piece of memory.
#[derive(Debug)]
pub(super) struct Once<K, T>(RefCell<Vec<(K, T)>>);

/// How many are made room for at once.
const USUAL: usize = 8;

impl<K, T> Default for Once<K, T> {
    fn default() -> Self {
        Self(RefCell::default())
    }
}

impl<K: Copy + PartialEq, T: Clone> Once<K, T> {
    pub fn get(&self, key: &K) -> Option<T> {
        let all = self.0.borrow();
        all.iter().find(|(known, _)| known == key).map(|(_, value)| value.clone())
    }

    /// The value of a key. `make` may itself ask for other values.
    pub fn get_or(&self, key: &K, make: impl FnOnce() -> T) -> T {
        if let Some(known) = self.get(key) {
            return known;
        }
        let value = make();
        let mut all = self.0.borrow_mut();
        if all.len() == all.capacity() {
            all.reserve(USUAL);
        }
        all.push((*key, value.clone()));
        value
    }

    /// Something of each, in the order in which they were made.
    pub fn map<M>(&self, of: impl Fn(&K, &T) -> M) -> Vec<M> {
        self.0.borrow().iter().map(|(key, value)| of(key, value)).collect()
    }
}

//! Maps that share entries: a changed map shares all but a few with the map before.
//!
//! A state is kept after every block of a diary, and a block changes little of it. Entries are in small leaves,
//! sorted by key. A change copies one leaf and the list of leaves.

use std::borrow::Borrow;
use std::fmt;
use std::sync::Arc;

/// The most entries of a leaf.
const LEAF: usize = 8;

type Leaf<K, V> = Arc<Vec<(K, V)>>;

/// Values by their keys, in the order of the keys. Cheap to clone.
pub struct Map<K, V> {
    leaves: Arc<Vec<Leaf<K, V>>>,
}

impl<K, V> Default for Map<K, V> {
    fn default() -> Self {
        Self { leaves: Arc::default() }
    }
}

impl<K, V> Clone for Map<K, V> {
    fn clone(&self) -> Self {
        Self { leaves: Arc::clone(&self.leaves) }
    }
}

impl<K, V> Map<K, V> {
    /// Whether both are the same map, so that nothing need be compared.
    pub fn is_one_with(&self, other: &Self) -> bool {
        Arc::ptr_eq(&self.leaves, &other.leaves)
    }

    pub fn iter(&self) -> impl DoubleEndedIterator<Item = (&K, &V)> {
        self.leaves.iter().flat_map(|leaf| leaf.iter()).map(|(key, value)| (key, value))
    }

    pub fn values(&self) -> impl DoubleEndedIterator<Item = &V> {
        self.iter().map(|(_, value)| value)
    }

    pub fn len(&self) -> usize {
        self.leaves.iter().map(|leaf| leaf.len()).sum()
    }

    pub fn is_empty(&self) -> bool {
        self.leaves.is_empty()
    }
}

impl<K: Copy + Ord, V> Map<K, V> {
    /// The leaf that a key is in, or belongs in.
    fn leaf<Q: Ord + ?Sized>(&self, key: &Q) -> usize
    where
        K: Borrow<Q>,
    {
        let begins = |leaf: &Leaf<K, V>| leaf.first().is_some_and(|(first, _)| first.borrow() <= key);
        self.leaves.partition_point(begins).saturating_sub(1)
    }

    pub fn get<Q: Ord + ?Sized>(&self, key: &Q) -> Option<&V>
    where
        K: Borrow<Q>,
    {
        let leaf = self.leaves.get(self.leaf(key))?;
        let at = leaf.binary_search_by(|(known, _)| known.borrow().cmp(key)).ok()?;
        leaf.get(at).map(|(_, value)| value)
    }

    pub fn contains_key(&self, key: &K) -> bool {
        self.get(key).is_some()
    }

    /// The last entry.
    pub fn last(&self) -> Option<&(K, V)> {
        self.leaves.last()?.last()
    }
}

impl<K: Copy + Ord, V: Clone> Map<K, V> {
    /// Puts a value in, and returns the one that it replaced.
    pub fn insert(&mut self, key: K, value: V) -> Option<V> {
        let at_leaf = self.leaf(&key);
        let leaves = Arc::make_mut(&mut self.leaves);
        let Some(leaf) = leaves.get_mut(at_leaf) else {
            leaves.push(Arc::new(vec![(key, value)]));
            return None;
        };
        let leaf = Arc::make_mut(leaf);
        match leaf.binary_search_by(|(known, _)| known.cmp(&key)) {
            Ok(at) => leaf.get_mut(at).map(|(_, known)| std::mem::replace(known, value)),
            Err(at) => {
                leaf.insert(at, (key, value));
                if leaf.len() > LEAF {
                    // Keys that come in order fill one leaf after another.
                    let is_last = at_leaf + 1 == leaves.len();
                    let leaf = leaves.get_mut(at_leaf)?;
                    let leaf = Arc::make_mut(leaf);
                    let behind = leaf.split_off(if is_last && at == LEAF { LEAF } else { LEAF / 2 });
                    leaves.insert(at_leaf + 1, Arc::new(behind));
                }
                None
            }
        }
    }

    /// Removes a value.
    pub fn remove(&mut self, key: &K) -> Option<V> {
        let at_leaf = self.leaf(key);
        let at = self.leaves.get(at_leaf)?.binary_search_by(|(known, _)| known.cmp(key)).ok()?;
        let leaves = Arc::make_mut(&mut self.leaves);
        let leaf = Arc::make_mut(leaves.get_mut(at_leaf)?);
        let (_, value) = leaf.remove(at);
        if leaf.is_empty() {
            leaves.remove(at_leaf);
        }
        Some(value)
    }
}

impl<K: PartialEq, V: PartialEq> PartialEq for Map<K, V> {
    fn eq(&self, other: &Self) -> bool {
        if self.is_one_with(other) {
            return true;
        }
        // Equal maps may be cut into other leaves; where not, most leaves are shared.
        let is_shared = |(one, other): (&Leaf<K, V>, &Leaf<K, V>)| Arc::ptr_eq(one, other) || one == other;
        let is_cut_alike = self.leaves.len() == other.leaves.len()
            && self.leaves.iter().zip(other.leaves.iter()).all(|(one, other)| one.len() == other.len());
        if is_cut_alike {
            self.leaves.iter().zip(other.leaves.iter()).all(is_shared)
        } else {
            self.iter().eq(other.iter())
        }
    }
}

impl<K: fmt::Debug, V: fmt::Debug> fmt::Debug for Map<K, V> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_map().entries(self.iter()).finish()
    }
}

impl<K: Copy + Ord, V: Clone> FromIterator<(K, V)> for Map<K, V> {
    fn from_iter<I: IntoIterator<Item = (K, V)>>(entries: I) -> Self {
        let mut map = Self::default();
        map.extend(entries);
        map
    }
}

impl<K: Copy + Ord, V: Clone> Extend<(K, V)> for Map<K, V> {
    fn extend<I: IntoIterator<Item = (K, V)>>(&mut self, entries: I) {
        for (key, value) in entries {
            self.insert(key, value);
        }
    }
}

#[cfg(test)]
mod tests {
    use std::collections::BTreeMap;

    use proptest::prelude::*;

    use super::*;

    proptest! {
        #[test]
        fn it_holds_what_a_map_holds_and_leaves_former_ones_alone(
            steps in prop::collection::vec((0_u8..40, prop::option::weighted(0.7, 0_u8..4)), 0..200)
        ) {
            let (mut map, mut plain) = (Map::default(), BTreeMap::new());
            for (key, value) in steps {
                let (before, was) = (map.clone(), plain.clone());
                match value {
                    Some(value) => prop_assert_eq!(map.insert(key, value), plain.insert(key, value)),
                    None => prop_assert_eq!(map.remove(&key), plain.remove(&key)),
                }
                prop_assert!(map.iter().eq(plain.iter()));
                prop_assert!(before.iter().eq(was.iter()));
                prop_assert_eq!(map.len(), plain.len());
                prop_assert_eq!(map.is_empty(), plain.is_empty());
                prop_assert_eq!(map == before, plain == was);
                for key in 0..40 {
                    prop_assert_eq!(map.get(&key), plain.get(&key));
                }
                prop_assert_eq!(&plain.iter().map(|(key, value)| (*key, *value)).collect::<Map<_, _>>(), &map);
            }
        }
    }

    #[test]
    fn a_change_copies_one_leaf() {
        let before: Map<u32, u32> = (0..100).map(|key| (key, key)).collect();
        let mut after = before.clone();
        after.insert(50, 7);
        let pairs = before.leaves.iter().zip(after.leaves.iter());
        assert_eq!(pairs.filter(|(one, other)| !Arc::ptr_eq(one, other)).count(), 1);
        assert!(before.leaves.len() <= 100_usize.div_ceil(LEAF));
    }
}

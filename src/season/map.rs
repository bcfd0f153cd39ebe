//! Maps that share entries: a changed map shares all but a few with the map before.
//!
//! A state is kept after every block of a diary, and a block changes little of it. Entries are in small leaves, sorted
//! by key. A change copies one leaf and the list of leaves. Both are slices, which take only the room of their entries;
//! an empty map takes none.

use std::borrow::Borrow;
use std::fmt;
use std::sync::Arc;

/// The most entries of a leaf.
const LEAF: usize = 8;

type Leaf<K, V> = Arc<[(K, V)]>;

/// Values by their keys, in the order of the keys. Cheap to clone.
pub struct Map<K, V> {
    /// `None` where there are none.
    leaves: Option<Arc<[Leaf<K, V>]>>,
}

impl<K, V> Default for Map<K, V> {
    fn default() -> Self {
        Self { leaves: None }
    }
}

impl<K, V> Clone for Map<K, V> {
    fn clone(&self) -> Self {
        Self { leaves: self.leaves.clone() }
    }
}

impl<K, V> Map<K, V> {
    fn leaves(&self) -> &[Leaf<K, V>] {
        self.leaves.as_deref().unwrap_or_default()
    }

    /// Whether both are the same map, so that nothing need be compared.
    pub fn is_one_with(&self, other: &Self) -> bool {
        match (&self.leaves, &other.leaves) {
            (Some(one), Some(other)) => Arc::ptr_eq(one, other),
            (one, other) => one.is_none() && other.is_none(),
        }
    }

    pub fn iter(&self) -> impl DoubleEndedIterator<Item = (&K, &V)> {
        self.leaves().iter().flat_map(|leaf| leaf.iter()).map(|(key, value)| (key, value))
    }

    pub fn values(&self) -> impl DoubleEndedIterator<Item = &V> {
        self.iter().map(|(_, value)| value)
    }

    pub fn len(&self) -> usize {
        self.leaves().iter().map(|leaf| leaf.len()).sum()
    }

    pub fn is_empty(&self) -> bool {
        self.leaves.is_none()
    }
}

impl<K: Copy + Ord, V> Map<K, V> {
    /// The leaf that a key is in, or belongs in.
    fn leaf<Q: Ord + ?Sized>(&self, key: &Q) -> usize
    where
        K: Borrow<Q>,
    {
        let begins = |leaf: &Leaf<K, V>| leaf.first().is_some_and(|(first, _)| first.borrow() <= key);
        self.leaves().partition_point(begins).saturating_sub(1)
    }

    pub fn get<Q: Ord + ?Sized>(&self, key: &Q) -> Option<&V>
    where
        K: Borrow<Q>,
    {
        let leaf = self.leaves().get(self.leaf(key))?;
        let at = leaf.binary_search_by(|(known, _)| known.borrow().cmp(key)).ok()?;
        leaf.get(at).map(|(_, value)| value)
    }

    pub fn contains_key(&self, key: &K) -> bool {
        self.get(key).is_some()
    }
}

impl<K: Copy + Ord, V: Clone> Map<K, V> {
    /// Puts a value in, and returns the one that it replaced.
    pub fn insert(&mut self, key: K, value: V) -> Option<V> {
        let at_leaf = self.leaf(&key);
        let Some(leaves) = &mut self.leaves else {
            self.leaves = Some(Arc::new([Arc::new([(key, value)])]));
            return None;
        };
        let leaf = leaves.get(at_leaf)?;
        match leaf.binary_search_by(|(known, _)| known.cmp(&key)) {
            Ok(at) => {
                let leaf = Arc::make_mut(Arc::make_mut(leaves).get_mut(at_leaf)?);
                leaf.get_mut(at).map(|(_, known)| std::mem::replace(known, value))
            }
            Err(at) => {
                let (before, behind) = leaf.split_at(at);
                let grown = [before, &[(key, value)], behind].concat();
                let is_last = at_leaf + 1 == leaves.len();
                let cut = match grown.len() {
                    ..=LEAF => grown.len(),
                    // Keys that come in order fill one leaf after another.
                    _ if is_last && at == LEAF => LEAF,
                    _ => LEAF / 2,
                };
                let (first, second) = grown.split_at(cut);
                let second = Some(second).filter(|second| !second.is_empty());
                self.replace(at_leaf, [Some(first), second]);
                None
            }
        }
    }

    /// Removes a value.
    pub fn remove(&mut self, key: &K) -> Option<V> {
        let at_leaf = self.leaf(key);
        let leaf = self.leaves().get(at_leaf)?;
        let at = leaf.binary_search_by(|(known, _)| known.cmp(key)).ok()?;
        let (_, value) = leaf.get(at)?.clone();
        let left: Vec<(K, V)> = leaf.iter().filter(|(known, _)| known != key).cloned().collect();
        self.replace(at_leaf, [Some(&*left).filter(|left| !left.is_empty()), None]);
        Some(value)
    }

    /// Replaces one leaf by others.
    fn replace(&mut self, at: usize, leaves: [Option<&[(K, V)]>; 2]) {
        let leaves = leaves.into_iter().flatten().map(Leaf::from);
        let (before, behind) = self.leaves().split_at(at);
        let behind = behind.iter().skip(1).cloned();
        let all: Arc<[Leaf<K, V>]> = before.iter().cloned().chain(leaves).chain(behind).collect();
        self.leaves = Some(all).filter(|all| !all.is_empty());
    }
}

impl<K: PartialEq, V: PartialEq> PartialEq for Map<K, V> {
    fn eq(&self, other: &Self) -> bool {
        if self.is_one_with(other) {
            return true;
        }
        // Equal maps may be cut into other leaves; where not, most leaves are shared.
        let is_shared = |(one, other): (&Leaf<K, V>, &Leaf<K, V>)| Arc::ptr_eq(one, other) || one == other;
        let pairs = || self.leaves().iter().zip(other.leaves());
        let is_cut_alike = self.leaves().len() == other.leaves().len()
            && pairs().all(|(one, other)| one.len() == other.len());
        if is_cut_alike { pairs().all(is_shared) } else { self.iter().eq(other.iter()) }
    }
}

impl<K: fmt::Debug, V: fmt::Debug> fmt::Debug for Map<K, V> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.debug_map().entries(self.iter()).finish()
    }
}

impl<K: Copy + Ord, V: Clone> FromIterator<(K, V)> for Map<K, V> {
    fn from_iter<I: IntoIterator<Item = (K, V)>>(entries: I) -> Self {
        let mut all: Vec<(K, V)> = entries.into_iter().collect();
        // Of two with one key, the later one: it comes first here, and is kept.
        all.reverse();
        all.sort_by_key(|(key, _)| *key);
        all.dedup_by_key(|(key, _)| *key);
        let leaves: Arc<[Leaf<K, V>]> = all.chunks(LEAF).map(Leaf::from).collect();
        Self { leaves: Some(leaves).filter(|leaves| !leaves.is_empty()) }
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

        #[test]
        fn of_two_entries_with_one_key_the_later_counts(entries in prop::collection::vec((0_u8..20, 0_u8..9), 0..60)) {
            let (map, plain): (Map<_, _>, BTreeMap<_, _>) = (entries.iter().copied().collect(), entries.into_iter().collect());
            prop_assert!(map.iter().eq(plain.iter()));
            prop_assert_eq!(map.is_empty(), plain.is_empty());
        }
    }

    #[test]
    fn a_change_copies_one_leaf() {
        let before: Map<u32, u32> = (0..100).map(|key| (key, key)).collect();
        let mut after = before.clone();
        after.insert(50, 7);
        let pairs = before.leaves().iter().zip(after.leaves());
        assert_eq!(pairs.filter(|(one, other)| !Arc::ptr_eq(one, other)).count(), 1);
        assert!(before.leaves().len() <= 100_usize.div_ceil(LEAF));
    }
}

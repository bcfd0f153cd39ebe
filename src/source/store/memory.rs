//! A book in memory: for tests, and for texts that an editor has not saved.

use std::collections::BTreeMap;

use super::{Listed, Listing, ReadError, Store, is_hidden};

/// Files in memory, over another store or alone.
#[derive(Default)]
pub struct Memory<'a> {
    files: BTreeMap<String, Vec<u8>>,
    under: Option<&'a dyn Store>,
}

impl<'a> Memory<'a> {
    pub fn new() -> Self {
        Self::default()
    }

    /// Files that hide those with the same path in another store.
    pub fn over(store: &'a dyn Store) -> Self {
        Self { files: BTreeMap::new(), under: Some(store) }
    }

    /// Adds or replaces a file.
    pub fn set(&mut self, path: impl Into<String>, bytes: impl Into<Vec<u8>>) {
        self.files.insert(path.into(), bytes.into());
    }

    /// Adds a file and returns the store.
    #[must_use]
    pub fn with(mut self, path: impl Into<String>, bytes: impl Into<Vec<u8>>) -> Self {
        self.set(path, bytes);
        self
    }
}

impl Store for Memory<'_> {
    fn list(&self) -> Result<Listing, ReadError> {
        let mut listing = self.under.map_or_else(|| Ok(Listing::default()), Store::list)?;
        listing.files.retain(|listed| !self.files.contains_key(&listed.path));
        let own = self.files.iter().filter(|(path, _)| !is_hidden(path));
        listing
            .files
            .extend(own.map(|(path, bytes)| Listed { path: path.clone(), bytes: bytes.len() as u64 }));
        listing.files.sort();
        Ok(listing)
    }

    fn read(&self, path: &str, limit: u64) -> Result<Vec<u8>, ReadError> {
        match (self.files.get(path), self.under) {
            (Some(bytes), _) if bytes.len() as u64 > limit => Err(ReadError::TooLarge { limit }),
            (Some(bytes), _) => Ok(bytes.clone()),
            (None, Some(under)) => under.read(path, limit),
            (None, None) => Err(ReadError::Missing),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn unsaved_files_hide_saved_ones() {
        let saved = Memory::new().with("a.md", "saved").with("b.md", "saved").with(".git/c.md", "hidden");
        let shown = Memory::over(&saved).with("b.md", "unsaved").with("d.md", "new");
        let paths: Vec<String> = shown.list().unwrap().files.into_iter().map(|listed| listed.path).collect();
        assert_eq!(paths, ["a.md", "b.md", "d.md"]);
        assert_eq!(shown.read("a.md", 10).unwrap(), b"saved");
        assert_eq!(shown.read("b.md", 10).unwrap(), b"unsaved");
        assert_eq!(shown.read("b.md", 3), Err(ReadError::TooLarge { limit: 3 }));
        assert_eq!(shown.read("c.md", 10), Err(ReadError::Missing));
    }
}

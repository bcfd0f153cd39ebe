//! The files that a session works on: edits over a store.

use std::collections::BTreeMap;

use crate::source::{Listed, Listing, ReadError, Store, limits};

/// Edits over a store that was listed once.
pub(super) struct Texts<'s> {
    under: Box<dyn Store + 's>,
    /// The store's listing, with the edits in it.
    listing: Listing,
    edits: BTreeMap<String, Vec<u8>>,
}

impl<'s> Texts<'s> {
    pub fn of(under: Box<dyn Store + 's>, listing: Listing) -> Self {
        Self { under, listing, edits: BTreeMap::new() }
    }

    pub fn listing(&self) -> &Listing {
        &self.listing
    }

    pub fn edit(&mut self, path: String, text: Vec<u8>) {
        self.list(&path, Some(text.len()));
        self.edits.insert(path, text);
    }

    /// Forgets an edit, and looks at what the store now has there.
    pub fn close(&mut self, path: &str) {
        self.edits.remove(path);
        let bytes = match self.under.read(path, limits::TEXT_BYTES) {
            Ok(bytes) => Some(bytes.len()),
            // The file exists; reading it will say what is wrong.
            Err(ReadError::TooLarge { .. } | ReadError::Unreadable { .. }) => Some(0),
            Err(ReadError::Missing | ReadError::LeadsOut) => None,
        };
        self.list(path, bytes);
    }

    /// Puts a file with its length into the listing, or removes it.
    fn list(&mut self, path: &str, bytes: Option<usize>) {
        // Hidden files belong to no book.
        let bytes = bytes.filter(|_| !path.split('/').any(|part| part.starts_with('.')));
        let files = &mut self.listing.files;
        let place = files.binary_search_by(|listed| listed.path.as_str().cmp(path));
        let listed = |bytes: usize| Listed { path: path.to_owned(), bytes: bytes as u64 };
        match (place, bytes) {
            (Ok(at), Some(bytes)) => files.splice(at..=at, [listed(bytes)]).for_each(drop),
            (Err(at), Some(bytes)) => files.insert(at, listed(bytes)),
            (Ok(at), None) => drop(files.remove(at)),
            (Err(_), None) => {}
        }
    }
}

impl Store for Texts<'_> {
    fn list(&self) -> Result<Listing, ReadError> {
        Ok(self.listing.clone())
    }

    fn read(&self, path: &str, limit: u64) -> Result<Vec<u8>, ReadError> {
        match self.edits.get(path) {
            Some(bytes) if bytes.len() as u64 > limit => Err(ReadError::TooLarge { limit }),
            Some(bytes) => Ok(bytes.clone()),
            None => self.under.read(path, limit),
        }
    }
}

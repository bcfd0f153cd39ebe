//! The id under which git keeps a file's contents.

use sha1_smol::Sha1;

/// The id of a file's git blob, 40 hexadecimal digits. It shows which text a page was compiled from, and stays
/// true whatever happens to the file.
///
/// **Source** Git user manual, "Object storage format": SHA-1 of `blob `, the length, a zero byte and the
/// contents.
pub fn blob_id(contents: &[u8]) -> String {
    let mut hash = Sha1::new();
    hash.update(format!("blob {}\0", contents.len()).as_bytes());
    hash.update(contents);
    hash.digest().to_string()
}

#[cfg(test)]
mod tests {
    use super::blob_id;

    #[test]
    fn the_id_is_what_git_says() {
        // Pro Git, 2nd edition, ch. 10.2: `echo 'test content' | git hash-object --stdin`.
        assert_eq!(blob_id(b"test content\n"), "d670460b4b4aece5915caf5c68d12f560a9fe3e4");
        // gitglossary(7) and everyone's repositories: the empty blob.
        assert_eq!(blob_id(b""), "e69de29bb2d1d6434b8b29ae775ad8c2e48c5391");
    }
}

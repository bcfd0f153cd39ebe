//! Paths within a book: text, `/` between folders, never absolute, never out of the book.

/// The path of something that a notebook points to, from the book's folder.
///
/// `None` where the target is no file of the book: an address with a scheme, an absolute path, or a path that
/// leads out of the book. Whether the file exists is not checked.
pub fn beside(notebook: &str, target: &str) -> Option<String> {
    let target = target.split(['?', '#']).next().unwrap_or(target);
    let scheme = target.split_once(':').map(|(scheme, _)| scheme);
    if target.is_empty() || target.starts_with(['/', '\\']) || scheme.is_some_and(|s| !s.contains('/')) {
        return None;
    }
    joined(notebook.rsplit_once('/').map_or("", |(folder, _)| folder), target)
}

/// A path from a folder on; `None` for one that climbs out of the top, or names nothing.
pub(super) fn joined(folder: &str, path: &str) -> Option<String> {
    let mut parts: Vec<&str> = folder.split('/').filter(|part| !part.is_empty()).collect();
    for part in path.split(['/', '\\']) {
        match part {
            "" | "." => {}
            ".." => {
                parts.pop()?;
            }
            name => parts.push(name),
        }
    }
    (!parts.is_empty()).then(|| parts.join("/"))
}

/// A path that goes down from the book's folder, without detours; empty for the folder itself.
///
/// `None` for one that is absolute, goes up (even if it would come back), or passes a hidden folder.
pub fn down(path: &str) -> Option<String> {
    if path.starts_with(['/', '\\']) || path.get(1..2) == Some(":") {
        return None;
    }
    let parts: Vec<&str> = path.split(['/', '\\']).filter(|part| !matches!(*part, "" | ".")).collect();
    (!parts.iter().any(|part| part.starts_with('.'))).then(|| parts.join("/"))
}

#[cfg(test)]
mod tests {
    use super::{beside, down};

    #[test]
    fn a_way_down_neither_climbs_nor_passes_what_is_hidden() {
        assert_eq!(down("print/./sheets/").as_deref(), Some("print/sheets"));
        assert_eq!(down("./").as_deref(), Some(""));
        let refused =
            ["/tmp", "\\\\host\\print", "c:print", "..", "print/../..", "print/../sheets", ".git/hooks"];
        for path in refused {
            assert_eq!(down(path), None, "{path}");
        }
    }

    #[test]
    fn targets_are_resolved_from_the_notebook_and_stay_in_the_book() {
        assert_eq!(beside("days/a.md", "fork.jpg").as_deref(), Some("days/fork.jpg"));
        assert_eq!(beside("days/a.md", "../photos/./fork.jpg").as_deref(), Some("photos/fork.jpg"));
        assert_eq!(beside("a.md", "photos/fork.jpg#left").as_deref(), Some("photos/fork.jpg"));
        assert_eq!(beside("days/a.md", "../../fork.jpg"), None);
        assert_eq!(beside("a.md", "/etc/fork.jpg"), None);
        assert_eq!(beside("a.md", "c:\\fork.jpg"), None);
        assert_eq!(beside("a.md", "https://example.org/fork.jpg"), None);
        assert_eq!(beside("days/a.md", ".."), None);
    }
}

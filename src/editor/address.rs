//! Addresses of files, as editors write them, and paths.

use std::fmt::Write;
use std::path::{Path, PathBuf};

use lsp_types::Uri;

/// The path of a file's address; `None` for anything else than a file of this machine, such as an unnamed
/// buffer.
pub(super) fn path(uri: &Uri) -> Option<PathBuf> {
    let is_file = uri.scheme().is_some_and(|scheme| scheme.as_str().eq_ignore_ascii_case("file"));
    let is_near = uri.authority().is_none_or(|authority| matches!(authority.as_str(), "" | "localhost"));
    if !is_file || !is_near {
        return None;
    }
    let decoded = uri.path().as_estr().decode().into_string().ok()?;
    if decoded.contains('\0') {
        return None;
    }
    // A drive's letter is behind a slash.
    let is_drive = cfg!(windows) && decoded.get(2..3) == Some(":");
    let path = if is_drive { decoded.trim_start_matches('/') } else { &decoded };
    let path = PathBuf::from(path);
    path.is_absolute().then_some(path)
}

/// The address of a file; `None` where the path is not text.
pub(super) fn uri(path: &Path) -> Option<Uri> {
    let text = path.to_str()?.replace('\\', if cfg!(windows) { "/" } else { "\\" });
    let mut address = String::from(if text.starts_with('/') { "file://" } else { "file:///" });
    for byte in text.bytes() {
        match byte {
            b'/' | b'-' | b'.' | b'_' | b'~' => address.push(char::from(byte)),
            _ if byte.is_ascii_alphanumeric() => address.push(char::from(byte)),
            _ => {
                let _ = write!(address, "%{byte:02X}");
            }
        }
    }
    address.parse().ok()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_with_any_letters_comes_back_from_its_address() {
        for text in ["/home/ed/loam/days/2026-04-11.md", "/a b/é ± ° 🏍/50%.md", "/x/#1?/y.md"] {
            let path = PathBuf::from(text);
            assert_eq!(super::path(&uri(&path).unwrap()), Some(path), "{text}");
        }
        let same: Uri = "file://localhost/a%20b/c.md".parse().unwrap();
        assert_eq!(super::path(&same), Some(PathBuf::from("/a b/c.md")));
    }

    #[test]
    fn what_is_no_file_has_no_path() {
        for text in ["untitled:Untitled-1", "https://example.org/a.md", "file://other/a.md", "file:///a%00b"]
        {
            assert_eq!(path(&text.parse().unwrap()), None, "{text}");
        }
    }
}

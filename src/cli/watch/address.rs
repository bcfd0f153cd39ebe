//! The addresses of the pages: names in one folder, each made from a notebook's path, so that a request can name nothing
//! else.

use crate::pages::proof::Addresses;
use crate::vocabulary::FigureName;

/// Stands between the parts of a name; in a path it stands for `/`.
const BETWEEN: char = '~';
const ENDING: &str = ".html";
/// In the address of a working: as things stand at the end of a day.
const AT_END: &str = "end";

/// What a page is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Name<'t> {
    Contents,
    /// Which edition the pages are made from at the moment.
    Edition,
    Season,
    /// A file of the book, by its path as written in a name.
    Notebook(&'t str),
    Sheet(&'t str),
    Working {
        figure: &'t str,
        line: Option<u32>,
        path: &'t str,
    },
}

/// The page that a target names; `None` for any other form.
pub(super) fn name(target: &str) -> Option<Name<'_>> {
    match target {
        "/" => return Some(Name::Contents),
        "/edition" => return Some(Name::Edition),
        "/season.html" => return Some(Name::Season),
        _ => {}
    }
    let (sort, rest) = target.strip_prefix('/')?.strip_suffix(ENDING)?.split_once(BETWEEN)?;
    match sort {
        "notebook" => Some(Name::Notebook(rest)),
        "sheet" => Some(Name::Sheet(rest)),
        "working" => {
            let (figure, rest) = rest.split_once(BETWEEN)?;
            let (line, path) = rest.split_once(BETWEEN)?;
            let line = if line == AT_END { None } else { Some(line.parse().ok()?) };
            Some(Name::Working { figure, line, path })
        }
        _ => None,
    }
}

/// A path of the book within a page's name. No two paths give the same.
///
/// **Source** RFC 3986, 2.3: letters, digits and four marks stay; every other byte is written as `%XX`.
pub(super) fn path(path: &str) -> String {
    let mut out = String::with_capacity(path.len());
    for byte in path.bytes() {
        match byte {
            b'/' => out.push(BETWEEN),
            b'-' | b'.' | b'_' => out.push(char::from(byte)),
            _ if byte.is_ascii_alphanumeric() => out.push(char::from(byte)),
            _ => out.push_str(&format!("%{byte:02X}")),
        }
    }
    out
}

/// The addresses of pages, each as a link from another page has it.
pub(super) struct Names;

impl Addresses for Names {
    fn notebook(&self, notebook: &str) -> String {
        format!("notebook{BETWEEN}{}{ENDING}", path(notebook))
    }

    fn working(&self, figure: FigureName, notebook: &str, line: Option<u32>) -> String {
        let line = line.map_or_else(|| AT_END.to_owned(), |line| line.to_string());
        format!("working{BETWEEN}{figure}{BETWEEN}{line}{BETWEEN}{}{ENDING}", path(notebook))
    }
}

/// What comes before and behind a figure's name in the address of its working at the end of a day.
pub(super) fn working(notebook: &str) -> (String, String) {
    (format!("working{BETWEEN}"), format!("{BETWEEN}{AT_END}{BETWEEN}{}{ENDING}", path(notebook)))
}

/// The page of a day's sheet.
pub(super) fn sheet(notebook: &str) -> String {
    format!("sheet{BETWEEN}{}{ENDING}", path(notebook))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::vocabulary::End;

    #[test]
    fn a_name_leads_back_to_its_page() {
        for notebook in ["days/a.md", "a~b/c.md", "Übung/ä é.md", "a%2Fb.md", "book.toml"] {
            let held = path(notebook);
            let target = |name: String| format!("/{name}");
            assert_eq!(name(&target(Names.notebook(notebook))), Some(Name::Notebook(&held)));
            assert_eq!(name(&target(sheet(notebook))), Some(Name::Sheet(&held)));
            let (before, behind) = working(notebook);
            let ratio = FigureName::DRIVE_RATIO;
            assert_eq!(format!("{before}{ratio}{behind}"), Names.working(ratio, notebook, None));
            for line in [None, Some(14)] {
                let page = target(Names.working(FigureName::SAG_RIDER.of(End::Rear), notebook, line));
                assert_eq!(name(&page), Some(Name::Working { figure: "sag.rear.rider", line, path: &held }));
            }
        }
        assert_ne!(path("a~b.md"), path("a/b.md"));
        assert_ne!(path("a%7Eb.md"), path("a~b.md"));
    }

    #[test]
    fn nothing_else_is_a_name() {
        for target in [
            "",
            "//",
            "/../x",
            "/notebook.html",
            "/notebook~a",
            "/working~a~b~c.html",
            "/?",
            "/season.html?x",
        ] {
            assert_eq!(name(target), None, "{target}");
        }
    }
}

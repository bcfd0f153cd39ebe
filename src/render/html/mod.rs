//! A document as one HTML file that needs no network: style, charts and photos are inside it.
//!
//! It says what the PDF says. Nothing gives way here, since a screen has no end; printed from a browser it uses
//! the same black ink. A table can be sorted by its heads where scripts run, and is complete where they do not.

use std::collections::BTreeSet;

use allsorts::subset::SubsetProfile;
use base64::engine::{Engine, general_purpose::STANDARD};
use sha2::{Digest, Sha256};

use crate::document::Weight;
use crate::document::tree::Document;
use crate::speech::say;

use super::{Images, Paper, fonts, mark};

mod blocks;
mod picture;
mod sheet;
mod table;

const STYLE: &str = include_str!("../../../templates/style.css");
/// Sorts tables.
const SCRIPT: &str = include_str!("../../../templates/sort.js");
/// Loads the page again while its notebook is being written.
const WATCH: &str = include_str!("../../../templates/watch.js");
const WATCH_STYLE: &str = include_str!("../../../templates/watch.css");

/// How a document is written as HTML.
#[derive(Debug, Clone, Default)]
pub struct HtmlOptions {
    /// The paper, if it is printed.
    pub paper: Paper,
    pub images: Images,
    /// A style sheet instead of the built-in one.
    pub style: Option<String>,
    /// Whether tables can be sorted by their heads.
    pub is_sortable: bool,
    /// What else a page has while its notebook is being written.
    pub watched: Option<Watched>,
}

/// A page that asks whether it has changed.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Watched {
    /// What it was made from: it is loaded again when that changes.
    pub edition: String,
    /// The links above it: words and address.
    pub ways: Vec<(String, String)>,
    /// The address of a figure's working, before and behind the figure's name; `None` where figures have no links.
    pub working: Option<(String, String)>,
}

/// Writes a document as one HTML file.
pub fn write(document: &Document, options: &HtmlOptions) -> String {
    // The body first: the head holds fonts reduced to what the body says.
    let mut page = Page::new(options);
    if let Some(watched) = &options.watched {
        page.raw("<nav class=\"watch\">");
        for (words, address) in &watched.ways {
            page.raw("<a href=\"");
            page.text(address);
            page.raw("\">");
            page.text(words);
            page.raw("</a> ");
        }
        page.raw("<span role=\"status\"></span></nav>\n");
    }
    page.raw("<main>\n");
    page.blocks(&document.blocks);
    page.raw("</main>\n");
    if let Some(foot) = &document.metadata.foot {
        page.raw("<footer>");
        page.text(foot);
        page.raw("</footer>\n");
    }
    let (body, letters) = (page.out, page.letters);
    let mut page = Page::new(options);
    page.raw("<!doctype html>\n<html lang=\"");
    page.text(&document.language);
    page.raw("\">\n<head>\n<meta charset=\"utf-8\">\n");
    page.raw(&format!("<meta http-equiv=\"Content-Security-Policy\" content=\"{}\">\n", policy(options)));
    page.raw(&format!("{}\n", mark::GENERATOR));
    page.raw("<meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>");
    page.text(&document.title);
    page.raw("</title>\n");
    for (name, content) in [
        ("description", &document.metadata.subject),
        ("author", &document.metadata.author),
        ("date", &document.metadata.date),
    ] {
        if let Some(content) = content {
            page.raw(&format!("<meta name=\"{name}\" content=\""));
            page.text(content);
            page.raw("\">\n");
        }
    }
    let size = match options.paper {
        Paper::A4 => "A4",
        Paper::Letter => "letter",
    };
    page.raw(&format!("<style>\n@page {{ size: {size}; margin: 12mm; }}\n"));
    page.faces(&letters);
    // A book's own style sheet must not be able to end its element.
    page.raw(&options.style.as_deref().unwrap_or(STYLE).replace("</", "<\\/"));
    match &options.watched {
        Some(watched) => {
            page.raw(WATCH_STYLE);
            page.raw("</style>\n</head>\n<body data-edition=\"");
            page.text(&watched.edition);
            page.raw("\" data-gone=\"");
            page.text(&document.tongue.say(&say!("loambook no longer watches")));
            page.raw("\">\n");
        }
        None => page.raw("</style>\n</head>\n<body>\n"),
    }
    page.raw(&body);
    for script in scripts(options) {
        page.raw(&format!("<script>{script}</script>\n"));
    }
    page.raw("</body>\n</html>\n");
    page.out
}

/// The scripts of a page: only ours.
fn scripts(options: &HtmlOptions) -> Vec<&'static str> {
    let all = [(options.is_sortable, SCRIPT), (options.watched.is_some(), WATCH)];
    all.into_iter().filter(|(is_run, _)| *is_run).map(|(_, script)| script).collect()
}

/// What a browser may do with the page (W3C Content Security Policy Level 3): fetch nothing, whatever a book's style sheet
/// asks for, and run only our own scripts, known by their hashes. A watched page may ask the server it came from, and no
/// other.
fn policy(options: &HtmlOptions) -> String {
    let hash = |script: &str| format!("'sha256-{}'", STANDARD.encode(Sha256::digest(script)));
    let hashes: Vec<String> = scripts(options).into_iter().map(hash).collect();
    let script = if hashes.is_empty() { "'none'".to_owned() } else { hashes.join(" ") };
    let asks = if options.watched.is_some() { "connect-src 'self'; " } else { "" };
    format!(
        "default-src 'none'; script-src {script}; {asks}style-src 'unsafe-inline'; img-src data:; font-src data:; \
         base-uri 'none'; form-action 'none'"
    )
}

/// A page being written.
struct Page<'p> {
    out: String,
    images: &'p Images,
    is_sortable: bool,
    working: Option<&'p (String, String)>,
    /// Every letter written so far.
    letters: BTreeSet<char>,
}

impl<'p> Page<'p> {
    fn new(options: &'p HtmlOptions) -> Self {
        Self {
            out: String::new(),
            images: &options.images,
            is_sortable: options.is_sortable,
            working: options.watched.as_ref().and_then(|watched| watched.working.as_ref()),
            letters: BTreeSet::new(),
        }
    }

    /// The type family reduced to what is written, so that the page looks the same on any telephone. For a
    /// weight that could not be reduced, the reader's own fonts are used.
    fn faces(&mut self, letters: &BTreeSet<char>) {
        for (weight, style, value) in [
            (Weight::Light, "normal", 300),
            (Weight::Regular, "normal", 400),
            (Weight::Italic, "italic", 400),
            (Weight::Bold, "normal", 600),
        ] {
            let glyphs = letters.iter().filter_map(|letter| fonts::glyph(weight, *letter));
            if let Ok(bytes) = fonts::subset(weight, glyphs, &SubsetProfile::Minimal) {
                self.raw(&format!(
                    "@font-face {{ font-family: \"Loambook\"; font-style: {style}; font-weight: {value}; \
                     src: url(data:font/ttf;base64,"
                ));
                STANDARD.encode_string(&bytes, &mut self.out);
                self.raw(") format(\"truetype\"); }\n");
            }
        }
    }

    /// The address of a figure's working; `None` where there is none.
    fn working(&self, figure: &str) -> Option<String> {
        self.working.map(|(before, behind)| format!("{before}{figure}{behind}"))
    }

    fn raw(&mut self, markup: &str) {
        self.out.push_str(markup);
    }

    fn text(&mut self, text: &str) {
        self.letters.extend(text.chars());
        escape(text, &mut self.out);
    }

    /// An element that holds text, with a class.
    fn element(&mut self, name: &str, class: &str, text: &str) {
        self.raw(&format!("<{name} class=\"{class}\">"));
        self.text(text);
        self.raw(&format!("</{name}>"));
    }
}

pub(super) fn escape(text: &str, out: &mut String) {
    for letter in text.chars() {
        match letter {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\'' => out.push_str("&#39;"),
            other => out.push(other),
        }
    }
}

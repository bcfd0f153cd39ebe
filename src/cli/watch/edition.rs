//! The book as it was at one moment, and its pages. Each page is made when it is asked for, from what was compiled: no
//! request names a file.

use std::sync::Arc;

use serde::Serialize;

use crate::advice;
use crate::book::Notebook;
use crate::document::compose_in;
use crate::document::tree::{Block, Document, Inline, Metadata};
use crate::finding::{Finding, Severity, tally};
use crate::pages::proof::Addresses as _;
use crate::pages::sheet::{self, Options};
use crate::pages::{ForReader as _, contents, proof, season};
use crate::render::Images;
use crate::render::html::{self, HtmlOptions, Watched};
use crate::session::Compiled;
use crate::source::Disk;
use crate::speech::{Message, Tongue, say};
use crate::vocabulary::FigureName;

use super::super::cleared::WithStops;
use super::super::failure::Failure;
use super::super::press::{STYLE, paper, photos, templates};
use super::super::sheet::{TEMPLATE as SHEET, sets_an_error};
use super::super::shelf::own_text;
use super::address::{self, Name, Names};
use super::listen::Answer;

const PAGE: &str = "text/html; charset=utf-8";
const TEXT: &str = "text/plain; charset=utf-8";

/// A book, compiled.
pub(super) struct Edition {
    /// Each edition has another name.
    pub name: String,
    pub compiled: Compiled,
    /// The findings of the whole book, as people read them.
    pub findings: Vec<Finding>,
    pub store: Arc<Disk>,
}

/// A page before it is written.
struct Draft {
    document: Document,
    images: Images,
    ways: Vec<(String, String)>,
    /// Around a figure's name in the address of its working.
    working: Option<(String, String)>,
    is_sortable: bool,
}

impl Edition {
    /// The answer to a target.
    pub fn answer(&self, target: &str) -> Answer {
        let Some(name) = address::name(target) else { return self.nowhere() };
        if name == Name::Edition {
            return Answer { kind: Some(TEXT), body: self.name.clone().into_bytes() };
        }
        match self.draft(&name) {
            Some(Ok(draft)) => Answer { kind: Some(PAGE), body: self.written(draft) },
            Some(Err(failure)) => {
                let document = self.told(&say!("This page cannot be made"), &failure.to_string());
                Answer { kind: Some(PAGE), body: self.written(self.plain(document)) }
            }
            None => self.nowhere(),
        }
    }

    /// A name that leads nowhere, or no longer does: the page waits for it to come back.
    fn nowhere(&self) -> Answer {
        let why = say!("The book has no such notebook, figure or line at the moment.");
        let document = self.told(&say!("There is no such page"), &self.tongue().say(&why));
        Answer { kind: None, body: self.written(self.plain(document)) }
    }

    fn draft(&self, name: &Name<'_>) -> Option<Result<Draft, Failure>> {
        let Compiled { book, season, advice, .. } = &self.compiled;
        match *name {
            Name::Edition => None,
            Name::Contents => {
                let page = contents::contents(&self.compiled, &self.findings, &Names, address::sheet);
                Some(
                    self.composed("contents.md", &page)
                        .map(|document| Draft { is_sortable: true, ..self.plain(document) }),
                )
            }
            Name::Season => {
                let page = season::page(book, season, advice, &season::Options::default());
                Some(
                    self.composed_in(&page.tongue, "season.md", &page)
                        .map(|document| Draft { is_sortable: true, ..self.plain(document) }),
                )
            }
            Name::Notebook(path) => {
                let path = self.path(path)?;
                let page = proof::proof(&self.compiled, &self.findings, path, &Names)?;
                let notebook = book.notebook(book.sources.find(path)?);
                let photos: Vec<&str> = notebook.map(|notebook| self.photos_of(notebook)).unwrap_or_default();
                Some(self.composed("proof.md", &page).map(|document| Draft {
                    document,
                    images: self.images(photos),
                    ways: self.ways(path),
                    ..self.plain(Document::default())
                }))
            }
            Name::Sheet(path) => {
                let path = self.path(path)?;
                let day = book.day_of(book.sources.find(path)?)?;
                if sets_an_error(season, day, &self.errors()) {
                    return Some(Err(Failure::new("there are errors in what it would set")));
                }
                let page = sheet::sheet(book, season, advice, day, Options::default())?;
                let photos = page.photos.iter().map(|photo| photo.path.as_str());
                Some(self.composed_in(&page.tongue, SHEET, &page).map(|document| Draft {
                    document,
                    images: self.images(photos),
                    ways: self.ways(path),
                    working: Some(address::working(path)),
                    ..self.plain(Document::default())
                }))
            }
            Name::Working { figure, line, path } => {
                let path = self.path(path)?;
                let page = proof::working(&self.compiled, FigureName::parse(figure)?, path, line)?;
                let day = book.day_of(book.sources.find(path)?);
                let page = WithStops { not_cleared: advice::not_cleared(book, advice, day), page };
                Some(
                    self.composed_in(page.tongue(), "why.md", &page)
                        .map(|document| Draft { ways: self.ways(path), ..self.plain(document) }),
                )
            }
        }
    }

    fn errors(&self) -> Vec<Finding> {
        let errors = self.compiled.findings.iter().filter(|finding| finding.severity == Severity::Error);
        errors.cloned().collect()
    }

    /// The path of the book that a name holds, if there is one.
    fn path(&self, held: &str) -> Option<&str> {
        let sources = &self.compiled.book.sources;
        sources.files().map(|file| sources.path(file)).find(|path| address::path(path) == held)
    }

    /// Where one can go from a notebook's page.
    fn ways(&self, path: &str) -> Vec<(String, String)> {
        let book = &self.compiled.book;
        let file = book.sources.find(path);
        let own = self.findings.iter().filter(|finding| Some(finding.span.file) == file);
        let mut ways = self.plain_ways();
        let notebook = say!("notebook: {tally}", tally = tally(own));
        ways.push((self.tongue().say(&notebook), Names.notebook(path)));
        if file.is_some_and(|file| book.day_of(file).is_some()) {
            ways.push((self.tongue().say(&say!("sheet")), address::sheet(path)));
        }
        ways
    }

    fn plain_ways(&self) -> Vec<(String, String)> {
        let say = |words: Message| self.tongue().say(&words);
        vec![(say(say!("book")), "/".to_owned()), (say(say!("season")), "season.html".to_owned())]
    }

    fn tongue(&self) -> &Tongue {
        self.compiled.book.about.units.tongue()
    }

    /// A page of a few words.
    fn told(&self, title: &Message, words: &str) -> Document {
        let tongue = self.tongue();
        let title = tongue.say(title);
        let heading = Block::Heading { level: 1, text: vec![Inline::plain(title.as_str())] };
        Document {
            title,
            language: tongue.tag().to_owned(),
            tongue: tongue.clone(),
            metadata: Metadata::default(),
            blocks: vec![heading, Block::Code(words.to_owned())],
            is_close: false,
        }
    }

    fn plain(&self, document: Document) -> Draft {
        let ways = self.plain_ways();
        Draft { document, images: Images::new(), ways, working: None, is_sortable: false }
    }

    fn composed(&self, template: &str, page: &impl Serialize) -> Result<Document, Failure> {
        self.composed_in(self.tongue(), template, page)
    }

    fn composed_in(
        &self,
        tongue: &Tongue,
        template: &str,
        page: &impl Serialize,
    ) -> Result<Document, Failure> {
        let templates = templates(&*self.store)?;
        compose_in(tongue, template, page, &templates).map_err(|error| Failure::new(error.to_string()))
    }

    fn written(&self, draft: Draft) -> Vec<u8> {
        let Draft { document, images, ways, working, is_sortable } = draft;
        let options = HtmlOptions {
            paper: paper(None, &self.compiled.book),
            images,
            // A style sheet that cannot be read is named by every sheet; the page is readable without it.
            style: own_text(&*self.store, STYLE).ok().flatten(),
            is_sortable,
            watched: Some(Watched { edition: self.name.clone(), ways, working }),
        };
        html::write(&document, &options).into_bytes()
    }

    fn photos_of<'a>(&'a self, notebook: &'a Notebook) -> Vec<&'a str> {
        let images = notebook.document.images.iter();
        images.filter_map(|image| self.compiled.book.photo(image)).collect()
    }

    /// Photos that can be read, up to the limit of a page.
    fn images<'p>(&self, paths: impl IntoIterator<Item = &'p str>) -> Images {
        photos(&self.compiled.book, &*self.store, paths).0
    }
}

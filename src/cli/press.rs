//! The way out of every page: a value through its template into the tree, and the tree as text, HTML or PDF.

use std::collections::BTreeMap;
use std::path::PathBuf;

use serde::Serialize;

use crate::book::Book;
use crate::document::tree::Block;
use crate::document::{self, Document, Templates};
use crate::pages::ForReader;
use crate::pages::sheet::Photo;
use crate::render::html::HtmlOptions;
use crate::render::mark::Form;
use crate::render::pdf::PdfOptions;
use crate::render::terminal::TextOptions;
use crate::render::{self, Images, Paper, terminal};
use crate::source::{FaultKind, ReadError, Store, limits};
use crate::speech::Tongue;
use crate::vocabulary::blocks;

use super::failure::Failure;
use super::left_out::LeftOut;
use super::output::{self, AnyFormat, Format as _, Output, PaperName, Place, Printing, To, Writer};
use super::screen::{Screen, json, json_line};
use super::shelf::own_text;

/// The folder of a book's own templates, and of a style sheet for its HTML.
const TEMPLATE_FOLDER: &str = "templates/";
pub(super) const STYLE: &str = "templates/style.css";
const TEMPLATE_ENDING: &str = ".md";

/// What all pages of a run share.
pub(super) struct Press<'a> {
    pub book: &'a Book,
    store: &'a dyn Store,
    templates: Templates,
    style: Option<String>,
    paper: Paper,
}

/// A page as it is written, and what it lacks.
pub(super) struct Page {
    pub bytes: Vec<u8>,
    pub left_out: LeftOut,
}

impl<'a> Press<'a> {
    /// With the book's own templates and style sheet, on the paper that was asked for, else the book's own, else A4.
    pub fn new(book: &'a Book, store: &'a dyn Store, paper: Option<PaperName>) -> Result<Self, Failure> {
        let (templates, style) = (templates(store)?, own_text(store, STYLE)?);
        Ok(Self { book, store, templates, style, paper: self::paper(paper, book) })
    }

    /// Lays a page out through its template, in the book's language.
    pub fn compose(&self, template: &str, page: &impl Serialize) -> Result<Document, Failure> {
        self.compose_in(self.book.about.units.tongue(), template, page)
    }

    /// The same in a rider's language.
    pub fn compose_in(
        &self,
        tongue: &Tongue,
        template: &str,
        page: &impl Serialize,
    ) -> Result<Document, Failure> {
        document::compose_in(tongue, template, page, &self.templates).map_err(|error| {
            Failure::new(error.to_string()).help("the book's own templates are in its `templates`")
        })
    }

    /// Prints documents into one PDF.
    pub fn pdf(&self, documents: &[Document], images: Images) -> Result<Page, Failure> {
        let options = PdfOptions { paper: self.paper, images, title: None };
        let printed = render::pdf::write(documents, &options)
            .map_err(|error| Failure::new(format!("the page cannot be printed: {error}")))?;
        let left_out = LeftOut::of(&printed, self.book);
        Ok(Page { bytes: printed.bytes, left_out })
    }

    /// A document as HTML; where wanted, tables sort by a press on their heads.
    pub fn html(&self, document: &Document, images: Images, is_sortable: bool) -> Vec<u8> {
        let style = self.style.clone();
        let options = HtmlOptions { paper: self.paper, images, style, is_sortable, watched: None };
        render::html::write(document, &options).into_bytes()
    }

    /// Documents in one file of some form; what it lacks is reported beside it.
    pub fn written(
        &self,
        documents: Vec<Document>,
        form: Form,
        text: TextOptions,
        screen: &mut Screen,
    ) -> Result<Vec<u8>, Failure> {
        match form {
            Form::Pdf => {
                let page = self.pdf(&documents, Images::new())?;
                page.left_out.report(None, self.book, screen);
                Ok(page.bytes)
            }
            Form::Html => {
                let all = joined(documents).ok_or_else(|| Failure::new("there is nothing to print"))?;
                Ok(self.html(&all, Images::new(), false))
            }
            _ => {
                let texts = documents.iter().map(|document| terminal::write(document, text));
                Ok(texts.collect::<Vec<_>>().join("\n").into_bytes())
            }
        }
    }
}

impl Press<'_> {
    /// The photos of a sheet.
    pub fn photos(&self, all: &[Photo]) -> (Images, LeftOut) {
        photos(self.book, self.store, all.iter().map(|photo| photo.path.as_str()))
    }
}

/// The photos that can be read, and which are too large; missing ones were reported before.
pub(super) fn photos<'p>(
    book: &Book,
    store: &dyn Store,
    paths: impl IntoIterator<Item = &'p str>,
) -> (Images, LeftOut) {
    let (mut images, mut left_out) = (Images::new(), LeftOut::default());
    let mut left = limits::DOCUMENT_PHOTO_BYTES;
    for path in paths {
        if images.contains_key(path) {
            continue;
        }
        let limit = left.min(limits::PHOTO_BYTES);
        match store.read(path, limit) {
            Ok(bytes) => {
                left = left.saturating_sub(bytes.len() as u64);
                images.insert(path.to_owned(), bytes);
            }
            Err(ReadError::TooLarge { .. }) if limit == limits::PHOTO_BYTES => {
                let why = format!("it has more than {limit} bytes, which is the most of one photo");
                left_out.photo(book, path, &why);
            }
            Err(ReadError::TooLarge { .. }) => {
                let most = limits::DOCUMENT_PHOTO_BYTES;
                let why = format!("with it the page's photos have more than {most} bytes, which is the most");
                left_out.photo(book, path, &why);
            }
            Err(_) => {}
        }
    }
    (images, left_out)
}

/// Joins documents, one below the other, as a browser shows them; the first gives the title.
pub(super) fn joined(documents: Vec<Document>) -> Option<Document> {
    documents.into_iter().reduce(|mut all, next| {
        all.blocks.push(Block::PageBreak { is_loose: false });
        all.blocks.extend(next.blocks);
        all
    })
}

/// The paper that was asked for; the book's own, or A4.
pub(super) fn paper(asked: Option<PaperName>, book: &Book) -> Paper {
    match (asked, book.about.paper.as_ref()) {
        (Some(PaperName::Letter), _) => Paper::Letter,
        (None, Some(own)) if own.text == blocks::LETTER => Paper::Letter,
        _ => Paper::A4,
    }
}

/// The built-in templates, each replaced by the book's own if there is one.
pub(super) fn templates(store: &dyn Store) -> Result<Templates, Failure> {
    let listing = store.list().map_err(|error| Failure::new(error.to_string()))?;
    let is_template = |path: &str| format!("{path}/") == TEMPLATE_FOLDER || path.ends_with(TEMPLATE_ENDING);
    let of_templates = |path: &str| format!("{path}/").starts_with(TEMPLATE_FOLDER) && is_template(path);
    let leads_out = |(path, kind): &&(String, FaultKind)| *kind == FaultKind::LeadsOut && of_templates(path);
    if let Some((path, _)) = listing.problems.iter().find(leads_out) {
        return Err(Failure::new(format!("{path} cannot be read: {}", ReadError::LeadsOut)));
    }
    let mut own: BTreeMap<String, String> = BTreeMap::new();
    for file in listing.files {
        let name = file.path.strip_prefix(TEMPLATE_FOLDER).filter(|name| name.ends_with(TEMPLATE_ENDING));
        let Some(name) = name else { continue };
        own.extend(own_text(store, &file.path)?.map(|text| (name.to_owned(), text)));
    }
    let own = own.iter().map(|(name, text)| (name.as_str(), text.as_str()));
    Templates::new(own).map_err(|error| Failure::new(error.to_string()))
}

/// How values are written as JSON.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Json {
    /// One object a line, one for each page.
    Lines,
    /// One object over several lines.
    Indented,
}

/// Where the pages of a command go, and how they are written.
pub(super) struct WayOut {
    place: Place,
    pub format: AnyFormat,
    paper: Option<PaperName>,
    /// The name of the file in a folder.
    stem: &'static str,
}

impl WayOut {
    /// The way that the command line names; else text on standard output.
    ///
    /// # Errors
    ///
    /// Where the format cannot be written there; checked before anything is read.
    pub fn new(printing: &Printing<AnyFormat>, stem: &'static str) -> Result<Self, Failure> {
        let (place, format) = printing.written.place()?;
        let format = format.unwrap_or(AnyFormat::Text);
        let place = output::place_of(place, format, stem)?;
        Ok(Self { place, format, paper: printing.paper, stem })
    }

    /// The way to a file that an option of its own names, as its ending says.
    pub fn to(file: PathBuf, stem: &'static str) -> Result<Self, Failure> {
        let (place, format) = To::of(file).place(None)?;
        let format = format.unwrap_or(AnyFormat::Text);
        Ok(Self { place: output::place_of(place, format, stem)?, format, paper: None, stem })
    }

    /// The form that is written.
    pub fn form(&self) -> Form {
        self.format.form()
    }

    /// As text to standard output.
    pub fn text(stem: &'static str) -> Self {
        Self { place: Place::Standard, format: AnyFormat::Text, paper: None, stem }
    }

    /// Prints pages, each through the template, which gets what `laid` makes of the page.
    pub fn print<'p, P: Serialize + ForReader, V: Serialize>(
        &self,
        (book, store): (&Book, &dyn Store),
        (template, json_form): (&str, Json),
        pages: &'p [P],
        laid: impl Fn(&'p P) -> V,
        screen: &mut Screen,
    ) -> Result<(), Failure> {
        let bytes = match (self.format, json_form) {
            (AnyFormat::Json, Json::Lines) => {
                let lines: Vec<String> = pages.iter().map(json_line).collect::<Result<_, _>>()?;
                lines.concat().into_bytes()
            }
            (AnyFormat::Json, Json::Indented) => {
                let all: Vec<String> = pages.iter().map(json).collect::<Result<_, _>>()?;
                all.concat().into_bytes()
            }
            _ => {
                let press = Press::new(book, store, self.paper)?;
                let documents: Vec<Document> = pages
                    .iter()
                    .map(|page| press.compose_in(page.tongue(), template, &laid(page)))
                    .collect::<Result<_, _>>()?;
                press.written(documents, self.format.form(), screen.text_for(&self.place), screen)?
            }
        };
        let output = Output { form: self.format.form(), bytes: &bytes };
        Writer::new().deliver(&self.place, self.stem, output, screen)
    }
}

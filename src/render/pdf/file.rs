//! Pages into the bytes of a PDF.

use std::collections::{BTreeMap, BTreeSet};

use allsorts::subset::SubsetProfile;
use flate2::{Compress, Compression, FlushCompress, Status};
use lopdf::{Dictionary, Object, StringFormat};
use printpdf::{
    Actions, BorderArray, CustomPdfConformance, ExternalStream, ExternalXObject, FontId, LinkAnnotation, Mm,
    Op, ParsedFont, PdfConformance, PdfDocument, PdfFont, PdfFontHandle, PdfPage, PdfSaveOptions, Pt, Rect,
    TextItem, XObject, XObjectId,
};

use crate::document::Weight;
use crate::document::tree::Document;

use super::super::{POINTS, Paper, fonts, mark};
use super::operators::Drawing;
use super::photo::{Photos, Stored};
use super::{Leaf, PdfError, text};

/// The letters that each weight is used for.
type Used = BTreeMap<Weight, BTreeSet<char>>;

/// An embedded weight.
pub(super) struct Face {
    /// Its name in the file.
    pub id: FontId,
    /// The number of each letter's glyph.
    pub glyphs: BTreeMap<char, u16>,
    /// A letter of each glyph.
    letters: String,
}

/// The bytes of the file, and the photos left out because their bodies are broken.
pub(super) fn write(
    leaves: &[Leaf],
    photos: &Photos<'_>,
    document: &Document,
    title: &str,
    paper: Paper,
) -> Result<(Vec<u8>, Vec<String>), PdfError> {
    let mut pdf = PdfDocument::new(title);
    describe(&mut pdf, document, title);
    let faces = embed(&mut pdf, leaves)?;
    let (mut stored, broken) = store(photos, leaves);
    for (id, photo) in stored.values() {
        // Without its bytes, which are inserted once: the writer would copy them.
        let dict = photo.dictionary(&id.0);
        let stream = ExternalStream { dict, content: Vec::new(), compress: false };
        let object = XObject::External(ExternalXObject { stream, width: None, height: None, dpi: None });
        pdf.resources.xobjects.map.insert(id.clone(), object);
    }
    let (width, height) = paper.size();
    // What is drawn on a page comes later. The writer has to know where links are, and which glyphs are used.
    let mut glyphs = Some(faces.values().flat_map(written));
    let pages = leaves.iter().map(|leaf| {
        let ops = glyphs.take().into_iter().flatten().chain(links(leaf, height)).collect();
        PdfPage::new(Mm((width / POINTS) as f32), Mm((height / POINTS) as f32), ops)
    });
    pdf.with_pages(pages.collect());
    let options = PdfSaveOptions { image_optimization: None, ..PdfSaveOptions::default() };
    let mut file = pdf.to_lopdf_document(&options, &mut Vec::new());
    draw(&mut file, leaves.iter().map(|leaf| Drawing::new(height, &faces, &stored).leaf(leaf)))?;
    fill(&mut file, &mut stored);
    finish(&mut file, leaves, document, height)?;
    deflate(&mut file)?;
    let mut bytes = Vec::new();
    file.save_to(&mut bytes).map_err(|error| PdfError::File(error.to_string()))?;
    Ok((bytes, broken))
}

/// The level at which streams are packed. Each step up takes twice as long, and saves one byte of thirty.
const PACKED: u32 = 3;

/// Packs every stream that is not packed yet; photos are. One packer does them all: to make one costs as much as a page.
fn deflate(file: &mut lopdf::Document) -> Result<(), PdfError> {
    let mut packer = Compress::new(Compression::new(PACKED), true);
    for object in file.objects.values_mut() {
        let Object::Stream(stream) = object else { continue };
        if !stream.allows_compression || stream.dict.has(b"Filter") {
            continue;
        }
        packer.reset();
        // There is only room for what is smaller packed.
        let mut packed = Vec::with_capacity(stream.content.len());
        let status = packer
            .compress_vec(&stream.content, &mut packed, FlushCompress::Finish)
            .map_err(|error| PdfError::File(error.to_string()))?;
        if status == Status::StreamEnd && packed.len() < stream.content.len() {
            stream.dict.set("Filter", "FlateDecode");
            stream.set_content(packed);
        }
    }
    Ok(())
}

/// The photos on the pages, each as large as its largest use, by their names in the book; and those whose
/// bodies are broken.
fn store(photos: &Photos<'_>, leaves: &[Leaf]) -> (BTreeMap<String, (XObjectId, Stored)>, Vec<String>) {
    let mut sizes: BTreeMap<&str, (f64, f64)> = BTreeMap::new();
    for photo in leaves.iter().flat_map(|leaf| &leaf.piece.photos) {
        let (width, height) = sizes.entry(&photo.target).or_default();
        (*width, *height) = (width.max(photo.at.width), height.max(photo.at.height));
    }
    let mut stored = BTreeMap::new();
    let mut broken = Vec::new();
    for (at, (name, (width, height))) in sizes.into_iter().enumerate() {
        match photos.stored(name, width, height) {
            Some(photo) => drop(stored.insert(name.to_owned(), (XObjectId(format!("Photo{at}")), photo))),
            None => broken.push(name.to_owned()),
        }
    }
    (stored, broken)
}

/// Writes with every glyph of a weight.
fn written(face: &Face) -> [Op; 2] {
    let font = PdfFontHandle::External(face.id.clone());
    [Op::SetFont { font, size: Pt(1.0) }, Op::ShowText { items: vec![TextItem::Text(face.letters.clone())] }]
}

/// The places of a page that lead elsewhere.
fn links(leaf: &Leaf, height: f64) -> impl Iterator<Item = Op> {
    leaf.piece.links.iter().map(move |(at, target)| {
        let rect = Rect {
            x: points(at.x),
            y: points(height - at.y - at.height),
            width: points(at.width),
            height: points(at.height),
            mode: None,
            winding_order: None,
        };
        let border = Some(BorderArray::Solid([0.0, 0.0, 0.0]));
        Op::LinkAnnotation {
            link: LinkAnnotation::new(rect, Actions::Uri(target.clone()), border, None, None),
        }
    })
}

/// To a hundredth of a point.
fn points(length: f64) -> Pt {
    Pt(((length * 100.0).round() / 100.0) as f32)
}

/// Puts what is drawn on each page into its place.
fn draw(file: &mut lopdf::Document, pages: impl Iterator<Item = Vec<u8>>) -> Result<(), PdfError> {
    let fault = |error: lopdf::Error| PdfError::File(error.to_string());
    for (id, drawn) in file.get_pages().into_values().zip(pages) {
        let contents =
            file.get_dictionary(id).and_then(|page| page.get(b"Contents")?.as_reference()).map_err(fault)?;
        let stream = file.get_object_mut(contents).and_then(Object::as_stream_mut).map_err(fault)?;
        stream.set_content(drawn);
    }
    Ok(())
}

/// Puts the bytes of the photos into their places.
fn fill(file: &mut lopdf::Document, stored: &mut BTreeMap<String, (XObjectId, Stored)>) {
    let mut bytes: BTreeMap<Vec<u8>, Vec<u8>> = stored
        .values_mut()
        .map(|(id, photo)| (id.0.clone().into_bytes(), std::mem::take(&mut photo.bytes)))
        .collect();
    for object in file.objects.values_mut() {
        let Object::Stream(stream) = object else { continue };
        let name = stream.dict.get(b"Name").and_then(Object::as_name).unwrap_or_default();
        if let Some(bytes) = bytes.remove(name) {
            stream.set_content(bytes);
        }
    }
}

/// The file's metadata.
fn describe(pdf: &mut PdfDocument, document: &Document, title: &str) {
    let info = &mut pdf.metadata.info;
    // By default the writer would declare this a file for the printing press.
    info.conformance = PdfConformance::Custom(CustomPdfConformance {
        requires_icc_profile: false,
        requires_xmp_metadata: false,
        ..CustomPdfConformance::default()
    });
    info.document_title = title.to_owned();
    info.author = document.metadata.author.clone().unwrap_or_default();
    info.subject = document.metadata.subject.clone().unwrap_or_default();
    info.creator = mark::PROGRAM.to_owned();
    info.producer = mark::PROGRAM.to_owned();
}

/// Reduces each weight to the letters that are used, and embeds it.
fn embed(pdf: &mut PdfDocument, leaves: &[Leaf]) -> Result<BTreeMap<Weight, Face>, PdfError> {
    let mut used = Used::new();
    for leaf in leaves {
        for (text, weight) in text::texts(&leaf.piece) {
            used.entry(weight).or_default().extend(text.chars());
        }
    }
    let mut faces = BTreeMap::new();
    for (weight, letters) in used {
        let id = FontId(font_name(weight).to_owned());
        // Letters that share a glyph are written as the first of them.
        let mut by_glyph: BTreeMap<u16, char> = BTreeMap::new();
        let mut written = BTreeMap::new();
        for letter in letters {
            // A no-break space is a space once lines are broken; a reader's search expects one.
            let plain = if letter == '\u{A0}' { ' ' } else { letter };
            let known = if fonts::glyph(weight, plain).is_some() { plain } else { fonts::STAND_IN };
            if let Some(glyph) = fonts::glyph(weight, known) {
                let first = *by_glyph.entry(glyph).or_insert(known);
                written.insert(letter, first);
            }
        }
        let bytes =
            fonts::subset(weight, by_glyph.keys().copied(), &SubsetProfile::Pdf).map_err(PdfError::Font)?;
        let mut parsed = ParsedFont::from_bytes(&bytes, 0, &mut Vec::new())
            .ok_or_else(|| PdfError::Font(format!("{} is not a font once cut down", id.0)))?;
        parsed.font_name = Some(format!("{}+{}", subset_tag(weight), id.0));
        let mut numbers = BTreeMap::new();
        for letter in by_glyph.values() {
            let lost = || PdfError::Font(format!("{} lost the letter {letter:?}", id.0));
            numbers.insert(*letter, parsed.lookup_glyph_index(u32::from(*letter)).ok_or_else(lost)?);
        }
        let glyphs =
            written.into_iter().filter_map(|(letter, first)| Some((letter, *numbers.get(&first)?))).collect();
        pdf.resources.fonts.map.insert(id.clone(), PdfFont::new(parsed));
        faces.insert(weight, Face { id, glyphs, letters: by_glyph.into_values().collect() });
    }
    Ok(faces)
}

fn font_name(weight: Weight) -> &'static str {
    match weight {
        Weight::Light => "IBMPlexSans-Light",
        Weight::Regular => "IBMPlexSans",
        Weight::Bold => "IBMPlexSans-SemiBold",
        Weight::Italic => "IBMPlexSans-Italic",
    }
}

/// Marks a font as reduced: six capitals, ISO 32000-1, 9.6.4.
fn subset_tag(weight: Weight) -> &'static str {
    match weight {
        Weight::Light => "LOAMBL",
        Weight::Regular => "LOAMBR",
        Weight::Bold => "LOAMBB",
        Weight::Italic => "LOAMBI",
    }
}

/// Sets, from the document, what the writer leaves to chance or to the press.
fn finish(
    file: &mut lopdf::Document,
    leaves: &[Leaf],
    document: &Document,
    height: f64,
) -> Result<(), PdfError> {
    let fault = |error: lopdf::Error| PdfError::File(error.to_string());
    file.version = "1.7".to_owned();
    let info = file.trailer.get(b"Info").and_then(Object::as_reference).map_err(fault)?;
    let info = file.get_object_mut(info).and_then(Object::as_dict_mut).map_err(fault)?;
    for key in ["GTS_PDFXVersion", "Trapped", "Identifier", "Keywords", "CreationDate", "ModDate"] {
        info.remove(key.as_bytes());
    }
    for key in ["Author", "Subject"] {
        if matches!(info.get(key.as_bytes()), Ok(Object::String(text, _)) if text.len() <= 2) {
            info.remove(key.as_bytes());
        }
    }
    if let Some(date) = document.metadata.date.as_deref().and_then(pdf_date) {
        info.set("CreationDate", Object::String(date.clone().into_bytes(), StringFormat::Literal));
        info.set("ModDate", Object::String(date.into_bytes(), StringFormat::Literal));
    }
    let outlines = outlines(file, leaves, height);
    let catalog = file.catalog_mut().map_err(fault)?;
    catalog.set("Lang", Object::string_literal(document.language.as_str()));
    let mut preferences = Dictionary::new();
    preferences.set("DisplayDocTitle", true);
    catalog.set("ViewerPreferences", preferences);
    if let Some(outlines) = outlines {
        catalog.set("Outlines", outlines);
        // A reader opens a file of many sheets with its list of them.
        let mode = if leaves.len() > 1 { "UseOutlines" } else { "UseNone" };
        catalog.set("PageMode", Object::Name(mode.into()));
    }
    let id = Object::String(fingerprint(file), StringFormat::Hexadecimal);
    file.trailer.set("ID", vec![id.clone(), id]);
    Ok(())
}

/// `YYYY-MM-DD` as PDF writes a date; `None` for anything else.
fn pdf_date(date: &str) -> Option<String> {
    let digits: String = date.split('-').collect();
    let is_date = date.len() == 10 && digits.len() == 8 && digits.bytes().all(|byte| byte.is_ascii_digit());
    is_date.then(|| format!("D:{digits}000000Z"))
}

/// Writes the bookmarks, second levels below the first level before them; `None` where there are none.
fn outlines(file: &mut lopdf::Document, leaves: &[Leaf], height: f64) -> Option<Object> {
    struct Entry {
        is_inner: bool,
        text: String,
        target: Object,
    }
    let pages: Vec<lopdf::ObjectId> = file.get_pages().into_values().collect();
    let mut entries: Vec<Entry> = Vec::new();
    for (leaf, page) in leaves.iter().zip(pages) {
        for (level, text, y) in &leaf.bookmarks {
            let top = Object::Real((height - y + 4.0) as f32);
            let target =
                vec![Object::Reference(page), Object::Name("XYZ".into()), Object::Null, top, Object::Null];
            let is_inner = *level > 1 && !entries.is_empty();
            entries.push(Entry { is_inner, text: text.clone(), target: Object::Array(target) });
        }
    }
    if entries.is_empty() {
        return None;
    }
    let root = file.new_object_id();
    let ids: Vec<lopdf::ObjectId> = entries.iter().map(|_| file.new_object_id()).collect();
    let outer: Vec<usize> =
        entries.iter().enumerate().filter(|(_, entry)| !entry.is_inner).map(|(at, _)| at).collect();
    let reference = |at: usize| ids.get(at).copied().map(Object::Reference).unwrap_or(Object::Null);
    for (at, entry) in entries.iter().enumerate() {
        let mut dictionary = Dictionary::new();
        dictionary.set("Title", utf16(&entry.text));
        dictionary.set("Dest", entry.target.clone());
        let siblings: Vec<usize> = if entry.is_inner {
            let parent = outer.iter().rev().find(|outer| **outer < at).copied().unwrap_or(0);
            dictionary.set("Parent", reference(parent));
            let end = outer.iter().find(|outer| **outer > at).copied().unwrap_or(entries.len());
            (parent + 1..end).collect()
        } else {
            dictionary.set("Parent", Object::Reference(root));
            let end = outer.iter().find(|outer| **outer > at).copied().unwrap_or(entries.len());
            if end > at + 1 {
                dictionary.set("First", reference(at + 1));
                dictionary.set("Last", reference(end - 1));
                dictionary.set("Count", Object::Integer(i64::try_from(end - at - 1).unwrap_or(0)));
            }
            outer.clone()
        };
        let own = siblings.iter().position(|sibling| *sibling == at).unwrap_or(0);
        if let Some(before) = own.checked_sub(1).and_then(|before| siblings.get(before)) {
            dictionary.set("Prev", reference(*before));
        }
        if let Some(behind) = siblings.get(own + 1) {
            dictionary.set("Next", reference(*behind));
        }
        if let Some(id) = ids.get(at) {
            file.set_object(*id, dictionary);
        }
    }
    let mut dictionary = Dictionary::new();
    dictionary.set("Type", Object::Name("Outlines".into()));
    dictionary.set("Count", Object::Integer(i64::try_from(entries.len()).unwrap_or(0)));
    dictionary.set("First", reference(outer.first().copied().unwrap_or(0)));
    dictionary.set("Last", reference(outer.last().copied().unwrap_or(0)));
    file.set_object(root, dictionary);
    Some(Object::Reference(root))
}

/// Text outside pages: UTF-16 with its mark, ISO 32000-1, 7.9.2.2.
fn utf16(text: &str) -> Object {
    let bytes = [0xFE, 0xFF].into_iter().chain(text.encode_utf16().flat_map(u16::to_be_bytes)).collect();
    Object::String(bytes, StringFormat::Hexadecimal)
}

/// Sixteen bytes that are the same for the same objects: FNV-1a, once as usual and once with another start. An
/// id distinguishes files; it keeps nothing secret.
fn fingerprint(file: &lopdf::Document) -> Vec<u8> {
    const PRIME: u64 = 0x0000_0100_0000_01B3;
    let mut halves: [u64; 2] = [0xCBF2_9CE4_8422_2325, 0x6C62_272E_07BB_0142];
    let mut take = |bytes: &[u8]| {
        for half in &mut halves {
            for byte in bytes {
                *half = (*half ^ u64::from(*byte)).wrapping_mul(PRIME);
            }
        }
    };
    for object in file.objects.values() {
        match object {
            Object::Stream(stream) => take(&stream.content),
            other => take(format!("{other:?}").as_bytes()),
        }
    }
    halves.iter().flat_map(|half| half.to_be_bytes()).collect()
}

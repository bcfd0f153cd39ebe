//! The marks in the program's outputs, by which a former output is known.
//!
//! Nothing else may be overwritten. Text for people has no mark, and so is never overwritten.

use std::collections::BTreeMap;

use serde::Deserialize;
use serde::de::IgnoredAny;

use crate::pages::{export, season};

/// What PDF calls the producer and HTML the generator.
pub(super) const PROGRAM: &str = "loambook";
/// The generator in HTML, before anything from a notebook.
pub(super) const GENERATOR: &str = "<meta name=\"generator\" content=\"loambook\">";
/// How a calendar's `PRODID` begins; the version follows.
pub(super) const PRODUCT: &str = "-//loambook//loambook ";
/// The generator is within this many first bytes.
const HEAD_BYTES: usize = 4096;

/// The form of an output.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    Text,
    Pdf,
    Html,
    Csv,
    Parquet,
    Json,
    Calendar,
}

impl Form {
    /// The ending of its file names.
    pub fn ending(self) -> &'static str {
        match self {
            Self::Text => "txt",
            Self::Pdf => "pdf",
            Self::Html => "html",
            Self::Csv => "csv",
            Self::Parquet => "parquet",
            Self::Json => "json",
            Self::Calendar => "ics",
        }
    }

    /// Whether the mark is at the end of a file rather than its beginning.
    pub fn ends_with_its_mark(self) -> bool {
        self == Self::Parquet
    }

    /// Whether bytes are a former output of this form that the program may replace with `now`.
    pub fn was_written(self, bytes: &[u8], now: &[u8]) -> bool {
        match self {
            Self::Text => false,
            Self::Pdf => pdf(bytes).is_some_and(|about| about.producer.as_deref() == Some(PROGRAM)),
            Self::Html => html_head(bytes).is_some(),
            Self::Csv => is_table(bytes, now),
            Self::Parquet => is_parquet(bytes, now),
            Self::Json => is_object(bytes, now),
            Self::Calendar => is_calendar(bytes),
        }
    }

    /// The date that an output gives as its own.
    pub fn date(self, bytes: &[u8]) -> Option<String> {
        match self {
            Self::Pdf => pdf(bytes)?.creation_date,
            Self::Html => {
                let head = html_head(bytes)?;
                let (_, behind) = head.split_once("<meta name=\"date\" content=\"")?;
                behind.split_once('"').map(|(date, _)| date.to_owned())
            }
            _ => None,
        }
    }
}

fn pdf(bytes: &[u8]) -> Option<lopdf::PdfMetadata> {
    if !bytes.starts_with(b"%PDF-") {
        return None;
    }
    lopdf::Document::load_metadata_mem(bytes).ok()
}

/// The head of a page written by the program.
fn html_head(bytes: &[u8]) -> Option<String> {
    let head = String::from_utf8_lossy(bytes.get(..HEAD_BYTES).unwrap_or(bytes)).into_owned();
    let (before, _) = head.split_once(GENERATOR)?;
    (before.starts_with("<!doctype html>") && !before.contains("<title>")).then_some(head)
}

/// Whether bytes are a table of the program's, of the same sort as `now`: tables are known by their heads. Of a long output, the
/// first line of either is enough. Later versions may have more columns.
fn is_table(bytes: &[u8], now: &[u8]) -> bool {
    let heads = |bytes: &[u8]| -> Vec<String> {
        let mut reader = csv::ReaderBuilder::new().flexible(true).from_reader(bytes);
        reader.headers().map(|heads| heads.iter().map(str::to_owned).collect()).unwrap_or_default()
    };
    let (former, now) = (heads(bytes), heads(now));
    let begins = |heads: &[String], with: &[&str]| {
        heads.len() >= with.len() && heads.iter().zip(with).all(|(head, wanted)| head == wanted)
    };
    if begins(&now, &season::HEADS) {
        return begins(&former, &season::HEADS);
    }
    let is_export = export::Table::ALL.iter().any(|table| begins(&former, &table.heads()));
    is_export && former.iter().zip(&now).all(|(former, now)| former == now)
}

/// The writer's name in a Parquet file of the program's; it is in the foot of the file.
///
/// **Source** Apache Parquet's format, `FileMetaData.created_by`: application, `version`, version, build.
pub fn parquet_writer(table: &str) -> String {
    format!("{PROGRAM}-{table} version {} (build 0)", env!("CARGO_PKG_VERSION"))
}

/// Whether bytes are the end of a Parquet file with the same table; `now` is the name of its writer.
fn is_parquet(bytes: &[u8], now: &[u8]) -> bool {
    let end = " version ";
    let now = String::from_utf8_lossy(now);
    let Some((writer, _)) = now.split_once(end) else { return false };
    let writer = format!("{writer}{end}");
    bytes.ends_with(b"PAR1") && bytes.windows(writer.len()).any(|window| window == writer.as_bytes())
}

#[derive(Deserialize)]
struct Marked {
    #[serde(rename = "schema")]
    _schema: u32,
}

/// The keys of an object with a `schema`. Other programs' objects have one too, so an output is known by all its
/// keys.
fn keys(bytes: &[u8]) -> Option<Vec<String>> {
    serde_json::from_slice::<Marked>(bytes).ok()?;
    let object: BTreeMap<String, IgnoredAny> = serde_json::from_slice(bytes).ok()?;
    Some(object.into_keys().collect())
}

/// Whether bytes are an object of the same form as `now`. Some keys are written only where there is something to say, and later
/// versions may have more. So one of the two must have all keys of the other.
fn is_object(bytes: &[u8], now: &[u8]) -> bool {
    let (Some(former), Some(now)) = (keys(bytes), keys(now)) else { return false };
    let (few, many) = if former.len() < now.len() { (&former, &now) } else { (&now, &former) };
    few.len() >= 2 && few.iter().all(|key| many.contains(key))
}

fn is_calendar(bytes: &[u8]) -> bool {
    let head = String::from_utf8_lossy(bytes.get(..HEAD_BYTES).unwrap_or(bytes));
    let mut lines = head.lines();
    let product = format!("PRODID:{PRODUCT}");
    lines.next() == Some("BEGIN:VCALENDAR")
        && lines.take_while(|line| !line.starts_with("BEGIN:")).any(|line| line.starts_with(&product))
}

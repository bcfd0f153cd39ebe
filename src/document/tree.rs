//! What is on a page, before its size is known.

use serde::{Deserialize, Deserializer};

use super::chart::{Band, Chart};
use super::drawing::Drawing;
use crate::speech::Tongue;

/// A document: its metadata, and its blocks in reading order.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Document {
    pub title: String,
    /// BCP 47.
    pub language: String,
    /// For the few words that back ends add.
    pub tongue: Tongue,
    pub metadata: Metadata,
    pub blocks: Vec<Block>,
    /// There is less room between groups, on a page that is full.
    pub is_close: bool,
}

impl Document {
    /// Sets the language of its numbers, and of the words that back ends add.
    #[must_use]
    pub fn spoken(mut self, tongue: &Tongue) -> Self {
        if !tongue.is_english() {
            speak(&mut self.blocks, tongue);
        }
        Self { tongue: tongue.clone(), ..self }
    }
}

fn speak(blocks: &mut [Block], tongue: &Tongue) {
    for block in blocks {
        match block {
            Block::Chart { chart, .. } => chart.tongue = tongue.clone(),
            Block::Tiles(tiles) | Block::Marks(tiles) => {
                let bands = tiles.iter_mut().filter_map(|tile| tile.band.as_mut());
                bands.for_each(|band| band.tongue = tongue.clone());
            }
            Block::Columns(columns) => {
                columns.iter_mut().for_each(|column| speak(&mut column.blocks, tongue))
            }
            Block::List { items, .. } => items.iter_mut().for_each(|item| speak(item, tongue)),
            Block::Flow { blocks, .. } | Block::Quote(blocks) | Block::Cautions(blocks) => {
                speak(blocks, tongue)
            }
            _ => {}
        }
    }
}

/// What a document says about itself outside its text.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Metadata {
    pub subject: Option<String>,
    pub author: Option<String>,
    /// `YYYY-MM-DD`.
    pub date: Option<String>,
    /// The text at the foot of each page.
    pub foot: Option<String>,
    /// How many pages it may take before parts give way; `None` where it flows.
    pub pages: Option<u32>,
    /// How many lines of a terminal each of its heads may take before lists give way; `None` where it takes what it needs.
    pub lines: Option<u32>,
}

/// One thing on the page.
#[derive(Debug, Clone, PartialEq)]
pub enum Block {
    Head(Head),
    Heading {
        level: u8,
        text: Vec<Inline>,
    },
    Paragraph(Vec<Inline>),
    List {
        start: Option<u64>,
        items: Vec<Vec<Block>>,
    },
    Quote(Vec<Block>),
    Code(String),
    Table(Table),
    Settings(Settings),
    Pressures(Pressures),
    Tiles(Vec<Tile>),
    /// Figures below each other, each on one line with the strip of its band.
    Marks(Vec<Tile>),
    Columns(Vec<Column>),
    /// Blocks that run on through this many columns of equal height.
    Flow {
        columns: u32,
        blocks: Vec<Block>,
    },
    Checklist(Vec<Vec<Inline>>),
    Chart {
        chart: Chart,
        is_wide: bool,
        is_kept: bool,
    },
    Drawing(Drawing),
    Image(Image),
    Lines {
        label: String,
        count: u32,
        is_kept: bool,
    },
    Box {
        label: String,
        millimetres: f64,
    },
    Cautions(Vec<Block>),
    Rule,
    PageBreak {
        /// Only where a good part of the page is filled: otherwise what follows goes on below.
        is_loose: bool,
    },
}

/// A stretch of text in one style.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Inline {
    pub text: String,
    pub is_strong: bool,
    pub is_emphasised: bool,
    pub is_code: bool,
    pub is_struck: bool,
    /// The link's target: only `http`, `https`, `mailto` and HTML files in the same folder get here.
    pub link: Option<String>,
    /// A line ends behind it.
    pub is_line_end: bool,
}

/// The top of a sheet.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Head {
    pub title: String,
    #[serde(default, deserialize_with = "given")]
    pub subtitle: Option<String>,
    #[serde(default, rename = "field")]
    pub fields: Vec<Field>,
}

/// A named value.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Field {
    pub label: String,
    pub value: String,
    /// Whether it is on one line with the field behind it, where they fit one.
    #[serde(default)]
    pub with_next: bool,
}

/// How a column of a table is set.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Align {
    #[default]
    Left,
    Centre,
    /// On the decimal mark where the cells are numbers.
    Right,
}

/// A table; its head is repeated on every page that it runs over.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Table {
    pub align: Vec<Align>,
    pub head: Vec<Cell>,
    pub rows: Vec<Vec<Cell>>,
    /// Set at the small size.
    pub is_small: bool,
}

/// What stands in a table's cell.
pub type Cell = Vec<Inline>;

/// What to set.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Settings {
    /// Above the columns: what, value, change, as ridden.
    pub headings: [String; 4],
    /// Above the settings that nobody changed, and behind `+n` for those that had to go.
    #[serde(rename = "unchanged")]
    pub unchanged_words: String,
    #[serde(default, rename = "row")]
    pub rows: Vec<Setting>,
    /// Whether the changed ones are in two columns as well, and the others in three, to leave room for the rest of the
    /// page.
    #[serde(skip)]
    pub is_flowing: bool,
    #[serde(skip)]
    pub is_tight: bool,
    /// How many of those that may go have gone, counted from the last.
    #[serde(skip)]
    pub moved_off: usize,
}

impl Settings {
    /// The settings that are shown, and how many more there are.
    pub fn shown(&self) -> (Vec<&Setting>, usize) {
        let may_go = self.rows.iter().filter(|row| row.may_go()).count();
        let stay = may_go - self.moved_off.min(may_go);
        let mut seen = 0;
        let is_shown = |row: &&Setting| {
            seen += usize::from(row.may_go());
            !row.may_go() || seen <= stay
        };
        (self.rows.iter().filter(is_shown).collect(), may_go - stay)
    }
}

/// One setting.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Setting {
    #[serde(default, deserialize_with = "given")]
    pub group: Option<String>,
    pub name: String,
    #[serde(default, deserialize_with = "given")]
    pub value: Option<String>,
    /// The uncertainty of the value, in its unit, behind `±`.
    #[serde(default, deserialize_with = "given")]
    pub expanded: Option<String>,
    #[serde(default, deserialize_with = "given")]
    pub unit: Option<String>,
    #[serde(default, deserialize_with = "given")]
    pub change: Option<String>,
    #[serde(default, deserialize_with = "given")]
    pub note: Option<String>,
    /// The reading that the missing value waits for.
    #[serde(default, deserialize_with = "given")]
    pub wanted: Option<String>,
    /// Whether it counts as changed; where not given, whether it has a change.
    pub changed: Option<bool>,
    /// It never moves off a full page.
    #[serde(default, rename = "keep")]
    pub is_kept: bool,
}

impl Setting {
    /// Large, with its change beside it; the others are below, at text size.
    pub fn is_changed(&self) -> bool {
        self.changed.unwrap_or(self.change.is_some())
    }

    /// Whether it may move off a full page.
    pub fn may_go(&self) -> bool {
        !self.is_changed() && !self.is_kept
    }
}

/// What to pump, and where: the largest thing on a sheet.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Pressures {
    /// Above the names, above each column of numbers, and above the boxes.
    pub headings: Vec<String>,
    #[serde(default, rename = "row")]
    pub rows: Vec<PressureRow>,
}

/// A chamber or tyre.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct PressureRow {
    pub name: String,
    #[serde(default, deserialize_with = "given")]
    pub change: Option<String>,
    /// One for each column of numbers.
    #[serde(default, rename = "cell")]
    pub cells: Vec<Gauge>,
}

/// What a gauge shows, or should show.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Gauge {
    #[serde(default, deserialize_with = "given")]
    pub value: Option<String>,
    /// The uncertainty of the value, in its unit, behind `±`.
    #[serde(default, deserialize_with = "given")]
    pub expanded: Option<String>,
    #[serde(default, deserialize_with = "given")]
    pub unit: Option<String>,
    /// The reading that the missing value waits for.
    #[serde(default, deserialize_with = "given")]
    pub wanted: Option<String>,
    /// At text size, because nobody sets it.
    #[serde(default, rename = "small")]
    pub is_small: bool,
}

impl Pressures {
    /// Whether every cell is a bare box to write in.
    pub fn is_form(&self) -> bool {
        let mut cells = self.rows.iter().flat_map(|row| &row.cells).peekable();
        let is_bare = |gauge: &Gauge| {
            gauge.value.is_none() && gauge.wanted.as_deref().is_some_and(|wanted| wanted.trim().is_empty())
        };
        cells.peek().is_some() && cells.all(is_bare)
    }
}

impl Gauge {
    /// Whether it shows nothing.
    pub fn is_empty(&self) -> bool {
        self.value.is_none() && self.wanted.is_none()
    }
}

/// An empty text counts as absent.
fn given<'de, D: Deserializer<'de>>(text: D) -> Result<Option<String>, D::Error> {
    Ok(Option::<String>::deserialize(text)?.filter(|text| !text.is_empty()))
}

/// A figure with its name.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tile {
    /// The name of the figure that it shows, for a link to its working.
    #[serde(default, deserialize_with = "given")]
    pub figure: Option<String>,
    pub label: String,
    #[serde(default, deserialize_with = "given")]
    pub value: Option<String>,
    /// The uncertainty of the value, in its unit, behind `±`.
    #[serde(default, deserialize_with = "given")]
    pub expanded: Option<String>,
    #[serde(default, deserialize_with = "given")]
    pub unit: Option<String>,
    #[serde(default, deserialize_with = "given")]
    pub change: Option<String>,
    #[serde(default, deserialize_with = "given")]
    pub note: Option<String>,
    /// The reading that the missing value waits for.
    #[serde(default, deserialize_with = "given")]
    pub wanted: Option<String>,
    pub band: Option<Band>,
}

/// A column beside others.
#[derive(Debug, Clone, PartialEq)]
pub struct Column {
    /// Its part of the width, relative to its neighbours.
    pub weight: f64,
    pub blocks: Vec<Block>,
}

/// A picture, by its name in the notebook; the caller of the back end brings the bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Image {
    pub target: String,
    pub description: String,
}

/// The height of a chart that does not give one, in millimetres.
pub const CHART: f64 = 48.0;

/// Heading of a column where it is beside others, and where it is below them.
pub const BESIDE: u8 = 5;
pub const BELOW: u8 = 6;

impl Block {
    /// Whether this is a column's heading that is hidden in such a place.
    pub fn is_hidden(&self, is_beside: bool) -> bool {
        let hidden = if is_beside { BELOW } else { BESIDE };
        matches!(self, Self::Heading { level, .. } if *level == hidden)
    }
}

impl Inline {
    /// Plain text.
    pub fn plain(text: impl Into<String>) -> Self {
        Self { text: text.into(), ..Self::default() }
    }
}

/// The text of a run of inlines without its styles.
pub fn plain_text(inlines: &[Inline]) -> String {
    inlines
        .iter()
        .map(|inline| if inline.is_line_end { format!("{} ", inline.text) } else { inline.text.clone() })
        .collect()
}

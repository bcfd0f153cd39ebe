//! What stands on a page, before anyone knows how large the page is.

use serde::{Deserialize, Deserializer};

use super::chart::{Band, Chart};
use super::drawing::Drawing;
use crate::speech::Tongue;

/// A document: what is said about it, and its blocks in reading order.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Document {
    pub title: String,
    /// BCP 47.
    pub language: String,
    /// For the few words of whoever lays it out.
    pub tongue: Tongue,
    pub metadata: Metadata,
    pub blocks: Vec<Block>,
    /// There is less room between groups, on a page that is full.
    pub is_close: bool,
}

impl Document {
    /// Has its numbers and the words of whoever lays it out in a language.
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

/// What a document says of itself outside its text.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Metadata {
    pub subject: Option<String>,
    pub author: Option<String>,
    /// `YYYY-MM-DD`.
    pub date: Option<String>,
    /// What stands at the foot of each page.
    pub foot: Option<String>,
    /// How many pages it may take before things give way; absent, it flows.
    pub pages: Option<u32>,
    /// How many lines of a terminal it may take for each of its heads before lists give way; absent, it takes what it needs.
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
    /// Blocks that run on through this many columns of one height.
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
        /// Only where a good part of the page is filled: what follows may go on below what is there.
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
    /// Where it leads: only `http`, `https`, `mailto` and HTML files in the same folder ever get here.
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
    /// Over the columns: what, value, change, as ridden.
    pub headings: [String; 4],
    /// Over the settings that nobody changed, and behind `+n` for those that had to go.
    #[serde(rename = "unchanged")]
    pub unchanged_words: String,
    #[serde(default, rename = "row")]
    pub rows: Vec<Setting>,
    /// Whether those that changed stand in two columns as well, and the others in three, to leave room for what else is on
    /// the page.
    #[serde(skip)]
    pub is_flowing: bool,
    #[serde(skip)]
    pub is_tight: bool,
    /// How many of those that may go have gone, from the last.
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
    /// What the value may be off by either way, in its unit: what stands behind `±`.
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
    /// Whether it counts as changed; where its change is told when not given.
    pub changed: Option<bool>,
    /// Never moves off a full page.
    #[serde(default, rename = "keep")]
    pub is_kept: bool,
}

impl Setting {
    /// Large, with its change beside it; the others stand below at text size.
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
    /// Over the names, over each column of numbers, and over the boxes.
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

/// What a gauge shows, or is to show.
#[derive(Debug, Clone, PartialEq, Eq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Gauge {
    #[serde(default, deserialize_with = "given")]
    pub value: Option<String>,
    /// What the value may be off by either way, in its unit: what stands behind `±`.
    #[serde(default, deserialize_with = "given")]
    pub expanded: Option<String>,
    #[serde(default, deserialize_with = "given")]
    pub unit: Option<String>,
    /// The reading that the missing value waits for.
    #[serde(default, deserialize_with = "given")]
    pub wanted: Option<String>,
    /// Told at text size: nobody sets it.
    #[serde(default, rename = "small")]
    pub is_small: bool,
}

impl Gauge {
    /// Whether there is nothing to be told.
    pub fn is_empty(&self) -> bool {
        self.value.is_none() && self.wanted.is_none()
    }
}

/// An empty text says nothing, and so is absent.
fn given<'de, D: Deserializer<'de>>(text: D) -> Result<Option<String>, D::Error> {
    Ok(Option::<String>::deserialize(text)?.filter(|text| !text.is_empty()))
}

/// A figure with its name.
#[derive(Debug, Clone, PartialEq, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tile {
    /// The name of the figure that it shows, for whoever leads to its working.
    #[serde(default, deserialize_with = "given")]
    pub figure: Option<String>,
    pub label: String,
    #[serde(default, deserialize_with = "given")]
    pub value: Option<String>,
    /// What the value may be off by either way, in its unit: what stands behind `±`.
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
    /// Its part of the width, against those of its neighbours.
    pub weight: f64,
    pub blocks: Vec<Block>,
}

/// A picture by the name it has in the notebook; whoever renders brings the bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Image {
    pub target: String,
    pub description: String,
}

/// Heading of a column where it stands beside others, and where it stands below them.
pub const BESIDE: u8 = 5;
pub const BELOW: u8 = 6;

impl Block {
    /// Whether this is the heading of a column that is not shown where the column stands so.
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

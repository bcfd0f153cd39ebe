//! How much a book may hold: all limits in one place, each with its reason.
//!
//! A rider's season is a thousandth of these. Anything larger is a mistake, or meant to do harm. They follow from
//! what the program costs today: no book within them takes more than 1 GB or 20 s, and 50 ms for each file
//! written. The finding about a limit names it, and how much was found.

/// A notebook, `book.toml` or a template, in bytes: a whole novel.
pub const TEXT_BYTES: u64 = 2 << 20;
/// All notebooks of a book, in bytes: a parsed block takes some forty times the bytes that it is written in.
pub const BOOK_BYTES: u64 = 10 << 20;
/// A table of numbers, in bytes.
pub const TABLE_BYTES: u64 = 4 << 20;
/// Rows of a lap file: more than a season of laps. Comparing two stints sorts them.
pub const TABLE_ROWS: usize = 20_000;
/// Blocks in one notebook: each is a place of the diary whose whole state can be asked for.
pub const NOTEBOOK_BLOCKS: usize = 2_000;
/// Paragraphs and blocks of a notebook that a text is laid into: each is compared with each of the text's.
pub const NOTEBOOK_PIECES: usize = 4_000;
/// Values in one notebook: its keys, items of lists, and texts by their length.
pub const NOTEBOOK_VALUES: usize = 20_000;
/// Characters to a value, where a text holds several: a reading and its space.
pub const LETTERS_A_VALUE: usize = 4;
/// Fences in a book's notebooks: some seven years of a club's days.
pub const BOOK_BLOCKS: usize = 40_000;
/// Air chambers of one fork; the makers' largest have three. Every pressure is compared with all of them.
pub const CHAMBERS: usize = 16;
/// Notebooks in a book.
pub const NOTEBOOKS: usize = 5_000;
/// Settings and readings kept for the places of a diary where a block changed some. Each place keeps all that holds
/// there, in some hundred bytes each.
pub const KEPT: usize = 2_000_000;
/// Files in a book.
pub const FILES: usize = 100_000;
/// Folders nested within folders.
pub const DEPTH: usize = 32;
/// Findings shown of one notebook, or of one day by the rules: nobody reads further, and the first are mended
/// first.
pub const FILE_FINDINGS: usize = 100;
/// Findings shown in one run. Each is shown with its lines, so this is some megabytes of text.
pub const FINDINGS: usize = 2_000;
/// A photo, in bytes: the largest that a good camera writes as JPEG.
pub const PHOTO_BYTES: u64 = 16 << 20;
/// The photos of one document, in bytes: three copies are in memory while it is written.
pub const DOCUMENT_PHOTO_BYTES: u64 = 32 << 20;
/// Pixels of one photo. A JPEG is passed on as it is, and the reader's program decodes it.
pub const PHOTO_PIXELS: u64 = 128 << 20;
/// Pixels of a document's photos that are decoded here, which are PNGs; some tens of milliseconds.
pub const DECODED_PIXELS: u64 = 16 << 20;
/// What a template may write, in bytes: a season of a thousand days takes a fiftieth.
pub const WRITTEN_BYTES: usize = 8 << 20;
/// A template of a book's own, in bytes: ten times the longest that ships.
pub const TEMPLATE_BYTES: usize = 64 << 10;
/// Steps that a book's own template may always take. A step is a byte of a loop's body gone through once.
pub const TEMPLATE_STEPS: u64 = 4 << 20;
/// Further steps for each byte of what the page says.
pub const TEMPLATE_STEPS_PER_BYTE: u64 = 64;

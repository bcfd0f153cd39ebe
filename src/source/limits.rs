//! How much a book may hold: all limits in one place, each with its reason.
//!
//! A season of a rider is a thousandth of these; what is larger is a mistake, or meant to do harm. They are set by
//! what the program costs today, so that no book within them takes more than 1 GB or 20 s, and 50 ms for each
//! file that is written. What meets one says which limit, and how much was found.

/// A notebook, `book.toml` or a template, in bytes: a whole novel.
pub const TEXT_BYTES: u64 = 2 << 20;
/// All notebooks of a book, in bytes: a parsed block takes some forty times the bytes that it is written in.
pub const BOOK_BYTES: u64 = 10 << 20;
/// A table of numbers, in bytes.
pub const TABLE_BYTES: u64 = 4 << 20;
/// Rows of a table of lap times: more than a season of laps in one file. Comparing two stints sorts them.
pub const TABLE_ROWS: usize = 20_000;
/// Blocks in one notebook: each is a place of the diary where everything that holds can be asked for.
pub const NOTEBOOK_BLOCKS: usize = 2_000;
/// Paragraphs and blocks of a notebook that a text is laid into: each is held against each of the text's.
pub const NOTEBOOK_PIECES: usize = 4_000;
/// Values in one notebook: its keys, items of lists, and texts by their length.
pub const NOTEBOOK_VALUES: usize = 20_000;
/// Letters to a value, where a text holds several: a reading with its blank.
pub const LETTERS_A_VALUE: usize = 4;
/// Fences in a book's notebooks: some seven years of a club's days.
pub const BOOK_BLOCKS: usize = 40_000;
/// Air chambers of one fork, of which the makers' largest have three: each pressure is asked of all of them.
pub const CHAMBERS: usize = 16;
/// Notebooks in a book.
pub const NOTEBOOKS: usize = 5_000;
/// Settings and readings that are kept for the places of a diary, where a block changed some of them: each place keeps
/// all that holds there, in some hundred bytes each.
pub const KEPT: usize = 2_000_000;
/// Files in a book.
pub const FILES: usize = 100_000;
/// Folders within folders.
pub const DEPTH: usize = 32;
/// Findings told of one notebook, or of one day by the rules: nobody reads on, and the first are mended first.
pub const FILE_FINDINGS: usize = 100;
/// Findings told in one run. Each is shown with its lines, so that this is some megabytes of text.
pub const FINDINGS: usize = 2_000;
/// A photo, in bytes: the largest that a good camera writes as JPEG.
pub const PHOTO_BYTES: u64 = 16 << 20;
/// The photos of one document, in bytes: they lie in memory three times while it is written.
pub const DOCUMENT_PHOTO_BYTES: u64 = 32 << 20;
/// Pixels of one photo. A reader of the document decodes what is passed on to it as it is.
pub const PHOTO_PIXELS: u64 = 128 << 20;
/// Pixels of a document's photos that are decoded here, which are those in PNG; some tens of milliseconds.
pub const DECODED_PIXELS: u64 = 16 << 20;
/// What a template may write, in bytes: a season of a thousand days takes a fiftieth.
pub const WRITTEN_BYTES: usize = 8 << 20;
/// A template of a book's own, in bytes: ten times the longest that ships.
pub const TEMPLATE_BYTES: usize = 64 << 10;
/// Steps that a template of a book's own may take whatever its page says. A step is a byte of a loop's body gone
/// through once.
pub const TEMPLATE_STEPS: u64 = 4 << 20;
/// Steps more for each byte of what the page says.
pub const TEMPLATE_STEPS_PER_BYTE: u64 = 64;

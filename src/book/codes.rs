//! What can be wrong between notebooks.

use crate::finding::{Code, Severity};

const fn code(name: &'static str, severity: Severity, page: &'static str) -> Code {
    Code { name, severity, since: "0.1.0", page }
}

pub static NO_KIND: Code = code(
    "head/kind",
    Severity::Error,
    "A notebook that does not say what it is about.\n\nWithout `kind` nothing in it can be placed.\n\n\
     ```\n+++\nname = \"Corrie\"\n+++\n```\n\nBetter: add `kind = \"machine\"` (or `rider`, `track`, `day`).\n",
);
pub static UNKNOWN_LANGUAGE: Code = code(
    "head/language",
    Severity::Warning,
    "A language that nothing is said in.\n\nFindings and pages stay in English.\n\n\
     ```\nlanguage = \"xx\"\n```\n\nBetter: one of those that are listed, or the words of that language in the book's own \
     `templates/words/xx.toml`.\n",
);
pub static BAD_WORDS: Code = code(
    "words/entry",
    Severity::Warning,
    "An entry in a book's own words of a language that cannot be used.\n\nThe words stand behind an English pattern, and have its \
     places in braces, in any order. What cannot be used is left out, and what ships is said instead.\n\n\
     ```\n[findings]\n\"{headline} and {more} more\" = \"{headline}\"\n```\n\n\
     Better: the pattern as `loambook words --missing` lists it, with all of its places.\n",
);
pub static NO_DATE: Code = code(
    "head/date",
    Severity::Error,
    "A day without a date.\n\nSettings carry from day to day by date; a day without one cannot be placed.\n\n\
     Better: add `date = 2026-04-11` to the head.\n",
);
pub static NO_LINK: Code = code(
    "link/missing",
    Severity::Warning,
    "A day that does not say its machine, rider or track, in a book that has no default for it.\n\n\
     Without the machine nothing can be computed, without the rider no settings carry.\n\n\
     Better: add `machine = \"NAME\"` to the head, or `[defaults] machine` to `book.toml`.\n",
);
pub static UNKNOWN_LINK: Code = code(
    "link/unknown",
    Severity::Error,
    "A machine, rider, track, instrument or linkage that does not exist in the book.\n\n\
     A notebook is known by its file's name without `.md`; an instrument by its name in `book.toml`.\n\n\
     ```\nmachine = \"corrie-405\"\n```\n\nBetter: take the name that the help offers, or write the notebook.\n",
);
pub static SAME_NAME: Code = code(
    "link/same-name",
    Severity::Error,
    "Two notebooks of one kind with one name.\n\nOthers refer to a notebook by its file's name, wherever in the book it \
     lies; of two with one name only the first can be meant.\n\nBetter: rename one file.\n",
);
pub static NO_PHOTO: Code = code(
    "link/photo",
    Severity::Warning,
    "A photo that is not in the book, or that is neither PNG nor JPEG.\n\n\
     Photos print on the page behind the sheet; nothing is ever fetched from elsewhere.\n\n\
     Better: put the file into the book and write its path from the notebook.\n",
);
pub static UNPRINTED_PHOTO: Code = code(
    "photo/unprinted",
    Severity::Warning,
    "A photo that cannot be printed: it is too large, or broken.\n\n\
     The rest of the page is printed without it. A photo has 16 MiB and 128 million pixels at most, a page's photos 32 MiB, \
     and its PNGs, which are unpacked here, 16 million pixels.\n\n\
     Better: save it smaller, or as JPEG. Told when the page is printed, as no other command opens a photo.\n",
);
pub static FOLDER_OUTSIDE: Code = code(
    "link/folder",
    Severity::Error,
    "A folder for sheets that is not inside the book.\n\n\
     A book may come from somebody else; where it may write outside its own folder is for the command line to say. The \
     path goes down from `book.toml`: it is not absolute, has no `..`, and passes no hidden folder.\n\n\
     ```\n[output]\nfolder = \"../prints\"\n```\n\nBetter: `folder = \"prints\"`, or `-o` on the command line.\n",
);
pub static UNKNOWN_MENTION: Code = code(
    "name/mention",
    Severity::Error,
    "A code span that begins with `@` and names no figure, reading or setting.\n\n\
     ```\nThe rider sag came out at `@sag.rear.ridr`.\n```\n\nBetter: take the name that the help offers.\n",
);
pub static UNKNOWN_CHAMBER: Code = code(
    "link/chamber",
    Severity::Error,
    "A chamber that the machine's notebook does not have.\n\n\
     ````\n```pressures\nmian = \"152 psi\"\n```\n````\n\nBetter: take the name that the help offers, or add a `chamber NAME` \
     block to the machine.\n",
);

pub static FILLED_IN_TURN: Code = code(
    "chamber/filled-in-turn",
    Severity::Error,
    "A chamber that is filled from itself, or from a chamber that is filled from another in turn.\n\n\
     Better: `charged_from` names the chamber that is filled by hand.\n",
);
pub static RESERVED_CHAMBER: Code = code(
    "chamber/reserved-name",
    Severity::Error,
    "A chamber with a name that means something else in a `pressures` block, such as `at`, `found` or `gauge`.\n\n\
     Better: give it another name.\n",
);
pub static NO_LAP_FILE: Code = code(
    "laps/file",
    Severity::Error,
    "A file of lap times that is not there or cannot be read.\n\n\
     Paths are seen from the notebook, then from the book's folder; nothing outside it is read.\n\n\
     ````\n```stint\nlaps = \"laps/2026-04-11.csv\"\n```\n````\n\nBetter: put the file there, or mend the path.\n",
);
pub static NO_LAP_COLUMN: Code = code(
    "laps/column",
    Severity::Error,
    "A file of lap times in which the column of the laps cannot be found.\n\n\
     The stint asks for a column that the file has not, or for none where several columns look like lap times, or none \
     does. Numbers of laps, places, gaps and running times are never taken for laps.\n\n\
     Better: `column = \"…\"` with the name that stands in the file's first line, or `column = \"2\"` for the second.\n",
);
pub static BAD_LAP_ROW: Code = code(
    "laps/row",
    Severity::Warning,
    "Rows of a lap file that hold no lap time.\n\nThey are left out, and the others count; the first is shown.\n\n\
     Better: minutes and seconds, `2:04.1`, or seconds, `124.1`; name laps that do not count in `skip`.\n",
);

pub static TOO_MANY_LAP_ROWS: Code = code(
    "file/too-many-rows",
    Severity::Error,
    "A file of lap times with more rows than one may have.\n\n\
     The limit is more than a season of laps; it keeps a file of another kind from stopping the whole book. The rows up \
     to it are kept.\n\nBetter: a file a day.\n",
);

pub static TOO_MANY_CHAMBERS: Code = code(
    "file/too-many-chambers",
    Severity::Error,
    "A machine's notebook with more air chambers than a fork may have.\n\n\
     The limit is some five times what forks are made with; those behind it are left out.\n\n\
     Better: a `chamber NAME` block for each chamber that the fork has.\n",
);

/// All of this room's codes.
pub static CODES: &[&Code] = &[
    &NO_KIND,
    &UNKNOWN_LANGUAGE,
    &BAD_WORDS,
    &NO_DATE,
    &NO_LINK,
    &UNKNOWN_LINK,
    &SAME_NAME,
    &NO_PHOTO,
    &UNPRINTED_PHOTO,
    &FOLDER_OUTSIDE,
    &UNKNOWN_MENTION,
    &UNKNOWN_CHAMBER,
    &FILLED_IN_TURN,
    &RESERVED_CHAMBER,
    &NO_LAP_FILE,
    &NO_LAP_COLUMN,
    &BAD_LAP_ROW,
    &TOO_MANY_LAP_ROWS,
    &TOO_MANY_CHAMBERS,
];

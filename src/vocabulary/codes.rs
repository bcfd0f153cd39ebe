//! What can be wrong with the words of a notebook.

use crate::finding::{Code, Severity};

const fn code(name: &'static str, severity: Severity, page: &'static str) -> Code {
    Code { name, severity, since: "0.1.0", page }
}

pub static MISPLACED: Code = code(
    "block/misplaced",
    Severity::Error,
    "A block in a kind of notebook that it does not belong to.\n\n\
     Readings belong to days, hardware to machines: a `sag` block in a machine's notebook has no date, so nothing \
     could be made of it.\n\nBetter: move the block to the notebook that the help names.\n",
);
pub static ARGUMENT: Code = code(
    "block/argument",
    Severity::Error,
    "The word behind a block's own is missing, unknown or one too many.\n\n\
     `sag` needs to know which end it is about, `chamber` needs a name.\n\n\
     ````\n```sag\nhanging = \"612 mm\"\n```\n````\n\nBetter: write `sag rear` behind the fence.\n",
);
pub static REPEATED: Code = code(
    "block/repeated",
    Severity::Warning,
    "A block that a notebook should have once stands there twice.\n\n\
     Of two `frame` blocks only the later can count, which is seldom meant.\n\n\
     Better: bring them together, or write `void = \"why\"` into the one that no longer holds.\n",
);
pub static UNKNOWN_KEY: Code = code(
    "key/unknown",
    Severity::Error,
    "A key that the block does not have.\n\n\
     A misspelt key would otherwise be a reading that is silently lost.\n\n\
     ````\n```sag rear\nhangin = \"612 mm\"\n```\n````\n\n\
     Better: take the word that the help offers; `loambook words sag` lists them all.\n",
);
pub static MISSING_KEY: Code = code(
    "key/missing",
    Severity::Warning,
    "A block lacks a key that it is of little use without.\n\n\
     The rest of the block is kept; the finding says what cannot be had until the key is there.\n\n\
     ````\n```sag rear\naboard = \"508 mm\"\n```\n````\n\nBetter: add `hanging`, from which every sag is counted.\n",
);
pub static EMPTY_BLOCK: Code = code(
    "block/empty",
    Severity::Note,
    "A block with nothing in it.\n\nIt does no harm and says nothing.\n\nBetter: fill it in, or delete it.\n",
);
pub static WRONG_FORM: Code = code(
    "value/wrong-form",
    Severity::Error,
    "A value of the wrong form: a number where words are wanted, a table where a number is.\n\n\
     ````\n```change\nbecause = 3\n```\n````\n\nBetter: write it in the form that the help shows.\n",
);
pub static UNKNOWN_WORD: Code = code(
    "value/unknown-word",
    Severity::Error,
    "A word that is not one of the few that a key takes.\n\n\
     ````\n```steering\ndrop = \"drops\"\n```\n````\n\nBetter: `drop = \"falls\"` or `drop = \"stays\"`.\n",
);
pub static UNKNOWN_NAME: Code = code(
    "name/unknown",
    Severity::Error,
    "A figure, reading or setting that does not exist.\n\n\
     ````\n```band\nsag.rear.ridr = { aim = \"105 mm\" }\n```\n````\n\n\
     Better: take the name that the help offers; `loambook words` lists them all.\n",
);
pub static BAD_DATE: Code = code(
    "value/date",
    Severity::Error,
    "A date that is none.\n\nDates are written year-month-day with two digits each for month and day, and must exist.\n\n\
     ```\ndate = 2026-02-30\n```\n\nBetter: `date = 2026-02-28`.\n",
);
pub static BAD_TIME: Code = code(
    "value/time-of-day",
    Severity::Error,
    "A time of day that is none.\n\nHours and minutes, from 0:00 to 23:59. Stints are held against each other by it, and days \
     of one date are put in order.\n\n\
     ```\nstart = \"half past nine\"\n```\n\nBetter: `start = \"9:30\"`.\n",
);
pub static LINKAGE_FALLS: Code = code(
    "linkage/falls",
    Severity::Error,
    "A linkage table in which the wheel travel or the shock stroke does not rise from row to row, or does not \
     start at nothing.\n\n\
     ````\n```shock\nleverage = [[\"0 mm\", \"0 mm\"], [\"50 mm\", \"17 mm\"], [\"40 mm\", \"20 mm\"]]\n```\n````\n\n\
     Better: measure from full extension, and put the rows in the order of the travel.\n",
);

pub static RELATIVE: Code = code(
    "settings/relative",
    Severity::Error,
    "A step where `settings` say how the machine stands.\n\n\
     `settings` are as found or as set; how far something was moved belongs in a `change`. *12 clicks out* is said of a \
     clicker that stands at 12, and of one that was opened by 12 more: nobody could tell which. A minus is a number \
     below zero there, where the setting can be below zero.\n\n\
     ````\n```settings\nfork.rebound = \"12 clicks out\"\n```\n````\n\n\
     Better: `fork.rebound = \"12 clicks\"`, which count out from closed; or, for a step, the same words in a `change`.\n",
);

/// All of this room's codes.
pub static CODES: &[&Code] = &[
    &MISPLACED,
    &ARGUMENT,
    &REPEATED,
    &UNKNOWN_KEY,
    &MISSING_KEY,
    &EMPTY_BLOCK,
    &WRONG_FORM,
    &UNKNOWN_WORD,
    &UNKNOWN_NAME,
    &BAD_DATE,
    &BAD_TIME,
    &LINKAGE_FALLS,
    &RELATIVE,
];

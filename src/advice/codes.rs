//! What can be wrong with a feeling, or with an advice file.

use crate::finding::{Code, Severity};

const fn code(name: &'static str, severity: Severity, page: &'static str) -> Code {
    Code { name, severity, since: "0.1.0", page }
}

pub static UNKNOWN_WORD: Code = code(
    "feel/word",
    Severity::Warning,
    "A word in `feel` that is nearly one that is understood.\n\n\
     The text is kept as it stands; but a complaint that is not understood is neither counted nor given advice.\n\n\
     ````\n```stint\nfeel = \"headshak straight 3\"\n```\n````\n\n\
     Better:\n\n````\n```stint\nfeel = \"headshake straight 3 - from fourth gear on\"\n```\n````\n",
);
pub static NO_COMPLAINT: Code = code(
    "feel/no-complaint",
    Severity::Warning,
    "A `feel` in which no complaint is understood.\n\nThe words are kept as they stand; without the complaint nothing can be \
     advised or counted. `loambook words feel` lists what is understood; a book's own `templates/advice.toml` can add to \
     it, under `said`.\n\n\
     ````\n```stint\nfeel = \"straight 3\"\n```\n````\n\nBetter: `feel = \"headshake straight 3\"`; a ride without a \
     complaint needs no `feel`, and other words go into `note`.\n",
);
pub static SAID_TWICE: Code = code(
    "feel/twice",
    Severity::Warning,
    "Two complaints with one strength, or two strengths for one complaint.\n\n\
     Which strength belongs to which complaint cannot be told, and none is counted.\n\n\
     ````\n```stint\nfeel = \"headshake harsh 3\"\n```\n````\n\n\
     Better: a text for each: `feel = [\"headshake straight 3\", \"harsh braking 2\"]`, or a comma between them.\n",
);
pub static LEFT_OVER: Code = code(
    "feel/left-over",
    Severity::Note,
    "A `feel` of which one complaint is understood, and something beside it that looks like another, or like a place.\n\n\
     What is understood counts; the rest is kept as it stands, and is neither counted nor given advice.\n\n\
     ````\n```stint\nfeel = \"headshake straight 3, fork zings\"\n```\n````\n\n\
     Better: a word that `loambook words feel` lists, a track's `sections` for a place, or ` - ` before words of your own.\n",
);
pub static STRENGTH: Code = code(
    "feel/strength",
    Severity::Warning,
    "A strength in `feel` outside 1 to 5.\n\nOne is just felt, five is not to be ridden. The complaint is counted without it.\n\n\
     ````\n```stint\nfeel = \"headshake straight 7\"\n```\n````\n\nBetter: a whole number from 1 to 5.\n",
);
pub static NOT_CLEARED: Code = code(
    "rider/not-cleared",
    Severity::Warning,
    "A rider with words of an injury on file, whom nobody cleared.\n\nNothing is advised, prepared or printed for them, on \
     any day, until a `checked` of a later day says who cleared them and when. Words count that stand in a `feel`, a note or \
     the prose of a day, in each language that pages speak. Whether somebody is fit to ride is for a doctor to say, not for a notebook.\n\n\
     ```\nfeel = \"headshake straight 3 - fingers were numb\"\n```\n\n\
     Better: once a qualified person said so, a `checked` of that day with `cleared = \"by whom, when\"`.\n",
);
pub static UNKNOWN_KEY: Code = code(
    "advice/key",
    Severity::Error,
    "A key or a table in the advice file that the program does not know.\n\n\
     What is not understood is not used, and a rule that silently does nothing is worse than none.\n\n\
     Better: take the name that the help offers; the file that ships is full of examples.\n",
);
pub static BAD_VALUE: Code = code(
    "advice/value",
    Severity::Error,
    "A value in the advice file that is not what its key wants.\n\n\
     The entry is left out, so that no half-understood step is ever offered.\n\n\
     ```\nby = \"2 clicks\"\n```\n\nBetter: say which way, as in a `change`: `by = \"2 clicks in\"`.\n",
);
pub static MISSING: Code = code(
    "advice/missing",
    Severity::Error,
    "An entry of the advice file without a key that it needs.\n\n\
     A step says what it changes, what that costs and what is felt if it worked; without one of them it is left out.\n\n\
     Better: add the key that the help names.\n",
);
pub static UNKNOWN_NAME: Code = code(
    "advice/name",
    Severity::Error,
    "A name in the advice file that is no setting, figure, reading, look or complaint.\n\n\
     ```\nsetting = \"fork.hight\"\n```\n\nBetter: take the name that the help offers.\n",
);

/// All of this room's codes.
pub static CODES: &[&Code] = &[
    &UNKNOWN_WORD,
    &NO_COMPLAINT,
    &SAID_TWICE,
    &LEFT_OVER,
    &STRENGTH,
    &NOT_CLEARED,
    &UNKNOWN_KEY,
    &BAD_VALUE,
    &MISSING,
    &UNKNOWN_NAME,
];

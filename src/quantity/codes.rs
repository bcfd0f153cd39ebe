//! What can be wrong with a written quantity, and the page that explains it.

use crate::finding::{Code, Severity};

const fn code(name: &'static str, page: &'static str) -> Code {
    Code { name, severity: Severity::Error, since: "0.1.0", page }
}

pub static NUMBER: Code = code(
    "quantity/number",
    "A value that is no number where one is wanted, or a number that cannot be read.\n\n\
     A number is written with a decimal point (`104.5`), as a fraction (`4 1/8`) or, for times, with minutes and \
     seconds (`2:04.1`). Twelve digits are kept. Nothing can be computed from what is not understood, and a guess \
     would be worse.\n\n\
     ```\nhanging = \"about 612 mm\"\nlaps = \"2:64.1\"\n```\n\n\
     Better:\n\n```\nhanging = \"612 ± 3 mm\"\nlaps = \"3:04.1\"\n```\n",
);
pub static COMMA: Code = code(
    "quantity/comma",
    "A comma within a number.\n\n\
     `1,485` is one and a half to one reader and fifteen hundred to another. A notebook may be read by both, so \
     decimals have a point and thousands nothing.\n\n\
     ```\nhanging = \"612,5 mm\"\n```\n\nBetter:\n\n```\nhanging = \"612.5 mm\"\n```\n",
);
pub static NO_UNIT: Code = code(
    "quantity/no-unit",
    "A number without a unit, in a book that sets none for it.\n\n\
     13 is a pressure for a fork in bar and for a tyre in psi. Things that are counted (teeth, links, jets) need no \
     unit; a share may be a fraction.\n\n\
     ```\nmain = 13\n```\n\nBetter: write `main = \"13 bar\"`, or set the unit of bare numbers once in `book.toml`:\n\n\
     ```\n[units]\npressure = \"bar\"\n```\n",
);
pub static UNKNOWN_UNIT: Code = code(
    "quantity/unknown-unit",
    "A unit that the tool does not know.\n\n\
     Case counts in units. Raised digits may be written flat (`cm3`), and a product with a dot, a space or nothing \
     (`N·m`, `N m`, `Nm`).\n\n\
     ```\nmain = \"152 spi\"\n```\n\nBetter: `main = \"152 psi\"`.\n",
);
pub static DIMENSION: Code = code(
    "quantity/dimension",
    "A quantity of another kind than the one that is wanted.\n\n\
     A kind is more than a dimension: a mass is no force, and `2 in` is two inches and never two clicks in.\n\n\
     ```\npull = \"4 kg\"\nfork.rebound = \"2 in\"\n```\n\n\
     Better:\n\n```\npull = \"4 kgf\"\nfork.rebound = \"2 clicks in\"\n```\n",
);
pub static ABSOLUTE: Code = code(
    "quantity/absolute",
    "An absolute pressure where a gauge reads, or the other way round.\n\n\
     A gauge shows what is above the surrounding air. Between the two lies a whole atmosphere, about 1 bar or 14.5 \
     psi. Notebooks speak gauge; `abs` is for the pressure of the air itself, which no gauge shows.\n\n\
     ```\nmain = \"167 psi abs\"\n```\n\nBetter: `main = \"152 psi\"`, as the gauge shows it.\n",
);
pub static SEVERAL: Code = code(
    "quantity/several",
    "Several values, or a range, where one value is wanted.\n\n\
     Repeats of a reading are averaged where the key takes them; elsewhere nobody could say which one counts.\n\n\
     ```\ntravel = \"298 300 mm\"\n```\n\nBetter: `travel = \"300 mm\"`.\n",
);
pub static RANGE: Code = code(
    "quantity/range",
    "What should be a range and is not, or a dash that may be one.\n\n\
     A range is written with two dots, either end may be left open. A dash could also be a minus, so it is not \
     guessed at.\n\n\
     ```\nwithin = \"150-154 psi\"\n```\n\n\
     Better: `within = \"150..154 psi\"`, `\"..154 psi\"` or `\"150.. psi\"`.\n",
);
pub static UPSIDE_DOWN: Code = code(
    "quantity/upside-down",
    "A range whose upper end is written first.\n\n\
     Nothing lies within it, so everything would be outside.\n\n\
     ```\nwithin = \"106..104 mm\"\n```\n\nBetter: `within = \"104..106 mm\"`.\n",
);
pub static IMPOSSIBLE: Code = code(
    "quantity/impossible",
    "A number that nothing of its kind can be.\n\n\
     Nothing is colder than absolute zero or heavier than nothing on its negative side, air holds no more than all of \
     its moisture, and clicks, teeth and links come whole. Nearly always a unit, a sign or a decimal point slipped.\n\n\
     ```\nhumidity = 55\n```\n\nBetter: `humidity = \"55 %\"`.\n",
);
pub static DIRECTION: Code = code(
    "quantity/direction",
    "A direction where a value is wanted, or two directions at once.\n\n\
     `2 mm down` is a change. What is measured has no direction, and a sign in front says one already.\n\n\
     ```\nhanging = \"612 mm up\"\nfork.rebound = \"+2 clicks in\"\n```\n\n\
     Better:\n\n```\nhanging = \"612 mm\"\nfork.rebound = \"2 clicks in\"\n```\n",
);
pub static WORDS: Code = code(
    "quantity/words",
    "Words behind a quantity that mean nothing there.\n\n\
     A value is read whole or not at all. Remarks belong in the prose, or behind `#`.\n\n\
     ```\nmain = \"152 psi cold\"\n```\n\nBetter:\n\n```\nmain = \"152 psi\"   # cold\n```\n",
);

/// Every code of this room.
pub static CODES: &[&Code] = &[
    &NUMBER,
    &COMMA,
    &NO_UNIT,
    &UNKNOWN_UNIT,
    &DIMENSION,
    &ABSOLUTE,
    &SEVERAL,
    &RANGE,
    &UPSIDE_DOWN,
    &IMPOSSIBLE,
    &DIRECTION,
    &WORDS,
];

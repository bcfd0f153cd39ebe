//! Problems in words: what the finding says, and what to write instead.

use std::ops::Range;

use crate::finding::Finding;
use crate::source::Span;
use crate::speech::{Message, Part, say};

use super::codes;
use super::kind::Kind;
use super::problem::{Fault, Impossible, Problem};
use super::show::Shown;
use super::table::Unit;
use super::{Quantity, Way, show_picked};

impl Problem {
    /// The finding about this problem. `lift` takes a range of the text to its place in the file.
    pub fn finding(&self, lift: impl Fn(Range<usize>) -> Span) -> Finding {
        let span = lift(self.range.clone());
        match &self.fault {
            Fault::Empty { wanted } => {
                let headline = say!("{wanted} is missing here", wanted = names(wanted));
                such_as(Finding::new(&codes::NUMBER, span, headline), wanted)
            }
            Fault::NotANumber { found, wanted } => {
                let finding = Finding::new(&codes::NUMBER, span, say!("`{found}` is not a number", found));
                match found.trim_matches(['~', '≈', '?']) {
                    // *~158*, *158?*
                    number if number.len() < found.len() && number.parse::<f64>().is_ok() => finding.fix(
                        say!(
                            "write `{number}`; how sure the value is goes after `±`, as in `105 ± 2 mm`",
                            number
                        ),
                        span,
                        number,
                    ),
                    _ if is_doubt(found) => finding.help(doubt()),
                    _ => such_as(finding, wanted),
                }
            }
            Fault::Clock { found } => {
                Finding::new(&codes::NUMBER, span, say!("`{found}` is not a time", found)).help(say!(
                    "write minutes and seconds, such as `2:04.1`; seconds have two digits below 60"
                ))
            }
            Fault::Fraction { found } => {
                Finding::new(&codes::NUMBER, span, say!("`{found}` is not a fraction", found))
                    .help(say!("write `4 1/8`, down to 64ths, or decimals: `4.125`"))
            }
            Fault::Comma { found } => comma(found, span),
            Fault::MissingUnit { number, wanted } => missing_unit(number, wanted, span),
            Fault::UnknownUnit { found, near, wanted } => {
                let mut finding =
                    Finding::new(&codes::UNKNOWN_UNIT, span, say!("there is no unit `{found}`", found));
                for symbol in near {
                    finding = finding.fix(say!("did you mean `{symbol}`?", symbol), span, *symbol);
                }
                if near.is_empty() { written_in(finding, wanted) } else { finding }
            }
            Fault::WrongKind { number, unit, found, wanted } => {
                wrong_kind(number, *unit, *found, wanted, span)
            }
            Fault::AbsoluteWhereGauge => Finding::new(
                &codes::ABSOLUTE,
                span,
                say!("a gauge pressure is wanted, and this one is absolute"),
            )
            .help(say!("write what the gauge shows, without `abs`: it is lower by the pressure of the air")),
            Fault::GaugeWhereAbsolute => Finding::new(
                &codes::ABSOLUTE,
                span,
                say!("an absolute pressure is wanted, and this one is a gauge's"),
            )
            .help(say!("write the pressure of the air itself, as a barometer or the forecast gives it")),
            Fault::Several { count } => Finding::new(
                &codes::SEVERAL,
                span,
                say!("these are {count} values, and one is wanted", count),
            )
            .help(say!("keep the one that counts, and the others in the prose")),
            Fault::RangeWhereOne => {
                Finding::new(&codes::SEVERAL, span, say!("this is a range, and one value is wanted")).help(
                    say!("write the one value; how well it is known may go after `±`, as in `105 ± 1 mm`"),
                )
            }
            Fault::OneWhereRange { value } => {
                Finding::new(&codes::RANGE, span, say!("`{value}` is one value, not a range", value))
                    .help(say!("write both ends, as in `104..106 mm`, or one: `..106 mm`, `104.. mm`"))
            }
            Fault::NoEnds => {
                Finding::new(&codes::RANGE, span, say!("a range without ends lets everything pass"))
                    .help(say!("write at least one end, as in `..240 psi`"))
            }
            Fault::Spoken { written } => Finding::new(&codes::RANGE, span, say!("this range is in words"))
                .fix(say!("write `{written}`", written), span, written),
            Fault::Dash { low, high } => {
                Finding::new(&codes::RANGE, span, say!("a dash between `{low}` and `{high}`", low, high))
                    .help(say!(
                        "a range is written `{low}..{high}`; repeats are separated by a space",
                        low,
                        high
                    ))
            }
            Fault::UpsideDown { low, high } => Finding::new(
                &codes::UPSIDE_DOWN,
                span,
                say!("`{low}` is above `{high}`: nothing is between them", low, high),
            )
            .help(say!("write the lower end first")),
            Fault::Direction { way } => {
                let word = way.word();
                Finding::new(
                    &codes::DIRECTION,
                    span,
                    say!("`{word}` is a change, and a value is wanted", word),
                )
                .help(say!("write the value without `{word}`; changes go into a `change` block", word))
            }
            Fault::TwoDirections { sign, way } => two_directions(*sign, *way, span),
            Fault::NotWhole { kind } => Finding::new(
                &codes::IMPOSSIBLE,
                span,
                say!("{plural} are whole numbers", plural = Message::word(kind.plural())),
            )
            .help(say!("write {kind}, such as `{example}`", kind, example = kind.example())),
            Fault::Impossible { quantity, reason } => impossible(quantity, *reason, span),
            Fault::PlusMinus { found } => {
                let headline = if found.is_empty() {
                    say!("nothing comes after `±`")
                } else {
                    say!("`± {found}` cannot be here", found)
                };
                Finding::new(&codes::NUMBER, span, headline).help(say!(
                    "after `±` comes a number of the same unit, as in `105 ± 1 mm`; ends of ranges have none"
                ))
            }
            Fault::LeftOver { found } => {
                let headline = say!("`{found}` means nothing after this value", found);
                which_way(Finding::new(&codes::WORDS, span, headline), found, span)
            }
        }
    }
}

/// How to write a rider's word for a direction. Without the word the number would mean another thing: *2 clicks softer*
/// is not 2 clicks.
fn which_way(finding: Finding, found: &str, span: Span) -> Finding {
    let counted = |way: &str| {
        say!("write `{way}`, which is {found}: clicks and turns count out from closed", way, found)
    };
    match found.to_lowercase().as_str() {
        "softer" | "open" | "opened" | "faster" | "looser" => finding.fix(counted("out"), span, "out"),
        "stiffer" | "firmer" | "harder" | "slower" | "closed" | "tighter" => {
            finding.fix(counted("in"), span, "in")
        }
        "lower" | "lowered" | "dropped" | "higher" | "raised" => finding
            .help(say!("write `down` where less of the tube shows, and the front is higher"))
            .help(say!("write `up` where more of it shows, and the front is lower")),
        "more" | "added" => finding.help(say!("write the change with its sign, such as `+2 psi`")),
        "less" | "fewer" => finding.help(say!("write the change with its sign, such as `-2 psi`")),
        found if is_doubt(found) => finding.help(doubt()),
        _ => finding.help(say!("delete it here, and say it in the prose or after `#`")),
    }
}

fn doubt() -> Message {
    say!("delete it; how sure the value is goes after `±`, as in `105 ± 2 mm`")
}

/// Words that say that a value is not sure.
fn is_doubt(word: &str) -> bool {
    matches!(
        word,
        "or" | "ish"
            | "about"
            | "around"
            | "roughly"
            | "approx"
            | "approximately"
            | "maybe"
            | "perhaps"
            | "ca"
            | "circa"
            | "almost"
            | "nearly"
            | "some"
            | "guess"
            | "guessed"
    ) || word.chars().all(|letter| "?~()".contains(letter))
}

/// `a length or a number of turns`
fn names(kinds: &[Kind]) -> Message {
    Message::either(kinds.iter().map(Part::part))
}

fn such_as(finding: Finding, wanted: &[Kind]) -> Finding {
    let examples = Message::either(wanted.iter().map(|kind| Message::text(format!("`{}`", kind.example()))));
    match wanted.is_empty() {
        true => finding,
        false => finding.help(say!("write {wanted}, such as {examples}", wanted = names(wanted), examples)),
    }
}

/// `a length is written in mm, cm, m, km, in, ft or mi`
fn written_in(mut finding: Finding, wanted: &[Kind]) -> Finding {
    for kind in wanted {
        let symbols: Vec<&str> = kind.units().map(Unit::symbol).filter(|symbol| !symbol.is_empty()).collect();
        finding = finding.help(match symbols.is_empty() {
            true => say!("{kind} is written without a unit", kind),
            false => {
                let units = Message::either(symbols.into_iter().map(Message::text));
                say!("{kind} is written in {units}", kind, units)
            }
        });
    }
    finding
}

fn comma(found: &str, span: Span) -> Finding {
    let finding = Finding::new(&codes::COMMA, span, say!("a comma in the number `{found}`", found));
    match found.split_once(',') {
        Some((whole, rest)) if !rest.contains(',') && !rest.contains('.') => {
            let with_point = format!("{whole}.{rest}");
            let without = format!("{whole}{rest}");
            if rest.len() == 3 && whole != "0" {
                // One and a half, or fifteen hundred: only the writer knows.
                finding
                    .fix(say!("if it is a decimal comma, write `{with_point}`", with_point), span, with_point)
                    .fix(say!("if it separates thousands, write `{without}`", without), span, without)
            } else {
                finding.fix(say!("write a point: `{with_point}`", with_point), span, with_point)
            }
        }
        _ => {
            let without = found.replace(',', "");
            finding.fix(say!("if the commas separate thousands, write `{without}`", without), span, without)
        }
    }
}

fn missing_unit(number: &str, wanted: &[Kind], span: Span) -> Finding {
    let headline = if number.is_empty() {
        say!("a number without a unit where {wanted} is wanted", wanted = names(wanted))
    } else {
        say!("`{number}` has no unit, and {wanted} is wanted", number, wanted = names(wanted))
    };
    let mut finding = Finding::new(&codes::NO_UNIT, span, headline);
    let number = if number.is_empty() { "…" } else { number };
    let (of_books, others): (Vec<&Kind>, Vec<&Kind>) =
        wanted.iter().partition(|kind| Kind::from_word(kind.word()).is_some());
    for kind in of_books {
        let symbol = kind.usual_unit().symbol();
        finding = finding.help(match kind {
            // A time is an interval, and seconds are none.
            Kind::Time => say!("write the unit, as in `{number} days` or `{number} h`", number),
            Kind::Angle => say!(
                "write the unit, as in `{number}{symbol}`, or set `[units] {kind} = \"{symbol}\"` in `book.toml`",
                number,
                symbol,
                kind = kind.word()
            ),
            _ => say!(
                "write the unit, as in `{number} {symbol}`, or set `[units] {kind} = \"{symbol}\"` in `book.toml`",
                number,
                symbol,
                kind = kind.word()
            ),
        });
    }
    let examples =
        others.into_iter().map(|kind| Message::text(format!("`{number} {}`", kind.usual_unit().symbol())));
    let examples = Message::either(examples);
    if examples.is_empty() {
        finding
    } else {
        finding.help(say!("write the unit, as in {examples}", examples))
    }
}

fn wrong_kind(number: &str, unit: Unit, found: Kind, wanted: &[Kind], span: Span) -> Finding {
    // The unit alone does not say which pressure it is.
    let (name, plural) = match found {
        Kind::GaugePressure | Kind::AbsolutePressure => (say!("a pressure"), say!("pressures")),
        found => (found.part(), Message::word(found.plural())),
    };
    let headline = say!("{wanted} is wanted, and this is {name}", wanted = names(wanted), name);
    let label = match unit.symbol() {
        "" => Message::default(),
        symbol => say!("`{symbol}` measures {plural}", symbol, plural),
    };
    let finding = Finding::new(&codes::DIMENSION, span, headline).found(label);
    let turned: Option<&Kind> = wanted.iter().find(|kind| matches!(kind, Kind::Clicks | Kind::Turns));
    match (unit, turned) {
        (Unit::Inch, Some(kind)) if !number.is_empty() => {
            let thing = kind.usual_unit().symbol();
            finding.help(say!("`{number} in` is inches; write `{number} {thing} in`", number, thing))
        }
        _ => written_in(finding, wanted),
    }
}

fn two_directions(sign: Way, way: Way, span: Span) -> Finding {
    let (sign, word) = (sign.word(), way.word());
    Finding::new(
        &codes::DIRECTION,
        span,
        say!("`{sign}` before it and `{word}` after it are two directions", sign, word),
    )
    .help(say!("keep one: either the `{sign}` or `{word}`", sign, word))
}

fn impossible(quantity: &Quantity, reason: Impossible, span: Span) -> Finding {
    let kind = quantity.kind;
    let units = super::Units::default();
    let shown = super::show(quantity, &units);
    let limit = |value: f64| -> Shown { in_the_same_unit(quantity, value) };
    let headline = match reason {
        Impossible::AbsoluteZero if quantity.value < 0.0 => say!("{shown} is below absolute zero", shown),
        Impossible::AbsoluteZero => say!("{shown} is absolute zero, and nothing is that cold", shown),
        Impossible::BelowVacuum => say!("{shown} is below a vacuum", shown),
        Impossible::Negative => say!("{shown}: {kind} cannot be below zero here", shown, kind),
        Impossible::NotPositive => say!("{shown}: {kind} must be above zero here", shown, kind),
        Impossible::Outside { high, .. } if quantity.value > high => {
            say!("{shown} is over {high}, which is the most there can be", shown, high = limit(high))
        }
        Impossible::Outside { low, .. } => {
            say!("{shown} is under {low}, which is the least there can be", shown, low = limit(low))
        }
    };
    let finding = Finding::new(&codes::IMPOSSIBLE, span, headline);
    let number = quantity.unit.from_si(kind, quantity.value);
    match (kind, reason) {
        // A share in hundredths, without its sign.
        (Kind::Share, Impossible::Outside { .. }) if quantity.unit == Unit::One && number > 1.0 => {
            finding.help(say!("write `{number} %`; a bare share is a fraction of one", number))
        }
        (_, Impossible::AbsoluteZero) => finding.help(say!("look at the sign and the unit: °C, °F or K")),
        (_, Impossible::Outside { low, high }) => finding.help(say!(
            "it is between {low} and {high}: look at the sign, the decimal point and the unit",
            low = limit(low),
            high = limit(high)
        )),
        _ => finding.help(say!("look at the sign, the decimal point and the unit")),
    }
}

/// A bound in the unit of the quantity that breaks it.
pub(crate) fn in_the_same_unit(quantity: &Quantity, value: f64) -> Shown {
    let mut units = super::Units::default();
    units.set(quantity.kind, quantity.unit);
    // With as many decimals as the bound has: 1.4 is not 1.
    let number = quantity.unit.from_si(quantity.kind, value);
    let is_whole = |scale: &f64| (number * scale - (number * scale).round()).abs() < 1e-6 * scale;
    let scale = [1.0, 10.0, 100.0].into_iter().find(is_whole).unwrap_or(100.0);
    let last_digit = quantity.unit.width_to_si(1.0 / scale);
    let bound = Quantity { value, plus_minus: None, last_digit, ..*quantity };
    match quantity.kind {
        Kind::Share => show_picked(Kind::Share, value, &units),
        _ => super::show(&bound, &units),
    }
}

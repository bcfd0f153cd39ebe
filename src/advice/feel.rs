//! A feeling, taken apart: complaint, place and strength in any order, then words of the rider's own.

use crate::book::Book;
use crate::finding::{Finding, closest};
use crate::source::Span;
use crate::vocabulary::blocks::Stint;
use crate::vocabulary::values::Written;

use super::codes;
use super::data::Advice;

/// What parts the closed words from the rider's own.
const FREE_TEXT: &str = " - ";

const STRENGTHS: std::ops::RangeInclusive<u64> = 1..=5;

/// One complaint of a ride.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Feel {
    pub complaint: String,
    pub place: Option<String>,
    /// 1 to 5; `None` where it was not said.
    pub strength: Option<u8>,
    /// What stands behind ` - `; may be empty.
    pub words: String,
    pub span: Span,
}

/// Takes one text of `feel` apart. There is none without a complaint that is known; what cannot be read is reported.
pub fn feel(written: &Written, advice: &Advice, findings: &mut Vec<Finding>) -> Option<Feel> {
    let (closed, free) = written.text.split_once(FREE_TEXT).unwrap_or((&written.text, ""));
    let mut complaint: Option<(&str, Span)> = None;
    let mut place: Option<(&str, Span)> = None;
    let mut strength: Option<(u8, Span)> = None;
    let known = advice.words();
    let before = findings.len();
    for (word, span) in words(closed, written) {
        if known.contains(&word) {
            once(&mut complaint, word, span, "complaint", findings);
        } else if advice.places.iter().any(|known| known == word) {
            once(&mut place, word, span, "place", findings);
        } else if let Ok(number) = word.parse::<u64>() {
            match u8::try_from(number) {
                Ok(small) if STRENGTHS.contains(&number) => {
                    once(&mut strength, small, span, "strength", findings)
                }
                _ => findings.push(
                    Finding::new(&codes::STRENGTH, span, format!("a strength of {number} is outside 1 to 5"))
                        .help("write 1 for what is just felt, up to 5 for what is not to be ridden"),
                ),
            }
        } else {
            findings.push(unknown(word, span, advice, &known));
        }
    }
    let Some((complaint, _)) = complaint else {
        // A misspelt complaint was reported already.
        if findings.len() == before {
            findings.push(
                Finding::new(&codes::NO_COMPLAINT, written.span, "the feeling names no complaint")
                    .help("`loambook words feel` lists the complaints and the places")
                    .help("words of your own go behind ` - `, or into `note`"),
            );
        }
        return None;
    };
    Some(Feel {
        complaint: complaint.to_owned(),
        place: place.map(|(place, _)| place.to_owned()),
        strength: strength.map(|(strength, _)| strength),
        words: free.trim().to_owned(),
        span: written.span,
    })
}

/// All complaints of a stint, in their order, without a word about what is wrong with them.
pub fn feels(stint: &Stint, advice: &Advice) -> Vec<Feel> {
    let mut findings = Vec::new();
    let texts = stint.feel.iter().flat_map(|texts| &texts.values);
    texts.filter_map(|text| feel(text, advice, &mut findings)).collect()
}

/// What is wrong with the feelings of a book.
pub fn check(book: &Book, advice: &Advice) -> Vec<Finding> {
    let mut findings = Vec::new();
    for day in &book.days {
        for text in day
            .notebook
            .all::<Stint>()
            .filter_map(|stint| stint.feel.as_ref())
            .flat_map(|texts| &texts.values)
        {
            let _ = feel(text, advice, &mut findings);
        }
    }
    findings
}

fn once<T>(slot: &mut Option<(T, Span)>, value: T, span: Span, what: &str, findings: &mut Vec<Finding>) {
    match slot {
        None => *slot = Some((value, span)),
        Some((_, first)) => findings.push(
            Finding::new(&codes::SAID_TWICE, span, format!("a second {what} in one feeling"))
                .see(*first, "the first")
                .help("write a text for each: `feel = [\"headshake straight 3\", \"harsh braking 2\"]`"),
        ),
    }
}

fn unknown(word: &str, span: Span, advice: &Advice, known: &[&str]) -> Finding {
    let all = known.iter().copied().chain(advice.places.iter().map(String::as_str));
    let near = closest(word, all);
    let mut finding = Finding::new(
        &codes::UNKNOWN_WORD,
        span,
        format!("`{word}` is neither a complaint nor a place nor a strength"),
    );
    for name in &near {
        finding = finding.fix(format!("did you mean `{name}`?"), span, (*name).to_owned());
    }
    if near.is_empty() {
        finding = finding
            .help("`loambook words feel` lists the complaints and the places")
            .help("words of your own go behind ` - `");
    }
    finding
}

/// Words with their places. A text whose place in the file is longer than itself and its quotes has escapes: there the whole
/// value is pointed to.
fn words<'t>(text: &'t str, written: &Written) -> Vec<(&'t str, Span)> {
    let span = written.span;
    let is_plain = (span.end - span.start) as usize == written.text.len() + 2;
    let mut found = Vec::new();
    let mut from = 0;
    for word in text.split_whitespace() {
        let Some(at) = text.get(from..).and_then(|rest| rest.find(word)).map(|at| at + from) else {
            continue;
        };
        from = at + word.len();
        let start = span.start as usize + 1 + at;
        found.push((word, if is_plain { Span::new(span.file, start, start + word.len()) } else { span }));
    }
    found
}

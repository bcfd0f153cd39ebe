//! Ways of damaging a book: flipped bits, stretches and lines in the wrong place, and values, units, keys and blocks
//! where others should be.

use std::ops::Range;

use super::books::Files;
use super::chance::Chance;

/// What a file may have where a number should be.
const NUMBERS: &[&str] = &[
    "0",
    "-0",
    "-1",
    "1",
    "1e308",
    "1e-308",
    "-1e9",
    "0.0000001",
    "999999999999",
    "18446744073709551616",
    "1e999",
    "nan",
    "inf",
    "1,5",
    "1.5.2",
    "-273.15",
    "3 ± 3",
    "3 ± 1e9",
    "½",
    "٣",
    "00012",
    "1_000",
    "0x1f",
    "2026-02-30",
    "9999-12-31",
    "-9999-01-01",
    "2:04.1",
    "99:99.9",
];

const UNITS: &[&str] = &[
    "mm", "cm", "in", "m", "psi", "bar", "kPa", "N/mm", "kg/mm", "lb/in", "°C", "°F", "K", "h", "min", "s",
    "kg", "lb", "%", "°", "deg", "clicks", "turns", "Nm", "hPa", "mbar", "N", "lbf", "km/h", "cc", "ml",
    "rpm", "", "?", "µm", "mm mm",
];

/// Bytes with a meaning for one of the readers between the disk and the page.
const BYTES: &[&[u8]] = &[
    b"\0",
    b"\xff",
    b"\xef\xbb\xbf",
    b"\r",
    b"\r\n",
    b"\n\n",
    b"\t",
    b"```",
    b"````",
    b"~~~",
    b"'''",
    b"\"",
    b"\\",
    b"+++\n",
    b"---\n",
    b"#",
    b"> ",
    b"- ",
    b"    ",
    b"|",
    b"<b>",
    b"&#10;",
    b"&amp;",
    b"`@sag.rear.rider`",
    b"![](photos/loam.png)",
    b"\xe2\x80\xae",
    b"\xe2\x80\x8b",
    b"e\xcc\x81\xcc\x81\xcc\x81",
    b"\xf0\x9f\x8f\x8d",
    b"\xe9\x9b\xa8",
    b"\x1b[2J",
    b"{{ x }}",
    b"{% for",
    b"<<<<<<< HEAD\n",
    b"=======\n",
    b">>>>>>> x\n",
    b"[",
    b"]",
    b"=",
    b"{",
    b"}",
    b",",
    b".",
    b"..",
    b"/",
    b"@",
    b"\xc2\xb1",
];

/// Does one thing to one file of a book.
pub fn harm(files: &mut Files, books: &[Files], chance: &mut Chance) {
    let Some(path) = path_of(files, chance) else { return };
    let donor = {
        let from: &Files = if chance.one_in(3) { chance.pick(books) } else { files };
        path_of(from, chance).map(|path| from[&path].clone()).unwrap_or_default()
    };
    let kind = chance.below(18);
    if kind == 17 {
        return move_file(files, &path, chance);
    }
    let bytes = files.get_mut(&path).unwrap();
    match kind {
        0 => flip(bytes, chance),
        1 => insert(bytes, chance),
        2 => drop(bytes.drain(stretch(bytes.len(), 400, chance))),
        3 => {
            let length = bytes.len();
            bytes.truncate(chance.below(length));
        }
        4 => {
            let piece = donor[stretch(donor.len(), 600, chance)].to_vec();
            put(bytes, stretch_at(bytes.len(), 0, chance), &piece);
        }
        5 | 6 => lines(bytes, chance),
        7 => swap(bytes, &donor, chance, blocks),
        8 | 9 => swap(bytes, &donor, chance, strings),
        10 | 11 => swap(bytes, &donor, chance, keys),
        12 => swap(bytes, &donor, chance, infos),
        13 | 14 => exchange(bytes, chance, numbers, NUMBERS),
        15 | 16 => exchange(bytes, chance, units, UNITS),
        _ => {}
    }
}

fn path_of(files: &Files, chance: &mut Chance) -> Option<String> {
    let paths: Vec<&String> = files.keys().collect();
    // A photo is one file among many, and most damage to it has the same effect.
    let is_photo = |path: &str| path.ends_with(".png") || path.ends_with(".jpg");
    (0..3).map(|_| paths.get(chance.below(paths.len())).map(|path| (*path).clone())).reduce(
        |first, next| match first {
            Some(path) if !is_photo(&path) => Some(path),
            _ => next,
        },
    )?
}

fn flip(bytes: &mut [u8], chance: &mut Chance) {
    let at = chance.below(bytes.len());
    let bit = chance.below(8);
    if let Some(byte) = bytes.get_mut(at) {
        *byte ^= 1 << bit;
    }
}

fn insert(bytes: &mut Vec<u8>, chance: &mut Chance) {
    let piece = if chance.one_in(4) {
        (0..chance.between(1, 40)).map(|_| chance.number() as u8).collect()
    } else {
        chance.pick(BYTES).repeat(if chance.one_in(8) { chance.between(2, 3000) } else { 1 })
    };
    put(bytes, stretch_at(bytes.len(), 0, chance), &piece);
}

/// A line is removed, doubled, or swapped with another.
fn lines(bytes: &mut Vec<u8>, chance: &mut Chance) {
    let mut lines: Vec<&[u8]> = bytes.split_inclusive(|byte| *byte == b'\n').collect();
    if lines.is_empty() {
        return;
    }
    let (at, other) = (chance.below(lines.len()), chance.below(lines.len()));
    match chance.below(4) {
        0 => drop(lines.remove(at)),
        1 => lines.insert(other, lines[at]),
        2 => lines.swap(at, other),
        _ => lines.splice(at..at, std::iter::repeat_n(lines[at], chance.between(2, 200))).for_each(drop),
    }
    *bytes = lines.concat();
}

/// A file gets another's name, or is swapped with it.
fn move_file(files: &mut Files, path: &str, chance: &mut Chance) {
    let other = path_of(files, chance).unwrap();
    match chance.below(3) {
        0 => {
            let (one, two) = (files[path].clone(), files[&other].clone());
            files.insert(path.to_owned(), two);
            files.insert(other, one);
        }
        1 => drop(files.remove(path)),
        _ => {
            let copy = files[path].clone();
            let name = path.rsplit('/').next().unwrap();
            let folder = *chance.pick(&["days/", "days/deep/", "machines/", "riders/", "tracks/", ""]);
            files.insert(format!("{folder}{name}"), copy);
        }
    }
}

/// Replaces a piece of one kind with another of that kind, from this file or another.
fn swap(bytes: &mut Vec<u8>, donor: &[u8], chance: &mut Chance, of: fn(&[u8]) -> Vec<Range<usize>>) {
    let (here, there) = (of(bytes), of(donor));
    if here.is_empty() || there.is_empty() {
        return;
    }
    let piece = donor[chance.pick(&there).clone()].to_vec();
    put(bytes, chance.pick(&here).clone(), &piece);
}

fn exchange(bytes: &mut Vec<u8>, chance: &mut Chance, of: fn(&[u8]) -> Vec<Range<usize>>, by: &[&str]) {
    let here = of(bytes);
    if !here.is_empty() {
        put(bytes, chance.pick(&here).clone(), chance.pick(by).as_bytes());
    }
}

fn put(bytes: &mut Vec<u8>, place: Range<usize>, piece: &[u8]) {
    bytes.splice(place, piece.iter().copied());
}

fn stretch(length: usize, most: usize, chance: &mut Chance) -> Range<usize> {
    let most = chance.below(most);
    stretch_at(length, most, chance)
}

fn stretch_at(length: usize, most: usize, chance: &mut Chance) -> Range<usize> {
    let start = chance.below(length + 1);
    start..(start + most).min(length)
}

/// The text between two quotes of one line.
fn strings(bytes: &[u8]) -> Vec<Range<usize>> {
    let mut found = Vec::new();
    let mut open = None;
    for (at, byte) in bytes.iter().enumerate() {
        match (byte, open) {
            (b'\n', _) => open = None,
            (b'"', Some(start)) => {
                found.push(start..at);
                open = None;
            }
            (b'"', None) => open = Some(at + 1),
            _ => {}
        }
    }
    found
}

/// The text at the start of a line before an equals sign.
fn keys(bytes: &[u8]) -> Vec<Range<usize>> {
    of_lines(bytes, |line| {
        let end = line.iter().position(|byte| *byte == b'=')?;
        Some(0..line[..end].trim_ascii_end().len())
    })
}

/// The text behind the backticks that open a block.
fn infos(bytes: &[u8]) -> Vec<Range<usize>> {
    of_lines(bytes, |line| (line.starts_with(b"```") && line.len() > 3).then_some(3..line.len()))
}

/// Blocks with their fences.
fn blocks(bytes: &[u8]) -> Vec<Range<usize>> {
    let fences = of_lines(bytes, |line| line.starts_with(b"```").then_some(0..line.len()));
    fences.chunks(2).filter(|pair| pair.len() == 2).map(|pair| pair[0].start..pair[1].end).collect()
}

fn numbers(bytes: &[u8]) -> Vec<Range<usize>> {
    runs(bytes, |byte| byte.is_ascii_digit() || byte == b'.')
}

/// Words right behind a number.
fn units(bytes: &[u8]) -> Vec<Range<usize>> {
    let words = runs(bytes, |byte| byte.is_ascii_alphabetic() || matches!(byte, b'/' | b'%') || byte >= 0x80);
    let is_unit = |word: &Range<usize>| {
        let before = bytes[..word.start].trim_ascii_end();
        before.last().is_some_and(u8::is_ascii_digit)
    };
    words.into_iter().filter(is_unit).collect()
}

fn runs(bytes: &[u8], is_in: impl Fn(u8) -> bool) -> Vec<Range<usize>> {
    let mut found: Vec<Range<usize>> = Vec::new();
    for (at, _) in bytes.iter().enumerate().filter(|(_, byte)| is_in(**byte)) {
        match found.last_mut() {
            Some(last) if last.end == at => last.end += 1,
            _ => found.push(at..at + 1),
        }
    }
    found
}

fn of_lines(bytes: &[u8], part: impl Fn(&[u8]) -> Option<Range<usize>>) -> Vec<Range<usize>> {
    let mut start = 0;
    let mut found = Vec::new();
    for line in bytes.split(|byte| *byte == b'\n') {
        found.extend(part(line).map(|part| start + part.start..start + part.end));
        start += line.len() + 1;
    }
    found
}

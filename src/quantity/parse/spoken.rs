//! Ranges as people say them: *100 mm to 108 mm*, *at least 100 mm*.

/// Words before the lower end of a range with both.
const FROM: [&str; 7] = ["between", "from", "zwischen", "von", "entre", "desde", "de"];
/// Words between both ends.
const TO: [&str; 8] = ["to", "and", "till", "bis", "und", "a", "hasta", "y"];
/// Words before the lower end of an open range, longer ones first.
const LEAST: [&str; 12] = [
    "at least",
    "more than",
    "minimum",
    "above",
    "over",
    "mindestens",
    "min.",
    "min",
    "mínimo",
    "≥",
    ">=",
    ">",
];
/// Words before the upper end of an open range, longer ones first.
const MOST: [&str; 12] = [
    "at most",
    "less than",
    "maximum",
    "below",
    "under",
    "höchstens",
    "max.",
    "max",
    "máximo",
    "≤",
    "<=",
    "<",
];

/// A range in words as notebooks have it: `100..108 mm`. The ends are as they were written, whether or not they can be read.
pub fn as_written(text: &str) -> Option<String> {
    let text = text.trim();
    if let Some(low) = behind(text, &LEAST) {
        return Some(format!("{low}.."));
    }
    if let Some(high) = behind(text, &MOST) {
        return Some(format!("..{high}"));
    }
    let ends = behind(text, &FROM).unwrap_or(text);
    let (low, high) = TO.iter().find_map(|word| ends.split_once(&format!(" {word} ")))?;
    let (low, high) = (low.trim(), high.trim());
    // One unit is enough for both.
    let unit =
        high.trim_start_matches(|letter: char| !letter.is_alphabetic() && letter != '°' && letter != '%');
    let low = low.strip_suffix(unit).unwrap_or(low).trim_end();
    Some(format!("{low}..{high}"))
}

/// What stands behind one of some words at the beginning of a text.
fn behind<'t>(text: &'t str, words: &[&str]) -> Option<&'t str> {
    words.iter().find_map(|word| {
        let (head, rest) = text.split_at_checked(word.len())?;
        let is_whole = !word.ends_with(char::is_alphabetic) || rest.starts_with(' ');
        (head.to_lowercase() == *word && is_whole).then(|| rest.trim_start())
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_said_is_written_with_two_dots() {
        for (said, written) in [
            ("100 mm to 108 mm", "100..108 mm"),
            ("100 to 108 mm", "100..108 mm"),
            ("Between 27° and 28°", "27..28°"),
            ("zwischen 4 und 4 3/8 in", "4..4 3/8 in"),
            ("12 bis 13 psi", "12..13 psi"),
            ("150 a 154 psi", "150..154 psi"),
            ("at least 100 mm", "100 mm.."),
            (">= 100 mm", "100 mm.."),
            (">100 mm", "100 mm.."),
            ("max. 240 psi", "..240 psi"),
            ("Máximo 240 psi", "..240 psi"),
        ] {
            assert_eq!(as_written(said).as_deref(), Some(written), "{said}");
        }
        for none in ["100 mm", "", "minty", "100 mm tonight", "wonder"] {
            assert_eq!(as_written(none), None, "{none}");
        }
    }
}

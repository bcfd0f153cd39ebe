//! Makes `ready.rs`.

#![cfg(test)]

use std::fmt::Write;

use super::lexicon::{Lexicon, Lines};
use crate::advice::injury::Injury;
use crate::advice::made::{head, hold, numbers, text};
use crate::advice::parts::{Advice, Parts};
use crate::advice::shipped;

#[test]
fn english_is_made_ready_as_its_files_say() {
    // As the files are, whatever was made of them before.
    let practice = shipped::practice(&shipped::sayings().places);
    let (sayings, _) = shipped::sayings_in(shipped::ENGLISH, &[], practice.words().into_iter());
    let complaints: String = practice.words().iter().map(|word| format!("{word}\n")).collect();
    let parts = Parts { sayings, injury: Injury::default(), practice };
    let lexicon = Lexicon::new(&Advice::Own(Box::new(parts)), None);
    let mut code = head(
        "What is understood of riders in English, of the advice that ships",
        "templates/said/en.toml` and `templates/advice.toml",
        "english_is_made_ready",
    );
    code.push_str("use super::lexicon::{Lexicon, Lines};\n\n");
    code.push_str("/// The words for complaints, a line each, in the order of the file.\n");
    let _ = writeln!(code, "pub const COMPLAINTS: &str = {};\n", text(&complaints));
    code.push_str(
        "pub(super) const fn english() -> Lexicon {\n    Lexicon::ready(WAYS, WORDS, SINGLES)\n}\n\n",
    );
    for (name, lines) in [("WAYS", &lexicon.ways), ("WORDS", &lexicon.words)] {
        let Lines { text: all, starts } = lines;
        let starts = numbers(starts.iter().map(u32::to_string));
        let _ = writeln!(code, "const {name}: Lines = Lines::ready({}, &[{starts}]);", text(all));
    }
    let _ = writeln!(code, "const SINGLES: &str = {};", text(&lexicon.singles));
    if hold("feel/ready.rs", &code) {
        assert_eq!(super::ready::english(), lexicon);
    }
}

//! Makes `ready.rs`.

#![cfg(test)]

use std::fmt::Write;

use super::phrases::{Phrases, Words};
use super::{Injury, Keys, Laid, Takes};
use crate::advice::data::Practice;
use crate::advice::made::{head, hold, numbers, text};
use crate::advice::read::{own_words, read};
use crate::source::Sources;

const FILE: &str = "templates/injury.toml";

/// A file of this kind, read as it stands.
fn of_file() -> Injury {
    let toml = include_str!("../../../templates/injury.toml");
    let mut injury = Injury::default();
    let findings = read(Sources::new().set(FILE, toml), toml, |keys: &mut Keys<'_, '_>, table| {
        keys.file.words = own_words(table, &[], &Practice::default(), Vec::new());
        injury.lay(keys, "injury", Takes::Itself);
    });
    assert_eq!(findings, []);
    injury
}

#[test]
fn injury_is_made_ready_as_its_file_says() {
    let injury = of_file();
    let phrases: [(&str, &Phrases); 6] = [
        ("signs", &injury.signs),
        ("doubtful", &injury.doubtful),
        ("hurt", &injury.hurt),
        ("crash", &injury.crash),
        ("no_crash", &injury.no_crash),
        ("no_sign", &injury.no_sign),
    ];
    let words: [(&str, &Words); 9] = [
        ("things", &injury.things),
        ("body", &injury.body),
        ("limb", &injury.limb),
        ("named", &injury.named),
        ("not", &injury.not),
        ("between", &injury.between),
        ("or", &injury.or),
        ("free", &injury.free),
        ("never", &injury.never),
    ];
    let texts = [
        ("say", &injury.say),
        ("others", &injury.others),
        ("ask", &injury.ask),
        ("look_over", &injury.look_over),
    ];
    let mut code = head("The words of injury that ship", FILE, "injury_is_made_ready");
    code.push_str("use super::Injury;\nuse super::phrases::{Phrases, Ready, Words, glance};\n\n");
    code.push_str("/// The words that ship.\npub fn injury() -> Injury {\n    Injury {\n");
    for (name, said) in texts {
        let _ = writeln!(code, "        {name}: {:?}.to_owned(),", said);
    }
    for (name, _) in phrases {
        let _ = writeln!(code, "        {name}: Phrases::ready(&{}),", name.to_uppercase());
    }
    for (name, words) in words {
        let _ = writeln!(code, "        {name}: Words::ready({}),", text(&words.0));
    }
    code.push_str("    }\n}\n");
    for (name, phrases) in phrases {
        let name = name.to_uppercase();
        let marks = numbers(phrases.marks.iter().map(|(mark, place)| format!("({mark},{place})")));
        let _ = writeln!(code, "\nstatic {name}_MARKS: [(u32, u32); {}] = [{marks}];", phrases.marks.len());
        let telling = numbers(phrases.telling.iter().map(|(mark, place)| format!("({mark},{place})")));
        let _ =
            writeln!(code, "static {name}_TELLING: [(u32, u32); {}] = [{telling}];", phrases.telling.len());
        let _ = writeln!(code, "static {name}: Ready = Ready {{");
        let _ = writeln!(code, "    text: {},", text(&phrases.text));
        let _ = writeln!(code, "    marks: &{name}_MARKS,");
        let any = numbers(phrases.begin_with_any.iter().map(u32::to_string));
        let _ = writeln!(code, "    begin_with_any: &[{any}],");
        let _ = writeln!(code, "    telling: &{name}_TELLING,");
        let _ = writeln!(code, "    glance: &glance(&{name}_TELLING),");
        let _ = writeln!(code, "    is_open: {},\n}};", phrases.is_open);
    }
    if hold("injury/ready.rs", &code) {
        assert_eq!(Injury::shipped(), injury);
    }
}

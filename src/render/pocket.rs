//! The page for the telephone: one file with its own style and script, and the library for the browser.

use std::collections::BTreeMap;

use base64::engine::{Engine, general_purpose::STANDARD};
use serde::Serialize;
use sha2::{Digest, Sha256};

use super::html::escape;
use super::mark;

const PAGE: &str = include_str!("../../templates/pocket/page.html");
const STYLE: &str = include_str!("../../templates/pocket/pocket.css");
const SCRIPT: &str = include_str!("../../templates/pocket/pocket.js");
/// The library for the browser, and the script that opens it: `.ci/pocket` makes both.
const GLUE: &str = include_str!("../../templates/pocket/module.js");
const MODULE: &[u8] = include_bytes!("../../templates/pocket/module.wasm");

/// Writes the page with its data: its title, and its frame's language by its tag, with the words of that language by the
/// names that the frame has for them.
///
/// # Errors
///
/// Where the data has no form in JSON.
pub fn page(
    told: &impl Serialize,
    (title, language): (&str, &str),
    words: &BTreeMap<&str, String>,
) -> Result<String, serde_json::Error> {
    // Nothing in it can end the element that it is in.
    let told = serde_json::to_string(told)?.replace('<', "\\u003c");
    let mut page = format!(
        "<!doctype html>\n<html lang=\"{}\">\n<head>\n<meta charset=\"utf-8\">\n\
         <meta http-equiv=\"Content-Security-Policy\" content=\"{}\">\n{}\n\
         <meta name=\"viewport\" content=\"width=device-width, initial-scale=1\">\n<title>{}</title>\n\
         <style>\n{STYLE}</style>\n</head>\n{}\
         <script type=\"application/json\" id=\"book\">{told}</script>\n\
         <script type=\"text/plain\" id=\"module\">",
        escaped(language),
        policy(),
        mark::GENERATOR,
        escaped(title),
        spoken(words)
    );
    STANDARD.encode_string(MODULE, &mut page);
    page.push_str(&format!(
        "</script>\n<script>{GLUE}</script>\n<script>{SCRIPT}</script>\n</body>\n</html>\n"
    ));
    Ok(page)
}

/// The frame with its words filled in: `data-say` has the name of an element's text, `data-label` that of its label.
fn spoken(words: &BTreeMap<&str, String>) -> String {
    let mut page = PAGE.to_owned();
    for (name, said) in words {
        let said = escaped(said);
        page =
            page.replace(&format!("data-say=\"{name}\">"), &format!("data-say=\"{name}\">{said}")).replace(
                &format!("data-label=\"{name}\""),
                &format!("data-label=\"{name}\" aria-label=\"{said}\""),
            );
    }
    page
}

fn escaped(text: &str) -> String {
    let mut escaped = String::new();
    escape(text, &mut escaped);
    escaped
}

/// What a browser may do with the page (W3C Content Security Policy Level 3): fetch nothing, and run only our own two
/// scripts and the module inside the page.
fn policy() -> String {
    let hash = |script: &str| format!("'sha256-{}'", STANDARD.encode(Sha256::digest(script)));
    format!(
        "default-src 'none'; script-src {} {} 'wasm-unsafe-eval'; style-src 'unsafe-inline'; img-src data:; \
         font-src data:; base-uri 'none'; form-action 'none'",
        hash(GLUE),
        hash(SCRIPT)
    )
}

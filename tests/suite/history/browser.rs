//! The season's page in a browser: what a click on a head does, on a telephone's width and on a desktop's.
//!
//! Where the machine has no Chromium this says so on standard error, past the capture of the test's output.

use base64::engine::{Engine, general_purpose::STANDARD};
use loambook::advice::Advice;
use loambook::document::{self, Templates};
use loambook::pages::season::{self, Options};
use loambook::render::html::{self, HtmlOptions};
use sha2::{Digest, Sha256};

use super::demo;
use crate::chromium::Browser;

/// Clicks heads of the first table, and writes down its first column and the laps after each.
const PRESS: &str = r#"<script>
const table = document.querySelector("table");
const heads = [...table.querySelectorAll("th")];
const column = (at) => [...table.tBodies[0].rows].map((row) => row.children[at].textContent.trim()).join(",");
const press = (at) => heads[at].querySelector("button").click();
const laps = heads.findIndex((head) => head.textContent.trim() === "median lap");
const told = { width: innerWidth, before: column(0) };
press(0); press(0);
told.dates = column(0);
press(laps);
told.laps = column(laps);
told.sorted = heads.map((head) => head.getAttribute("aria-sort")).filter((it) => it).join(",");
told.over = document.documentElement.scrollWidth - document.documentElement.clientWidth;
document.body.innerHTML = "<pre id=told>" + Object.entries(told).map((it) => it.join("=")).join("\n") + "</pre>";
</script></body>"#;

fn page() -> String {
    let (book, season) = demo();
    let options = Options { machine: Some("corrie-450".to_owned()), ..Options::default() };
    let page = season::page(&book, &season, &Advice::shipped(), &options);
    let document = document::compose("season.md", &page, &Templates::new([]).unwrap()).unwrap();
    html::write(&document, &HtmlOptions { is_sortable: true, ..HtmlOptions::default() })
}

/// What the browser wrote down, by name.
struct Told(String);

impl Told {
    fn get(&self, name: &str) -> &str {
        let line = self.0.lines().find_map(|line| line.strip_prefix(name)?.strip_prefix('='));
        line.unwrap_or_else(|| panic!("{name} in {}", self.0))
    }
}

/// The page with a script of the test's own, which its policy allows beside ours.
fn pressed(html: &str) -> String {
    let script = PRESS.trim_start_matches("<script>").split("</script>").next().unwrap();
    let hash = STANDARD.encode(Sha256::digest(script));
    let allowed = html.replace("script-src '", &format!("script-src 'sha256-{hash}' '"));
    assert_ne!(allowed, html, "the page has a policy that lets scripts run by their hash");
    allowed.replace("</body>", PRESS)
}

#[test]
fn a_press_on_a_head_sorts_and_nothing_is_wider_than_the_screen() {
    let Some(mut browser) = Browser::blank(390) else { return };
    let html = pressed(&page());
    for width in [390, 1280] {
        browser.widen(width);
        browser.show(&html);
        let told =
            Told(browser.value("document.querySelector('#told').textContent").as_str().unwrap().to_owned());
        let before = told.get("before");
        let backwards: Vec<&str> = before.split(',').rev().collect();
        assert!(
            backwards.len() > 5 && told.get("dates") == backwards.join(","),
            "{before} and {}",
            told.get("dates")
        );
        // By hand from the notebooks: the fastest middle laps of the days, the two that are longest last.
        let laps = told.get("laps");
        assert!(laps.starts_with("2:03.1,2:03.4,2:03.7,") && laps.ends_with(",2:41.5,2:53.2"), "{laps}");
        assert_eq!((told.get("sorted"), told.get("over")), ("ascending", "0"));
    }
}

#[test]
fn the_page_is_one_file_that_says_everything_without_scripts() {
    let html = page();
    for outside in ["http://", "https://", "src=\"/", "@import", "url(\"", "<link"] {
        let found: Vec<&str> =
            html.match_indices(outside).map(|(at, _)| &html[at..(at + 60).min(html.len())]).collect();
        assert!(found.iter().all(|it| it.contains("www.w3.org")), "{found:?}");
    }
    let (body, script) = html.split_once("<script>").unwrap();
    assert!(!script.contains("<td"), "rows are in the page, not in the script");
    assert!(body.contains("2026-07-04") && body.contains("<svg") && !body.contains("onclick"));
    // A card on a telephone names the column of each of its cells.
    assert!(body.contains("data-name=\"median lap\""));
}

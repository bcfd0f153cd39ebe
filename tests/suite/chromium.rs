//! A browser to open pages in, where the machine has one. With `LOAMBOOK_NEEDS_BROWSER` set it must have one: where nobody
//! looks at what a test says, one that was not run is one that failed.

use std::fs;
use std::process::Command;

/// How wide the page makes a screen of a width scroll, in CSS pixels; `None` where there is no browser.
///
/// It stands in a frame, which has the screen's width whatever a window may be at least, and is so high that no bar takes any of it.
pub fn scroll_width(html: &str, width: u32) -> Option<u32> {
    let held = html.replace('&', "&amp;").replace('"', "&quot;");
    let frame = format!(
        "<!doctype html><iframe style=\"width:{width}px;height:20000px;border:0\" srcdoc=\"{held}\"></iframe><script>\
        const frame = document.querySelector('iframe');\
        const tell = () => document.body.dataset.width = frame.contentDocument.documentElement.scrollWidth;\
        frame.onload = tell; tell();</script>"
    );
    let dom = dom(&frame, 1200)?;
    let told = dom.rsplit_once("data-width=\"").unwrap().1;
    Some(told.split('"').next().unwrap().parse().unwrap())
}

/// The page as the browser has it once its scripts have run; `None` where there is no browser.
pub fn dom(html: &str, width: u32) -> Option<String> {
    let folder = tempfile::tempdir().unwrap();
    let file = folder.path().join("page.html");
    fs::write(&file, html).unwrap();
    let run = Command::new("chromium")
        .args([
            "--headless",
            "--no-sandbox",
            "--disable-gpu",
            "--no-first-run",
            "--disable-background-networking",
        ])
        .arg(format!("--user-data-dir={}", folder.path().join("profile").display()))
        .arg(format!("--window-size={width},900"))
        .arg("--dump-dom")
        .arg(format!("file://{}", file.display()))
        .output();
    match run {
        Ok(run) => Some(String::from_utf8(run.stdout).unwrap()),
        Err(error) => {
            let is_needed = std::env::var_os("LOAMBOOK_NEEDS_BROWSER").is_some();
            assert!(!is_needed, "there is no `chromium` to open the page in: {error}");
            None
        }
    }
}

//! A browser to open pages in, where the machine has one.

use std::fs;
use std::process::Command;

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
        .output()
        .ok()?;
    Some(String::from_utf8(run.stdout).unwrap())
}

//! A browser to open pages in, where the machine has one. With `LOAMBOOK_NEEDS_BROWSER` set it must have one: where nobody
//! reads a test's output, a test that did not run counts as failed.

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

/// How wide the page makes a screen of a width scroll, in CSS pixels; `None` without a browser.
///
/// The page is in a frame, which has the screen's width whatever a window's least width is. The frame is so high that no scroll
/// bar takes part of it.
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

/// How much of its tables a page hides at the side of a screen of a width, in CSS pixels: the most of any table. `None` without a
/// browser.
pub fn hidden_at_the_side(html: &str, width: u32) -> Option<u32> {
    let held = html.replace('&', "&amp;").replace('"', "&quot;");
    let frame = format!(
        "<!doctype html><iframe style=\"width:{width}px;height:20000px;border:0\" srcdoc=\"{held}\"></iframe><script>\
        const frame = document.querySelector('iframe');\
        const tell = () => document.body.dataset.hidden = Math.max(0, ...[...frame.contentDocument.querySelectorAll('.scroll')]\
        .map(table => table.scrollWidth - table.clientWidth));\
        frame.onload = tell; tell();</script>"
    );
    let dom = dom(&frame, 1200)?;
    let told = dom.rsplit_once("data-hidden=\"").unwrap().1;
    Some(told.split('"').next().unwrap().parse().unwrap())
}

/// The page as the browser has it once its scripts have run; `None` without a browser.
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
        Err(_) => {
            missing("no Chromium here: a page was not opened");
            None
        }
    }
}

/// Says what a test went without; fails where a browser must be there.
pub fn missing(what: &str) {
    assert!(std::env::var_os("LOAMBOOK_NEEDS_BROWSER").is_none(), "{what}");
    let _ = writeln!(std::io::stderr(), "{what}");
}

/// Longer than any step takes that works.
const PATIENCE: Duration = Duration::from_secs(60);

/// A browser that is driven, over the pipes of the Chrome DevTools Protocol, with one page open.
pub struct Browser {
    child: Child,
    input: ChildStdin,
    heard: Receiver<Value>,
    session: String,
    next: u64,
    _profile: tempfile::TempDir,
}

impl Browser {
    /// Opens an address in a window of a size; `None` without a browser.
    pub fn open(address: &str, width: u32, height: u32) -> Option<Self> {
        let profile = tempfile::tempdir().unwrap();
        let script = format!(
            "exec chromium --headless --no-sandbox --disable-gpu --no-first-run --disable-background-networking \
             --hide-scrollbars --remote-debugging-pipe --user-data-dir={} about:blank 3<&0 4>&1 </dev/null >/dev/null 2>&1",
            profile.path().display()
        );
        if Command::new("chromium").arg("--version").output().is_err() {
            missing("no Chromium here: a page was not opened");
            return None;
        }
        let mut child = Command::new("sh")
            .args(["-c", &script])
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()
            .ok()?;
        let mut output = BufReader::new(child.stdout.take().unwrap());
        let (said, heard) = channel();
        std::thread::spawn(move || {
            let mut message = Vec::new();
            while output.read_until(0, &mut message).is_ok_and(|count| count > 0) {
                message.pop();
                if said.send(serde_json::from_slice(&message).unwrap()).is_err() {
                    break;
                }
                message.clear();
            }
        });
        let input = child.stdin.take().unwrap();
        let mut browser = Self { child, input, heard, session: String::new(), next: 0, _profile: profile };
        let page = browser.ask("Target.createTarget", json!({ "url": "about:blank" }));
        let of_page = json!({ "targetId": page["targetId"], "flatten": true });
        let attached = browser.ask("Target.attachToTarget", of_page);
        browser.session = attached["sessionId"].as_str().unwrap().to_owned();
        let size = json!({ "width": width, "height": height, "deviceScaleFactor": 1, "mobile": false });
        browser.ask("Emulation.setDeviceMetricsOverride", size);
        browser.go(address);
        Some(browser)
    }

    /// Goes to an address, and waits until the page is loaded.
    pub fn go(&mut self, address: &str) {
        self.ask("Page.navigate", json!({ "url": address }));
        self.wait(&format!("document.readyState === 'complete' && location.href === {}", json!(address)));
    }

    /// The answer to a command of the protocol.
    pub fn ask(&mut self, method: &str, params: Value) -> Value {
        self.next += 1;
        let id = self.next;
        let mut message = json!({ "id": id, "method": method, "params": params });
        if !self.session.is_empty() {
            message["sessionId"] = json!(self.session);
        }
        self.input.write_all(format!("{message}\0").as_bytes()).unwrap();
        loop {
            let mut heard = self.heard.recv_timeout(PATIENCE).expect("the browser is silent");
            if heard["id"] == id {
                assert!(heard.get("error").is_none(), "{method}: {heard}");
                return heard["result"].take();
            }
        }
    }

    /// The value of an expression in the page; null while the page is loading another.
    pub fn value(&mut self, expression: &str) -> Value {
        let params = json!({ "expression": expression, "returnByValue": true, "awaitPromise": true });
        self.ask("Runtime.evaluate", params)["result"]["value"].take()
    }

    /// Waits until an expression is true.
    pub fn wait(&mut self, expression: &str) {
        let until = Instant::now() + PATIENCE;
        while self.value(expression) != json!(true) {
            let page = "document.body?.innerText";
            assert!(Instant::now() < until, "never: {expression}: {}", self.value(page));
            std::thread::sleep(Duration::from_millis(30));
        }
    }

    /// Clicks the middle of what a selector finds, as a finger does.
    pub fn press(&mut self, selector: &str) {
        let middle = format!(
            "(() => {{ const it = document.querySelector({}); it.scrollIntoView({{ block: 'center' }}); \
             const at = it.getBoundingClientRect(); return [at.x + at.width / 2, at.y + at.height / 2]; }})()",
            json!(selector)
        );
        let at = self.value(&middle);
        for kind in ["mousePressed", "mouseReleased"] {
            let params = json!({ "type": kind, "x": at[0], "y": at[1], "button": "left", "clickCount": 1 });
            self.ask("Input.dispatchMouseEvent", params);
        }
    }
}

impl Drop for Browser {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

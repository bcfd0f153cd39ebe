//! A browser to open pages in, where the machine has one. With `LOAMBOOK_NEEDS_BROWSER` set it must have one: where nobody
//! reads a test's output, a test that did not run counts as failed.

use std::fs;
use std::io::{BufRead, BufReader, Write};
use std::process::{Child, ChildStdin, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use serde_json::{Value, json};

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
    height: u32,
    shown: u32,
    profile: temp_dir::TempDir,
}

impl Browser {
    /// Opens an address in a window of a size; `None` without a browser.
    pub fn open(address: &str, width: u32, height: u32) -> Option<Self> {
        let profile = temp_dir::TempDir::new().unwrap();
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
        let session = String::new();
        let mut browser = Self { child, input, heard, session, next: 0, height, shown: 0, profile };
        let page = browser.ask("Target.createTarget", json!({ "url": "about:blank" }));
        let of_page = json!({ "targetId": page["targetId"], "flatten": true });
        let attached = browser.ask("Target.attachToTarget", of_page);
        browser.session = attached["sessionId"].as_str().unwrap().to_owned();
        browser.widen(width);
        browser.go(address);
        Some(browser)
    }

    /// A browser for pages that are yet to come, on a screen of a width. One for all pages of a test: its start costs more than they do.
    pub fn blank(width: u32) -> Option<Self> {
        Self::open("about:blank", width, 900)
    }

    /// Gives the screen another width, in CSS pixels.
    pub fn widen(&mut self, width: u32) {
        let size = json!({ "width": width, "height": self.height, "deviceScaleFactor": 1, "mobile": false });
        self.ask("Emulation.setDeviceMetricsOverride", size);
    }

    /// Opens a page that is in no file yet, and waits until it is loaded.
    pub fn show(&mut self, html: &str) {
        self.shown += 1;
        let file = self.profile.path().join(format!("page-{}.html", self.shown));
        fs::write(&file, html).unwrap();
        self.go(&format!("file://{}", file.display()));
    }

    /// How wide the page makes the screen scroll, in CSS pixels.
    pub fn scroll_width(&mut self) -> u64 {
        self.value("document.documentElement.scrollWidth").as_u64().unwrap()
    }

    /// How much of its tables the page hides at the side, in CSS pixels: the most of any table.
    pub fn hidden_at_the_side(&mut self) -> u64 {
        let tables =
            "[...document.querySelectorAll('.scroll')].map((table) => table.scrollWidth - table.clientWidth)";
        self.value(&format!("Math.max(0, ...{tables})")).as_u64().unwrap()
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

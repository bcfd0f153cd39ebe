//! `loambook watch`, as a browser and an attacker meet it: the real program, over its port.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::{TcpListener, TcpStream};
use std::process::{Child, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

use crate::chromium::Browser;
use crate::desk::{Desk, code, err, program};

const DAY: &str = "days/2026-05-09.md";
/// Longer than any step takes that works.
const PATIENCE: Duration = Duration::from_secs(60);

const PROSE: &str =
    "A line about nothing in particular, which is there so that the page is longer than the window.\n\n";

/// A book with one long day.
fn desk() -> Desk {
    let desk = Desk::empty();
    desk.write("book.toml", "title = \"Watched\"\n");
    desk.write("machines/brae.md", "+++\nkind = \"machine\"\n+++\n\n# The Brae\n");
    desk.write("riders/wren.md", "+++\nkind = \"rider\"\n+++\n\n# Wren\n");
    desk.write("tracks/pit.md", "+++\nkind = \"track\"\n+++\n\n# The pit\n");
    desk.write(DAY, &day("507 mm", 30));
    desk
}

fn day(aboard: &str, lines: usize) -> String {
    format!(
        "+++\nkind = \"day\"\ndate = 2026-05-09\nmachine = \"brae\"\nrider = \"wren\"\ntrack = \"pit\"\n+++\n\n\
         # A long day\n\n{}## The sag\n\n```sag rear\nhanging = \"612 mm\"\naboard = \"{aboard}\"\n```\n\n\
         With him on it `@sag.rear.rider`.\n\n{}",
        PROSE.repeat(lines),
        PROSE.repeat(30)
    )
}

/// The program, watching.
struct Watching {
    child: Child,
    address: String,
    /// What it prints besides the address, line by line.
    told: Receiver<String>,
}

impl Watching {
    fn over(desk: &Desk, arguments: &[&str]) -> Self {
        let mut child = program()
            .arg("watch")
            .args(arguments)
            .current_dir(desk.path(""))
            .stdout(Stdio::piped())
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let mut address = String::new();
        BufReader::new(child.stdout.take().unwrap()).read_line(&mut address).unwrap();
        let lines = BufReader::new(child.stderr.take().unwrap()).lines();
        let (said, told) = channel();
        std::thread::spawn(move || lines.map_while(Result::ok).for_each(|line| drop(said.send(line))));
        Self { child, address: address.trim().to_owned(), told }
    }

    fn host(&self) -> &str {
        let rest = self.address.strip_prefix("http://").unwrap();
        rest.split('/').next().unwrap()
    }

    /// The answer to some bytes: the status and everything that came.
    fn send(&self, bytes: &[u8]) -> (u16, String) {
        let mut stream = TcpStream::connect(self.host()).unwrap();
        stream.set_read_timeout(Some(PATIENCE)).unwrap();
        stream.write_all(bytes).unwrap();
        answer(stream)
    }

    fn get(&self, target: &str, lines: &str) -> (u16, String) {
        self.send(format!("GET {target} HTTP/1.1\r\nHost: {}\r\n{lines}\r\n", self.host()).as_bytes())
    }

    /// Waits until a path is answered so: a file may be read while it is being written.
    fn becomes(&self, path: &str, status: u16) {
        let asked = std::time::Instant::now();
        while self.get(path, "").0 != status {
            assert!(asked.elapsed().as_secs() < 30, "{path} is not answered with {status}");
            std::thread::sleep(std::time::Duration::from_millis(50));
        }
    }

    /// A page once it has some words: a file may be read while it is being written.
    fn shows(&self, path: &str, words: &str) -> String {
        let until = Instant::now() + PATIENCE;
        loop {
            let (_, page) = self.get(path, "");
            if page.contains(words) {
                return page;
            }
            assert!(Instant::now() < until, "{path} never has {words}");
            std::thread::sleep(std::time::Duration::from_millis(50));
        }
    }

    fn wait_for(&self, words: &str) {
        let until = Instant::now() + PATIENCE;
        while let Ok(line) = self.told.recv_timeout(until.saturating_duration_since(Instant::now())) {
            if line.contains(words) {
                return;
            }
        }
        panic!("it never said {words}");
    }
}

impl Drop for Watching {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

fn answer(mut stream: TcpStream) -> (u16, String) {
    let mut bytes = Vec::new();
    stream.read_to_end(&mut bytes).unwrap();
    let text = String::from_utf8_lossy(&bytes).into_owned();
    let status = text.split(' ').nth(1).and_then(|status| status.parse().ok());
    (status.unwrap_or_else(|| panic!("{text}")), text)
}

#[test]
fn pages_are_those_of_the_book_and_change_with_it() {
    let desk = desk();
    let watching = Watching::over(&desk, &[DAY]);
    assert!(watching.address.starts_with("http://127.0.0.1:"), "{}", watching.address);
    let page = format!("/{}", watching.address.rsplit_once('/').unwrap().1);
    let (status, before) = watching.get(&page, "");
    assert_eq!(status, 200);
    // 612 mm hanging less 507 mm with the rider.
    assert!(before.contains("105 ±") && before.contains("nothing to report"), "{before}");
    let edition = watching.get("/edition", "").1;
    desk.write(DAY, &day("506 mm", 30));
    watching.wait_for(DAY);
    assert_ne!(watching.get("/edition", "").1, edition);
    assert!(watching.get(&page, "").1.contains("106 ±"));
    // Another day is added, and removed.
    desk.write("days/2026-05-10.md", &day("505 mm", 1).replace("2026-05-09", "2026-05-10"));
    watching.becomes("/sheet~days~2026-05-10.md.html", 200);
    std::fs::remove_file(desk.path("days/2026-05-10.md")).unwrap();
    watching.becomes("/sheet~days~2026-05-10.md.html", 404);
    // A finding is shown behind its line, with the value marked.
    desk.write(DAY, &day("507 kg", 30));
    watching.wait_for("1 error");
    let marked = "aboard = &quot;507 ▸kg◂&quot;";
    let wrong = watching.shows(&page, marked);
    let (_, behind) = wrong.split_once(marked).unwrap();
    let (between, _) = behind.split_once("✗ error, line").unwrap();
    assert!(!between.contains("<h2>") && !between.contains("particular"), "{between}");
    for (target, words) in [
        ("/", "A long day"),
        ("/season.html", "Day by day"),
        ("/sheet~days~2026-05-09.md.html", "One next change"),
        ("/notebook~machines~brae.md.html", "The Brae"),
        ("/notebook~book.toml.html", "Watched"),
        ("/working~sag.rear.rider~end~days~2026-05-09.md.html", "Formula"),
    ] {
        let (status, page) = watching.get(target, "");
        assert!(status == 200 && page.contains(words), "{target}: {page}");
    }
    let files: Vec<_> = std::fs::read_dir(desk.path("")).unwrap().map(|it| it.unwrap().file_name()).collect();
    assert_eq!(files.len(), 5, "nothing is written: {files:?}");
}

#[test]
fn nothing_else_is_served() {
    let desk = desk();
    desk.write(".hidden.md", "secret");
    desk.write("notes.txt", "secret");
    std::fs::write(desk.folder.path().parent().unwrap().join("loambook-beside.md"), "secret").unwrap();
    let watching = Watching::over(&desk, &[]);
    for target in [
        "/notes.txt",
        "/days/2026-05-09.md",
        "/../loambook-beside.md",
        "/%2e%2e/loambook-beside.md",
        "/..%2floambook-beside.md",
        "/notebook~..~loambook-beside.md.html",
        "/notebook~%2e%2e~loambook-beside.md.html",
        "/notebook~days~..~..~loambook-beside.md.html",
        "/notebook~.hidden.md.html",
        "/notebook~notes.txt.html",
        "/notebook~~etc~passwd.html",
        "/notebook~/etc/passwd.html",
        "//etc/passwd",
        "/notebook~days~2026-05-09.md.html%00",
        "/notebook~days~2026-05-09.md.html?x",
        "/sheet~machines~brae.md.html",
        "/working~sag.rear.rider~99999~days~2026-05-09.md.html",
        "/working~no.such~end~days~2026-05-09.md.html",
        "/working~sag.rear.rider~-1~days~2026-05-09.md.html",
    ] {
        let (status, page) = watching.get(target, "");
        assert_eq!(status, 404, "{target}");
        assert!(!page.contains("secret") && !page.contains("root:"), "{target}: {page}");
    }
    std::fs::remove_file(desk.folder.path().parent().unwrap().join("loambook-beside.md")).unwrap();
}

#[test]
fn other_origins_and_hosts_are_refused() {
    let desk = desk();
    let watching = Watching::over(&desk, &[]);
    let host = watching.host().to_owned();
    let port = host.rsplit_once(':').unwrap().1;
    for lines in [
        "Origin: http://evil.example\r\n",
        "Origin: null\r\n",
        "Sec-Fetch-Site: cross-site\r\n",
        "Sec-Fetch-Site: same-site\r\n",
    ] {
        let (status, page) = watching.get("/", lines);
        assert_eq!(status, 403, "{lines}");
        assert!(!page.contains("Watched"), "{page}");
    }
    for host in ["evil.example", &format!("evil.example:{port}"), "127.0.0.1", "[::1]"] {
        let (status, page) = watching.send(format!("GET / HTTP/1.1\r\nHost: {host}\r\n\r\n").as_bytes());
        assert_eq!(status, 403, "{host}");
        assert!(!page.contains("Watched"), "{page}");
    }
    assert_eq!(watching.get("/", "Sec-Fetch-Site: same-origin\r\n").0, 200);
    let (status, page) =
        watching.send(format!("GET / HTTP/1.1\r\nHost: localhost:{port}\r\n\r\n").as_bytes());
    assert_eq!(status, 200);
    for guard in
        ["frame-ancestors 'none'", "nosniff", "Cross-Origin-Resource-Policy: same-origin", "no-store"]
    {
        assert!(page.contains(guard), "{guard}: {page}");
    }
    assert!(page.contains("default-src 'none'; script-src 'sha256-") && page.contains("connect-src 'self'"));
    assert!(!page.contains("Access-Control-Allow"));
    for (bytes, wanted) in [
        (format!("POST / HTTP/1.1\r\nHost: {host}\r\nContent-Length: 3\r\n\r\nabc"), 405),
        (format!("GET / HTTP/1.1\r\nHost: {host}\r\nContent-Length: 3\r\n\r\nabc"), 413),
        (format!("GET / HTTP/1.1\r\nHost: {host}\r\nX: {}\r\n\r\n", "a".repeat(1 << 16)), 431),
        ("rubbish\r\n\r\n".to_owned(), 400),
        (format!("GET http://{host}/ HTTP/1.1\r\nHost: {host}\r\n\r\n"), 400),
    ] {
        assert_eq!(watching.send(bytes.as_bytes()).0, wanted, "{bytes:.60}");
    }
    let (status, head) = watching.send(format!("HEAD / HTTP/1.1\r\nHost: {host}\r\n\r\n").as_bytes());
    assert!(status == 200 && head.ends_with("\r\n\r\n"), "{head}");
    // On no other address of this machine.
    assert!(TcpStream::connect(("127.0.0.2", port.parse().unwrap())).is_err());
}

#[test]
fn who_is_slow_or_many_does_not_keep_others_out() {
    let desk = desk();
    let watching = Watching::over(&desk, &[]);
    let mut slow: Vec<TcpStream> = (0..40).map(|_| TcpStream::connect(watching.host()).unwrap()).collect();
    let drip = slow.first_mut().unwrap();
    drip.set_read_timeout(Some(PATIENCE)).unwrap();
    let begun = Instant::now();
    // A byte now and then does not extend the time.
    while begun.elapsed() < Duration::from_secs(20) && drip.write_all(b"G").is_ok() {
        std::thread::sleep(Duration::from_millis(500));
        drip.set_read_timeout(Some(Duration::from_millis(1))).unwrap();
        let mut answer = [0; 64];
        if drip.read(&mut answer).is_ok() {
            break;
        }
    }
    assert!(begun.elapsed() < Duration::from_secs(15), "{:?}", begun.elapsed());
    // Silent clients are sent away too, and a client that comes meanwhile waits that long.
    assert_eq!(watching.get("/edition", "").0, 200);
}

#[test]
fn a_port_that_is_taken_is_said() {
    let desk = desk();
    let taken = TcpListener::bind("127.0.0.1:0").unwrap();
    let port = taken.local_addr().unwrap().port().to_string();
    let output = desk.run(&["watch", "--port", &port]);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains(&port), "{}", err(&output));
    let output = desk.run(&["watch", "days/none.md"]);
    assert_eq!(code(&output), 2);
}

#[test]
fn a_page_in_a_browser_follows_the_notebook_and_keeps_its_place() {
    let desk = desk();
    let watching = Watching::over(&desk, &[DAY]);
    let Some(mut browser) = Browser::open(&watching.address, 1000, 700) else {
        let _ = writeln!(std::io::stderr(), "no chromium here: the watched page is not opened in a browser");
        return;
    };
    let text = "document.body.innerText";
    browser.wait(&format!("{text}.includes('105 ±')"));
    // The heading of the sag is at the top of the window; then the day grows above it.
    let top = "0 + Math.round([...document.querySelectorAll('h2')].find((it) => it.innerText === 'The sag').getBoundingClientRect().top)";
    browser.value(
        "[...document.querySelectorAll('h2')].find((it) => it.innerText === 'The sag').scrollIntoView()",
    );
    let before = (browser.value(top), browser.value("scrollY"));
    desk.write(DAY, &day("506 mm", 45));
    browser.wait(&format!("{text}.includes('106 ±')"));
    let after = (browser.value(top), browser.value("scrollY"));
    // To a pixel: lines end between two.
    let moved = (after.0.as_f64().unwrap() - before.0.as_f64().unwrap()).abs();
    assert!(moved <= 1.0, "the place on the screen: {before:?} {after:?}");
    assert!(after.1.as_f64() > before.1.as_f64(), "{before:?} {after:?}");
    // A fault is shown at its place, and gone when it is mended.
    desk.write(DAY, &day("506 kg", 45));
    browser.wait(&format!("{text}.includes('✗ error')"));
    let place = "(() => { const it = document.querySelector('main > blockquote'); return it.previousElementSibling.innerText.trim().split('\\n').pop(); })()";
    assert_eq!(browser.value(place).as_str(), Some("aboard = \"506 ▸kg◂\""));
    desk.write(DAY, &day("506 mm", 45));
    browser.wait(&format!("!{text}.includes('✗ error') && {text}.includes('106 ±')"));
    // A click on the figure leads to its working, which changes with the notebook too.
    browser.press("main p a[href^='working~sag.rear.rider']");
    browser.wait(&format!("{text}.includes('Formula') && {text}.includes('106 ±')"));
    desk.write(DAY, &day("505 mm", 45));
    browser.wait(&format!("{text}.includes('Formula') && {text}.includes('107 ±')"));
    assert_eq!(browser.value("document.querySelectorAll('script').length"), 1);
    // So does a figure on the sheet.
    let host = watching.host().to_owned();
    browser.go(&format!("http://{host}/sheet~days~2026-05-09.md.html"));
    browser.press(".tile a[href^='working~sag.rear.rider~end~']");
    browser.wait(&format!("{text}.includes('Formula') && {text}.includes('107 ±')"));
}

#[test]
fn another_page_in_the_browser_sees_nothing_of_it() {
    let desk = desk();
    let watching = Watching::over(&desk, &[]);
    // A page of another origin: it fetches, frames and loads what it can.
    let other = TcpListener::bind("127.0.0.1:0").unwrap();
    let from = format!("http://{}/", other.local_addr().unwrap());
    std::thread::spawn(move || {
        for stream in other.incoming() {
            let mut stream = stream.unwrap();
            let _ = stream.read(&mut [0; 4096]);
            let _ = stream.write_all(
                b"HTTP/1.1 200 OK\r\nContent-Type: text/html\r\nConnection: close\r\n\r\n<!doctype html><body>other</body>",
            );
        }
    });
    let Some(mut browser) = Browser::open(&from, 1000, 700) else { return };
    let address = &watching.address;
    let tried = format!(
        "Promise.all([fetch('{address}').then((it) => it.text()).catch(() => 'refused'), \
         fetch('{address}', {{ mode: 'no-cors' }}).then((it) => it.text()).catch(() => 'refused'), \
         new Promise((done) => {{ const frame = document.createElement('iframe'); frame.src = '{address}'; \
           frame.onload = () => {{ let seen = 'refused'; try {{ seen = frame.contentDocument.body.innerText || 'refused'; }} catch {{}} done(seen); }}; \
           document.body.append(frame); }})]).then((all) => all.join())"
    );
    assert_eq!(browser.value(&tried).as_str(), Some("refused,refused,refused"));
}

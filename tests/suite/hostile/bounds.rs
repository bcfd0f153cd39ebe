//! No book within the limits takes more than 1 GB of memory, or 20 s and 50 ms for each file that is written.
//!
//! The program runs under limits that the system enforces: a run past them is killed. It is the debug build, which is
//! several times slower than the released one.

use std::process::{Command, Output};

use lopdf::Object;

use crate::desk::{Desk, code, err, file_names, out};

/// Memory that a run may ask the system for, in bytes.
const MEMORY: u64 = 1_000_000_000;
/// Time that a run may compute, in s; and more for each file.
const SECONDS: f64 = 20.0;
const SECONDS_A_FILE: f64 = 0.05;

const HEAD: &str =
    "+++\nkind = \"day\"\ndate = 2026-05-02\nmachine = \"m\"\nrider = \"r\"\n+++\n\n# A day\n\n";
const MACHINE: &str = "+++\nkind = \"machine\"\n+++\n\n# M\n\n";
const RIDER: &str = "+++\nkind = \"rider\"\n+++\n\n# R\n\n```rider\nmass = \"80 kg\"\n```\n";

/// Runs the program under the limits, and fails where it was killed.
fn bounded(desk: &Desk, arguments: &[&str], files: u32) -> Output {
    let seconds = (SECONDS + SECONDS_A_FILE * f64::from(files)).ceil();
    let program = env!("CARGO_BIN_EXE_loambook");
    // Two threads and one heap: memory that a thread reserves and does not use counts as well.
    let (memory, time) = (format!("--as={MEMORY}"), format!("--cpu={seconds}"));
    let mut command = Command::new(if cfg!(target_os = "linux") { "prlimit" } else { program });
    if cfg!(target_os = "linux") {
        command.args([&memory, &time, program]);
    }
    let output = command
        .args(arguments)
        .current_dir(desk.path(""))
        .env("RAYON_NUM_THREADS", "2")
        .env("MALLOC_ARENA_MAX", "1")
        .output()
        .unwrap();
    assert!(
        output.status.code().is_some(),
        "{arguments:?} was killed: {}",
        String::from_utf8_lossy(&output.stderr)
    );
    output
}

/// A book of a machine, a rider and one day, with these texts behind their heads.
fn book(machine: &str, day: &str) -> Desk {
    let desk = Desk::empty();
    desk.write("book.toml", "");
    desk.write("machines/m.md", &format!("{MACHINE}{machine}"));
    desk.write("riders/r.md", RIDER);
    desk.write("days/x.md", &format!("{HEAD}{day}"));
    desk
}

fn fence(word: &str, body: &str) -> String {
    format!("```{word}\n{body}\n```\n\n")
}

/// Numbered parts in a row.
fn many(count: usize, part: impl Fn(usize) -> String) -> String {
    (0..count).map(part).collect()
}

#[test]
fn four_megabytes_of_bad_laps_are_one_finding_with_a_count() {
    let desk = book("", &fence("stint", "laps = \"laps/a.csv\""));
    desk.write("laps/a.csv", &format!("lap\n{}", "bad\n".repeat(1_000_000)));
    let output = bounded(&desk, &["check"], 0);
    assert_eq!(out(&output).matches("laps/row").count(), 1, "{}", out(&output));
    assert!(out(&output).contains("19999 more rows") && out(&output).contains("more than 20000 rows"));
    assert!(out(&output).len() < 5_000);
}

#[test]
fn a_flood_of_findings_is_cut_with_a_count_in_every_form() {
    let desk = book("", &fence("sag rear", &many(2_000, |at| format!("hangin{at} = 3\n"))));
    for day in 0..25 {
        desk.write(&format!("days/d{day}.md"), &format!("{HEAD}{}", "`@nobody`\n".repeat(150)));
    }
    for format in ["text", "json", "sarif"] {
        let output = bounded(&desk, &["check", "--format", format], 0);
        assert_eq!(code(&output), 1);
        assert!(out(&output).len() < 5_000_000, "{format}: {}", out(&output).len());
        assert!(out(&output).contains("file/more-findings"), "{format}");
        assert!(out(&output).contains("more findings are not shown; 2000 is the most"), "{format}");
    }
}

#[test]
fn names_that_nobody_knows_take_no_more_time_than_others() {
    let plans = many(1_500, |at| fence(&format!("settings plan-{at}"), "fork.rebound = \"9 clicks\""));
    let uses = many(1_500, |at| fence("change", &format!("use = \"plain-{at}\"\nbecause = \"x\"")));
    assert_eq!(code(&bounded(&book(&plans, &uses), &["check"], 0)), 1);

    let choices: String = many(5_000, |at| format!("\"map-{at}\", "));
    let chosen = fence("change", "fuelling = \"soft\"\nbecause = \"x\"").repeat(1_500);
    let output =
        bounded(&book(&fence("fuelling", &format!("choices = [{choices}]")), &chosen), &["check"], 0);
    assert!(out(&output).contains("and 4988 more"), "the list of what there is is cut");
    assert!(out(&output).len() < 1_000_000, "{}", out(&output).len());

    let chambers = many(1_500, |at| {
        fence(&format!("chamber c{at}"), "side = \"positive\"\nbore = \"40 mm\"\nvolume = \"300 cm3\"")
    });
    let set = many(1_500, |at| fence("settings", &format!("chamber.zzzzz{at} = \"3 psi\"")));
    let output = bounded(&book(&chambers, &set), &["check", "--format", "sarif"], 0);
    assert!(out(&output).len() < 1_000_000, "{}", out(&output).len());

    let desk = book(
        "",
        &many(1_500, |at| fence("sag rear", &format!("tape = \"ruler-{at}\"\nhanging = \"612 mm\""))),
    );
    desk.write("book.toml", &many(15_000, |at| format!("[instrument.tape-{at}]\nresolution = \"1 mm\"\n")));
    assert_eq!(code(&bounded(&desk, &["check"], 0)), 1);
}

#[test]
fn what_was_ticked_off_by_the_thousand_takes_no_more_time_than_other_words() {
    let desk = book("", "");
    let done = fence("checked", &format!("done = [{}]", many(6_000, |at| format!("\"{at:04x}\", "))));
    for day in 0..60 {
        let date = format!("2026-{:02}-{:02}", 1 + day / 28, 1 + day % 28);
        desk.write(&format!("days/d{day}.md"), &format!("{}{done}", HEAD.replace("2026-05-02", &date)));
    }
    let output = bounded(&desk, &["check"], 0);
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert!(out(&output).contains("has no check or service `0000`"), "{}", out(&output));
    assert!(out(&output).len() < 2_000_000, "{}", out(&output).len());
}

#[test]
fn one_word_and_very_many_fences_lists_and_links_are_read_and_printed() {
    let gears = many(8_000, |at| format!("{:.5},", 3.0 - at as f64 / 10_000.0));
    let hardware = fence("drive", &format!("front = 13\nrear = 50\nprimary = 3.1\ngears = [{gears}]"))
        + &many(1_500, |at| fence(&format!("link l{at}"), "leverage = [3.0, 2.4]"));
    for day in
        ["x".repeat(20_000), fence("layout lines", "a").repeat(2_500), fence("anything", "a").repeat(2_500)]
    {
        let output = bounded(&book(&hardware, &day), &["sheet", "--diary", "days/x.md"], 1);
        assert_eq!(code(&output), 0, "{}", err(&output));
    }
    let changed = many(1_500, |at| fence("change", &format!("shock.link = \"l{at}\"\nbecause = \"x\"")));
    bounded(&book(&hardware, &changed), &["check"], 0);
}

#[test]
fn six_hundred_days_are_checked_told_and_printed() {
    let desk = book("", "");
    for day in 0..600 {
        let date = format!("20{:02}-{:02}-{:02}", 10 + day / 336, 1 + day / 28 % 12, 1 + day % 28);
        let sag = fence("sag rear", "hanging = \"612 mm\"\nalone = \"580 mm\"\naboard = \"508 mm\"");
        let head = HEAD.replace("2026-05-02", &date);
        let change = fence("change", "fork.height = \"5 mm\"\nbecause = \"x\"");
        desk.write(&format!("days/d{day}.md"), &format!("{head}{sag}{change}"));
    }
    assert_eq!(code(&bounded(&desk, &["check"], 0)), 0);
    assert_eq!(code(&bounded(&desk, &["season", "--format", "html", "-o", "season.html"], 1)), 0);
    assert_eq!(code(&bounded(&desk, &["sheet", "days/d599.md"], 1)), 0);
    assert_eq!(code(&bounded(&desk, &["export", "-o", "tables"], 8)), 0);
    let figures = desk.read("tables/figures.csv");
    assert!(figures.contains("days/d0.md,") && figures.contains("days/d599.md,"));
}

/// Every command that reads a book's days, on one of them where it asks for one. What it answers is another test's matter;
/// here it only must not take longer.
fn told_of(desk: &Desk, day: &str) {
    for arguments in [
        &["check"][..],
        &["season", "--format", "csv", "-o", "-"],
        &["season", "-o", "season.html"],
        &["figures", day],
        &["figures", day, "--format", "json"],
        &["next", day],
        &["due"],
        &["compare", day, "machines/m.md"],
        &["export", "-o", "tables"],
        &["sheet", day, "-o", "sheet.pdf"],
        &["state", day],
        &["spring"],
        &["roster", "--date", "2010-01-01", "-o", "roster.pdf"],
        &["prepare", "--date", "2040-01-01", "--machine", "m", "--rider", "r", "--track", "t"],
    ] {
        assert_ne!(code(&bounded(desk, arguments, 1)), 101, "{arguments:?}");
    }
}

/// A book of such days, the first on the first of January 2010.
fn days(count: usize, day: impl Fn(usize) -> String) -> Desk {
    let desk = book("", "");
    std::fs::remove_file(desk.path("days/x.md")).unwrap();
    desk.write("tracks/t.md", "+++\nkind = \"track\"\n+++\n\n# T\n");
    for at in 0..count {
        let date = format!("20{:02}-{:02}-{:02}", 10 + at / 336, 1 + at / 28 % 12, 1 + at % 28);
        desk.write(&format!("days/d{at}.md"), &(HEAD.replace("2026-05-02", &date) + &day(at)));
    }
    desk
}

#[test]
fn keys_that_nobody_knows_take_no_command_long() {
    told_of(&days(1, |_| fence("sag rear", &many(15_000, |at| format!("hangin{at} = 3\n")))), "days/d0.md");
    let misspelt = |_| fence("settings", &many(600, |at| format!("fork.rebund{at} = \"3 clicks\"\n")));
    told_of(&days(30, misspelt), "days/d29.md");
}

#[test]
fn stints_by_the_thousand_take_no_command_long() {
    let stint = |laps: usize| {
        let laps = many(laps, |at| format!("1:{:02}.{} ", 50 + at % 10, at % 7));
        fence("stint", &format!("laps = \"{laps}\""))
    };
    let change = fence("change", "fork.height = \"5 mm\"\nbecause = \"x\"");
    // `figures` looked through all blocks for each part that was missing at each of them: 17 s.
    told_of(&days(1, |_| stint(2).repeat(1_900)), "days/d0.md");
    told_of(&days(30, |_| format!("{change}{}", stint(120)).repeat(30)), "days/d29.md");
    told_of(&days(1, |_| [stint(4_500), change.clone(), stint(4_500)].concat()), "days/d0.md");
}

#[test]
fn a_thousand_days_take_no_command_long() {
    let sag = fence("sag rear", "hanging = \"612 mm\"\nalone = \"580 mm\"\naboard = \"508 mm\"");
    let change = fence("change", "fork.height = \"5 mm\"\nbecause = \"x\"");
    let feel = fence("feel", "headshake = 3");
    told_of(&days(1_000, |_| [sag.as_str(), &change, &feel].concat()), "days/d999.md");
}

/// A picture in which no two rows are alike, and which compresses very well.
fn png(across: u32, down: u32) -> Vec<u8> {
    let mut file = Vec::new();
    let mut encoder = png::Encoder::new(&mut file, across, down);
    encoder.set_color(png::ColorType::Rgb);
    let mut rows = vec![0; across as usize * down as usize * 3];
    for (at, row) in rows.chunks_mut(across as usize * 3).enumerate() {
        row.fill((at % 200) as u8);
    }
    encoder.write_header().unwrap().write_image_data(&rows).unwrap();
    file
}

/// The head of a JPEG with this many colours, and a body that nothing here reads.
fn jpeg(across: u16, down: u16, colours: u8) -> Vec<u8> {
    let size = [down.to_be_bytes(), across.to_be_bytes()].concat();
    let length = 8 + 3 * u16::from(colours);
    let frame = [
        &[0xFF, 0xC0][..],
        &length.to_be_bytes(),
        &[8],
        &size,
        &[colours],
        &vec![1; 3 * usize::from(colours)],
    ];
    [&[0xFF, 0xD8][..], &frame.concat(), b"\xFF\xDAan eye would see a fork here\xFF\xD9"].concat()
}

/// The photos of a PDF: size, filter, colours, bytes.
fn photos(pdf: &[u8]) -> Vec<(i64, i64, String, String, Vec<u8>)> {
    let file = lopdf::Document::load_mem(pdf).unwrap();
    let images = file.objects.values().filter_map(|object| match object {
        Object::Stream(stream)
            if stream.dict.get(b"Subtype").and_then(Object::as_name).is_ok_and(|name| name == b"Image") =>
        {
            Some(stream)
        }
        _ => None,
    });
    let word = |object: &Object| String::from_utf8_lossy(object.as_name().unwrap()).into_owned();
    images
        .map(|image| {
            let get = |key: &[u8]| image.dict.get(key).unwrap();
            let size = (get(b"Width").as_i64().unwrap(), get(b"Height").as_i64().unwrap());
            (size.0, size.1, word(get(b"Filter")), word(get(b"ColorSpace")), image.content.clone())
        })
        .collect()
}

#[test]
fn photos_are_as_large_in_the_file_as_print_needs() {
    let desk = book("", "![png](large.png)\n\n![jpeg](fork.jpg)\n");
    // 12 megapixels: 36 MB as they were written once.
    let large = png(4_000, 3_000);
    let fork = jpeg(4_000, 3_000, 4);
    assert!(large.len() < 200_000, "{}", large.len());
    std::fs::write(desk.path("days/large.png"), &large).unwrap();
    std::fs::write(desk.path("days/fork.jpg"), &fork).unwrap();
    let output = bounded(&desk, &["sheet", "-o", "x.pdf"], 1);
    assert_eq!((code(&output), err(&output)), (0, ""));
    let pdf = std::fs::read(desk.path("x.pdf")).unwrap();
    assert!(pdf.len() < 500_000, "{}", pdf.len());
    let photos = photos(&pdf);
    let packed = photos.iter().find(|photo| photo.2 == "FlateDecode").unwrap();
    // At most 75 mm high: 886 dots at 300 to the inch.
    assert_eq!((packed.0, packed.1, packed.3.as_str()), (1_182, 886, "DeviceRGB"));
    let passed = photos.iter().find(|photo| photo.2 == "DCTDecode").unwrap();
    assert_eq!((passed.0, passed.1, passed.3.as_str()), (4_000, 3_000, "DeviceCMYK"));
    assert!(passed.4 == fork, "a JPEG is put into the file as it is");
    let output = bounded(&desk, &["sheet", "-o", "x.html"], 1);
    assert_eq!(code(&output), 0, "{}", err(&output));
    assert!(desk.read("x.html").len() < 700_000);
}

#[test]
fn a_photo_too_large_is_known_by_its_head_and_the_sheet_is_printed() {
    let desk = book(
        "",
        "![a](bomb.png)\n\n![b](bomb.jpg)\n\n![c](first.png)\n\n![d](second.png)\n\n![e](cut.png)\n",
    );
    let mut bomb = png(8, 8);
    // The size stands behind the signature and the first chunk's length and name.
    bomb[16..24].copy_from_slice(&[0, 0, 0xEA, 0x60, 0, 0, 0xEA, 0x60]);
    let good = png(2_900, 2_900);
    for (name, bytes) in [
        ("bomb.png", bomb.as_slice()),
        ("bomb.jpg", &jpeg(60_000, 60_000, 3)),
        ("first.png", &good),
        ("second.png", &good),
        ("cut.png", &png(100, 100)[..80]),
    ] {
        std::fs::write(desk.path("days").join(name), bytes).unwrap();
    }
    let output = bounded(&desk, &["sheet", "-o", "x.pdf"], 1);
    assert_eq!(code(&output), 0);
    // Findings are wrapped.
    let one_line = |output: &Output| err(output).split_whitespace().collect::<Vec<_>>().join(" ");
    let told = one_line(&output);
    let said = |name: &str, why: &str| {
        told.split(" ! ").any(|finding| finding.contains(&format!("`days/{name}`")) && finding.contains(why))
    };
    // Each is a finding, at the place that shows the photo.
    assert_eq!(told.matches("photo/unprinted").count(), 4, "{told}");
    assert!(told.contains("days/x.md:10:") && told.contains("![a](bomb.png)"), "{told}");
    assert!(said("bomb.jpg", "60000 by 60000 pixels"), "{}", err(&output));
    assert!(said("bomb.png", "cannot be printed"), "{}", err(&output));
    assert!(said("second.png", "16820000 pixels, and 16777216 is the most"), "{}", err(&output));
    assert!(said("cut.png", "cannot be"), "{}", err(&output));
    assert_eq!(photos(&std::fs::read(desk.path("x.pdf")).unwrap()).len(), 1);
    // A page in HTML holds them all, so their bytes count; what is left out is listed there too.
    std::fs::write(desk.path("days/bomb.jpg"), vec![0; 17 << 20]).unwrap();
    let output = bounded(&desk, &["sheet", "-o", "x.html"], 1);
    assert!(
        err(&output).contains("`days/bomb.jpg` cannot be printed: it has more than 16777216 bytes"),
        "{}",
        err(&output)
    );
}

#[test]
fn a_template_that_would_never_end_is_told_at_its_place() {
    let desk = book("", &fence("checked", "done = [\"a\", \"b\"]"));
    let turns = "{% for a in to_set.lines %}{% for b in to_set.lines %}{% for c in to_set.lines %}".repeat(3);
    let ends = "{% endfor %}".repeat(9);
    for (template, said) in [
        (
            "{% for a in range(end=100000) %}{% for b in range(end=100000) %}{% endfor %}{% endfor %}"
                .to_owned(),
            "`range`",
        ),
        (
            format!("\n{{% set x = \"aaaaaaaaaa\" %}}{}{{{{ x }}}}", "{% set x = x ~ x %}".repeat(10)),
            "line 2, column 4",
        ),
        ("{{ title | indent(width=1000000000) }}".to_owned(), "`indent`"),
        (format!("{turns}{ends}"), "steps"),
        (
            format!(
                "{{% for a in \"{}\" %}}{{{{ a }}}}{}{{% endfor %}}",
                "a".repeat(30_000),
                "b".repeat(30_000)
            ),
            "more than",
        ),
        ("{{ nobody }}".to_owned(), "line 1, column 4"),
        (" ".repeat(70_000), "70000 bytes"),
    ] {
        desk.write("templates/sheet.md", &template);
        // Enough settings that the loops are long.
        let set = many(60, |at| format!("other.a{at} = \"b\"\n"));
        desk.write("machines/m.md", &format!("{MACHINE}{}", fence("settings", &set)));
        let output = bounded(&desk, &["sheet", "-o", "out"], 1);
        assert_eq!(code(&output), 2, "{template}");
        assert!(
            err(&output).contains("template sheet.md") && err(&output).contains(said),
            "{}",
            err(&output)
        );
        assert!(!desk.path("out").exists() || file_names(&desk.path("out")).is_empty());
    }
}

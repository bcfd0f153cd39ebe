use std::sync::atomic::{AtomicUsize, Ordering};

use crate::render::mark::parquet_writer;

use super::*;

const OLD: &str = "<!doctype html>\n<meta name=\"generator\" content=\"loambook\">\nold";
const NEW: &str =
    "<!doctype html>\n<meta name=\"generator\" content=\"loambook\">\nnew, and longer than it was";

fn html(text: &str) -> Output<'_> {
    Output { form: Form::Html, bytes: text.as_bytes() }
}

fn names(folder: &Path) -> Vec<String> {
    let entries = fs::read_dir(folder).unwrap();
    let mut names: Vec<String> =
        entries.map(|entry| entry.unwrap().file_name().into_string().unwrap()).collect();
    names.sort();
    names
}

/// A file system in which one step fails, as on a full disk: half of what it does is done.
struct Failing {
    /// Which step fails, counted over all of them.
    at: usize,
    step: AtomicUsize,
    /// Whether files can have hard links here.
    has_links: bool,
    done: Mutex<Vec<&'static str>>,
}

impl Failing {
    fn at(at: usize, has_links: bool) -> Self {
        Self { at, step: AtomicUsize::new(0), has_links, done: Mutex::default() }
    }

    fn fails(&self, name: &'static str) -> io::Result<()> {
        self.done.lock().unwrap().push(name);
        if self.step.fetch_add(1, Ordering::Relaxed) == self.at {
            return Err(io::Error::from(io::ErrorKind::StorageFull));
        }
        Ok(())
    }
}

impl Steps for Failing {
    fn create(&self, path: &Path) -> io::Result<File> {
        self.fails("create")?;
        Disk.create(path)
    }

    fn write(&self, file: &mut File, bytes: &[u8]) -> io::Result<()> {
        if let Err(error) = self.fails("write") {
            Disk.write(file, &bytes[..bytes.len() / 2])?;
            return Err(error);
        }
        Disk.write(file, bytes)
    }

    fn sync(&self, file: &File) -> io::Result<()> {
        self.fails("sync")?;
        Disk.sync(file)
    }

    fn rename(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.fails("rename")?;
        Disk.rename(from, to)
    }

    fn remove(&self, path: &Path) -> io::Result<()> {
        self.fails("remove")?;
        Disk.remove(path)
    }

    fn link(&self, from: &Path, to: &Path) -> io::Result<()> {
        self.fails("link")?;
        if self.has_links { Disk.link(from, to) } else { Err(io::ErrorKind::Unsupported.into()) }
    }
}

/// Runs something again and again, with each step failing in turn, until none fails. Returns the steps of that
/// last run.
fn each_step_fails(has_links: bool, mut run: impl FnMut(&Writer<Failing>) -> bool) -> Vec<&'static str> {
    for at in 0..20 {
        let writer = Writer::with(Failing::at(at, has_links));
        let is_done = run(&writer);
        let steps = writer.steps.done.into_inner().unwrap();
        if at >= steps.len() {
            assert!(is_done, "nothing failed, and nothing was written");
            return steps;
        }
    }
    panic!("there are more steps than anybody thought");
}

#[test]
fn whichever_step_of_replacing_fails_the_old_file_is_whole_or_the_new_one() {
    let steps = each_step_fails(true, |writer| {
        let folder = temp_dir::TempDir::new().unwrap();
        let path = folder.path().join("a.html");
        fs::write(&path, OLD).unwrap();
        let is_done = writer.replace(&path, html(NEW)).is_ok();
        assert_eq!(fs::read_to_string(&path).unwrap(), if is_done { NEW } else { OLD });
        assert_eq!(names(folder.path()), ["a.html"]);
        is_done
    });
    assert_eq!(steps, ["create", "write", "sync", "rename"]);
}

#[test]
fn whichever_step_of_a_new_notebook_fails_it_is_whole_or_nothing_is_there() {
    for has_links in [true, false] {
        let steps = each_step_fails(has_links, |writer| {
            let folder = temp_dir::TempDir::new().unwrap();
            let path = folder.path().join("book/machines/a.md");
            let is_done = writer.create(&path, "whole").is_ok();
            if is_done {
                assert_eq!(fs::read_to_string(&path).unwrap(), "whole");
                assert_eq!(names(path.parent().unwrap()), ["a.md"]);
            } else {
                assert_eq!(names(folder.path()), Vec::<String>::new(), "the folders are gone too");
            }
            is_done
        });
        let last: &[&str] = if has_links { &["link"] } else { &["link", "create", "rename"] };
        assert_eq!(steps, [&["create", "write", "sync"], last].concat());
    }
}

#[test]
fn a_notebook_that_appears_while_it_is_written_stays() {
    struct Late(PathBuf);
    impl Steps for Late {
        fn sync(&self, _: &File) -> io::Result<()> {
            fs::write(&self.0, "theirs")
        }
    }
    let folder = temp_dir::TempDir::new().unwrap();
    let path = folder.path().join("a.md");
    assert!(Writer::with(Late(path.clone())).create(&path, "mine").is_err());
    assert_eq!(fs::read_to_string(&path).unwrap(), "theirs");
    assert_eq!(names(folder.path()), ["a.md"]);
}

#[test]
fn an_output_that_appears_while_it_is_written_is_looked_at_like_any_other() {
    struct Late(PathBuf, &'static str);
    impl Steps for Late {
        fn sync(&self, _: &File) -> io::Result<()> {
            fs::write(&self.0, self.1)
        }
    }
    let folder = temp_dir::TempDir::new().unwrap();
    for (name, theirs, is_ours) in [("a.html", OLD, true), ("b.html", "theirs", false)] {
        let path = folder.path().join(name);
        let writer = Writer::with(Late(path.clone(), theirs));
        assert_eq!(writer.replace(&path, html(NEW)).is_ok(), is_ours);
        assert_eq!(fs::read_to_string(&path).unwrap(), if is_ours { NEW } else { theirs });
    }
    assert_eq!(names(folder.path()), ["a.html", "b.html"]);
}

#[test]
fn what_a_run_that_is_gone_left_is_cleared_and_what_another_still_writes_is_not() {
    let folder = temp_dir::TempDir::new().unwrap();
    let at = |name: &str| folder.path().join(name);
    let (stale, live) = (".loambook-0123456789abcdef.part", ".loambook-fedcba9876543210.part");
    for name in [stale, live, ".loambook-notes.part", "loambook-0123456789abcdef.part"] {
        fs::write(at(name), "half").unwrap();
    }
    let held = File::open(at(live)).unwrap();
    held.lock().unwrap();
    Writer::new().create(&at("a.md"), "whole").unwrap();
    assert_eq!(
        names(folder.path()),
        [live, ".loambook-notes.part", "a.md", "loambook-0123456789abcdef.part"]
    );
    drop(held);
    Writer::new().replace(&at("b.html"), html(NEW)).unwrap();
    assert!(!at(live).exists());
}

#[test]
fn nothing_but_a_former_output_of_its_form_is_written_over() {
    let folder = temp_dir::TempDir::new().unwrap();
    let path = folder.path().join("a.html");
    for theirs in ["+++\nkind = \"day\"\n+++\n", "<!doctype html><title>mine</title>", "{\"schema\": 1}", " "]
    {
        fs::write(&path, theirs).unwrap();
        assert!(Writer::new().replace(&path, html(NEW)).is_err());
        assert!(Writer::new().write_to(&path, html(NEW)).is_err());
        assert_eq!(fs::read_to_string(&path).unwrap(), theirs);
    }
    fs::write(&path, "").unwrap();
    Writer::new().replace(&path, html(NEW)).unwrap();
    assert_eq!(fs::read_to_string(&path).unwrap(), NEW);
}

#[test]
fn text_is_never_written_over_as_it_does_not_say_whose_it_is() {
    let folder = temp_dir::TempDir::new().unwrap();
    let path = folder.path().join("a.txt");
    let output = Output { form: Form::Text, bytes: b"text" };
    Writer::new().replace(&path, output).unwrap();
    assert!(Writer::new().replace(&path, output).is_err());
}

const HEAD: &str = "book,machine,rider,track,date,notebook,line,stint,lap,value,unit,uncertainty\n";

fn streamed(writer: &Writer<Failing>, path: &Path, more: &str) -> Result<(), Failure> {
    let mut file = writer.begin(path, Form::Csv, HEAD)?;
    for text in [HEAD, more, more, more] {
        file.write_all(text.as_bytes()).map_err(|error| file.failure(&error))?;
    }
    file.ready()?.bring_in()
}

#[test]
fn whichever_step_of_a_streamed_file_fails_the_old_one_is_whole_or_the_new_one() {
    // Longer than what is written in one step.
    let more = format!("{}\n", "b,m,r,t,2026-05-02,days/d.md,9,1,1,100,s,\n".repeat(2_000).trim_end());
    let new = format!("{HEAD}{}", more.repeat(3));
    for former in [Some(format!("{HEAD}old\n")), None] {
        let steps = each_step_fails(true, |writer| {
            let folder = temp_dir::TempDir::new().unwrap();
            let path = folder.path().join("laps.csv");
            if let Some(former) = &former {
                fs::write(&path, former).unwrap();
            }
            let is_done = streamed(writer, &path, &more).is_ok();
            let there = fs::read_to_string(&path).ok();
            assert_eq!(there.as_ref(), if is_done { Some(&new) } else { former.as_ref() });
            assert_eq!(names(folder.path()).len(), usize::from(there.is_some()), "no draft is left");
            is_done
        });
        let last = if former.is_some() { "rename" } else { "link" };
        assert_eq!((steps.first(), steps.last()), (Some(&"create"), Some(&last)));
        assert!(steps.iter().filter(|step| **step == "write").count() > 1, "{steps:?}");
    }
}

#[test]
fn what_is_put_in_the_place_of_a_streamed_file_meanwhile_stays() {
    let folder = temp_dir::TempDir::new().unwrap();
    let path = folder.path().join("laps.csv");
    let writer = Writer::new();
    let mut file = writer.begin(&path, Form::Csv, HEAD).unwrap();
    fs::write(&path, "lap,my own\n1,2\n").unwrap();
    file.write_all(b"row\n").unwrap();
    assert!(file.ready().is_err());
    assert_eq!(fs::read_to_string(&path).unwrap(), "lap,my own\n1,2\n");
    assert_eq!(names(folder.path()), ["laps.csv"]);
}

/// Writes two tables, and the last file, which shows that they are complete.
fn together(writer: &Writer<Failing>, folder: &Path, row: &str) -> Result<(), Failure> {
    let mut files = Vec::new();
    for name in ["laps.csv", "more.csv"] {
        let mut file = writer.begin(&folder.join(name), Form::Csv, HEAD)?;
        file.write_all(format!("{HEAD}{row}\n").as_bytes()).map_err(|error| file.failure(&error))?;
        files.push(file);
    }
    let last = format!("{{\"schema\": 1, \"tables\": \"{row}\"}}");
    bring_in(
        writer,
        files,
        (&folder.join("schema.json"), Output { form: Form::Json, bytes: last.as_bytes() }),
    )
}

#[test]
fn whichever_step_of_several_files_fails_they_are_of_one_run_or_the_last_one_is_missing() {
    for is_there in [true, false] {
        let steps = each_step_fails(true, |writer| {
            let folder = temp_dir::TempDir::new().unwrap();
            if is_there {
                let nothing_fails = Writer::with(Failing::at(usize::MAX, true));
                together(&nothing_fails, folder.path(), "old").unwrap();
            }
            let told = together(writer, folder.path(), "new");
            let read = |name: &str| fs::read_to_string(folder.path().join(name)).ok();
            let files = ["laps.csv", "more.csv", "schema.json"].map(read);
            let all =
                |row: &str| files.iter().all(|file| file.as_ref().is_some_and(|text| text.contains(row)));
            match &told {
                Ok(()) => assert!(all("new"), "{files:?}"),
                Err(failure) => {
                    let is_said =
                        failure.to_string().contains("not of one run, since schema.json is missing");
                    assert!(if is_said { files[2].is_none() } else { is_there == all("old") }, "{files:?}");
                }
            }
            // Each file by itself is whole.
            assert!(files.iter().flatten().all(|text| text.ends_with(['\n', '}'])), "{files:?}");
            assert!(names(folder.path()).iter().all(|name| !name.starts_with('.')), "no draft is left");
            told.is_ok()
        });
        let first = steps.iter().position(|step| ["remove", "rename", "link"].contains(step)).unwrap();
        assert_eq!(steps[..first].iter().filter(|step| **step == "sync").count(), 2, "both lie there first");
    }
}

#[test]
fn a_parquet_file_is_known_by_its_foot_and_by_its_table() {
    let folder = temp_dir::TempDir::new().unwrap();
    let path = folder.path().join("laps.parquet");
    let writer = Writer::new();
    let begin = || writer.begin(&path, Form::Parquet, &parquet_writer("laps")).map(drop);
    let rows = vec![0_u8; 1 << 16];
    let foot = |writer: &str| {
        [b"PAR1", &*rows, b"\x2c\x18", writer.as_bytes(), b"\x19\x00\x30\x00\x00\x00PAR1"].concat()
    };
    for (former, is_ours) in [
        (foot("loambook-laps version 0.0.1 (build 0)"), true),
        (foot("loambook-overlaps version 0.0.1 (build 0)"), false),
        (foot("another version 1.2"), false),
        ([foot("loambook-laps version 0.0.1"), b"and more".to_vec()].concat(), false),
    ] {
        fs::write(&path, former).unwrap();
        assert_eq!(begin().is_ok(), is_ours);
    }
}

#[test]
fn an_object_is_known_with_a_key_more_or_less() {
    let folder = temp_dir::TempDir::new().unwrap();
    let path = folder.path().join("a.json");
    let output = Output { form: Form::Json, bytes: b"{\"schema\": 1, \"tables\": [], \"not_cleared\": []}" };
    for (former, is_ours) in [
        ("{\"schema\": 1, \"tables\": 3}", true),
        ("{\"schema\": 1, \"tables\": 3, \"not_cleared\": 1, \"later\": 2}", true),
        ("{\"schema\": 1, \"tables\": 3, \"mine\": 1}", false),
        ("{\"schema\": 1}", false),
        ("{\"tables\": 1, \"not_cleared\": 2}", false),
    ] {
        fs::write(&path, former).unwrap();
        assert_eq!(Writer::new().replace(&path, output).is_ok(), is_ours, "{former}");
    }
}

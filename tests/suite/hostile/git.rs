//! Repositories that are set up to run programs.

use std::ffi::OsStr;
use std::fs;
use std::path::Path;
use std::process::{Command, Output};
use std::sync::mpsc;
use std::time::{Duration, Instant};

use super::{Canaries, DAY, day, make_executable, write_book};
use crate::desk::{self, Desk, code, err, out};

/// Keys whose value names a program that git, or a program that comes with it, can run: all of them in git 2.47's
/// manual of the configuration, with `canary` for a name that is free to choose.
const KEYS: &[&str] = &[
    "alias.cat-file",
    "alias.diff-index",
    "alias.diff-tree",
    "alias.log",
    "alias.ls-tree",
    "alias.rev-list",
    "alias.rev-parse",
    "browser.canary.cmd",
    "browser.canary.path",
    "core.alternateRefsCommand",
    "core.askPass",
    "core.editor",
    "core.fsmonitor",
    "core.gitProxy",
    "core.pager",
    "core.sshCommand",
    "credential.helper",
    "credential.https://example.org.helper",
    "diff.canary.command",
    "diff.canary.textconv",
    "diff.external",
    "diff.loambook.textconv",
    "difftool.canary.cmd",
    "difftool.canary.path",
    "filter.canary.clean",
    "filter.canary.process",
    "filter.canary.smudge",
    "gc.recentObjectsHook",
    "gpg.openpgp.program",
    "gpg.program",
    "gpg.ssh.defaultKeyCommand",
    "gpg.ssh.program",
    "gpg.x509.program",
    "guitool.canary.cmd",
    "help.browser",
    "imap.tunnel",
    "instaweb.browser",
    "instaweb.httpd",
    "interactive.diffFilter",
    "man.canary.cmd",
    "man.canary.path",
    "merge.canary.driver",
    "mergetool.canary.cmd",
    "mergetool.canary.path",
    "pager.cat-file",
    "pager.diff-index",
    "pager.diff-tree",
    "pager.log",
    "pager.ls-tree",
    "pager.rev-list",
    "pager.rev-parse",
    "remote.origin.receivepack",
    "remote.origin.uploadpack",
    "sendemail.ccCmd",
    "sendemail.headerCmd",
    "sendemail.sendmailCmd",
    "sendemail.smtpServer",
    "sendemail.toCmd",
    "sequence.editor",
    "submodule.canary.update",
    "tar.tar.gz.command",
    "trailer.canary.cmd",
    "trailer.canary.command",
    "uploadpack.packObjectsHook",
    "web.browser",
];

/// Keys that make the others take effect.
const CHOICES: &[(&str, &str)] = &[
    ("diff.guitool", "canary"),
    ("diff.tool", "canary"),
    ("filter.canary.required", "true"),
    ("log.follow", "true"),
    ("log.mailmap", "true"),
    ("log.showSignature", "true"),
    ("man.viewer", "canary"),
    ("merge.guitool", "canary"),
    ("merge.tool", "canary"),
    ("protocol.allow", "always"),
    ("protocol.ext.allow", "always"),
    ("remote.origin.url", "file:///nowhere"),
];

/// Keys whose value names a file to be read; a pipe that nobody writes to blocks any program that opens it.
const FILES: &[&str] = &["core.attributesFile", "core.excludesFile", "diff.orderFile", "mailmap.file"];

const HOOKS: &[&str] = &[
    "fsmonitor-watchman",
    "post-checkout",
    "post-index-change",
    "post-merge",
    "post-rewrite",
    "pre-auto-gc",
    "pre-commit",
    "query-watchman",
    "reference-transaction",
    "sendemail-validate",
];

const ATTRIBUTES: &str =
    "* filter=canary diff=canary merge=canary text eol=crlf ident working-tree-encoding=UTF-16\n";

/// Two commits of a book in `book`. The first has the day by another name and slightly different, so that git has
/// to compare contents.
fn repository() -> Desk {
    repository_of("sha1")
}

fn repository_of(hash: &str) -> Desk {
    let desk = Desk::empty();
    write_book(&desk, "book");
    fs::remove_file(desk.path(&format!("book/{DAY}"))).unwrap();
    desk.write("book/days/first.md", &day("2026-05-09", 2));
    git(&desk, &["init", "-q", "-b", "main", "--object-format", hash]);
    git(&desk, &["add", "-A"]);
    git(&desk, &["commit", "-qm", "first"]);
    fs::remove_file(desk.path("book/days/first.md")).unwrap();
    desk.write(&format!("book/{DAY}"), &day("2026-05-09", 3));
    desk.write("book/days/2026-05-10.md", &day("2026-05-10", 6));
    git(&desk, &["add", "-A"]);
    git(&desk, &["commit", "-qm", "second"]);
    desk
}

fn git_in(folder: &Path, arguments: &[&str]) -> Output {
    Command::new("git")
        .current_dir(folder)
        .args(["-c", "user.name=Wren", "-c", "user.email=wren@example.org", "-c", "commit.gpgsign=false"])
        .args(arguments)
        .env("GIT_CONFIG_GLOBAL", "/dev/null")
        .env("GIT_CONFIG_NOSYSTEM", "1")
        .output()
        .unwrap()
}

fn git(desk: &Desk, arguments: &[&str]) -> String {
    let output = git_in(desk.folder.path(), arguments);
    assert!(output.status.success(), "{arguments:?}: {}", err(&output));
    out(&output).trim().to_owned()
}

fn make_pipe(at: &Path) {
    assert!(Command::new("mkfifo").arg(at).status().unwrap().success());
}

/// Sets a git directory up to run everything it can.
fn set_traps(git_directory: &Path, canaries: &Canaries) {
    let config = git_directory.join("config");
    let set = |key: &str, value: &str| {
        let output = git_in(git_directory, &["config", "--file", config.to_str().unwrap(), key, value]);
        assert!(output.status.success(), "{key}: {}", err(&output));
    };
    for key in KEYS {
        let program = canaries.program(&key.replace([':', '/'], "-"));
        // These run a program of git's own by default.
        let mark = if ["alias.", "credential.", "submodule."].iter().any(|start| key.starts_with(start)) {
            "!"
        } else {
            ""
        };
        set(key, &format!("{mark}{program}"));
    }
    for (key, value) in CHOICES {
        set(key, value);
    }
    let pipe = canaries.path("pipe");
    if !pipe.exists() {
        make_pipe(&pipe);
    }
    for key in FILES {
        set(key, pipe.to_str().unwrap());
    }
    let hooks = canaries.path("hooks");
    fs::create_dir_all(&hooks).unwrap();
    fs::create_dir_all(git_directory.join("hooks")).unwrap();
    for hook in HOOKS {
        let program = canaries.program(&format!("hook-{hook}"));
        for folder in [hooks.clone(), git_directory.join("hooks")] {
            fs::copy(&program, folder.join(hook)).unwrap();
        }
    }
    set("core.hooksPath", hooks.to_str().unwrap());
    // And once more from files that are included.
    let included = canaries.path("included.config");
    fs::write(&included, format!("[core]\n\tfsmonitor = {}\n", canaries.program("included"))).unwrap();
    set("include.path", included.to_str().unwrap());
    set("includeIf.gitdir:/**.path", included.to_str().unwrap());
    fs::create_dir_all(git_directory.join("info")).unwrap();
    fs::write(git_directory.join("info/attributes"), ATTRIBUTES).unwrap();
}

/// A repository with every trap set, and a plain git that walks into one of them.
fn trapped(desk: &Desk, canaries: &Canaries) {
    desk.write(".gitattributes", ATTRIBUTES);
    desk.write("book/.gitattributes", ATTRIBUTES);
    // Reading attributes blocks here, as do the files that the configuration names.
    make_pipe(&desk.path("book/days/.gitattributes"));
    set_traps(&desk.path(".git"), canaries);
}

/// Runs everything that reads a repository, or that git runs; each has something to print.
fn run_everything(desk: &Desk) {
    let there = format!("HEAD~1:{DAY}");
    let here = format!("HEAD:{DAY}");
    let (earlier, later) = ("HEAD~1:days/2026-05-10.md", "HEAD:days/2026-05-10.md");
    desk.write("old.md", &day("2026-05-10", 5));
    desk.write("new.md", &day("2026-05-10", 6));
    let told = |folder: &str, arguments: &[&str], wanted: &str| {
        let output = desk.run_in(folder, arguments);
        assert_eq!(code(&output), 0, "{arguments:?}: {}", err(&output));
        assert!(out(&output).contains(wanted), "{arguments:?}: {}", out(&output));
    };
    told("book", &["season", "--since", "HEAD~1", "--format", "csv"], "2026-05-09");
    told("book", &["season", "--since", "main", "--format", "json"], "2026-05-09");
    told("book", &["compare", &there, &here], "");
    told("book", &["compare", &there, DAY], "");
    told("book", &["compare", earlier, later], "fork height");
    told("book", &["compare", earlier, "2026-05-10", "--format", "html"], "fork height");
    told("", &["--book", "book", "compare", earlier, later], "fork height");
    told("", &["compare", &format!("HEAD:book/{DAY}"), "book/days/2026-05-10.md"], "fork height");
    told("book", &["compare", "--as", "days/2026-05-10.md", "../old.md", "../new.md"], "fork height");
    told("book", &["state", "--alone", DAY], "fork.height");
    told("book", &["sheet", DAY, "-o", "print", "--format", "html"], "print");
    told("book", &["sheet", DAY, "-o", "print", "--format", "pdf"], "print");
    told("book", &["git-attributes"], "diff=loambook");
    let output = desk.run_in("book", &["check"]);
    assert_ne!(code(&output), 2, "{}", err(&output));
}

#[test]
fn no_key_hook_or_attribute_of_a_repository_runs_anything() {
    let (desk, canaries) = (repository(), Canaries::new());
    trapped(&desk, &canaries);
    run_everything(&desk);
    assert_eq!(canaries.sung(), [""; 0]);
    // The traps work: plain git runs into one.
    let plain = ["-c", "core.attributesFile=", "-c", "core.excludesFile=", "diff-index", "--cached", "HEAD"];
    let output = git_in(&desk.path("book"), &plain);
    assert_eq!(canaries.sung(), ["included"], "{}", err(&output));
}

#[test]
fn a_rename_is_told_without_attributes_whatever_hash_names_the_commits() {
    for hash in ["sha1", "sha256"] {
        let desk = repository_of(hash);
        let output = desk.run_in("book", &["compare", &format!("HEAD~1:{DAY}"), &format!("HEAD:{DAY}")]);
        assert_eq!(code(&output), 0, "{hash}: {}", err(&output));
        assert!(out(&output).contains("fork height"), "{hash}: {}", out(&output));
    }
}

#[test]
fn each_key_alone_runs_nothing_either() {
    let (desk, canaries) = (repository(), Canaries::new());
    let config = fs::read_to_string(desk.path(".git/config")).unwrap();
    for key in ["core.fsmonitor", "diff.external", "alias.diff-tree", "gpg.program", "core.pager"] {
        fs::write(desk.path(".git/config"), &config).unwrap();
        git(&desk, &["config", key, &canaries.program(key)]);
        git(&desk, &["config", "log.showSignature", "true"]);
        let output = desk.run_in("book", &["season", "--since", "HEAD~1", "--format", "csv"]);
        assert_eq!(code(&output), 0, "{key}: {}", err(&output));
        assert_eq!(canaries.sung(), [""; 0], "{key}");
    }
}

#[test]
fn a_git_file_that_leads_to_a_trapped_directory_runs_nothing() {
    let (desk, canaries) = (repository(), Canaries::new());
    trapped(&desk, &canaries);
    fs::rename(desk.path(".git"), desk.path("parts")).unwrap();
    desk.write(".git", "gitdir: parts\n");
    run_everything(&desk);
    assert_eq!(canaries.sung(), [""; 0]);
}

#[test]
fn a_folder_that_is_made_to_look_like_a_repository_is_none_unless_named() {
    let (desk, canaries) = (repository(), Canaries::new());
    // The book's folder is itself a git directory, as a plain clone can contain one.
    let copied =
        Command::new("cp").arg("-r").arg(desk.path(".git/.")).arg(desk.path("book")).status().unwrap();
    assert!(copied.success());
    set_traps(&desk.path("book"), &canaries);
    let config = desk.path("book/config");
    git(&desk, &["config", "--file", config.to_str().unwrap(), "core.worktree", "."]);
    let here = format!("HEAD:book/{DAY}");
    let runs: [&[&str]; 3] = [
        &["season", "--since", "HEAD~1", "--format", "csv"],
        &["compare", &here, DAY],
        &["compare", &here, "HEAD~1:book/days/first.md"],
    ];
    for arguments in runs {
        let output = desk.run_in("book", arguments);
        assert_eq!(code(&output), 2, "{arguments:?}: {}", out(&output));
        assert!(err(&output).contains("itself a git repository"), "{arguments:?}: {}", err(&output));
    }
    // A rider who names it sees what is in it, and no more than that.
    let named = desk.run(&[
        "--book",
        "book",
        "compare",
        "HEAD~1:book/days/2026-05-10.md",
        "HEAD:book/days/2026-05-10.md",
    ]);
    assert_eq!(code(&named), 0, "{}", err(&named));
    assert!(out(&named).contains("fork height"), "{}", out(&named));
    assert_eq!(canaries.sung(), [""; 0]);
}

#[test]
fn what_a_partial_clone_lacks_is_not_fetched() {
    let (desk, canaries) = (repository(), Canaries::new());
    let id = git(&desk, &["rev-parse", "HEAD~1:book/riders/wren.md"]);
    let missing = desk.path(&format!(".git/objects/{}/{}", &id[..2], &id[2..]));
    fs::remove_file(&missing).unwrap();
    trapped(&desk, &canaries);
    let config = desk.path(".git/config");
    let values = [
        ("core.repositoryformatversion", "1"),
        ("extensions.partialClone", "origin"),
        ("remote.origin.promisor", "true"),
        ("remote.origin.partialclonefilter", "blob:none"),
    ];
    for (key, value) in values {
        git_in(desk.folder.path(), &["config", "--file", config.to_str().unwrap(), key, value]);
    }
    let (ext, file) =
        (format!("ext::{}", canaries.program("ext")), desk.folder.path().to_str().unwrap().to_owned());
    for url in [ext, file, "ssh://example.org/book".to_owned()] {
        git_in(
            desk.folder.path(),
            &["config", "--file", config.to_str().unwrap(), "remote.origin.url", &url],
        );
        let output = desk.run_in("book", &["season", "--since", "HEAD~1", "--format", "csv"]);
        assert_ne!(code(&output), 101, "{}", err(&output));
        assert_eq!(canaries.sung(), [""; 0], "{url}");
        // Plain git goes and fetches.
        git_in(desk.folder.path(), &["-c", "core.attributesFile=", "cat-file", "-p", &id]);
        let sung = canaries.sung();
        assert!(!sung.is_empty(), "{url}: the trap is not set");
        for name in sung {
            fs::remove_file(canaries.path("sung").join(name)).unwrap();
        }
    }
}

#[test]
fn variables_turn_git_neither_to_programs_nor_to_other_repositories() {
    let (desk, canaries) = (repository(), Canaries::new());
    let other = repository();
    let program = canaries.program("variable");
    let traced = canaries.path("sung").join("traced");
    let other = other.path(".git");
    let set: [(&str, &OsStr); 16] = [
        ("GIT_DIR", other.as_os_str()),
        ("GIT_COMMON_DIR", other.as_os_str()),
        ("GIT_OBJECT_DIRECTORY", OsStr::new("/nowhere")),
        ("GIT_INDEX_FILE", OsStr::new("/nowhere")),
        ("GIT_NAMESPACE", OsStr::new("nowhere")),
        ("GIT_EXTERNAL_DIFF", OsStr::new(&program)),
        ("GIT_PAGER", OsStr::new(&program)),
        ("GIT_EDITOR", OsStr::new(&program)),
        ("GIT_ASKPASS", OsStr::new(&program)),
        ("GIT_SSH_COMMAND", OsStr::new(&program)),
        ("GIT_PROXY_COMMAND", OsStr::new(&program)),
        ("GIT_TRACE", traced.as_os_str()),
        ("GIT_TRACE2", traced.as_os_str()),
        ("GIT_CONFIG_COUNT", OsStr::new("1")),
        ("GIT_CONFIG_KEY_0", OsStr::new("core.fsmonitor")),
        ("GIT_CONFIG_VALUE_0", OsStr::new(&program)),
    ];
    let arguments = ["compare", "HEAD~1:days/2026-05-10.md", "HEAD:days/2026-05-10.md"];
    let plain = desk.run_in("book", &arguments);
    let surrounded =
        desk::program().current_dir(desk.path("book")).args(arguments).envs(set).output().unwrap();
    assert_eq!(code(&plain), 0, "{}", err(&plain));
    assert_eq!(out(&surrounded), out(&plain), "{}", err(&surrounded));
    assert_eq!(canaries.sung(), [""; 0]);
}

/// Longer than git is given, and far less than the program it stands for would take.
const ENOUGH: Duration = Duration::from_secs(60);

#[test]
fn a_repository_that_holds_git_up_is_left() {
    let (desk, canaries) = (repository(), Canaries::new());
    let pipe = canaries.path("pipe");
    make_pipe(&pipe);
    // Any program that opens it waits for a writer.
    desk.write(".git/config", &format!("[include]\n\tpath = {}\n", pipe.display()));
    let begun = Instant::now();
    let output = desk.run_in("book", &["season", "--since", "HEAD~1", "--format", "csv"]);
    assert!(begun.elapsed() < ENOUGH);
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("did not answer within"), "{}", err(&output));
}

#[test]
fn a_git_that_talks_without_end_is_stopped() {
    let (desk, programs) = (repository(), temp_dir::TempDir::new().unwrap());
    let program = programs.path().join("git");
    fs::write(&program, "#!/bin/sh\nexec yes\n").unwrap();
    make_executable(&program);
    let path = std::env::join_paths(
        std::iter::once(programs.path().to_owned())
            .chain(std::env::split_paths(&std::env::var_os("PATH").unwrap_or_default())),
    );
    let mut command = desk::program();
    command.current_dir(desk.path("book")).args(["season", "--since", "HEAD~1", "--format", "csv"]);
    let (done, waited) = mpsc::channel();
    std::thread::spawn(move || done.send(command.env("PATH", path.unwrap()).output()));
    let output = waited.recv_timeout(ENOUGH).unwrap().unwrap();
    assert_eq!(code(&output), 2);
    assert!(err(&output).contains("longer than"), "{}", err(&output));
}

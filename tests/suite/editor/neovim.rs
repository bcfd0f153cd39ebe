//! The server in Neovim itself, set up by the README's lines, where `nvim` is installed.

use std::env;
use std::fs;
use std::io::Write as _;
use std::os::unix::fs::symlink;
use std::path::Path;
use std::process::{Command, Stdio};

use super::book;

use crate::desk::PROGRAM;

#[test]
fn the_readmes_lines_set_it_up_and_a_sitting_goes_well() {
    if Command::new("nvim").arg("--version").stdout(Stdio::null()).status().is_err() {
        let _ = writeln!(std::io::stderr(), "no nvim here: the server is not tried in an editor");
        return;
    }
    let desk = book();
    let root = Path::new(env!("CARGO_MANIFEST_DIR"));
    let programs = desk.path(".programs");
    fs::create_dir(&programs).unwrap();
    symlink(PROGRAM, programs.join("loambook")).unwrap();
    let path = format!("{}:{}", programs.display(), env::var("PATH").unwrap());
    let script = format!("luafile {}", root.join("tests/editors/neovim.lua").display());
    let run = Command::new("nvim")
        .args(["--headless", "-u", "NONE", "-i", "NONE", "-n", "-c", &script])
        .current_dir(desk.path(""))
        .env("PATH", path)
        .env("README", root.join("README.md"))
        .env("XDG_STATE_HOME", desk.path(".state"))
        .env("XDG_CACHE_HOME", desk.path(".cache"))
        .output()
        .unwrap();
    let told = String::from_utf8_lossy(&run.stderr);
    assert!(run.status.success() && told.contains("done"), "{told}");
}

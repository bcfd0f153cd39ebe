//! The language server through its protocol: what an editor receives while somebody writes.

mod client;
mod conversation;
mod finding;
#[cfg(unix)]
mod neovim;
mod random;
mod reading;
mod recorded;
mod reshaping;
mod stale;
mod writing;

use crate::desk::Desk;

pub const BOOK: &str = include_str!("../../editors/book/book.toml");
pub const MACHINE: &str = include_str!("../../editors/book/machines/whin.md");
pub const RIDER: &str = include_str!("../../editors/book/riders/tall.md");
pub const TRACK: &str = include_str!("../../editors/book/tracks/hill.md");
pub const EARLIER: &str = include_str!("../../editors/book/days/2026-04-04.md");
pub const DAY: &str = include_str!("../../editors/book/days/2026-04-11.md");

pub const TODAY: &str = "days/2026-04-11.md";

/// A machine, its rider, a track and two days, on the disk.
pub fn book() -> Desk {
    let desk = Desk::empty();
    for (path, text) in [
        ("book.toml", BOOK),
        ("machines/whin.md", MACHINE),
        ("riders/tall.md", RIDER),
        ("tracks/hill.md", TRACK),
        ("days/2026-04-04.md", EARLIER),
        (TODAY, DAY),
    ] {
        desk.write(path, text);
    }
    desk
}

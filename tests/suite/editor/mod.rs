//! The language server through its protocol: what an editor is told while somebody writes.

mod client;
mod conversation;
mod finding;
mod random;
mod reading;
mod reshaping;
mod writing;

use crate::desk::Desk;

pub const BOOK: &str = "title = \"Test\"\n\n[units]\npressure = \"psi\"\n\n[instrument.steel]\nresolution = \"1 mm\"\nbias = \"0.5 mm\"\n";
pub const MACHINE: &str = "+++\nkind = \"machine\"\nname = \"Whin 250\"\n+++\n\n# The Whin\n\n```shock\ntravel = \"300 mm\"\nleverage = 3\nspring = \"48 N/mm\"\nthread_pitch = \"1.5 mm\"\n```\n\n```settings\nfork.rebound = \"12 clicks\"\nshock.preload = \"8 mm\"\ntyre.front = \"13 psi\"\n```\n\n```band\nsag.rear.rider = { aim = \"105 mm\", within = \"100..110 mm\" }\n```\n";
pub const RIDER: &str = "+++\nkind = \"rider\"\n+++\n\n```rider\nmass = \"80 kg\"\n```\n";
pub const TRACK: &str =
    "+++\nkind = \"track\"\n+++\n\n```track\nelevation = \"300 m\"\nsections = [\"step\"]\n```\n";
pub const EARLIER: &str = "+++\nkind = \"day\"\ndate = 2026-04-04\nmachine = \"whin\"\nrider = \"tall\"\ntrack = \"hill\"\n+++\n\n```change\nfork.rebound = \"2 clicks out\"\nbecause = \"harsh\"\n```\n";
pub const DAY: &str = "+++\nkind = \"day\"\ndate = 2026-04-11\nmachine = \"whin\"\nrider = \"tall\"\ntrack = \"hill\"\n+++\n\n# Dry, é ± 9 °C 🏍\n\n```sag rear\ntape = \"steel\"\nhanging = \"612 mm\"\nalone = \"577 mm\"\naboard = \"506 508 507 mm\"\n```\n\nIt came out at `@sag.rear.rider`.\n\n```stint\nlaps = \"2:04.1 2:03.9 2:04.0\"\nfeel = \"harsh chatter 3\"\n```\n";

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

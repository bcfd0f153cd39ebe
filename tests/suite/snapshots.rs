//! What whole pages say, as files in `snapshots/`: `LOAMBOOK_ACCEPT=1` writes them anew.

use std::fs;
use std::path::Path;

/// A page says what its file has.
#[track_caller]
pub fn assert_kept(name: &str, page: &str) {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/suite/snapshots").join(name);
    let page = format!("{}\n", page.trim_matches('\n'));
    if std::env::var_os("LOAMBOOK_ACCEPT").is_some() {
        fs::write(&file, &page).unwrap();
    }
    let kept = fs::read_to_string(&file).unwrap();
    let differs = kept.lines().zip(page.lines()).find(|(kept, page)| kept != page);
    assert!(kept == page, "{name}: {differs:#?} in\n{page}");
}

//! Reduces a book that fails, as long as it fails for the same reason.

use std::time::{Duration, Instant};

use super::books::Files;
use super::trial::{Effort, Fall, fall};

/// Reducing a book stops after this long.
const PATIENCE: Duration = Duration::from_secs(90);

pub fn reduced(mut files: Files, effort: Effort, because: &Fall) -> Files {
    let start = Instant::now();
    let is_same = |files: &Files| {
        start.elapsed() < PATIENCE && fall(files, effort).is_some_and(|fall| fall.kind() == because.kind())
    };
    for path in files.keys().cloned().collect::<Vec<_>>() {
        let mut fewer = files.clone();
        fewer.remove(&path);
        if is_same(&fewer) {
            files = fewer;
        }
    }
    for path in files.keys().cloned().collect::<Vec<_>>() {
        let mut size = files[&path].split_inclusive(|byte| *byte == b'\n').count();
        while size > 0 {
            let mut at = 0;
            loop {
                let lines: Vec<&[u8]> = files[&path].split_inclusive(|byte| *byte == b'\n').collect();
                if at >= lines.len() {
                    break;
                }
                let rest = [&lines[..at], &lines[(at + size).min(lines.len())..]].concat().concat();
                let mut fewer = files.clone();
                fewer.insert(path.clone(), rest);
                if is_same(&fewer) { files = fewer } else { at += size }
            }
            size /= 2;
        }
    }
    files
}

//! Files of lap times as spreadsheets and timers write them.

use loambook::book;
use loambook::vocabulary::blocks::Stint;

use super::store;

/// The laps of a file as a stint counts them, and what was found: headline, file and line.
fn read(csv: &[u8], more: &str) -> (Vec<f64>, Vec<(String, String, u32)>) {
    let body = format!("```stint\nlaps = \"laps/day.csv\"\n{more}\n```\n");
    let store = store([("2026-05-01", body.as_str())]).with("laps/day.csv", csv);
    let (book, findings) = book::load(&store).unwrap();
    let stint = book.days[0].notebook.all::<Stint>().next().unwrap();
    let told = findings.into_iter().map(|finding| {
        let place = book.sources.start(finding.span);
        (finding.headline, book.sources.path(finding.span.file).to_owned(), place.line)
    });
    (book.laps(stint), told.collect())
}

const LAPS: [f64; 3] = [124.1, 122.8, 123.0];

#[test]
fn a_file_is_read_whatever_stands_between_its_columns() {
    for csv in [
        "lap\n2:04.1\n2:02.8\n2:03.0\n",
        "number,lap\r\n1,2:04.1\r\n2,2:02.8\r\n3,2:03.0\r\n",
        "number;lap;note\n1;2:04,1;wet, and slow\n2;2:02,8;\n3;2:03,0;\n",
        "number\tlap\n1\t2:04.1\n2\t2:02.8\n3\t2:03.0",
        "\u{feff}Lap,by\n 2:04.1 ,\"Wren, J.\"\n2:02.8,Wren\n123.0,Wren\n",
        "by,lap\n\"two\nlines\",2:04.1\nx,2:02.8\n\nx,2:03.0\n",
    ] {
        let (laps, findings) = read(csv.as_bytes(), "");
        assert_eq!((laps.as_slice(), findings.as_slice()), (&LAPS[..], &[][..]), "{csv}");
    }
}

#[test]
fn a_named_column_is_read_and_laps_are_skipped_by_their_number() {
    let csv = "lap,time\n1,2:04.1\n2,9:59.9\n3,2:02.8\n4,2:03.0\n";
    assert_eq!(read(csv.as_bytes(), "column = \"time\"\nskip = [2]"), (LAPS.to_vec(), Vec::new()));
}

#[test]
fn bad_rows_are_told_once_at_the_first_with_their_count_and_the_others_kept() {
    let csv = "who,lap\nA,2:04.1\nB,pit\n\"C\nD\",2:02.8\nE\nF,-3\nG,2:03.0\n";
    let (laps, findings) = read(csv.as_bytes(), "");
    assert_eq!(laps, LAPS);
    let lines: Vec<u32> = findings
        .iter()
        .map(|(_, file, line)| {
            assert_eq!(file, "laps/day.csv");
            *line
        })
        .collect();
    assert_eq!(lines, [3], "{findings:?}");
    assert!(findings[0].0.contains("2 more rows"), "{findings:?}");
}

#[test]
fn what_is_no_text_is_told_where_the_stint_names_it() {
    for bytes in [&b"lap\nStra\xdfe\n"[..], b"\xff\xfel\0a\0p\0"] {
        let (laps, findings) = read(bytes, "");
        assert!(laps.is_empty());
        assert_eq!((findings.len(), findings[0].1.as_str()), (1, "days/2026-05-01.md"), "{findings:?}");
    }
    let (laps, findings) = read(b"", "");
    assert!(laps.is_empty() && findings.len() == 1, "{findings:?}");
}

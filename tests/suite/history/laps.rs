//! Files of lap times as spreadsheets and timers write them.

use loambook::session::Compiled;
use loambook::vocabulary::blocks::Stint;

use super::store;
use crate::books::replayed;

/// The laps of a file as a stint counts them, and the findings: headline, file and line.
fn read(csv: &[u8], more: &str) -> (Vec<f64>, Vec<(String, String, u32)>) {
    let body = format!("```stint\nlaps = \"laps/day.csv\"\n{more}\n```\n");
    let store = store([("2026-05-01", body.as_str())]).with("laps/day.csv", csv);
    let Compiled { book, findings, .. } = replayed(&store);
    let stint = book.days[0].notebook.all::<Stint>().next().unwrap();
    let told = findings.into_iter().map(|finding| {
        let place = book.sources.start(finding.span);
        (finding.headline.to_string(), book.sources.path(finding.span.file).to_owned(), place.line)
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
        // Lap numbers are not times, whatever their column is called and wherever it is.
        "lap,time\n1,2:04.1\n2,2:02.8\n3,2:03.0\n",
        "Zeit;Runde\n124,1;1\n122,8;2\n123,0;3\n",
        // A timer's own words, a number plate, a running time, gaps and speeds.
        "place,plate,temps,total,gap,km/h\n3,42,2:04.1,2:04.1,,51.2\n2,42,2:02.8,4:06.9,-1.3,52\n2,42,2:03,6:09.9,+0.2,51.9\n",
        "lap,time of day,seconds\n1,10:42:31,124.1\n2,10:44:33,122.8\n3,10:46:36,123\n",
        // Without a heading.
        "1,2:04.1\n2,2:02.8\n3,2:03.0\n",
        "2:04.1\n2:02.8\n2:03.0\n",
        // Commas separate both the columns and the decimals.
        "lap,time\n1,2:04,1\n2,2:02,8\n3,2:03,0\n",
        "time\n124,1\n122,8\n123,0\n",
        "2:04,1\n2:02,8\n2:03,0\n",
        "time,lap\n\"2:04,1\",1\n\"2:02,8\",2\n\"2:03,0\",3\n",
        // What spreadsheets add.
        "sep=;\r\nlap;time\r\n1;2:04,1\r\n2;2:02,8\r\n3;2:03,0\r\n;\r\n;\r\n",
        "\u{feff}lap;0:time\n1;0:02:04,1\n2;0:02:02,8\n3;00:02:03\n",
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
fn a_bad_row_is_told_at_its_line_behind_empty_lines_and_whatever_ends_a_line() {
    for end in ["\n", "\r\n", "\r"] {
        let csv = "lap,time\n\n1,2:04.1\n\n\n2,pit\n3,2:02.8\n4,2:03.0\n".replace('\n', end);
        let body = "```stint\nlaps = \"laps/day.csv\"\n```\n";
        let store = store([("2026-05-01", body)]).with("laps/day.csv", csv.as_bytes());
        let Compiled { book, findings, .. } = replayed(&store);
        let told: Vec<&str> = findings.iter().map(|finding| book.sources.text(finding.span)).collect();
        assert_eq!(told, ["2,pit"], "{csv:?}");
    }
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

#[test]
fn a_whole_second_times_own_column_is_no_count() {
    let csv = "number,seconds\n1,124\n2,122\n3,123\n";
    assert_eq!(read(csv.as_bytes(), ""), (vec![124.0, 122.0, 123.0], Vec::new()));
}

#[test]
fn where_several_columns_could_be_the_laps_they_are_named_and_one_is_asked_for() {
    for (csv, column) in [
        ("lap,moto 1,moto 2\n1,9:04.1,2:04.1\n2,9:02.8,2:02.8\n3,9:03.0,2:03.0\n", "moto 2"),
        ("9:04.1,2:04.1\n9:02.8,2:02.8\n9:03.0,2:03.0\n", "2"),
    ] {
        let (laps, findings) = read(csv.as_bytes(), "");
        assert!(laps.is_empty() && findings.len() == 1, "{findings:?}");
        assert_eq!(read(csv.as_bytes(), &format!("column = \"{column}\"")), (LAPS.to_vec(), Vec::new()));
    }
}

#[test]
fn lap_files_and_photos_are_seen_from_the_notebook_then_from_the_book() {
    for path in ["../laps/day.csv", "laps/day.csv", "day.csv"] {
        let body = format!("```stint\nlaps = \"{path}\"\n```\n\n![Fork](../fork.png) ![Again](fork.png)\n");
        let place = if path == "day.csv" { "days/day.csv" } else { "laps/day.csv" };
        let store = store([("2026-05-01", body.as_str())])
            .with(place, "lap\n2:04.1\n2:02.8\n2:03.0\n")
            .with("fork.png", "");
        let Compiled { book, findings, .. } = replayed(&store);
        let day = &book.days[0].notebook;
        assert_eq!(findings, [], "{path}");
        assert_eq!(book.laps(day.all::<Stint>().next().unwrap()), LAPS, "{path}");
        let photos: Vec<Option<&str>> = day.document.images.iter().map(|image| book.photo(image)).collect();
        assert_eq!(photos, [Some("fork.png"); 2]);
    }
}

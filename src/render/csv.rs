//! A plain table as comma-separated values.
//!
//! **Source** RFC 4180: a head line, fields in quotes where they hold a comma, a quote or a line end. Lines end in
//! `\n`, which every spreadsheet reads and every diff shows.

use crate::pages::season::Table;

/// Writes a table. Its rows are as wide as its heads.
pub fn write(table: &Table) -> String {
    let mut out = String::new();
    for row in std::iter::once(&table.heads).chain(&table.rows) {
        for (at, field) in row.iter().enumerate() {
            if at > 0 {
                out.push(',');
            }
            if field.contains([',', '"', '\n', '\r']) {
                out.push('"');
                out.push_str(&field.replace('"', "\"\""));
                out.push('"');
            } else {
                out.push_str(field);
            }
        }
        out.push('\n');
    }
    out
}

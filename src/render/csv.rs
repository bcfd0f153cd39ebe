//! A plain table as comma-separated values.
//!
//! **Source** RFC 4180: a head line, fields in quotes where they hold a comma, a quote or a line end. Lines end in
//! `\n`, which every spreadsheet reads and every diff shows.

use crate::pages::season::Table;

/// Goes before a text that a spreadsheet would take as a formula, to mark it as text.
const TEXT_MARK: &str = "'";

/// Whether a spreadsheet would take a field as a formula, which may use the network or run something.
///
/// **Source** OWASP, *CSV Injection*: fields that begin with `=`, `+`, `-`, `@`, a tab, a line end, or the wide forms of
/// these signs. A number with its sign stays a number.
fn is_formula(field: &str) -> bool {
    let is_number = || {
        let digits = field.strip_prefix(['+', '-']).unwrap_or(field);
        digits.starts_with(|letter: char| letter.is_ascii_digit())
            && digits.chars().all(|letter| letter.is_ascii_digit() || letter == '.')
            && digits.parse::<f64>().is_ok()
    };
    field.starts_with(['=', '+', '-', '@', '\t', '\r', '\n', '＝', '＋', '－', '＠']) && !is_number()
}

/// Writes a table. Its rows are as wide as its heads.
pub fn write(table: &Table) -> String {
    let mut out = String::new();
    for row in std::iter::once(&table.heads).chain(&table.rows) {
        line(row, &mut out);
    }
    out
}

/// Writes one more line of a table.
pub fn line<F: AsRef<str>>(fields: &[F], out: &mut String) {
    for (at, field) in fields.iter().map(AsRef::as_ref).enumerate() {
        if at > 0 {
            out.push(',');
        }
        let text_mark = if is_formula(field) { TEXT_MARK } else { "" };
        if text_mark.is_empty() && !field.contains([',', '"', '\n', '\r']) {
            out.push_str(field);
        } else {
            out.push('"');
            out.push_str(text_mark);
            out.push_str(&field.replace('"', "\"\""));
            out.push('"');
        }
    }
    out.push('\n');
}

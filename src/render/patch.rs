//! A text with its changes, for `git apply` and `patch`.

use std::borrow::Cow;

use similar::TextDiff;

/// The patch from one text of a file to another: a unified diff (POSIX.1-2024, `diff -u`), with the file's path from the
/// folder where it will be applied. Its head has the two plain lines: behind git's own, a path would count from the top of
/// the repository.
pub fn patch(path: &str, from: &str, to: &str) -> String {
    let (old, new) = (lines(from), lines(to));
    let (old, new): (Vec<&str>, Vec<&str>) =
        (old.iter().map(AsRef::as_ref).collect(), new.iter().map(AsRef::as_ref).collect());
    let diff = TextDiff::configure().newline_terminated(false).diff_slices(&old, &new);
    diff.unified_diff().header(&named("a", path), &named("b", path)).to_string()
}

/// The lines of a text without their ends, with a diff's remark behind a last one that has none. The library would add
/// that too, but takes a carriage return for a line end.
fn lines(text: &str) -> Vec<Cow<'_, str>> {
    let all = text.split_inclusive('\n').map(|line| match line.strip_suffix('\n') {
        Some(line) => Cow::Borrowed(line),
        None => Cow::Owned(format!("{line}\n\\ No newline at end of file")),
    });
    all.collect()
}

/// A path as git writes it in a patch. Characters that would end its line or its name are escaped as in C; a name with a
/// space is followed by a tab.
fn named(side: &str, path: &str) -> String {
    let is_escaped = |letter: char| letter.is_control() || matches!(letter, '"' | '\\');
    if !path.contains(is_escaped) {
        let end = if path.contains(' ') { "\t" } else { "" };
        return format!("{side}/{path}{end}");
    }
    let escaped = |letter: char| -> Cow<'static, str> {
        let mut bytes = [0; 4];
        let bytes = letter.encode_utf8(&mut bytes).bytes();
        match letter {
            '"' => "\\\"".into(),
            '\\' => "\\\\".into(),
            _ if letter.is_control() => bytes.map(|byte| format!("\\{byte:03o}")).collect::<String>().into(),
            _ => letter.to_string().into(),
        }
    };
    format!("\"{side}/{}\"", path.chars().map(escaped).collect::<String>())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_patch_is_a_unified_diff() {
        assert_eq!(
            patch("days/a.md", "1\n2\n3\n4\n5", "1\n2\n3\n4\n5\n6\n"),
            "--- a/days/a.md\n+++ b/days/a.md\n@@ -2,4 +2,5 @@\n 2\n 3\n 4\n-5\n\\ No newline at end of file\n+5\n+6\n"
        );
        assert_eq!(patch("a", "1\n", "1\n"), "");
        // After a carriage return alone, the last line has no end.
        assert_eq!(
            patch("a", "1\r", "1\r\n2\n"),
            "--- a/a\n+++ b/a\n@@ -1 +1,2 @@\n-1\r\n\\ No newline at end of file\n+1\r\n+2\n"
        );
    }

    #[test]
    fn a_name_ends_where_it_ends() {
        assert_eq!(named("a", "days/ä b.md"), "a/days/ä b.md\t");
        assert_eq!(named("b", "days/\"\n.md"), "\"b/days/\\\"\\012.md\"");
    }
}

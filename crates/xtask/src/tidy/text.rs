//! Rules for every kind of text.

use std::path::Path;

use super::{File, Finding};

/// Words that must not appear anywhere, each with the word to use instead.
const FORBIDDEN: [(&str, &str); 0] = [];

/// The most lines a file may have before its tests begin: what grows past that holds a second idea.
const MOST_LINES: usize = 600;

/// No spaces at the ends of lines, and a line end at the end of a file. Rust is rustfmt's business; its snapshots in
/// strings keep the spaces that the page would show.
pub(crate) fn trailing_whitespace(file: &File) -> Vec<Finding> {
    if !file.ends_with(&["md", "html", "css", "js", "mjs", "toml", "webmanifest"]) {
        return Vec::new();
    }
    let mut findings: Vec<Finding> = file
        .text
        .lines()
        .enumerate()
        .filter(|(_, line)| line.ends_with([' ', '\t']))
        .map(|(number, _)| (Some(number + 1), "ends in white space".into()))
        .collect();
    if !file.text.is_empty() && !file.text.ends_with('\n') {
        findings.push((None, "does not end with a line end".into()));
    }
    findings
}

/// No file over 600 lines; tests and data excepted.
pub(crate) fn too_long(file: &File) -> Vec<Finding> {
    let code = file.ends_with(&["rs", "html", "css", "js", "mjs"]);
    let test =
        file.name.starts_with("tests/") || file.name.contains("/tests/") || file.name.ends_with("/tests.rs");
    if !code || test {
        return Vec::new();
    }
    let lines = file
        .text
        .lines()
        .take_while(|line| !line.starts_with("#[cfg(test)]") && !line.starts_with("#[cfg(all(test"));
    let count = lines.count();
    if count <= MOST_LINES {
        return Vec::new();
    }
    vec![(None, format!("has {count} lines before its tests; split it where its second idea begins"))]
}

/// No word of the list, in any spelling of capitals.
pub(crate) fn forbidden_words(file: &File) -> Vec<Finding> {
    find_words(file, &FORBIDDEN)
}

fn find_words(file: &File, words: &[(&str, &str)]) -> Vec<Finding> {
    let mut findings = Vec::new();
    for (number, line) in file.text.lines().enumerate() {
        let lower = line.to_lowercase();
        for (word, instead) in words {
            if lower.split(|c: char| !c.is_alphanumeric()).any(|found| found == *word) {
                findings.push((Some(number + 1), format!("says “{word}”; say “{instead}”")));
            }
        }
    }
    findings
}

/// The note beside a reference says where the numbers come from and how exactly they must be met.
pub(crate) fn reference_notes(file: &File) -> Vec<Finding> {
    if !file.name.starts_with("tests/reference/") || !file.name.ends_with("/README.md") {
        return Vec::new();
    }
    let lower = file.text.to_lowercase();
    ["source", "tolerance"]
        .iter()
        .filter(|word| !lower.contains(**word))
        .map(|word| (None, format!("does not state its {word}")))
        .collect()
}

/// Every folder of reference values has a note.
pub(crate) fn reference_folders(folder: &Path) -> Vec<(String, String)> {
    let Ok(entries) = std::fs::read_dir(folder) else { return Vec::new() };
    let mut findings: Vec<_> = entries
        .flatten()
        .filter(|entry| entry.path().is_dir() && !entry.path().join("README.md").is_file())
        .map(|entry| {
            (
                entry.path().display().to_string(),
                "has no README.md that names its source and tolerance".into(),
            )
        })
        .collect();
    findings.sort();
    findings
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn white_space_at_line_ends_is_found() {
        assert_eq!(trailing_whitespace(&File::new("a.md", "good\nbad \nbad\t")).len(), 3);
        assert!(trailing_whitespace(&File::new("a.md", "good\n")).is_empty());
        assert!(trailing_whitespace(&File::new("tests/data.csv", "1, \n")).is_empty());
    }

    #[test]
    fn long_files_are_found_and_tests_are_not_counted() {
        let long = "//! x\n".repeat(601);
        assert_eq!(too_long(&File::new("crates/core/src/a.rs", &long)).len(), 1);
        assert!(too_long(&File::new("tests/browser/a.mjs", &long)).is_empty());
        let tested = format!("{}#[cfg(test)]\n{long}", "//! x\n".repeat(600));
        assert!(too_long(&File::new("crates/core/src/a.rs", &tested)).is_empty());
    }

    #[test]
    fn forbidden_words_are_found_as_whole_words() {
        let words = [("zone", "tone")];
        assert_eq!(find_words(&File::new("a.md", "A Zone.\nan ozone\n"), &words)[0].0, Some(1));
        assert_eq!(find_words(&File::new("a.md", "A Zone.\nan ozone\n"), &words).len(), 1);
    }

    #[test]
    fn a_reference_without_source_or_tolerance_is_found() {
        assert_eq!(reference_notes(&File::new("tests/reference/a/README.md", "numbers")).len(), 2);
        assert!(
            reference_notes(&File::new("tests/reference/a/README.md", "Source: x. Tolerance: y.")).is_empty()
        );
        let folder = std::env::temp_dir().join(format!("sorrel-tidy-{}", std::process::id()));
        std::fs::create_dir_all(folder.join("bare")).unwrap();
        assert_eq!(reference_folders(&folder).len(), 1);
        std::fs::write(folder.join("bare/README.md"), "Source, tolerance").unwrap();
        assert!(reference_folders(&folder).is_empty());
        std::fs::remove_dir_all(folder).unwrap();
    }
}

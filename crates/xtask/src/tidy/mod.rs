//! The house's rules that no compiler knows, as code.
//!
//! A rule is a function from a [`File`] to sentences; each has a test beside it that it can find something.

mod licences;
mod markup;
mod rust;
mod text;

use crate::{Result, shell, workspace};

/// A file of the repository, as the rules see it.
pub(crate) struct File {
    /// Its path below the root, with forward slashes.
    pub(crate) name: String,
    /// Its text.
    pub(crate) text: String,
}

impl File {
    /// A file that a test makes up.
    #[cfg(test)]
    pub(crate) fn new(name: &str, text: &str) -> Self {
        Self { name: name.into(), text: text.into() }
    }

    fn ends_with(&self, endings: &[&str]) -> bool {
        self.name.rsplit_once('.').is_some_and(|(_, ending)| endings.contains(&ending))
    }
}

/// One thing that is not in order: the line if there is one, and what to do.
pub(crate) type Finding = (Option<usize>, String);

const RULES: [fn(&File) -> Vec<Finding>; 12] = [
    text::trailing_whitespace,
    text::too_long,
    text::forbidden_words,
    text::reference_notes,
    rust::module_comment,
    rust::ignored_tests,
    rust::naked_constants,
    rust::tests_run_twice,
    rust::tests_of_the_page,
    rust::arrows,
    markup::inline_code,
    markup::placeholders,
];

/// Checks everything and prints what is not in order; gives how many rules held and how many findings there are.
pub(crate) fn check() -> Result<(usize, usize)> {
    let mut findings = 0;
    let mut broken = std::collections::BTreeSet::new();
    for file in files()? {
        for (number, rule) in RULES.iter().enumerate() {
            for (line, sentence) in rule(&file) {
                let line = line.map(|line| format!(":{line}")).unwrap_or_default();
                println!("{}{line}: {sentence}", file.name);
                findings += 1;
                broken.insert(number);
            }
        }
    }
    for (folder, sentence) in text::reference_folders(&workspace::at("tests/reference")) {
        println!("{folder}: {sentence}");
        findings += 1;
    }
    let metadata = shell::output(shell::cargo().args(["metadata", "--format-version", "1", "--locked"]))?;
    for sentence in licences::foreign(&serde_json::from_str(&metadata)?) {
        println!("Cargo.lock: {sentence}");
        findings += 1;
    }
    Ok((RULES.len() - broken.len(), findings))
}

/// The text files that git keeps, or would keep.
fn files() -> Result<Vec<File>> {
    let listed = shell::output(shell::command("git").args([
        "ls-files",
        "--cached",
        "--others",
        "--exclude-standard",
        "--deduplicate",
    ]))?;
    let mut files = Vec::new();
    for name in listed.lines() {
        // Deleted in the work tree, or not text: no rule is about it.
        if let Ok(text) = std::fs::read_to_string(workspace::at(name)) {
            files.push(File { name: name.to_owned(), text });
        }
    }
    Ok(files)
}

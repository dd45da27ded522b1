//! Rules for the page's HTML.

use super::{File, Finding};

/// The content security policy lets no inline script and no inline style through; here it is said earlier.
pub(crate) fn inline_code(file: &File) -> Vec<Finding> {
    if !is_page(file) {
        return Vec::new();
    }
    let mut findings = Vec::new();
    for (number, line) in file.text.lines().enumerate() {
        let lower = line.to_lowercase();
        let handler = lower.split_whitespace().any(|word| word.starts_with("on") && word.contains("=\""));
        if handler || lower.contains(" style=\"") || lower.contains("<style") || lower.contains("<script>") {
            findings
                .push((Some(number + 1), "inline script or style, which the page's policy refuses".into()));
        }
    }
    findings
}

/// A placeholder text goes away as one types; a hint below the field stays.
pub(crate) fn placeholders(file: &File) -> Vec<Finding> {
    if !is_page(file) {
        return Vec::new();
    }
    let lines = file.text.lines().enumerate();
    lines
        .filter(|(_, line)| line.contains(" placeholder="))
        .map(|(number, _)| {
            (Some(number + 1), "a placeholder goes away as one types; write a hint below the field".into())
        })
        .collect()
}

fn is_page(file: &File) -> bool {
    file.name.starts_with("www/") && file.name.ends_with(".html")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn inline_code_is_found() {
        for line in [
            "<p style=\"color:red\">",
            "<script>go()</script>",
            "<button onclick=\"go()\">",
            "<style>p{}</style>",
        ] {
            assert_eq!(inline_code(&File::new("www/index.html", line)).len(), 1, "{line}");
        }
        assert!(inline_code(&File::new("www/index.html", "<script src=\"a.js\"></script>")).is_empty());
    }

    #[test]
    fn placeholders_are_found() {
        assert_eq!(placeholders(&File::new("www/stations/coat.html", "<input placeholder=\"mm\">")).len(), 1);
        assert!(placeholders(&File::new("README.md", "<input placeholder=\"mm\">")).is_empty());
    }
}

//! What a browser does not need of the files we write: remarks, and blanks at the beginnings and ends of lines. Lines stay
//! lines, so whatever a browser reports can still be found.

use super::document::tags;
use crate::Result;

/// The document without its indents.
///
/// # Errors
/// When it has text whose blanks count: a `pre`, a `textarea` that is not empty, an attribute over several lines.
pub(crate) fn document(document: &str) -> Result<String> {
    if tags(document).any(|tag| tag.starts_with("<pre")) {
        return Err("index.html has a pre, whose blanks count; the build takes indents out".into());
    }
    let filled = |piece: &str| piece.split_once('>').is_none_or(|(_, text)| !text.starts_with("</textarea>"));
    if document.split("<textarea").skip(1).any(filled) {
        return Err("index.html has a textarea that is not empty; the build takes indents out".into());
    }
    let broken = |tag: &str| tag.match_indices('\n').any(|(i, _)| tag[..i].matches('"').count() % 2 == 1);
    if let Some(tag) = tags(document).find(|tag| broken(tag)) {
        return Err(format!("index.html has an attribute over several lines: {tag}").into());
    }
    Ok(lines(document, |_| true))
}

/// A style sheet without indents and remarks.
///
/// # Errors
/// When a remark is not closed, or a text in it could be taken for one.
pub(crate) fn style(name: &str, style: &str) -> Result<String> {
    let mut kept = String::with_capacity(style.len());
    let mut rest = style;
    while let Some((before, remark)) = rest.split_once("/*") {
        let line = before.rsplit('\n').next().unwrap_or_default();
        if line.matches('"').count() % 2 == 1 || line.matches('\'').count() % 2 == 1 {
            return Err(format!("www/{name} has /* inside a text: {line}").into());
        }
        let (_, after) =
            remark.split_once("*/").ok_or_else(|| format!("a remark of www/{name} is not closed"))?;
        // A blank: what stood apart stays apart.
        kept = kept + before + " ";
        rest = after;
    }
    kept += rest;
    Ok(lines(&kept, |_| true))
}

/// A script without indents and without the lines that are remarks only.
///
/// # Errors
/// When a text of it runs over several lines, or a remark does.
pub(crate) fn script(name: &str, script: &str) -> Result<String> {
    let remark = |line: &str| line.starts_with("//") || line.starts_with("/*");
    for line in script.lines().map(str::trim) {
        if line.starts_with("/*") && line.find("*/") != Some(line.len() - 2) {
            return Err(format!("www/{name} has a remark that is more or less than a line: {line}").into());
        }
        if !remark(line) && line.matches('`').count() % 2 == 1 {
            return Err(format!("www/{name} has a text over several lines: {line}").into());
        }
    }
    Ok(lines(script, |line| !remark(line)))
}

/// Those lines that are to stay, without blanks round them, and none that is empty.
fn lines(text: &str, stays: impl Fn(&str) -> bool) -> String {
    let mut kept = String::with_capacity(text.len());
    for line in text.lines().map(str::trim).filter(|line| !line.is_empty() && stays(line)) {
        kept += line;
        kept.push('\n');
    }
    kept
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn documents_lose_indents_only() {
        let html = "<p>\n  One\n  word <b>more</b>\n\n  <textarea id=\"a\"></textarea>\n</p>\n";
        assert_eq!(
            document(html).unwrap(),
            "<p>\nOne\nword <b>more</b>\n<textarea id=\"a\"></textarea>\n</p>\n"
        );
        assert!(document("<pre>  a</pre>").is_err());
        assert!(document("<textarea>  a</textarea>").is_err());
        assert!(document("<p title=\"a\n  b\">").is_err());
        assert!(document("<p\n  title=\"a b\">").is_ok());
    }

    #[test]
    fn style_sheets_lose_remarks_too() {
        let css = "/* A\n   remark. */\np {\n  margin: 0; /* none */\n  border:/**/0;\n}\n";
        assert_eq!(style("a.css", css).unwrap(), "p {\nmargin: 0;\nborder: 0;\n}\n");
        assert!(style("a.css", "p { content: \"/*\"; }").is_err());
        assert!(style("a.css", "p {} /* never closed").is_err());
    }

    #[test]
    fn scripts_lose_lines_that_are_remarks() {
        let js = "// First.\nconst a = 'http://b';\n\n  /** Doubles. */\n  f(`${a}`); // stays\n";
        assert_eq!(script("a.js", js).unwrap(), "const a = 'http://b';\nf(`${a}`); // stays\n");
        assert!(script("a.js", "f(`a\n  b`);").is_err());
        assert!(script("a.js", "/* a\n b */").is_err());
        assert!(script("a.js", "/* a */ f();").is_err());
    }
}

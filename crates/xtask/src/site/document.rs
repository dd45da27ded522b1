//! The one document of the site: stations and their parts joined in, names replaced, references checked.

use std::collections::BTreeMap;

use crate::Result;

/// Puts the text of each station in the place of its comment, `<!-- station: coat -->`, and the text of each part of a
/// station in the place of its own, `<!-- part: light/lamp -->`.
pub(crate) fn join(document: &str, mut text: impl FnMut(&str) -> Result<String>) -> Result<String> {
    let stations = fill(document, "<!-- station:", &mut text)?;
    fill(&stations, "<!-- part:", &mut text)
}

/// Puts a text in the place of each comment that opens so; inside it stands the text's name.
fn fill(document: &str, open: &str, text: &mut impl FnMut(&str) -> Result<String>) -> Result<String> {
    let mut joined = String::with_capacity(document.len());
    let mut rest = document;
    while let Some(start) = rest.find(open) {
        let after = &rest[start + open.len()..];
        let end =
            after.find("-->").ok_or_else(|| format!("a comment that opens with {open} is not closed"))?;
        joined += &rest[..start];
        joined += text(after[..end].trim())?.trim_end();
        rest = &after[end + "-->".len()..];
    }
    joined += rest;
    Ok(joined)
}

/// Replaces every attribute value that is exactly one of the names by the name the file got.
pub(crate) fn rename(document: &str, names: &BTreeMap<String, String>) -> String {
    let mut renamed = document.to_owned();
    for (from, to) in names {
        renamed = renamed.replace(&format!("=\"{from}\""), &format!("=\"{to}\""));
    }
    renamed
}

/// Replaces `url(name)` in a style sheet.
pub(crate) fn rename_urls(style: &str, names: &BTreeMap<String, String>) -> String {
    let mut renamed = style.to_owned();
    for (from, to) in names {
        for (open, close) in [("url(", ")"), ("url(\"", "\")"), ("url('", "')")] {
            renamed = renamed.replace(&format!("{open}{from}{close}"), &format!("{open}{to}{close}"));
        }
    }
    renamed
}

/// The files that the document refers to and that are not among the given ones. Fragments and links for people to
/// follow (`<a href>`) are no files of the site; a foreign address anywhere else is.
pub(crate) fn missing(document: &str, exists: impl Fn(&str) -> bool) -> Vec<&str> {
    let mut missing = Vec::new();
    for tag in tags(document) {
        for attribute in
            ["src", "href", "data-module", "data-worker", "data-worker-glue", "data-worker-module"]
        {
            let Some(value) = attribute_value(tag, attribute) else { continue };
            let link = tag.starts_with("<a ") || value.starts_with('#') || value.starts_with("data:");
            if !link && !exists(value) {
                missing.push(value);
            }
        }
    }
    missing
}

/// The opening tags of a document, from `<` to `>`. Good for HTML written by us: no `>` inside attribute values.
pub(crate) fn tags(document: &str) -> impl Iterator<Item = &str> {
    document.split('<').skip(1).filter_map(move |piece| {
        let end = piece.find('>')?;
        let start = piece.as_ptr() as usize - document.as_ptr() as usize - 1;
        Some(&document[start..start + end + 2])
    })
}

/// The value of an attribute in a tag.
pub(crate) fn attribute_value<'a>(tag: &'a str, name: &str) -> Option<&'a str> {
    let mut rest = tag;
    while let Some(at) = rest.find(name) {
        let before = rest[..at].chars().last();
        let after = &rest[at + name.len()..];
        if before.is_some_and(char::is_whitespace)
            && let Some(value) = after.strip_prefix("=\"")
        {
            return value.split('"').next();
        }
        rest = after;
    }
    None
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stations_stand_where_their_comments_were() {
        let joined = join("<main>\n<!-- station: coat -->\n<!-- station: light -->\n</main>", |name| {
            Ok(format!("<section id=\"{name}\"></section>\n"))
        });
        let expected = "<main>\n<section id=\"coat\"></section>\n<section id=\"light\"></section>\n</main>";
        assert_eq!(joined.unwrap(), expected);
        assert!(join("<!-- station: coat", |_| Ok(String::new())).is_err());
    }

    #[test]
    fn so_do_parts_of_stations() {
        let joined = join("<main>\n<!-- station: light -->\n</main>", |name| {
            Ok(match name {
                "light" => {
                    "<section>\n<!-- part: light/lamp -->\n<!-- part: light/air -->\n</section>\n".into()
                }
                other => format!("  <h3>{other}</h3>\n"),
            })
        });
        let expected = "<main>\n<section>\n  <h3>light/lamp</h3>\n  <h3>light/air</h3>\n</section>\n</main>";
        assert_eq!(joined.unwrap(), expected);
        assert!(join("<!-- part: light/lamp", |_| Ok(String::new())).is_err());
    }

    #[test]
    fn only_whole_attribute_values_are_renamed() {
        let names = BTreeMap::from([("page.js".to_owned(), "page.0a.js".to_owned())]);
        let html = r#"<script src="page.js"></script><p title="see page.js">page.js</p>"#;
        assert_eq!(
            rename(html, &names),
            r#"<script src="page.0a.js"></script><p title="see page.js">page.js</p>"#
        );
    }

    #[test]
    fn pictures_in_style_sheets_are_renamed() {
        let names = BTreeMap::from([("leaf.svg".to_owned(), "leaf.1f.svg".to_owned())]);
        assert_eq!(
            rename_urls("a{background:url(\"leaf.svg\")}", &names),
            "a{background:url(\"leaf.1f.svg\")}"
        );
    }

    #[test]
    fn files_that_are_not_there_and_foreign_ones_are_missed() {
        let html = r##"<a href="https://example.org/">x</a><a href="#coat">y</a><img src="leaf.svg">
            <script data-src="no.js" src="gone.js"></script><link href="https://example.org/a.css">"##;
        assert_eq!(missing(html, |name| name == "leaf.svg"), ["gone.js", "https://example.org/a.css"]);
    }
}

//! Everything that is linked in has a licence that allows it.

use serde_json::Value;

/// Licences that ask for no more than being named.
const ALLOWED: [&str; 13] = [
    "MIT",
    "MIT-0",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "0BSD",
    "ISC",
    "Zlib",
    "Unicode-3.0",
    "Unlicense",
    "CC0-1.0",
    "BSL-1.0",
];

/// The packages whose licence is none of the allowed ones.
pub(crate) fn foreign(metadata: &Value) -> Vec<String> {
    metadata["packages"]
        .as_array()
        .into_iter()
        .flatten()
        .filter_map(|package| {
            let licence = package["license"].as_str().unwrap_or("no licence stated");
            (!allowed(licence))
                .then(|| format!("{} has a licence that is not on the list: {licence}", package["name"]))
        })
        .collect()
}

/// Reads an SPDX expression of `AND`, `OR` (or `/`) and parentheses: one alternative must be allowed as a whole.
fn allowed(expression: &str) -> bool {
    let spaced =
        expression.replace('/', " OR ").replace('(', " ( ").replace(')', " ) ").replace(" WITH ", "+WITH+");
    let mut words: Vec<&str> = spaced.split_whitespace().collect();
    words.reverse();
    either(&mut words) && words.is_empty()
}

fn either(words: &mut Vec<&str>) -> bool {
    let mut any = both(words);
    while words.last() == Some(&"OR") {
        words.pop();
        any |= both(words);
    }
    any
}

fn both(words: &mut Vec<&str>) -> bool {
    let mut all = one(words);
    while words.last() == Some(&"AND") {
        words.pop();
        all &= one(words);
    }
    all
}

fn one(words: &mut Vec<&str>) -> bool {
    match words.pop() {
        Some("(") => {
            let inner = either(words);
            words.pop() == Some(")") && inner
        }
        Some(name) => ALLOWED.contains(&name.replace("+WITH+", " WITH ").as_str()),
        None => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use serde_json::json;

    #[test]
    fn expressions_are_read() {
        assert!(allowed("MIT OR GPL-3.0"));
        assert!(allowed("Unlicense/MIT"));
        assert!(allowed("(MIT OR Apache-2.0) AND Unicode-3.0"));
        assert!(allowed("Apache-2.0 WITH LLVM-exception OR GPL-2.0"));
        assert!(!allowed("MIT AND GPL-3.0"));
        assert!(!allowed("GPL-3.0-only"));
        assert!(!allowed(""));
        assert!(!allowed("(MIT"));
    }

    #[test]
    fn a_package_with_another_licence_is_found() {
        let metadata = json!({ "packages": [
            { "name": "good", "license": "MIT" }, { "name": "bad", "license": "AGPL-3.0" }, { "name": "none", "license": null },
        ] });
        assert_eq!(foreign(&metadata).len(), 2);
    }
}

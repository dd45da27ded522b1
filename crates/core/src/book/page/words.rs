//! Words that several parts of the book station use.

use crate::book::Setup;

/// So many of something.
pub(super) fn plural(n: usize, one: &str, many: &str) -> String {
    if n == 1 { format!("1 {one}") } else { format!("{n} {many}") }
}

/// A title, or that there is none.
pub(super) fn titled(title: &str) -> String {
    if title.trim().is_empty() { "untitled".into() } else { title.trim().into() }
}

/// Parts with commas between; empty ones are left out.
pub(super) fn joined(parts: impl IntoIterator<Item = String>) -> String {
    parts.into_iter().filter(|p| !p.is_empty()).collect::<Vec<_>>().join(", ")
}

/// What stands behind a setup's correction, without solving it.
pub(super) fn basis(setup: &Setup) -> String {
    let rows = crate::tone::readings::parse(&setup.tone.readings, None).rows.len();
    if rows == 0 { "not measured".into() } else { plural(rows, "patch read", "patches read") }
}

//! Where things lie.

use std::path::{Path, PathBuf};

/// The root of the repository. Always this one, wherever the command was started.
pub(crate) fn root() -> &'static Path {
    Path::new(env!("CARGO_MANIFEST_DIR")).parent().and_then(Path::parent).expect("xtask lies in crates/xtask")
}

/// A path below the root.
pub(crate) fn at(path: &str) -> PathBuf {
    root().join(path)
}

/// All files below a folder, sorted, so that everything made from them comes out the same everywhere.
/// A folder that is missing has no files.
pub(crate) fn files_below(folder: &Path) -> Vec<PathBuf> {
    let mut found = Vec::new();
    let mut open = vec![folder.to_path_buf()];
    while let Some(folder) = open.pop() {
        let Ok(entries) = std::fs::read_dir(&folder) else { continue };
        for entry in entries.flatten() {
            let path = entry.path();
            if path.is_dir() {
                open.push(path);
            } else {
                found.push(path);
            }
        }
    }
    found.sort();
    found
}

/// The path below `folder`, with forward slashes.
pub(crate) fn name_below(folder: &Path, path: &Path) -> String {
    let relative = path.strip_prefix(folder).unwrap_or(path);
    relative.components().map(|part| part.as_os_str().to_string_lossy()).collect::<Vec<_>>().join("/")
}

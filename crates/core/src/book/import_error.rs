//! Why a file cannot be opened as a book, and by what a book file is known.

use super::SCHEMA;
use crate::note::Note;

/// What `format` says in every book file.
pub const FORMAT: &str = "sorrel-book";

/// Bytes a book file may have; ten years of daily prints with all readings stay below 20 MB.
pub const LARGEST: u64 = 64 * 1024 * 1024;

/// Objects a book file may hold.
pub(super) const MOST: usize = 100_000;

/// Why a file cannot be opened as a book.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum ImportError {
    /// No JSON at all.
    NotJson,
    /// Begins as a book file, but is cut off or damaged.
    CutOff,
    /// Nothing in it.
    Empty,
    /// Larger than [`LARGEST`].
    TooLarge {
        /// Its size.
        bytes: u64,
    },
    /// JSON, but no book.
    NotABook,
    /// The version of the schema is missing or was never used.
    NoSchema {
        /// What stands there, or 0.
        schema: i64,
    },
    /// Written by a newer build.
    Newer {
        /// Its schema.
        schema: i64,
    },
    /// The list of objects is missing, or nothing in it can be read.
    NothingInside,
    /// More objects than any book has.
    TooMany {
        /// How many.
        objects: usize,
    },
}

impl ImportError {
    /// The error for a text that is not JSON: tells a cut-off book from some other file.
    #[must_use]
    pub fn not_json(text: &str) -> Self {
        let text = text.trim_start_matches('\u{feff}').trim_start();
        let head: String = text.chars().take(400).collect();
        if text.is_empty() {
            Self::Empty
        } else if head.starts_with('{') && head.contains(FORMAT) {
            Self::CutOff
        } else {
            Self::NotJson
        }
    }

    /// The note beside the import button.
    #[must_use]
    pub fn note(&self) -> Note {
        let (text, mend) = match self {
            Self::NotJson => (
                "This file is not a Sorrel book.".into(),
                "Choose the file that “Save the book as a file” made; its name begins with sorrel-book.",
            ),
            Self::CutOff => (
                "This book file is cut off or damaged: its end cannot be read.".into(),
                "Copy it again from where it was saved, or choose an older file. Your book here is unchanged.",
            ),
            Self::Empty => (
                "This file is empty.".into(),
                "Copy it again from where it was saved, or choose an older file. Your book here is unchanged.",
            ),
            Self::TooLarge { bytes } => (
                format!(
                    "This file has {} MB; a book file has at most {} MB.",
                    bytes.div_ceil(1024 * 1024),
                    LARGEST / (1024 * 1024)
                ),
                "Choose a file whose name begins with sorrel-book.",
            ),
            Self::NotABook => (
                "This file holds data, but not a Sorrel book.".into(),
                "Choose the file that “Save the book as a file” made; its name begins with sorrel-book.",
            ),
            Self::NoSchema { schema } => (
                format!("This book file does not say which version it has (it says {schema})."),
                "The file was changed by hand or damaged; choose an older one.",
            ),
            Self::Newer { schema } => (
                format!("This book file has version {schema}; this page reads up to version {SCHEMA}."),
                "Bring Sorrel up to date on this device, then open the file again.",
            ),
            Self::NothingInside => (
                "This book file holds nothing that can be read.".into(),
                "Copy it again from where it was saved, or choose an older file. Your book here is unchanged.",
            ),
            Self::TooMany { objects } => (
                format!("This book file lists {objects} things; a book has at most {MOST}."),
                "The file was damaged or made by something else; choose an older one.",
            ),
        };
        Note::error("import", text, mend)
    }
}

//! What can go wrong with a picture, by culprit.
//!
//! One variant a culprit: whoever reads the message must know whether to look at the file, at what was asked for,
//! at a limit or at the device, and [`Fault::mend`] says what to do about it.

use sorrel_core::scan::Refusal;
use std::fmt;

/// A failure that a person can act on. `Display` says what happened, [`Fault::mend`] what to do.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Fault {
    /// The file is damaged or of a kind that is not read here.
    File {
        /// What was found in the file.
        text: String,
        /// Which file to bring instead.
        mend: String,
    },
    /// What was asked for makes no sense (a size of zero, a frame outside the picture).
    Caller {
        /// What is odd.
        text: String,
        /// What to ask instead.
        mend: String,
    },
    /// A limit stands in the way; the text names the size and the limit.
    Limit {
        /// The size and the limit.
        text: String,
        /// How to come below it.
        mend: String,
    },
    /// Reading or writing failed on this device.
    Device {
        /// What failed.
        text: String,
        /// What to try.
        mend: String,
    },
    /// The work was cancelled. Not a failure, but it ends the work the same way.
    Cancelled,
}

impl Fault {
    /// A [`Fault::File`].
    pub fn file(text: impl Into<String>, mend: impl Into<String>) -> Self {
        Self::File { text: text.into(), mend: mend.into() }
    }

    /// A file that ends early or contradicts itself.
    pub fn damaged(kind: &str, detail: impl fmt::Display) -> Self {
        Self::File {
            text: format!("The {kind} file is damaged or cut off ({detail})."),
            mend: "Copy or export the picture again. A file that opens elsewhere can be saved there as a 16-bit TIFF."
                .into(),
        }
    }

    /// A [`Fault::Caller`].
    pub fn caller(text: impl Into<String>, mend: impl Into<String>) -> Self {
        Self::Caller { text: text.into(), mend: mend.into() }
    }

    /// A [`Fault::Limit`].
    pub fn limit(text: impl Into<String>, mend: impl Into<String>) -> Self {
        Self::Limit { text: text.into(), mend: mend.into() }
    }

    /// A [`Fault::Device`].
    pub fn device(text: impl Into<String>, mend: impl Into<String>) -> Self {
        Self::Device { text: text.into(), mend: mend.into() }
    }

    /// The culprit in one word: `file`, `caller`, `limit`, `device` or `cancelled`.
    pub fn culprit(&self) -> &'static str {
        match self {
            Self::File { .. } => "file",
            Self::Caller { .. } => "caller",
            Self::Limit { .. } => "limit",
            Self::Device { .. } => "device",
            Self::Cancelled => "cancelled",
        }
    }

    /// What to do about it, in one or two sentences.
    pub fn mend(&self) -> &str {
        match self {
            Self::File { mend, .. }
            | Self::Caller { mend, .. }
            | Self::Limit { mend, .. }
            | Self::Device { mend, .. } => mend,
            Self::Cancelled => "Start it again when you are ready.",
        }
    }
}

impl From<Refusal> for Fault {
    fn from(refusal: Refusal) -> Self {
        let (text, mend) = (refusal.text(), refusal.mend());
        if refusal.blames_the_ask() { Self::caller(text, mend) } else { Self::file(text, mend) }
    }
}

impl fmt::Display for Fault {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::File { text, .. }
            | Self::Caller { text, .. }
            | Self::Limit { text, .. }
            | Self::Device { text, .. } => f.write_str(text),
            Self::Cancelled => f.write_str("Cancelled."),
        }
    }
}

impl std::error::Error for Fault {}

/// Bytes as a person reads them: `812 kB`, `34.5 MB`, `1.20 GB` (powers of ten, as file managers show).
pub fn size_text(bytes: u64) -> String {
    let b = bytes as f64;
    if b >= 1e9 {
        format!("{:.2} GB", b / 1e9)
    } else if b >= 1e8 {
        format!("{:.0} MB", b / 1e6)
    } else if b >= 1e6 {
        format!("{:.1} MB", b / 1e6)
    } else if b >= 1e3 {
        format!("{:.0} kB", b / 1e3)
    } else {
        format!("{bytes} bytes")
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sizes_are_short_and_right() {
        for (bytes, text) in [
            (0, "0 bytes"),
            (999, "999 bytes"),
            (1_000, "1 kB"),
            (34_512_345, "34.5 MB"),
            (512_000_000, "512 MB"),
            (1_204_000_000, "1.20 GB"),
        ] {
            assert_eq!(size_text(bytes), text);
        }
    }

    #[test]
    fn every_culprit_says_what_to_do() {
        for fault in [
            Fault::damaged("JPEG", "x"),
            Fault::caller("a", "b"),
            Fault::limit("a", "b"),
            Fault::device("a", "b"),
            Fault::Cancelled,
        ] {
            assert!(!fault.mend().is_empty() && !fault.to_string().is_empty());
        }
    }
}

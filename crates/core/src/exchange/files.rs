//! A correction as a file, in each of the formats.

use super::carry::{Carry, Polarity};
use super::codes::sixteen;
use super::icc::{self, Channels, Stamp};
use super::{OutFile, clf, csv_out};
use crate::note::Note;

/// Entries of the tables written into files.
const ENTRIES: usize = 4096;
/// Field the notes are about.
const FIELD: &str = "polarity";

/// Files a correction goes into.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Format {
    /// ICC device link, grey to grey.
    LinkGrey,
    /// ICC device link, RGB to RGB.
    LinkRgb,
    /// ICC grey output profile; only for the positive.
    Profile,
    /// Common LUT Format.
    Clf,
    /// A table of all 8-bit greys.
    Csv,
}

impl Carry<'_> {
    /// Makes a file.
    ///
    /// # Errors
    /// A note when a grey profile is asked for with the inversion included: programs that use it would show and prove the
    /// picture inverted.
    pub fn export(&self, format: Format, stamp: Stamp) -> Result<OutFile, Note> {
        let samples = || self.values(ENTRIES).into_iter().map(sixteen).collect::<Vec<u16>>();
        let words = self.description();
        let (what, ending, media, bytes) = match format {
            Format::LinkGrey => (
                "link-grey",
                "icc",
                "application/vnd.iccprofile",
                icc::link(Channels::Grey, &samples(), &words, stamp),
            ),
            Format::LinkRgb => (
                "link-rgb",
                "icc",
                "application/vnd.iccprofile",
                icc::link(Channels::Rgb, &samples(), &words, stamp),
            ),
            Format::Profile => {
                if self.polarity == Polarity::Inverted {
                    return Err(Note::error(
                        FIELD,
                        "A grey profile cannot hold the inversion.",
                        "Make it for the positive and invert afterwards, or take a device link.",
                    ));
                }
                // The CMM brings every profiled picture to its luminance itself: here the greys are L* always.
                let codes: Vec<f64> = self.correction.points(ENTRIES).into_iter().map(|p| p.1).collect();
                let samples = icc::black_scaled(&codes, ENTRIES);
                ("grey-profile", "icc", "application/vnd.iccprofile", icc::profile(&samples, &words, stamp))
            }
            Format::Clf => {
                let greys = format!("Grey of the picture, 0 black to 1 white, {}", self.greys.words());
                let output = match self.polarity {
                    Polarity::Positive => "Grey before inversion, 1 full ink",
                    Polarity::Inverted => "Grey of the film file, 0 full ink",
                };
                let text = clf::write(&self.values(ENTRIES), &self.title, &words, &greys, output);
                ("curve", "clf", "application/xml", text.into_bytes())
            }
            Format::Csv => ("table", "csv", "text/csv", csv_out::correction(self).into_bytes()),
        };
        Ok(OutFile { name: self.name(what, ending), media, bytes })
    }
}

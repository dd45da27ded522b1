//! The correction on its way into other programs, and the two questions every export asks: is the inversion in it, and
//! what do the greys of the picture mean.

use super::greys::Greys;
use super::icc::{self, Channels, Stamp};
use super::{OutFile, clf, csv_out};
use crate::note::Note;
use crate::tone::Correction;

/// Entries of the tables written into files.
const ENTRIES: usize = 4096;
/// Field the notes are about.
const FIELD: &str = "polarity";

/// Whether the inversion is in the correction.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Polarity {
    /// For the positive picture, which is then inverted and mirrored.
    Positive,
    /// With the inversion included; the picture is then only mirrored.
    Inverted,
}

impl Polarity {
    fn short(self) -> &'static str {
        match self {
            Self::Positive => "then-invert",
            Self::Inverted => "inverted",
        }
    }

    /// What is to be done, as a sentence.
    pub fn words(self) -> &'static str {
        match self {
            Self::Positive => "For the positive picture: apply it, then invert and mirror.",
            Self::Inverted => "Inversion included: apply it to the positive picture, then mirror only.",
        }
    }
}

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

/// A correction with the answers to the two questions.
#[derive(Clone, Debug)]
pub struct Carry<'a> {
    /// What is carried.
    pub correction: &'a Correction,
    /// Whether the inversion is in it.
    pub polarity: Polarity,
    /// What the greys of the picture mean.
    pub greys: Greys,
    /// What it is for: the setup's name.
    pub title: String,
}

/// A value 0…1 in 16 bits.
pub fn sixteen(x: f64) -> u16 {
    let x = if x > 0.0 { x.min(1.0) } else { 0.0 };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 65535 by the clamp")]
    let value = (65535.0 * x + 0.5) as u16;
    value
}

impl Carry<'_> {
    /// Grey out for a grey of the picture, both 0…1.
    pub fn at(&self, grey: f64) -> f64 {
        let ink = self.correction.at(self.greys.tone(grey));
        match self.polarity {
            // Inverted afterwards, paper white (full ink) becomes the darkest of the film file.
            Polarity::Positive => ink,
            Polarity::Inverted => 1.0 - ink,
        }
    }

    /// Greys out at `n` (at least 2) equal steps of the grey in.
    pub fn values(&self, n: usize) -> Vec<f64> {
        let n = n.max(2);
        (0..n).map(|i| self.at(i as f64 / (n - 1) as f64)).collect()
    }

    /// Name of a file, with both answers in it; `ending` without its point.
    pub fn name(&self, what: &str, ending: &str) -> String {
        let mut name = slug(&self.title);
        for part in [what, self.polarity.short(), self.greys.short()] {
            name.push('-');
            name += part;
        }
        name.push('.');
        name + ending
    }

    /// Both answers, and what the correction rests on, in sentences.
    pub fn description(&self) -> String {
        let mut out = self.title.trim().to_owned();
        if !out.is_empty() {
            out += ". ";
        }
        out += self.polarity.words();
        out += " Greys of the picture: ";
        out += self.greys.words();
        out += ". Correction ";
        out += &self.correction.measured().words();
        out.push('.');
        out
    }

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

/// Lower-case ASCII letters, digits and dashes: some programs list profiles by file name and take no others.
fn slug(title: &str) -> String {
    /// Characters kept.
    const LONGEST: usize = 40;
    let mut out = String::new();
    for c in title.chars().take(LONGEST) {
        if c.is_ascii_alphanumeric() {
            out.push(c.to_ascii_lowercase());
        } else if !out.is_empty() && !out.ends_with('-') {
            out.push('-');
        }
    }
    let out = out.trim_end_matches('-');
    if out.is_empty() { "correction".into() } else { out.into() }
}

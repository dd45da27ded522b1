//! The correction on its way into other programs, and the two questions every export asks: is the inversion in it, and
//! what do the greys of the picture mean.

use super::greys::Greys;
use crate::tone::Correction;

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

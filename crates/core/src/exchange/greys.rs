//! What the greys of a picture mean: from the number in its file to L*, and back.

use crate::math;
use crate::note::Note;
use crate::tone::lightness;
use crate::tone::monotone::{Monotone, Rule};
use crate::tone::table;

/// Field the notes are about.
const FIELD: &str = "greys";
/// Fewest pairs of a typed table: its two ends.
const FEWEST: usize = 2;

/// The encoding of a picture's greys; numbers 0 black … 1 white.
#[derive(Clone, Debug, PartialEq)]
pub enum Greys {
    /// L*, evenly.
    Lightness,
    /// IEC 61966-2-1.
    Srgb,
    /// Luminance is the number to the power of 1.8.
    Gamma18,
    /// Luminance is the number to the power of 2.2.
    Gamma22,
    /// A typed table.
    Table(GreyTable),
}

/// Pairs of grey and picture tone, both 0…1, both rising, joined by a smooth curve.
#[derive(Clone, Debug, PartialEq)]
pub struct GreyTable(Monotone);

impl Greys {
    /// Short name, for a file name.
    pub fn short(&self) -> &'static str {
        match self {
            Self::Lightness => "lstar",
            Self::Srgb => "srgb",
            Self::Gamma18 => "gamma18",
            Self::Gamma22 => "gamma22",
            Self::Table(_) => "table",
        }
    }

    /// As it is written.
    pub fn words(&self) -> &'static str {
        match self {
            Self::Lightness => "L*",
            Self::Srgb => "sRGB",
            Self::Gamma18 => "gamma 1.8",
            Self::Gamma22 => "gamma 2.2",
            Self::Table(_) => "a typed table",
        }
    }

    /// Picture tone (L*/100) of a grey; both 0…1, clamped.
    pub fn tone(&self, grey: f64) -> f64 {
        let grey = unit(grey);
        match self {
            Self::Lightness => grey,
            Self::Srgb => {
                let factor =
                    if grey > 0.040_45 { math::pow((grey + 0.055) / 1.055, 2.4) } else { grey / 12.92 };
                of_factor(factor)
            }
            Self::Gamma18 => of_factor(math::pow(grey, 1.8)),
            Self::Gamma22 => of_factor(math::pow(grey, 2.2)),
            Self::Table(table) => unit(table.0.at(grey)),
        }
    }

    /// Grey of a picture tone; both 0…1, clamped.
    pub fn grey(&self, tone: f64) -> f64 {
        let tone = unit(tone);
        let factor = lightness::to_factor(100.0 * tone);
        unit(match self {
            Self::Lightness => tone,
            Self::Srgb if factor > 0.003_130_8 => 1.055 * math::pow(factor, 1.0 / 2.4) - 0.055,
            Self::Srgb => 12.92 * factor,
            Self::Gamma18 => math::pow(factor, 1.0 / 1.8),
            Self::Gamma22 => math::pow(factor, 1.0 / 2.2),
            Self::Table(table) => table.0.inverse(tone),
        })
    }
}

fn of_factor(factor: f64) -> f64 {
    unit(0.01 * lightness::from_factor(factor))
}

/// Into 0…1; what is not a number is 0.
fn unit(x: f64) -> f64 {
    if x > 0.0 { x.min(1.0) } else { 0.0 }
}

impl GreyTable {
    /// From pairs of grey in percent and L*.
    ///
    /// # Errors
    /// A note for greys that do not run from 0 to 100 %, and for pairs that do not rise or lie outside 0…100.
    pub fn new(pairs: &[(f64, f64)]) -> Result<Self, Note> {
        let whole = pairs.len() >= FEWEST && pairs[0].0 == 0.0 && pairs[pairs.len() - 1].0 == 100.0;
        if !whole {
            return Err(Note::error(
                FIELD,
                "The table of greys does not run from 0 to 100 %.",
                "Type one pair a line, grey in percent and its L*, beginning with 0 and ending with 100.",
            ));
        }
        if let Some(pair) = pairs.iter().find(|p| !(0.0..=100.0).contains(&p.1)) {
            return Err(Note::error(
                FIELD,
                format!("L* {} is outside 0 to 100.", crate::show::significant(pair.1, 4)),
                "Check the digits.",
            ));
        }
        if let Some(w) = pairs.windows(2).find(|w| !(w[0].0 < w[1].0 && w[0].1 < w[1].1)) {
            return Err(Note::error(
                FIELD,
                format!("The pairs do not rise after {} %.", crate::show::significant(w[0].0, 4)),
                "Give lighter greys one after another, each with a higher L*.",
            ));
        }
        let (grey, tone): (Vec<f64>, Vec<f64>) = pairs.iter().map(|p| (0.01 * p.0, 0.01 * p.1)).unzip();
        // A pair that rises by less than a last bit is the only thing left that could fail.
        Monotone::new(Rule::FritschButland, &grey, &tone).map(Self).ok_or_else(|| {
            Note::error(FIELD, "No curve goes through these pairs.", "Leave out pairs that are nearly equal.")
        })
    }

    /// From text: one pair a line, grey in percent and L*.
    ///
    /// # Errors
    /// A note that names the line, or what [`GreyTable::new`] says.
    pub fn parse(text: &str) -> Result<Self, Note> {
        let table = table::split(text);
        let mut pairs = Vec::new();
        for (i, line) in table.lines.iter().enumerate() {
            let cell = |i: usize| table::number(line.cells.get(i).map_or("", String::as_str));
            match (cell(0), cell(1)) {
                (Ok(grey), Ok(l)) => pairs.push((grey, l)),
                // A heading.
                (Err(_), Err(_)) if i == 0 => {}
                _ => {
                    return Err(table::line_note(
                        FIELD,
                        line.number,
                        "two numbers are wanted",
                        "Type one pair a line, grey in percent and its L*.",
                    ));
                }
            }
        }
        Self::new(&pairs)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn all() -> [Greys; 5] {
        let table = GreyTable::parse("grey;L*\n0;0\n40;52,5\n100;100\n").unwrap();
        [Greys::Lightness, Greys::Srgb, Greys::Gamma18, Greys::Gamma22, Greys::Table(table)]
    }

    #[test]
    fn there_and_back() {
        for greys in all() {
            assert_eq!((greys.tone(0.0), greys.tone(1.0)), (0.0, 1.0), "{greys:?}");
            let mut before = -1.0;
            for i in 0..=1000 {
                let grey = f64::from(i) / 1000.0;
                let tone = greys.tone(grey);
                assert!(tone > before, "{greys:?} {grey}");
                before = tone;
                assert!((greys.grey(tone) - grey).abs() < 2e-6, "{greys:?} {grey}");
            }
        }
    }

    #[test]
    fn middle_greys_are_the_published_ones() {
        // IEC 61966-2-1: code 119 of 255 is luminance 0.18447, the L* 50 that tables give for it (50.03).
        assert!((100.0 * Greys::Srgb.tone(119.0 / 255.0) - 50.034).abs() < 0.001);
        // 128/255 to the power of 2.2 is 0.21952; its L* by ISO/CIE 11664-4 is 53.976.
        assert!((100.0 * Greys::Gamma22.tone(128.0 / 255.0) - 53.976).abs() < 0.002);
        assert!(
            (Greys::Gamma18.tone(0.5) - 0.01 * (116.0 * math::cbrt(math::pow(0.5, 1.8)) - 16.0)).abs()
                < 1e-12
        );
    }

    #[test]
    fn tables_that_do_not_rise_are_refused() {
        for text in [
            "",
            "0 0\n50 60",
            "0 0\n50 60\n40 70\n100 100",
            "0 0\n50 60\n100 60",
            "0 -1\n100 100",
            "0 0\nx 5\n100 100",
        ] {
            assert!(GreyTable::parse(text).is_err(), "{text:?}");
        }
    }
}

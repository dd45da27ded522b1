//! White judged by three spots: full ink, the masked spot (coated, no light, cleared) and bare paper.
//!
//! What full ink prints above the masked spot is light that came through the ink: a veil of the film. What the masked
//! spot shows above bare paper no light made: stain or fog.

use super::lightness;
use crate::constant::{Basis, Constant};
use crate::estimate::Estimate;
use crate::note::Note;
use crate::show::decimals;

/// Density up to which a spot counts as white as the one it is compared with.
pub const AS_WHITE: Constant = Constant::choice(
    0.02,
    "density",
    1,
    "a difference hardly seen beside the whiter spot; 0.01 to 0.04 are sensible",
);
/// Standard deviation of one spot's density.
pub const SPOT_SPREAD: Constant = Constant::practice(
    0.007,
    "density",
    1,
    "a densitometer on paper, or the mean of a scanned patch; no source",
);
/// Two-sided 95 % point of the normal distribution.
const WIDE: f64 = 1.96;
/// Field of the tone station the notes are about.
const FIELD: &str = "masked";

/// Readings of the spots, in L*; each the mean of so many readings.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Spots {
    /// Under full ink.
    pub full_ink: Option<(f64, u32)>,
    /// Coated and masked.
    pub masked: Option<(f64, u32)>,
    /// Bare paper.
    pub bare: Option<(f64, u32)>,
}

/// What a difference of two spots amounts to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Finding {
    /// Within what counts as white, interval and all.
    Clean,
    /// Above it, interval and all.
    Veiled,
    /// The interval holds the limit: read again.
    Unclear,
}

/// A difference of density with its interval, and what it amounts to.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Veil {
    /// Density above the whiter spot.
    pub density: Estimate,
    /// What that is.
    pub finding: Finding,
}

/// White judged.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Judgement {
    /// Light through full ink: full ink above masked.
    pub ink_veil: Option<Veil>,
    /// Stain or fog: masked above bare.
    pub stain: Option<Veil>,
    /// What to do.
    pub notes: Vec<Note>,
}

/// Judges white; `limit`: the density that still counts as white ([`AS_WHITE`]), clamped to 0.005…0.1.
pub fn judge(spots: &Spots, limit: f64) -> Judgement {
    let limit = if limit.is_finite() { limit.clamp(0.005, 0.1) } else { AS_WHITE.value };
    let ink_veil = veil(spots.full_ink, spots.masked, limit);
    let stain = veil(spots.masked, spots.bare, limit);
    let mut notes = Vec::new();
    if spots.masked.is_none() && (spots.full_ink.is_some() || spots.bare.is_some()) {
        notes.push(Note::hint(
            FIELD,
            "Without a masked spot nobody can tell light through the ink from stain: cover a coated corner with opaque tape.",
        ));
    }
    for (veil, veiled, mend, spot) in [
        (
            ink_veil,
            "Full ink lets light through: whites print",
            "Use more ink or an ink that blocks more, expose less, or take a paper or mix of shorter scale.",
            "Full ink and masked spot",
        ),
        (
            stain,
            "Where no light fell the paper is stained or fogged by",
            "Clear longer in fresh baths; if that does not help, test the room's light, and the age of the iron.",
            "Masked spot and bare paper",
        ),
    ] {
        let Some(v) = veil else { continue };
        let amount = decimals(v.density.value, 2);
        match v.finding {
            Finding::Veiled => notes.push(Note::warning(FIELD, format!("{veiled} {amount} density."), mend)),
            Finding::Unclear => notes.push(Note::hint(
                FIELD,
                format!(
                    "{spot} differ by {amount} density, near the {} that counts as white: read both again.",
                    decimals(limit, 2)
                ),
            )),
            Finding::Clean => {}
        }
    }
    if ink_veil.is_some_and(|v| v.density.high < -limit) {
        notes.push(Note::warning(
            FIELD,
            "The masked spot is darker than full ink.",
            "Check that the two readings are not exchanged, and that the tape kept all light out.",
        ));
    }
    Judgement { ink_veil, stain, notes }
}

fn veil(darker: Option<(f64, u32)>, whiter: Option<(f64, u32)>, limit: f64) -> Option<Veil> {
    let ((dark, n), (white, m)) = (darker?, whiter?);
    let value = lightness::to_density(dark)? - lightness::to_density(white)?;
    if !value.is_finite() {
        return None;
    }
    let spread = |n: u32| SPOT_SPREAD.value * SPOT_SPREAD.value / f64::from(n.max(1));
    let half = WIDE * crate::math::sqrt(spread(n) + spread(m));
    let density = Estimate::plus_minus(value, half, Basis::Measured { n: n.saturating_add(m) });
    let finding = if density.low > limit {
        Finding::Veiled
    } else if density.high <= limit {
        Finding::Clean
    } else {
        Finding::Unclear
    };
    Some(Veil { density, finding })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn spot(density: f64) -> Option<(f64, u32)> {
        Some((lightness::from_density(density), 4))
    }

    #[test]
    fn the_two_veils_have_their_own_mend() {
        let j = judge(&Spots { full_ink: spot(0.13), masked: spot(0.07), bare: spot(0.065) }, AS_WHITE.value);
        assert_eq!(j.ink_veil.map(|v| v.finding), Some(Finding::Veiled));
        assert_eq!(j.stain.map(|v| v.finding), Some(Finding::Clean));
        assert!(j.notes.len() == 1 && j.notes[0].text.contains("0.06 density"), "{:?}", j.notes);

        let j = judge(&Spots { full_ink: spot(0.12), masked: spot(0.12), bare: spot(0.06) }, AS_WHITE.value);
        assert_eq!(j.ink_veil.map(|v| v.finding), Some(Finding::Clean));
        assert!(j.notes.len() == 1 && j.notes[0].mend.contains("Clear longer"), "{:?}", j.notes);
    }

    #[test]
    fn near_the_limit_it_says_so_and_without_a_mask_it_asks() {
        let j = judge(&Spots { full_ink: spot(0.09), masked: spot(0.07), bare: None }, 0.02);
        assert_eq!(j.ink_veil.map(|v| v.finding), Some(Finding::Unclear));
        let j = judge(&Spots { full_ink: spot(0.09), masked: None, bare: spot(0.06) }, 0.02);
        assert!(j.ink_veil.is_none() && j.notes[0].text.contains("tape"));
        assert_eq!(judge(&Spots::default(), f64::NAN), Judgement::default());
        assert_eq!(
            judge(&Spots { full_ink: Some((0.0, 1)), masked: spot(0.07), bare: None }, 0.02).ink_veil,
            None
        );
    }
}

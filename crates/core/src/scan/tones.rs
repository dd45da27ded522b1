//! How a scan's values become lightness, and how far that may be believed.
//!
//! Best is a grey scale of known density in the same picture: L* is drawn against the scanner's values as a monotone
//! cubic, which takes tone curve, gain and stray light away at once (after the idea of ISO 14524: grey patches of known
//! density give a camera's tone curve). With two known greys only gain and veil are solved; with none, the file's own
//! light is believed, or nothing but the order.

use super::ordered::places;
use super::refusal::Refusal;
use crate::math;
use crate::tone::lightness;
use crate::tone::monotone::{Monotone, Rule};
use crate::tone::pava;

/// Steps a grey scale must have to be believed for itself.
const STEPS: usize = 8;
/// Agreement in order between steps and densities below which something is mixed up.
const ORDER: f64 = 0.9;
/// Steps nearer than this in value are one.
const SAME: f64 = 1e-6;
/// How far, in L*, a patch may lie beyond the last step before it is marked.
const BEYOND: f64 = 0.5;

/// What the values of a scan are.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Meaning {
    /// L*/100 of the picture's own light: a profile, or an answer to the question, says how code becomes light.
    Lightness,
    /// The file's code as it is; how it becomes light is not known.
    Code,
}

/// What the readings may claim.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Claim {
    /// L* by a grey scale in the picture.
    GreyScale,
    /// L* by two known greys: gain and stray light are solved, the rest is believed.
    Anchors,
    /// L* by the file's profile or the printer's answer; stray light is still in it.
    File,
    /// Only that one patch is lighter than another; the numbers are a rough guess.
    Order,
}

impl Claim {
    /// Half width, in L*, of the band that the claim leaves open (95 %): from simulated scans for the first, the stray
    /// light of a usual flatbed for the third, our own choice for the others.
    pub fn half_width(self) -> f64 {
        match self {
            Self::GreyScale => 0.3,
            Self::Anchors => 1.5,
            Self::File => 2.0,
            Self::Order => 8.0,
        }
    }
}

/// Two known greys: value in the scan and true L*, black first.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Anchors {
    /// The dark one.
    pub black: (f64, f64),
    /// The light one.
    pub white: (f64, f64),
}

/// From values (0…1) to L*.
#[derive(Clone, Debug)]
pub enum Tones {
    /// The file's own.
    File(Meaning),
    /// Light = gain · value's light − veil.
    Veiled {
        /// What the values are.
        meaning: Meaning,
        /// Gain in light.
        gain: f64,
        /// Stray light, in units of a perfect white.
        veil: f64,
    },
    /// By a grey scale.
    GreyScale {
        /// L* against value.
        curve: Monotone,
        /// First and last step: value, L*, slope.
        ends: [(f64, f64, f64); 2],
        /// Enough steps?
        full: bool,
    },
}

/// Light of a value: Y, or the code itself where nothing is known about it. A factor in light is a factor in the code of
/// any power law, so shading may be divided out of either.
pub fn light(meaning: Meaning, value: f64) -> f64 {
    match meaning {
        Meaning::Lightness => lightness::to_factor(100.0 * value),
        Meaning::Code => value,
    }
}

/// The value of a light.
pub fn value(meaning: Meaning, light: f64) -> f64 {
    match meaning {
        Meaning::Lightness => lightness::from_factor(light) / 100.0,
        Meaning::Code => light,
    }
}

impl Tones {
    /// Two known greys.
    ///
    /// # Errors
    /// [`Refusal::GreyScale`] when the light one is not lighter in both.
    pub fn anchored(meaning: Meaning, anchors: Anchors) -> Result<Self, Refusal> {
        let (dark, bright) = (light(meaning, anchors.black.0), light(meaning, anchors.white.0));
        let (low, high) = (lightness::to_factor(anchors.black.1), lightness::to_factor(anchors.white.1));
        if !(bright - dark > 1e-4 && high - low > 1e-4) {
            return Err(Refusal::GreyScale);
        }
        let gain = (high - low) / (bright - dark);
        Ok(Self::Veiled { meaning, gain, veil: gain * dark - low })
    }

    /// Gain and stray light that are known: the scanner reads (R + f·Rs)/(1 + f) of a reflectance R beside a mean
    /// surround Rs, times what makes `white` (a value) of a paper of L* `paper`.
    ///
    /// # Errors
    /// [`Refusal::GreyScale`] when these make no sense.
    pub fn flared(
        meaning: Meaning,
        white: f64,
        paper: f64,
        flare: f64,
        surround: f64,
    ) -> Result<Self, Refusal> {
        let stray = flare * surround;
        let bright = light(meaning, white);
        if !(bright > 1e-4 && (0.0..0.5).contains(&flare) && (0.0..=1.0).contains(&surround)) {
            return Err(Refusal::GreyScale);
        }
        Ok(Self::Veiled { meaning, gain: (lightness::to_factor(paper) + stray) / bright, veil: stray })
    }

    /// A grey scale: values of its steps and their densities, in the same or in the opposite order. The flag says that
    /// the densities were turned round.
    ///
    /// # Errors
    /// [`Refusal::GreyScale`] when there are fewer than three, or when values and densities do not go together.
    pub fn grey_scale(values: &[f64], densities: &[f64]) -> Result<(Self, bool), Refusal> {
        if values.len() != densities.len() || values.len() < 3 {
            return Err(Refusal::GreyScale);
        }
        // Not exp10: its table alone weighs more than this module.
        let factor = |d: &f64| math::pow(10.0, -d);
        let known: Vec<f64> = densities.iter().map(|d| lightness::from_factor(factor(d))).collect();
        if values.iter().chain(&known).any(|v| !v.is_finite()) {
            return Err(Refusal::GreyScale);
        }
        let agreement = order_agreement(values, &known);
        let turned = agreement < 0.0;
        let pairs: Vec<(f64, f64)> = if turned {
            values.iter().copied().zip(known.iter().rev().copied()).collect()
        } else {
            values.iter().copied().zip(known.iter().copied()).collect()
        };
        let agreement = if turned {
            let back: Vec<f64> = known.iter().rev().copied().collect();
            order_agreement(values, &back)
        } else {
            agreement
        };
        if agreement < ORDER {
            return Err(Refusal::GreyScale);
        }
        let order = places(&pairs.iter().map(|p| p.0).collect::<Vec<_>>());
        let pairs: Vec<(f64, f64)> = order.into_iter().map(|i| pairs[i]).collect();
        let fitted = pava::fit(&pairs.iter().map(|p| p.1).collect::<Vec<_>>(), &vec![1.0; pairs.len()]);
        let (mut x, mut y): (Vec<f64>, Vec<f64>) = (Vec::new(), Vec::new());
        for ((v, _), l) in pairs.iter().zip(fitted) {
            if x.last().is_none_or(|last| v - last > SAME) {
                x.push(*v);
                y.push(l);
            }
        }
        let curve = Monotone::new(Rule::FritschButland, &x, &y).ok_or(Refusal::GreyScale)?;
        let n = x.len();
        let secant = |a: usize, b: usize| (y[b] - y[a]) / (x[b] - x[a]);
        let ends = [(x[0], y[0], secant(0, 1)), (x[n - 1], y[n - 1], secant(n - 2, n - 1))];
        Ok((Self::GreyScale { curve, ends, full: n >= STEPS }, turned))
    }

    /// L* of a value, and whether it lies beyond what was known. Beyond a grey scale its last two steps go on straight.
    pub fn lightness(&self, v: f64) -> (f64, bool) {
        let (l, beyond) = match self {
            Self::File(meaning) => (100.0 * value(*meaning, light(*meaning, v)), false),
            Self::Veiled { meaning, gain, veil } => {
                (lightness::from_factor(gain * light(*meaning, v) - veil), false)
            }
            Self::GreyScale { curve, ends: [low, high], .. } => {
                let (end, out) = if v < low.0 { (low, true) } else { (high, v > high.0) };
                if out {
                    let l = end.1 + end.2 * (v - end.0);
                    (l, (l - end.1).abs() > BEYOND)
                } else {
                    (curve.at(v), false)
                }
            }
        };
        (l.clamp(0.0, 105.0), beyond)
    }

    /// What readings by these tones may claim.
    pub fn claim(&self) -> Claim {
        match self {
            Self::GreyScale { full: true, .. } => Claim::GreyScale,
            Self::GreyScale { .. } => Claim::Anchors,
            Self::Veiled { meaning: Meaning::Lightness, .. } => Claim::Anchors,
            Self::File(Meaning::Lightness) => Claim::File,
            Self::Veiled { .. } | Self::File(Meaning::Code) => Claim::Order,
        }
    }
}

/// Spearman's rank correlation, −1…1: do two lists rise together? (C. Spearman, American Journal of Psychology 15, 1904.)
pub fn order_agreement(a: &[f64], b: &[f64]) -> f64 {
    let (a, b) = (ranks(a), ranks(b));
    let n = a.len().min(b.len());
    let middle = (n as f64 - 1.0) / 2.0;
    let (mut ab, mut aa, mut bb) = (0.0, 0.0, 0.0);
    for (x, y) in a.iter().zip(&b) {
        ab += (x - middle) * (y - middle);
        aa += (x - middle) * (x - middle);
        bb += (y - middle) * (y - middle);
    }
    if aa > 0.0 && bb > 0.0 { ab / math::sqrt(aa * bb) } else { 0.0 }
}

/// Places in order, equal values sharing their mean place.
fn ranks(values: &[f64]) -> Vec<f64> {
    let order = places(values);
    let mut out = vec![0.0; values.len()];
    let mut i = 0;
    while i < order.len() {
        let mut j = i;
        while j + 1 < order.len() && values[order[j + 1]] <= values[order[i]] {
            j += 1;
        }
        for k in i..=j {
            out[order[k]] = f64::midpoint(i as f64, j as f64);
        }
        i = j + 1;
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use serde_json::Value;

    fn numbers(v: &Value) -> Vec<f64> {
        v.as_array().unwrap().iter().map(|v| v.as_f64().unwrap_or(f64::NAN)).collect()
    }

    /// tests/reference/scanner_flare: a scanner with gain, gamma and 1.2 % of stray light, simulated outside this project.
    #[test]
    fn a_grey_scale_undoes_gain_gamma_and_flare() {
        let data: Value = serde_json::from_str(include_str!(
            "../../../../tests/reference/scanner_flare/scanner_flare.json"
        ))
        .unwrap();
        let codes: Vec<f64> = numbers(&data["code"]).iter().map(|c| c / 65_535.0).collect();
        let densities = numbers(&data["D"]);
        let (tones, turned) = Tones::grey_scale(&codes, &densities).unwrap();
        assert!(!turned && tones.claim() == Claim::GreyScale);
        let query = numbers(&data["query_code"]);
        let (expected, exact) = (numbers(&data["L_pchip"]), numbers(&data["L_exact"]));
        let bound = data["max_abs_err"].as_f64().unwrap() + 1e-6;
        for ((q, e), x) in query.iter().zip(expected).zip(exact) {
            let (l, beyond) = tones.lightness(q / 65_535.0);
            if e.is_nan() {
                assert!(beyond);
            } else {
                assert!(!beyond && (l - e).abs() < 1e-6 && (l - x).abs() <= bound, "{q}: {l} {e} {x}");
            }
        }
        // The same scale, its densities typed from the dark end.
        let back: Vec<f64> = densities.iter().rev().copied().collect();
        let (again, turned) = Tones::grey_scale(&codes, &back).unwrap();
        assert!(turned && (again.lightness(0.5).0 - tones.lightness(0.5).0).abs() < 1e-12);
    }

    #[test]
    fn without_correction_flare_costs_what_the_vector_says() {
        let data: Value = serde_json::from_str(include_str!(
            "../../../../tests/reference/scanner_flare/scanner_flare.json"
        ))
        .unwrap();
        let expected = data["no_flare_correction_error_at_D1p45"].as_f64().unwrap();
        // Flare 1.2 % of a surround of 0.45, from the vector's note.
        let r = crate::tone::density::to_factor(1.45);
        let lifted = (r + 0.012 * 0.45) / 1.012;
        let error = lightness::from_factor(r) - lightness::from_factor(lifted);
        assert!((error - expected).abs() < 0.02, "{error} {expected}");
        let measured = value(Meaning::Lightness, lifted);
        let white = value(Meaning::Lightness, (lightness::to_factor(94.0) + 0.012 * 0.45) / 1.012);
        let tones = Tones::flared(Meaning::Lightness, white, 94.0, 0.012, 0.45).unwrap();
        assert!((tones.lightness(measured).0 - lightness::from_factor(r)).abs() < 1e-9);
        let two = Anchors { black: (measured, lightness::from_factor(r)), white: (white, 94.0) };
        let tones = Tones::anchored(Meaning::Lightness, two).unwrap();
        let grey = value(Meaning::Lightness, (0.2 + 0.012 * 0.45) / 1.012);
        assert!((tones.lightness(grey).0 - lightness::from_factor(0.2)).abs() < 1e-9);
    }

    #[test]
    fn scales_that_do_not_follow_their_densities_are_refused() {
        let densities: Vec<f64> = (0..12).map(|i| 0.05 + 0.12 * f64::from(i)).collect();
        let mut values: Vec<f64> = densities.iter().map(|d| 1.0 - 0.5 * d).collect();
        values.swap(0, 9);
        values.swap(3, 7);
        assert_eq!(Tones::grey_scale(&values, &densities).unwrap_err(), Refusal::GreyScale);
        assert_eq!(Tones::grey_scale(&values[..2], &densities[..2]).unwrap_err(), Refusal::GreyScale);
        assert_eq!(Tones::grey_scale(&[f64::NAN; 12], &densities).unwrap_err(), Refusal::GreyScale);
        assert_eq!(Tones::grey_scale(&[0.5; 12], &densities).unwrap_err(), Refusal::GreyScale);
        let upside = Anchors { black: (0.9, 20.0), white: (0.2, 94.0) };
        assert!(Tones::anchored(Meaning::Code, upside).is_err());
    }

    #[test]
    fn only_order_is_claimed_where_light_is_unknown() {
        assert_eq!(Tones::File(Meaning::Code).claim(), Claim::Order);
        assert_eq!(Tones::File(Meaning::Lightness).claim(), Claim::File);
        assert!(Claim::GreyScale.half_width() < Claim::Anchors.half_width());
        assert!((order_agreement(&[1.0, 2.0, 2.0, 5.0], &[10.0, 20.0, 20.0, 21.0]) - 1.0).abs() < 1e-12);
        assert_eq!(order_agreement(&[1.0, 1.0], &[2.0, 3.0]), 0.0);
    }
}

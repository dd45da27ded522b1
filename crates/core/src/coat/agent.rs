//! Contrast agents by amount of substance, whatever bottle they come from.
//!
//! An agent destroys iron(II) before it can reduce metal: PtCl6²⁻ + 2 Fe(II), ClO3⁻ + 6 Fe(II), H2O2 + 2 Fe(II),
//! Cr2O7²⁻ + 6 Fe(II). That explains what it does; it does not predict an exposure scale, which only strips can show.

use crate::chemistry::{Amount, Formula, Molarity, Salt, Strength};
use crate::constant::{Basis, Constant};
use crate::estimate::Estimate;
use crate::math::{exp2, log2, sqrt};
use crate::note::Note;
use crate::quantity::Volume;
use crate::tone::pava;

const SERIES: &str = "S. King, series with dichromate in the developer, public photographic forum: palladium 15 % and iron(III) \
     oxalate 27 % 1:1, two coats, 5 % K2Cr2O7 in potassium oxalate";

/// Exposure scale of the published series at 0.170 mmol dichromate a litre of developer.
pub const SCALE_AT_LEAST: Constant = Constant::published(1.789, "log H", 4, SERIES);
/// What a doubling takes from it.
pub const SCALE_PER_DOUBLING: Constant = Constant::published(0.1374, "log H", 4, SERIES);
/// How far a print of the series lies from that line at most.
pub const SCALE_OFF: Constant = Constant::published(0.021, "log H", 2, SERIES);
/// Least dichromate of the series.
pub const DICHROMATE_LEAST: Constant = Constant::published(0.170, "mmol/L developer", 3, SERIES);
/// Most dichromate of the series.
pub const DICHROMATE_MOST: Constant = Constant::published(5.439, "mmol/L developer", 4, SERIES);
/// How well an exposure scale is read from one strip (one standard deviation).
pub const READ: Constant = Constant::choice(0.05, "log H", 1, "a third of a step of 0.15; no source");

/// Rounding of the published amounts, so that their own ends count as inside.
const EDGE: f64 = 1.001;
/// Interval of about 95 %, in standard deviations.
const WIDE: f64 = 2.0;

/// Iron(II) that one formula destroys. `None` if it is no agent known here.
#[must_use]
pub fn iron_destroyed(formula: &str) -> Option<f64> {
    match formula {
        "Na2PtCl6" | "Na2PtCl6·6H2O" | "H2O2" => Some(2.0),
        "KClO3" | "K2Cr2O7" | "(NH4)2Cr2O7" => Some(6.0),
        "HAuCl4·3H2O" => Some(3.0),
        _ => None,
    }
}

/// Iron(II) that a volume of an agent's solution destroys.
#[must_use]
pub fn equivalents(formula: &str, strength: Strength, volume: Volume) -> Option<Amount> {
    let molar = Formula::parse(formula).ok()?.molar_mass();
    let all = strength.molarity(molar) * volume * iron_destroyed(formula)?;
    all.to_mol().is_finite().then_some(all)
}

/// Volume of a solution that brings an amount of agent. `None` when the solution brings none.
#[must_use]
pub fn volume(amount: Amount, solution: Molarity) -> Option<Volume> {
    let litres = amount.to_mol() / solution.to_mol_per_litre();
    (litres.is_finite() && litres >= 0.0).then(|| Volume::from_ml(litres * 1e3))
}

/// mol Pt(IV)/L of a hexachloroplatinate solution: by whether its label counts the six waters, else the interval between
/// both with the middle as value.
#[must_use]
pub fn platinum_iv(strength: Strength, hexahydrate: Option<bool>) -> Estimate {
    let of = |salt: Salt| strength.molarity(salt.molar_mass()).to_mol_per_litre();
    let wet = of(Salt::SodiumHexachloroplatinateHexahydrate);
    let dry = of(Salt::SodiumHexachloroplatinate);
    let [low, high] = match hexahydrate {
        Some(true) => [wet, wet],
        Some(false) => [dry, dry],
        None => [wet, dry],
    };
    Estimate { low, value: (low + high) / 2.0, high, basis: Basis::Definition }
}

/// mmol chlorate to one mol iron when the part `share` (0..=1) of the iron solution holds `chlorate` % w/v KClO3;
/// `iron` in mol/L, see [`crate::chemistry::iron`]. `None` without iron.
#[must_use]
pub fn chlorate_to_iron(chlorate: Strength, share: f64, iron: Estimate) -> Option<Estimate> {
    let molar = Formula::parse("KClO3").ok()?.molar_mass();
    let mmol = 1e3 * share * chlorate.molarity(molar).to_mol_per_litre();
    let fine = mmol.is_finite() && mmol >= 0.0 && iron.low > 0.0 && iron.high.is_finite();
    fine.then(|| iron.map(|fe| mmol / fe))
}

/// mmol dichromate a litre of developer, from mL of a stock added to a litre.
#[must_use]
pub fn dichromate(ml_per_litre: f64, stock: Strength) -> f64 {
    let molar = Formula::parse("K2Cr2O7").unwrap_or_default().molar_mass();
    ml_per_litre * stock.molarity(molar).to_mol_per_litre()
}

/// Exposure scale of the published dichromate series; `None` outside it, where nothing is known.
#[must_use]
pub fn published_scale(mmol_per_litre: f64) -> Option<Estimate> {
    let [least, most] = [DICHROMATE_LEAST.value / EDGE, DICHROMATE_MOST.value * EDGE];
    (least..=most).contains(&mmol_per_litre).then(|| {
        let doublings = log2(mmol_per_litre / DICHROMATE_LEAST.value);
        let scale = SCALE_AT_LEAST.value - SCALE_PER_DOUBLING.value * doublings;
        Estimate::plus_minus(scale, SCALE_OFF.value, Basis::Published)
    })
}

/// mmol dichromate a litre of developer for an exposure scale of the published series; `None` outside it.
#[must_use]
pub fn published_dichromate(scale: f64) -> Option<f64> {
    let mmol = DICHROMATE_LEAST.value * exp2((SCALE_AT_LEAST.value - scale) / SCALE_PER_DOUBLING.value);
    published_scale(mmol).map(|_| mmol)
}

/// Exposure scale at an amount of agent from the printer's own strips (amount, scale): never rising with the amount,
/// straight between two strips, nothing beyond them. The band is twice the scatter of the strips, at least that of reading.
///
/// # Errors
/// The note for `strips`: fewer than two amounts, or none on one side.
pub fn own_scale(strips: &[(f64, f64)], amount: f64) -> Result<Estimate, Note> {
    let mut strips: Vec<(f64, f64)> =
        strips.iter().copied().filter(|(a, s)| a.is_finite() && s.is_finite() && *a >= 0.0).collect();
    strips.sort_by(|a, b| a.0.total_cmp(&b.0));
    // Readings of one amount become one place with their mean.
    let mut places: Vec<(f64, f64, f64)> = Vec::new();
    for &(a, s) in &strips {
        match places.last_mut() {
            Some((at, mean, n)) if *at == a => {
                *n += 1.0;
                *mean += (s - *mean) / *n;
            }
            _ => places.push((a, s, 1.0)),
        }
    }
    let [Some(first), Some(last)] = [places.first(), places.last()].map(|p| p.map(|p| p.0)) else {
        return Err(two_strips());
    };
    if places.len() < 2 {
        return Err(two_strips());
    }
    if !(first..=last).contains(&amount) {
        return Err(Note::error(
            "strips",
            "No strip was printed with that little or that much agent.",
            "Print one there, or stay between the strips.",
        ));
    }
    let falling: Vec<f64> = places.iter().map(|p| -p.1).collect();
    let weight: Vec<f64> = places.iter().map(|p| p.2).collect();
    let scales: Vec<f64> = pava::fit(&falling, &weight).into_iter().map(|s| -s).collect();
    let at = |x: f64| {
        let i = places.partition_point(|p| p.0 < x).clamp(1, places.len() - 1);
        let part = (x - places[i - 1].0) / (places[i].0 - places[i - 1].0);
        scales[i - 1] + (scales[i] - scales[i - 1]) * part.clamp(0.0, 1.0)
    };
    let n = u32::try_from(strips.len()).unwrap_or(u32::MAX);
    let square: f64 = strips.iter().map(|&(a, s)| (s - at(a)) * (s - at(a))).sum();
    let free = (f64::from(n) - 2.0).max(1.0);
    let spread = sqrt(square / free).max(READ.value);
    Ok(Estimate::plus_minus(at(amount), WIDE * spread, Basis::Measured { n }))
}

fn two_strips() -> Note {
    Note::error(
        "strips",
        "What this agent does is not known for you.",
        "Print two strips, one without it and one with it, and type their exposure scales.",
    )
}

/// Advice to dilute an agent that comes in few drops.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dilute {
    /// What one drop more or less changes now, as a part: 1 for a single drop.
    pub miscount: f64,
    /// Parts of water to one of the solution.
    pub water: f64,
    /// Drops then.
    pub drops: f64,
    /// What one drop more or less changes then.
    pub then: f64,
    /// Water that comes into the mix with them, in drops.
    pub more: f64,
}

/// Counts from which on a slip of one drop is small enough.
const ENOUGH: f64 = 5.0;
/// Counts to aim at.
const AIM: f64 = 8.0;
/// Dilutions that are easily made: one part in so many.
const WHOLES: [f64; 6] = [2.0, 4.0, 5.0, 10.0, 20.0, 50.0];

/// The advice to dilute, if fewer than five drops are counted; the gentlest easy dilution that gives eight or more.
#[must_use]
pub fn dilute(drops: f64) -> Option<Dilute> {
    if !(drops > 0.0 && drops < ENOUGH) {
        return None;
    }
    let whole = WHOLES.into_iter().find(|w| drops * w >= AIM).unwrap_or(WHOLES[5]);
    let then = drops * whole;
    Some(Dilute {
        miscount: (1.0 / drops).min(1.0),
        water: whole - 1.0,
        drops: then,
        then: (1.0 / then).min(1.0),
        more: then - drops,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chemistry::iron;
    use crate::testing::test;

    fn vectors() -> serde_json::Value {
        serde_json::from_str(include_str!("../../../../tests/reference/printing-literature/vectors.json"))
            .unwrap()
    }

    fn n(v: &serde_json::Value) -> f64 {
        v.as_f64().unwrap()
    }

    #[test]
    fn dichromate_in_the_developer() {
        let v = &vectors()["dichromate"];
        let stock = Strength::from_percent(n(&v["stock_percent"]));
        let rows = v["rows"].as_array().unwrap();
        let mut largest: f64 = 0.0;
        for row in rows {
            let [ml, mg, mmol, scale] = [0, 1, 2, 3].map(|i| n(&row[i]));
            assert!(((stock * Volume::from_ml(ml)).to_mg() - mg).abs() < 1e-9);
            assert!((dichromate(ml, stock) - mmol).abs() < 5.1e-4, "{row}");
            let found = published_scale(dichromate(ml, stock)).unwrap();
            // The line's own residual, in three decimals.
            assert!((found.value - scale).abs() < n(&v["fit"]["largest_residual"]) + 5e-4, "{row} {found:?}");
            largest = largest.max((found.value - scale).abs());
        }
        assert!((largest - n(&v["fit"]["largest_residual"])).abs() < 1.5e-3, "{largest}");
        for row in v["inverse"].as_array().unwrap() {
            let ml = published_dichromate(n(&row[0])).unwrap() / dichromate(1.0, stock);
            assert!((ml - n(&row[1])).abs() < 0.051, "{row}: {ml}");
        }
        assert_eq!(published_scale(0.1), None);
        assert_eq!(published_scale(11.0), None);
        assert_eq!(published_scale(f64::NAN), None);
        assert_eq!(published_dichromate(2.0), None);
        assert_eq!(published_dichromate(0.9), None);
    }

    #[test]
    fn the_line_is_the_least_squares_line() {
        let v = &vectors()["dichromate"];
        let rows = v["rows"].as_array().unwrap();
        let points: Vec<(f64, f64)> = rows.iter().map(|r| (log2(n(&r[0])), n(&r[3]))).collect();
        let len = 6.0;
        let mean = |f: fn(&(f64, f64)) -> f64| points.iter().map(f).sum::<f64>() / len;
        let (x, y) = (mean(|p| p.0), mean(|p| p.1));
        let slope = points.iter().map(|p| (p.0 - x) * (p.1 - y)).sum::<f64>()
            / points.iter().map(|p| (p.0 - x) * (p.0 - x)).sum::<f64>();
        assert!((slope + SCALE_PER_DOUBLING.value).abs() < 5.1e-5, "{slope}");
        assert!((y - slope * x - SCALE_AT_LEAST.value).abs() < 5.1e-4, "{}", y - slope * x);
    }

    #[test]
    fn what_a_drop_destroys() {
        for row in vectors()["drop_equivalents_micromol"].as_array().unwrap() {
            let agent = row["agent"].as_str().unwrap();
            let drop = Volume::from_ml(0.05);
            let found =
                equivalents(agent, Strength::from_percent(n(&row["percent"])), drop).unwrap().to_micromol();
            assert!((found / n(&row["value"]) - 1.0).abs() < 5e-3, "{row}: {found}");
        }
        assert_eq!(equivalents("NaCl", Strength::from_percent(1.0), Volume::from_ml(1.0)), None);
    }

    #[test]
    fn amounts_whatever_the_bottle() {
        // 5 % is 0.1102 mol/L without water and 0.0890 with six; 24 % apart.
        let open = platinum_iv(Strength::from_percent(5.0), None);
        assert!((open.low - 0.0890).abs() < 5e-5 && (open.high - 0.1102).abs() < 5e-5);
        assert!((open.high / open.low - 1.238).abs() < 5e-4);
        assert_eq!(platinum_iv(Strength::from_percent(5.0), Some(true)).value, open.low);
        let v = volume(Amount::from_micromol(11.02), Molarity::from_mol_per_litre(0.1102)).unwrap();
        assert!((v.to_ml() - 0.1).abs() < 1e-9);
        assert_eq!(volume(Amount::from_micromol(1.0), Molarity::from_mol_per_litre(0.0)), None);
        // All iron with 0.456 % chlorate, 27 % pentahydrate: 37.2 mmol to 1.159 mol.
        let fe = iron::ferric_oxalate(Strength::from_percent(27.0), Some(5));
        let r = chlorate_to_iron(Strength::from_percent(0.456), 1.0, fe).unwrap();
        assert!((r.value - 37.2 / 1.159).abs() < 0.05, "{r:?}");
        let half = chlorate_to_iron(Strength::from_percent(0.456), 0.5, fe).unwrap();
        assert!((half.value * 2.0 - r.value).abs() < 1e-9);
    }

    #[test]
    fn own_strips_with_their_band() {
        assert!(own_scale(&[], 1.0).is_err());
        assert!(own_scale(&[(0.0, 2.0), (0.0, 1.9)], 0.0).unwrap_err().mend.contains("two strips"));
        let strips = [(2.0, 1.5), (0.0, 2.0), (2.0, 1.6), (4.0, 1.6)];
        let at = |x| own_scale(&strips, x).unwrap();
        assert_eq!(at(0.0).value, 2.0);
        // 1.55 (twice) and 1.6 rise, so they become one level, their mean by number.
        assert!((at(3.0).value - 4.7 / 3.0).abs() < 1e-12);
        assert!((at(1.0).value - (2.0 + 4.7 / 3.0) / 2.0).abs() < 1e-12);
        assert_eq!(at(1.0).basis, Basis::Measured { n: 4 });
        assert!(at(1.0).high - at(1.0).low > 0.19);
        assert!(own_scale(&strips, 5.0).is_err() && own_scale(&strips, f64::NAN).is_err());
    }

    #[test]
    fn few_drops_are_to_be_diluted() {
        let one = dilute(1.0).unwrap();
        assert_eq!((one.miscount, one.water, one.drops, one.then), (1.0, 9.0, 10.0, 0.1));
        let two = dilute(2.0).unwrap();
        assert_eq!((two.miscount, two.water, two.drops, two.more), (0.5, 3.0, 8.0, 6.0));
        assert_eq!(dilute(5.0), None);
        assert_eq!(dilute(0.0), None);
        assert_eq!(dilute(f64::NAN), None);
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn the_series_comes_back(mmol in 0.170..5.439f64) {
            let scale = published_scale(mmol).unwrap();
            prop_assert!((published_dichromate(scale.value).unwrap() / mmol - 1.0).abs() < 1e-9);
        }

        #[test]
        fn strips_never_rise_and_order_does_not_matter(mut strips in prop::collection::vec((0.0..10.0f64, 0.5..2.5f64), 2..12), x in 0.0..10.0f64, y in 0.0..10.0f64) {
            let (a, b) = (own_scale(&strips, x.min(y)), own_scale(&strips, x.max(y)));
            if let (Ok(a), Ok(b)) = (&a, &b) {
                prop_assert!(a.value >= b.value - 1e-12);
            }
            strips.reverse();
            let again = own_scale(&strips, x.min(y));
            prop_assert_eq!(a.is_ok(), again.is_ok());
            if let (Ok(a), Ok(again)) = (a, again) {
                prop_assert!((a.value - again.value).abs() < 1e-9 && a.low < a.value && a.value < a.high);
            }
        }

        #[test]
        fn diluting_keeps_the_amount(drops in 0.05..20.0f64) {
            if let Some(d) = dilute(drops) {
                prop_assert!((d.drops / (d.water + 1.0) - drops).abs() < 1e-12);
                prop_assert!(d.then < d.miscount && (d.more - (d.drops - drops)).abs() < 1e-12);
            }
        }
    }
}

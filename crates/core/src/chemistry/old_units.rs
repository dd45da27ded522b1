//! Grains, minims, drachms and fluid ounces of old recipes, imperial and US.

use super::Strength;
use crate::constant::Constant;
use crate::entry::{self, EntryError};
use crate::note::Note;
use crate::quantity::{Mass, Volume};

/// The grain, the same in every old system of weights.
pub const GRAIN: Constant =
    Constant::exact(0.064_798_91, "g", "international yard and pound agreement, 1959");
/// The imperial fluid ounce.
pub const FLUID_OUNCE_IMPERIAL: Constant = Constant::exact(
    28.413_062_5,
    "mL",
    "a gallon of 4.54609 L in 160 parts; Weights and Measures Act 1985, schedule 1",
);
/// The US fluid ounce.
pub const FLUID_OUNCE_US: Constant = Constant::exact(
    29.573_529_562_5,
    "mL",
    "a gallon of 231 cubic inches in 128 parts; NIST Handbook 44, appendix C",
);
/// The troy ounce in grains; metals are priced by it.
pub const TROY_OUNCE: Constant = Constant::exact(480.0, "grains", "ISO 31-3:1992");

/// Whose fluid ounces.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum System {
    /// British: 20 fluid ounces a pint.
    #[default]
    Imperial,
    /// United States: 16 fluid ounces a pint.
    Us,
}

impl System {
    /// One fluid ounce.
    #[must_use]
    pub const fn fluid_ounce(self) -> Constant {
        match self {
            Self::Imperial => FLUID_OUNCE_IMPERIAL,
            Self::Us => FLUID_OUNCE_US,
        }
    }
}

/// An amount as an old recipe gives it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum OldAmount {
    /// Weighed.
    Mass(Mass),
    /// Measured.
    Volume(Volume),
}

/// Why a text is no amount or strength.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum OldError {
    /// The number cannot be read.
    Entry(EntryError),
    /// The unit is not known here.
    Unit(String),
    /// Below zero.
    Negative,
    /// Not solid in liquid: grains an ounce, grams a litre, parts in parts.
    NotAStrength,
}

impl OldError {
    /// The note for the field `name`, whose label is `label`.
    #[must_use]
    pub fn note(&self, name: &str, label: &str) -> Note {
        let (text, mend) = match self {
            Self::Entry(e) => return e.note(name, label),
            Self::Unit(unit) if unit.is_empty() => (
                [label, " has no unit."].concat(),
                "Type one behind the number: grains, minims, drachms, ounces, g or mL.",
            ),
            Self::Unit(unit) => (
                [label, " has a unit that is not known here: ", unit, "."].concat(),
                "Use grains, scruples, minims, drachms, ounces, pints, g or mL.",
            ),
            Self::Negative => ([label, " is below zero."].concat(), "Type a number from zero up."),
            Self::NotAStrength => (
                [label, " is not a strength."].concat(),
                "Type it like 120 grains/oz, 1 in 6, 200 g/L or 20 %.",
            ),
        };
        Note::error(name, text, mend)
    }
}

/// What a unit counts in.
#[derive(Clone, Copy, PartialEq)]
enum Of {
    Grains,
    FluidOunces,
    Grams,
    Millilitres,
}

/// Names without points, and what one is.
const UNITS: [(&[&str], Of, f64); 20] = [
    (&["gr", "grn", "grs", "grain", "grains"], Of::Grains, 1.0),
    (&["scruple", "scruples"], Of::Grains, 20.0),
    (&["dr", "drs", "dram", "drams", "drachm", "drachms"], Of::Grains, 60.0),
    (&["oz", "ozs", "ounce", "ounces", "ozav", "avoirdupoisounce", "avoirdupoisounces"], Of::Grains, 437.5),
    (&["ozap", "ozt", "troyounce", "troyounces", "apothecaries'ounce"], Of::Grains, TROY_OUNCE.value),
    (&["lb", "lbs", "pound", "pounds"], Of::Grains, 7000.0),
    (&["min", "m", "minim", "minims"], Of::FluidOunces, 1.0 / 480.0),
    (
        &[
            "fldr",
            "fldrs",
            "fldrachm",
            "fldrachms",
            "fldram",
            "fldrams",
            "fluiddrachm",
            "fluiddrachms",
            "fluiddram",
            "fluiddrams",
        ],
        Of::FluidOunces,
        0.125,
    ),
    (&["floz", "flozs", "fluidounce", "fluidounces"], Of::FluidOunces, 1.0),
    (&["mg"], Of::Grams, 1e-3),
    (&["g", "gm", "gms", "gram", "grams", "gramme", "grammes"], Of::Grams, 1.0),
    (&["kg"], Of::Grams, 1e3),
    (&["ml", "cc", "ccm", "cm³", "cm3"], Of::Millilitres, 1.0),
    (&["l", "litre", "litres", "liter", "liters"], Of::Millilitres, 1e3),
    // Sizes that differ between the systems, as imperial and as US fluid ounces.
    (&["gill", "gills"], Of::FluidOunces, 5.0),
    (&["pt", "pint", "pints"], Of::FluidOunces, 20.0),
    (&["qt", "quart", "quarts"], Of::FluidOunces, 40.0),
    (&["gal", "gallon", "gallons"], Of::FluidOunces, 160.0),
    // What a unit of weight means when a liquid is measured.
    (&["dr", "drs", "dram", "drams", "drachm", "drachms"], Of::FluidOunces, 0.125),
    (&["oz", "ozs", "ounce", "ounces"], Of::FluidOunces, 1.0),
];
/// First row whose size differs between the systems, and first row that only liquids know.
const DIFFER: usize = 14;
const LIQUID: usize = 18;
/// The same sizes are four fifths as many ounces in the United States.
const US_PART: f64 = 0.8;

fn unit(name: &str, system: System, liquid: bool) -> Result<OldAmount, OldError> {
    let name: String = name.chars().filter(|c| *c != '.').collect();
    let known = |i: &usize| UNITS[*i].0.contains(&name.as_str());
    let found = if liquid { (0..UNITS.len()).rev().find(known) } else { (0..LIQUID).find(known) };
    let Some(row) = found else { return Err(OldError::Unit(name)) };
    let (_, of, mut size) = UNITS[row];
    if (DIFFER..LIQUID).contains(&row) && system == System::Us {
        size *= US_PART;
    }
    Ok(match of {
        Of::Grains => OldAmount::Mass(Mass::from_g(size * GRAIN.value)),
        Of::Grams => OldAmount::Mass(Mass::from_g(size)),
        Of::FluidOunces => OldAmount::Volume(Volume::from_ml(size * system.fluid_ounce().value)),
        Of::Millilitres => OldAmount::Volume(Volume::from_ml(size)),
    })
}

/// Reads an amount: `120 grains`, `2 1/2 oz`, `30 minims`, `6 drs`, also `5 g` and `20 cc`. For a liquid, ounces and
/// drachms are fluid ones. An ounce of a solid is the common (avoirdupois) ounce of 437.5 grains.
///
/// # Errors
/// Says what is the matter with the text; never panics.
pub fn read(text: &str, system: System, liquid: bool) -> Result<OldAmount, OldError> {
    let typed = entry::parse(text).map_err(OldError::Entry)?;
    if typed.value < 0.0 {
        return Err(OldError::Negative);
    }
    let out = match unit(&typed.unit, system, liquid)? {
        OldAmount::Mass(m) => (OldAmount::Mass(m * typed.value), m.to_g() * typed.value),
        OldAmount::Volume(v) => (OldAmount::Volume(v * typed.value), v.to_ml() * typed.value),
    };
    if out.1.is_finite() { Ok(out.0) } else { Err(OldError::Entry(EntryError::OutOfRange)) }
}

/// Reads a strength: `120 grains/oz`, `2 gr per fl oz`, `1 in 6`, `200 g/L`, `27 %`. Below the stroke ounces are fluid
/// ones, and a missing number is one. Parts in parts are grams in millilitres of the whole.
///
/// # Errors
/// Says what is the matter with the text; never panics.
pub fn read_strength(text: &str, system: System) -> Result<Strength, OldError> {
    let text = text.trim();
    let words = [" per ", " to the ", " to ", " in ", " an ", " a ", ":"];
    let cut = words.iter().find_map(|w| text.split_once(w)).or_else(|| {
        // A stroke before a digit belongs to a fraction.
        let at = text.rfind('/')?;
        let below = text[at + 1..].trim_start();
        (!below.starts_with(|c: char| c.is_ascii_digit())).then(|| (&text[..at], below))
    });
    let percent = match cut {
        None => {
            let typed = entry::parse(text).map_err(OldError::Entry)?;
            if typed.unit != "%" {
                return Err(OldError::NotAStrength);
            }
            typed.value
        }
        Some((above, below)) => {
            let below = below.trim();
            let bare = |t: &str| entry::parse(t).ok().filter(|t| t.unit.is_empty()).map(|t| t.value);
            if let (Some(a), Some(b)) = (bare(above), bare(below)) {
                100.0 * a / b
            } else {
                let numbered = below.starts_with(|c: char| c.is_ascii_digit() || c == '.');
                let whole = if numbered { below.to_owned() } else { ["1 ", below].concat() };
                match (read(above, system, false)?, read(&whole, system, true)?) {
                    (OldAmount::Mass(m), OldAmount::Volume(v)) => 100.0 * m.to_g() / v.to_ml(),
                    _ => return Err(OldError::NotAStrength),
                }
            }
        }
    };
    match percent {
        p if !p.is_finite() => Err(OldError::Entry(EntryError::OutOfRange)),
        p if p < 0.0 => Err(OldError::Negative),
        p => Ok(Strength::from_percent(p)),
    }
}

/// % w/v of so many grains in a fluid ounce.
#[must_use]
pub fn grains_per_ounce(grains: f64, system: System) -> Strength {
    Strength::from_percent(100.0 * grains * GRAIN.value / system.fluid_ounce().value)
}

/// A price a troy ounce of metal as a price a gram.
#[must_use]
pub fn price_per_gram(per_troy_ounce: f64) -> f64 {
    per_troy_ounce / (TROY_OUNCE.value * GRAIN.value)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn vectors() -> serde_json::Value {
        serde_json::from_str(include_str!("../../../../tests/reference/old-measures/vectors.json")).unwrap()
    }

    fn ml(text: &str, system: System) -> f64 {
        match read(text, system, true) {
            Ok(OldAmount::Volume(v)) => v.to_ml(),
            other => panic!("{text}: {other:?}"),
        }
    }

    fn grams(text: &str) -> f64 {
        match read(text, System::Imperial, false) {
            Ok(OldAmount::Mass(m)) => m.to_g(),
            other => panic!("{text}: {other:?}"),
        }
    }

    #[test]
    fn measures_as_defined() {
        let v = vectors();
        assert_eq!(GRAIN.value, v["grain_g"].as_f64().unwrap());
        assert_eq!(FLUID_OUNCE_IMPERIAL.value, v["fluid_ounce_imperial_ml"].as_f64().unwrap());
        assert_eq!(FLUID_OUNCE_US.value, v["fluid_ounce_us_ml"].as_f64().unwrap());
        assert!((ml("1 minim", System::Imperial) - v["minim_imperial_ml"].as_f64().unwrap()).abs() < 5e-8);
        assert!(
            (ml("1 fl. dr.", System::Imperial) - v["fluid_drachm_imperial_ml"].as_f64().unwrap()).abs()
                < 5e-6
        );
        // A drachm of a liquid is a fluid one; of a solid it is weighed.
        assert_eq!(ml("1 drachm", System::Imperial), ml("1 fluid drachm", System::Imperial));
        assert!((grams("1 drachm") / grams("60 gr") - 1.0).abs() < 1e-15);
        assert!((grams("1 oz") / grams("437.5 grains") - 1.0).abs() < 1e-15);
        // A pint: 568.26125 mL imperial (20 ounces), 473.176473 mL in the United States (16 ounces).
        assert!((ml("1 pint", System::Imperial) - 568.261_25).abs() < 1e-9);
        assert!((ml("1 pint", System::Us) - 473.176_473).abs() < 1e-9);
        assert_eq!(ml("2 1/2 cc", System::Us), 2.5);
    }

    #[test]
    fn where_27_percent_comes_from() {
        let v = vectors();
        for row in v["strengths"].as_array().unwrap() {
            let text = row["text"].as_str().unwrap();
            let half = match row["digits"].as_u64() {
                Some(1) => 0.0501,
                Some(3) => 0.000_501,
                _ => 0.005_01,
            };
            for (key, system) in [("imperial", System::Imperial), ("us", System::Us)] {
                let Some(expected) = row[key].as_f64() else { continue };
                let found = read_strength(text, system).unwrap().to_percent();
                assert!((found - expected).abs() < half, "{text}: {found}");
            }
        }
        let direct = grains_per_ounce(120.0, System::Imperial);
        assert!((direct / read_strength("120 gr/oz", System::Imperial).unwrap() - 1.0).abs() < 1e-14);
        assert!((read_strength("1 in 6", System::Us).unwrap().to_percent() - 100.0 / 6.0).abs() < 1e-12);
        assert_eq!(read_strength("200 g/L", System::Us), Ok(Strength::from_percent(20.0)));
        assert_eq!(read_strength("27 %", System::Us), Ok(Strength::from_percent(27.0)));
        let half_ounce = read_strength("1/2 oz to 10 oz", System::Imperial).unwrap().to_percent();
        assert!(
            (half_ounce - 50.0 * 437.5 * GRAIN.value / (10.0 * FLUID_OUNCE_IMPERIAL.value)).abs() < 1e-12
        );
    }

    #[test]
    fn what_cannot_be_read_says_why() {
        let amount = |t| read(t, System::Imperial, false).unwrap_err();
        assert_eq!(amount("3 pennies"), OldError::Unit("pennies".into()));
        assert_eq!(amount("3"), OldError::Unit(String::new()));
        assert_eq!(amount("-3 gr"), OldError::Negative);
        assert_eq!(amount(""), OldError::Entry(EntryError::Empty));
        let strength = |t| read_strength(t, System::Imperial).unwrap_err();
        assert_eq!(strength("20"), OldError::NotAStrength);
        assert_eq!(strength("2 oz/pound"), OldError::NotAStrength);
        assert_eq!(strength("1 in 0"), OldError::Entry(EntryError::OutOfRange));
        let note = amount("3 pennies").note("iron", "The iron");
        assert!(note.field == "iron" && note.text.contains("pennies") && !note.mend.is_empty());
    }

    #[test]
    fn metal_by_the_troy_ounce() {
        let v: serde_json::Value =
            serde_json::from_str(include_str!("../../../../tests/reference/noble-metal-cost/vectors.json"))
                .unwrap();
        let n = |v: &serde_json::Value| v.as_f64().unwrap();
        assert!((TROY_OUNCE.value * GRAIN.value - n(&v["troy_ounce_g"])).abs() < 1e-12);
        for row in v["prices"].as_array().unwrap() {
            assert!(
                (price_per_gram(n(&row["price_per_ozt"])) - n(&row["price_per_g_metal"])).abs() < 5.01e-7
            );
        }
        for row in v["prints"].as_array().unwrap() {
            let formula = super::super::Formula::parse(row["formula"].as_str().unwrap()).unwrap();
            let metal = super::super::Element::of(row["metal"].as_str().unwrap()).unwrap();
            let salt = Strength::from_percent(n(&row["percent"])) * Volume::from_ml(n(&row["ml"]));
            let grams = salt.to_g() * formula.fraction(metal);
            assert!((grams - n(&row["metal_g"])).abs() < 1.01e-6, "{row}: {grams}");
            let value = price_per_gram(n(&row["price_per_ozt"])) * grams;
            assert!((value - n(&row["value"])).abs() < 5.1e-5, "{row}: {value}");
        }
        for (formula, fraction) in v["metal_fractions"].as_object().unwrap() {
            let f = super::super::Formula::parse(formula).unwrap();
            use super::super::Element::{Ag, Au, Pd, Pt};
            let found: f64 = [Pt, Pd, Au, Ag].iter().map(|&e| f.fraction(e)).sum();
            assert!((found / n(fraction) - 1.0).abs() < 1e-5, "{formula}: {found}");
        }
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn any_text_is_an_amount_or_an_error(text in "(\\PC{0,12}|[0-9./ ]{0,5}(gr|oz|dr|min|pint|%)?( per |/| in )?[0-9]{0,2}(oz|L|pint)?)", us in any::<bool>(), liquid in any::<bool>()) {
            let system = if us { System::Us } else { System::Imperial };
            if let Ok(s) = read_strength(&text, system) {
                prop_assert!(s.to_percent().is_finite() && s.to_percent() >= 0.0);
            }
            match read(&text, system, liquid) {
                Ok(OldAmount::Mass(m)) => prop_assert!(m.to_g().is_finite() && m.to_g() >= 0.0),
                Ok(OldAmount::Volume(v)) => prop_assert!(v.to_ml().is_finite() && v.to_ml() >= 0.0),
                Err(_) => {}
            }
        }

        #[test]
        fn grains_an_ounce_are_proportional(grains in 0.1..1000.0f64, k in 0.1..10.0f64) {
            let one = grains_per_ounce(grains, System::Imperial);
            prop_assert!((grains_per_ounce(grains * k, System::Imperial) / one / k - 1.0).abs() < 1e-12);
            // The imperial ounce is the smaller, so its solution is the stronger.
            prop_assert!(one > grains_per_ounce(grains, System::Us));
        }
    }
}

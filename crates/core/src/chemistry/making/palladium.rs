//! Palladium solution from palladium(II) chloride and a common chloride: PdCl2 + 2 MCl → M2PdCl4.

use super::{Made, Weighed, make_up, pure, sane, weighing};
use crate::chemistry::{Amount, Element, Formula, Molarity, Strength, hazard};
use crate::constant::Constant;
use crate::note::Note;
use crate::quantity::Volume;
use crate::show::Units;
use crate::working::Working;

/// Warm enough to dissolve it, at least.
pub const WARM: Constant = Constant::practice(60.0, "°C", 1, "common practice, no source; 60 to 90 °C");
/// Chloride beyond what the reaction needs, to begin with.
pub const EXCESS: Constant = Constant::practice(5.0, "%", 1, "0 to 10 % are common, no source");

/// A chloride that takes palladium(II) chloride into solution.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Chloride {
    /// Its name.
    pub name: &'static str,
    /// Its formula.
    pub formula: &'static str,
    /// What comes of it.
    pub product: &'static str,
    /// What to know of it.
    pub advice: &'static str,
}

/// Sodium first, the usual one.
pub const CHLORIDES: [Chloride; 4] = [
    Chloride {
        name: "sodium chloride",
        formula: "NaCl",
        product: "Na2PdCl4",
        advice: "Take pure salt: table salt may hold iodide and anti-caking powder.",
    },
    Chloride {
        name: "lithium chloride",
        formula: "LiCl",
        product: "Li2PdCl4",
        advice: "Lithium chloride draws water from the air while it is weighed: work fast, from a full, dry jar.",
    },
    Chloride {
        name: "ammonium chloride",
        formula: "NH4Cl",
        product: "(NH4)2PdCl4",
        advice: "For printing-out with ammonium iron(III) oxalate. Keep it from chlorate.",
    },
    Chloride {
        name: "potassium chloride",
        formula: "KCl",
        product: "K2PdCl4",
        advice: "The potassium salt dissolves least of the four: crystals in a cold bottle go when it is warmed.",
    },
];

/// How strong it shall be.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Wanted {
    /// % w/v of the complex without water, as bottles are sold.
    Complex(Strength),
    /// Moles of palladium a litre, the same for every chloride.
    Palladium(Molarity),
}

/// A palladium solution that is wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wish {
    /// Which chloride.
    pub chloride: Chloride,
    /// The palladium chloride is the dihydrate.
    pub dihydrate: bool,
    /// Part of what is weighed that is palladium chloride of this form, 0..=1; see [`purity`].
    pub purity: f64,
    /// Chloride beyond what the reaction needs, as a part of it, 0..=1.
    pub excess: f64,
    /// How strong.
    pub wanted: Wanted,
    /// How much.
    pub volume: Volume,
}

const DRY: &str = "PdCl2";
const WET: &str = "PdCl2·2H2O";

const fn source(dihydrate: bool) -> &'static str {
    if dihydrate { WET } else { DRY }
}

/// Purity from the palladium in percent that a label gives (59 to 60 % is common): that by what the formula holds.
#[must_use]
pub fn purity(palladium_percent: f64, dihydrate: bool) -> Option<f64> {
    let whole = Formula::parse(source(dihydrate)).ok()?.fraction(Element::Pd);
    let part = palladium_percent / 100.0 / whole;
    // A label may round up a little.
    (part > 0.0 && part <= 1.005).then_some(part.min(1.0))
}

/// Makes a palladium solution.
///
/// # Errors
/// The note for `strength`, `volume`, `purity` or `excess` if there is no answer.
pub fn make(wish: &Wish, units: Units) -> Result<Made, Note> {
    let Wish { chloride, volume, .. } = *wish;
    pure("purity", wish.purity)?;
    if !(0.0..=1.0).contains(&wish.excess) {
        return Err(Note::error(
            "excess",
            "The chloride beyond the reaction is below 0 or above 100 %.",
            "Type 0 to 10 %; published recipes go up to 60 %.",
        ));
    }
    let form = source(wish.dihydrate);
    let parsed = [form, chloride.formula, chloride.product]
        .map(|f| Formula::parse(f).unwrap_or_default().molar_mass());
    let [of_source, of_chloride, of_product] = parsed;
    let molarity = match wish.wanted {
        Wanted::Complex(s) => s.molarity(of_product),
        Wanted::Palladium(m) => m,
    };
    let strength = molarity.strength(of_product);
    sane(volume, strength.to_percent())?;
    if strength.to_percent() > 100.0 {
        return Err(Note::error(
            "strength",
            "No palladium solution is that strong.",
            "Type grams of the complex in 100 mL; 15 % is usual.",
        ));
    }
    let amount: Amount = molarity * volume;
    let palladium = amount * of_source / wish.purity;
    let salt = amount * 2.0 * (1.0 + wish.excess) * of_chloride;
    let mut notes = Vec::new();
    let weighed = vec![
        Weighed { name: "palladium(II) chloride".into(), formula: form.into(), mass: palladium },
        Weighed { name: chloride.name.into(), formula: chloride.formula.into(), mass: salt },
    ];
    weighing(&weighed, &mut notes);
    notes.push(Note::hint("chloride", chloride.advice));
    notes.push(Note::hint(
        "form",
        "Take the dry salt. Palladium solution for plating holds free acid, which makes prints grainy and hard to clear.",
    ));
    let mut working = Working::new("bottle");
    let g = |x: f64| [&units.figures(x, 4), " g"].concat();
    let mmol = [&units.figures(amount.to_mol() * 1e3, 4), " mmol"].concat();
    working.step(
        "palladium",
        "mol/L × volume",
        [
            &units.figures(molarity.to_mol_per_litre(), 4),
            " mol/L; ",
            &units.figures(volume.to_ml(), 4),
            " mL",
        ]
        .concat(),
        mmol.clone(),
    );
    let molar = |m: super::super::MolarMass| [&units.figures(m.to_g_per_mol(), 6), " g/mol"].concat();
    let weights = "atomic weights: IUPAC/CIAAW 2021";
    working.sourced(
        "palladium(II) chloride",
        "amount × M / purity",
        [&mmol, "; ", &molar(of_source), "; ", &units.figures(100.0 * wish.purity, 4), " %"].concat(),
        g(palladium.to_g()),
        weights,
    );
    working.sourced(
        chloride.name,
        "2 × amount × M × (1 + excess)",
        [&mmol, "; ", &molar(of_chloride), "; ", &units.figures(100.0 * wish.excess, 3), " %"].concat(),
        g(salt.to_g()),
        weights,
    );
    working.constant("chloride beyond the reaction, to begin with", &EXCESS);
    let steps = [
        "Put on gloves and goggles, stop draughts, and weigh both salts without raising dust.",
        "Dissolve the chloride in about two thirds of the distilled water.",
        "Add the palladium chloride, cover, and keep at 60 to 90 °C, stirring, until it is dissolved: 10 to 60 minutes.",
        "A dark red-brown liquid without grains is ready; grains that stay want more time, then a little more chloride.",
        "Let it cool, filter, and rinse the filter with a little water into the bottle.",
    ];
    let mut steps: Vec<String> = steps.map(str::to_owned).into();
    steps.push(make_up(volume, units));
    Ok(Made {
        content: "palladium".into(),
        strength,
        counted: chloride.product.into(),
        molarity: Some(molarity),
        volume,
        weighed,
        poured: None,
        steps,
        warm: Some(WARM),
        cautions: vec![hazard::Kind::Palladium.caution()],
        codes: hazard::codes(DRY),
        keeps: "In the dark: without limit; crystals go when it is warmed",
        notes,
        working,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn wish(i: usize, wanted: Wanted) -> Wish {
        Wish {
            chloride: CHLORIDES[i],
            dihydrate: false,
            purity: 1.0,
            excess: 0.0,
            wanted,
            volume: Volume::from_ml(100.0),
        }
    }

    fn grams(w: &Wish) -> [f64; 2] {
        let made = make(w, Units::default()).unwrap();
        [made.weighed[0].mass.to_g(), made.weighed[1].mass.to_g()]
    }

    #[test]
    fn grams_for_each_chloride() {
        // 100 mL of 15 % complex, and 100 mL with 0.5099 mol/L palladium; from the molar masses.
        let fifteen = [[9.041, 5.959], [10.148, 4.852], [9.356, 5.644], [8.148, 6.852]];
        let same = [[9.041, 5.959], [9.041, 4.323], [9.041, 5.454], [9.041, 7.602]];
        for i in 0..4 {
            let [a, b] = grams(&wish(i, Wanted::Complex(Strength::from_percent(15.0))));
            assert!((a - fifteen[i][0]).abs() < 6e-4 && (b - fifteen[i][1]).abs() < 6e-4, "{i}: {a} {b}");
            // Without excess the two are the complex and nothing else.
            assert!((a + b - 15.0).abs() < 1e-9);
            let [a, b] = grams(&wish(i, Wanted::Palladium(Molarity::from_mol_per_litre(0.509_857))));
            assert!((a - same[i][0]).abs() < 6e-4 && (b - same[i][1]).abs() < 6e-4, "{i}: {a} {b}");
        }
    }

    #[test]
    fn chlorides_as_in_the_reference() {
        let v: serde_json::Value = serde_json::from_str(include_str!(
            "../../../../../tests/reference/palladate-stoichiometry/vectors.json"
        ))
        .unwrap();
        for c in CHLORIDES {
            let parse = |f: &str| Formula::parse(f).unwrap();
            let row = v["vectors"]
                .as_array()
                .unwrap()
                .iter()
                .find(|r| parse(r["chloride"].as_str().unwrap()) == parse(c.formula));
            // The published set has no potassium; its mass is checked above.
            let Some(row) = row else {
                assert_eq!(c.formula, "KCl");
                continue;
            };
            let w = Wish { chloride: c, ..wish(0, Wanted::Palladium(Molarity::from_mol_per_litre(0.1))) };
            let [a, b] = grams(&w);
            let expected = row["chloride_g"].as_f64().unwrap() / row["PdCl2_g"].as_f64().unwrap();
            assert!((b / a / expected - 1.0).abs() < 1e-4, "{row}");
        }
    }

    #[test]
    fn the_study_of_1995_backwards() {
        // 9.5 g of the dihydrate in 100 mL are 0.4453 mol/L, with 3.19 mol of sodium chloride to one: 8.3 g.
        let v: serde_json::Value = serde_json::from_str(include_str!(
            "../../../../../tests/reference/printing-literature/vectors.json"
        ))
        .unwrap();
        let n = |k: &str| v["palladium_study"][k].as_f64().unwrap();
        let mut w = wish(0, Wanted::Palladium(Molarity::from_mol_per_litre(n("mol_per_litre"))));
        w.dihydrate = true;
        w.excess = n("chloride_to_pd") / 2.0 - 1.0;
        let [pd, salt] = grams(&w);
        assert!((pd - n("palladium_chloride_dihydrate_g")).abs() < 0.005, "{pd}");
        assert!((salt - n("chloride_g")).abs() < 0.05, "{salt}");
    }

    #[test]
    fn purity_from_the_label() {
        assert!((purity(60.0, false).unwrap() - 0.999_74).abs() < 1e-5);
        assert_eq!(purity(60.2, false), Some(1.0));
        assert_eq!(purity(60.0, true), None);
        assert_eq!(purity(0.0, false), None);
        let mut w = wish(0, Wanted::Complex(Strength::from_percent(15.0)));
        let whole = grams(&w);
        w.purity = 0.5;
        let half = grams(&w);
        assert!((half[0] / whole[0] - 2.0).abs() < 1e-12 && half[1] == whole[1]);
    }

    #[test]
    fn bad_wishes_name_their_field() {
        let good = wish(0, Wanted::Complex(Strength::from_percent(15.0)));
        let field = |w: Wish| make(&w, Units::default()).unwrap_err().field;
        assert_eq!(field(Wish { wanted: Wanted::Complex(Strength::from_percent(0.0)), ..good }), "strength");
        assert_eq!(
            field(Wish { wanted: Wanted::Palladium(Molarity::from_mol_per_litre(9.0)), ..good }),
            "strength"
        );
        assert_eq!(field(Wish { volume: Volume::from_ml(0.0), ..good }), "volume");
        assert_eq!(field(Wish { excess: -0.1, ..good }), "excess");
        assert_eq!(field(Wish { purity: f64::NAN, ..good }), "purity");
        let made = make(&good, Units::default()).unwrap();
        assert_eq!(made.label(Units::default())[1], "15 % w/v Na2PdCl4");
        assert_eq!((made.steps.len(), made.codes), (6, ["H290", "H302"].as_slice()));
    }
}

//! A solution of a solid that is not in the list, by the formula on its label.

use super::{Made, Weighed, make_up, pure, sane, weighing};
use crate::chemistry::{Formula, Strength, hazard, lab, solubility};
use crate::note::Note;
use crate::quantity::{Temperature, Volume};
use crate::show::Units;
use crate::working::Working;

/// What is wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wish<'a> {
    /// What the printer calls it; empty for its formula.
    pub name: &'a str,
    /// Its formula, with its water.
    pub formula: &'a str,
    /// Part of what is weighed that is this solid, 0..=1.
    pub purity: f64,
    /// How strong, counted as this solid.
    pub strength: Strength,
    /// How much.
    pub volume: Volume,
    /// How cold the bottle will stand.
    pub room: Temperature,
}

/// Makes it. Nobody here knows how it dissolves or keeps, and the notes say so.
///
/// # Errors
/// The note for `formula`, `strength`, `volume` or `purity`.
pub fn make(wish: &Wish<'_>, units: Units) -> Result<Made, Note> {
    let formula = Formula::parse(wish.formula).map_err(|e| e.note("formula", "The formula"))?;
    sane(wish.volume, wish.strength.to_percent())?;
    pure("purity", wish.purity)?;
    let Some(mass) = lab::weigh(wish.strength, wish.volume, wish.purity) else {
        return Err(Note::error(
            "strength",
            "There is no such bottle.",
            "Check strength, volume and purity.",
        ));
    };
    let written = wish.formula.trim().to_owned();
    let name = if wish.name.trim().is_empty() { written.clone() } else { wish.name.trim().to_owned() };
    let weighed = vec![Weighed { name: name.clone().into(), formula: written.clone().into(), mass }];
    let mut notes = vec![Note::hint(
        "formula",
        "Nobody here knows how this dissolves, keeps or hurts: the sheet supplied with it says so.",
    )];
    weighing(&weighed, &mut notes);
    if let Some(limit) = solubility::limit(&written, wish.room).filter(|l| wish.strength > l.high) {
        let most = units.figures(limit.high.to_percent(), 2);
        let at = units.temperature(wish.room);
        notes.push(Note::warning(
            "strength",
            ["That will not all dissolve at ", &at, ": about ", &most, " % w/v is the most."].concat(),
            "Make it weaker, or keep and use it warm.",
        ));
    }
    let mut working = Working::new("bottle");
    working.step(
        "to weigh",
        "strength × volume / purity",
        [
            &units.figures(wish.strength.to_percent(), 4),
            " % w/v; ",
            &units.figures(wish.volume.to_ml(), 4),
            " mL; ",
            &units.figures(100.0 * wish.purity, 4),
            " %",
        ]
        .concat(),
        [&units.figures(mass.to_g(), 4), " g"].concat(),
    );
    let molar = formula.molar_mass();
    working.sourced(
        "molar mass",
        "sum of the atoms",
        written.clone(),
        [&units.figures(molar.to_g_per_mol(), 6), " g/mol"].concat(),
        "atomic weights: IUPAC/CIAAW 2021",
    );
    let water = units.figures(wish.volume.to_ml() * 0.7, 2);
    Ok(Made {
        content: name.into(),
        strength: wish.strength,
        codes: hazard::codes(&written),
        counted: written.into(),
        molarity: Some(wish.strength.molarity(molar)),
        volume: wish.volume,
        weighed,
        poured: None,
        steps: vec![
            "Put on gloves and goggles, stop draughts, and weigh the powder without raising dust.".to_owned(),
            ["Take about ", &water, " mL of distilled water and stir the powder in by small portions."]
                .concat(),
            make_up(wish.volume, units),
        ],
        warm: None,
        cautions: vec![],
        keeps: "Not known here",
        notes,
        working,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn wish(formula: &str) -> Wish<'_> {
        Wish {
            name: "",
            formula,
            purity: 0.98,
            strength: Strength::from_percent(5.0),
            volume: Volume::from_ml(200.0),
            room: Temperature::from_celsius(20.0),
        }
    }

    #[test]
    fn by_any_formula() {
        let made = make(&wish("KClO3"), Units::default()).unwrap();
        assert!((made.weighed[0].mass.to_g() - 10.0 / 0.98).abs() < 1e-12);
        // 50 g/L of 122.545 g/mol.
        assert!((made.molarity.unwrap().to_mol_per_litre() - 50.0 / 122.545).abs() < 1e-3);
        assert!(made.codes.contains(&"H271"));
    }

    #[test]
    fn more_than_dissolves_is_said() {
        // 34.0 g of potassium chloride to 100 g of water at 20 °C: between 27 and 31 % w/v.
        let warned = |percent: f64| {
            let wish = Wish { strength: Strength::from_percent(percent), ..wish("KCl") };
            make(&wish, Units::default()).unwrap().notes.iter().any(|n| n.field == "strength")
        };
        assert!(!warned(25.0) && warned(40.0));
    }

    #[test]
    fn what_is_no_formula_says_so() {
        for bad in ["", "Xy2", "K2(C2O4", "water"] {
            assert_eq!(make(&wish(bad), Units::default()).unwrap_err().field, "formula", "{bad}");
        }
        let none = Wish { purity: 1.2, ..wish("KBr") };
        assert_eq!(make(&none, Units::default()).unwrap_err().field, "purity");
    }
}

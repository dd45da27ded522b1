//! A solution of one solid, from the powder in any hydrate and purity or from a stronger bottle.

use super::{Made, Stock, Weighed, begin, make_up, pure, sane, weighing};
use crate::chemistry::{Formula, Strength, hazard, lab, solubility};
use crate::constant::Basis;
use crate::note::Note;
use crate::quantity::{Temperature, Volume};
use crate::show::Units;
use crate::working::Working;

/// Percentages above this are slips of the finger.
const MOST: f64 = 200.0;
/// Water to begin with, as a part of the final volume.
const FIRST_WATER: f64 = 0.7;

/// Which form the wanted strength counts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Counted {
    /// What is on the shelf, as its label says.
    AsSold,
    /// Another form, as a recipe says.
    As(&'static str),
}

/// What it is made from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum From {
    /// The powder.
    Powder {
        /// One of the stock's forms; empty if the stock has none.
        form: &'static str,
        /// Part of what is weighed that is this form, 0..=1.
        purity: f64,
    },
    /// A stronger solution.
    Bottle {
        /// The form its label counts.
        form: &'static str,
        /// Its strength.
        strength: Strength,
    },
}

/// A bottle that is wanted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Wish {
    /// Of what.
    pub stock: &'static Stock,
    /// From what.
    pub from: From,
    /// How strong.
    pub strength: Strength,
    /// What the strength counts.
    pub counted: Counted,
    /// How much.
    pub volume: Volume,
    /// How cold the bottle will stand.
    pub room: Temperature,
}

/// Makes a bottle. Warnings never withhold the grams.
///
/// # Errors
/// The note for `strength`, `volume`, `purity` or `form` if there is no answer.
pub fn make(wish: &Wish, units: Units) -> Result<Made, Note> {
    let Wish { stock, strength, volume, .. } = *wish;
    sane(volume, strength.to_percent())?;
    if strength.to_percent() > MOST {
        return Err(Note::error(
            "strength",
            "No solution holds that much in 100 mL.",
            "Type grams in 100 mL of the finished solution.",
        ));
    }
    let form = match wish.from {
        From::Powder { form, .. } | From::Bottle { form, .. } => form,
    };
    let counted = match wish.counted {
        Counted::AsSold => form,
        Counted::As(form) => form,
    };
    let [sold, wanted] = [known(stock, form)?, known(stock, counted)?];
    // The same moles in what is on the shelf.
    let factor = match (&sold, &wanted) {
        (Some(sold), Some(wanted)) => lab::hydrate_factor(wanted, sold).unwrap_or(1.0),
        _ => 1.0,
    };
    let own = strength * factor;
    let mut notes = Vec::new();
    let mut working = Working::new("bottle");
    let percent = |s: Strength| [&units.figures(s.to_percent(), 4), " % w/v"].concat();
    let volume_text = [&units.figures(volume.to_ml(), 4), " mL"].concat();
    if form != counted {
        let molar =
            |f: &Option<Formula>| units.figures(f.as_ref().map_or(0.0, |f| f.molar_mass().to_g_per_mol()), 6);
        working.sourced(
            "same moles in another form",
            "strength × M(have) / M(counted)",
            [&percent(strength), " ", counted, "; ", &molar(&sold), " / ", &molar(&wanted), " g/mol"]
                .concat(),
            [&percent(own), " ", form].concat(),
            "atomic weights: IUPAC/CIAAW 2021",
        );
    }
    let (mut weighed, mut poured, mut steps) = (Vec::new(), None, Vec::new());
    match wish.from {
        From::Powder { purity, .. } => {
            pure("purity", purity)?;
            let Some(mass) = lab::weigh(own, volume, purity) else { return Err(no_answer()) };
            working.step(
                "to weigh",
                "strength × volume / purity",
                [&percent(own), "; ", &volume_text, "; ", &units.figures(100.0 * purity, 4), " %"].concat(),
                [&units.figures(mass.to_g(), 4), " g"].concat(),
            );
            weighed.push(Weighed { name: stock.name.into(), formula: form.into(), mass });
            weighing(&weighed, &mut notes);
            steps.push(begin(stock.kind));
            let water = units.figures(volume.to_ml() * FIRST_WATER, 2);
            steps.push(match stock.warm {
                Some(warm) => {
                    let t = units.temperature(Temperature::from_celsius(warm.value));
                    ["Warm about ", &water, " mL of distilled water to ", &t, "."].concat()
                }
                None => ["Take about ", &water, " mL of distilled water."].concat(),
            });
            steps
                .push("Stir the powder in by small portions until nothing is left at the bottom.".to_owned());
            if stock.warm.is_some() {
                steps.push("Let it cool to room temperature: warm liquid measures too large.".to_owned());
            }
        }
        From::Bottle { strength: have, .. } => {
            let Some(part) = lab::dilute(have, own, volume) else {
                return Err(Note::error(
                    "strength",
                    "The bottle is weaker than what is wanted.",
                    "Make it from the powder, or type a lower strength.",
                ));
            };
            working.step(
                "to pour",
                "volume × wanted / have",
                [&volume_text, "; ", &percent(own), " / ", &percent(have)].concat(),
                [&units.figures(part.to_ml(), 4), " mL"].concat(),
            );
            poured = Some(part);
            steps.push("Put on gloves and goggles, and measure the stronger solution.".to_owned());
        }
    }
    steps.push(make_up(volume, units));
    if !stock.advice.is_empty() {
        notes.push(Note::hint("", stock.advice));
    }
    if sold.is_none() {
        notes.push(no_formula(stock));
    }
    dissolves(wish, &wanted, units, &mut notes);
    Ok(Made {
        content: stock.name.into(),
        strength,
        counted: counted.into(),
        molarity: wanted.map(|f| strength.molarity(f.molar_mass())),
        volume,
        weighed,
        poured,
        steps,
        warm: stock.warm.filter(|_| poured.is_none()),
        cautions: vec![stock.kind.caution()],
        // What was read for one form holds for the others too.
        codes: stock.forms.iter().map(|f| hazard::codes(f)).find(|c| !c.is_empty()).unwrap_or_default(),
        keeps: stock.keeps,
        notes,
        working,
    })
}

fn no_answer() -> Note {
    Note::error("strength", "There is no such bottle.", "Check strength, volume and purity.")
}

/// The formula of a form; none where the stock has none.
fn known(stock: &Stock, form: &str) -> Result<Option<Formula>, Note> {
    if stock.forms.is_empty() {
        return Ok(None);
    }
    stock.form(form).map(Some).ok_or_else(|| {
        Note::error(
            "form",
            "This is not sold in that form.",
            "Choose the formula that stands on the label, with its water.",
        )
    })
}

fn no_formula(stock: &Stock) -> Note {
    if stock.name.starts_with("ammonium") {
        Note::hint("form", "This salt has no fixed formula. Its iron goes by the percentage on the label.")
    } else {
        Note::hint(
            "form",
            "The water in iron(III) oxalate is seldom known, so 27 % may hold 1.12 to 1.44 mol of iron a litre. Stay with \
             one supply, or type its waters.",
        )
    }
}

/// Whether it stays dissolved, as far as that is published.
fn dissolves(wish: &Wish, counted: &Option<Formula>, units: Units, notes: &mut Vec<Note>) {
    let stock = wish.stock;
    let (Some(counted), Ok(dry)) = (counted, Formula::parse(stock.dry)) else { return };
    let Some(limit) = solubility::limit(stock.dry, wish.room) else { return };
    let Some(back) = lab::hydrate_factor(&dry, counted) else { return };
    let [low, high] = [limit.low, limit.high].map(|s| s * back);
    let about = if low == high {
        units.figures(high.to_percent(), 2)
    } else {
        [&units.figures(low.to_percent(), 2), "–", &units.figures(high.to_percent(), 2)].concat()
    };
    let at = units.temperature(wish.room);
    let known = if limit.basis == Basis::Published { "" } else { ", from memory" };
    let text =
        |what: &str| [what, " at ", &at, ": about ", &about, " % w/v is the most", known, "."].concat();
    if wish.strength > high {
        notes.push(Note::warning(
            "strength",
            text("That will not all dissolve, or not stay dissolved,"),
            "Make it weaker, or keep and use it warm.",
        ));
    } else if wish.strength > low {
        notes.push(Note::warning(
            "strength",
            text("That is close to what dissolves"),
            "Crystals may grow in a cold bottle; warm it until they are gone.",
        ));
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::note::Severity;
    use crate::testing::test;

    fn wish(name: &str, form: &'static str, percent: f64, ml: f64) -> Wish {
        Wish {
            stock: Stock::named(name).unwrap(),
            from: From::Powder { form, purity: 1.0 },
            strength: Strength::from_percent(percent),
            counted: Counted::AsSold,
            volume: Volume::from_ml(ml),
            room: Temperature::from_celsius(20.0),
        }
    }

    fn grams(wish: &Wish) -> f64 {
        make(wish, Units::default()).unwrap().weighed[0].mass.to_g()
    }

    #[test]
    fn published_grams() {
        let v: serde_json::Value =
            serde_json::from_str(include_str!("../../../../../tests/reference/lab-arithmetic/vectors.json"))
                .unwrap();
        for row in v["wv_make_up"].as_array().unwrap() {
            let n = |k: &str| row[k].as_f64().unwrap();
            let g = grams(&wish("potassium citrate", "K3C6H5O7·H2O", n("percent_wv"), n("final_ml")));
            assert!((g - n("solute_g")).abs() < 1e-9, "{row}");
        }
        for row in v["purity"].as_array().unwrap() {
            let n = |k: &str| row[k].as_f64().unwrap();
            let mut w = wish("silver nitrate", "AgNO3", n("percent_wv"), n("final_ml"));
            w.from = From::Powder { form: "AgNO3", purity: n("assay") };
            assert!((grams(&w) / n("weigh_g") - 1.0).abs() < 1e-8, "{row}");
        }
        // 20 g of citric acid monohydrate are 18.2854 g without water.
        let mut w = wish("citric acid", "C6H8O7", 20.0, 100.0);
        w.counted = Counted::As("C6H8O7·H2O");
        assert!((grams(&w) - 18.2854).abs() < 1e-4 * 18.3);
    }

    #[test]
    fn a_bottle_from_a_bottle() {
        let mut w = wish("sodium hexachloroplatinate(IV)", "Na2PtCl6·6H2O", 5.0, 100.0);
        w.from = From::Bottle { form: "Na2PtCl6·6H2O", strength: Strength::from_percent(20.0) };
        let made = make(&w, Units::default()).unwrap();
        assert_eq!(made.poured.map(Volume::to_ml), Some(25.0));
        assert!(made.weighed.is_empty() && made.codes.is_empty() && !made.cautions.is_empty());
        assert!((made.molarity.unwrap().to_mol_per_litre() - 0.0890).abs() < 5e-5);
        w.strength = Strength::from_percent(25.0);
        assert_eq!(make(&w, Units::default()).unwrap_err().field, "strength");
    }

    #[test]
    fn what_will_not_dissolve_is_said_and_made() {
        let notes = |w: &Wish| make(w, Units::default()).unwrap().notes;
        let warned =
            |w: &Wish| notes(w).iter().any(|n| n.field == "strength" && n.severity == Severity::Warning);
        // 33 % of the monohydrate is the most at 20 °C; chlorate takes 7.2 g to 100 g of water.
        assert!(!warned(&wish("potassium oxalate", "K2C2O4·H2O", 30.0, 1000.0)));
        assert!(warned(&wish("potassium oxalate", "K2C2O4·H2O", 40.0, 1000.0)));
        assert!(warned(&wish("potassium oxalate", "K2C2O4", 31.0, 1000.0)));
        assert!(!warned(&wish("potassium chlorate", "KClO3", 3.0, 100.0)));
        assert!(warned(&wish("potassium chlorate", "KClO3", 10.0, 100.0)));
        assert!(!warned(&wish("potassium dichromate", "K2Cr2O7", 5.0, 100.0)));
        let dry = make(&wish("potassium oxalate", "K2C2O4", 20.0, 10.0), Units::default()).unwrap();
        assert_eq!(dry.codes, hazard::codes("K2C2O4·H2O"));
        // Nothing published, nothing said.
        assert!(!warned(&wish("potassium tetrachloroplatinate(II)", "K2PtCl4", 20.0, 25.0)));
    }

    #[test]
    fn salts_without_a_formula_have_no_moles() {
        for (name, word) in
            [("ammonium iron(III) citrate", "no fixed formula"), ("iron(III) oxalate", "1.12 to 1.44")]
        {
            let made = make(&wish(name, "", 25.0, 100.0), Units::default()).unwrap();
            assert_eq!((made.molarity, made.weighed[0].mass.to_g()), (None, 25.0));
            assert!(made.notes.iter().any(|n| n.text.contains(word)), "{name}");
        }
    }

    #[test]
    fn bad_wishes_name_their_field() {
        let field = |w: Wish| make(&w, Units::default()).unwrap_err().field;
        assert_eq!(field(wish("citric acid", "C6H8O7", 0.0, 100.0)), "strength");
        assert_eq!(field(wish("citric acid", "C6H8O7", 500.0, 100.0)), "strength");
        assert_eq!(field(wish("citric acid", "C6H8O7", f64::NAN, 100.0)), "strength");
        assert_eq!(field(wish("citric acid", "C6H8O7", 5.0, -1.0)), "volume");
        assert_eq!(field(wish("citric acid", "NaCl", 5.0, 100.0)), "form");
        let mut w = wish("citric acid", "C6H8O7", 5.0, 100.0);
        w.from = From::Powder { form: "C6H8O7", purity: 0.0 };
        assert_eq!(field(w), "purity");
    }

    #[test]
    fn the_label_says_content_strength_and_danger() {
        let made = make(&wish("potassium dichromate", "K2Cr2O7", 5.0, 100.0), Units::default()).unwrap();
        let label = made.label(Units::default());
        assert_eq!(label[..3], ["potassium dichromate", "5 % w/v K2Cr2O7", "0.17 mol/L"]);
        assert!(label.iter().any(|l| l == "H350 May cause cancer"));
        assert!(made.cautions[0].contains("cancer"));
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use crate::chemistry::making::STOCKS;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn every_form_gives_the_same_moles(stock in 0..STOCKS.len(), percent in 0.1..60.0f64, ml in 1.0..2000.0f64, purity in 0.5..=1.0f64, room in -5.0..60.0f64) {
            let stock = &STOCKS[stock];
            for &form in stock.forms {
                let wish = Wish {
                    stock,
                    from: From::Powder { form, purity },
                    strength: Strength::from_percent(percent),
                    counted: Counted::As(stock.forms[0]),
                    volume: Volume::from_ml(ml),
                    room: Temperature::from_celsius(room),
                };
                let made = make(&wish, Units::default()).unwrap();
                let moles = made.weighed[0].mass * purity / stock.form(form).unwrap().molar_mass();
                let wanted = made.molarity.unwrap() * made.volume;
                prop_assert!((moles / wanted - 1.0).abs() < 1e-12);
                // Twice the volume takes twice the powder.
                let twice = make(&Wish { volume: Volume::from_ml(2.0 * ml), ..wish }, Units::default()).unwrap();
                prop_assert!((twice.weighed[0].mass / made.weighed[0].mass - 2.0).abs() < 1e-12);
            }
        }
    }
}

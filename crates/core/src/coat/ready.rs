//! Recipes that are ready: parts, where their numbers come from, and the baths that belong to them.

use super::{IRON, PALLADIUM, PLATINUM, Preset};
use crate::baths::{STARTING, Starting};
use crate::constant::{Basis, Constant};
use crate::note::Note;
use crate::quantity::Volume;

/// One part of a recipe.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ReadyPart {
    /// What the bottle holds.
    pub content: &'static str,
    /// Formula its strength counts; empty if there is none.
    pub formula: &'static str,
    /// Its strength to begin with.
    pub strength: Constant,
    /// Volumes of it.
    pub volumes: Constant,
}

/// A recipe the printer can take and change.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ready {
    /// Its name.
    pub name: &'static str,
    /// What is mixed.
    pub parts: &'static [ReadyPart],
    /// Developer, clearing, wash.
    pub baths: &'static [Starting],
    /// Where its numbers come from.
    pub source: &'static str,
    /// What to know before taking it.
    pub remark: &'static str,
    /// Platinum among the metals in %, where the coat station mixes it by itself.
    pub share: Option<&'static str>,
}

const TRADE: &str = "common practice, no source; change it to your own";
const MEMORY: &str = "from memory, not looked up; change it to your own";
const PRINT_OUT: &str =
    "M. J. Ware, web notes on platino-palladiotype: grams and mixture; volumes from memory";
const CYANOTYPE: &str =
    "M. J. Ware, web notes on cyanotype: 25 g and 10 g in 100 mL each, mixed in equal volumes";
/// What is said of every recipe that only serves to practise.
const PRACTISE: &str = "For practising film, contact and coating on cheap sheets. Neither its time nor its correction carries \
     over to platinum and palladium. Keep its brushes and trays apart.";

const fn volumes(n: f64) -> Constant {
    Constant::practice(n, "volumes", 1, TRADE)
}

const fn remembered(value: f64, unit: &'static str, digits: u8) -> Constant {
    Constant { value, unit, digits, basis: Basis::FromMemory, source: MEMORY }
}

const fn part(content: &'static str, formula: &'static str, strength: Constant, n: f64) -> ReadyPart {
    ReadyPart { content, formula, strength, volumes: volumes(n) }
}

const FERRIC: ReadyPart = part("iron(III) oxalate", "", IRON, 1.0);
const PD: ReadyPart = part("palladium", "Na2PdCl4", PALLADIUM, 1.0);
const PT: ReadyPart = part("platinum", "K2PtCl4", PLATINUM, 1.0);

const fn bath(
    name: &'static str,
    contents: &'static str,
    strength: &'static [(Constant, Constant)],
    minutes: f64,
    remark: &'static str,
) -> Starting {
    Starting { name, contents, strength, celsius: None, minutes: remembered(minutes, "min", 1), remark }
}

const fn one(value: f64) -> (Constant, Constant) {
    let c = remembered(value, "% w/v", 2);
    (c, c)
}

const WASH: Starting = bath("Wash", "running water", &[], 30.0, "");

/// All of them, the default first.
pub static READY: [Ready; 6] = [
    Ready {
        name: "Palladium with iron(III) oxalate",
        parts: &[FERRIC, PD],
        baths: &STARTING,
        source: TRADE,
        remark: "Warm and long in scale; forgiving of papers.",
        share: Some("0"),
    },
    Ready {
        name: "Platinum and palladium",
        parts: &[ReadyPart { volumes: volumes(2.0), ..FERRIC }, PD, PT],
        baths: &STARTING,
        source: TRADE,
        remark: "More platinum is cooler, harder, slower and less forgiving of papers. Any share may be set.",
        share: Some("50"),
    },
    Ready {
        name: "Platinum",
        parts: &[FERRIC, PT],
        baths: &STARTING,
        source: TRADE,
        remark: "The most demanding of papers. Warm the platinum bottle if it has crystals.",
        share: Some("100"),
    },
    Ready {
        name: "Palladium printed out, with ammonium salts",
        parts: &[
            ReadyPart {
                content: "ammonium iron(III) oxalate",
                formula: "(NH4)3Fe(C2O4)3·3H2O",
                strength: Constant {
                    value: 1.40,
                    unit: "mol/L",
                    digits: 3,
                    basis: Basis::FromMemory,
                    source: PRINT_OUT,
                },
                volumes: Constant::published(1.0, "volumes", 1, PRINT_OUT),
            },
            ReadyPart {
                content: "palladium",
                formula: "(NH4)2PdCl4",
                strength: Constant {
                    value: 0.677,
                    unit: "mol/L",
                    digits: 3,
                    basis: Basis::FromMemory,
                    source: PRINT_OUT,
                },
                volumes: Constant::published(1.0, "volumes", 1, PRINT_OUT),
            },
        ],
        baths: &[
            bath(
                "Clearing, first",
                "disodium EDTA",
                &[one(5.0)],
                10.0,
                "No developer: the picture is whole when it is taken out",
            ),
            bath("Sulfite", "sodium sulfite", &[one(2.5)], 10.0, ""),
            bath("Clearing, second", "tetrasodium EDTA", &[one(5.0)], 10.0, ""),
            WASH,
        ],
        source: PRINT_OUT,
        remark: "The paper must be damp: humidity sets colour and depth. Judge the picture by eye while it prints. No contrast \
                 agent with platinum(IV) and no chlorate: ammonium throws the one down and makes the other dangerous.",
        share: None,
    },
    Ready {
        name: "Cyanotype",
        parts: &[
            ReadyPart {
                content: "ammonium iron(III) citrate",
                formula: "",
                strength: Constant::published(25.0, "% w/v", 2, CYANOTYPE),
                volumes: Constant::published(1.0, "volumes", 1, CYANOTYPE),
            },
            ReadyPart {
                content: "potassium hexacyanoferrate(III)",
                formula: "K3Fe(CN)6",
                strength: Constant::published(10.0, "% w/v", 2, CYANOTYPE),
                volumes: Constant::published(1.0, "volumes", 1, CYANOTYPE),
            },
        ],
        baths: &[bath("Wash", "water", &[], 15.0, "Until no yellow is left; nothing alkaline")],
        source: CYANOTYPE,
        remark: PRACTISE,
        share: None,
    },
    Ready {
        name: "Kallitype",
        parts: &[
            ReadyPart { strength: remembered(20.0, "% w/v", 2), ..FERRIC },
            part("silver nitrate", "AgNO3", remembered(10.0, "% w/v", 2), 1.0),
        ],
        baths: &[
            bath("Developer", "sodium citrate", &[one(20.0)], 5.0, ""),
            bath("Acid clearing", "citric acid", &[one(3.0)], 4.0, ""),
            bath(
                "Fixer",
                "sodium thiosulfate",
                &[one(5.0)],
                2.0,
                "Rinse first: acid and thiosulfate give off sulfur dioxide",
            ),
            bath("Sulfite", "sodium sulfite", &[one(1.0)], 3.0, ""),
            WASH,
        ],
        source: MEMORY,
        remark: PRACTISE,
        share: None,
    },
];

impl Ready {
    /// What the coat station starts from, where it mixes this by itself.
    #[must_use]
    pub fn preset(&self) -> Option<Preset> {
        self.share.map(|share| Preset { share: share.into(), ..Preset::default() })
    }

    /// Its parts for a volume of coating, in their order.
    #[must_use]
    pub fn volumes(&self, coating: Volume) -> Vec<Volume> {
        let shares: Vec<f64> = self.parts.iter().map(|p| p.volumes.value).collect();
        share_out(coating, &shares).unwrap_or_default()
    }
}

/// Volumes that stand to each other as `parts` and together make `coating`.
///
/// # Errors
/// The note for `parts` if one is below zero or not a number, or all are zero.
pub fn share_out(coating: Volume, parts: &[f64]) -> Result<Vec<Volume>, Note> {
    let sum: f64 = parts.iter().sum();
    let fine = parts.iter().all(|p| *p >= 0.0) && sum > 0.0 && sum.is_finite();
    if !fine {
        return Err(Note::error(
            "parts",
            "The parts of this recipe do not add up to anything.",
            "Give each part a number from zero up, and one of them more than zero.",
        ));
    }
    Ok(parts.iter().map(|p| coating * (p / sum)).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chemistry::Formula;
    use crate::testing::test;

    #[test]
    fn every_recipe_is_whole() {
        for ready in &READY {
            assert!(
                !ready.parts.is_empty() && !ready.baths.is_empty() && !ready.source.is_empty(),
                "{}",
                ready.name
            );
            assert!(ready.parts.iter().all(|p| p.strength.value > 0.0 && p.volumes.value > 0.0));
            for p in ready.parts.iter().filter(|p| !p.formula.is_empty()) {
                assert!(Formula::parse(p.formula).is_ok(), "{}", p.formula);
            }
            // Every bath names as many strengths as contents, or none for water.
            for b in ready.baths {
                let contents = b.contents.split('+').count();
                assert!(b.strength.is_empty() || b.strength.len() == contents, "{}", b.name);
            }
            let sum: Volume = ready.volumes(Volume::from_ml(2.4)).into_iter().sum();
            assert!((sum.to_ml() - 2.4).abs() < 1e-12);
        }
        assert_eq!(READY[0].preset(), Some(Preset::default()));
        assert_eq!(READY[2].preset().map(|p| p.share).as_deref(), Some("100"));
        assert_eq!(READY[4].preset(), None);
    }

    #[test]
    fn the_printing_out_strengths_follow_from_the_grams() {
        let v: serde_json::Value = serde_json::from_str(include_str!(
            "../../../../tests/reference/printing-literature/vectors.json"
        ))
        .unwrap();
        for (part, key) in READY[3].parts.iter().zip(["iron", "palladium"]) {
            let row = &v["printing_out"][key];
            assert!((part.strength.value - row["mol_per_litre"].as_f64().unwrap()).abs() < 0.0021, "{key}");
        }
    }

    #[test]
    fn parts_that_add_up_to_nothing() {
        let v = Volume::from_ml(1.0);
        for bad in [&[][..], &[0.0, 0.0], &[1.0, -1.0, 2.0], &[f64::NAN, 1.0], &[f64::INFINITY, 1.0]] {
            assert_eq!(share_out(v, bad).unwrap_err().field, "parts");
        }
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn parts_scale_and_their_order_changes_nothing(mut parts in prop::collection::vec(0.01..10.0f64, 1..6), ml in 0.1..100.0f64, k in 0.1..10.0f64) {
            let once = share_out(Volume::from_ml(ml), &parts).unwrap();
            let sum: Volume = once.iter().copied().sum();
            prop_assert!((sum.to_ml() / ml - 1.0).abs() < 1e-12);
            let more = share_out(Volume::from_ml(ml * k), &parts).unwrap();
            for (a, b) in once.iter().zip(&more) {
                prop_assert!((b.to_ml() / a.to_ml() / k - 1.0).abs() < 1e-12);
            }
            parts.reverse();
            let turned = share_out(Volume::from_ml(ml), &parts).unwrap();
            for (a, b) in once.iter().zip(turned.iter().rev()) {
                prop_assert!((a.to_ml() / b.to_ml() - 1.0).abs() < 1e-12);
            }
        }
    }
}

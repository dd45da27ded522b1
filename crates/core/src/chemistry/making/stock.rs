//! The solutions a workroom makes up itself: which solids they are made from, and what to know on the way.

use crate::chemistry::Formula;
use crate::chemistry::hazard::Kind;
use crate::constant::Constant;

/// A solution that is made up from one solid.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Stock {
    /// What it is called.
    pub name: &'static str,
    /// Formulas it is sold as, the usual one first; each brings the same active part. Empty where none is fixed.
    pub forms: &'static [&'static str],
    /// The form without water, by which solubility is known.
    pub dry: &'static str,
    /// A strength to begin with.
    pub usual: Constant,
    /// Temperature of the water that helps.
    pub warm: Option<Constant>,
    /// What to beware of.
    pub kind: Kind,
    /// What else to know while making it.
    pub advice: &'static str,
    /// Keeping, as a starting value that the printer edits.
    pub keeps: &'static str,
}

const TRADE: &str = "common practice, no source; change it to your own";

const fn percent(value: f64) -> Constant {
    Constant::practice(value, "% w/v", 2, TRADE)
}

const WARM: Option<Constant> = Some(Constant::practice(40.0, "°C", 1, TRADE));

const fn stock(name: &'static str, forms: &'static [&'static str], usual: f64, kind: Kind) -> Stock {
    let dry = if forms.is_empty() { "" } else { forms[forms.len() - 1] };
    Stock {
        name,
        forms,
        dry,
        usual: percent(usual),
        warm: None,
        kind,
        advice: "",
        keeps: "Tightly closed: for long",
    }
}

/// All of them. Palladium from its chloride is made apart, see [`super::palladium`].
pub static STOCKS: [Stock; 19] = [
    Stock {
        warm: WARM,
        advice: "Hard water clouds it with calcium oxalate: take distilled water. Filter when it is cold.",
        ..stock("potassium oxalate", &["K2C2O4·H2O", "K2C2O4"], 25.0, Kind::Oxalate)
    },
    Stock { warm: WARM, ..stock("oxalic acid", &["H2C2O4·2H2O", "H2C2O4"], 5.0, Kind::Oxalate) },
    Stock {
        dry: "C6H8O7",
        keeps: "Grows mould when weak: weeks",
        ..stock("citric acid", &["C6H8O7", "C6H8O7·H2O"], 20.0, Kind::Mild)
    },
    Stock {
        warm: WARM,
        advice: "It dissolves slowly; stir until the water is clear.",
        ..stock("disodium EDTA", &["Na2C10H14N2O8·2H2O", "Na2C10H14N2O8"], 5.0, Kind::Edta)
    },
    stock(
        "tetrasodium EDTA",
        &["Na4C10H12N2O8·4H2O", "Na4C10H12N2O8·2H2O", "Na4C10H12N2O8"],
        3.0,
        Kind::Edta,
    ),
    Stock {
        dry: "Na2SO3",
        keeps: "Air uses it up: days, full bottles for weeks",
        ..stock("sodium sulfite", &["Na2SO3", "Na2SO3·7H2O"], 2.5, Kind::Sulfite)
    },
    stock("ammonium citrate, dibasic", &["(NH4)2C6H6O7"], 20.0, Kind::Mild),
    stock("ammonium citrate, tribasic", &["(NH4)3C6H5O7"], 20.0, Kind::Mild),
    stock("sodium citrate", &["Na3C6H5O7·2H2O", "Na3C6H5O7"], 20.0, Kind::Mild),
    stock("potassium citrate", &["K3C6H5O7·H2O", "K3C6H5O7"], 20.0, Kind::Mild),
    stock("potassium dichromate", &["K2Cr2O7"], 5.0, Kind::Dichromate),
    Stock {
        warm: WARM,
        advice: "Keep it a solution: never let it dry on cloth, paper or the rim of the bottle.",
        ..stock("potassium chlorate", &["KClO3"], 3.0, Kind::Chlorate)
    },
    stock("sodium hexachloroplatinate(IV)", &["Na2PtCl6·6H2O", "Na2PtCl6"], 5.0, Kind::Platinum),
    Stock {
        warm: WARM,
        advice: "Red crystals in the cold bottle are the salt itself: warm the bottle and they go.",
        ..stock("potassium tetrachloroplatinate(II)", &["K2PtCl4"], 20.0, Kind::Platinum)
    },
    Stock {
        warm: WARM,
        advice: "In red or tungsten light, a brown bottle. It dissolves slowly, hours at times; never hotter. Test it \
                 with a crystal of potassium hexacyanoferrate(III) in a few drops: no blue means no iron(II).",
        keeps: "3 to 12 months, dark and cool; test it before a session",
        ..stock("iron(III) oxalate", &[], 27.0, Kind::Oxalate)
    },
    Stock {
        advice: "In red or tungsten light, a brown bottle.",
        keeps: "Dark and cool: months",
        ..stock(
            "ammonium iron(III) oxalate",
            &["(NH4)3Fe(C2O4)3·3H2O", "(NH4)3Fe(C2O4)3"],
            60.0,
            Kind::Oxalate,
        )
    },
    Stock {
        advice: "In red or tungsten light, a brown bottle. It grows mould: make little.",
        keeps: "Weeks; filter off mould",
        ..stock("ammonium iron(III) citrate", &[], 25.0, Kind::Mild)
    },
    stock("potassium hexacyanoferrate(III)", &["K3Fe(CN)6"], 10.0, Kind::Cyanoferrate),
    Stock {
        advice: "Distilled water only, and a brown bottle: tap water clouds it with silver chloride.",
        ..stock("silver nitrate", &["AgNO3"], 10.0, Kind::Silver)
    },
];

impl Stock {
    /// The stock of that name.
    #[must_use]
    pub fn named(name: &str) -> Option<&'static Self> {
        STOCKS.iter().find(|s| s.name == name)
    }

    /// One of its forms as a formula.
    #[must_use]
    pub fn form(&self, form: &str) -> Option<Formula> {
        self.forms.contains(&form).then(|| Formula::parse(form).ok()).flatten()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::chemistry::Element::{H, O};
    use crate::testing::test;

    #[test]
    fn forms_differ_by_water_alone() {
        for s in &STOCKS {
            assert_eq!(Stock::named(s.name), Some(s));
            let formulas: Vec<Formula> = s.forms.iter().map(|f| s.form(f).expect(f)).collect();
            let least = |f: &Formula| f.molar_mass().to_g_per_mol();
            let Some(dry) = formulas.iter().min_by(|a, b| least(a).total_cmp(&least(b))) else { continue };
            for f in &formulas {
                let water = f.count(O) - dry.count(O);
                assert_eq!(f.count(H) - dry.count(H), 2 * water, "{}", s.name);
                for (element, n) in f.atoms().filter(|(e, _)| ![H, O].contains(e)) {
                    assert_eq!(n, dry.count(element), "{}", s.name);
                }
            }
            assert_eq!(Formula::parse(s.dry).ok().as_ref(), Some(dry), "{}", s.name);
        }
    }
}

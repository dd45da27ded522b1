//! What must not meet: in one cup, in one bath, or on one shelf.
//!
//! Substances are recognised by the words of their names, as they are typed. Only mixing that hurts at once, by gas,
//! fire or explosion, is [`Meeting::acute`] and refused; everything else is said and left to the printer.

/// Two kinds of substance and what comes of it when they meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Meeting {
    /// Words that name the one.
    a: &'static [&'static str],
    /// Words that name the other.
    b: &'static [&'static str],
    /// It hurts at once.
    pub acute: bool,
    /// What happens.
    pub text: &'static str,
    /// What to do.
    pub mend: &'static str,
    /// Where it was read.
    pub source: &'static str,
}

const CHLORATE: &[&str] = &["chlorate", "kclo3", "naclo3"];
const AMMONIUM: &[&str] = &["ammonium", "ammonia", "nh4"];
const STRONG_ACID: &[&str] =
    &["hydrochloric", "hcl", "sulfuric", "sulphuric", "nitric acid", "muriatic", "h2so4"];
const ACID: &[&str] = &["acid", "hcl", "disodium edta", "bisulfate"];
const SULFITE: &[&str] = &["sulfite", "sulphite", "metabisulfite", "thiosulfate", "hypo"];
const BLEACH: &[&str] = &["bleach", "hypochlorite"];
const EDTA: &[&str] = &["edta"];
const OXALIC: &[&str] = &["oxalic acid"];
const OXALATE: &[&str] = &["oxalate", "oxalic"];
const CYANOFERRATE: &[&str] = &["cyanoferrate", "ferricyanide", "ferrocyanide"];
const SILVER: &[&str] = &["silver"];
const STRONG_ALKALI: &[&str] = &["ammonia", "ammonium hydroxide", "alcohol", "ethanol", "spirit"];
const GOLD: &[&str] = &["gold", "aurate", "haucl4"];
const AMMONIA: &[&str] = &["ammonia", "ammonium hydroxide"];
const DICHROMATE: &[&str] = &["dichromate", "bichromate"];
const PLATINUM_IV: &[&str] = &["hexachloroplatinate", "contrast agent"];
const LARGE_IONS: &[&str] = &["ammonium", "caesium", "cesium", "rubidium", "tetrachloroplatinate", "k2ptcl4"];
const ORGANIC: &[&str] = &["sugar", "gelatin", "starch", "sulfur", "sulphur", "alcohol", "citrate", "citric"];

const CHEMICAL_SHEET: &str = "CAMEO chemical sheet, potassium chlorate";
const CHART: &str = "public chart of what not to mix with bleach";

const fn meeting(
    a: &'static [&'static str],
    b: &'static [&'static str],
    acute: bool,
    text: &'static str,
    mend: &'static str,
    source: &'static str,
) -> Meeting {
    Meeting { a, b, acute, text, mend, source }
}

/// All of them, the worst first.
pub static MEETINGS: [Meeting; 15] = [
    meeting(
        CHLORATE,
        STRONG_ACID,
        true,
        "Chlorate and strong acid give off chlorine dioxide, a poisonous gas that explodes.",
        "Keep them apart; they never go into one vessel.",
        CHEMICAL_SHEET,
    ),
    meeting(
        CHLORATE,
        AMMONIUM,
        true,
        "Chlorate and ammonium salts make ammonium chlorate, which can ignite by itself when it dries.",
        "Use one of them only; take an iron solution without ammonium where chlorate is wanted.",
        CHEMICAL_SHEET,
    ),
    meeting(
        BLEACH,
        ACID,
        true,
        "Bleach and acid give off chlorine, which harms the lungs at once.",
        "Leave the bleach out.",
        CHART,
    ),
    meeting(
        BLEACH,
        AMMONIUM,
        true,
        "Bleach and ammonium salts give off chloramines, which harm the lungs at once.",
        "Leave the bleach out.",
        CHART,
    ),
    meeting(
        CYANOFERRATE,
        STRONG_ACID,
        true,
        "Strong acid sets hydrogen cyanide free from it, a deadly gas.",
        "Keep them apart; citric acid that is cold and weak is the most it may meet.",
        "text of a safety sheet, quoted on a process mailing list, 2003",
    ),
    meeting(
        SILVER,
        STRONG_ALKALI,
        true,
        "Silver nitrate with ammonia or alcohol makes silver compounds that explode at a touch.",
        "Keep them apart.",
        "Journal of Chemical Education, laboratory information profile: silver nitrate",
    ),
    meeting(
        GOLD,
        AMMONIA,
        true,
        "Gold chloride and ammonia make fulminating gold, which explodes when it is dry.",
        "Keep them apart.",
        "safety sheet of gold(III) chloride",
    ),
    meeting(
        SULFITE,
        ACID,
        false,
        "Sulfite or thiosulfate and acid give off sulfur dioxide, which is hard on asthmatics.",
        "Rinse in water between them, and keep the air moving.",
        "safety sheet of potassium sulfite",
    ),
    meeting(
        BLEACH,
        EDTA,
        false,
        "Bleach and EDTA heat up, splash and destroy each other.",
        "Leave the bleach out.",
        "from memory",
    ),
    meeting(
        BLEACH,
        SULFITE,
        false,
        "Bleach and sulfite or thiosulfate heat up, splash and destroy each other.",
        "Leave the bleach out.",
        CHART,
    ),
    meeting(
        CHLORATE,
        OXALIC,
        false,
        "Moist chlorate and oxalic acid give off chlorine dioxide when they are heated.",
        "Never warm them together, never let more than a coating dry, and wipe up wet.",
        "CAMEO chemical sheet, oxalic acid",
    ),
    meeting(
        CHLORATE,
        ORGANIC,
        false,
        "Dry chlorate with organic matter, sulfur or metal dust burns or explodes when it is rubbed.",
        "Keep the powders far apart, and flood what chlorate wetted before it goes to waste.",
        CHEMICAL_SHEET,
    ),
    meeting(
        SILVER,
        OXALATE,
        false,
        "Silver and oxalate make silver oxalate, which can explode when it is dry and heated.",
        "Only the thin coating on paper may dry; wipe up wet, never scrape dry residues.",
        "IPCS ICSC 0707, oxalic acid",
    ),
    meeting(
        PLATINUM_IV,
        LARGE_IONS,
        false,
        "Potassium or ammonium throws hexachloroplatinate down as a yellow powder, whose dust makes allergic.",
        "Leave the agent out of this mix.",
        "solubility of K2PtCl6: CRC Handbook of Chemistry and Physics, 91st ed.",
    ),
    meeting(
        DICHROMATE,
        ORGANIC,
        false,
        "Dichromate is used up by citrate and sugar, and dry it sets fire to what burns.",
        "Keep the powders apart; expect the bath to lose its contrast.",
        "stewardship summary of the dichromates",
    ),
];

impl Meeting {
    /// It matters for what stands side by side on a shelf, and not only for what is poured together.
    #[must_use]
    pub fn on_shelf(&self) -> bool {
        self.a != PLATINUM_IV
    }
}

/// Words in which another word hides that means something else.
const HIDDEN: [(&str, &str); 3] =
    [("perchlorate", "perchl"), ("hypochlorite", "hypochlorite bleach"), ("hexachlor", "hexachlor")];

fn is(name: &str, words: &[&str]) -> bool {
    words.iter().any(|w| name.contains(w))
}

/// A name as it is searched: lower case.
fn plain(name: &str) -> String {
    let mut name = name.to_lowercase();
    for (word, instead) in HIDDEN {
        name = name.replace(word, instead);
    }
    name
}

/// What comes of it when these stand or are poured together, the worst first. One substance by itself gives nothing.
#[must_use]
pub fn meetings<'a>(names: impl IntoIterator<Item = &'a str>) -> Vec<&'static Meeting> {
    let names: Vec<String> = names.into_iter().map(plain).collect();
    let found = |m: &&Meeting| {
        names
            .iter()
            .enumerate()
            .any(|(i, a)| is(a, m.a) && names.iter().enumerate().any(|(j, b)| i != j && is(b, m.b)))
    };
    MEETINGS.iter().filter(found).collect()
}

/// What a substance must not meet.
#[must_use]
pub fn of(name: &str) -> Vec<&'static Meeting> {
    let name = plain(name);
    MEETINGS.iter().filter(|m| is(&name, m.a) || is(&name, m.b)).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn every_pair_that_was_read_is_known() {
        let v: serde_json::Value =
            serde_json::from_str(include_str!("../../../../tests/reference/incompatibilities/vectors.json"))
                .unwrap();
        let rows = v["pairs"].as_array().unwrap();
        assert!(rows.len() >= 15);
        for row in rows {
            let pair = [row["a"].as_str().unwrap(), row["b"].as_str().unwrap()];
            let found = meetings(pair);
            assert!(!found.is_empty(), "{row}");
            assert_eq!(found[0].acute, row["acute"].as_bool().unwrap(), "{row}");
            // The other way round is the same.
            assert_eq!(meetings([pair[1], pair[0]]), found, "{row}");
        }
        for row in v["harmless"].as_array().unwrap() {
            let pair = [row[0].as_str().unwrap(), row[1].as_str().unwrap()];
            assert_eq!(meetings(pair), Vec::<&Meeting>::new(), "{row}");
        }
    }

    #[test]
    fn one_substance_meets_nothing() {
        for name in ["ammonium dichromate", "silver nitrate", "potassium chlorate", "ammonium chlorate", ""] {
            assert_eq!(meetings([name]), Vec::<&Meeting>::new());
        }
        assert!(of("potassium chlorate").len() >= 4);
        assert_eq!(of("water"), Vec::<&Meeting>::new());
    }
}

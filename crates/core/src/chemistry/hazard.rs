//! What can hurt: cautions by kind of substance, statement codes by formula, limits of dust in the air.
//!
//! Codes stand here only if they were read in a public sheet; the list is the least, not the whole. The sheet supplied
//! with a bottle wins.

use crate::constant::Constant;

/// What holds for every substance here.
pub const ALWAYS: &str = "The sheet supplied with your bottle wins. Gloves and goggles; no food, drink or kitchen vessels; out of \
     the reach of children and animals. Weigh powders in still air with a particle mask or under a hood, and wipe up wet. \
     Eyes: rinse at once with running water for 15 minutes, lids open, then get medical help. Swallowed: rinse the mouth, \
     do not force vomiting, call a poison centre, take the label along. Waste goes where your local rules say.";

/// A kind of substance and what to beware of.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Salts of platinum.
    Platinum,
    /// Salts of palladium.
    Palladium,
    /// Oxalic acid and oxalates, those of iron too.
    Oxalate,
    /// Chlorates.
    Chlorate,
    /// Dichromates.
    Dichromate,
    /// Sulfites and thiosulfates.
    Sulfite,
    /// Silver nitrate.
    Silver,
    /// Potassium hexacyanoferrate(III).
    Cyanoferrate,
    /// EDTA and its salts.
    Edta,
    /// Citrates, citric acid, common chlorides.
    Mild,
}

impl Kind {
    /// What to beware of, in addition to [`ALWAYS`].
    #[must_use]
    pub const fn caution(self) -> &'static str {
        match self {
            Self::Platinum => {
                "Platinum salts can make lungs and skin allergic for life, and dust is the worst of it. Wheezing, a tight \
                 chest, itching eyes or a rash: stop, see a doctor and say chloroplatinate. Collect rinses for recovery."
            }
            Self::Palladium => {
                "Palladium salts can make the skin allergic and harm the eyes. Collect rinses for recovery."
            }
            Self::Oxalate => {
                "Oxalic acid and oxalates are poisonous when swallowed and harm skin and eyes; swallowed means hospital at \
                 once. Oxalic acid and bleach must never meet."
            }
            Self::Chlorate => {
                "Chlorate sets fire to paper, cloth, sugar, sulfur and metal dust, and gives off an explosive gas with strong \
                 acids. Never rub it, never mix it dry with anything, keep it from ammonium salts, and flood what it wetted."
            }
            Self::Dichromate => {
                "Dichromate is poisonous, causes cancer and may make skin and lungs allergic for life. No dust, a tray and \
                 vessels of its own, nothing into the drain; swallowed means hospital at once."
            }
            Self::Sulfite => {
                "With any acid this gives off sulfur dioxide, which is hard on asthmatics. Rinse between acid and this bath, \
                 and keep the air moving. Keep it from bleach."
            }
            Self::Silver => {
                "Silver nitrate burns skin and eyes and stains both; it feeds fire. Never let it stand with ammonia or alcohol: \
                 that can explode. Nothing into the drain."
            }
            Self::Cyanoferrate => {
                "With strong or hot acid this gives off hydrogen cyanide: keep it from both."
            }
            Self::Edta => "Harms the eyes as a powder and as an alkaline solution. Keep it from bleach.",
            Self::Mild => "Keep the powder out of eyes and lungs.",
        }
    }
}

/// Statement codes read for a substance, by formula; empty where none was read.
#[must_use]
pub fn codes(formula: &str) -> &'static [&'static str] {
    const DICHROMATE: &[&str] =
        &["H272", "H301", "H312", "H314", "H317", "H330", "H334", "H340", "H350", "H360FD", "H372", "H410"];
    match formula {
        "K2PtCl4" => &["H301", "H315", "H317", "H318", "H334"],
        "PdCl2" => &["H290", "H302"],
        "K2C2O4·H2O" => &["H302", "H312", "H315", "H319"],
        "(NH4)2C2O4·H2O" => &["H302", "H315", "H319", "H335"],
        "H2C2O4·2H2O" => &["H302", "H312", "H318"],
        "KClO3" => &["H271", "H302", "H332", "H411"],
        "K2Cr2O7" | "(NH4)2Cr2O7" => DICHROMATE,
        "Na4C10H12N2O8·2H2O" => &["H302", "H318"],
        "AgNO3" => &["H272", "H314", "H410"],
        "Na2SO3" => &["EUH031"],
        _ => &[],
    }
}

/// Codes without repeats, the gravest first: what kills or harms for good, what burns, what makes allergic, the rest.
#[must_use]
pub fn gravest<'a>(codes: impl IntoIterator<Item = &'a str>) -> Vec<&'a str> {
    const ORDER: [&str; 11] =
        ["H350", "H340", "H330", "H360FD", "H301", "H334", "H271", "H314", "H318", "H272", "H317"];
    let rank = |code: &str| ORDER.iter().position(|c| *c == code).unwrap_or(ORDER.len());
    let mut all: Vec<&str> = Vec::new();
    for code in codes {
        if !all.contains(&code) {
            all.insert(all.partition_point(|c| rank(c) <= rank(code)), code);
        }
    }
    all
}

/// The standard wording of a code, for labels; empty if it is not among those used here.
#[must_use]
pub fn statement(code: &str) -> &'static str {
    STATEMENTS.iter().find(|(c, _)| *c == code).map_or("", |(_, text)| text)
}

/// UN Globally Harmonized System, as in Regulation (EC) 1272/2008, annex III.
const STATEMENTS: [(&str, &str); 22] = [
    ("H271", "May cause fire or explosion; strong oxidiser"),
    ("H272", "May intensify fire; oxidiser"),
    ("H290", "May be corrosive to metals"),
    ("H301", "Toxic if swallowed"),
    ("H302", "Harmful if swallowed"),
    ("H312", "Harmful in contact with skin"),
    ("H314", "Causes severe skin burns and eye damage"),
    ("H315", "Causes skin irritation"),
    ("H317", "May cause an allergic skin reaction"),
    ("H318", "Causes serious eye damage"),
    ("H319", "Causes serious eye irritation"),
    ("H330", "Fatal if inhaled"),
    ("H332", "Harmful if inhaled"),
    ("H334", "May cause allergy or asthma symptoms or breathing difficulties if inhaled"),
    ("H335", "May cause respiratory irritation"),
    ("H340", "May cause genetic defects"),
    ("H350", "May cause cancer"),
    ("H360FD", "May damage fertility; may damage the unborn child"),
    ("H372", "Causes damage to organs through prolonged or repeated exposure"),
    ("H410", "Very toxic to aquatic life with long lasting effects"),
    ("H411", "Toxic to aquatic life with long lasting effects"),
    ("EUH031", "Contact with acids liberates toxic gas"),
];

const fn at_work(value: f64, digits: u8, source: &'static str) -> Constant {
    Constant::published(value, "mg/m³", digits, source)
}

/// Mean of eight hours of work that is still allowed, as the metal or the acid. Limits change and local lists bind.
#[must_use]
pub const fn limit(kind: Kind) -> Option<Constant> {
    match kind {
        Kind::Platinum => {
            Some(at_work(0.002, 1, "soluble salts as Pt: OSHA, NIOSH, ACGIH; NIOSH IDLH documentation 1994"))
        }
        Kind::Dichromate => {
            Some(at_work(0.0002, 1, "chromium(VI) as Cr: NIOSH 2013; OSHA 29 CFR 1910.1026 has 0.005"))
        }
        Kind::Oxalate => Some(at_work(1.0, 1, "oxalic acid: OSHA, NIOSH, ACGIH, UK EH40")),
        Kind::Silver => Some(at_work(0.01, 1, "soluble salts as Ag: OSHA, NIOSH, ACGIH, UK EH40")),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn codes_are_those_that_were_read() {
        let v: serde_json::Value =
            serde_json::from_str(include_str!("../../../../tests/reference/hazard-statements/vectors.json"))
                .unwrap();
        for row in v["substances"].as_array().unwrap() {
            let found = codes(row["formula"].as_str().unwrap());
            let read: Vec<&str> =
                row["codes"].as_array().unwrap().iter().map(|c| c.as_str().unwrap()).collect();
            assert_eq!(found, read, "{row}");
        }
        let statements = v["statements"].as_object().unwrap();
        assert!(!statements.is_empty());
        for (code, text) in statements {
            assert_eq!(statement(code), text.as_str().unwrap());
        }
        assert_eq!(STATEMENTS.len(), statements.len());
        assert_eq!(statement("H999"), "");
        assert!(codes("Na2PtCl6").is_empty());
    }

    #[test]
    fn the_gravest_comes_first() {
        let all = gravest(codes("K2Cr2O7").iter().chain(codes("KClO3")).copied());
        assert_eq!(all[..4], ["H350", "H340", "H330", "H360FD"]);
        assert_eq!(all.iter().filter(|c| **c == "H301").count(), 1);
    }

    #[test]
    fn limits_are_those_that_were_read() {
        let v: serde_json::Value =
            serde_json::from_str(include_str!("../../../../tests/reference/exposure-limits/vectors.json"))
                .unwrap();
        for (kind, agent) in [
            (Kind::Platinum, "platinum, soluble salts"),
            (Kind::Dichromate, "chromium(VI)"),
            (Kind::Oxalate, "oxalic acid"),
            (Kind::Silver, "silver, soluble salts"),
        ] {
            let read = v["mg_per_m3"].as_array().unwrap().iter().filter(|r| r["agent"] == agent);
            let least = read.map(|r| r["value"].as_f64().unwrap()).fold(f64::MAX, f64::min);
            assert_eq!(limit(kind).map(|c| c.value), Some(least), "{agent}");
        }
        assert_eq!(limit(Kind::Mild), None);
    }
}

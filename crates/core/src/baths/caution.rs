//! What a sequence of baths must not do, recognised by the words of its contents.

use super::Row;
use super::amount::percents;
use super::sequence::row_name;
use crate::chemistry::together::{self, Meeting};
use crate::constant::Constant;
use crate::note::Note;

/// How much potassium oxalate dissolves at 20 °C.
pub const OXALATE_LIMIT: Constant =
    Constant::practice(33.0, "% w/v", 2, "saturated at 20 °C: about a third by weight and volume; no source");

struct Found {
    oxalate: bool,
    strong_acid: bool,
    acid: bool,
    edta_alkaline: bool,
    sulfite: bool,
    dichromate: bool,
    bleach: bool,
    foreign_salt: bool,
    wash: bool,
}

fn find(row: &Row) -> Found {
    let text = format!("{} {}", row.name, row.contents).to_lowercase();
    let any = |words: &[&str]| words.iter().any(|w| text.contains(w));
    let strong_acid = any(&["hydrochloric", "hcl", "sulfuric", "sulphuric", "nitric acid", "muriatic"]);
    let oxalate = any(&["potassium oxalate", "k oxalate"]);
    Found {
        oxalate,
        strong_acid,
        acid: strong_acid || any(&["citric", "phosphoric", "acetic", "oxalic acid", "disodium edta", "acid"]),
        edta_alkaline: any(&["edta"]) && !any(&["disodium"]),
        sulfite: any(&["sulfite", "sulphite", "bisulfite", "metabisulfite", "hypo clear", "thiosulfate"]),
        dichromate: any(&["dichromate", "bichromate"]),
        bleach: any(&["bleach", "hypochlorite"]),
        foreign_salt: oxalate && any(&["sodium", "ammonium"]),
        wash: any(&["water", "wash", "rinse"]),
    }
}

/// What must not be poured into one bath.
pub(super) fn refused(row: &Row) -> Option<&'static Meeting> {
    together::meetings(row.contents.split('+')).into_iter().find(|m| m.acute)
}

/// The warnings a sequence needs, each to the row it is about.
#[must_use]
pub fn cautions(rows: &[Row]) -> Vec<Note> {
    let mut notes = Vec::new();
    let found: Vec<Found> = rows.iter().map(find).collect();
    // Since the last oxalate: whether an acid has been.
    let mut acid_since = true;
    for (i, f) in found.iter().enumerate() {
        let name = row_name(&rows[i], i);
        let field = format!("setup.rows.{i}.contents");
        if f.edta_alkaline && !f.acid && !acid_since {
            notes.push(Note::warning(
                &field,
                format!("{name} is alkaline and comes before any acid bath."),
                "Put an acid bath first: alkali can fix iron in the paper as rust, and EDTA lets iron(III) go there.",
            ));
            acid_since = true;
        }
        if f.oxalate {
            acid_since = false;
        }
        acid_since |= f.acid;
        let before = i.checked_sub(1).map(|k| &found[k]).filter(|b| !b.wash);
        let meets = before.is_some_and(|b| b.strong_acid && f.sulfite || b.sulfite && f.strong_acid);
        if f.sulfite && f.strong_acid || meets {
            notes.push(Note::danger(
                &field,
                format!("In {name}, sulfite and strong acid meet: that gives off sulfur dioxide."),
                "Rinse in water between them, and work with open air.",
            ));
        }
        for meeting in together::meetings(rows[i].contents.split('+')) {
            let said = f.sulfite && f.strong_acid && meeting.text.starts_with("Sulfite");
            if meeting.acute {
                notes.push(Note::danger(&field, meeting.text, meeting.mend));
            } else if !said {
                notes.push(Note::warning(&field, meeting.text, meeting.mend));
            }
        }
        if f.dichromate {
            notes.push(Note::danger(
                &field,
                "Dichromate is poisonous, causes cancer and may make skin and lungs allergic for life.",
                "Gloves, goggles, no dust, a tray of its own; collect all of it as your local rules say. \
                 The sheet supplied with your bottle wins.",
            ));
        }
        if f.bleach {
            notes.push(Note::danger(
                &field,
                "Bleach gives off poisonous gas with acids, ammonium salts and EDTA.",
                "Leave it out of this sequence.",
            ));
        }
        if f.foreign_salt {
            notes.push(Note::warning(
                &field,
                format!("{name} has sodium or ammonium salts in potassium oxalate."),
                "Their oxalates dissolve badly and fall out in a strong developer: keep to potassium salts.",
            ));
        }
        if f.oxalate && percents(&rows[i].strength).is_ok_and(|p| p[0].low > OXALATE_LIMIT.value) {
            notes.push(Note::warning(
                format!("setup.rows.{i}.strength"),
                "That is more potassium oxalate than dissolves at 20 °C.",
                "Take 33 % or less, or work warm and filter when it has cooled.",
            ));
        }
    }
    if let Some(i) = found.iter().position(|f| f.oxalate) {
        notes.push(Note::hint(
            format!("setup.rows.{i}.contents"),
            "Make oxalate up with distilled water: hard water clouds it with calcium oxalate, a scum on the print.",
        ));
    }
    let plain = found.iter().position(|f| f.oxalate && !f.dichromate);
    if let Some(i) = found.iter().position(|f| f.dichromate)
        && plain.is_some()
    {
        notes.push(Note::warning(
            format!("setup.rows.{i}.contents"),
            "One developer here has dichromate and another has none.",
            "Never pour them into the same tray: the plain one would drift in contrast.",
        ));
    }
    notes
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod tests {
    use super::*;
    use crate::baths::starting;
    use crate::note::Severity;
    use expect_test::expect;
    use proptest::prelude::*;

    fn rows(contents: &[(&str, &str)]) -> Vec<Row> {
        let row = |&(c, s): &(&str, &str)| Row { contents: c.into(), strength: s.into(), ..Row::default() };
        contents.iter().map(row).collect()
    }

    fn text(rows: &[Row]) -> String {
        let line = |n: Note| format!("{} {:?}: {} {}\n", n.field, n.severity, n.text, n.mend);
        cautions(rows).into_iter().map(line).collect()
    }

    #[test]
    fn the_starting_sequence_has_a_hint_and_no_warning() {
        assert!(cautions(&starting()).iter().all(|n| n.severity == Severity::Hint));
    }

    #[test]
    fn every_caution() {
        let mut all = String::new();
        for case in [
            &[("potassium oxalate", "25"), ("tetrasodium EDTA", "3")][..],
            &[("hydrochloric acid", "0.6"), ("sodium sulfite", "2")],
            &[("potassium oxalate + potassium dichromate", "25 + 0.01"), ("potassium oxalate", "40")],
            &[("potassium oxalate + sodium phosphate", "10 + 5")],
            &[("bleach", "5")],
            &[("bleach + citric acid", "5 + 1")],
            &[("sodium sulfite + citric acid", "1 + 1")],
        ] {
            all += &text(&rows(case));
            all += "--\n";
        }
        expect![[r#"
            setup.rows.1.contents Warning: tetrasodium EDTA is alkaline and comes before any acid bath. Put an acid bath first: alkali can fix iron in the paper as rust, and EDTA lets iron(III) go there.
            setup.rows.0.contents Hint: Make oxalate up with distilled water: hard water clouds it with calcium oxalate, a scum on the print. 
            --
            setup.rows.1.contents Danger: In sodium sulfite, sulfite and strong acid meet: that gives off sulfur dioxide. Rinse in water between them, and work with open air.
            --
            setup.rows.0.contents Danger: Dichromate is poisonous, causes cancer and may make skin and lungs allergic for life. Gloves, goggles, no dust, a tray of its own; collect all of it as your local rules say. The sheet supplied with your bottle wins.
            setup.rows.1.strength Warning: That is more potassium oxalate than dissolves at 20 °C. Take 33 % or less, or work warm and filter when it has cooled.
            setup.rows.0.contents Hint: Make oxalate up with distilled water: hard water clouds it with calcium oxalate, a scum on the print. 
            setup.rows.0.contents Warning: One developer here has dichromate and another has none. Never pour them into the same tray: the plain one would drift in contrast.
            --
            setup.rows.0.contents Warning: potassium oxalate + sodium phosphate has sodium or ammonium salts in potassium oxalate. Their oxalates dissolve badly and fall out in a strong developer: keep to potassium salts.
            setup.rows.0.contents Hint: Make oxalate up with distilled water: hard water clouds it with calcium oxalate, a scum on the print. 
            --
            setup.rows.0.contents Danger: Bleach gives off poisonous gas with acids, ammonium salts and EDTA. Leave it out of this sequence.
            --
            setup.rows.0.contents Danger: Bleach and acid give off chlorine, which harms the lungs at once. Leave the bleach out.
            setup.rows.0.contents Danger: Bleach gives off poisonous gas with acids, ammonium salts and EDTA. Leave it out of this sequence.
            --
            setup.rows.0.contents Warning: Sulfite or thiosulfate and acid give off sulfur dioxide, which is hard on asthmatics. Rinse in water between them, and keep the air moving.
            --
        "#]].assert_eq(&all);
    }

    #[test]
    fn a_rinse_between_acid_and_sulfite_is_enough() {
        let rinsed = rows(&[("hydrochloric acid", ""), ("water", ""), ("sodium sulfite", "")]);
        assert_eq!(cautions(&rinsed), []);
        let turned = rows(&[("sodium sulfite", ""), ("hydrochloric acid", "")]);
        assert_eq!(cautions(&turned).len(), 1);
    }

    proptest! {
        #[test]
        fn any_rows_are_read(texts in prop::collection::vec("(\\PC{0,20}|edta|hcl sulfite|potassium oxalate)", 0..9)) {
            let rows: Vec<Row> = texts.iter().map(|t| Row { contents: t.clone(), strength: t.clone(), ..Row::default() }).collect();
            prop_assert!(cautions(&rows).iter().all(|n| !n.text.is_empty()));
        }
    }
}

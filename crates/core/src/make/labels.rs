//! Labels of a bottle, several on a sheet.

use super::view::LabelRow;
use super::{Ask, Bottled};
use crate::book::date;
use crate::chemistry::hazard;
use crate::entry::{self, Range};
use crate::note::Note;
use crate::show::{Units, unbroken};
use crate::station::Scene;

/// As many fit on two sheets.
const COUNT: Range = Range { low: 1.0, high: 24.0 };

/// Strength with what it counts.
pub(super) fn strength(b: &Bottled, u: Units) -> String {
    let percent = u.figures(b.made.strength.to_percent(), 3);
    let mut text = [&percent, " % w/v ", &b.made.counted].concat().trim_end().to_owned();
    if let Some(c) = b.chlorate {
        text.push_str(&[", with ", &u.figures(c.to_percent(), 3), " % KClO3"].concat());
    }
    text
}

/// Moles a litre, or the iron, as a range where nobody knows better.
pub(super) fn moles(b: &Bottled, u: Units) -> String {
    match (&b.iron, b.made.molarity) {
        (Some(fe), _) if fe.low < fe.high => {
            [&u.number(fe.low, 2), "–", &u.number(fe.high, 2), " mol/L iron"].concat()
        }
        (Some(fe), _) => [&u.figures(fe.value, 3), " mol/L iron"].concat(),
        (None, Some(m)) => [&u.figures(m.to_mol_per_litre(), 3), " mol/L"].concat(),
        (None, None) => String::new(),
    }
}

/// What was read on the sheets of what it is made of, the gravest first.
pub(super) fn codes(b: &Bottled) -> Vec<&str> {
    let of = b.made.weighed.iter().flat_map(|w| hazard::codes(&w.formula));
    hazard::gravest(b.made.codes.iter().chain(of).copied())
}

/// The labels that were asked for.
pub(super) fn labels(ask: &Ask, b: &Bottled, scene: &Scene<'_>, notes: &mut Vec<Note>) -> Vec<LabelRow> {
    let u = scene.units();
    let count = entry::count("labels", "The number of labels", &ask.labels, COUNT, notes).unwrap_or(1.0);
    let volume = [&u.figures(b.made.volume.to_ml(), 3), " mL"].concat();
    let lot = match ask.lot.trim() {
        "" => volume,
        lot => [&volume, ", lot ", lot].concat(),
    };
    let codes = codes(b);
    let danger = codes.iter().take(3).map(|c| hazard::statement(c)).collect::<Vec<_>>().join(". ");
    let label = LabelRow {
        content: b.made.content.to_string(),
        strength: strength(b, u),
        moles: moles(b, u),
        lot,
        made: ["made ", &unbroken(&date(scene.now, scene.zone_minutes))].concat(),
        codes: codes.join(" "),
        danger,
    };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "1 to 24")]
    let count = count as usize;
    vec![label; count]
}

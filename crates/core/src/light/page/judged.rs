//! Was the last print too light or too dark: what was answered, and what it means.

use super::super::paper::Paper;
use super::super::{Ask, Black, Judgement, Looks, View, exposure::change, judge};
use super::{DENSITY, signed};
use crate::constant::Basis;
use crate::entry;
use crate::note::Note;
use crate::show::Units;

/// What the answers about the last print mean; `None` while they are incomplete.
pub(super) fn judgement(ask: &Ask, curve: &dyn Paper, notes: &mut Vec<Note>) -> Option<Judgement> {
    let now = entry::optional("patch_now", "The patch on this print", &ask.patch_now, DENSITY, &["d"], notes);
    let then =
        entry::optional("patch_then", "The patch on the reference", &ask.patch_then, DENSITY, &["d"], notes);
    let looks = match ask.looks.as_str() {
        "light" => Looks::Light,
        "dark" => Looks::Dark,
        _ => return None,
    };
    let black = match ask.black.as_str() {
        "same" => Black::Same,
        "weaker" => Black::Weaker,
        "stronger" => Black::Stronger,
        _ => return None,
    };
    let added = change(ask, &mut Vec::new()).unwrap_or_default();
    Some(judge(looks, black, added, now.zip(then), curve))
}

/// What is shown of it.
pub(super) fn answer(ask: &Ask, curve: &dyn Paper, units: Units, view: &mut View, notes: &mut Vec<Note>) {
    let looks = matches!(ask.looks.as_str(), "light" | "dark");
    let answered = matches!(ask.black.as_str(), "same" | "weaker" | "stronger");
    view.ask_black = looks && !answered;
    let Some(judgement) = judgement(ask, curve, notes) else { return };
    view.judged = true;
    view.verdict = match judgement {
        Judgement::Tone => {
            view.to_tone = true;
            "The black is as it should be, so the time is right. Leave it, and change the tone of the picture.".into()
        }
        Judgement::TakeBack => {
            "The black is full, and this ticket adds light to the setup's time. Take the change back before \
             anything else."
                .into()
        }
        Judgement::Time(e) => {
            view.can_take = true;
            let basis = match e.basis {
                Basis::Measured { .. } => "from your two readings",
                _ => "by eye; two readings of a middle patch would narrow it",
            };
            view.suggestion = format!(
                "{} stop ({} to {}), {basis}",
                signed(units, e.value, 2),
                signed(units, e.low, 2),
                signed(units, e.high, 2),
            );
            if e.value > 0.0 {
                "The black is weaker than on the reference: more light is needed. If coating, paper and air were \
                 the same, change the time."
                    .into()
            } else {
                "The black is stronger than on the reference and the picture darker: less light is needed.".into()
            }
        }
        Judgement::Coat => {
            "Black and picture disagree, so the time is not the cause. Look for a thin or uneven coating, veiled \
             whites, or other moisture than on the reference's day."
                .into()
        }
    };
}

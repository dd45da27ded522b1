//! The part of the light station that learns whether half the light takes twice the time.

use super::super::lamp::law::{DOUBT, Law, LawError, Pair};
use super::super::{Ask as LightAsk, Bare, duration};
use super::show::Shown;
use crate::constant::Basis;
use crate::entry::{self, Range};
use crate::estimate::Estimate;
use crate::fields;
use crate::math;
use crate::note::Note;
use crate::show::{Units, clock};
use crate::tone::table::number;
use crate::working::Working;

/// What was typed about it; the setup keeps it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ask {
    /// A line a print: light at the frame, time for black, and half its interval in log exposure if it is known.
    pub pairs: String,
    /// Light at the frame of the print that is to be noted next.
    pub level: String,
}

fields!(Ask: pairs, level);

/// What is shown of it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// The exponent in words.
    pub found: String,
}

fields!(out View: found);

/// Light at the frame, in whatever the printer's meter counts, or percent.
const LEVEL: Range = Range { low: 0.000_1, high: 1_000_000.0 };
const FIELD: &str = "known.law.pairs";

/// One line: light, time, and what is left open.
fn pair(line: &str) -> Option<Pair> {
    let mut cells =
        line.split([' ', '\t', ';']).map(|c| c.trim_matches(['%', '±'])).filter(|c| !c.is_empty());
    let level = number(cells.next()?).ok()?;
    let seconds = duration::parse(cells.next()?, Bare::Seconds).ok()?.to_seconds();
    let half = match cells.next() {
        Some(cell) => number(cell).ok()?,
        None => DOUBT.value,
    };
    let fine = level > 0.0 && seconds > 0.0 && half > 0.0 && cells.next().is_none();
    fine.then_some(Pair { level, seconds, half })
}

/// The law of a setup, with notes for what keeps it from being learned.
pub(in crate::light) fn law(ask: &Ask, notes: &mut Vec<Note>) -> Option<Law> {
    let lines: Vec<&str> = ask.pairs.lines().filter(|l| !l.trim().is_empty()).collect();
    if lines.is_empty() {
        return None;
    }
    let mut pairs = Vec::new();
    for line in lines {
        let Some(pair) = pair(line) else {
            notes.push(Note::error(
                FIELD,
                format!("“{}” is not a light and a time.", line.trim()),
                "Type the light at the frame and the time that gave black, such as 5 12:30, a line a print.",
            ));
            return None;
        };
        pairs.push(pair);
    }
    Law::learn(&pairs).map_err(|error| notes.push(refusal(error))).ok()
}

fn refusal(error: LawError) -> Note {
    match error {
        LawError::TooFew => {
            Note::hint(FIELD, "One print tells nothing yet; a second under half the light or less does.")
        }
        LawError::Alike => Note::warning(
            FIELD,
            "The light of these prints hardly differs.",
            "Make one under half the light or less: farther off, or behind a grey sheet.",
        ),
        LawError::Backwards => Note::error(
            FIELD,
            "More light took more time in these lines.",
            "Check that light stands first and time second.",
        ),
    }
}

/// Checks the light at the frame, which may be a reading or percent.
fn level(ask: &Ask, notes: &mut Vec<Note>) {
    entry::optional("known.law.level", "The light at the frame", &ask.level, LEVEL, &["%"], notes);
}

/// The line of a print whose time for black is known.
pub(super) fn line(ask: &LightAsk, time: Estimate, units: Units) -> Result<String, Note> {
    let own = &ask.known.law;
    let mut notes = Vec::new();
    self::level(own, &mut notes);
    if let Some(note) = notes.pop() {
        return Err(note);
    }
    let level = if own.level.trim().is_empty() { &ask.setup.meter } else { &own.level };
    let level = level.trim().replace(' ', "");
    if level.is_empty() {
        return Err(Note::error(
            "known.law.level",
            "The light at the frame of that print is missing.",
            "Type what the meter read there, or percent of the full light.",
        ));
    }
    let half = math::log10(time.high / time.low) / 2.0;
    let line = format!("{level} {} {}", clock(time.value.round()), units.number(half.max(0.001), 3));
    let before = own.pairs.trim_end();
    Ok(if before.is_empty() { line } else { format!("{before}\n{line}") })
}

/// What is shown.
pub(super) fn answer(ask: &LightAsk, units: Units, shown: &mut Shown) -> View {
    level(&ask.known.law, &mut shown.notes);
    let Some(law) = law(&ask.known.law, &mut shown.notes) else { return View::default() };
    let p = law.exponent();
    let half = math::exp10(law.slope.value * core::f64::consts::LOG10_2);
    let figures =
        format!("{} ({} to {})", units.number(p.value, 2), units.number(p.low, 2), units.number(p.high, 2));
    let found = if law.plain() {
        format!(
            "Exponent {figures}, from {} prints: as far as they can tell, half the light takes twice the time.",
            law.n
        )
    } else {
        format!(
            "Exponent {figures}, from {} prints: half the light takes {} times the time. A time by the meter counts that.",
            law.n,
            units.number(half, 2)
        )
    };
    let mut working = Working::new("law");
    working.sourced(
        "Log time falls by",
        "slope of log time on log light = 1/p",
        format!("{} prints", law.n),
        format!(
            "{} ± {}",
            units.number(law.slope.value, 3),
            units.number(law.slope.high - law.slope.value, 3)
        ),
        "E·t^p, K. Schwarzschild, 1900",
    );
    working.step("Exponent p", "1 ÷ slope", Basis::Measured { n: law.n }.words(), figures);
    working.constant("Doubt of a time, unless typed", &DOUBT);
    shown.workings.push(working);
    View { found }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn asked(pairs: &str) -> (Option<Law>, Vec<Note>) {
        let mut notes = Vec::new();
        let law = law(&Ask { pairs: pairs.into(), ..Ask::default() }, &mut notes);
        (law, notes)
    }

    #[test]
    fn lines_are_read_with_comma_percent_and_doubt() {
        let (law, notes) = asked("100 % 6:00\n25% 34:00 ±0,02\n");
        assert!(notes.is_empty(), "{notes:?}");
        // log₁₀(34/6) / log₁₀ 4 = 1.2513
        assert!((law.unwrap().slope.value - 1.2513).abs() < 1e-3);
    }

    #[test]
    fn what_is_no_pair_is_named() {
        for (text, says) in [
            ("5 often", "“5 often” is not a light and a time."),
            ("6:00", "“6:00” is not a light and a time."),
            ("5 6:00", "One print tells nothing yet; a second under half the light or less does."),
            ("5 6:00\n4.8 6:10", "The light of these prints hardly differs."),
            ("5 6:00\n10 12:00", "More light took more time in these lines."),
        ] {
            let (law, notes) = asked(text);
            assert!(law.is_none());
            assert_eq!(notes.iter().map(|n| n.text.as_str()).collect::<Vec<_>>(), [says]);
        }
    }
}

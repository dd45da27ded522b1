//! A scan's patches become readings: in place of what was typed, as another sheet beside it, or as the same print scanned
//! again.

use super::Ask;
use super::scan::{ODD, ScanFound, misread, plan};
use crate::book::{CorrectionVersion, Setup};
use crate::exchange::{self, csv_out};
use crate::note::Note;
use crate::scan::levelled::levelled;
use crate::scan::repeats;
use crate::show::{decimals, significant};
use crate::tone::instrument::{Instrument, Kind, mixing};
use crate::tone::pooled::Sheet;
use crate::tone::readings::Row;
use crate::tone::{Quantity, Reading, lightness, solve};

/// Density that stands for no light at all.
const NO_LIGHT: f64 = 4.0;

/// L* by which a scanner scatters at most from patch to patch: less than one coat differs from another, more than a
/// flatbed shows across its glass (common practice, no source).
const SCANNER_MOST: f64 = 0.45;

/// What becomes of the readings that are there.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum How {
    /// They go.
    InPlace,
    /// They stay, and the scan is another print.
    Beside,
    /// They stay, and the scan is one of the prints again, e.g. turned by half a turn.
    SamePrint,
}

/// The ask with the scan's readings, and what there is to say.
///
/// # Errors
/// Notes that say why they cannot be taken so.
pub(super) fn taken(setup: &Setup, found: &ScanFound, how: How) -> Result<(Ask, Vec<Note>), Vec<Note>> {
    if let Some(note) = misread(found, setup.units) {
        return Err(vec![note]);
    }
    let mut ask = setup.tone.clone();
    let mut notes = Vec::new();
    let (codes, lights) = (codes(setup, found, &mut notes)?, even(&ask, found, &mut notes));
    let (mut rows, mut quantity) = (Vec::new(), Quantity::Lightness);
    if how != How::InPlace {
        let read = exchange::read(&ask.readings, super::quantity(&ask), None);
        notes.extend(mixed(&ask, &read.instrument));
        if notes.iter().any(|note| note.severity == crate::note::Severity::Error) {
            return Err(notes);
        }
        quantity = read.quantity.unwrap_or(quantity);
        rows = read.rows;
        rows.iter_mut().filter(|row| row.sheet.is_empty()).for_each(|row| row.sheet = "first".into());
    }
    let value = |l: f64| match quantity {
        Quantity::Lightness => l,
        Quantity::Density => lightness::to_density(l).unwrap_or(NO_LIGHT),
    };
    let named = if found.name.is_empty() { &found.file } else { &found.name };
    if how == How::SamePrint {
        again(&mut rows, named, &lights, quantity, &mut notes)?;
    } else {
        let out = |flags: u8| ODD.iter().any(|(bit, _, out)| *out && flags & bit != 0);
        let sheet = fresh(&rows, named);
        for (i, (code, l)) in codes.iter().zip(&lights).enumerate() {
            if !out(found.flags.get(i).copied().unwrap_or(0)) {
                let id = (i + 1).to_string();
                rows.push(Row { line: 0, id, sheet: sheet.clone(), code: *code, values: vec![value(*l)] });
            }
        }
    }
    ask.from = "readings".into();
    ask.readings = csv_out::readings(&rows, quantity);
    ask.quantity = "look".into();
    ask.read_with = Kind::Scan.words().into();
    let text = |l: Option<f64>, old: &str| l.map_or_else(|| old.to_owned(), |l| significant(l, 4));
    ask.masked = text(found.spots[0], &ask.masked);
    ask.bare = text(found.spots[2], &ask.bare);
    ask.doubt = significant(found.half_width, 3);
    Ok((ask, notes))
}

/// The correction that the chart's film went through, as typed; none for raw ink.
pub(super) fn through<'a>(text: &str, setup: &'a Setup) -> Result<Option<&'a CorrectionVersion>, Note> {
    let version = text.trim();
    if version.is_empty() {
        return Ok(None);
    }
    let made = setup.corrections.iter().find(|c| version.parse() == Ok(c.version));
    made.map(Some).ok_or_else(|| {
        Note::error(
            "scan.through",
            format!("This setup has no correction {version} that a film was made with."),
            "Type the number that stands on the film, or leave the field empty for raw ink.",
        )
    })
}

/// Ink codes as they were printed: those of the chart, or what an earlier correction made of them.
fn codes(setup: &Setup, found: &ScanFound, notes: &mut Vec<Note>) -> Result<Vec<f64>, Vec<Note>> {
    let made = match through(&setup.tone.scan.through, setup) {
        Ok(Some(made)) => made,
        Ok(None) => return Ok(found.codes.clone()),
        Err(note) => {
            notes.push(note);
            return Err(core::mem::take(notes));
        }
    };
    let one = |&code: &f64| Reading {
        code,
        value: 0.0,
        quantity: Quantity::Lightness,
        weight: 1.0,
        id: String::new(),
    };
    let sheet = Sheet { name: String::new(), readings: found.codes.iter().map(one).collect() };
    let through = sheet.through(solve(&made.tone).correction.table());
    Ok(through.readings.iter().map(|reading| reading.code).collect())
}

/// L* with the print's own unevenness taken out, if that was asked for.
fn even(ask: &Ask, found: &ScanFound, notes: &mut Vec<Note>) -> Vec<f64> {
    let Some(plan) = plan(found).filter(|_| ask.scan.even) else { return found.lightness.clone() };
    let spots: Vec<_> = plan
        .patches
        .iter()
        .zip(&found.lightness)
        .map(|(patch, l)| {
            let (x, y) = patch.area.middle();
            (patch.code, x, y, *l)
        })
        .collect();
    levelled(&spots, &found.ground).unwrap_or_else(|refusal| {
        notes.push(Note::warning("scan.even", refusal.text(), refusal.mend()));
        found.lightness.clone()
    })
}

/// What stands against readings of a scan beside those that are there.
fn mixed(ask: &Ask, said: &Instrument) -> Option<Note> {
    let there = if ask.read_with == Kind::Scan.words() {
        Instrument { kind: Kind::Scan, ..said.clone() }
    } else if ask.read_with.trim().is_empty() {
        said.clone()
    } else {
        Instrument::named(Kind::Instrument, &ask.read_with)
    };
    mixing("read_with", &[&there, &Instrument { kind: Kind::Scan, ..Instrument::default() }])
}

/// The name of a sheet that no row has yet.
fn fresh(rows: &[Row], name: &str) -> String {
    let known = |name: &str| rows.iter().any(|row| row.sheet == name);
    let numbered = (2..).map(|n| format!("{name} ({n})"));
    core::iter::once(name.to_owned()).chain(numbered).find(|name| !known(name)).unwrap_or_default()
}

/// Puts a second scan of a print into its rows, as the mean of both: the scanner's noise gets smaller, the print's own
/// does not, and neither does its weight.
fn again(
    rows: &mut [Row],
    name: &str,
    lights: &[f64],
    quantity: Quantity,
    notes: &mut Vec<Note>,
) -> Result<(), Vec<Note>> {
    let of_print: Vec<&mut Row> = rows.iter_mut().filter(|row| row.sheet == name).collect();
    let place = |row: &Row| {
        row.id.parse::<usize>().ok().and_then(|id| id.checked_sub(1)).filter(|i| *i < lights.len())
    };
    let light = |row: &Row| row.values.first().map(|v| quantity.to_lightness(*v));
    let old: Vec<f64> = of_print.iter().filter_map(|row| light(row)).collect();
    let new: Vec<f64> = of_print.iter().filter_map(|row| place(row).map(|i| lights[i])).collect();
    let Some(both) = repeats(&[&old, &new]).filter(|_| old.len() == of_print.len()) else {
        notes.push(Note::error(
            "readings",
            format!("There are no readings of a print {name} that this scan could repeat."),
            "Take it in their place, or add it as another sheet.",
        ));
        return Err(core::mem::take(notes));
    };
    for (row, l) in of_print.into_iter().zip(&both.mean) {
        row.values = vec![match quantity {
            Quantity::Lightness => *l,
            Quantity::Density => lightness::to_density(*l).unwrap_or(NO_LIGHT),
        }];
    }
    notes.push(Note::hint(
        "readings",
        format!(
            "Both scans were put together: the scanner scatters {} L*, and the two lie {} L* apart.",
            decimals(both.scanner, 2),
            decimals(both.drift, 2)
        ),
    ));
    if both.scanner > SCANNER_MOST {
        notes.push(Note::warning(
            "readings",
            "That is more than one print read twice on one scanner differs.",
            "If these are two prints, undo it and add the scan as another sheet.",
        ));
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::note::Severity;
    use crate::testing::test;

    fn found(name: &str, off: f64) -> ScanFound {
        let codes: Vec<f64> = (0..41).map(|i| f64::from(i) / 40.0).collect();
        let lightness = codes.iter().map(|c| 24.0 + 70.0 * c + off).collect();
        let flags = vec![0; codes.len()];
        ScanFound { name: name.into(), codes, lightness, flags, half_width: 1.5, ..ScanFound::default() }
    }

    fn setup(readings: &str) -> Setup {
        let mut setup = Setup::first();
        setup.tone.readings = readings.into();
        setup
    }

    #[test]
    fn in_place_beside_and_again() {
        let (ask, notes) = taken(&setup("0 1.4\n100 0.1"), &found("41-7", 0.0), How::InPlace).unwrap();
        assert_eq!(notes, []);
        let read = exchange::read(&ask.readings, None, None);
        assert_eq!((read.rows.len(), read.quantity), (41, Some(Quantity::Lightness)));
        assert_eq!((ask.read_with.as_str(), ask.doubt.as_str()), ("scan", "1.5"));

        let mut there = setup("");
        there.tone = ask;
        let (two, notes) = taken(&there, &found("41-7", 1.0), How::Beside).unwrap();
        assert_eq!(notes, []);
        let read = exchange::read(&two.readings, None, None);
        assert_eq!(read.rows.len(), 82);
        assert_eq!(read.rows[81].sheet, "41-7 (2)");

        let (one, notes) = taken(&there, &found("41-7", 1.0), How::SamePrint).unwrap();
        assert!(notes[0].text.contains("1.00 L* apart"), "{}", notes[0].text);
        let read = exchange::read(&one.readings, None, None);
        assert_eq!(read.rows.len(), 41);
        assert!((read.rows[0].values[0] - 24.5).abs() < 1e-3);
        assert!(taken(&there, &found("41-8", 1.0), How::SamePrint).is_err());
    }

    #[test]
    fn another_instrument_is_refused_and_an_unknown_one_told() {
        let mut there = setup("0 24\n50 60\n100 94");
        let (_, notes) = taken(&there, &found("41-7", 0.0), How::Beside).unwrap();
        assert_eq!(notes[0].severity, Severity::Warning);
        there.tone.read_with = "densitometer".into();
        assert_eq!(taken(&there, &found("41-7", 0.0), How::Beside).unwrap_err()[0].severity, Severity::Error);
    }

    #[test]
    fn a_chart_through_a_correction_gets_the_ink_it_was_printed_with() {
        let mut there = setup("");
        there.tone.scan.through = "3".into();
        let refused = taken(&there, &found("41-7", 0.0), How::InPlace).unwrap_err();
        assert_eq!(refused[0].field, "scan.through");
        there.corrections = vec![crate::book::CorrectionVersion { version: 3, ..Default::default() }];
        let (ask, _) = taken(&there, &found("41-7", 0.0), How::InPlace).unwrap();
        let read = exchange::read(&ask.readings, None, None);
        let want = solve(&Ask::default()).correction.at(0.5);
        assert!((read.rows[20].code - want).abs() < 1e-3, "{} {want}", read.rows[20].code);
    }
}

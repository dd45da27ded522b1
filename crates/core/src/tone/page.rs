//! The tone station: readings in, response and correction out.

mod answer;
pub mod carry;
pub mod chart;
pub mod scan;
pub mod tablet;
mod taken;
mod verdict;

use super::Quantity;
use crate::book::{Book, Change};
use crate::fields;
use crate::negative::convert_length;
use crate::note::Note;
use crate::show::Units;
use crate::station::{Act, Answer, Deed, Effect, Scene, Station};
use taken::How;
pub(crate) use verdict::next_print;

/// What was typed. It belongs to the setup: all its tickets share one response.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// The readings as typed or pasted: a line a patch.
    pub readings: String,
    /// What the readings are: `look` (by their heading and size), `density` or `lightness`.
    pub quantity: String,
    /// The aim: `as-on-screen`, `linear-lightness`, `linear-density` or `own`.
    pub aim: String,
    /// Own pairs of picture L* and print L*, a line each, as typed.
    pub pairs: String,
    /// The lightest tones are kept printable.
    pub toe: bool,
    /// What the response comes from: `readings`, `eyes` or `tablet`.
    pub from: String,
    /// About a step tablet, and what eyes see.
    pub tablet: tablet::Ask,
    /// About charts to be printed.
    pub chart: chart::Ask,
    /// About carrying the correction out.
    pub carry: carry::Ask,
    /// About reading a chart from a scan.
    pub scan: scan::Ask,
    /// What the readings were made with: `scan`, or the printer's name of an instrument.
    pub read_with: String,
    /// L* of the masked spot.
    pub masked: String,
    /// L* of bare paper.
    pub bare: String,
    /// L* by which all readings may be off together, as a scan's are.
    pub doubt: String,
}

fields!(Ask: readings, quantity, aim, pairs, toe, chart, carry, scan, from, tablet, read_with, masked, bare, doubt);

impl Ask {
    /// Whether both lead to the same correction, whatever else may differ.
    #[must_use]
    pub fn solves_as(&self, other: &Self) -> bool {
        let of = |ask: &Self| {
            let Self { readings, quantity, aim, pairs, toe, from, tablet, .. } = ask.clone();
            (readings, quantity, aim, pairs, toe, from, tablet)
        };
        of(self) == of(other)
    }
}

/// The quantity the printer chose, if any.
pub(super) fn quantity(ask: &Ask) -> Option<Quantity> {
    match ask.quantity.as_str() {
        "density" => Some(Quantity::Density),
        "lightness" => Some(Quantity::Lightness),
        _ => None,
    }
}

impl Default for Ask {
    fn default() -> Self {
        Self {
            readings: String::new(),
            quantity: "look".into(),
            aim: "as-on-screen".into(),
            pairs: String::new(),
            toe: true,
            from: "readings".into(),
            tablet: tablet::Ask::default(),
            chart: chart::Ask::default(),
            carry: carry::Ask::default(),
            scan: scan::Ask::default(),
            read_with: String::new(),
            masked: String::new(),
            bare: String::new(),
            doubt: String::new(),
        }
    }
}

/// What is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// What stands behind the correction.
    pub basis: String,
    /// It rests on readings.
    pub measured: bool,
    /// It does not.
    pub unmeasured: bool,
    /// Within what the next print's middle grey lies, large.
    pub quality: String,
    /// The same as an exposure.
    pub quality_stops: String,
    /// How well the curve alone is known.
    pub quality_detail: String,
    /// How the readings lie about it.
    pub scatter: String,
    /// How the curve came about.
    pub method: String,
    /// What all readings share.
    pub quality_doubt: String,
    /// What limits the next print.
    pub limit: String,
    /// What margin strips say of drift.
    pub drift: String,
    /// The test that would help most.
    pub advice: String,
    /// Black of the print.
    pub black: String,
    /// White of the print.
    pub white: String,
    /// The response as a chart.
    pub response_chart: String,
    /// There are readings to be seen about the curve.
    pub has_residuals: bool,
    /// The readings about the curve, as a chart.
    pub residual_chart: String,
    /// Whether neighbours on the sheet are off together.
    pub pattern: String,
    /// The correction as a chart.
    pub correction_chart: String,
    /// The table behind both.
    pub table: Vec<TableRow>,
    /// Readings to look at again.
    pub doubtful: Vec<DoubtRow>,
    /// There are such readings.
    pub has_doubtful: bool,
    /// Something was typed.
    pub has_readings: bool,
    /// The aim is the printer's own pairs.
    pub own: bool,
    /// The aim is even lightness.
    pub linear: bool,
    /// Readings of ink are the source.
    pub by_readings: bool,
    /// Eyes are.
    pub by_eyes: bool,
    /// Ink read beside a tablet is.
    pub by_tablet: bool,
    /// A tablet is at hand, for either.
    pub with_tablet: bool,
    /// About a step tablet, and what eyes see.
    pub tablet: tablet::View,
    /// About charts to be printed.
    pub chart: chart::View,
    /// About carrying the correction out.
    pub carry: carry::View,
    /// About reading a chart from a scan.
    pub scan: scan::View,
    /// The sheets behind the readings, if there are several.
    pub sheets: Vec<SheetRow>,
    /// There are several.
    pub has_sheets: bool,
    /// Light that comes through full ink.
    pub ink_veil: String,
    /// Stain or fog.
    pub stain: String,
    /// The smallest ink that prints white.
    pub ink_limit: String,
}

fields!(
    out View:
    basis, measured, unmeasured, quality, quality_stops, quality_detail, scatter, method, has_residuals, quality_doubt, limit, drift, advice, black, white, response_chart, residual_chart, pattern,
    correction_chart, table, doubtful, has_doubtful, has_readings, own, linear, by_readings, by_eyes, by_tablet, with_tablet, tablet, chart, carry, scan, sheets, has_sheets, ink_veil, stain,
    ink_limit,
);

/// A line of the table behind the charts.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TableRow {
    /// Picture tone in percent, 0 black.
    pub tone: String,
    /// Ink code in percent.
    pub ink: String,
    /// Value in the film file.
    pub value: String,
    /// L* expected on the print.
    pub lightness: String,
    /// Its 95 % interval.
    pub interval: String,
}

fields!(out TableRow: tone, ink, value, lightness, interval);

/// A sheet behind the readings.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SheetRow {
    /// Its name and how it lies to the others.
    pub text: String,
}

fields!(out SheetRow: text);

/// A reading to look at again.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct DoubtRow {
    /// Which, and why.
    pub text: String,
}

fields!(out DoubtRow: text);

/// The tone station.
#[derive(Clone, Copy, Debug)]
pub struct Tone;

impl Station for Tone {
    const ID: &'static str = "tone";
    type Ask = Ask;
    type View = View;

    fn load(book: &Book) -> Ask {
        book.setup().tone.clone()
    }

    fn keep(book: &Book, ask: Ask) -> Change {
        book.on_setup(|setup| setup.tone = ask)
    }

    fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
        answer::answer(ask, scene)
    }

    fn act(ask: &Ask, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
        match deed.verb {
            "open-readings" => Act::effect(Effect::OpenText {
                verb: "readings",
                accept: ".csv,.txt,.tsv,.cgats,text/csv,text/plain",
            }),
            "readings" => from_file(ask, deed.place)
                .map(|text| {
                    Act::change(scene.book.on_setup(|setup| {
                        (setup.tone.readings, setup.tone.from) = (text, "readings".into());
                    }))
                })
                .into(),
            "clear" => Act::change(scene.book.on_setup(|setup| setup.tone.readings.clear())),
            "carry-proof" => carry::proof_file(&ask.carry, scene)
                .map(|file| Act::effect(Effect::MakeProof(Box::new(file))))
                .into(),
            "carry-points" => carry::with_points(&ask.carry, scene.tone, &scene.book.setup().name)
                .map(|carry| Act::change(scene.book.on_setup(|setup| setup.tone.carry = carry)))
                .into(),
            "carry-file" => {
                carry::file(&ask.carry, ask, scene).map(|file| Act::effect(Effect::SaveBytes(file))).into()
            }
            "scan-open" => read(ask, scene, Effect::OpenScan),
            "scan-again" => read(ask, scene, Effect::ReadScan),
            "scan-blank" => read(ask, scene, Effect::OpenBlank),
            "scan-unshade" => Act::change(scene.book.on_setup(|setup| setup.tone.scan.shading.clear())),
            "scan-clear" => Act::change(scene.book.on_setup(|setup| {
                setup.tone.scan.marks.clear();
                setup.tone.scan.scale.clear();
            })),
            "scan-take" => take(How::InPlace, scene),
            "scan-add" => take(How::Beside, scene),
            "scan-repeat" => take(How::SamePrint, scene),
            "scan-close" => Act::effect(Effect::CloseScan),
            "chart-film" => make(chart::chart_film(&ask.chart, scene)),
            "ramp-film" => make(chart::ramp_film(&ask.chart, scene)),
            _ => Act::default(),
        }
    }

    fn convert(ask: &mut Ask, from: Units, to: Units) {
        for text in [&mut ask.chart.width, &mut ask.chart.height, &mut ask.chart.ramp] {
            convert_length(text, from, to);
        }
    }

    fn sample() -> (Ask, View) {
        let view = View {
            table: vec![TableRow::default()],
            doubtful: vec![DoubtRow::default()],
            carry: carry::sample(),
            tablet: tablet::View { rows: vec![tablet::InkRow::default()], ..tablet::View::default() },
            scan: scan::sample(),
            sheets: vec![SheetRow::default()],
            ..View::default()
        };
        (
            Ask {
                tablet: tablet::Ask { rows: vec![tablet::EyeRow::default()], ..tablet::Ask::default() },
                ..Ask::default()
            },
            view,
        )
    }
}

/// Has a scan read as was typed, or says why not.
fn read(ask: &Ask, scene: &Scene<'_>, effect: fn(Box<scan::ScanWish>) -> Effect) -> Act {
    scan::wish(&ask.scan, &ask.chart, scene).map(|wish| Act::effect(effect(Box::new(wish)))).into()
}

/// Takes the readings of the scan in hand.
fn take(how: How, scene: &Scene<'_>) -> Act {
    let Some(found) = scene.device.scan.as_ref().and_then(|scan| scan.found.as_ref()) else {
        return Act::default();
    };
    taken::taken(scene.book.setup(), found, how)
        .map(|(ask, notes)| Act { notes, ..Act::change(scene.book.on_setup(|setup| setup.tone = ask)) })
        .into()
}

/// The text of a file, if there are readings in it; what was typed so far stays otherwise.
fn from_file(ask: &Ask, text: &str) -> Result<String, Vec<Note>> {
    let read = crate::exchange::read(text, quantity(ask), None);
    if !read.rows.is_empty() {
        return Ok(text.to_owned());
    }
    let mut notes = vec![Note::error(
        "readings",
        "There are no readings in that file; those typed here stay.",
        "Choose a text file with a line a patch: ink in %, then density or L*.",
    )];
    notes.extend(read.notes().into_iter().take(1).map(|note| Note { field: "readings".into(), ..note }));
    Err(notes)
}

/// Has a film made, or says why not.
fn make(film: Result<chart::ChartFilm, Vec<Note>>) -> Act {
    film.map(|film| Act::effect(Effect::MakeChart(Box::new(film)))).into()
}

#[cfg(test)]
mod tests {
    use super::answer::ROWS;
    use super::*;
    use crate::station::Device;
    use crate::testing::test;
    use crate::tone::solve;

    fn answered(ask: &Ask) -> Answer<View> {
        let (tone, device) = (solve(ask), Device::default());
        let mut book = Book::fresh(1, 2);
        let keep = Tone::keep(&book, ask.clone());
        book.apply(keep, 3, "tone/type");
        answer::answer(
            ask,
            &Scene { book: &book, now: 4, zone_minutes: 0, luck: 5, tone: &tone, device: &device },
        )
    }

    fn ramp() -> Ask {
        let lines: Vec<String> = (0..=20)
            .map(|i| {
                let c = f64::from(i) / 20.0;
                format!("{};{:.2}", 100.0 * c, 1.45 - 1.37 * c * (2.0 - c)).replace('.', ",")
            })
            .collect();
        Ask { readings: lines.join("\n"), quantity: "density".into(), ..Ask::default() }
    }

    #[test]
    fn readings_make_it_measured() {
        let solved = solve(&ramp());
        assert!(solved.measured());
        assert_eq!(solved.readings(), 21);
        let answer = answered(&ramp());
        assert!(answer.view.measured && answer.view.table.len() == ROWS);
        assert_eq!(answer.view.table[0].tone, "0");
        assert_eq!(answer.view.table[ROWS - 1].tone, "100");
        assert!(answer.view.response_chart.starts_with("<svg"));
    }

    #[test]
    fn nothing_typed_is_a_starting_correction_without_complaint() {
        let ask = Ask::default();
        let answer = answered(&ask);
        assert!(answer.view.unmeasured);
        assert!(answer.view.basis.contains("not measured, mid tones ± 15 L*"));
        assert!(answer.notes.is_empty(), "{:?}", answer.notes);
    }

    #[test]
    fn letters_in_a_field_not_in_use_get_one_note() {
        let mut ask = Ask { doubt: "abc".into(), ..Ask::default() };
        (ask.chart.ramp, ask.scan.through) = ("abc".into(), "abc".into());
        (ask.tablet.first, ask.tablet.white) = ("abc".into(), "90".into());
        let said = |ask: &Ask| -> Vec<String> {
            answered(ask).notes.iter().map(|n| format!("{}: {}", n.field, n.text)).collect()
        };
        let all = [
            "doubt: The doubt of all readings is not a number.",
            "tablet.first: The first step is not a number.",
            "tablet.white: The number of the step is 90, outside 1 to 61.",
            "scan.through: This setup has no correction abc that a film was made with.",
            "chart.ramp: The length of the ramp is not a number.",
        ];
        assert_eq!(said(&ask), all);
        // With readings the doubt is in use, and has its note still once.
        let used = said(&Ask { doubt: "abc".into(), ..ramp() });
        assert_eq!(used.iter().filter(|n| n.starts_with("doubt")).count(), 1, "{used:?}");
    }

    #[test]
    fn readings_that_cannot_be_used_leave_the_starting_correction_and_say_why() {
        let ask = Ask { readings: "0 1,45\n50 0,5\n100 0,08".into(), ..Ask::default() };
        let solved = solve(&ask);
        assert!(!solved.measured());
        assert!(solved.notes.iter().any(|n| n.text.contains("different ink codes")), "{:?}", solved.notes);
    }

    #[test]
    fn a_word_is_answered_once_with_its_line_and_what_is_wanted() {
        let solved = solve(&Ask { readings: "hello".into(), ..Ask::default() });
        let said: Vec<&str> = solved.notes.iter().map(|n| n.text.as_str()).collect();
        assert_eq!(said, ["Line 1: “hello” holds no number."]);
        // A heading alone is no fault; then only what is wanted is said.
        let solved = solve(&Ask { readings: "ink,density".into(), ..Ask::default() });
        assert!(solved.notes[0].text.starts_with("No line of the readings"), "{:?}", solved.notes);
    }
}

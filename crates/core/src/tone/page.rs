//! The tone station: readings in, response and correction out.

use super::correction::{TABLE, film_code16};
use super::{Aim, Correction, Response, Solved, chart, lightness, solve};
use crate::book::{Book, Change};
use crate::fields;
use crate::show::Units;
use crate::station::{Act, Answer, Deed, Effect, Scene, Station};
use crate::working::Working;

/// Rows of the table behind the charts, from picture black to picture white.
const ROWS: usize = 21;

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
}

fields!(Ask: readings, quantity, aim, pairs, toe);

impl Default for Ask {
    fn default() -> Self {
        Self {
            readings: String::new(),
            quantity: "look".into(),
            aim: "as-on-screen".into(),
            pairs: String::new(),
            toe: false,
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
    /// How well curve and readings agree, large.
    pub quality: String,
    /// The same in detail.
    pub quality_detail: String,
    /// Black of the print.
    pub black: String,
    /// White of the print.
    pub white: String,
    /// The response as a chart.
    pub response_chart: String,
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
}

fields!(
    out View:
    basis, measured, unmeasured, quality, quality_detail, black, white, response_chart,
    correction_chart, table, doubtful, has_doubtful, has_readings, own, linear,
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
        answer(ask, scene.tone, scene.units())
    }

    fn act(ask: &Ask, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
        match deed.verb {
            "open-readings" => Act::effect(Effect::OpenText {
                verb: "readings",
                accept: ".csv,.txt,.tsv,text/csv,text/plain",
            }),
            "readings" => {
                let text = deed.place.to_owned();
                Act::change(scene.book.on_setup(|setup| setup.tone.readings = text))
            }
            "clear" => Act::change(scene.book.on_setup(|setup| setup.tone.readings.clear())),
            "save-points" => Act::effect(Effect::SaveText {
                name: "correction.csv".into(),
                mime: "text/csv",
                text: csv(&solve(ask).correction),
            }),
            _ => Act::default(),
        }
    }

    fn sample() -> (Ask, View) {
        let view =
            View { table: vec![TableRow::default()], doubtful: vec![DoubtRow::default()], ..View::default() };
        (Ask::default(), view)
    }
}

fn answer(ask: &Ask, solved: &Solved, units: Units) -> Answer<View> {
    let correction = &solved.correction;
    let mut view = View {
        measured: solved.measured(),
        unmeasured: !solved.measured(),
        own: ask.aim == "own",
        linear: ask.aim == "linear-lightness",
        has_readings: !ask.readings.trim().is_empty(),
        basis: format!("This correction is {}.", correction.measured().words()),
        response_chart: chart::response(solved),
        correction_chart: chart::correction(correction),
        table: table(correction, units),
        ..View::default()
    };
    let mut working = Working::new("tone");
    let mut notes = solved.notes.clone();
    if let Some(response) = &solved.response {
        show_response(&mut view, &mut working, response, units);
        // The fit's own list says which readings to look at; the notes say what to do about them as a whole.
        view.has_doubtful = !view.doubtful.is_empty();
    }
    for (name, steep) in [("steepest", correction.steepest()), ("flattest", correction.flattest())] {
        working.step(
            &format!("Where the correction is {name}"),
            "change of ink ÷ change of picture tone, over 1/256",
            format!("around picture tone {} %", units.number(100.0 * steep.tone, 0)),
            units.number(steep.value, 2),
        );
    }
    working.sourced(
        "Aim",
        correction.aim().words(),
        "",
        "",
        match correction.aim() {
            Aim::AsOnScreen => {
                "black point compensation: ISO 18619:2015; L*: ISO/CIE 11664-4, CIE 1976 lightness"
            }
            _ => "L*: ISO/CIE 11664-4, CIE 1976 lightness",
        },
    );
    notes.retain(|note| !(view.unmeasured && !view.has_readings && note.field == "readings"));
    Answer { view, notes, workings: vec![working], ticket: Vec::new() }
}

fn show_response(view: &mut View, working: &mut Working, response: &Response, units: Units) {
    let s = response.statistics();
    let end = |e: super::response::End| {
        let half = (e.lightness.high - e.lightness.low) / 2.0;
        let density = lightness::to_density(e.lightness.value)
            .map_or(String::new(), |d| format!(", density {}", units.number(d, 2)));
        format!("L* {} ± {}{density}", units.number(e.lightness.value, 1), units.number(half, 1))
    };
    view.black = end(response.black());
    view.white = end(response.white());
    let middle = response.black().lightness.value.midpoint(response.white().lightness.value);
    let half = response.half_width(response.code_for(middle));
    view.quality = format!("± {} L* in the middle tones", units.number(half, 1));
    view.quality_detail = format!(
        "the curve alone, 95 %; readings scatter {} L* about it (RMS), the worst lies {} L* off; {}",
        units.number(s.rms, 2),
        units.number(s.worst, 1),
        response.method().words()
    );
    view.doubtful = response.flagged().iter().map(|f| DoubtRow { text: f.text() }).collect();
    working.sourced(
        "Response",
        "monotone penalised B-spline, smoothness by restricted maximum likelihood, far readings count less",
        format!("{} readings of {} ink codes", s.readings, s.codes),
        response.method().words(),
        "Eilers and Marx, Statistical Science 11 (1996) 89; Eilers, Journal of Chemometrics 19 (2005); Tukey's bisquare",
    );
    working.step(
        "Scatter of one reading",
        "robust standard deviation of the residuals",
        format!("{} readings", s.readings),
        format!("{} L*", units.number(s.sigma, 2)),
    );
    if let Some(edf) = s.edf {
        working.step("Freedom of the curve", "trace of the smoother", "", units.number(edf, 1));
    }
}

fn table(correction: &Correction, units: Units) -> Vec<TableRow> {
    correction
        .points(ROWS)
        .into_iter()
        .map(|(u, c)| {
            let expected = correction.expected(u);
            TableRow {
                tone: units.number(100.0 * u, 0),
                ink: units.number(100.0 * c, 1),
                value: film_code16(c).to_string(),
                lightness: units.number(expected.value, 1),
                interval: format!("± {}", units.number((expected.high - expected.low) / 2.0, 1)),
            }
        })
        .collect()
}

/// The correction's nodes as CSV (RFC 4180): picture tone and ink code, 0 to 1, with decimal points.
fn csv(correction: &Correction) -> String {
    let mut text = String::from("picture_tone,ink_code\r\n");
    for (u, c) in correction.points(TABLE) {
        text.push_str(&format!("{u:.8},{c:.8}\r\n"));
    }
    text
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

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
        let answer = answer(&ramp(), &solved, Units::default());
        assert!(answer.view.measured && answer.view.table.len() == ROWS);
        assert_eq!(answer.view.table[0].tone, "0");
        assert_eq!(answer.view.table[ROWS - 1].tone, "100");
        assert!(answer.view.response_chart.starts_with("<svg"));
    }

    #[test]
    fn nothing_typed_is_a_starting_correction_without_complaint() {
        let ask = Ask::default();
        let answer = answer(&ask, &solve(&ask), Units::default());
        assert!(answer.view.unmeasured);
        assert!(answer.view.basis.contains("not measured, mid tones ± 15 L*"));
        assert!(answer.notes.is_empty(), "{:?}", answer.notes);
    }

    #[test]
    fn readings_that_cannot_be_used_leave_the_starting_correction_and_say_why() {
        let ask = Ask { readings: "0 1,45\n50 0,5\n100 0,08".into(), ..Ask::default() };
        let solved = solve(&ask);
        assert!(!solved.measured());
        assert!(solved.notes.iter().any(|n| n.text.contains("different ink codes")), "{:?}", solved.notes);
    }

    #[test]
    fn the_csv_carries_every_node() {
        let text = csv(&solve(&ramp()).correction);
        assert_eq!(text.lines().count(), TABLE + 1);
        assert!(text.ends_with("1.00000000,1.00000000\r\n") || text.contains("\r\n1.00000000,0."));
    }
}

//! What the tone station shows of response and correction.

use super::{Ask, DoubtRow, SheetRow, TableRow, View, carry, chart, scan, tablet, taken, verdict};
use crate::entry::{self, Range, optional};
use crate::note::Note;
use crate::show::Units;
use crate::station::{Answer, Scene};
use crate::tone::chart as charts;
use crate::tone::correction::film_code16;
use crate::tone::ink_limit::{InkLimit, offer};
use crate::tone::next_print::NextPrint;
use crate::tone::residuals;
use crate::tone::spots::{AS_WHITE, Finding, Spots, Veil, judge};
use crate::tone::{Aim, Correction, Response, Solved, lightness};
use crate::working::Working;

/// Rows of the table behind the charts, from picture black to picture white.
pub(super) const ROWS: usize = 21;
/// L* a spot may have.
const LIGHTNESS: Range = Range { low: 0.0, high: 105.0 };

/// What is shown for what was typed.
pub(super) fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
    let (solved, units) = (scene.tone, scene.units());
    let correction = &solved.correction;
    let mut view = View {
        measured: solved.measured(),
        unmeasured: !solved.measured(),
        own: ask.aim == "own",
        by_readings: !matches!(ask.from.as_str(), "eyes" | "tablet"),
        by_eyes: ask.from == "eyes",
        by_tablet: ask.from == "tablet",
        with_tablet: matches!(ask.from.as_str(), "eyes" | "tablet"),
        tablet: tablet::answer(&ask.tablet, &ask.from, units),
        linear: ask.aim == "linear-lightness",
        has_readings: !ask.readings.trim().is_empty(),
        basis: format!("This correction is {}.", correction.measured().words()),
        response_chart: charts::response(solved),
        correction_chart: charts::correction(correction),
        ..View::default()
    };
    let mut working = Working::new("tone");
    let mut notes = solved.notes.clone();
    let mut next = None;
    if let Some(response) = &solved.response {
        show_response(&mut view, &mut working, response, units);
        if response.points().len() > 2 {
            view.has_residuals = true;
            view.residual_chart = residuals::chart(response);
            view.pattern = residuals::pattern(response).map(|p| p.words()).unwrap_or_default();
        }
        next = Some(verdict::show(&mut view, &mut working, ask, scene, response, &mut notes));
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
    view.table = steps_of(correction, next.as_ref(), units);
    notes.retain(|note| !(view.unmeasured && !view.has_readings && note.field == "readings"));
    entry::unused(&mut notes, |more| verdict::doubt(ask, more).map_or((), drop));
    tablet::unused(&ask.tablet, &mut notes);
    notes.extend(taken::through(&ask.scan.through, scene.book.setup()).err());
    let (chart, chart_working) = chart::answer(&ask.chart, scene, &mut notes);
    view.chart = chart;
    view.scan = scan::answer(&ask.scan, &ask.chart, &ask.readings, scene, &mut notes);
    show_sheets(&mut view, solved, units);
    show_white(&mut view, ask, solved, units, &mut notes);
    view.carry = carry::answer(&ask.carry, solved, &scene.book.setup().name, units, &mut notes);
    Answer { view, notes, workings: vec![working, chart_working], ticket: Vec::new() }
}

fn show_response(view: &mut View, working: &mut Working, response: &Response, units: Units) {
    let s = response.statistics();
    let end = |e: crate::tone::response::End| {
        let half = (e.lightness.high - e.lightness.low) / 2.0;
        let density = lightness::to_density(e.lightness.value)
            .map_or(String::new(), |d| format!(", density\u{a0}{}", units.number(d, 2)));
        format!(
            "L*\u{a0}{}\u{a0}±\u{a0}{}{density}",
            units.number(e.lightness.value, 1),
            units.number(half, 1)
        )
    };
    view.black = end(response.black());
    view.white = end(response.white());
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

fn steps_of(correction: &Correction, next: Option<&NextPrint>, units: Units) -> Vec<TableRow> {
    correction
        .points(ROWS)
        .into_iter()
        .map(|(u, c)| {
            let expected = next.map_or_else(|| correction.expected(u), |next| next.at(u));
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

/// How the sheets lie to each other.
fn show_sheets(view: &mut View, solved: &Solved, units: Units) {
    view.has_sheets = solved.sheets.len() > 1;
    view.sheets = solved
        .sheets
        .iter()
        .filter(|_| view.has_sheets)
        .map(|lie| SheetRow {
            text: format!(
                "{}: {} readings, middle tones {} ± {} L* from the mean of the sheets",
                lie.name,
                lie.readings,
                units.number(lie.offset, 1),
                units.number(2.0 * lie.error, 1)
            ),
        })
        .collect();
}

/// White by the spots, and the smallest ink that prints it.
fn show_white(view: &mut View, ask: &Ask, solved: &Solved, units: Units, notes: &mut Vec<Note>) {
    let mut spot = |name, label, text: &str| optional(name, label, text, LIGHTNESS, &["l*"], notes);
    let masked = spot("masked", "The masked spot", &ask.masked);
    let bare = spot("bare", "The bare paper", &ask.bare);
    let Some(response) = &solved.response else { return };
    let full: Vec<f64> = response.points().iter().filter(|p| p.code > 0.999).map(|p| p.lightness).collect();
    let count = u32::try_from(full.len()).unwrap_or(u32::MAX);
    let full_ink = (count > 0).then(|| (full.iter().sum::<f64>() / f64::from(count), count));
    let spots = Spots { full_ink, masked: masked.map(|l| (l, 1)), bare: bare.map(|l| (l, 1)) };
    let judged = judge(&spots, AS_WHITE.value);
    let say = |veil: Option<Veil>| {
        veil.map_or(String::new(), |v| {
            let says = match v.finding {
                Finding::Clean => "as white as it should be",
                Finding::Veiled => "to be seen",
                Finding::Unclear => "perhaps to be seen",
            };
            format!("{} D, {says}", units.number(v.density.value.max(0.0), 2))
        })
    };
    view.ink_veil = say(judged.ink_veil);
    view.stain = say(judged.stain);
    notes.extend(judged.notes.into_iter().map(|note| Note { field: "masked".into(), ..note }));
    view.ink_limit = match offer(response, masked, AS_WHITE.value) {
        InkLimit::From(code) => {
            format!("{} %, more only costs ink", units.number(100.0 * code.value, 0))
        }
        InkLimit::Short(d) => format!("none: full ink is {} D darker", units.number(d, 2)),
        InkLimit::AtFull => "full ink".into(),
    };
}

//! The verdict at the tone station: how far the next print may be off, what limits it, and what would help most.

use super::{Ask, View};
use crate::book::{Book, Ticket};
use crate::entry::{Range, optional};
use crate::light::evening;
use crate::note::Note;
use crate::station::Scene;
use crate::tone::advice;
use crate::tone::difference::ciede2000;
use crate::tone::next_print::NextPrint;
use crate::tone::scatter::Scatter;
use crate::tone::table::number;
use crate::tone::{Quantity, Reading, Response};
use crate::working::Working;

/// Ink codes of the margin strip, in percent.
const STRIP: [f64; 7] = [0.0, 10.0, 20.0, 35.0, 50.0, 70.0, 100.0];
/// Readings up to which a strip is taken for densities.
const DENSITY_LIKE: f64 = 4.5;
/// L* that readings may be off together.
const DOUBT: Range = Range { low: 0.0, high: 30.0 };

/// Prints that tell how well the process repeats now; older ones tell of another, and each costs a keystroke.
const RECENT: usize = 60;

/// Margin strips that were read on the latest finished prints of the setup in hand.
fn strips(book: &Book) -> Vec<Vec<Reading>> {
    let setup = &book.ticket().setup;
    // Behind an evened film a strip gets another exposure than the curve stands for.
    let plain = |ticket: &Ticket| evening::on_film(book, ticket).is_none();
    let of_setup =
        book.records().filter(|(_, record)| record.ticket.setup == *setup && plain(&record.ticket));
    let strip = |texts: &[String]| -> Vec<Reading> {
        let read: Vec<(f64, f64)> = STRIP
            .iter()
            .zip(texts)
            .filter_map(|(code, text)| Some((0.01 * code, number(text).ok()?)))
            .collect();
        let dense = read.iter().all(|(_, value)| *value <= DENSITY_LIKE);
        let quantity = if dense { Quantity::Density } else { Quantity::Lightness };
        let one = |(code, value)| Reading { code, value, quantity, weight: 1.0, id: String::new() };
        read.into_iter().map(one).filter(|r| r.fault().is_none()).collect()
    };
    of_setup.rev().map(|(_, record)| strip(&record.strip)).filter(|s| s.len() > 1).take(RECENT).collect()
}

/// The next print through the correction in hand; `None` while nothing was measured.
pub(crate) fn next_print(scene: &Scene<'_>) -> Option<NextPrint> {
    scene.tone.response.as_ref().map(|response| next(scene, response))
}

fn next(scene: &Scene<'_>, response: &Response) -> NextPrint {
    let learnt = Scatter::learnt(&strips(scene.book), response);
    NextPrint::new(response, &scene.tone.correction, learnt.scatter, scene.tone.sheets.len())
        .drifted(learnt.drift)
}

/// By how much all readings may be off together, L*.
pub(super) fn doubt(ask: &Ask, notes: &mut Vec<Note>) -> Option<f64> {
    optional("doubt", "The doubt of all readings", &ask.doubt, DOUBT, &["l*"], notes)
}

/// Shows the verdict, and gives what it rests on.
pub(super) fn show(
    view: &mut View,
    working: &mut Working,
    ask: &Ask,
    scene: &Scene<'_>,
    response: &Response,
    notes: &mut Vec<Note>,
) -> NextPrint {
    let units = scene.units();
    let next = next(scene, response);
    view.quality = next.figure(units);
    view.quality_stops = next.in_stops(units);
    let doubt = doubt(ask, notes).unwrap_or(0.0);
    if doubt > 0.0 {
        view.quality_doubt =
            format!("Besides, all readings may be off together by {} L*.", units.number(doubt, 1));
    }
    let parts = next.mean_parts();
    view.limit = parts.limit().words().into();
    view.drift = next.drift_words(units).unwrap_or_default();
    view.advice = advice::best(&next, response).map(|a| a.words(units)).unwrap_or_default();
    let (rms, worst) = next.fit_alone();
    let s = response.statistics();
    view.quality_detail = format!(
        "±\u{a0}{} L*, at worst ±\u{a0}{}",
        units.number(1.96 * rms, 1),
        units.number(1.96 * worst, 1)
    );
    view.method = response.method().words().into();
    if view.has_residuals {
        view.scatter = format!("{} L*, the worst {} off", units.number(s.rms, 2), units.number(s.worst, 1));
    }
    let scatter = next.scatter();
    let source = if scatter.strips == 0 {
        "starting values of ours, until three margin strips were read".to_owned()
    } else {
        format!("learnt from {} margin strips of yours", scatter.strips)
    };
    let spread = |variance: f64| format!("{} L*", units.number(crate::math::sqrt(variance.max(0.0)), 2));
    working.sourced(
        "Scatter from print to print",
        "standard deviations of exposure and of black",
        format!("± {} log H, ± {} L*", units.number(scatter.exposure, 3), units.number(scatter.coat, 1)),
        format!("{} L* over all tones", units.number(next.rms(), 2)),
        &source,
    );
    let middle = next.at(next.middle());
    // A band that is wider than the scale ends at white.
    let end = middle.high.min(100.0);
    working.sourced(
        "Middle grey as a difference that is seen",
        "CIEDE2000 of the grey and the end of its band",
        format!("L* {} and {}", units.number(middle.value, 1), units.number(end, 1)),
        format!("ΔE00 {}", units.number(ciede2000([middle.value, 0.0, 0.0], [end, 0.0, 0.0]), 1)),
        "ISO/CIE 11664-6; Sharma, Wu and Dalal, Color Research and Application 30 (2005) 21",
    );
    if let Some((mean, error)) = next.drift() {
        working.step(
            "Drift since the curve was measured",
            "mean exposure of the margin strips against the curve",
            format!("{} margin strips", scatter.strips),
            format!("{} ± {} log H", units.number(mean, 3), units.number(1.96 * error, 3)),
        );
    }
    for (what, variance) in [
        ("of the curve", parts.fit),
        ("of the sheets it was measured on", parts.sheets),
        ("of the drift since then", parts.drift),
        ("of the next exposure", parts.exposure),
        ("of the next coat", parts.coat),
    ] {
        working.step(&format!("Share {what}"), "standard deviation, all tones", "", spread(variance));
    }
    next
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn strips_of_finished_prints_are_found() {
        let book = crate::book::demo::demo(1_764_000_000_000, 1);
        let found = strips(&book);
        assert!(found.len() >= 3, "{}", found.len());
        assert!(found.iter().flatten().all(|r| r.quantity == Quantity::Density && r.fault().is_none()));
    }
}

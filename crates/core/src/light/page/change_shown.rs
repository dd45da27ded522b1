//! What a change of the time does, and what ten percent more light does.

use super::super::paper::InUse;
use super::super::{Change, Exposure, ToneRow, View, paper_curve};
use super::show::Shown;
use super::signed;
use crate::constant::Constant;
use crate::note::Note;
use crate::show::Units;
use crate::tone::lightness;
use crate::working::Working;

/// A middle tone of a print.
pub(super) const MIDDLE: Constant = Constant::choice(50.0, "L*", 2, "half way between L* 0 and 100");
/// Tones whose change is shown, in L*.
const SHOWN: [(&str, u8); 5] =
    [("Deep shadow", 30), ("Shadow", 40), ("Middle", 50), ("Light", 65), ("High light", 80)];

/// What ten percent more light does.
pub(super) fn rule(curve: &InUse<'_>, units: Units, view: &mut View) {
    let ten = Change::from_percent(10.0).unwrap_or_default();
    if let Some(d) = lightness::to_density(MIDDLE.value)
        && let Some(shift) = curve.paper().shift(d, ten.to_log())
    {
        let l = shift.lightness;
        view.rule = format!(
            "10 % more light is {} stop, and makes middle tones about {} L* darker ({} to {}).",
            units.number(ten.to_stops(), 2),
            units.number(-l.value, 1),
            units.number(-l.high, 1),
            units.number(-l.low, 1),
        );
    }
}

/// The time with its working, and what its change does.
pub(super) fn known(e: &Exposure, curve: &InUse<'_>, units: Units, view: &mut View, shown: &mut Shown) {
    view.known = true;
    view.time = e.time.shown();
    view.seconds = format!("{} s", units.figures(e.time.to_seconds(), 5));
    view.changed = e.change != Change::default();
    let mut working = Working::new("time");
    working.step("Time of the setup", "as typed", "", format!("{} s", units.figures(e.base.to_seconds(), 6)));
    if view.changed {
        let (log, stops) = (e.change.to_log(), e.change.to_stops());
        view.from = format!("from {} of the setup, {} stop", e.base.shown(), signed(units, stops, 2));
        view.change = format!(
            "{} stop, {} log exposure, {} %",
            signed(units, stops, 2),
            signed(units, log, 3),
            signed(units, e.change.to_percent(), 0)
        );
        working.sourced(
            "Factor",
            "10^(log exposure) = 2^stops",
            format!("{} log; {} stop", signed(units, log, 3), signed(units, stops, 2)),
            units.figures(e.change.to_factor(), 4),
            "by definition; light times time counts (Bunsen and Roscoe), which no one has tested for this paper",
        );
        working.step(
            "Time on this ticket",
            "time × factor, to the second",
            format!(
                "{} s × {}",
                units.figures(e.base.to_seconds(), 6),
                units.figures(e.change.to_factor(), 4)
            ),
            e.time.shown(),
        );
        effect(log, curve, units, view, shown);
    } else {
        view.from = "of the setup: black behind clear film".into();
    }
    shown.workings.push(working);
}

fn effect(log: f64, curve: &InUse<'_>, units: Units, view: &mut View, shown: &mut Shown) {
    let own = matches!(curve, InUse::Own(_));
    let curve = curve.paper();
    let (before, after) = (curve.density(0.0), curve.density(log));
    let density = |d| format!("D\u{a0}{}", units.number(d, 2));
    view.black = if log < 0.0 {
        format!(
            "Clear film no longer gives full black: {} falls to {} ({} L* lighter).",
            density(before),
            density(after),
            units.number(lightness::from_density(after) - lightness::from_density(before), 1),
        )
    } else {
        format!(
            "Clear film is black already: {} becomes {}. Behind it, tones of up to {} more film density close up into black.",
            density(before),
            density(after),
            units.number(log, 2),
        )
    };
    if log < -0.05 {
        shown.notes.push(Note::warning(
            "change",
            "With less light than the setup's, clear film does not reach black.",
            "If the picture should be lighter, change its tone instead; shorten only if the setup's time is too long.",
        ));
    }
    for (tone, l) in SHOWN {
        let l = f64::from(l);
        let Some(shift) = lightness::to_density(l).and_then(|d| curve.shift(d, log)) else { continue };
        let e = shift.lightness;
        let range = format!("{} to {}", signed(units, e.low, 1), signed(units, e.high, 1));
        if l == MIDDLE.value {
            view.middle = format!(
                "Middle tones become about {} L* {} ({} to {}).",
                units.number(e.value.abs(), 1),
                if log < 0.0 { "lighter" } else { "darker" },
                units.number(e.low.abs().min(e.high.abs()), 1),
                units.number(e.low.abs().max(e.high.abs()), 1),
            );
        }
        view.tones.push(ToneRow {
            tone: tone.into(),
            before: format!("L*\u{a0}{}, {}", units.number(l, 0), density(shift.before)),
            after: format!("L*\u{a0}{}, {}", units.number(l + e.value, 0), density(shift.after)),
            change: format!("{} L* ({range})", signed(units, e.value, 1)),
        });
    }
    let mut working = Working::new("effect");
    let figures = (
        format!("x = 0 and x = {}", signed(units, log, 3)),
        format!("{}, {}", density(before), density(after)),
    );
    let label = "Density at x, the log exposure from black";
    if own {
        working.step(label, "the curve of your step print", figures.0, figures.1);
    } else {
        working.step(label, "Dmin + R · (1 − (δ/R)^(10^(g·x)))", figures.0, figures.1);
        working.constant("Dmin", &paper_curve::PAPER);
        working.constant("R", &paper_curve::RANGE);
        working.constant("g", &paper_curve::STEEPNESS);
        working.constant("g, least believed", &paper_curve::STEEPNESS_LOW);
        working.constant("g, greatest believed", &paper_curve::STEEPNESS_HIGH);
        working.constant("δ, unless typed", &paper_curve::CLOSENESS);
    }
    working.sourced("L* from density", "116 · (10^−D)^(1/3) − 16", "", "", "ISO/CIE 11664-4");
    shown.workings.push(working);
}

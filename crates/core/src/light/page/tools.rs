//! The part of the light station that answers "what if": another time, another ink, a flash, a burn.

use super::super::burn;
use super::super::paper::InUse;
use super::super::{Ask as LightAsk, Change, Duration, Exposure, Learnt};
use super::show::Shown;
use super::signed;
use crate::entry::{self, Range};
use crate::fields;
use crate::show::Units;
use crate::station::Scene;
use crate::tone::lightness;
use crate::working::Working;

/// Stops that are tried.
const STOPS: Range = Range { low: -3.0, high: 3.0 };
/// Percent of ink that are tried.
const INK: Range = Range { low: -60.0, high: 100.0 };
/// Densities of a tone.
const DENSITY: Range = Range { low: 0.0, high: 3.0 };
/// Inks of the margin strip, in percent.
const PATCHES: [u8; 7] = [0, 10, 20, 35, 50, 70, 100];
/// L* of tones where no film is known.
const TONES: [u8; 6] = [25, 35, 50, 65, 80, 90];

/// A patch now and then.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TryRow {
    /// Its ink or tone.
    pub patch: String,
    /// As it prints.
    pub before: String,
    /// As it would.
    pub after: String,
    /// The difference in L*, with its interval.
    pub change: String,
}

fields!(out TryRow: patch, before, after, change);

/// What is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// What is tried.
    pub tried: String,
    /// Patches now and then.
    pub rows: Vec<TryRow>,
    /// There are any.
    pub has_rows: bool,
    /// A burn.
    pub burn: String,
    /// A flash.
    pub flash: String,
}

fields!(out View: tried, rows, has_rows, burn, flash);

/// What is shown, with notes and workings.
pub(super) fn answer(
    ask: &LightAsk,
    exposure: Option<&Exposure>,
    learnt: &Learnt,
    curve: &InUse<'_>,
    scene: &Scene<'_>,
    shown: &mut Shown,
) -> View {
    let units = scene.units();
    let mut view = View::default();
    what_if(ask, exposure, curve, scene, units, &mut view, shown);
    tones(ask, exposure, learnt, curve, units, &mut view, shown);
    view
}

fn what_if(
    ask: &LightAsk,
    exposure: Option<&Exposure>,
    curve: &InUse<'_>,
    scene: &Scene<'_>,
    units: Units,
    view: &mut View,
    shown: &mut Shown,
) {
    let stops =
        entry::optional("what", "The change tried", &ask.what, STOPS, &["stop", "stops"], &mut shown.notes)
            .unwrap_or(0.0);
    let more = entry::optional("what_ink", "The ink tried", &ask.what_ink, INK, &["%"], &mut shown.notes)
        .unwrap_or(0.0);
    let nothing = stops == 0.0 && more == 0.0;
    let change = Change::from_stops(stops);
    let time = exposure.map(|e| Duration::from_seconds((e.time.to_seconds() * change.to_factor()).round()));
    // The rows stay where they are when nothing is tried, so that they do not jump while the slider passes 0.
    view.tried = if nothing {
        "The print as it is: move the slider, or type another ink.".into()
    } else {
        format!(
            "{} stop{}{}",
            signed(units, stops, 2),
            time.map_or_else(String::new, |t| format!(
                ", {} instead of {}",
                t.shown(),
                exposure.map_or_else(String::new, |e| e.time.shown())
            )),
            if more == 0.0 { String::new() } else { format!(", ink {} % denser", signed(units, more, 0)) }
        )
    };
    let paper = curve.paper();
    // Where a response was measured the patches are those of the film; else plain tones.
    let response = scene.tone.response.as_ref();
    let patches: Vec<(String, f64, f64)> = match response {
        Some(response) => {
            let x = |l: f64| lightness::to_density(l).and_then(|d| paper.log_exposure(d));
            let clear = x(response.at(0.0)).unwrap_or(0.0);
            PATCHES
                .iter()
                .map(|ink| {
                    let l = response.at(f64::from(*ink) / 100.0);
                    // Ink that holds back more moves each patch by what it holds back already.
                    let held = x(l).map_or(0.0, |x| (clear - x).max(0.0));
                    (format!("{ink} % ink"), l, change.to_log() - held * more / 100.0)
                })
                .collect()
        }
        None => TONES
            .iter()
            .map(|l| {
                let l = f64::from(*l);
                let held = lightness::to_density(l)
                    .and_then(|d| paper.log_exposure(d))
                    .map_or(0.0, |x| (-x).max(0.0));
                (format!("L* {}", units.number(l, 0)), l, change.to_log() - held * more / 100.0)
            })
            .collect(),
    };
    for (patch, l, log) in patches {
        let Some(shift) = lightness::to_density(l).and_then(|d| paper.shift(d, log)) else { continue };
        let e = shift.lightness;
        view.rows.push(TryRow {
            patch,
            before: format!("L*\u{a0}{}, D\u{a0}{}", units.number(l, 0), units.number(shift.before, 2)),
            after: format!(
                "L*\u{a0}{}, D\u{a0}{}",
                units.number(l + e.value, 0),
                units.number(shift.after, 2)
            ),
            change: format!(
                "{} L* ({} to {})",
                signed(units, e.value, 1),
                signed(units, e.low, 1),
                signed(units, e.high, 1)
            ),
        });
    }
    view.has_rows = !view.rows.is_empty();
}

fn tones(
    ask: &LightAsk,
    exposure: Option<&Exposure>,
    learnt: &Learnt,
    curve: &InUse<'_>,
    units: Units,
    view: &mut View,
    shown: &mut Shown,
) {
    let notes = &mut shown.notes;
    let from = entry::optional("tone_from", "The tone as it is", &ask.tone_from, DENSITY, &["d"], notes);
    let to = entry::optional("tone_to", "The tone as it should be", &ask.tone_to, DENSITY, &["d"], notes);
    let (Some(from), Some(to), Some(e)) = (from, to, exposure) else { return };
    let paper = curve.paper();
    let seconds = e.time.to_seconds();
    let Some(change) = burn::needed(paper, from, to) else {
        view.burn = "One of the two is beyond what this paper gives: black and white tell no light.".into();
        return;
    };
    let part = seconds * (change.to_factor() - 1.0);
    view.burn = if part >= 0.0 {
        format!(
            "Burn this place for {} more ({} stop).",
            Duration::from_seconds(part).shown(),
            signed(units, change.to_stops(), 2)
        )
    } else {
        format!(
            "Hold it back for {} of the {} ({} stop).",
            Duration::from_seconds(-part).shown(),
            e.time.shown(),
            signed(units, change.to_stops(), 2)
        )
    };
    let film = learnt.print().map_or(0.0, |p| p.film.value);
    if let Some(flash) = burn::flash(paper, from, to, seconds, film) {
        let black = paper.density(0.0);
        let then = burn::flashed(paper, black - 1e-6, flash, seconds, film).unwrap_or(black);
        view.flash = format!(
            "Or flash the whole sheet without film for {} s: this tone gets there, black gains {} D.",
            units.figures(flash, 2),
            units.number(then - black, 3)
        );
    }
    let mut working = Working::new("burn");
    working.step(
        "Change",
        "log H(as it should be) − log H(as it is)",
        format!("{}; {}", units.number(to, 2), units.number(from, 2)),
        format!("{} log", signed(units, change.to_log(), 3)),
    );
    working.sourced(
        "Light in parts counts like light at once",
        "",
        "",
        "assumed",
        "usual; intermittency was not tested for these coatings",
    );
    shown.workings.push(working);
}

//! The time of a ticket: what moves it, what only widens it, and one interval for the sum.

use super::super::exposure::{self, level, warm_up};
use super::super::lamp::distance::LampKind;
use super::super::lamp::warm_up::WarmUp;
use super::super::learned::{FEWEST, Learned};
use super::super::steps::Found;
use super::super::{Ask, Change, Effects, Exposure, Learnt, View, strip};
use super::show::Shown;
use super::signed;
use super::steps;
use crate::constant::{Basis, Constant};
use crate::entry::{self, Range};
use crate::fields;
use crate::math;
use crate::note::Note;
use crate::show::{Units, clock};
use crate::station::Scene;
use crate::working::Working;

/// Half the 95 % interval of a time of which nothing more is known.
pub const TYPED: Constant =
    Constant::choice(0.1, "log exposure", 1, "a third of a stop; a step print or a strip narrows it");
/// The same of a meter's reading.
pub const METER: Constant =
    Constant::practice(0.025, "log exposure", 2, "hobby meters repeat within 5 or 6 %; no source");
/// The most that a percent of relative humidity is believed to do.
pub const HUMIDITY: Constant = Constant {
    value: 0.02,
    unit: "log exposure per % RH",
    digits: 1,
    basis: Basis::FromMemory,
    source: "0.008 is the middle of what is believed, 0.020 its upper end; to be learned",
};
/// The most that a thousand hours are believed to do to tubes.
pub const HOURS: Constant = Constant::published(
    0.15,
    "log exposure per 1000 h",
    2,
    "ultraviolet tubes end their life at −30 %, as a trade column has it",
);
/// From which half interval on a belief suggests a strip, in log exposure.
const STRIP: f64 = 0.1;
/// Hours of a lamp.
const LAMP_HOURS: Range = Range { low: 0.0, high: 100_000.0 };
/// Relative humidity, %.
const PERCENT: Range = Range { low: 1.0, high: 100.0 };

/// An effect on the time.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct EffectRow {
    /// What.
    pub name: String,
    /// By how much it moves the time.
    pub moves: String,
    /// By how much it leaves it open.
    pub open: String,
    /// Where that comes from.
    pub basis: String,
}

fields!(out EffectRow: name, moves, open, basis);

struct Effect {
    name: &'static str,
    /// Log exposure.
    moves: f64,
    /// Half the 95 % interval, log exposure.
    half: f64,
    basis: String,
    belief: bool,
}

/// Log exposure in stops.
fn stops(log: f64) -> f64 {
    log / core::f64::consts::LOG10_2
}

/// What moves the time in hand, what widens it, and one interval for the sum.
pub(super) fn sum(
    ask: &Ask,
    e: &Exposure,
    near: f64,
    known: &Effects,
    scene: &Scene<'_>,
    view: &mut View,
    shown: &mut Shown,
) {
    let units = scene.units();
    let mut effects = vec![origin(ask, e, near, scene.tone.paper())];
    let effect = |name, moves, half, basis: String| Effect { name, moves, half, basis, belief: false };
    if e.change.to_log() != 0.0 {
        effects.push(effect("Change on this ticket", e.change.to_log(), 0.0, "as chosen".into()));
    }
    if let Some(own) = known.own(ask) {
        let half = (own.high - own.low) / 2.0;
        effects.push(effect("Your own prints", own.value, half, own.basis.words()));
    }
    if e.evened != Change::default() {
        let basis = "your map of the frame".to_owned();
        effects.push(effect("Film that evens the light", e.evened.to_log(), 0.0, basis));
    }
    let metered = !ask.setup.meter.trim().is_empty() && !ask.meter.trim().is_empty();
    if metered && !ask.leave_meter {
        let basis = "measured by you".to_owned();
        effects.push(effect("Light, by your meter", e.meter.to_log(), METER.value, basis));
    }
    let faint = if ask.leave_meter { None } else { known.law_adds(ask, e.meter.to_log()) };
    if let Some(faint) = faint {
        let half = (faint.high - faint.low) / 2.0;
        effects.push(effect("How faint light counts", faint.value, half, faint.basis.words()));
    }
    if let Some(cold) = e.cold {
        let basis = "three readings of your meter".to_owned();
        effects.push(effect("The lamp starts cold", cold.to_log(), cold_doubt(ask, e), basis));
    }
    if let Some(l) = known.learned.filter(|l| l.n >= FEWEST) {
        let basis = format!("your own prints ({})", l.n);
        effects.push(effect("From print to print", 0.0, 1.96 * l.scatter, basis));
    }
    beliefs(ask, scene, &mut effects, shown);
    let half = math::sqrt(effects.iter().map(|e| e.half * e.half).sum());
    let seconds = e.time.to_seconds();
    view.interval =
        format!("{} to {}", clock(seconds / math::exp10(half)), clock(seconds * math::exp10(half)));
    view.reason = effects.iter().map(|e| e.basis.as_str()).next().unwrap_or_default().to_owned();
    let moved = |log: f64| {
        if log == 0.0 { "nothing".into() } else { format!("{} stop", signed(units, stops(log), 2)) }
    };
    let open = |half: f64| {
        if half == 0.0 { "nothing".into() } else { format!("± {} stop", units.number(stops(half), 2)) }
    };
    let mut working = Working::new("interval");
    for (i, effect) in effects.iter().enumerate() {
        working.step(
            effect.name,
            "",
            effect.basis.clone(),
            format!("{} log ± {}", signed(units, effect.moves, 3), units.number(effect.half, 3)),
        );
        view.effects.push(EffectRow {
            name: effect.name.into(),
            moves: if i == 0 { e.base.shown() } else { moved(effect.moves) },
            open: open(effect.half),
            basis: effect.basis.clone(),
        });
    }
    view.sum_moves = e.time.shown();
    view.sum_open = open(half);
    working.step("Interval of the sum, 95 %", "√ of the sum of the squares", "", view.interval.clone());
    for constant in [("Time as typed", &TYPED), ("Meter", &METER), ("Air", &HUMIDITY), ("Hours", &HOURS)] {
        working.constant(constant.0, constant.1);
    }
    shown.workings.push(working);
    settled(e, units, view, shown);
    let believed = math::sqrt(effects.iter().filter(|e| e.belief).map(|e| e.half * e.half).sum());
    if believed > STRIP {
        view.suggest_strip = "Air or lamp are not as when this time was found, and nobody measured what that does here: make a strip around the time.".into();
    }
    if let Some(l) = known.learned {
        view.has_own = l.moves(&ask.setup).is_some();
        told(l, ask, e, units, view);
    }
    view.has_meter = metered;
    view.has_law = view.has_meter && known.law.is_some_and(|law| !law.plain());
    view.can_leave = view.has_own || view.has_meter;
    let book = scene.book;
    if !book.ticket().asks.coat.setup.prints_like(&book.setup().presets.coat) {
        view.other_mix = "The mix or coat on this ticket is not the setup's: time and correction were made for the other one. It is another setup; the cheapest bridge is the margin strip, seven patches printed once with it and read.".into();
    }
}

/// How the time comes from the setup's, in words and as working, where more than a change moves it.
fn settled(e: &Exposure, units: Units, view: &mut View, shown: &mut Shown) {
    let none = Change::default();
    let parts = [
        ("by the change on this ticket", "Change on this ticket", e.change),
        ("by your own prints", "Your own prints", e.own.unwrap_or(none)),
        ("for the film that evens the light", "Film that evens the light", e.evened),
        ("by the meter", "Light, by your meter", e.meter),
        ("as faint light counts less", "How faint light counts", e.law.unwrap_or(none)),
        ("as the lamp starts cold", "The lamp starts cold", e.cold.unwrap_or(none)),
    ];
    let parts: Vec<_> = parts.into_iter().filter(|p| p.2 != none).collect();
    if parts.iter().all(|p| p.2 == e.change) {
        return;
    }
    let said: Vec<String> = parts
        .iter()
        .map(|(words, _, c)| format!("{} stop {words}", signed(units, c.to_stops(), 2)))
        .collect();
    view.from = format!("from {} of the setup, {}", e.base.shown(), said.join(", "));
    let Some(working) = shown.workings.iter_mut().find(|w| w.id == "time") else { return };
    working.steps.truncate(1);
    for (_, name, change) in &parts {
        let log = format!("{} log", signed(units, change.to_log(), 3));
        working.step(name, "factor = 10^(log exposure)", log, units.figures(change.to_factor(), 4));
    }
    working.step(
        "Time on this ticket",
        "time × all factors, to the second",
        format!("{} s × {}", units.figures(e.base.to_seconds(), 6), units.figures(e.moved().to_factor(), 4)),
        e.time.shown(),
    );
}

/// Half the 95 % interval of what a cold lamp adds, in log exposure: each of its three readings may be off as a meter is.
fn cold_doubt(ask: &Ask, e: &Exposure) -> f64 {
    let notes = &mut Vec::new();
    let read = |name: &str, text: &str, notes: &mut Vec<_>| level(name, "", text, notes);
    let s = &ask.setup;
    let (Some(lamp), Some(cold), Some(later), Some(full)) = (
        warm_up(ask, notes),
        read("", &s.cold, notes),
        read("", &s.warmer, notes),
        read("", &s.meter, notes),
    ) else {
        return 0.0;
    };
    let warm = e.warm();
    let added = |lamp: WarmUp| math::log10(lamp.time(warm) / warm);
    // The second reading's place in time from the lamp it was found for.
    let seconds = -lamp.tau * math::ln((full - later) / (full - cold));
    let off = math::exp10(METER.value);
    let now = added(lamp);
    let squares: f64 = [(off, 1.0, 1.0), (1.0, off, 1.0), (1.0, 1.0, off)]
        .into_iter()
        .map(|(a, b, c)| {
            // Readings that no longer rise tell nothing: then all of it is open.
            let other = WarmUp::measured(cold * a, (seconds, later * b), full * c).map_or(0.0, added);
            (other - now) * (other - now)
        })
        .sum();
    math::sqrt(squares)
}

fn origin(ask: &Ask, e: &Exposure, near: f64, learnt: &Learnt) -> Effect {
    let name = "Time of the setup";
    let base = math::log10(e.base.to_seconds());
    if let Some(found) = steps::time_for_black(&learnt.found, near) {
        let (low, high) = (math::log10(found.low), math::log10(found.high));
        if (low - 0.01..=high + 0.01).contains(&base) {
            let (half, basis) = match &learnt.found {
                Found::Eyes { .. } => ((high - base).max(base - low), "your step print, by eye".to_owned()),
                _ => ((high - base).max(base - low), format!("your step print, {}", found.basis.words())),
            };
            return Effect { name, moves: 0.0, half, basis, belief: false };
        }
    }
    if let Some(plan) = exposure_strip(ask)
        && let Some(strip) = plan.strips.iter().find(|s| f64::from(s.seconds) == e.base.to_seconds())
        && ask.strip_found.trim() == strip.number.to_string()
    {
        let step = plan.strips.get(1).map_or(1.0, |s| s.stops) * core::f64::consts::LOG10_2;
        return Effect {
            name,
            moves: 0.0,
            half: step,
            basis: "your time strip, a step either way".into(),
            belief: false,
        };
    }
    let basis = if ask.setup.time.trim().is_empty() {
        "the dose as typed"
    } else {
        "as typed; how it was found is not known"
    };
    Effect { name, moves: 0.0, half: TYPED.value, basis: basis.into(), belief: false }
}

fn exposure_strip(ask: &Ask) -> Option<strip::Plan> {
    exposure::strip_plan(ask, &mut Vec::new())
}

/// Humidity with the setup in %, hours of the lamp with the setup and now, as far as they were typed.
pub(super) fn conditions(ask: &Ask, notes: &mut Vec<Note>) -> [Option<f64>; 3] {
    let text = &ask.setup.humidity;
    let then = entry::optional("setup.humidity", "The humidity with the setup", text, PERCENT, &["%"], notes);
    let mut hours =
        |name: &str, label: &str, text: &str| entry::optional(name, label, text, LAMP_HOURS, &["h"], notes);
    [
        then,
        hours("setup.hours", "The hour count with the setup", &ask.setup.hours),
        hours("hours", "The hour count now", &ask.hours),
    ]
}

fn beliefs(ask: &Ask, scene: &Scene<'_>, effects: &mut Vec<Effect>, shown: &mut Shown) {
    let units = scene.units();
    let [then, hours_then, hours_now] = conditions(ask, &mut shown.notes);
    let now = super::air::humidity(&ask.air, units, &mut Vec::new()).or_else(|| {
        let day = scene.book.day(&scene.book.ticket().day)?;
        entry::optional("", "", &day.humidity, PERCENT, &["%"], &mut Vec::new())
    });
    if let (Some(then), Some(now)) = (then, now)
        && (then - now).abs() >= 1.0
    {
        effects.push(Effect {
            name: "Air",
            moves: 0.0,
            half: HUMIDITY.value * (then - now).abs(),
            basis: format!("belief: {} % against {} % then", units.number(now, 0), units.number(then, 0)),
            belief: true,
        });
    }
    let metered = !ask.setup.meter.trim().is_empty() && !ask.meter.trim().is_empty() && !ask.leave_meter;
    let tubes = LampKind::from_word(&ask.setup.kind) == Some(LampKind::Tubes);
    if let (Some(then), Some(now)) = (hours_then, hours_now)
        && tubes
        && !metered
        && now > then
    {
        effects.push(Effect {
            name: "Hours on the tubes",
            moves: 0.0,
            half: HOURS.value * (now - then) / 1000.0,
            basis: format!("belief: {} h since; a meter would tell", units.number(now - then, 0)),
            belief: true,
        });
    }
}

fn told(l: Learned, ask: &Ask, e: &Exposure, units: Units, view: &mut View) {
    // As the paper sees it: what the meter and a cold lamp add is no more light.
    let paper = e.base.to_seconds() * e.change.then(e.own.unwrap_or_default()).to_factor();
    match l.time() {
        Some(_) if e.own.is_some() => {}
        Some(time) if (time / paper - 1.0).abs() > 0.02 => {
            // Where the tick below does it, no button has to.
            view.can_learned = l.moves(&ask.setup).is_none();
            view.learned = format!(
                "Your last {} prints came out {} stop {} than the reference: {} would match it.{}",
                l.n,
                units.number(stops(l.speed).abs(), 2),
                if l.speed < 0.0 { "weaker" } else { "stronger" },
                clock(time),
                if view.can_learned {
                    " The reference was made with another time of the setup, so they move nothing by themselves."
                } else {
                    ""
                }
            );
        }
        _ if l.n >= FEWEST => {
            view.learned = format!(
                "Your last {} prints scatter by {} stop about the reference; that moves nothing.",
                l.n,
                units.number(stops(l.scatter), 2)
            );
        }
        _ => {}
    }
}

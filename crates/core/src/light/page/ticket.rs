//! The time of a ticket: what moves it, what only widens it, and one interval for the sum.

use super::super::lamp::distance::LampKind;
use super::super::learned::{FEWEST, Learned};
use super::super::steps::Found;
use super::super::{Ask, Exposure, Learnt, exposure, strip};
use super::show::Shown;
use super::signed;
use super::steps;
use crate::constant::{Basis, Constant};
use crate::entry::{self, Range};
use crate::fields;
use crate::math;
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

/// What is shown of the sum.
#[derive(Debug, Default)]
pub(super) struct Sum {
    pub(super) interval: String,
    pub(super) reason: String,
    pub(super) rows: Vec<EffectRow>,
    pub(super) suggest_strip: String,
    pub(super) learned: String,
    pub(super) can_learned: bool,
    pub(super) other_mix: String,
}

/// The interval of the time in hand and what it rests on.
pub(super) fn sum(
    ask: &Ask,
    e: &Exposure,
    near: f64,
    learned: Option<Learned>,
    scene: &Scene<'_>,
    shown: &mut Shown,
) -> Sum {
    let units = scene.units();
    let mut effects = vec![origin(ask, e, near, &scene.tone.paper)];
    if e.change.to_log() != 0.0 {
        effects.push(Effect {
            name: "Change on this ticket",
            moves: e.change.to_log(),
            half: 0.0,
            basis: "as chosen".into(),
            belief: false,
        });
    }
    if !ask.setup.meter.trim().is_empty() && !ask.meter.trim().is_empty() {
        effects.push(Effect {
            name: "Light, by your meter",
            moves: e.meter.to_log(),
            half: METER.value,
            basis: "measured by you".into(),
            belief: false,
        });
    }
    if let Some(l) = learned.filter(|l| l.n >= FEWEST) {
        effects.push(Effect {
            name: "From print to print",
            moves: 0.0,
            half: 1.96 * l.scatter,
            basis: format!("learned from your prints ({})", l.n),
            belief: false,
        });
    }
    beliefs(ask, scene, &mut effects, shown);
    let half = math::sqrt(effects.iter().map(|e| e.half * e.half).sum());
    let seconds = e.time.to_seconds();
    let mut out = Sum {
        interval: format!("{} to {}", clock(seconds / math::exp10(half)), clock(seconds * math::exp10(half))),
        reason: effects.iter().map(|e| e.basis.as_str()).next().unwrap_or_default().to_owned(),
        ..Sum::default()
    };
    let mut working = Working::new("interval");
    for effect in &effects {
        let stops = |log: f64| log / core::f64::consts::LOG10_2;
        let moves = if effect.moves == 0.0 {
            "nothing".into()
        } else {
            format!("{} stop", signed(units, stops(effect.moves), 2))
        };
        let open = if effect.half == 0.0 {
            "nothing".into()
        } else {
            format!("± {} stop", units.number(stops(effect.half), 2))
        };
        working.step(
            effect.name,
            "",
            effect.basis.clone(),
            format!("{} log ± {}", signed(units, effect.moves, 3), units.number(effect.half, 3)),
        );
        out.rows.push(EffectRow { name: effect.name.into(), moves, open, basis: effect.basis.clone() });
    }
    working.step("Interval of the sum, 95 %", "√ of the sum of the squares", "", out.interval.clone());
    for constant in [("Time as typed", &TYPED), ("Meter", &METER), ("Air", &HUMIDITY), ("Hours", &HOURS)] {
        working.constant(constant.0, constant.1);
    }
    shown.workings.push(working);
    let believed = math::sqrt(effects.iter().filter(|e| e.belief).map(|e| e.half * e.half).sum());
    if believed > STRIP {
        out.suggest_strip = "Air or lamp are not as when this time was found, and nobody measured what that does here: make a strip around the time.".into();
    }
    if let Some(l) = learned {
        told(l, seconds, units, &mut out);
    }
    let book = scene.book;
    if book.ticket().asks.coat.setup != book.setup().presets.coat {
        out.other_mix = "The mix or coat on this ticket is not the setup's: time and correction were made for the other one. It is another setup; the cheapest bridge is the margin strip, seven patches printed once with it and read.".into();
    }
    out
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

fn beliefs(ask: &Ask, scene: &Scene<'_>, effects: &mut Vec<Effect>, shown: &mut Shown) {
    let units = scene.units();
    let text = &ask.setup.humidity;
    let then = entry::optional(
        "setup.humidity",
        "The humidity with the setup",
        text,
        PERCENT,
        &["%"],
        &mut shown.notes,
    );
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
    let hours = |name: &str, label: &str, text: &str, shown: &mut Shown| {
        entry::optional(name, label, text, LAMP_HOURS, &["h"], &mut shown.notes)
    };
    let then = hours("setup.hours", "The hours with the setup", &ask.setup.hours, shown);
    let now = hours("hours", "The hours now", &ask.hours, shown);
    let metered = !ask.setup.meter.trim().is_empty() && !ask.meter.trim().is_empty();
    let tubes = LampKind::from_word(&ask.setup.kind) == Some(LampKind::Tubes);
    if let (Some(then), Some(now)) = (then, now)
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

fn told(l: Learned, seconds: f64, units: Units, out: &mut Sum) {
    let stops = |log: f64| log / core::f64::consts::LOG10_2;
    match l.time() {
        Some(time) if (time / seconds - 1.0).abs() > 0.02 => {
            out.can_learned = true;
            out.learned = format!(
                "Your last {} prints came out {} stop {} than the reference: {} would match it.",
                l.n,
                units.number(stops(l.speed).abs(), 2),
                if l.speed < 0.0 { "weaker" } else { "stronger" },
                clock(time)
            );
        }
        _ if l.n >= FEWEST => {
            out.learned = format!(
                "Your last {} prints scatter by {} stop about the reference; that moves nothing.",
                l.n,
                units.number(stops(l.scatter), 2)
            );
        }
        _ => {}
    }
}

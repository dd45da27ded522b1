//! The part of the light station about the lamp: distance, cover sheet, warming up, meter and dose; and ultraviolet and
//! eyes.

use super::super::exposure::{level, warm_up};
use super::super::lamp::distance::{self, LampKind, NoRule};
use super::super::lamp::dose;
use super::super::lamp::sheet::{self, WAVELENGTHS};
use super::super::uv;
use super::super::{Ask as LightAsk, Change, Duration, Exposure};
use super::show::Shown;
use crate::constant::Constant;
use crate::entry::{self, Range};
use crate::fields;
use crate::negative::length;
use crate::note::Note;
use crate::quantity::Length;
use crate::show::{Units, clock};
use crate::working::Working;

/// Distance of the lamp, in mm.
const DISTANCE_MM: Range = Range { low: 5.0, high: 50_000.0 };
/// Part that leaks, in percent.
const LEAK: Range = Range { low: 0.001, high: 100.0 };

/// A sheet's part by wavelength.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SheetRow {
    /// Wavelength.
    pub nm: String,
    /// What the sheet in use lets through.
    pub now: String,
    /// What the other lets through.
    pub to: String,
    /// Change of time.
    pub change: String,
}

fields!(out SheetRow: nm, now, to, change);

/// What is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// The lamp in words.
    pub named: String,
    /// The lamp is a small one.
    pub small: bool,
    /// What a change of distance does, or why no rule is offered.
    pub distance: String,
    /// A rule of distance holds, and its light can be tried on the print.
    pub tries: bool,
    /// How the corners stay behind.
    pub corners: String,
    /// What sheets do.
    pub sheets: Vec<SheetRow>,
    /// There are sheets.
    pub has_sheets: bool,
    /// What warming up costs.
    pub warm: String,
    /// Time and dose by the meter.
    pub meter: String,
    /// The dose.
    pub dose: String,
    /// How long eyes may stay in the light.
    pub eyes: String,
    /// What leaks out.
    pub leak: String,
    /// What the lamp's risk group says.
    pub risk: String,
}

fields!(out View: named, small, distance, tries, corners, sheets, has_sheets, warm, meter, dose, eyes, leak, risk);

/// What is shown, with notes and workings.
pub(super) fn answer(
    ask: &LightAsk,
    exposure: Option<&Exposure>,
    print: (Option<Length>, Option<Length>),
    units: Units,
    shown: &mut Shown,
) -> View {
    let mut view = View { named: named(ask, units), small: ask.setup.kind == "small", ..View::default() };
    away(ask, print, units, &mut view, shown);
    sheets(ask, units, &mut view, shown);
    warming(ask, exposure, units, &mut view, shown);
    meter(ask, exposure, units, &mut view, shown);
    eyes(ask, units, &mut view, shown);
    view
}

/// The lamp in words, for the questions of the ticket.
fn named(ask: &LightAsk, units: Units) -> String {
    let s = &ask.setup;
    let kind = match LampKind::from_word(&s.kind) {
        Some(LampKind::Tubes) => "tubes",
        Some(LampKind::Panel) => "a panel",
        Some(LampKind::Small) => "one small lamp",
        Some(LampKind::Sun) => "the sun",
        None => "",
    };
    let distance = match s.distance.trim() {
        "" => String::new(),
        text if text.ends_with(|c: char| c.is_alphabetic()) => text.to_owned(),
        text => format!("{text} {}", units.length_sign()),
    };
    let sheet = sheet::of(&s.sheet).map_or("", |s| s.name);
    let all: Vec<&str> =
        [s.lamp.trim(), kind, &distance, sheet].into_iter().filter(|t| !t.is_empty()).collect();
    if all.is_empty() { "not said".into() } else { all.join(", ") }
}

fn typed(name: &str, label: &str, text: &str, units: Units, notes: &mut Vec<Note>) -> Option<Length> {
    if text.trim().is_empty() {
        return None;
    }
    length(name, label, text, units, DISTANCE_MM, notes)
}

/// Stops of light more or less at the other distance in the same time; `None` where no rule holds.
pub(super) fn at_other_distance(ask: &LightAsk, units: Units) -> Option<f64> {
    let notes = &mut Vec::new();
    let from = typed("setup.distance", "", &ask.setup.distance, units, notes)?;
    let size = typed("setup.size", "", &ask.setup.size, units, notes)?;
    let to = typed("distance_to", "", &ask.distance_to, units, notes)?;
    let kind = LampKind::from_word(&ask.setup.kind)?;
    let change = distance::inverse_square(kind, size.to_mm(), from.to_mm(), to.to_mm()).ok()?;
    Some(-change.to_stops())
}

fn away(
    ask: &LightAsk,
    (width, height): (Option<Length>, Option<Length>),
    units: Units,
    view: &mut View,
    shown: &mut Shown,
) {
    let from = typed("setup.distance", "The distance", &ask.setup.distance, units, &mut shown.notes);
    let size = if ask.setup.kind == "small" {
        typed("setup.size", "The size of the lamp", &ask.setup.size, units, &mut shown.notes)
    } else {
        None
    };
    let to = typed("distance_to", "The other distance", &ask.distance_to, units, &mut shown.notes);
    let Some(kind) = LampKind::from_word(&ask.setup.kind) else {
        if to.is_some() {
            view.distance =
                "Choose the kind of lamp first: a rule of distance holds for small lamps only.".into();
        }
        return;
    };
    if kind == LampKind::Small
        && let (Some(from), Some(w), Some(h)) = (from, width, height)
    {
        let stops = distance::corners(w.to_mm(), h.to_mm(), from.to_mm());
        view.corners = format!(
            "The corners of this print get {} stop less than its middle, by the slant alone.",
            units.number(-stops, 2)
        );
    }
    let Some(to) = to else { return };
    let (Some(from), Some(size)) = (from, size.or((kind != LampKind::Small).then(|| Length::from_mm(1.0))))
    else {
        view.distance = "Type the distance now and the size of the lamp to reckon another distance.".into();
        return;
    };
    let mut working = Working::new("distance");
    view.distance = match distance::inverse_square(kind, size.to_mm(), from.to_mm(), to.to_mm()) {
        Ok(change) => {
            working.sourced(
                "Factor on the time",
                "(other distance ÷ distance)²",
                format!("{}; {}", units.length(to), units.length(from)),
                units.figures(change.to_factor(), 4),
                "inverse square, CIE ILV 17-25-104",
            );
            working.constant("Where it holds", &distance::FAR);
            view.tries = true;
            format!(
                "At {} the time is {} times as long ({} stop). Within 1 %, as the lamp is small and far enough.",
                units.length(to),
                units.figures(change.to_factor(), 3),
                super::signed(units, change.to_stops(), 2)
            )
        }
        Err(NoRule::Tubes) => "No rule of distance holds under tubes: near them light falls with the distance, far off with its square, and the edges go their own way. Find the time with a strip or a meter.".into(),
        Err(NoRule::Panel) => "No rule of distance holds under a panel that is as wide as the print is far. Find the time with a strip or a meter.".into(),
        Err(NoRule::Sun) => "The sun is as far from either place: no rule of distance.".into(),
        Err(NoRule::TooNear(near)) => format!(
            "Too near for the inverse square: it holds from {} on, five times the lamp's size. Find the time with a strip or a meter.",
            units.length(Length::from_mm(near))
        ),
    };
    if !working.steps.is_empty() {
        shown.workings.push(working);
    }
}

fn sheets(ask: &LightAsk, units: Units, view: &mut View, shown: &mut Shown) {
    let (now, to) = (sheet::of(&ask.setup.sheet), sheet::of(&ask.sheet_to));
    if let Some(s) = now.or(to)
        && s.word.starts_with("acrylic")
        && s.word != "acrylic-clear"
    {
        let field = if now.is_some() { "setup.sheet" } else { "sheet_to" };
        shown.notes.push(Note::warning(
            field,
            "Ordinary acrylic of 3 mm stops most of the light at 365 nm: extruded lets 4 % through, cast 23 %.",
            "Read the meter with and without it before you print, or use glass.",
        ));
    }
    let part = |s: Option<&sheet::Sheet>, i: usize| s.map_or(1.0, |s| s.through[i].value);
    if now.is_none() && to.is_none() {
        return;
    }
    view.has_sheets = true;
    for (i, nm) in WAVELENGTHS.into_iter().enumerate() {
        let (a, b) = (part(now, i), part(to, i));
        let percent = |x: f64| format!("{} %", units.figures(100.0 * x, 3));
        view.sheets.push(SheetRow {
            nm: format!("{nm} nm"),
            now: now.map_or_else(|| "no sheet".into(), |_| percent(a)),
            to: to.map_or_else(|| "no sheet".into(), |_| percent(b)),
            change: Change::from_factor(a / b)
                .map_or_else(String::new, |c| format!("{} stop", super::signed(units, c.to_stops(), 2))),
        });
    }
    let mut working = Working::new("sheets");
    for s in [now, to].into_iter().flatten() {
        working.constant(&format!("{}, at 365 nm", s.name), &s.through[0]);
    }
    working.step(
        "Change of time",
        "part let through now ÷ part let through then",
        "",
        "by wavelength, above",
    );
    shown.workings.push(working);
}

fn warming(ask: &LightAsk, exposure: Option<&Exposure>, units: Units, view: &mut View, shown: &mut Shown) {
    let Some(lamp) = warm_up(ask, &mut Vec::new()) else { return };
    let Some(e) = exposure else { return };
    let dose = e.warm();
    let time = lamp.time(dose);
    view.warm = format!(
        "A cold lamp needs {} instead of {}: it begins with {} % of its light. {}",
        clock(time),
        clock(dose),
        units.number(100.0 * lamp.start, 0),
        if e.cold.is_some() {
            "The time of this ticket counts that."
        } else {
            "The time of this ticket is one of a warm lamp."
        }
    );
    let mut working = Working::new("warm");
    working.step(
        "Time constant",
        "t ÷ ln((full − cold) ÷ (full − then))",
        "",
        format!("{} s", units.figures(lamp.tau, 2)),
    );
    working.step(
        "Time of a cold lamp",
        "t − (1 − r)·τ·(1 − e^(−t/τ)) = time of a warm one",
        format!("r = {}", units.number(lamp.start, 2)),
        clock(time),
    );
    shown.workings.push(working);
}

fn meter(ask: &LightAsk, exposure: Option<&Exposure>, units: Units, view: &mut View, shown: &mut Shown) {
    let then = level("setup.meter", "The meter with the setup", &ask.setup.meter, &mut Vec::new());
    let now = level("meter", "The meter now", &ask.meter, &mut Vec::new());
    let Some(e) = exposure else { return };
    let figure = |x: f64| units.figures(x, 3);
    if let (Some(then), Some(now)) = (then, now) {
        view.meter = format!(
            "{} mW/cm² now against {} with the setup: {} stop on the time, {}.",
            figure(now),
            figure(then),
            super::signed(units, Change::from_factor(then / now).unwrap_or_default().to_stops(), 2),
            clock(e.time.to_seconds())
        );
    }
    if let Some(reached) = e.dose {
        view.dose = format!(
            "{} mJ/cm². The workroom sums your readings up and ends there, whatever clouds pass.",
            units.figures(dose::shown(reached), 3)
        );
        let mut working = Working::new("dose");
        let change =
            format!("{} stop", super::signed(units, e.change.then(e.own.unwrap_or_default()).to_stops(), 2));
        let typed = !ask.setup.dose.trim().is_empty();
        working.step(
            "Dose",
            if typed {
                "dose of black, and the changes of this ticket"
            } else {
                "light × time, and the changes of this ticket; 1 mW/cm² for 1 s is 1 mJ/cm²"
            },
            match then.filter(|_| !typed) {
                Some(then) => {
                    format!("{} mW/cm²; {} s; {change}", figure(then), units.figures(e.base.to_seconds(), 4))
                }
                None => format!("{} mJ/cm²; {change}", ask.setup.dose.trim()),
            },
            format!("{} mJ/cm²", units.figures(dose::shown(reached), 3)),
        );
        working.sourced(
            "Equal doses print alike",
            "H = E · t",
            "",
            "assumed",
            "Bunsen and Roscoe; no exponent for these coatings was found",
        );
        shown.workings.push(working);
    }
}

fn about(units: Units, d: Duration) -> String {
    let s = d.to_seconds();
    if s < 180.0 {
        format!("{} s", units.figures(s, 2))
    } else if s < 7200.0 {
        format!("{} min", units.figures(s / 60.0, 2))
    } else {
        format!("{} h", units.figures(s / 3600.0, 2))
    }
}

fn eyes(ask: &LightAsk, units: Units, view: &mut View, shown: &mut Shown) {
    let typed = level("level", "The ultraviolet", &ask.level, &mut shown.notes);
    let leak = entry::optional("leak", "The part that leaks", &ask.leak, LEAK, &["%"], &mut shown.notes);
    let level = typed.unwrap_or(uv::BOX_LEVEL.value);
    let part = leak.unwrap_or(1.0);
    if let (Some(eye), Some(gap), Some(skin)) =
        (uv::eye_time(level), uv::eye_time(level * part / 100.0), uv::skin_time(level))
    {
        let behind = match leak {
            Some(part) => format!("behind a gap that lets {} % through", units.figures(part, 2)),
            None => "behind a gap that lets a hundredth through".into(),
        };
        view.eyes = format!(
            "At {} mW/cm²{} an eye has had its ultraviolet A for eight hours after {}; {behind}, after {}. Skin: {} at most, less with tubes that also give shorter waves.",
            units.figures(level, 3),
            if typed.is_some() { "" } else { ", as inside a lamp box," },
            about(units, eye),
            about(units, gap),
            about(units, skin),
        );
        let most = uv::all_day();
        view.leak = format!(
            "All day long an eye may have {} mW/cm² of ultraviolet A.{}",
            units.figures(most, 2),
            if level > most {
                format!(
                    " To get there, no more than {} % of this light may leak out.",
                    units.figures(100.0 * most / level, 2)
                )
            } else {
                String::new()
            }
        );
        let mut working = Working::new("eyes");
        working.constant("Limit for the eye", &uv::EYE_LIMIT);
        working.constant("Limit for eye and skin, weighted", &uv::SKIN_LIMIT);
        working.constant("Weight of 365 nm", &uv::WEIGHT_365);
        let inputs = format!("{} mW/cm²", units.figures(level, 3));
        working.step("Time", "limit ÷ (level × weight)", inputs, about(units, eye));
        shown.workings.push(working);
    }
    view.risk = match uv::RISK.get(ask.risk.parse::<usize>().unwrap_or(usize::MAX)) {
        None => String::new(),
        Some(group) => {
            let seconds = |c: &Constant| about(units, Duration::from_seconds(c.value));
            match group {
                Some(least) => format!(
                    "Where its maker measured, an eye has had its ultraviolet A after {} at the soonest. Nearer it is sooner.",
                    seconds(least)
                ),
                None => "Its maker gives no lower bound: never look at it, however short.".into(),
            }
        }
    };
}

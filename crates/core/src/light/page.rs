//! The light station: what was typed, what is shown.

use super::exposure::{change, exposure, strip_plan};
use super::strip::{self, Plan, Way};
use super::{
    Ask, Black, Change, Duration, Exposure, Judgement, Looks, MoveRow, PaperCurve, Preset, StripRow, ToneRow,
    View, judge, paper_curve, uv,
};
use crate::book::{self, Book, TicketKind};
use crate::constant::{Basis, Constant};
use crate::entry::{self, Range};
use crate::note::Note;
use crate::show::Units;
use crate::station::{Act, Answer, Deed, Effect, Scene, Station, TicketCell};
use crate::tone::lightness;
use crate::working::Working;

/// How far below the densest black still counts as black.
const CLOSE: Range = Range { low: 0.005, high: 0.2 };
/// Distance of the lamp, in the unit typed or shown.
const DISTANCE: Range = Range { low: 0.1, high: 10_000.0 };
/// Densities of a patch.
const DENSITY: Range = Range { low: 0.0, high: 4.0 };
/// Ultraviolet, in mW/cm².
const LEVEL: Range = Range { low: 0.001, high: 1000.0 };

/// A middle tone of a print.
pub const MIDDLE: Constant = Constant::choice(50.0, "L*", 2, "half way between L* 0 and 100");
/// Tones whose change is shown, in L*.
const SHOWN: [(&str, u8); 5] =
    [("Deep shadow", 30), ("Shadow", 40), ("Middle", 50), ("Light", 65), ("High light", 80)];

/// The light station.
#[derive(Clone, Copy, Debug)]
pub struct Light;

impl Station for Light {
    const ID: &'static str = "light";
    type Ask = Ask;
    type View = View;

    fn load(book: &Book) -> Ask {
        book.ticket().asks.light.clone()
    }

    fn keep(book: &Book, ask: Ask) -> book::Change {
        book.on_ticket(|t| t.asks.light = ask)
    }

    fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
        answer(ask, scene)
    }

    fn act(ask: &Ask, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
        act(ask, deed, scene)
    }

    fn convert(ask: &mut Ask, from: Units, to: Units) {
        crate::negative::convert_length(&mut ask.setup.distance, from, to);
    }

    fn sample() -> (Ask, View) {
        let view = View {
            tones: vec![ToneRow::default()],
            strips: vec![StripRow::default()],
            moves: vec![MoveRow::default()],
            ..View::default()
        };
        (Ask::default(), view)
    }
}

fn act(ask: &Ask, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
    let book = scene.book;
    let mut notes = Vec::new();
    let alter = |f: &dyn Fn(&mut Ask)| Act::change(book.on_ticket(|t| f(&mut t.asks.light)));
    match deed.verb {
        "keep-setup" => Act::change(book.on_setup(|s| s.presets.light = ask.setup.clone())),
        "take-setup" => {
            let preset = book.setup().presets.light.clone();
            alter(&|a| a.setup = preset.clone())
        }
        "no-change" => alter(&|a| a.change.clear()),
        "settle" => match exposure(ask, &mut notes) {
            Some(e) => alter(&|a| {
                a.setup.time = e.time.shown();
                a.change.clear();
            }),
            None => Act { notes, ..Act::default() },
        },
        "strip-doubling" => alter(&|a| {
            let fresh = Ask::default();
            a.strip_count = fresh.strip_count;
            a.strip_first = fresh.strip_first;
            a.strip_step = fresh.strip_step;
        }),
        "strip-around" => match exposure(ask, &mut notes) {
            // Five strips in half stops: the time in hand lies on the middle one.
            Some(e) => alter(&|a| {
                a.strip_count = "5".into();
                a.strip_first = Duration::from_seconds((e.time.to_seconds() / 2.0).max(1.0).round()).shown();
                a.strip_step = "0.5".into();
            }),
            None => Act::note(Note::error(
                "setup.time",
                "There is no time yet to lay strips around.",
                "Make the doubling strip first, or type a time.",
            )),
        },
        "take-strip" => match strip_plan(ask, &mut notes).and_then(|plan| found(ask, &plan, &mut notes)) {
            Some((strip, _)) => alter(&|a| {
                a.setup.time = Duration::from_seconds(f64::from(strip.seconds)).shown();
                a.change.clear();
            }),
            None => Act { notes, ..Act::default() },
        },
        "take-suggestion" => match (judgement(ask, &mut notes), change(ask, &mut notes)) {
            (Some(Judgement::Time(e)), Some(now)) => {
                let sum = now.then(Change::from_stops(e.value)).to_stops();
                let text = scene.units().number(sum, 2);
                alter(&|a| {
                    a.change.clone_from(&text);
                    a.change_unit = "stops".into();
                    a.looks.clear();
                    a.black.clear();
                    a.patch_now.clear();
                    a.patch_then.clear();
                })
            }
            _ => Act { notes, ..Act::default() },
        },
        "go-tone" => Act::effect(Effect::Go("tone")),
        "go-workroom" => Act::effect(Effect::Go("workroom")),
        _ => Act::default(),
    }
}

/// The curve in use: a starting one until a step print is measured.
fn curve(ask: &Ask, notes: &mut Vec<Note>) -> PaperCurve {
    let typed = entry::optional(
        "setup.closeness",
        "The closeness to black",
        &ask.setup.closeness,
        CLOSE,
        &["d"],
        notes,
    );
    PaperCurve::starting(typed.unwrap_or(paper_curve::CLOSENESS.value))
}

/// What the answers about the last print mean; `None` while they are incomplete.
fn judgement(ask: &Ask, notes: &mut Vec<Note>) -> Option<Judgement> {
    let looks = match ask.looks.as_str() {
        "light" => Looks::Light,
        "dark" => Looks::Dark,
        _ => return None,
    };
    let black = match ask.black.as_str() {
        "same" => Black::Same,
        "weaker" => Black::Weaker,
        "stronger" => Black::Stronger,
        _ => return None,
    };
    let now = entry::optional("patch_now", "The patch on this print", &ask.patch_now, DENSITY, &["d"], notes);
    let then =
        entry::optional("patch_then", "The patch on the reference", &ask.patch_then, DENSITY, &["d"], notes);
    let added = change(ask, &mut Vec::new()).unwrap_or_default();
    let curve = curve(ask, &mut Vec::new());
    Some(judge(looks, black, added, now.zip(then), &curve))
}

/// The strip that was found black, and whether it is the last of the plan.
fn found(ask: &Ask, plan: &Plan, notes: &mut Vec<Note>) -> Option<(strip::Strip, bool)> {
    let count = plan.strips.len();
    #[expect(clippy::cast_precision_loss, reason = "twelve at most")]
    let range = Range { low: 1.0, high: count as f64 };
    let typed = entry::optional("strip_found", "The strip", &ask.strip_found, range, &[], notes)?;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between 1 and 12")]
    let number = typed.round() as u32;
    let strip = *plan.strips.iter().find(|s| s.number == number)?;
    Some((strip, usize::try_from(number) == Ok(count)))
}

fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
    let mut out = Answer::<View>::default();
    let units = scene.units();
    let exposure = exposure(ask, &mut out.notes);
    let curve = curve(ask, &mut out.notes);
    let preset = &scene.book.setup().presets.light;
    out.view.differs = ask.setup != *preset;
    out.view.curve = "from a starting curve of ours, not measured on your paper".into();
    lamp(ask, preset, &mut out.notes);
    rule(&curve, units, &mut out.view);
    match exposure {
        Some(e) => known(e, &curve, units, &mut out),
        None => {
            out.view.unknown = ask.setup.time.trim().is_empty();
            if out.view.unknown {
                out.view.from = "not known yet: make a time strip".into();
            }
        }
    }
    judged(ask, units, &mut out);
    strips(ask, units, &mut out);
    eyes(ask, units, &mut out);
    out.ticket.push(cell(scene.book.ticket().kind, exposure.as_ref(), ask, units));
    out
}

fn cell(kind: TicketKind, exposure: Option<&Exposure>, ask: &Ask, units: Units) -> TicketCell {
    if kind == TicketKind::Strip {
        return match strip_plan(ask, &mut Vec::new()) {
            Some(plan) => TicketCell::done(
                "time",
                format!("{} strips, {}", plan.strips.len(), crate::show::clock(f64::from(plan.total()))),
            ),
            None => TicketCell::missing("time", "the strip plan"),
        };
    }
    match exposure {
        Some(e) if e.change == Change::default() => TicketCell::done("time", e.time.shown()),
        Some(e) => TicketCell::done(
            "time",
            format!("{} ({} stop)", e.time.shown(), signed(units, e.change.to_stops(), 2)),
        ),
        None if ask.setup.time.trim().is_empty() => {
            TicketCell::missing("time", "exposure time: make a time strip")
        }
        None => TicketCell::missing("time", "exposure time"),
    }
}

fn lamp(ask: &Ask, preset: &Preset, notes: &mut Vec<Note>) {
    let signs = ["mm", "cm", "in", "inch", "inches"];
    entry::optional("setup.distance", "The distance", &ask.setup.distance, DISTANCE, &signs, notes);
    let moved = ask.setup.lamp != preset.lamp || ask.setup.distance != preset.distance;
    let kept = !ask.setup.time.trim().is_empty() && ask.setup.time == preset.time;
    if moved && kept {
        notes.push(Note::warning(
            "setup.lamp",
            "Lamp or distance differ from the setup, the time does not.",
            "Find the new time with a strip or a meter: near tubes and panels no rule of distance holds.",
        ));
    }
}

fn rule(curve: &PaperCurve, units: Units, view: &mut View) {
    let ten = Change::from_percent(10.0).unwrap_or_default();
    if let Some(d) = lightness::to_density(MIDDLE.value)
        && let Some(shift) = curve.shift(d, ten.to_log())
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

fn signed(units: Units, x: f64, places: usize) -> String {
    let text = units.number(x.abs(), places);
    if text.chars().all(|c| matches!(c, '0' | '.' | ',')) {
        text
    } else if x < 0.0 {
        format!("−{text}")
    } else {
        format!("+{text}")
    }
}

fn known(e: Exposure, curve: &PaperCurve, units: Units, out: &mut Answer<View>) {
    let view = &mut out.view;
    view.known = true;
    view.time = e.time.shown();
    view.seconds = format!("{} s", units.figures(e.time.to_seconds(), 5));
    view.changed = e.change != Change::default();
    let mut working = Working::new("time");
    working.step("Time of the setup", "as typed", "", format!("{} s", units.figures(e.base.to_seconds(), 6)));
    if view.changed {
        let (log, stops) = (e.change.to_log(), e.change.to_stops());
        view.from = format!("{} of the setup, {} stop", e.base.shown(), signed(units, stops, 2));
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
        effect(log, curve, units, out);
    } else {
        view.from = "of the setup: black behind clear film".into();
    }
    out.workings.push(working);
}

fn effect(log: f64, curve: &PaperCurve, units: Units, out: &mut Answer<View>) {
    let view = &mut out.view;
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
        out.notes.push(Note::warning(
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
    working.step(
        "Density at x, the log exposure from black",
        "Dmin + R · (1 − (δ/R)^(10^(g·x)))",
        format!("x = 0 and x = {}", signed(units, log, 3)),
        format!("{}, {}", density(before), density(after)),
    );
    working.constant("Dmin", &paper_curve::PAPER);
    working.constant("R", &paper_curve::RANGE);
    working.constant("g", &paper_curve::STEEPNESS);
    working.constant("g, least believed", &paper_curve::STEEPNESS_LOW);
    working.constant("g, greatest believed", &paper_curve::STEEPNESS_HIGH);
    working.constant("δ, unless typed", &paper_curve::CLOSENESS);
    working.sourced("L* from density", "116 · (10^−D)^(1/3) − 16", "", "", "ISO/CIE 11664-4");
    out.workings.push(working);
}

fn judged(ask: &Ask, units: Units, out: &mut Answer<View>) {
    let looks = matches!(ask.looks.as_str(), "light" | "dark");
    let answered = matches!(ask.black.as_str(), "same" | "weaker" | "stronger");
    out.view.ask_black = looks && !answered;
    let Some(judgement) = judgement(ask, &mut out.notes) else { return };
    let view = &mut out.view;
    view.judged = true;
    view.verdict = match judgement {
        Judgement::Tone => {
            view.to_tone = true;
            "The black is as it should be, so the time is right. Leave it, and change the tone of the picture.".into()
        }
        Judgement::TakeBack => {
            "The black is full, and this ticket adds light to the setup's time. Take the change back before \
             anything else."
                .into()
        }
        Judgement::Time(e) => {
            view.can_take = true;
            let basis = match e.basis {
                Basis::Measured { .. } => "from your two readings and the starting curve",
                _ => "by eye; two readings of a middle patch would narrow it",
            };
            view.suggestion = format!(
                "{} stop ({} to {}), {basis}",
                signed(units, e.value, 2),
                signed(units, e.low, 2),
                signed(units, e.high, 2),
            );
            if e.value > 0.0 {
                "The black is weaker than on the reference: more light is needed. If coating, paper and air were \
                 the same, change the time."
                    .into()
            } else {
                "The black is stronger than on the reference and the picture darker: less light is needed.".into()
            }
        }
        Judgement::Coat => {
            "Black and picture disagree, so the time is not the cause. Look for a thin or uneven coating, veiled \
             whites, or other moisture than on the reference's day."
                .into()
        }
    };
}

fn strips(ask: &Ask, units: Units, out: &mut Answer<View>) {
    let Some(plan) = strip_plan(ask, &mut out.notes) else { return };
    let clock = |s: u32| crate::show::clock(f64::from(s));
    out.view.has_plan = true;
    out.view.strip_total = clock(plan.total());
    out.view.strip_plan = plan.drawing();
    out.view.strips = plan
        .strips
        .iter()
        .map(|s| StripRow {
            number: s.number.to_string(),
            time: clock(s.seconds),
            seconds: s.seconds.to_string(),
            stops: signed(units, s.stops, 2),
        })
        .collect();
    let words = |m: &strip::Move| match (plan.way, m.at) {
        (Way::Cover, 0) => "Lamp on, all strips open".to_owned(),
        (Way::Cover, _) => format!("Cover strip {}", m.strip),
        (Way::Uncover, 0) => format!("Lamp on, only strip {} open", m.strip),
        (Way::Uncover, _) => format!("Uncover strip {}", m.strip),
    };
    let row = |m: &strip::Move| MoveRow { at: clock(m.at), doing: words(m), hold: format!("{} s", m.hold) };
    out.view.moves = plan.moves().iter().map(row).collect();
    out.view.moves.push(MoveRow { at: clock(plan.total()), doing: "Lamp off".into(), hold: String::new() });
    if let Some((strip, last)) = found(ask, &plan, &mut out.notes) {
        out.view.can_found = true;
        out.view.found = format!("{} gives black behind clear film.", clock(strip.seconds));
        if last {
            out.notes.push(Note::warning(
                "strip_found",
                "The longest strip cannot show that black was reached.",
                "Make a strip that goes on longer, until two strips are equally black.",
            ));
        } else if strip.number == 1 {
            out.notes.push(Note::warning(
                "strip_found",
                "The first strip is black already; a shorter time may do.",
                "Make a strip that begins shorter.",
            ));
        } else if plan.strips.get(1).is_some_and(|s| s.stops > 0.75) {
            out.notes.push(Note::hint(
                "strip_found",
                "Steps this wide leave half a stop open. A second strip around this time in half stops or thirds narrows it.",
            ));
        }
    }
}

fn eyes(ask: &Ask, units: Units, out: &mut Answer<View>) {
    let typed =
        entry::optional("level", "The ultraviolet", &ask.level, LEVEL, &["mw/cm²", "mw/cm2"], &mut out.notes);
    let level = typed.unwrap_or(uv::BOX_LEVEL.value);
    let (Some(eye), Some(leak), Some(skin)) =
        (uv::eye_time(level), uv::eye_time(level / 100.0), uv::skin_time(level))
    else {
        return;
    };
    let about = |d: Duration| {
        let s = d.to_seconds();
        if s < 180.0 {
            format!("{} s", units.figures(s, 2))
        } else if s < 7200.0 {
            format!("{} min", units.figures(s / 60.0, 2))
        } else {
            format!("{} h", units.figures(s / 3600.0, 2))
        }
    };
    out.view.eyes = format!(
        "At {} mW/cm²{} an eye has had its ultraviolet A for eight hours after {}; behind a gap that lets a \
         hundredth through, after {}. Skin: {} at most, less with tubes that also give shorter waves.",
        units.figures(level, 3),
        if typed.is_some() { "" } else { ", as inside a lamp box," },
        about(eye),
        about(leak),
        about(skin),
    );
    let mut working = Working::new("eyes");
    working.constant("Limit for the eye", &uv::EYE_LIMIT);
    working.constant("Limit for eye and skin, weighted", &uv::SKIN_LIMIT);
    working.constant("Weight of 365 nm", &uv::WEIGHT_365);
    working.step(
        "Time",
        "limit ÷ (level × weight)",
        format!("{} mW/cm²", units.figures(level, 3)),
        about(eye),
    );
    out.workings.push(working);
}

#[cfg(test)]
mod tests;

#[cfg(test)]
mod notes;

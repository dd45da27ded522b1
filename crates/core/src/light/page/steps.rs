//! The part of the light station about the step print: readings in, curve, points, times for black and the ink's verdict
//! out.

use super::super::ink::{self, Verdict};
use super::super::paper::InUse;
use super::super::paper_curve;
use super::super::steps::points::WHITE;
use super::super::steps::repeats::interval;
use super::super::steps::{CLOSENESSES, Found, Points, Print, Short, eyes, points, reach};
use super::super::{Ask as LightAsk, Learnt, learnt as rests};
use super::drawing;
use super::show::{Shown, about_time, rounded, span};
use crate::constant::Basis;
use crate::entry::{self, Range};
use crate::estimate::Estimate;
use crate::fields;
use crate::note::Note;
use crate::show::{Units, clock};
use crate::station::Scene;
use crate::tone::lightness;
use crate::tone::page::tablet;
use crate::working::Working;

/// Closeness to white.
const NEAR_WHITE: Range = Range { low: 0.005, high: 0.1 };
/// What full ink holds back.
const INK: Range = Range { low: 0.1, high: 5.0 };

/// What was typed about the step print; it belongs to the setup. The tablet and its readings lie with the tone.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// `readings` or `eyes`.
    pub from: String,
    /// How long it was exposed.
    pub time: String,
    /// What lay under the tablet: `film` or `bare`.
    pub under: String,
    /// What clear film holds back, in log exposure.
    pub film: String,
    /// Readings of masked spots.
    pub masked: String,
    /// Closeness to white, density.
    pub white: String,
    /// What full ink holds back beyond clear film, in log exposure, if it was measured elsewhere.
    pub ink: String,
}

fields!(Ask: from, time, under, film, masked, white, ink);

impl Default for Ask {
    fn default() -> Self {
        Self {
            from: "readings".into(),
            time: String::new(),
            under: "film".into(),
            film: String::new(),
            masked: String::new(),
            white: crate::show::decimals(WHITE.value, 2),
            ink: String::new(),
        }
    }
}

/// The step tablet and its readings as they are typed here; they lie with the tone of the setup, which uses them too.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tablet {
    /// Density of the first step.
    pub first: String,
    /// From step to step.
    pub apart: String,
    /// How many steps.
    pub count: String,
    /// Densities as measured.
    pub densities: String,
    /// Readings of the step print.
    pub steps: String,
    /// Number of the last step as black as its neighbour.
    pub black: String,
}

fields!(Tablet: first, apart, count, densities, steps, black);

impl Default for Tablet {
    fn default() -> Self {
        Self::of(&tablet::Ask::default())
    }
}

impl Tablet {
    /// Of what the tone has.
    #[must_use]
    pub fn of(tone: &tablet::Ask) -> Self {
        let tablet::Ask { first, apart, count, densities, steps, black, .. } = tone.clone();
        Self { first, apart, count, densities, steps, black }
    }

    /// Laid over what the tone has.
    #[must_use]
    pub fn over(self, tone: &tablet::Ask) -> tablet::Ask {
        let Self { first, apart, count, densities, steps, black } = self;
        tablet::Ask { first, apart, count, densities, steps, black, ..tone.clone() }
    }
}

/// A choice of black and what it costs.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ChoiceRow {
    /// Density below the densest.
    pub closeness: String,
    /// Time.
    pub time: String,
    /// Its interval.
    pub interval: String,
    /// Against the choice in use.
    pub cost: String,
    /// What light tones lose.
    pub lights: String,
}

fields!(out ChoiceRow: closeness, time, interval, cost, lights);

/// What is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// Readings are the source.
    pub by_readings: bool,
    /// Eyes are.
    pub by_eyes: bool,
    /// Nothing lay under the tablet.
    pub bare: bool,
    /// There is a time for black.
    pub has_time: bool,
    /// There is a curve.
    pub has_curve: bool,
    /// Time for black.
    pub black: String,
    /// Its interval and basis.
    pub interval: String,
    /// In seconds.
    pub seconds: String,
    /// The darker step's time, by eyes.
    pub darker: String,
    /// Its curve.
    pub chart: String,
    /// Density of white.
    pub dmin: String,
    /// Densest black.
    pub dmax: String,
    /// Exposure scale.
    pub scale: String,
    /// Working range.
    pub range: String,
    /// Average gradient.
    pub gradient: String,
    /// Relative log exposure of T, m and S.
    pub t: String,
    /// See `t`.
    pub m: String,
    /// See `t`.
    pub s: String,
    /// Relative speed.
    pub speed: String,
    /// Choices of black.
    pub choices: Vec<ChoiceRow>,
    /// The ink's verdict.
    pub ink: String,
    /// What the film holds back and where from.
    pub ink_from: String,
}

fields!(
    out View:
    by_readings, by_eyes, bare, has_time, has_curve, black, interval, seconds, darker, chart, dmin, dmax, scale,
    range, gradient, t, m, s, speed, choices, ink, ink_from,
);

/// The closeness to white, or its usual value.
pub(super) fn near_white(ask: &LightAsk, notes: &mut Vec<Note>) -> f64 {
    let text = &ask.known.steps.white;
    entry::optional("known.steps.white", "The closeness to white", text, NEAR_WHITE, &["d"], notes)
        .unwrap_or(WHITE.value)
}

/// The time for black of what was found, in seconds.
pub(super) fn time_for_black(found: &Found, closeness: f64) -> Option<Estimate> {
    match found {
        Found::Nothing => None,
        Found::Print(print) => print.time_for_black(closeness),
        Found::Eyes { pair, seconds, film } => Some(eyes::seen(*seconds, *pair, *film, closeness).seconds),
    }
}

/// What is shown, with notes and workings.
pub(super) fn answer(
    ask: &LightAsk,
    near: f64,
    curve: &InUse<'_>,
    scene: &Scene<'_>,
    shown: &mut Shown,
) -> View {
    let units = scene.units();
    let learnt = scene.tone.paper();
    let steps = &ask.known.steps;
    shown.notes.extend(learnt.notes.iter().cloned());
    let white = near_white(ask, &mut shown.notes);
    let laid = ask.tablet.clone().over(&tablet::Ask::default());
    rests::unused(steps, &laid, &mut shown.notes);
    let mut view = View {
        by_readings: steps.from != "eyes",
        by_eyes: steps.from == "eyes",
        bare: steps.under == "bare",
        ..View::default()
    };
    if let Some(time) = time_for_black(&learnt.found, near) {
        view.has_time = true;
        view.black = about_time(time);
        view.interval = format!("95 %: {} to {}", clock(time.low), clock(time.high));
        view.seconds = format!("{} s,", units.figures(rounded(time), 4));
    }
    match &learnt.found {
        Found::Nothing => {}
        Found::Eyes { pair, seconds, film } => {
            let seen = eyes::seen(*seconds, *pair, *film, near);
            view.interval += ", by eye; readings of the steps would narrow it";
            view.darker = format!(
                "That is the lighter step of the first pair that looks alike. The darker would take {}.",
                clock(seen.darker)
            );
            let mut working = Working::new("black");
            working.step(
                "Time for black, by eye",
                "time × 10^(film − density of the lighter step)",
                format!("{}; {} D", clock(*seconds), units.number(pair.1, 2)),
                clock(seen.seconds.value),
            );
            for sight in eyes::SIGHT {
                working.constant("Least difference seen", &sight);
            }
            working.constant("Steepness, least believed", &paper_curve::STEEPNESS_LOW);
            working.constant("Steepness, greatest believed", &paper_curve::STEEPNESS_HIGH);
            shown.workings.push(working);
        }
        Found::Print(print) => {
            view.interval += &format!(", from {} steps", print.steps());
            with_curve(print, (white, near), units, &mut view, shown);
            remarks(print, white, near, scene, &mut shown.notes);
        }
    }
    inks(ask, learnt, white, near, curve, units, &mut view, shown);
    view
}

/// A figure with half its interval, both to the digits that allows.
fn plus_minus(units: Units, e: Option<Estimate>, none: &str) -> String {
    let Some(e) = e else { return none.into() };
    let half = (e.high - e.low) / 2.0;
    let places = if half < 0.03 { 3 } else { 2 };
    format!("{} ± {}", units.number(e.value, places), units.number(half, places))
}

fn with_curve(print: &Print, (white, near): (f64, f64), units: Units, view: &mut View, shown: &mut Shown) {
    view.has_curve = true;
    let points = print.points(white, near);
    // One pass over the repeats serves all figures.
    let all = print.all_points(white, near);
    let of = |f: fn(&Points) -> Option<f64>| -> Option<Estimate> {
        let value = f(&points)?;
        let (low, high) = interval(&all, value, f)?;
        Some(Estimate { value, low, high, basis: Basis::Measured { n: print.steps() } })
    };
    let scale = of(Points::scale);
    let range = of(Points::working);
    view.dmin = match print.white {
        Some(w) => format!(
            "{} ± {}, mean of {}",
            units.number(w.mean, 3),
            units.number(1.96 * w.spread / crate::math::sqrt(f64::from(w.n)), 3),
            w.n
        ),
        None => format!("{}, the lightest steps", units.number(print.dmin, 2)),
    };
    view.dmax = plus_minus(units, print.estimate(Some(print.dmax), |d| Some(d.dmax)), "");
    view.scale = plus_minus(units, scale, "not to be told: T or S was not reached");
    view.range = plus_minus(units, range, "not to be told: black or white was not reached");
    view.gradient = plus_minus(units, of(Points::gradient), "");
    let point = |f: fn(&Points) -> Option<f64>| match of(f) {
        Some(e) => format!("log H {}", plus_minus(units, Some(e), "")),
        None => "not reached".into(),
    };
    (view.t, view.m, view.s) = (point(|p| p.t), point(|p| p.m), point(|p| p.s));
    if let Some(m) = points.m {
        // The time that puts m behind clear film: the speed of paper, coat and lamp together.
        let seconds = print.seconds * crate::math::exp10(m + print.film.value);
        view.speed = format!("m behind clear film after {}", clock(seconds));
    }
    view.chart = drawing::paper_curve(print, &points);
    let used = print.time_for_black(near);
    let light = lightness::to_density(LIGHT_TONE);
    for closeness in CLOSENESSES {
        let Some(time) = print.time_for_black(closeness) else { continue };
        let mut row = ChoiceRow {
            closeness: units.number(closeness, 2),
            time: about_time(time),
            interval: format!("{} to {}", clock(time.low), clock(time.high)),
            ..ChoiceRow::default()
        };
        if let Some(used) = used {
            let more = 100.0 * (time.value / used.value - 1.0);
            row.cost = if more.abs() < 0.5 {
                "in use".into()
            } else {
                format!("{} %", super::signed(units, more, 0))
            };
            let log = crate::math::log10(time.value / used.value);
            let curve = &print.fitted.curve;
            if let Some(x) = light.and_then(|d| curve.log_exposure(d)) {
                let moved = lightness::from_density(curve.density(x + log)) - LIGHT_TONE;
                row.lights = super::signed(units, moved, 1);
            }
        }
        view.choices.push(row);
    }
    let mut working = Working::new("black");
    working.sourced(
        "Curve of density against log exposure",
        "five figures of shape, and a penalised spline for the rest; rising",
        format!("{} steps", print.steps()),
        format!("readings scatter by {} D", units.figures(print.fitted.sigma, 2)),
        "Eilers and Marx, Statistical Science 11, 1996; smoothness by restricted likelihood",
    );
    working.step(
        "Densest black",
        "the density that the curve nears",
        "",
        format!("D {}", units.number(print.dmax, 3)),
    );
    if let Some(time) = used {
        working.step(
            "Time for black behind clear film",
            "time × 10^(log H of black)",
            format!("{}; D {}", clock(print.seconds), units.number(print.dmax - near, 3)),
            format!("{} s", units.figures(time.value, 4)),
        );
    }
    working.sourced(
        "Interval",
        "middle 95 % of 200 repeats with the readings' own scatter",
        "",
        view.interval.clone(),
        "Efron and Tibshirani, An Introduction to the Bootstrap, 1993, chapter 6",
    );
    shown.workings.push(working);
    let mut working = Working::new("points");
    working.constant("T above Dmin", &points::TOE);
    working.constant("m above Dmin", &points::MIDDLE);
    working.constant("S, part of the net range", &points::SHOULDER);
    working.step("Exposure scale", "log H(S) − log H(T)", "", view.scale.clone());
    working.step("Average gradient", "(0.90 · net range − 0.04) ÷ exposure scale", "", view.gradient.clone());
    working.constant("White, unless typed", &WHITE);
    working.step("Working range", "log H(black) − log H(white)", "", view.range.clone());
    shown.workings.push(working);
}

/// A light tone whose loss is shown, in L*.
const LIGHT_TONE: f64 = 85.0;

fn remarks(print: &Print, white: f64, near: f64, scene: &Scene<'_>, notes: &mut Vec<Note>) {
    let units = scene.units();
    if let Some((step, off)) = print.doubted {
        notes.push(Note::warning(
            "tablet.steps",
            format!("Step {step} lies {} D off the curve.", units.number(off.abs(), 2)),
            "Read it again; a streak or a slip bends the curve.",
        ));
    }
    for short in reach::short(print, white, near) {
        notes.push(match short {
            Short::Black { rise, seconds } => Note::warning(
                "known.steps.time",
                format!(
                    "Black was not reached: the clearest steps still rise by {} D over a stop.",
                    units.number(rise, 2)
                ),
                format!("Print the tablet again at {}.", span(seconds)),
            ),
            Short::White { above, seconds, lacks } => Note::warning(
                "known.steps.time",
                format!(
                    "White was not reached: the densest steps stay {} D above it.",
                    units.number(above, 2)
                ),
                match seconds {
                    Some(seconds) => format!("Print the tablet again at {}.", span(seconds)),
                    None => format!(
                        "Use a tablet that is {} D longer; a shorter time would lose black.",
                        units.number(lacks, 1)
                    ),
                },
            ),
        });
    }
    // Black and white of the tone chart of the same setup.
    if let Some(response) = &scene.tone.response {
        let density = |c: f64| lightness::to_density(response.at(c));
        if let (Some(black), Some(paper)) = (density(0.0), density(1.0)) {
            let (darker, lighter) = ((black - print.dmax).abs(), (paper - print.dmin).abs());
            if darker > OTHER_PAPER || lighter > OTHER_PAPER / 2.0 {
                notes.push(Note::warning(
                    "tablet.steps",
                    format!(
                        "Black and white of this step print (D {} and {}) are not those of this setup's tone chart (D {} and {}).",
                        units.number(print.dmax, 2),
                        units.number(print.dmin, 2),
                        units.number(black, 2),
                        units.number(paper, 2)
                    ),
                    "If it is of another paper or mix, keep it in a setup of its own.",
                ));
            }
        }
    }
}

/// Difference of black from which on two prints are hardly of one paper, in density.
const OTHER_PAPER: f64 = 0.15;

#[expect(clippy::too_many_arguments, reason = "they are what the verdict rests on")]
fn inks(
    ask: &LightAsk,
    learnt: &Learnt,
    white: f64,
    near: f64,
    curve: &InUse<'_>,
    units: Units,
    view: &mut View,
    shown: &mut Shown,
) {
    let text = &ask.known.steps.ink;
    let typed = entry::optional(
        "known.steps.ink",
        "What full ink holds back",
        text,
        INK,
        &["log", "d"],
        &mut shown.notes,
    )
    .map(|v| Estimate::plus_minus(v, INK_DOUBT.value, crate::constant::Basis::Measured { n: 1 }));
    let Some(film) = typed.or(learnt.film) else { return };
    view.ink_from = format!(
        "Full ink holds back {} log exposure beyond clear film, {}.",
        plus_minus(units, Some(film), ""),
        if typed.is_some() { "as typed" } else { "by ink beside the tablet" }
    );
    let Some(working) = learnt.print().and_then(|p| p.of_points(white, near, Points::working)) else {
        view.ink =
            "The working range is not known yet: a step print that reaches black and white tells it.".into();
        return;
    };
    let paper = curve.paper();
    let sentence = match ink::verdict(film.value, working.value, paper) {
        Verdict::Short { by, veil } => format!(
            "Short by {} log: whites stay {} L* darker than masked paper. More ink, other ink or a contrast agent helps; or accept it.",
            units.number(by, 2),
            units.number(veil, 1)
        ),
        Verdict::Enough { spare } => format!("Enough: {} log to spare.", units.number(spare, 2)),
        Verdict::Over { by } => format!(
            "{} log more than the paper needs: the correction gets steep and few codes are left for the lights. Lower the ink limit.",
            units.number(by, 2)
        ),
    };
    let open = ink::open(film, working, paper);
    view.ink =
        if open { format!("{sentence} Within both intervals it could be otherwise.") } else { sentence };
    let mut steps = Working::new("ink");
    steps.step(
        "Spare",
        "range of the film − working range",
        format!("{} − {}", units.number(film.value, 2), units.number(working.value, 2)),
        units.number(film.value - working.value, 2),
    );
    steps.constant("More than is good", &ink::OVER);
    shown.workings.push(steps);
}

/// Half the 95 % interval of a film's range as typed.
pub const INK_DOUBT: crate::constant::Constant = crate::constant::Constant::choice(
    0.05,
    "log exposure",
    1,
    "a densitometer sees other light than the coating does",
);

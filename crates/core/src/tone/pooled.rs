//! Several sheets and rounds as one response: every reading goes by its ink code, however it got there, and every
//! sheet may be a little lighter or darker in the middle tones, as another exposure makes it.
//!
//! Model: L = R(c) + oₛ·4v(1 − v) + error, v the place of R(c) between black and white. Only differences of the oₛ
//! can be known, so they are held to a mean of zero, or to zero for one reference sheet. Curve and offsets are fitted
//! in turns (backfitting; Hastie and Tibshirani, Stat. Sci. 1(3) 1986, 297–310), the offsets with bisquare weights.

use super::exposure::Sensitivity;
use super::reading::{Quantity, Reading};
use super::refusal::ResponseError;
use super::response::{Response, rank_correlation};
use super::robust;
use super::scatter::Scatter;
use crate::math;
use crate::note::Note;
use crate::show::decimals;

/// Turns of curve and offsets at most.
const TURNS: usize = 12;
/// Change of every offset, in L*, below which the turns are over.
const SETTLED: f64 = 0.005;
/// Rounds of bisquare weights in one offset.
const ROUNDS: usize = 4;
/// L* by which a sheet's black or white may differ from the others' before it is doubted that they belong together.
const APART: f64 = 3.0;
/// Part of the tone scale at either end that is compared for that.
const END: f64 = 0.08;
/// Field of the tone station the notes are about.
const FIELD: &str = "readings";

/// The readings of one sheet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sheet {
    /// What the printer calls it.
    pub name: String,
    /// Its readings, by ink code.
    pub readings: Vec<Reading>,
}

impl Sheet {
    /// A sheet whose chart went through an earlier correction: the codes given are picture tones, and `correction`
    /// (equal steps from 0 to 1, straight between) says which ink code each was printed with.
    #[must_use]
    pub fn through(mut self, correction: &[f32]) -> Self {
        let last = correction.len().saturating_sub(1);
        if last > 0 {
            for r in &mut self.readings {
                let place = r.code.clamp(0.0, 1.0) * last as f64;
                #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped")]
                let i = (place as usize).min(last - 1);
                let (a, b) = (f64::from(correction[i]), f64::from(correction[i + 1]));
                r.code = (a + (b - a) * (place - i as f64)).clamp(0.0, 1.0);
            }
        }
        self
    }
}

/// How a sheet lies to the pooled curve.
#[derive(Clone, Debug, PartialEq)]
pub struct Lie {
    /// What the printer calls it.
    pub name: String,
    /// How many readings it has.
    pub readings: usize,
    /// L* by which its middle tone is lighter than the pooled curve.
    pub offset: f64,
    /// Standard error of that.
    pub error: f64,
    /// The same as a change of log₁₀ exposure; more exposure is darker.
    pub log_exposure: f64,
    /// Spread of its readings about the curve once the offset is taken off, robust, in L*.
    pub spread: f64,
    /// L* by which its black and its white are lighter than the curve; `None` where it has no reading.
    pub ends: (Option<f64>, Option<f64>),
}

/// The response of several sheets together.
#[derive(Clone, Debug, PartialEq)]
pub struct Pooled {
    /// The response. Its points are the readings of all sheets in turn, the sheets' offsets taken off.
    pub response: Response,
    /// One for every sheet given.
    pub sheets: Vec<Lie>,
}

/// Fits all sheets together. `reference`: the sheet whose exposure the response is to stand for; otherwise the mean.
///
/// # Errors
/// As [`Response::fit`], places of readings counted through all sheets.
pub fn fit(sheets: &[Sheet], reference: Option<usize>) -> Result<Pooled, ResponseError> {
    let mut notes = Vec::new();
    let given = aligned(sheets, &mut notes);
    let mut response = Response::fit(&given.concat())?;
    // The fit turns all round where most run the wrong way; then so are the codes here.
    let code = |r: &Reading| if response.turned() { 1.0 - r.code } else { r.code };
    let given: Vec<Vec<Reading>> =
        given.iter().map(|s| s.iter().map(|r| Reading { code: code(r), ..r.clone() }).collect()).collect();
    let mut offsets = vec![(0.0, 0.0); sheets.len()];
    if sheets.iter().filter(|s| !s.readings.is_empty()).count() > 1 {
        for _ in 0..TURNS {
            let shape = Shape::of(&response);
            let mut next: Vec<(f64, f64)> = given.iter().map(|s| offset(s, &response, &shape)).collect();
            let zero = zero(&next, &shape, reference);
            next.iter_mut().for_each(|o| o.0 -= zero);
            let change = next.iter().zip(&offsets).map(|(a, b)| (a.0 - b.0).abs()).fold(0.0, f64::max);
            offsets = next;
            response = Response::fit(&levelled(&given, &offsets, &response, &shape))?;
            if change < SETTLED {
                break;
            }
        }
    }
    let shape = Shape::of(&response);
    let lies: Vec<Lie> = sheets
        .iter()
        .zip(&given)
        .zip(&offsets)
        .map(|((sheet, readings), o)| lie(sheet, readings, *o, &response, &shape))
        .collect();
    if sheets.len() > 1 {
        notes.extend(remark(&lies));
    }
    Ok(Pooled { response: response.noting(notes), sheets: lies })
}

/// The offsets' shape over a response: none at the ends, one in the middle.
struct Shape {
    black: f64,
    white: f64,
}

impl Shape {
    fn of(response: &Response) -> Self {
        Self { black: response.at(0.0), white: response.at(1.0) }
    }

    fn at(&self, l: f64) -> f64 {
        let v = ((l - self.black) / (self.white - self.black)).clamp(0.0, 1.0);
        4.0 * v * (1.0 - v)
    }

    fn middle(&self) -> f64 {
        self.black.midpoint(self.white)
    }

    fn per_log(&self) -> f64 {
        Sensitivity::between(self.black, self.white).to_exposure(self.middle()).max(1.0)
    }
}

/// All sheets as L*, each turned round if it alone runs the wrong way.
fn aligned(sheets: &[Sheet], notes: &mut Vec<Note>) -> Vec<Vec<Reading>> {
    let rises = |s: &Sheet| {
        let mut by_code: Vec<&Reading> = s.readings.iter().filter(|r| r.fault().is_none()).collect();
        by_code.sort_by(|a, b| a.code.total_cmp(&b.code));
        rank_correlation(&by_code.iter().map(|r| r.to_lightness()).collect::<Vec<f64>>())
    };
    let runs: Vec<f64> = sheets.iter().map(rises).collect();
    let forward = runs.iter().any(|r| *r > 0.0);
    let densities = |s: &Sheet| s.readings.iter().filter(|r| r.quantity == Quantity::Density).count();
    let (dense, all) = sheets.iter().fold((0, 0), |(d, n), s| (d + densities(s), n + s.readings.len()));
    if dense > 0 && dense < all {
        notes.push(Note::warning(
            FIELD,
            "Some sheets were read as density, some as L*; they were fitted together as L*.",
            "Read all sheets with one instrument in one quantity; warm tones differ by about half an L* between the two.",
        ));
    }
    sheets
        .iter()
        .zip(&runs)
        .map(|(sheet, run)| {
            let turn = forward && *run < 0.0;
            if turn {
                notes.push(Note::warning(
                    FIELD,
                    format!(
                        "{}: gets darker with rising code, unlike the others, and was turned round.",
                        sheet.name
                    ),
                    "Check that 0 % is clear film and 100 % full ink.",
                ));
            }
            let one = |r: &Reading| {
                // A faulty reading keeps its fault, for the fit to name.
                let value = if r.fault().is_none() { r.to_lightness() } else { f64::NAN };
                Reading {
                    code: if turn { 1.0 - r.code } else { r.code },
                    quantity: Quantity::Lightness,
                    value: if value.is_nan() { value } else { value.clamp(0.0, 105.0) },
                    ..r.clone()
                }
            };
            sheet.readings.iter().map(one).collect()
        })
        .collect()
}

/// L* of the middle tone above the curve, and its standard error.
fn offset(readings: &[Reading], response: &Response, shape: &Shape) -> (f64, f64) {
    let rows: Vec<(f64, f64, f64)> = readings
        .iter()
        .map(|r| {
            let l = response.at(r.code);
            (shape.at(l), r.value - l, r.weight)
        })
        .collect();
    let sigma = response.statistics().sigma;
    let prior = Scatter::STARTING.exposure * shape.per_log();
    let mut found = (0.0, prior);
    let mut counts = vec![1.0; rows.len()];
    for _ in 0..ROUNDS {
        let (mut information, mut sum) = (0.0, 0.0);
        for ((s, off, w), c) in rows.iter().zip(&counts) {
            information += w * c * s * s;
            sum += w * c * s * off;
        }
        if information < 1e-9 {
            return (0.0, prior);
        }
        found = (sum / information, sigma / math::sqrt(information));
        let off: Vec<f64> = rows.iter().map(|(s, off, w)| (off - found.0 * s) * math::sqrt(*w)).collect();
        let spread = robust::spread(&off).max(sigma);
        counts = off.iter().map(|o| robust::bisquare(o / spread)).collect();
    }
    found
}

/// What the offsets are counted from: their mean, sheets that know theirs poorly counting less; or the reference's.
fn zero(offsets: &[(f64, f64)], shape: &Shape, reference: Option<usize>) -> f64 {
    if let Some(o) = reference.and_then(|i| offsets.get(i)) {
        return o.0;
    }
    let between = Scatter::STARTING.exposure * shape.per_log();
    let (mut sum, mut weights) = (0.0, 0.0);
    for (o, error) in offsets {
        let w = 1.0 / (between * between + error * error);
        sum += w * o;
        weights += w;
    }
    if weights > 0.0 { sum / weights } else { 0.0 }
}

/// All readings with their sheets' offsets taken off.
fn levelled(
    given: &[Vec<Reading>],
    offsets: &[(f64, f64)],
    response: &Response,
    shape: &Shape,
) -> Vec<Reading> {
    let mut all = Vec::new();
    for (readings, (o, _)) in given.iter().zip(offsets) {
        for r in readings {
            let v = r.value - o * shape.at(response.at(r.code));
            all.push(Reading { value: v.clamp(0.0, 105.0), ..r.clone() });
        }
    }
    all
}

fn lie(sheet: &Sheet, readings: &[Reading], offset: (f64, f64), response: &Response, shape: &Shape) -> Lie {
    let off = |r: &Reading| {
        let l = response.at(r.code);
        (r.value - l - offset.0 * shape.at(l)) * math::sqrt(r.weight)
    };
    let residuals: Vec<f64> = readings.iter().map(off).collect();
    let end = |dark: bool| {
        let span = END * (shape.white - shape.black);
        let within = |r: &&Reading| {
            let l = response.at(r.code);
            if dark { l <= shape.black + span } else { l >= shape.white - span }
        };
        let mut there: Vec<f64> =
            readings.iter().filter(within).map(|r| r.value - response.at(r.code)).collect();
        there.sort_by(f64::total_cmp);
        there.get(there.len() / 2).copied()
    };
    Lie {
        name: sheet.name.clone(),
        readings: readings.len(),
        offset: offset.0,
        error: offset.1,
        log_exposure: -offset.0 / shape.per_log(),
        spread: robust::spread(&residuals),
        ends: (end(true), end(false)),
    }
}

/// What speaks against pooling these sheets: the one whose black or white lies farthest from the others'. It is compared
/// with theirs, not with the curve, which it has drawn half way to itself.
fn remark(lies: &[Lie]) -> Option<Note> {
    let apart = |number: usize, end: fn(&Lie) -> Option<f64>| {
        let others: Vec<f64> =
            lies.iter().enumerate().filter(|(i, _)| *i != number).filter_map(|(_, l)| end(l)).collect();
        let mean = others.iter().sum::<f64>() / others.len() as f64;
        end(&lies[number]).map(|own| own - mean).filter(|off| off.abs() > APART)
    };
    let mut worst: Option<(&Lie, &str, f64)> = None;
    for (i, lie) in lies.iter().enumerate() {
        for (name, off) in [("black", apart(i, |l| l.ends.0)), ("white", apart(i, |l| l.ends.1))] {
            // Of two that lie as far from each other it is the later one that came to the other.
            if let Some(off) = off.filter(|off| worst.is_none_or(|(_, _, w)| off.abs() >= w.abs() - 1e-9)) {
                worst = Some((lie, name, off));
            }
        }
    }
    let (lie, end, off) = worst?;
    let side = if off > 0.0 { "lighter" } else { "darker" };
    Some(Note::warning(
        FIELD,
        format!("{}: its {end} is {} L* {side} than the other sheets'.", lie.name, decimals(off.abs(), 1)),
        "Pool only sheets of one paper, one mix and one coat; take this sheet out if it is another.",
    ))
}

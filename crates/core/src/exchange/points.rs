//! The fewest points of a curve dialog that carry a correction with an error below the noise of the readings.
//!
//! Straight dialogs are solved exactly, as the shortest path over all places the dialog can take. How a smooth dialog draws
//! is rarely known, so its points must hold under three rules at once: natural spline, three-point slopes, and the
//! monotone rule of Fritsch and Butland (1984).

use super::carry::{Carry, Polarity};
use crate::note::Note;
use crate::show::{decimals, significant};
use crate::tone::monotone::{Monotone, Rule};

/// Points a dialog may take, least and most.
pub const TAKEN: (usize, usize) = (3, 40);
/// Field the notes are about.
const FIELD: &str = "points";
/// Places at which the error is looked at, at least: four times finer than an 8-bit scale for straight dialogs.
const LOOKED_AT: usize = 1000;
/// The same for smooth ones, which are tried over and over and bend between points only.
const LOOKED_AT_SMOOTH: usize = 250;
/// Steps of the table from ink to L*.
const STEPS: usize = 2048;
/// Halvings of the search for the least error that so many points can keep.
const HALVINGS: usize = 12;
/// Error beyond which no dialog is worth using, L*; where the search begins if the noise cannot be kept.
const HOPELESS: f64 = 50.0;
/// Error, as a multiple of the least, that is taken for fewer points where the wanted one is out of reach.
const NOT_WORTH_A_POINT: f64 = 1.05;
/// Rounding between two ways of computing the same error, L*.
const ROUNDING: f64 = 1e-6;
/// Error over the wanted one up to which points are moved to better it.
const WORTH_MOVING: f64 = 8.0;
/// Part of the noise straight lines must keep to show where a smooth curve needs its points.
const DENSE: f64 = 0.125;
/// Points tried in vain before no more are added: the whole numbers of the dialog then set the limit.
const PATIENCE: usize = 6;
/// Rounds of moving points, at most.
const ROUNDS: usize = 30;

/// A curve dialog.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Dialog {
    /// Points it takes, both ends counted; kept within [`TAKEN`].
    pub most: usize,
    /// Whether it draws smooth curves between them.
    pub smooth: bool,
    /// Its full scale, in whole numbers: 100, 255 …; at least 10, at most 1000.
    pub full: u16,
}

/// A point to type, in whole numbers of the dialog.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Point {
    /// Grey in.
    pub input: u16,
    /// Grey out.
    pub output: u16,
}

/// Points for a dialog.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// The points, ascending.
    pub points: Vec<Point>,
    /// Largest error of the print against the whole correction, L*, rounding of the points included.
    pub worst: f64,
    /// Whether that is below the noise.
    pub enough: bool,
    /// What to do if it is not.
    pub notes: Vec<Note>,
}

/// The correction as the search sees it.
struct Target {
    full: usize,
    /// Samples in a step of the dialog.
    fine: usize,
    inverted: bool,
    /// Grey out at every sample.
    out: Vec<f64>,
    /// Print L* at every sample.
    light: Vec<f64>,
    /// Print L* at equal steps of ink.
    by_ink: Vec<f64>,
}

/// Proposes points; `noise` is the spread of one reading in L*.
pub fn propose(carry: &Carry<'_>, dialog: Dialog, noise: f64) -> Proposal {
    let most = dialog.most.clamp(TAKEN.0, TAKEN.1);
    let noise = if noise > 0.0 { noise.min(HOPELESS) } else { HOPELESS };
    let full = usize::from(dialog.full.clamp(10, 1000));
    let target = Target::new(carry, full, if dialog.smooth { LOOKED_AT_SMOOTH } else { LOOKED_AT });
    let places = if dialog.smooth { target.smooth(most, noise) } else { target.straight(most, noise) };
    let worst = target.worst(&places, dialog.smooth);
    let point = |&place: &usize| Point { input: whole(place as f64), output: whole(target.rounded(place)) };
    let points: Vec<Point> = places.iter().map(point).collect();
    let notes: Vec<Note> = Proposal::left(points.len(), worst, noise).into_iter().collect();
    Proposal { points, worst, enough: notes.is_empty(), notes }
}

impl Proposal {
    /// What to do if `points` points leave an error of `worst` L*; `None` if that is below the noise.
    pub fn left(points: usize, worst: f64, noise: f64) -> Option<Note> {
        if worst <= noise + ROUNDING {
            return None;
        }
        Some(Note::warning(
            FIELD,
            format!(
                "{points} points leave an error of {} L*, more than the {} L* of one reading.",
                decimals(worst, 1),
                significant(noise, 2)
            ),
            "Use a dialog that takes more points or finer numbers, a device link, or a film made here.",
        ))
    }
}

fn whole(x: f64) -> u16 {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 1000")]
    let whole = (x + 0.5) as u16;
    whole
}

impl Target {
    fn new(carry: &Carry<'_>, full: usize, looked_at: usize) -> Self {
        let fine = looked_at.div_ceil(full);
        let out = carry.values(full * fine + 1);
        let light = (0..out.len())
            .map(|i| carry.correction.expected_lightness(carry.greys.tone(i as f64 / (out.len() - 1) as f64)))
            .collect();
        // L* by ink: the correction and its print, both rising with the tone, read against each other.
        let nodes: Vec<(f64, f64)> = carry
            .correction
            .points(STEPS)
            .into_iter()
            .map(|(u, ink)| (ink, carry.correction.expected_lightness(u)))
            .collect();
        let mut next = 0;
        let by_ink = (0..=STEPS)
            .map(|i| {
                let ink = i as f64 / STEPS as f64;
                while next < nodes.len() && nodes[next].0 < ink {
                    next += 1;
                }
                match (next.checked_sub(1).map(|i| nodes[i]), nodes.get(next)) {
                    (Some(a), Some(&b)) => a.1 + (b.1 - a.1) * (ink - a.0) / (b.0 - a.0),
                    (None, Some(&only)) | (Some(only), None) => only.1,
                    (None, None) => 0.0,
                }
            })
            .collect();
        Self { full, fine, inverted: carry.polarity == Polarity::Inverted, out, light, by_ink }
    }

    /// Grey out at a place of the dialog, in its whole numbers.
    fn rounded(&self, place: usize) -> f64 {
        f64::from(whole(self.out[place * self.fine] * self.full as f64))
    }

    /// Print L* of a grey out.
    fn print(&self, out: f64) -> f64 {
        let ink = if self.inverted { 1.0 - out } else { out };
        let place = ink.clamp(0.0, 1.0) * STEPS as f64;
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to STEPS")]
        let i = (place as usize).min(STEPS - 1);
        self.by_ink[i] + (self.by_ink[i + 1] - self.by_ink[i]) * (place - i as f64)
    }

    /// Largest error in L* of a dialog with points at these places.
    fn worst(&self, places: &[usize], smooth: bool) -> f64 {
        let mut worst = 0.0;
        self.errors(places, smooth, &mut |error| worst = f64::max(worst, error));
        worst
    }

    /// Errors in L* at every sample, under every rule the dialog may follow.
    fn errors(&self, places: &[usize], smooth: bool, take: &mut dyn FnMut(f64)) {
        let x: Vec<f64> = places.iter().map(|&p| p as f64 / self.full as f64).collect();
        let y: Vec<f64> = places.iter().map(|&p| self.rounded(p) / self.full as f64).collect();
        let rules = if smooth { slopes(&x, &y) } else { Vec::new() };
        let mut k = 0;
        for (i, &light) in self.light.iter().enumerate() {
            while k + 2 < places.len() && i > places[k + 1] * self.fine {
                k += 1;
            }
            let h = x[k + 1] - x[k];
            let t = (i as f64 / (self.light.len() - 1) as f64 - x[k]) / h;
            let mut look = |out: f64| take((self.print(out) - light).abs());
            if !smooth {
                look(y[k] + (y[k + 1] - y[k]) * t);
            }
            for m in &rules {
                let (u, rise) = (1.0 - t, y[k + 1] - y[k]);
                // Cubic through both points with these slopes.
                let bend = t * u * (u * (m[k] * h - rise) - t * (m[k + 1] * h - rise));
                look(y[k] + rise * t + bend);
            }
        }
    }

    /// Greys out that print within `error` of what is wanted, at every sample.
    fn band(&self, error: f64) -> Vec<(f64, f64)> {
        let ink = |light: f64, below: bool| {
            let i = self.by_ink.partition_point(|&l| l < light);
            if i == 0 {
                // Darker than black is black: all less ink will do.
                return if below { f64::NEG_INFINITY } else { 0.0 };
            }
            if i > STEPS {
                return if below { 1.0 } else { f64::INFINITY };
            }
            let (a, b) = (self.by_ink[i - 1], self.by_ink[i]);
            ((i - 1) as f64 + (light - a) / (b - a)) / STEPS as f64
        };
        self.light
            .iter()
            .map(|&l| {
                let (low, high) = (ink(l - error, true), ink(l + error, false));
                if self.inverted { (1.0 - high, 1.0 - low) } else { (low, high) }
            })
            .collect()
    }

    /// Fewest places, joined by straight lines, that keep within `error`.
    fn path(&self, error: f64) -> Option<Vec<usize>> {
        let band = self.band(error);
        let n = self.full + 1;
        let mut count = vec![usize::MAX; n];
        let mut from = vec![0; n];
        count[0] = 1;
        for i in 0..self.full {
            if count[i] == usize::MAX {
                continue;
            }
            let start = self.rounded(i) / self.full as f64;
            let at = i * self.fine;
            if !(band[at].0..=band[at].1).contains(&start) {
                continue;
            }
            // Slopes (per sample) of lines that stay within the band so far.
            let (mut least, mut most) = (f64::NEG_INFINITY, f64::INFINITY);
            for (s, &(low, high)) in band.iter().enumerate().skip(at + 1) {
                let run = (s - at) as f64;
                least = f64::max(least, (low - start) / run);
                most = f64::min(most, (high - start) / run);
                if least > most {
                    break;
                }
                if s % self.fine == 0 {
                    let j = s / self.fine;
                    let slope = (self.rounded(j) / self.full as f64 - start) / run;
                    if (least..=most).contains(&slope) && count[i] + 1 < count[j] {
                        count[j] = count[i] + 1;
                        from[j] = i;
                    }
                }
            }
        }
        if count[self.full] == usize::MAX {
            return None;
        }
        let mut places = vec![self.full];
        while let Some(&last) = places.last()
            && last > 0
        {
            places.push(from[last]);
        }
        places.reverse();
        Some(places)
    }

    fn straight(&self, most: usize, noise: f64) -> Vec<usize> {
        let fits = |error: f64, count: usize| self.path(error).filter(|p| p.len() <= count);
        // The fewest that keep the noise, or all if none do; then the least error that so many can keep.
        let wanted = fits(noise, most);
        let count = wanted.as_ref().map_or(most, Vec::len);
        let (mut low, mut high) = (0.0, if wanted.is_some() { noise } else { HOPELESS });
        let mut best = wanted;
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if let Some(places) = fits(middle, count) {
                best = Some(places);
                high = middle;
            } else {
                low = middle;
            }
        }
        // Where the whole numbers of the dialog set the limit, more points do not help.
        if high > noise {
            best = fits(high * NOT_WORTH_A_POINT, most).or(best);
        }
        best.unwrap_or_else(|| vec![0, self.full])
    }

    /// Where straight lines would need their points is where smooth curves need them too: so many of those places, evenly
    /// spread among them, then moved.
    fn smooth(&self, most: usize, noise: f64) -> Vec<usize> {
        let dense = self
            .path(noise * DENSE)
            .or_else(|| self.path(noise))
            .unwrap_or_else(|| (0..=self.full).collect());
        let mut best = (f64::INFINITY, vec![0, self.full]);
        let mut found = TAKEN.0;
        for count in TAKEN.0..=most {
            let mut places: Vec<usize> = (0..count)
                .map(|i| {
                    let (k, part) =
                        (i * (dense.len() - 1) / (count - 1), i * (dense.len() - 1) % (count - 1));
                    let (from, to) = (dense[k], dense[(k + 1).min(dense.len() - 1)]);
                    from + (to - from) * part / (count - 1)
                })
                .collect();
            places.dedup();
            if self.worst(&places, true) < WORTH_MOVING * noise {
                self.move_places(&mut places);
            }
            let error = self.worst(&places, true);
            if error < best.0 {
                best = (error, places);
                found = count;
            }
            if error <= noise || count >= found + PATIENCE {
                break;
            }
        }
        best.1
    }

    /// Moves inner places, by steps that get smaller, while that lowers the error.
    fn move_places(&self, places: &mut [usize]) {
        let mut step = (self.full / (2 * places.len())).max(1);
        let mut cost = self.cost(places);
        // Each round lowers the cost or the step; the bound only guards against endless small gains.
        for _ in 0..ROUNDS {
            let mut better = false;
            for k in 1..places.len().saturating_sub(1) {
                for up in [false, true] {
                    let old = places[k];
                    let new = if up { old + step } else { old.saturating_sub(step) };
                    if new <= places[k - 1] || new >= places[k + 1] {
                        continue;
                    }
                    places[k] = new;
                    let tried = self.cost(places);
                    if tried < cost {
                        cost = tried;
                        better = true;
                    } else {
                        places[k] = old;
                    }
                }
            }
            if !better {
                if step == 1 {
                    return;
                }
                step /= 2;
            }
        }
    }

    /// Sum of high powers of the error: follows the worst, but also notices when it gets better elsewhere.
    fn cost(&self, places: &[usize]) -> f64 {
        let mut sum = 0.0;
        self.errors(places, true, &mut |error| {
            let square = error * error;
            sum += square * square * square;
        });
        sum
    }
}

/// Slopes at the points by three rules.
fn slopes(x: &[f64], y: &[f64]) -> Vec<Vec<f64>> {
    let monotone = Monotone::new(Rule::FritschButland, x, y).map(|m| m.slopes().to_vec());
    [Some(natural(x, y)), Some(three_point(x, y)), monotone].into_iter().flatten().collect()
}

/// Natural cubic spline: continuous curvature, none at the ends. A tridiagonal system in the slopes.
fn natural(x: &[f64], y: &[f64]) -> Vec<f64> {
    let n = x.len();
    let gap = |i: usize| 1.0 / (x[i + 1] - x[i]);
    let rise = |i: usize| 3.0 * (y[i + 1] - y[i]) * gap(i) * gap(i);
    let (mut upper, mut slope) = (vec![0.0; n], vec![0.0; n]);
    for i in 0..n {
        let (left, right) = (if i > 0 { gap(i - 1) } else { 0.0 }, if i + 1 < n { gap(i) } else { 0.0 });
        let force = if i > 0 { rise(i - 1) } else { 0.0 } + if i + 1 < n { rise(i) } else { 0.0 };
        let (before, pushed) = if i > 0 { (upper[i - 1], slope[i - 1]) } else { (0.0, 0.0) };
        let pivot = 2.0 * (left + right) - left * before;
        upper[i] = right / pivot;
        slope[i] = (force - left * pushed) / pivot;
    }
    for i in (0..n - 1).rev() {
        slope[i] -= upper[i] * slope[i + 1];
    }
    slope
}

/// Slope of the parabola through a point and its neighbours; secants at the ends.
fn three_point(x: &[f64], y: &[f64]) -> Vec<f64> {
    let n = x.len();
    let secant = |i: usize| (y[i + 1] - y[i]) / (x[i + 1] - x[i]);
    (0..n)
        .map(|i| {
            if i == 0 {
                secant(0)
            } else if i == n - 1 {
                secant(n - 2)
            } else {
                let (a, b) = (x[i] - x[i - 1], x[i + 1] - x[i]);
                (secant(i - 1) * b + secant(i) * a) / (a + b)
            }
        })
        .collect()
}

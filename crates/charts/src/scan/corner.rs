//! Finding X-corners: places where two dark and two light squares meet.
//!
//! A ring of 16 samples is compared with itself turned by a quarter and by a half: S. Bennett and J. Lasenby, "ChESS –
//! quick and robust detection of chess-board features", Computer Vision and Image Understanding 118, 2014, 197–210. The
//! place is then refined as the saddle of a surface of second order fitted to the surroundings; perspective and blur do
//! not move a saddle.

use sorrel_core::math;
use sorrel_core::scan::Point;
use sorrel_core::scan::ordered::places;
use sorrel_core::scan::solve;
use sorrel_imaging::reduced::{Reduced, Small};

/// The ring: radius about 5 pixels, a sixteenth of a turn from sample to sample.
const RING: [(isize, isize); 16] = [
    (5, 0),
    (5, 2),
    (4, 4),
    (2, 5),
    (0, 5),
    (-2, 5),
    (-4, 4),
    (-5, 2),
    (-5, 0),
    (-5, -2),
    (-4, -4),
    (-2, -5),
    (0, -5),
    (2, -5),
    (4, -4),
    (5, -2),
];
/// Nearest two corners may lie, pixels of the small picture.
const APART: usize = 6;
/// Part of the strongest answer below which nothing is a corner.
const WEAK: f32 = 0.15;
/// Weakest answer that is looked at, for pictures without any corner: 16 samples of about 1.5 L* each.
const FLOOR: f32 = 0.25;
/// Rounds of the saddle; each brings it several times nearer.
const ROUNDS: usize = 20;

/// A found corner.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Corner {
    /// Where, in pixels of the picture that was searched, counted from its edge.
    pub at: Point,
    /// How clearly.
    pub strength: f32,
    /// Twice the direction of the light squares, as a vector of length 1.
    pub turn: Point,
}

/// The `most` clearest corners of a small picture, the clearest first.
pub fn corners(picture: &Small, most: usize) -> Vec<Corner> {
    let (w, h) = (picture.width, picture.height);
    if w < 16 || h < 16 {
        return Vec::new();
    }
    let smooth = smooth(picture);
    let mut answer = vec![0.0_f32; w * h];
    for y in 5..h - 5 {
        for x in 5..w - 5 {
            answer[y * w + x] = ring(&smooth, w, x, y).0;
        }
    }
    let mut found = Vec::new();
    let strongest = answer.iter().copied().fold(0.0, f32::max);
    let least = (WEAK * strongest).max(FLOOR);
    for y in 5..h - 5 {
        for x in 5..w - 5 {
            let here = answer[y * w + x];
            if here < least {
                continue;
            }
            let (x0, x1) = (x.saturating_sub(APART), (x + APART).min(w - 1));
            let highest = (y.saturating_sub(APART)..=(y + APART).min(h - 1)).all(|j| {
                answer[j * w + x0..=j * w + x1].iter().enumerate().all(|(i, v)| {
                    // Of equal neighbours the first one stands.
                    *v < here || (*v == here && (j, x0 + i) >= (y, x))
                })
            });
            if highest {
                let turn = ring(&smooth, w, x, y).1;
                found.push(Corner { at: (x as f64 + 0.5, y as f64 + 0.5), strength: here, turn });
            }
        }
    }
    let weakness: Vec<f64> = found.iter().map(|c| -f64::from(c.strength)).collect();
    places(&weakness).into_iter().take(most).map(|i| found[i]).collect()
}

/// Mean of 3 × 3 pixels.
fn smooth(picture: &Small) -> Vec<f32> {
    let (w, h) = (picture.width, picture.height);
    let mut out = picture.values.clone();
    for y in 1..h - 1 {
        for x in 1..w - 1 {
            let mut sum = 0.0;
            for row in picture.values[(y - 1) * w..(y + 2) * w].chunks_exact(w) {
                sum += row[x - 1] + row[x] + row[x + 1];
            }
            out[y * w + x] = sum / 9.0;
        }
    }
    out
}

/// The answer of the ring at a pixel and twice the direction of its light squares.
fn ring(values: &[f32], w: usize, x: usize, y: usize) -> (f32, Point) {
    let mut ring = [0.0_f32; 16];
    for (r, (dx, dy)) in ring.iter_mut().zip(RING) {
        *r = values[y.wrapping_add_signed(dy) * w + x.wrapping_add_signed(dx)];
    }
    let (mut sum, mut difference) = (0.0, 0.0);
    for n in 0..4 {
        sum += (ring[n] + ring[n + 8] - ring[n + 4] - ring[n + 12]).abs();
    }
    for n in 0..8 {
        difference += (ring[n] - ring[n + 8]).abs();
    }
    let mean = ring.iter().sum::<f32>() / 16.0;
    let here = (values[y * w + x]
        + values[y * w + x - 1]
        + values[y * w + x + 1]
        + values[(y - 1) * w + x]
        + values[(y + 1) * w + x])
        / 5.0;
    let answer = sum - difference - 16.0 * (mean - here).abs() * 0.5;
    if answer <= 0.0 {
        return (0.0, (1.0, 0.0));
    }
    // Second harmonic along the ring.
    let (mut c, mut s) = (0.0_f64, 0.0_f64);
    for (r, (dx, dy)) in ring.iter().zip(RING) {
        let (dx, dy) = (dx as f64, dy as f64);
        let square = dx * dx + dy * dy;
        c += f64::from(*r) * (dx * dx - dy * dy) / square;
        s += f64::from(*r) * 2.0 * dx * dy / square;
    }
    (answer, unit((c, s)))
}

/// A vector brought to length 1; one without length points to the right.
pub(super) fn unit((x, y): Point) -> Point {
    let length = math::sqrt(x * x + y * y);
    if length > 0.0 { (x / length, y / length) } else { (1.0, 0.0) }
}

/// Refines the place of a corner in the full picture. `reach` is how far around it to look, pixels; it should stay inside
/// the squares. `None` when there is no saddle within that reach.
pub fn refine(picture: &Reduced, start: Point, reach: f64) -> Option<Point> {
    let reach = reach.clamp(3.0, 24.0);
    let mut at = start;
    #[allow(clippy::cast_possible_truncation, reason = "3 to 24")]
    let n = reach.floor() as i32;
    for _ in 0..ROUNDS {
        // z = a + bx + cy + dx² + exy + fy², weighted by a bell.
        let mut normal = [[0.0; 6]; 6];
        let mut right = [0.0; 6];
        for j in -n..=n {
            for i in -n..=n {
                let (x, y) = (f64::from(i) / reach, f64::from(j) / reach);
                let inside = (1.0 - 0.5 * (x * x + y * y)).max(0.0);
                let weight = inside * inside * inside;
                let z = picture.between((at.0 + f64::from(i), at.1 + f64::from(j)));
                let terms = [1.0, x, y, x * x, x * y, y * y];
                for (r, a) in terms.iter().enumerate() {
                    right[r] += weight * a * z;
                    for (c, b) in terms.iter().enumerate() {
                        normal[r][c] += weight * a * b;
                    }
                }
            }
        }
        let [_, b, c, d, e, f] = solve(normal, right)?;
        let det = 4.0 * d * f - e * e;
        if det >= 0.0 {
            return None;
        }
        let step = ((e * c - 2.0 * f * b) / det * reach, (e * b - 2.0 * d * c) / det * reach);
        let length = math::sqrt(step.0 * step.0 + step.1 * step.1);
        if !length.is_finite() {
            return None;
        }
        let held = (reach / 2.0 / length).min(1.0);
        at = (at.0 + step.0 * held, at.1 + step.1 * held);
        let off = math::sqrt((at.0 - start.0) * (at.0 - start.0) + (at.1 - start.1) * (at.1 - start.1));
        if off > 1.5 * reach {
            return None;
        }
        if length < 1e-3 {
            break;
        }
    }
    Some(at)
}

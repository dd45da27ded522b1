//! Which four corners are the chart's, and which of them is the upper left one.

use super::corner::{Corner, corners, refine, unit};
use super::squares;
use sorrel_core::math;
use sorrel_core::scan::Refusal;
use sorrel_core::scan::ordered::places;
use sorrel_core::scan::{Homography, Point};
use sorrel_core::tone::chart_plan::{ChartPlan, Identity};
use sorrel_imaging::reduced::Reduced;

/// Longer side of the picture that is searched, pixels: a square of a mark is then 8 to 40 pixels wide.
const SEARCHED: usize = 1400;
/// Corners that are tried as one of four.
const TRIED: usize = 18;
/// Corners that are tried as one of three, when one is hidden.
const TRIED_OF_THREE: usize = 10;
/// Smallest chart, as a part of the picture.
const LEAST_AREA: f64 = 0.03;
/// How far the shape may differ from the plan's, as a factor; perspective changes it.
const SHAPE: f64 = 1.4;
/// The same when one corner is guessed from three.
const SHAPE_OF_THREE: f64 = 1.08;
/// How differently large the chart may be seen at two of its corners.
const SKEW: f64 = 1.8;
/// Part of a mark's side that is looked at around its middle when the place is refined.
const REACH: f64 = 0.28;

/// A chart found in a picture.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Frame {
    /// Upper left, upper right, lower right and lower left mark, in pixels of the reduced picture.
    pub corners: [Point; 4],
    /// The picture shows the chart in a mirror.
    pub mirrored: bool,
    /// What the squares say; `None` when they cannot be read.
    pub identity: Option<Identity>,
    /// The corner (0…3) that was not seen and was taken from the other three.
    pub guessed: Option<usize>,
}

impl Frame {
    /// Turns of the picture by a quarter that stand it upright, 0…3, clockwise.
    pub fn turns(&self) -> u8 {
        let [a, b, ..] = self.corners;
        let (x, y) = (b.0 - a.0, b.1 - a.1);
        match (x.abs() >= y.abs(), x >= 0.0, y >= 0.0) {
            (true, right, _) => {
                if right == self.mirrored {
                    2
                } else {
                    0
                }
            }
            (false, _, down) => {
                if down {
                    3
                } else {
                    1
                }
            }
        }
    }
}

fn less(a: Point, b: Point) -> Point {
    (a.0 - b.0, a.1 - b.1)
}

fn cross(a: Point, b: Point) -> f64 {
    a.0 * b.1 - a.1 * b.0
}

fn length(a: Point) -> f64 {
    math::sqrt(a.0 * a.0 + a.1 * a.1)
}

/// Puts four points into clockwise order as the picture shows them; `None` when they form no convex figure.
fn clockwise(points: [Point; 4]) -> Option<[Point; 4]> {
    let middle = points.iter().fold((0.0, 0.0), |m, p| (m.0 + p.0 / 4.0, m.1 + p.1 / 4.0));
    // A number that grows with the angle is enough to put them in order.
    let around = points.map(|p| {
        let (x, y) = less(p, middle);
        let part = x / (x.abs() + y.abs());
        if y < 0.0 { part - 1.0 } else { 1.0 - part }
    });
    let order = places(&around);
    let q: [Point; 4] = core::array::from_fn(|i| points[order[i]]);
    (0..4).all(|i| cross(less(q[(i + 1) % 4], q[i]), less(q[(i + 2) % 4], q[(i + 1) % 4])) > 0.0).then_some(q)
}

fn area(q: &[Point; 4]) -> f64 {
    cross(less(q[2], q[0]), less(q[3], q[1])) / 2.0
}

/// Width to height of a figure given as upper left, upper right, lower right, lower left.
fn shape(q: &[Point; 4]) -> f64 {
    let side = |a: usize, b: usize| length(less(q[a], q[b]));
    (side(0, 1) + side(3, 2)) / (side(0, 3) + side(1, 2)).max(1e-9)
}

/// The eight ways a figure in clockwise order can be a chart: which corner is the upper left one, and is it mirrored?
fn ways(q: &[Point; 4]) -> impl Iterator<Item = ([Point; 4], bool)> {
    let q = *q;
    (0..8).map(move |way| {
        let (start, mirrored) = (way % 4, way >= 4);
        let step = if mirrored { 3 } else { 1 };
        (core::array::from_fn(|i| q[(start + i * step) % 4]), mirrored)
    })
}

/// Do the light squares of the marks lie as this way of seeing the chart demands? `turn` is twice their direction.
fn squares_fit(q: &[Point; 4], mirrored: bool, turn: Point) -> bool {
    let (x, y) = unit(less(q[1], q[0]));
    // Twice the direction of the upper edge.
    let edge = (x * x - y * y, 2.0 * x * y);
    // Light lies towards the upper right and the lower left: 45° from the upper edge.
    let expected = if mirrored { 1.0 } else { -1.0 };
    cross(edge, turn) * expected > 0.6
}

/// Sets of four corners that could be a chart of the given shape (width to height of the marks' rectangle; `None`
/// for any), in clockwise order with their common turn, the clearest first.
pub fn figures(found: &[Corner], shape_wanted: Option<f64>, picture_area: f64) -> Vec<([Point; 4], Point)> {
    let mut out = Vec::new();
    let mut weakness = Vec::new();
    let n = found.len().min(TRIED);
    for a in 0..n {
        for b in a + 1..n {
            if !alike(&found[a], &found[b]) {
                continue;
            }
            for c in b + 1..n {
                if !alike(&found[a], &found[c]) || !alike(&found[b], &found[c]) {
                    continue;
                }
                for d in c + 1..n {
                    let four = [found[a], found[b], found[c], found[d]];
                    if !four[..3].iter().all(|m| alike(m, &four[3])) {
                        continue;
                    }
                    let Some(q) = clockwise(four.map(|m| m.at)) else { continue };
                    let s = shape(&q);
                    let near = |wanted: f64| (s / wanted).max(wanted / s) < SHAPE;
                    if area(&q) < LEAST_AREA * picture_area
                        || shape_wanted.is_some_and(|w| !near(w) && !near(1.0 / w))
                    {
                        continue;
                    }
                    weakness.push(-four.iter().map(|m| f64::from(m.strength)).sum::<f64>());
                    out.push((q, turn_of(&four)));
                }
            }
        }
    }
    places(&weakness).into_iter().map(|i| out[i]).collect()
}

/// Do two marks look the same way?
fn alike(a: &Corner, b: &Corner) -> bool {
    a.turn.0 * b.turn.0 + a.turn.1 * b.turn.1 > 0.6
}

fn turn_of(marks: &[Corner]) -> Point {
    unit(marks.iter().fold((0.0, 0.0), |m, k| (m.0 + k.turn.0, m.1 + k.turn.1)))
}

/// Finds the chart's marks. With a plan its shape is known and the way-up mark can stand in for unreadable squares.
///
/// # Errors
/// [`Refusal::NoMarks`], [`Refusal::Cropped`], [`Refusal::TooSmall`].
pub fn find(picture: &Reduced, plan: Option<&ChartPlan>) -> Result<Frame, Refusal> {
    if picture.width.max(picture.height) < 300 || picture.width.min(picture.height) < 60 {
        return Err(Refusal::TooSmall);
    }
    let (small, factor) = picture.small(SEARCHED);
    let scale = factor as f64;
    let mut found = corners(&small, 2 * TRIED);
    for corner in &mut found {
        corner.at = (corner.at.0 * scale, corner.at.1 * scale);
    }
    let wanted = plan.map(marks_shape);
    let whole = picture.width as f64 * picture.height as f64;
    let mut second = None;
    for (q, turn) in figures(&found, wanted, whole).into_iter().take(60) {
        for (corners, mirrored) in ways(&q) {
            if !squares_fit(&corners, mirrored, turn) || !right_shape(&corners, wanted, SHAPE) {
                continue;
            }
            let identity = squares::read(picture, &corners);
            let frame = Frame { corners, mirrored, identity, guessed: None };
            if identity.is_some() {
                return Ok(refined(picture, frame, plan));
            }
            if let Some(plan) = plan
                && second.is_none()
                && evenly_seen(plan, &corners)
                && way_up(picture, plan, &corners)
            {
                second = Some(frame);
            }
        }
    }
    if let Some(frame) = second {
        return Ok(refined(picture, frame, plan));
    }
    of_three(picture, plan, &found)
}

/// Is the chart seen at a moderate angle when its marks are these?
pub fn evenly_seen(plan: &ChartPlan, corners: &[Point; 4]) -> bool {
    let Some(map) = Homography::new(&plan.marks, corners) else { return false };
    let scales = plan.marks.map(|m| map.scale_at(m));
    let low = scales.iter().copied().fold(f64::INFINITY, f64::min);
    let high = scales.iter().copied().fold(0.0, f64::max);
    low > 0.0 && high / low < SKEW
}

fn marks_shape(plan: &ChartPlan) -> f64 {
    let [a, b, c, _] = plan.marks;
    (b.0 - a.0) / (c.1 - b.1)
}

fn right_shape(q: &[Point; 4], wanted: Option<f64>, factor: f64) -> bool {
    let s = shape(q);
    wanted.is_none_or(|w| (s / w).max(w / s) < factor)
}

/// A hair or a finger over one mark: three corners of a rectangle give the fourth, and the squares must vouch for it.
fn of_three(picture: &Reduced, plan: Option<&ChartPlan>, found: &[Corner]) -> Result<Frame, Refusal> {
    let wanted = plan.map(marks_shape);
    let n = found.len().min(TRIED_OF_THREE);
    let mut outside = false;
    for a in 0..n {
        for b in (0..n).filter(|b| *b != a) {
            // `a` lies between `b` and `c`.
            for c in b + 1..n {
                if c == a || !alike(&found[a], &found[b]) || !alike(&found[a], &found[c]) {
                    continue;
                }
                let (p, q, r) = (found[a].at, found[b].at, found[c].at);
                let (u, v) = (less(q, p), less(r, p));
                let right = (u.0 * v.0 + u.1 * v.1).abs() < 0.12 * length(u) * length(v);
                let fourth = (q.0 + r.0 - p.0, q.1 + r.1 - p.1);
                let Some(around) = clockwise([p, q, r, fourth]).filter(|_| right) else { continue };
                if area(&around) < LEAST_AREA * picture.width as f64 * picture.height as f64 {
                    continue;
                }
                let turn = turn_of(&[found[a], found[b], found[c]]);
                for (corners, mirrored) in ways(&around) {
                    if !squares_fit(&corners, mirrored, turn)
                        || !right_shape(&corners, wanted, SHAPE_OF_THREE)
                    {
                        continue;
                    }
                    let Some(identity) = squares::read(picture, &corners) else { continue };
                    if !picture.holds(fourth) {
                        outside = true;
                        continue;
                    }
                    let guessed = corners.iter().position(|k| *k == fourth);
                    let frame = Frame { corners, mirrored, identity: Some(identity), guessed };
                    return Ok(refined(picture, frame, plan));
                }
            }
        }
    }
    Err(if outside { Refusal::Cropped } else { Refusal::NoMarks })
}

/// Takes corners that a person placed: upper left, upper right, lower right, lower left of the chart, in pixels of the
/// reduced picture. Where the squares say that they were given in another order, the squares are believed.
///
/// # Errors
/// [`Refusal::Skewed`] when they form no convex figure.
pub fn by_hand(picture: &Reduced, plan: Option<&ChartPlan>, given: [Point; 4]) -> Result<Frame, Refusal> {
    if given.iter().any(|p| !p.0.is_finite() || !p.1.is_finite()) {
        return Err(Refusal::Skewed);
    }
    let q = clockwise(given).ok_or(Refusal::Skewed)?;
    for (corners, mirrored) in ways(&q) {
        if right_shape(&corners, plan.map(marks_shape), SHAPE)
            && let Some(identity) = squares::read(picture, &corners)
        {
            let frame = Frame { corners, mirrored, identity: Some(identity), guessed: None };
            return Ok(refined(picture, frame, plan));
        }
    }
    let inside =
        |i: usize| cross(less(given[(i + 1) % 4], given[i]), less(given[(i + 2) % 4], given[(i + 1) % 4]));
    let mirrored = inside(0) < 0.0;
    if (1..4).any(|i| (inside(i) < 0.0) != mirrored) {
        return Err(Refusal::Skewed);
    }
    Ok(refined(picture, Frame { corners: given, mirrored, identity: None, guessed: None }, plan))
}

/// Moves each seen corner to its saddle.
fn refined(picture: &Reduced, frame: Frame, plan: Option<&ChartPlan>) -> Frame {
    let mut out = frame;
    // Without a plan the size of a mark is a guess: a fifteenth of the longer side is below every one.
    let across = length(less(frame.corners[1], frame.corners[0]));
    let part = plan.map_or(0.04, |p| p.mark / (p.marks[1].0 - p.marks[0].0));
    for (i, corner) in frame.corners.iter().enumerate() {
        if let Some(at) = refine(picture, *corner, REACH * part * across) {
            if frame.guessed == Some(i) {
                if !plan.is_some_and(|p| crossed(picture, p, &frame.corners, i, at)) {
                    continue;
                }
                // Its mark was there after all.
                out.guessed = None;
            }
            out.corners[i] = at;
        }
    }
    out
}

/// Do two light and two dark squares meet at this place, as at corner `i`? Compared with the opposite corner.
fn crossed(picture: &Reduced, plan: &ChartPlan, corners: &[Point; 4], i: usize, at: Point) -> bool {
    let Some(map) = Homography::new(&plan.marks, corners) else { return false };
    let contrast = |k: usize, seen: Point| {
        let (mark, quarter) = (plan.marks[k], plan.mark / 4.0);
        let middle = map.map(mark);
        let value = |dx: f64, dy: f64| {
            let (x, y) = map.map((mark.0 + dx * quarter, mark.1 + dy * quarter));
            picture.between((x + seen.0 - middle.0, y + seen.1 - middle.1))
        };
        (value(1.0, -1.0).min(value(-1.0, 1.0))) - (value(-1.0, -1.0).max(value(1.0, 1.0)))
    };
    let opposite = (i + 2) % 4;
    contrast(i, at) > 0.5 * contrast(opposite, corners[opposite])
}

/// Is the way-up mark where this way of seeing the chart puts it? A light ring around a dark middle.
fn way_up(picture: &Reduced, plan: &ChartPlan, corners: &[Point; 4]) -> bool {
    let Some(map) = Homography::new(&plan.marks, corners) else { return false };
    let (x, y) = plan.way_up.middle();
    let ring = 0.36 * plan.way_up.width;
    let at = |dx: f64, dy: f64| picture.between(map.map((x + dx, y + dy)));
    let middle = at(0.0, 0.0);
    [(-ring, -ring), (ring, -ring), (ring, ring), (-ring, ring)]
        .iter()
        .all(|(dx, dy)| at(*dx, *dy) - middle > 0.15)
}

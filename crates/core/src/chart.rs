//! The frame of a chart: axes with ticks, and the way from numbers to places in the drawing.

use crate::show::{significant, true_minus};
use crate::svg::{Anchor, Svg};

/// Size of a chart's view box; the page scales it.
const WIDTH: f64 = 480.0;
/// Height of the view box.
const HEIGHT: f64 = 360.0;
/// Room left of the plot, for numbers and the name of the upward axis.
const LEFT: f64 = 58.0;
/// Room right of the plot.
const RIGHT: f64 = 12.0;
/// Room above the plot.
const TOP: f64 = 12.0;
/// Room below the plot, for numbers and the name of the axis.
const BOTTOM: f64 = 46.0;

/// One axis: its name with unit, its two ends, and the step from tick to tick.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Axis<'a> {
    /// Name and unit, as it is written.
    pub name: &'a str,
    /// Value at the left or lower end.
    pub from: f64,
    /// Value at the right or upper end; different from `from`.
    pub to: f64,
    /// Step from tick to tick, above 0.
    pub step: f64,
}

/// A chart that is being drawn.
#[derive(Clone, Debug)]
pub struct Chart<'a> {
    svg: Svg,
    x: Axis<'a>,
    y: Axis<'a>,
}

impl<'a> Chart<'a> {
    /// Draws axes, ticks and names. `id` must be unique on the page.
    #[must_use]
    pub fn new(id: &str, title: &str, description: &str, x: Axis<'a>, y: Axis<'a>) -> Self {
        let svg = Svg::new(id, [0.0, 0.0, WIDTH, HEIGHT], title, description);
        let mut chart = Self { svg, x, y };
        let (right, bottom) = (WIDTH - RIGHT, HEIGHT - BOTTOM);
        chart.svg.group("axis");
        for at in ticks(x) {
            let px = chart.x(at);
            chart.svg.line(px, TOP, px, bottom, "hair");
            chart.svg.label(px, bottom + 18.0, Anchor::Middle, "label", &significant(at, 4));
        }
        for at in ticks(y) {
            let py = chart.y(at);
            chart.svg.line(LEFT, py, right, py, "hair");
            chart.svg.label(LEFT - 8.0, py + 4.0, Anchor::End, "label", &true_minus(&significant(at, 4)));
        }
        chart.svg.label(f64::midpoint(LEFT, right), HEIGHT - 8.0, Anchor::Middle, "label", x.name);
        chart.svg.label_upwards(14.0, f64::midpoint(TOP, bottom), Anchor::Middle, "label", y.name);
        chart.svg.line(LEFT, bottom, right, bottom, "ink");
        chart.svg.line(LEFT, TOP, LEFT, bottom, "ink");
        chart.svg.end();
        chart
    }

    fn x(&self, value: f64) -> f64 {
        LEFT + (value - self.x.from) / (self.x.to - self.x.from) * (WIDTH - LEFT - RIGHT)
    }

    fn y(&self, value: f64) -> f64 {
        let bottom = HEIGHT - BOTTOM;
        bottom - (value - self.y.from) / (self.y.to - self.y.from) * (bottom - TOP)
    }

    fn place(&self, (x, y): (f64, f64)) -> (f64, f64) {
        (self.x(x), self.y(y.clamp(self.y.from.min(self.y.to), self.y.from.max(self.y.to))))
    }

    /// A curve through points; what lies above or below the frame runs along its edge.
    pub fn curve(&mut self, points: &[(f64, f64)], class: &str) {
        let places: Vec<_> = points.iter().map(|&p| self.place(p)).collect();
        self.svg.polyline(&places, class);
    }

    /// The area between a lower and an upper curve, each as (x, low, high).
    pub fn band(&mut self, points: &[(f64, f64, f64)]) {
        let mut places: Vec<_> = points.iter().map(|&(x, _, high)| self.place((x, high))).collect();
        places.extend(points.iter().rev().map(|&(x, low, _)| self.place((x, low))));
        self.svg.polygon(&places, "band");
    }

    /// A reading.
    pub fn dot(&mut self, point: (f64, f64), class: &str) {
        let (x, y) = self.place(point);
        self.svg.circle(x, y, 3.0, class);
    }

    /// A reading that is set apart by its shape too: a cross.
    pub fn cross(&mut self, point: (f64, f64), class: &str) {
        let (x, y) = self.place(point);
        self.svg.line(x - 5.0, y - 5.0, x + 5.0, y + 5.0, class);
        self.svg.line(x - 5.0, y + 5.0, x + 5.0, y - 5.0, class);
    }

    /// The finished drawing.
    #[must_use]
    pub fn finish(self) -> String {
        self.svg.finish()
    }
}

/// The ticks of an axis, ends included, at most 50.
fn ticks(axis: Axis<'_>) -> Vec<f64> {
    let (low, high) = (axis.from.min(axis.to), axis.from.max(axis.to));
    let mut all = Vec::new();
    let mut n = 0.0;
    while low + n * axis.step <= high + 1e-9 && all.len() < 50 {
        all.push(low + n * axis.step);
        n += 1.0;
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn chart() -> Chart<'static> {
        let x = Axis { name: "ink, %", from: 0.0, to: 100.0, step: 50.0 };
        let y = Axis { name: "L*", from: 0.0, to: 100.0, step: 50.0 };
        Chart::new("c", "Title", "Words", x, y)
    }

    #[test]
    fn ends_lie_in_the_corners() {
        let c = chart();
        assert_eq!(c.place((0.0, 0.0)), (LEFT, HEIGHT - BOTTOM));
        assert_eq!(c.place((100.0, 100.0)), (WIDTH - RIGHT, TOP));
        assert_eq!(c.place((100.0, 1e9)).1, TOP);
    }

    #[test]
    fn ticks_end_even_for_a_foolish_step() {
        assert_eq!(ticks(Axis { name: "", from: 0.0, to: 1.0, step: 0.25 }).len(), 5);
        assert_eq!(ticks(Axis { name: "", from: 0.0, to: 1e9, step: 1e-9 }).len(), 50);
    }

    #[test]
    fn curves_bands_and_readings_are_drawn() {
        let mut c = chart();
        c.band(&[(0.0, 10.0, 20.0), (100.0, 80.0, 90.0)]);
        c.curve(&[(0.0, 15.0), (100.0, 85.0)], "curve");
        c.dot((50.0, 50.0), "mark");
        c.cross((60.0, 10.0), "mark");
        let text = c.finish();
        for part in
            ["class=\"band\"", "class=\"curve\"", "<circle class=\"mark\"", "<title id=\"c-title\">Title"]
        {
            assert!(text.contains(part), "{part}");
        }
    }
}

//! What ink holds back of the light that prints, for holding back a little more: printing density against ink code, and
//! back.
//!
//! It comes from a film curve ([`FilmCurve`]), or from readings of a chart through the paper's curve: the density that a
//! code prints tells the exposure that got through. Where the paper hardly answers (near black, near white) that
//! exposure is not told, and the ink is continued straight.

use super::film_curve::FilmCurve;
use super::lightness;
use super::response::Response;
use super::starting::NEAR_WHITE;
use super::step_curve::DENSEST;
use crate::light::paper::Paper;

/// Nodes over ink codes 0…1.
const NODES: usize = 257;
/// Least rise of density from clear film to full ink that is believed, so that every density has one code.
const LEAST_RISE: f64 = 0.02;
/// Part of the greatest change of L* with exposure from which on a tone tells exposures: readings scatter in L*.
const STEEP: f64 = 0.25;
/// Part of the codes that tell exposures over which the slope for the others is taken.
const END: f64 = 0.2;
/// Fewest nodes that tell exposures.
const FEWEST: usize = 16;

/// Printing density above clear film against ink code; rises everywhere.
#[derive(Clone, Debug, PartialEq)]
pub struct InkDensity(Vec<f64>);

impl InkDensity {
    /// Of a film curve.
    #[must_use]
    pub fn of_film(film: &FilmCurve) -> Self {
        let (low, high) = film.measured();
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "codes are 0…1")]
        let node = |c: f64| (c.clamp(0.0, 1.0) * (NODES - 1) as f64) as usize;
        let (first, last) = ((node(low) + 1).min(NODES - 2), node(high));
        // Codes that printed black or white told nothing, and the curve is flat there; ink is not.
        Self::continued(first, last.max(first + 1), &|i| film.net(code(i)))
    }

    /// Continued straight beyond the nodes `first` to `last`.
    fn continued(first: usize, last: usize, at: &dyn Fn(usize) -> f64) -> Self {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a part of 257")]
        let end = (((last - first) as f64 * END) as usize).max(1);
        let rise = |a: usize, b: usize| (at(b) - at(a)) / (b - a) as f64;
        let (low, high) = (rise(first, first + end), rise(last - end, last));
        let held = |i: usize| match i {
            i if i < first => at(first) - low * (first - i) as f64,
            i if i > last => at(last) + high * (i - last) as f64,
            i => at(i),
        };
        Self::rising((0..NODES).map(held).collect())
    }

    /// Of a response and the curve of its paper. With `stretched` the paper's curve is laid between the print's own white
    /// and black, as for a curve that was not measured on this paper. `None` if too few codes print where the paper
    /// answers, or if no ink could be as dense as it comes out.
    #[must_use]
    pub fn of_print(response: &Response, paper: &dyn Paper, stretched: bool) -> Option<Self> {
        let density = |i: usize| lightness::to_density(response.at(code(i)));
        let (black, white) = (density(0)?, density(NODES - 1)?);
        let (dark, light) = (paper.density(0.0), paper.white() + NEAR_WHITE.value);
        let told: Vec<Option<(f64, f64)>> = (0..NODES)
            .map(|i| {
                let d = density(i)?;
                let d = if stretched { light + (d - white) / (black - white) * (dark - light) } else { d };
                let x = paper.log_exposure(d)?;
                Some((-x, paper.slope(x) * -lightness::slope_in_density(paper.density(x))))
            })
            .collect();
        let steepest = told.iter().flatten().map(|t| t.1).fold(0.0, f64::max);
        let tells = |i: &usize| told[*i].is_some_and(|t| t.1 >= STEEP * steepest);
        let (first, last) = ((0..NODES).find(tells)?, (0..NODES).rfind(tells)?);
        if last < first + FEWEST {
            return None;
        }
        let from = told[first].map_or(0.0, |t| t.0);
        let ink = Self::continued(first, last, &|i| told[i].map_or(from, |t| t.0));
        (ink.full() <= DENSEST).then_some(ink)
    }

    /// Made to rise everywhere, from 0 at clear film.
    fn rising(mut density: Vec<f64>) -> Self {
        let (clear, least) = (density[0], LEAST_RISE / (NODES - 1) as f64);
        let mut before = -least;
        for d in &mut density {
            *d = (*d - clear).max(before + least);
            before = *d;
        }
        Self(density)
    }

    /// Density above clear film of an ink code (clamped to 0…1).
    #[must_use]
    pub fn at(&self, code: f64) -> f64 {
        let place = if code > 0.0 { code.min(1.0) } else { 0.0 } * (NODES - 1) as f64;
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "between 0 and the last node"
        )]
        let i = (place as usize).min(NODES - 2);
        self.0[i] + (self.0[i + 1] - self.0[i]) * (place - i as f64)
    }

    /// Density of full ink above clear film.
    #[must_use]
    pub fn full(&self) -> f64 {
        self.0[NODES - 1]
    }

    /// The ink code of a density: clear film below 0, full ink beyond what it has.
    #[must_use]
    pub fn code(&self, density: f64) -> f64 {
        let i = self.0.partition_point(|d| *d <= density).clamp(1, NODES - 1);
        let part = (density - self.0[i - 1]) / (self.0[i] - self.0[i - 1]);
        (code(i - 1) + part.clamp(0.0, 1.0) / (NODES - 1) as f64).min(1.0)
    }

    /// The ink code that holds back `density` (≥ 0) more than an ink code does; full ink where there is no more. Nothing
    /// more is the code itself, to the last bit.
    #[must_use]
    pub fn more(&self, code: f64, density: f64) -> f64 {
        if density > 0.0 { self.code(self.at(code) + density).max(code).min(1.0) } else { code }
    }
}

fn code(node: usize) -> f64 {
    node as f64 / (NODES - 1) as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::light::PaperCurve;
    use crate::testing::test;
    use crate::tone::Reading;

    /// An ink whose density rises ever more slowly: 2.6 D at full ink.
    fn ink(c: f64) -> f64 {
        3.4 * c - 0.8 * c * c
    }

    fn response(paper: &PaperCurve) -> Response {
        let readings: Vec<Reading> = (0..=60)
            .map(|i| f64::from(i) / 60.0)
            .map(|c| Reading::lightness(c, lightness::from_density(paper.density(-ink(c)))))
            .collect();
        Response::fit(&readings).unwrap()
    }

    #[test]
    fn a_chart_through_the_papers_curve_gives_the_ink_back() {
        let paper = PaperCurve::starting(0.03);
        let found = InkDensity::of_print(&response(&paper), &paper, false).unwrap();
        // Steps of ink where the picture's tones lie.
        for (from, to) in [(0.05, 0.25), (0.2, 0.5), (0.4, 0.7), (0.1, 0.6)] {
            let (got, true_step) = (found.at(to) - found.at(from), ink(to) - ink(from));
            assert!((got / true_step - 1.0).abs() < 0.06, "{from} to {to}: {got} for {true_step}");
        }
    }

    #[test]
    fn a_curve_of_another_steepness_is_off_by_it() {
        // The papers of the trade span steepness 0.86 to 1.41 about the starting curve's 1.08 (light::paper_curve).
        let starting = PaperCurve::starting(0.03);
        for (steepness, low, high) in [(0.86, 0.72, 0.9), (1.41, 1.15, 1.4)] {
            let paper = starting.steeper(steepness);
            let found = InkDensity::of_print(&response(&paper), &starting, true).unwrap();
            let off = (found.at(0.5) - found.at(0.2)) / (ink(0.5) - ink(0.2));
            assert!((low..high).contains(&off), "{steepness}: {off}");
        }
    }

    #[test]
    fn more_ink_holds_back_more_and_ends_at_full_ink() {
        let curve = InkDensity::rising((0..NODES).map(|i| ink(code(i))).collect());
        for i in 0..=40 {
            let c = f64::from(i) / 40.0;
            assert_eq!(curve.more(c, 0.0).to_bits(), c.to_bits());
            let more = curve.more(c, 0.15);
            assert!(more == 1.0 || (curve.at(more) - curve.at(c) - 0.15).abs() < 1e-12, "{c}");
            assert!(more >= c);
        }
        assert_eq!((curve.code(-1.0), curve.code(9.0), curve.code(curve.full())), (0.0, 1.0, 1.0));
        // An ink that adds nothing over a stretch is passed through at once.
        let flat = InkDensity::rising((0..NODES).map(|i| code(i).max(0.5).min(code(i) + 0.2)).collect());
        assert!(flat.more(0.35, 0.05) > 0.5);
    }

    #[test]
    fn a_print_without_middle_tones_tells_no_ink() {
        let readings: Vec<Reading> = (0..=20)
            .map(|i| Reading::lightness(f64::from(i) / 20.0, if i < 10 { 20.0 } else { 94.0 }))
            .collect();
        let response = Response::fit(&readings).unwrap();
        assert!(InkDensity::of_print(&response, &PaperCurve::starting(0.03), true).is_none());
    }
}

//! Drawings of the light station: the paper's curve, and the map of a frame.

use super::super::lamp::evenness::{Grid, Place};
use super::super::steps::{Points, Print};
use crate::show::{decimals, true_minus};
use crate::svg::{Anchor, Svg};

/// The curve of a step print with its band, readings and points.
pub(super) fn paper_curve(print: &Print, points: &Points) -> String {
    let (left, right, top, bottom) = (46.0, 470.0, 34.0, 250.0);
    let curve = &print.fitted.curve;
    let (low, high) = curve.ends();
    let most = (print.dmax * 5.0).ceil() / 5.0;
    let at = |x: f64, d: f64| {
        (
            left + (x - low) / (high - low) * (right - left),
            bottom - d.clamp(0.0, most) / most * (bottom - top),
        )
    };
    let words = format!(
        "Density of the print against log exposure, from {} in white to {} in black, {} steps read.",
        decimals(print.dmin, 2),
        decimals(print.dmax, 2),
        print.steps()
    );
    let mut svg = Svg::new("light-paper-curve", [0.0, 0.0, 480.0, 300.0], "The paper's curve", &words);
    let mut d = 0.0;
    while d <= most + 1e-9 {
        let y = at(low, d).1;
        svg.line(left, y, right, y, "hair");
        svg.label(left - 6.0, y + 5.0, Anchor::End, "small", &decimals(d, 1));
        d += 0.4;
    }
    let mut x = (low / 0.5).ceil() * 0.5;
    while x <= high + 1e-9 {
        svg.label(at(x, 0.0).0, bottom + 18.0, Anchor::Middle, "small", &true_minus(&decimals(x, 1)));
        x += 0.5;
    }
    svg.label(right, bottom + 40.0, Anchor::End, "small", "log exposure, 0 behind nothing");
    svg.label(4.0, 16.0, Anchor::Start, "small", "density of the print");
    let n = 60;
    let place = |i: i32| low + (high - low) * f64::from(i) / f64::from(n);
    // Every tenth of the repeats shows the band.
    let edge = |x: f64, upper: bool| {
        let all = print.draws.iter().step_by(10).map(|draw| draw.curve.density(x));
        let best = curve.density(x);
        all.fold(best, |a, b| if upper { a.max(b) } else { a.min(b) })
    };
    let mut band: Vec<(f64, f64)> = (0..=n).map(|i| at(place(i), edge(place(i), true))).collect();
    band.extend((0..=n).rev().map(|i| at(place(i), edge(place(i), false))));
    svg.polygon(&band, "band");
    let line: Vec<(f64, f64)> = (0..=n).map(|i| at(place(i), curve.density(place(i)))).collect();
    svg.polyline(&line, "curve");
    for (name, x) in
        [("T", points.t), ("m", points.m), ("S", points.s), ("white", points.white), ("black", points.black)]
    {
        let Some(x) = x.filter(|x| *x >= low) else { continue };
        let (px, py) = at(x, curve.density(x));
        let range = matches!(name, "white" | "black");
        svg.line(px, py, px, bottom, if range { "ink dash" } else { "hair dash" });
        let anchor = if matches!(name, "black") { Anchor::Start } else { Anchor::End };
        let shift = if anchor == Anchor::Start { 4.0 } else { -4.0 };
        let y = if range { bottom - 22.0 } else { py - 6.0 };
        svg.label(px + shift, y, anchor, "small", name);
    }
    svg.finish()
}

/// The frame from above: darker where there is less light, the usable rectangle and the place of the print outlined.
pub(super) fn frame(grid: &Grid, sides: (f64, f64), usable: Option<Place>, print: Option<Place>) -> String {
    let width = 440.0;
    let height = (width * sides.1 / sides.0.max(1e-9)).clamp(120.0, 600.0);
    let stops = grid.evenness().stops;
    let most = grid.levels.iter().copied().fold(0.0, f64::max);
    let words = format!(
        "Readings on a grid of {} by {}; {} stops between them.",
        grid.columns,
        grid.rows(),
        decimals(stops, 2)
    );
    let mut svg =
        Svg::new("light-frame", [0.0, 0.0, width + 4.0, height + 4.0], "Light over the frame", &words);
    let (w, h) = (width / grid.columns as f64, height / grid.rows() as f64);
    let cells: Vec<_> = grid
        .levels
        .iter()
        .enumerate()
        .map(|(k, level)| {
            let (i, j) = (k % grid.columns, k / grid.columns);
            let off = crate::math::log2(most / level);
            // Three light tones, so that the figures can be read on them.
            let tone = [0.1, 0.25].iter().filter(|t| off > **t).count();
            (2.0 + w * i as f64, 2.0 + h * j as f64, off, tone)
        })
        .collect();
    for (x, y, _, tone) in &cells {
        svg.rect(*x, *y, w, h, &format!("hair fill-{tone}"));
    }
    let mut outline = |place: Place, class: &str| {
        svg.rect(
            2.0 + place.left * width,
            2.0 + place.top * height,
            place.width * width,
            place.height * height,
            class,
        );
    };
    if let Some(place) = usable {
        outline(place, "curve");
    }
    if let Some(place) = print {
        outline(place, "ink dash");
    }
    // The outlines are broken where a figure stands.
    let (wide, high) = (70.0_f64.min(w - 2.0), 24.0_f64.min(h - 2.0));
    for (x, y, off, tone) in cells {
        let (x, y) = (x + w / 2.0, y + h / 2.0);
        let text = if off < 0.005 { "0".into() } else { format!("−{}", decimals(off, 2)) };
        svg.rect(x - wide / 2.0, y - high / 2.0, wide, high, &format!("fill-{tone}"));
        svg.label(x, y + 5.0, Anchor::Middle, "small", &text);
    }
    svg.finish()
}

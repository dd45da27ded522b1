//! Scans of charts: a vector from outside the project, and everything that can be wrong with a scan.
#![allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "test data are small")]
#![allow(clippy::unwrap_used, reason = "a test may fail")]

mod simulator;

use serde_json::Value;
use simulator::{Faults, Scan, saturating, scale_densities, scan, second_ink};
use sorrel_charts::scan::corner::{corners, refine};
use sorrel_charts::scan::frame::figures;
use sorrel_charts::scan::read::blank;
use sorrel_charts::scan::{
    ChartAsk, ChartScan, Grid, Known, Reduced, Remark, area, flag, identify, read_chart,
};
use sorrel_core::math;
use sorrel_core::scan::{Anchors, Claim, Homography, Meaning, Order, Point, Refusal, Surface, Tones, tones};
use sorrel_core::tone::chart_plan::{Area, ChartPlan, ChartSpec, Identity, Patches};
use sorrel_core::tone::lightness;
use sorrel_imaging::source::{Encoding, Picture};
use std::io::Cursor;
use std::ops::ControlFlow;

fn plan(patches: Patches, seed: u16) -> ChartPlan {
    ChartPlan::new(ChartSpec::usual(patches, seed)).unwrap()
}

fn ask(plan: &ChartPlan) -> ChartAsk<'_> {
    ChartAsk { plan, corners: None, known: Known::File, blank: None }
}

/// An even print at a low resolution, so that many scans take little time.
fn quick() -> Faults {
    Faults { patch_noise: 0.0, streak: None, scale: 5.0, ..Faults::default() }
}

fn worst(result: &ChartScan, shape: fn(f64) -> f64) -> f64 {
    let off = result.patches.iter().filter(|p| p.flags & flag::ROUGH == 0);
    off.map(|p| (p.lightness - shape(p.code)).abs()).fold(0.0, f64::max)
}

mod vector {
    use super::*;

    fn pairs(v: &Value) -> Vec<Point> {
        v.as_array().unwrap().iter().map(|p| (p[0].as_f64().unwrap(), p[1].as_f64().unwrap())).collect()
    }

    fn table(v: &Value) -> Vec<f64> {
        v.as_array()
            .unwrap()
            .iter()
            .flat_map(|r| r.as_array().unwrap())
            .map(|v| v.as_f64().unwrap())
            .collect()
    }

    /// tests/reference/chart_scan: a scan simulated outside this project, of a chart with a white ground.
    #[test]
    fn marks_and_lightness_agree_with_the_truth() {
        let folder = concat!(env!("CARGO_MANIFEST_DIR"), "/../../tests/reference/chart_scan/");
        let data: Value =
            serde_json::from_str(&std::fs::read_to_string(format!("{folder}chart_scan.json")).unwrap())
                .unwrap();
        let file = std::fs::read(format!("{folder}chart_scan.png")).unwrap();
        let rows = Picture::open(Cursor::new(file), 1 << 30)
            .unwrap()
            .encoded(Encoding::Gamma(2.2))
            .into_rows()
            .unwrap();
        let picture = Reduced::read(rows, Meaning::Lightness, &mut |_| ControlFlow::Continue(())).unwrap();

        let mm = pairs(&data["fiducials_mm"]);
        let truth = pairs(&data["fiducials_px"]);
        let (small, factor) = picture.small(1400);
        assert_eq!(factor, 1);
        let found = corners(&small, 36);
        let shape = (mm[1].0 - mm[0].0) / (mm[2].1 - mm[1].1);
        let whole = (picture.width * picture.height) as f64;
        let (figure, _) = figures(&found, Some(shape), whole)[0];
        let marks = figure.map(|p| refine(&picture, p, 12.0).unwrap());
        let mut errors = Vec::new();
        for t in &truth {
            let near = marks
                .iter()
                .map(|m| math::sqrt((m.0 - t.0) * (m.0 - t.0) + (m.1 - t.1) * (m.1 - t.1)))
                .fold(f64::INFINITY, f64::min);
            errors.push(near);
        }
        println!("marks: {errors:.2?} px");
        let bar = data["bars"]["fiducial_error_px_max"].as_f64().unwrap();
        assert!(errors.iter().all(|e| *e <= bar), "{errors:?}");

        // The marks are found clockwise from an unknown one; the vector's chart lies upright.
        let start = (0..4)
            .min_by(|a, b| (marks[*a].0 + marks[*a].1).total_cmp(&(marks[*b].0 + marks[*b].1)))
            .unwrap();
        let upright: Vec<Point> = (0..4).map(|i| marks[(start + i) % 4]).collect();
        let map = Homography::new(&mm, &upright).unwrap();
        let back = map.inverse().unwrap();
        let number = |name: &str| data[name].as_f64().unwrap();
        let (columns, rows) = (number("columns") as usize, number("rows") as usize);
        let origin =
            (data["patch_origin_mm"][0].as_f64().unwrap(), data["patch_origin_mm"][1].as_f64().unwrap());
        let (pitch, side) = (number("pitch_mm"), number("patch_mm"));
        let read = |a: Area| area::read(&picture, &map, &back, a, area::ALL).unwrap();
        let cell = |i: usize| Area {
            x: origin.0 + (i % columns) as f64 * pitch,
            y: origin.1 + (i / columns) as f64 * pitch,
            width: side,
            height: side,
        };
        let light = |v: f64| tones::light(Meaning::Lightness, v);
        // Shading from the white paper around the field; the gaps in it are too narrow and blurred by their neighbours.
        let mut paper = Vec::new();
        let (right, low) = (origin.0 + columns as f64 * pitch - 1.0, origin.1 + rows as f64 * pitch - 1.0);
        let mut add = |x: f64, y: f64| {
            let spot = read(Area::around((x, y), 3.0, 3.0));
            paper.push((spot.at.0, spot.at.1, light(spot.value)));
        };
        for i in 0..=columns {
            let x = origin.0 + i as f64 * pitch;
            add(x, origin.1 - 3.5);
            add(x, low + 3.5);
        }
        for i in 0..rows {
            let y = origin.1 + (i as f64 + 0.5) * pitch;
            add(origin.0 - 3.5, y);
            add(right + 3.5, y);
        }
        let shade = Surface::fit(&paper).unwrap();
        let (mut raw, mut corrected) = (Vec::new(), Vec::new());
        for i in 0..columns * rows {
            let r = read(cell(i).inner(0.6));
            raw.push(100.0 * r.value);
            corrected.push(tones::value(Meaning::Lightness, light(r.value) / shade.at(r.at)));
        }
        let truth = table(&data["true_L"]);
        let rms = |values: &[f64]| {
            math::sqrt(
                values.iter().zip(&truth).map(|(a, b)| (a - b) * (a - b)).sum::<f64>() / truth.len() as f64,
            )
        };
        // After shading the paper is 1; its true L* is 94 (the vector's note). Flare 1 % of a surround of 0.45.
        let given = Tones::flared(Meaning::Lightness, 1.0, 94.0, 0.01, 0.45).unwrap();
        let with_flare: Vec<f64> = corrected.iter().map(|v| given.lightness(*v).0).collect();
        // Flare estimated: paper and the mean of the darkest patches are known.
        let codes = table(&data["codes"]);
        let blacks: Vec<usize> = (0..codes.len()).filter(|i| codes[*i] == 0.0).collect();
        let black = blacks.iter().map(|i| corrected[*i]).sum::<f64>() / blacks.len() as f64;
        let anchors = Anchors { black: (black, truth[blacks[0]]), white: (1.0, 94.0) };
        let estimated = Tones::anchored(Meaning::Lightness, anchors).unwrap();
        let with_anchors: Vec<f64> = corrected.iter().map(|v| estimated.lightness(*v).0).collect();
        println!(
            "L* RMS: raw {:.3}, flare given {:.3}, flare estimated {:.3}",
            rms(&raw),
            rms(&with_flare),
            rms(&with_anchors)
        );
        assert!((rms(&raw) - data["bars"]["raw_rms_L"].as_f64().unwrap()).abs() < 0.05);
        assert!(rms(&with_flare) <= 0.05);
        assert!(rms(&with_anchors) <= 0.3);
        assert!((lightness::to_factor(94.0) - 0.852).abs() < 1e-3);
    }
}

#[test]
fn a_scan_lies_any_way_round() {
    let plan = plan(Patches::P41, 77);
    let scan = scan(&plan, second_ink, &Faults { keystone: 0.0, ..quick() });
    let (w, h) = (scan.width, scan.height);
    let ways: [(&str, Scan, bool, u8); 5] = [
        ("upright", scan.moved((w, h), |x, y| (x, y)), false, 0),
        ("upside down", scan.moved((w, h), |x, y| (w - 1 - x, h - 1 - y)), false, 2),
        ("quarter turn", scan.moved((h, w), |x, y| (y, h - 1 - x)), false, 3),
        ("mirrored", scan.moved((w, h), |x, y| (w - 1 - x, y)), true, 0),
        ("mirrored and turned", scan.moved((h, w), |x, y| (y, x)), true, 3),
    ];
    let first = read_chart(&scan.reduced(Encoding::Gamma(2.2)), &ask(&plan)).unwrap();
    for (name, turned, mirrored, turns) in ways {
        let picture = turned.reduced(Encoding::Gamma(2.2));
        let result = read_chart(&picture, &ask(&plan)).unwrap();
        assert_eq!(result.frame.mirrored, mirrored, "{name}");
        assert_eq!(result.remarks.contains(&Remark::Mirrored), mirrored, "{name}");
        assert_eq!(result.frame.turns(), turns, "{name}");
        for (a, b) in result.patches.iter().zip(&first.patches) {
            assert!((a.lightness - b.lightness).abs() < 0.3, "{name} {} {}", a.lightness, b.lightness);
        }
        assert_eq!(identify(&picture).unwrap(), Some(Identity { patches: Patches::P41, seed: 77 }), "{name}");
    }
}

#[test]
fn a_strongly_skewed_photograph_is_read() {
    let plan = plan(Patches::P65, 3);
    let faults = Faults { keystone: 1.2e-3, turn: 0.3, around: 45.0, ..quick() };
    let scan = scan(&plan, second_ink, &faults);
    let result = read_chart(&scan.reduced(Encoding::Gamma(2.2)), &ask(&plan)).unwrap();
    for (corner, mark) in result.frame.corners.iter().zip(plan.marks) {
        let truth = scan.map.map(mark);
        assert!((corner.0 - truth.0).abs() < 0.6 && (corner.1 - truth.1).abs() < 0.6);
    }
    // Flare and gain stay in, for nobody took them out.
    assert_eq!(result.claim, Claim::File);
    assert!(worst(&result, second_ink) < 4.0, "{}", worst(&result, second_ink));
}

#[test]
fn another_chart_is_named() {
    let printed = plan(Patches::P41, 500);
    let picture = scan(&printed, second_ink, &quick()).reduced(Encoding::Gamma(2.2));
    let refusal = read_chart(&picture, &ask(&plan(Patches::P41, 501))).unwrap_err();
    assert_eq!(refusal, Refusal::OtherChart(printed.identity()));
    assert!(refusal.text().contains("41-500"));
}

#[test]
fn cropped_and_small_scans_are_refused() {
    let plan = plan(Patches::P41, 12);
    let whole = scan(&plan, second_ink, &quick());
    // The right edge with both its marks, then only the lower right corner.
    let cut = whole.moved((whole.width * 3 / 4, whole.height), |x, y| (x, y));
    let refusal = read_chart(&cut.reduced(Encoding::Gamma(2.2)), &ask(&plan)).unwrap_err();
    assert!(matches!(refusal, Refusal::NoMarks | Refusal::Cropped), "{refusal:?}");
    let (x1, y1) = whole.map.map(plan.marks[1]);
    let cut = whole.moved(((x1 - 8.0) as usize, whole.height), |x, y| (x, y));
    let refusal = read_chart(&cut.reduced(Encoding::Gamma(2.2)), &ask(&plan)).unwrap_err();
    assert!(matches!(refusal, Refusal::NoMarks | Refusal::Cropped), "{refusal:?}");
    let top = y1 as usize + 60;
    let without = whole.moved((whole.width - 60, whole.height - top), |x, y| (x, y + top));
    assert!(matches!(
        read_chart(&without.reduced(Encoding::Gamma(2.2)), &ask(&plan)).unwrap_err(),
        Refusal::NoMarks | Refusal::Cropped
    ));
    let tiny = scan(&plan, second_ink, &Faults { scale: 1.2, ..quick() });
    assert_eq!(read_chart(&tiny.reduced(Encoding::Gamma(2.2)), &ask(&plan)).unwrap_err(), Refusal::TooSmall);
    let blurred = scan(&plan, second_ink, &Faults { scale: 2.0, ..quick() });
    let refusal = read_chart(&blurred.reduced(Encoding::Gamma(2.2)), &ask(&plan));
    assert!(matches!(refusal, Ok(_) | Err(Refusal::TooSmall | Refusal::NoMarks)), "{refusal:?}");
    // No chart at all.
    let empty = whole.moved((400, 300), |_, _| (3, 3));
    assert_eq!(read_chart(&empty.reduced(Encoding::Srgb), &ask(&plan)).unwrap_err(), Refusal::NoMarks);
}

#[test]
fn clipped_scans_are_refused_by_their_end() {
    let plan = plan(Patches::P41, 12);
    let light = scan(&plan, second_ink, &Faults { gain: 1.5, ..quick() });
    let refusal = read_chart(&light.reduced(Encoding::Gamma(2.2)), &ask(&plan)).unwrap_err();
    assert_eq!(refusal, Refusal::WhiteClipped);
    let mut dark = scan(&plan, second_ink, &quick());
    for v in &mut dark.code {
        *v = v.saturating_sub(22_000);
    }
    let refusal = read_chart(&dark.reduced(Encoding::Gamma(2.2)), &ask(&plan)).unwrap_err();
    assert_eq!(refusal, Refusal::BlackClipped);
}

#[test]
fn a_hair_or_a_finger_over_a_mark() {
    let plan = plan(Patches::P114, 4);
    let clean = scan(&plan, second_ink, &Faults { keystone: 1e-5, ..quick() });
    let truth = read_chart(&clean.reduced(Encoding::Gamma(2.2)), &ask(&plan)).unwrap();
    for corner in 0..4 {
        let at = clean.map.map(plan.marks[corner]);
        // A hair from side to side of the mark.
        let mut hair = clean.moved((clean.width, clean.height), |x, y| (x, y));
        for t in -30..30 {
            hair.blot((at.0 + f64::from(t), at.1 + 0.6 * f64::from(t) + 3.0), 1.0, 9_000);
        }
        // A blot that hides it.
        let mut finger = clean.moved((clean.width, clean.height), |x, y| (x, y));
        finger.blot(at, 26.0, 30_000);
        for (name, spoilt) in [("hair", hair), ("finger", finger)] {
            let result = read_chart(&spoilt.reduced(Encoding::Gamma(2.2)), &ask(&plan)).unwrap();
            let guessed = result.remarks.contains(&Remark::GuessedCorner);
            assert!(name != "finger" || guessed, "{name} {corner}");
            let (a, b) = (result.frame.corners[corner], truth.frame.corners[corner]);
            let off = math::sqrt((a.0 - b.0) * (a.0 - b.0) + (a.1 - b.1) * (a.1 - b.1));
            // Three corners know nothing of perspective, of which a flatbed has nearly none.
            assert!(off < if guessed { 2.5 } else { 1.0 }, "{name} {corner}: {off}");
            for (a, b) in result.patches.iter().zip(&truth.patches) {
                assert!((a.lightness - b.lightness).abs() < 0.6, "{name} {corner} {a:?} {b:?}");
            }
        }
    }
}

#[test]
fn squares_under_a_stain_cost_only_a_remark() {
    let plan = plan(Patches::P41, 9);
    let mut stained = scan(&plan, second_ink, &quick());
    let (area, _) = *plan.squares[5..].iter().find(|s| s.1).unwrap();
    stained.blot(stained.map.map(area.middle()), 14.0, 20_000);
    let picture = stained.reduced(Encoding::Gamma(2.2));
    let result = read_chart(&picture, &ask(&plan)).unwrap();
    assert!(result.remarks.contains(&Remark::UnreadableSquares));
    assert!(worst(&result, second_ink) < 4.0);
    // Another order would not follow the codes.
    let other = self::plan(Patches::P41, 10);
    assert_eq!(read_chart(&picture, &ask(&other)).unwrap_err(), Refusal::NotThisChart);
}

#[test]
fn corners_by_hand() {
    let plan = plan(Patches::P41, 9);
    let scan = scan(&plan, second_ink, &quick());
    let picture = scan.reduced(Encoding::Gamma(2.2));
    let truth = plan.marks.map(|m| scan.map.map(m));
    let near = truth.map(|(x, y)| (x + 3.0, y - 4.0));
    let result = read_chart(&picture, &ChartAsk { corners: Some(near), ..ask(&plan) }).unwrap();
    for (a, b) in result.frame.corners.iter().zip(truth) {
        assert!((a.0 - b.0).abs() < 0.5 && (a.1 - b.1).abs() < 0.5);
    }
    // Placed in another order: the squares know better.
    let turned = [near[2], near[3], near[0], near[1]];
    let result = read_chart(&picture, &ChartAsk { corners: Some(turned), ..ask(&plan) }).unwrap();
    assert!((result.frame.corners[0].0 - truth[0].0).abs() < 0.5);
    for bad in [[near[0]; 4], [near[0], near[2], near[1], (f64::NAN, 0.0)]] {
        let refusal = read_chart(&picture, &ChartAsk { corners: Some(bad), ..ask(&plan) }).unwrap_err();
        assert_eq!(refusal, Refusal::Skewed);
    }
}

#[test]
fn linear_taken_for_gamma_and_the_reverse_are_doubted() {
    let plan = plan(Patches::P41, 9);
    let linear = scan(&plan, saturating, &Faults { gamma: 1.0, ..quick() });
    let right = read_chart(&linear.reduced(Encoding::Linear), &ask(&plan)).unwrap();
    assert_eq!(right.claim, Claim::File);
    assert!(!right.remarks.contains(&Remark::DoubtfulLight));
    let wrong = read_chart(&linear.reduced(Encoding::Gamma(2.2)), &ask(&plan)).unwrap();
    assert!(wrong.remarks.contains(&Remark::DoubtfulLight) && wrong.claim == Claim::Order);
    let gamma = scan(&plan, saturating, &quick());
    let wrong = read_chart(&gamma.reduced(Encoding::Linear), &ask(&plan)).unwrap();
    assert!(wrong.remarks.contains(&Remark::DoubtfulLight) && wrong.claim == Claim::Order);
    // Without any word about light only the order is claimed.
    let unknown = read_chart(&gamma.reduced(Encoding::Code), &ask(&plan)).unwrap();
    assert_eq!(unknown.claim, Claim::Order);
}

#[test]
fn two_known_greys_take_gain_and_flare_out() {
    let plan = plan(Patches::P41, 21);
    let faults = quick();
    let scan = scan(&plan, second_ink, &faults);
    let picture = scan.reduced(Encoding::Gamma(2.2));
    let paper = second_ink(1.0).max(92.0) + 1.5;
    let known = Known::PaperAndBlack(paper, second_ink(0.0));
    let result = read_chart(&picture, &ChartAsk { known, ..ask(&plan) }).unwrap();
    assert_eq!(result.claim, Claim::Anchors);
    assert!(worst(&result, second_ink) < 0.5, "{}", worst(&result, second_ink));
    let alone = read_chart(&picture, &ask(&plan)).unwrap();
    assert!(worst(&alone, second_ink) > 1.0);
}

/// A grey scale turned round on the glass, one with too few steps in the list, one with wrong densities.
#[test]
fn grey_scales_in_the_wrong_order() {
    let plan = plan(Patches::P41, 21);
    let scan = scan(&plan, second_ink, &quick());
    let picture = scan.reduced(Encoding::Code);
    let densities = scale_densities();
    let grid = Grid { corners: scan.grey_scale, columns: densities.len(), rows: 1, order: Order::Rows };
    let reversed: Vec<f64> = densities.iter().rev().copied().collect();
    let known = Known::GreyScale(&grid, &reversed);
    let result = read_chart(&picture, &ChartAsk { known, ..ask(&plan) }).unwrap();
    assert!(result.remarks.contains(&Remark::GreyScaleTurned));
    assert!(worst(&result, second_ink) < 0.5, "{}", worst(&result, second_ink));
    let too_many = [densities.clone(), vec![1.9]].concat();
    let known = Known::GreyScale(&grid, &too_many);
    assert_eq!(read_chart(&picture, &ChartAsk { known, ..ask(&plan) }).unwrap_err(), Refusal::Counts);
    let mut wrong = densities.clone();
    wrong.rotate_left(6);
    let known = Known::GreyScale(&grid, &wrong);
    assert_eq!(read_chart(&picture, &ChartAsk { known, ..ask(&plan) }).unwrap_err(), Refusal::GreyScale);
}

#[test]
fn a_blank_scan_stands_in_for_paper_around_the_chart() {
    let plan = plan(Patches::P41, 33);
    let shaded = Faults { shading: 0.10, keystone: 0.0, ..quick() };
    let scan = scan(&plan, second_ink, &shaded);
    // The same glass with white paper alone.
    let mut white = scan.moved((scan.width, scan.height), |x, y| (x, y));
    let (w, h) = (scan.width as f64, scan.height as f64);
    for (i, v) in white.code.iter_mut().enumerate() {
        let (u, v2) = (2.0 * (i % scan.width) as f64 / w - 1.0, 2.0 * (i / scan.width) as f64 / h - 1.0);
        let light = 0.8 * (1.0 - 0.10 * (0.6 * u * u + 0.3 * v2 * v2 + 0.1 * u));
        *v = (65_535.0 * math::pow(light, 1.0 / 2.2)) as u16;
    }
    let surface = blank(&white.reduced(Encoding::Gamma(2.2))).unwrap();
    let picture = scan.reduced(Encoding::Gamma(2.2));
    let known = Known::PaperAndBlack(second_ink(1.0).max(92.0) + 1.5, second_ink(0.0));
    let with = read_chart(&picture, &ChartAsk { known, blank: Some(surface), ..ask(&plan) }).unwrap();
    assert!(worst(&with, second_ink) < 0.5, "{}", worst(&with, second_ink));
    // Something that is not blank is no blank scan.
    assert!(blank(&picture).is_none());
}

/// The two parts of a JPEG that hurt: blocks of eight and coarse steps. Quantised DCT coefficients with the luminance
/// table of ITU-T T.81, annex K.1, at twice its steps (quality of about 25).
#[test]
fn a_hard_squeezed_jpeg_is_read() {
    const TABLE: [f64; 64] = [
        16., 11., 10., 16., 24., 40., 51., 61., 12., 12., 14., 19., 26., 58., 60., 55., 14., 13., 16., 24.,
        40., 57., 69., 56., 14., 17., 22., 29., 51., 87., 80., 62., 18., 22., 37., 56., 68., 109., 103., 77.,
        24., 35., 55., 64., 81., 104., 113., 92., 49., 64., 78., 87., 103., 121., 120., 101., 72., 92., 95.,
        98., 112., 100., 103., 99.,
    ];
    let plan = plan(Patches::P41, 64);
    let clean = scan(&plan, second_ink, &Faults { texture: 0.5, ..quick() });
    let mut squeezed = clean.moved((clean.width, clean.height), |x, y| (x, y));
    let cosine: Vec<f64> = (0..64)
        .map(|k| {
            let (u, x) = ((k / 8) as f64, (k % 8) as f64);
            let norm = if k < 8 { math::sqrt(0.125) } else { 0.5 };
            norm * math::cos((2.0 * x + 1.0) * u * core::f64::consts::PI / 16.0)
        })
        .collect();
    for by in (0..clean.height - 7).step_by(8) {
        for bx in (0..clean.width - 7).step_by(8) {
            let mut block = [0.0; 64];
            for (k, b) in block.iter_mut().enumerate() {
                *b = f64::from(clean.code[(by + k / 8) * clean.width + bx + k % 8]) / 257.0 - 128.0;
            }
            let turn = |block: &[f64; 64], back: bool| {
                let at = |u: usize, x: usize| if back { cosine[x * 8 + u] } else { cosine[u * 8 + x] };
                let mut rows = [0.0; 64];
                for y in 0..8 {
                    for u in 0..8 {
                        rows[y * 8 + u] = (0..8).map(|x| block[y * 8 + x] * at(u, x)).sum();
                    }
                }
                let mut out = [0.0; 64];
                for v in 0..8 {
                    for u in 0..8 {
                        out[v * 8 + u] = (0..8).map(|y| rows[y * 8 + u] * at(v, y)).sum();
                    }
                }
                out
            };
            let mut coefficients = turn(&block, false);
            for (c, q) in coefficients.iter_mut().zip(TABLE) {
                *c = (*c / (2.0 * q)).round() * 2.0 * q;
            }
            for (k, v) in turn(&coefficients, true).iter().enumerate() {
                let code = (v + 128.0).round().clamp(0.0, 255.0) as u16;
                squeezed.code[(by + k / 8) * clean.width + bx + k % 8] = code * 257;
            }
        }
    }
    let a = read_chart(&clean.reduced(Encoding::Gamma(2.2)), &ask(&plan)).unwrap();
    let b = read_chart(&squeezed.reduced(Encoding::Gamma(2.2)), &ask(&plan)).unwrap();
    let off = a.patches.iter().zip(&b.patches).map(|(a, b)| (a.lightness - b.lightness).abs());
    let largest = off.fold(0.0, f64::max);
    println!("largest change by JPEG: {largest:.2} L*");
    assert!(largest < 1.0, "{largest}");
}

/// Rows, columns and corners alone: the field of our chart read as if it were anybody's.
#[test]
fn any_chart_by_its_rows_and_columns() {
    let plan = plan(Patches::P41, 8);
    let scan = scan(&plan, second_ink, &Faults { keystone: 0.0, ..quick() });
    let picture = scan.reduced(Encoding::Gamma(2.2));
    let result = read_chart(&picture, &ask(&plan)).unwrap();
    let (columns, rows) = Patches::P41.grid();
    let (first, last) = (plan.patches[0].area, plan.patches.last().unwrap().area);
    // Half a gap further out, so that cells are as far apart as patches.
    let (x0, y0) = (first.x - 1.0, first.y - 1.0);
    let (x1, y1) = (x0 + columns as f64 * (first.width + 2.0), y0 + rows as f64 * (first.height + 2.0));
    assert!(last.x <= x1);
    let field = [(x0, y0), (x1, y0), (x1, y1), (x0, y1)].map(|p| scan.map.map(p));
    let grid = Grid { corners: field, columns, rows, order: Order::Rows };
    let all = grid.read(&picture, columns * rows).unwrap();
    for p in &result.patches {
        let patch = plan.patches[p.index];
        let same = &all[patch.row * columns + patch.column];
        assert!((100.0 * same.value - p.lightness).abs() < 1.5, "{} {}", 100.0 * same.value, p.lightness);
    }
    assert_eq!(Grid { columns: 0, ..grid }.read(&picture, 1).unwrap_err(), Refusal::Counts);
    assert_eq!(grid.read(&picture, 4000).unwrap_err(), Refusal::Counts);
    let outside = Grid { corners: field.map(|(x, y)| (x + 4000.0, y)), ..grid };
    assert_eq!(outside.read(&picture, 5).unwrap_err(), Refusal::Cropped);
    let flat = Grid { corners: [field[0]; 4], ..grid };
    assert_eq!(flat.read(&picture, 5).unwrap_err(), Refusal::Skewed);
}

#[test]
fn a_forgotten_tape_is_noticed() {
    let plan = plan(Patches::P41, 8);
    let mut scan = scan(&plan, second_ink, &quick());
    let (from, to) = (scan.map.map(plan.clear.middle()), scan.map.map(plan.masked.middle()));
    let dark = scan.code[from.1 as usize * scan.width + from.0 as usize];
    scan.blot(to, 38.0, dark);
    let result = read_chart(&scan.reduced(Encoding::Gamma(2.2)), &ask(&plan)).unwrap();
    assert!(result.remarks.contains(&Remark::NoTape) && result.spots[0].is_none());
}

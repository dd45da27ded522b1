//! What is noticed about a scan before its readings are believed: a coat of another size than was typed, a tape that lay
//! beside its spot, spots beside the coat, a blank scan that does not suit.
#![allow(clippy::unwrap_used, reason = "a test may fail")]
#![allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "pixels of a small picture")]

mod simulator;

use simulator::{Faults, Scan, Shape, saturating, scan, second_ink};
use sorrel_charts::scan::ask::read;
use sorrel_charts::scan::{ChartAsk, Known, Remark, read_chart};
use sorrel_core::tone::chart_plan::{ChartPlan, ChartSpec, Patches};
use sorrel_imaging::job::{ScanAsk, ScanDone};
use sorrel_imaging::source::{Encoding, Picture};
use std::io::Cursor;
use std::ops::ControlFlow;

fn on(patches: Patches, coat: (f64, f64)) -> ChartPlan {
    ChartPlan::new(ChartSpec { coat, ..ChartSpec::usual(patches, 41) }).unwrap()
}

fn ask(plan: &ChartPlan) -> ChartAsk<'_> {
    ChartAsk { plan, corners: None, known: Known::File, blank: None }
}

#[test]
fn the_coat_is_told_by_the_size_of_the_marks() {
    let sheets = [(127.0, 101.6), (152.4, 127.0), (203.2, 152.4)];
    let shapes: [Shape; 2] = [saturating, second_ink];
    let mut worst = 0.0_f64;
    for (i, made) in sheets.into_iter().enumerate() {
        let plan = on(Patches::P41, made);
        let faults = Faults { seed: 5 + i as u64, turn: 0.03, ..Faults::default() };
        let picture = scan(&plan, shapes[i % 2], &faults).reduced(Encoding::Gamma(2.2));
        for typed in sheets {
            // Far from the size that was typed the patches may not be found at all, which is told as well.
            let Ok(result) = read_chart(&picture, &ask(&on(Patches::P41, typed))) else {
                assert_ne!(made, typed);
                continue;
            };
            let seen = result.coat.unwrap();
            let off = (seen.0 / made.0 - 1.0).abs().max((seen.1 / made.1 - 1.0).abs());
            println!("made on {made:?}, typed {typed:?}: {:.0} × {:.0} mm", seen.0, seen.1);
            worst = worst.max(off);
        }
    }
    println!("the coat is told within {:.1} %", 100.0 * worst);
    assert!(worst < 0.04, "{worst}");
}

#[test]
fn a_tape_that_lay_beside_its_spot_is_noticed() {
    let plan = on(Patches::P41, (127.0, 101.6));
    let mut scan = scan(&plan, second_ink, &Faults::default());
    let good = read_chart(&scan.reduced(Encoding::Gamma(2.2)), &ask(&plan)).unwrap();
    assert!(good.spots[0].is_some() && !good.remarks.contains(&Remark::TapeBeside));
    // The left half of the spot is as dark as clear film.
    let area = plan.masked;
    let clear = scan.map.map(plan.clear.middle());
    let dark = scan.code[clear.1 as usize * scan.width + clear.0 as usize];
    for i in 0..8 {
        for j in 0..16 {
            let at = (area.x + f64::from(i), area.y + f64::from(j) / 2.0);
            scan.blot(scan.map.map(at), 4.0, dark);
        }
    }
    let result = read_chart(&scan.reduced(Encoding::Gamma(2.2)), &ask(&plan)).unwrap();
    assert!(result.remarks.contains(&Remark::TapeBeside), "{:?}", result.remarks);
    assert_eq!(result.spots[0], None);
}

#[test]
fn a_coat_that_does_not_reach_the_spots_is_noticed() {
    let plan = on(Patches::P41, (127.0, 101.6));
    let mut scan = scan(&plan, saturating, &Faults::default());
    // Both spots lie on bare paper.
    let (left, right) = (plan.masked.x, plan.clear.x + plan.clear.width);
    let mut x = left;
    while x <= right {
        for j in 0..5 {
            scan.blot(scan.map.map((x, plan.masked.y + 2.0 * f64::from(j))), 8.0, 62_000);
        }
        x += 1.0;
    }
    let result = read_chart(&scan.reduced(Encoding::Gamma(2.2)), &ask(&plan)).unwrap();
    assert!(result.remarks.contains(&Remark::OffCoat), "{:?} {:?}", result.remarks, result.spots);
    assert_eq!(result.spots[0], None);
}

/// Blank paper under the same lamp as the scans of the simulator.
fn blank(width: usize, height: usize, shading: f64) -> Scan {
    let like =
        scan(&on(Patches::P41, (127.0, 101.6)), second_ink, &Faults { specks: 0, ..Faults::default() });
    let mut code = Vec::with_capacity(width * height);
    for j in 0..height {
        for i in 0..width {
            let u = 2.0 * (i as f64 + 0.5) / width as f64 - 1.0;
            let v = 2.0 * (j as f64 + 0.5) / height as f64 - 1.0;
            let light = 0.85 * (1.0 - shading * (0.6 * u * u + 0.3 * v * v + 0.1 * u));
            code.push((65_535.0 * sorrel_core::math::pow(light, 1.0 / 2.2)) as u16);
        }
    }
    Scan { width, height, code, ..like }
}

fn done(scan: &Scan, ask: &ScanAsk) -> ScanDone {
    let file = scan.png();
    let picture = Picture::open(Cursor::new(&file), 1 << 30).unwrap();
    read(picture, ask, &mut |_| ControlFlow::Continue(())).unwrap()
}

#[test]
fn a_blank_scan_serves_only_scans_like_itself() {
    let plan = on(Patches::P41, (127.0, 101.6));
    // Hardly any paper around the print, so that the blank sheet is all there is.
    let shading = 0.25;
    let faults = Faults { patch_noise: 0.0, streak: None, shading, around: 6.0, ..Faults::default() };
    let chart = scan(&plan, second_ink, &faults.clone());
    let usual = ScanAsk { seed: 41, light: "gamma".into(), ..ScanAsk::default() };
    let of = |sheet: &Scan, light: &str| {
        let ask = ScanAsk { what: "blank".into(), light: light.into(), ..usual.clone() };
        done(sheet, &ask).shading
    };
    // What an even lamp would have shown: stray light stays in both.
    let even = done(&scan(&plan, second_ink, &Faults { shading: 0.0, ..faults }), &usual).lightness;
    let spread = |shading: Vec<f64>| {
        let result = done(&chart, &ScanAsk { shading, ..usual.clone() });
        let off: Vec<f64> = even.iter().zip(&result.lightness).map(|(a, b)| b - a).collect();
        let mean = off.iter().sum::<f64>() / off.len() as f64;
        let sd = (off.iter().map(|o| (o - mean) * (o - mean)).sum::<f64>() / off.len() as f64).sqrt();
        (sd, result.remarks.contains(&Remark::OtherBlank.code()))
    };
    let suits = blank(chart.width, chart.height, shading);
    let (without, none) = spread(Vec::new());
    let (with, left_out) = spread(of(&suits, "gamma"));
    println!("shading of 25 %: patches scatter by {without:.2} L*, with a blank scan by {with:.2}");
    assert!(!none && !left_out && with < 0.4 * without, "{with} {without}");
    // Another part of the glass, and code where the chart is read as light: left out, and said.
    let narrow = blank(chart.width * 3 / 4, chart.height, shading);
    for other in [of(&narrow, "gamma"), of(&suits, "file")] {
        assert_eq!(spread(other), (without, true));
    }
}

//! The jobs of chart and scan as the page asks for them: a chart's film, a scan of its print, the readings.
#![allow(clippy::unwrap_used, reason = "a test may fail")]

mod simulator;

use simulator::{Faults, Random, Scan, scale_densities, scan, second_ink};
use sorrel_charts::scan::ask::read;
use sorrel_core::scan::Homography;
use sorrel_core::tone::chart_plan::{ChartPlan, ChartSpec, Patches};
use sorrel_imaging::Fault;
use sorrel_imaging::job::{Field, ScanAsk, ScanDone};
use sorrel_imaging::source::Picture;
use std::io::Cursor;
use std::ops::ControlFlow;

fn done(file: &[u8], ask: &ScanAsk) -> Result<ScanDone, Fault> {
    let picture = Picture::open(Cursor::new(file), 1 << 30).unwrap();
    read(picture, ask, &mut |_| ControlFlow::Continue(()))
}

fn close(done: &ScanDone, tolerance: f64) -> bool {
    done.codes.iter().zip(&done.lightness).all(|(c, l)| (second_ink(*c) - l).abs() < tolerance)
}

#[test]
fn from_ask_to_answer() {
    let plan = ChartPlan::new(ChartSpec::usual(Patches::P41, 777)).unwrap();
    let faults = Faults { patch_noise: 0.0, streak: None, scale: 5.0, keystone: 0.0, ..Faults::default() };
    let scan = scan(&plan, second_ink, &faults);
    let file = scan.png();
    let densities = scale_densities();
    let grey_scale = Field {
        corners: scan.grey_scale.iter().flat_map(|p| [p.0, p.1]).collect(),
        columns: 17,
        rows: 1,
        order: 0,
    };
    let ask = ScanAsk { seed: 777, ..ScanAsk::default() };

    // Nothing is said about light: order only, and the page is told so.
    let plain = done(&file, &ask).unwrap();
    assert!(!plain.says_light && plain.profile.is_empty());
    assert_eq!((plain.claim.as_str(), plain.name.as_str()), ("order", "41-777"));
    assert_eq!((plain.codes.len(), plain.marks.len(), plain.map.len(), plain.flags.len()), (41, 8, 9, 41));
    assert!((plain.scale - 5.0).abs() < 0.05);

    // With the answer to the question, then with a grey scale, then with two known greys.
    let gamma = ScanAsk { light: "gamma".into(), ..ask.clone() };
    assert_eq!(done(&file, &gamma).unwrap().claim, "file");
    let scaled = ScanAsk { grey_scale: grey_scale.clone(), densities: densities.clone(), ..ask.clone() };
    let with_scale = done(&file, &scaled).unwrap();
    assert_eq!(with_scale.claim, "grey-scale");
    assert!(close(&with_scale, 0.3) && with_scale.half_width < 0.5);
    let anchors = ScanAsk { anchors: vec![94.3, second_ink(0.0)], ..gamma.clone() };
    let with_anchors = done(&file, &anchors).unwrap();
    assert_eq!(with_anchors.claim, "anchors");
    assert!(close(&with_anchors, 0.6));

    // Which chart is it?
    let name = done(&file, &ScanAsk { what: "name".into(), ..ask.clone() }).unwrap();
    assert_eq!(name.name, "41-777");
    let refused = done(&file, &ScanAsk { seed: 778, ..ask.clone() }).unwrap_err();
    assert_eq!((refused.culprit(), refused.to_string().contains("41-777")), ("file", true));

    // The grey scale as if it were anybody's chart.
    let field = ScanAsk { what: "field".into(), field: grey_scale, count: 17, ..gamma };
    let steps = done(&file, &field).unwrap();
    assert_eq!((steps.lightness.len(), steps.codes.len()), (17, 0));
    assert!(steps.lightness.windows(2).all(|w| w[0] > w[1]));
    let counted = done(&file, &ScanAsk { count: 18, ..field }).unwrap_err();
    assert_eq!(counted.culprit(), "caller");

    // A chart is no blank sheet.
    assert_eq!(done(&file, &ScanAsk { what: "blank".into(), ..ask.clone() }).unwrap_err().culprit(), "file");
    assert_eq!(done(&file, &ScanAsk { patches: 12, ..ask.clone() }).unwrap_err().culprit(), "caller");
    assert_eq!(done(&file, &ScanAsk { marks: vec![1.0; 3], ..ask.clone() }).unwrap_err().culprit(), "file");
    let odd = ScanAsk { light: "gamma".into(), gamma: f64::NAN, ..ask.clone() };
    assert_eq!(done(&file, &odd).unwrap_err().culprit(), "caller");
    let picture = Picture::open(Cursor::new(&file), 1 << 30).unwrap();
    let stopped = read(picture, &ask, &mut |_| ControlFlow::Break(()));
    assert_eq!(stopped.unwrap_err(), Fault::Cancelled);
}

/// Rubbish of every kind is refused or read, and no number comes out that is none.
#[test]
fn rubbish_never_panics() {
    let mut random = Random::new(99);
    let odd = [0.0, -5.0, 1e9, f64::NAN, f64::INFINITY, 37.5, 0.3];
    for round in 0..120 {
        let size = [(1, 1), (7, 900), (320, 200), (641, 480)][round % 4];
        let plain = round % 3 == 0;
        let mut value = 30_000.0;
        let code = (0..size.0 * size.1)
            .map(|_| {
                value = if plain {
                    65_535.0 * random.even()
                } else {
                    (value + 900.0 * random.normal()).clamp(0.0, 65_535.0)
                };
                value.round()
            })
            .map(|v| format!("{v}").parse::<u16>().unwrap())
            .collect();
        let unit = Homography([1.0, 0.0, 0.0, 0.0, 1.0, 0.0, 0.0, 0.0, 1.0]);
        let scan = Scan { width: size.0, height: size.1, code, map: unit, grey_scale: [(0.0, 0.0); 4] };
        let mut some = |n: usize| -> Vec<f64> {
            (0..n)
                .map(|_| {
                    let pick = 12.0 * random.even();
                    odd.iter()
                        .enumerate()
                        .find(|(i, _)| *i as f64 > pick - 1.0 && pick < 7.0)
                        .map_or(600.0 * pick / 12.0, |(_, v)| *v)
                })
                .collect()
        };
        let ask = ScanAsk {
            what: ["chart", "name", "field", "blank"][round % 4].into(),
            light: ["file", "linear", "gamma", "srgb"][round / 4 % 4].into(),
            marks: if round % 2 == 0 { some(8) } else { Vec::new() },
            field: Field { corners: some(8), columns: 5, rows: 4, order: 3 },
            count: 20,
            grey_scale: Field { corners: some(8), columns: 9, rows: 1, order: 0 },
            densities: if round % 5 == 0 { some(9) } else { Vec::new() },
            anchors: if round % 7 == 0 { some(2) } else { Vec::new() },
            shading: if round % 3 == 1 { some(10) } else { Vec::new() },
            ..ScanAsk::default()
        };
        if let Ok(done) = done(&scan.png(), &ask) {
            let numbers =
                [&done.values, &done.lightness, &done.spread, &done.map, &done.ground, &done.shading];
            assert!(numbers.iter().all(|l| l.iter().all(|v| v.is_finite())), "{ask:?} {done:?}");
        }
    }
}

//! The closed loop: chart film -> simulated print -> simulated scan -> readings -> correction -> the ramp printed again.
//!
//! Bars of this project: RMS at most 0.45 L* and worst 1.2 L* with 114 patches at 0.6 L* of patch noise and a grey scale
//! in the scan; 0.7 and 1.8 with 41; over all rounds together, and by nine rounds in ten with 114, all with 41, alone.
#![allow(clippy::unwrap_used, reason = "a test may fail")]

mod simulator;

use simulator::{Faults, Scan, Shape, saturating, scale_densities, scan, second_ink};
use sorrel_charts::scan::{ChartAsk, ChartScan, Grid, Known, Reduced, flag, read_chart};
use sorrel_core::math;
use sorrel_core::scan::{Claim, Order};
use sorrel_core::tone::chart_plan::{ChartPlan, ChartSpec, Patches};
use sorrel_core::tone::{Aim, Correction, Reading, Response};
use sorrel_imaging::source::Encoding;

/// Rounds of each chart.
const ROUNDS: u8 = 12;

fn read(scan: &Scan, picture: &Reduced, plan: &ChartPlan) -> ChartScan {
    let densities = scale_densities();
    let grid = Grid { corners: scan.grey_scale, columns: densities.len(), rows: 1, order: Order::Rows };
    let known = Known::GreyScale(&grid, &densities);
    read_chart(picture, &ChartAsk { plan, corners: None, known, blank: None }).unwrap()
}

/// RMS and worst error of a noiseless ramp printed through the correction, L*.
fn printed_again(shape: Shape, result: &ChartScan) -> (f64, f64) {
    let readings: Vec<Reading> = result
        .patches
        .iter()
        .filter(|p| p.flags & flag::ROUGH == 0)
        .map(|p| Reading::lightness(p.code, p.lightness))
        .collect();
    let response = Response::fit(&readings).unwrap();
    let correction = Correction::from_response(&response, Aim::LinearLightness);
    let (black, white) = (shape(0.0), shape(1.0));
    let errors: Vec<f64> = (0..=100)
        .map(|i| {
            let u = f64::from(i) / 100.0;
            shape(correction.at(u)) - Aim::LinearLightness.lightness(u, black, white)
        })
        .collect();
    let rms = math::sqrt(errors.iter().map(|e| e * e).sum::<f64>() / 101.0);
    (rms, errors.iter().fold(0.0, |m, e| m.max(e.abs())))
}

fn round(patches: Patches, shape: Shape, seed: u64) -> (f64, f64) {
    let plan = ChartPlan::new(ChartSpec::usual(patches, 1000 + u16::try_from(seed).unwrap())).unwrap();
    let faults = Faults { seed, turn: 0.01 * (seed % 5) as f64 - 0.02, ..Faults::default() };
    let scan = scan(&plan, shape, &faults);
    let picture = scan.reduced(Encoding::Code);
    let result = read(&scan, &picture, &plan);
    assert_eq!(result.claim, Claim::GreyScale);
    for (corner, mark) in result.frame.corners.iter().zip(plan.marks) {
        let truth = scan.map.map(mark);
        assert!((corner.0 - truth.0).abs() < 0.5 && (corner.1 - truth.1).abs() < 0.5, "{corner:?} {truth:?}");
    }
    // What the reading itself adds to the noise of the print.
    let off =
        result.patches.iter().filter(|p| p.flags & flag::ROUGH == 0).map(|p| p.lightness - shape(p.code));
    let all: Vec<f64> = off.collect();
    let sd = math::sqrt(all.iter().map(|e| e * e).sum::<f64>() / all.len() as f64);
    let rough = result.patches.len() - all.len();
    let (rms, worst) = printed_again(shape, &result);
    println!(
        "{} patches, seed {seed}: patch sd {sd:.2}, {rough} rough, ramp RMS {rms:.2}, worst {worst:.2} L*",
        all.len()
    );
    (rms, worst)
}

/// Rounds with both shapes in turn: all errors together, the worst, and how many rounds keep the bar by themselves.
///
/// What a single round has beyond the others is the chance of its black and its white: the mean of six patches each is off
/// by 0.25 L* at 0.6 L* of patch noise, and where both are off to the same side the whole scale is. Of 60 rounds with 114
/// patches two were above 0.45 (0.46 and 0.52), together they had 0.26 (measured when this was written).
fn rounds(patches: Patches, bar: f64) -> (f64, f64, usize) {
    let shape = |seed: u8| if seed % 2 == 1 { saturating as Shape } else { second_ink };
    let all: Vec<(f64, f64)> = (1..=ROUNDS).map(|seed| round(patches, shape(seed), seed.into())).collect();
    let pooled = math::sqrt(all.iter().map(|(rms, _)| rms * rms).sum::<f64>() / all.len() as f64);
    let worst = all.iter().fold(0.0_f64, |m, (_, w)| m.max(*w));
    let keep = all.iter().filter(|(rms, _)| *rms <= bar).count();
    println!(
        "{patches:?}: pooled RMS {pooled:.2} L* (bar {bar}), worst {worst:.2} L*; {keep} of {ROUNDS} rounds keep the bar alone"
    );
    (pooled, worst, keep)
}

#[test]
fn with_114_patches() {
    let (rms, worst, keep) = rounds(Patches::P114, 0.45);
    assert!(rms <= 0.45 && worst <= 1.2, "{rms} {worst}");
    assert!(10 * keep >= 9 * usize::from(ROUNDS), "{keep}");
}

#[test]
fn with_41_patches() {
    let (rms, worst, keep) = rounds(Patches::P41, 0.7);
    assert!(rms <= 0.7 && worst <= 1.8, "{rms} {worst}");
    assert_eq!(keep, usize::from(ROUNDS));
}

/// With an even coat what is left is the reading's own error.
#[test]
fn the_reading_itself_errs_by_a_tenth_at_most() {
    for (shape, patches) in [(saturating as Shape, Patches::P65), (second_ink, Patches::P114)] {
        let plan = ChartPlan::new(ChartSpec::usual(patches, 9)).unwrap();
        let scan = scan(&plan, shape, &Faults { patch_noise: 0.0, ..Faults::default() });
        let picture = scan.reduced(Encoding::Code);
        let result = read(&scan, &picture, &plan);
        let sound: Vec<_> = result.patches.iter().filter(|p| p.flags & flag::ROUGH == 0).collect();
        assert!(sound.len() + 8 > patches.count());
        let square: f64 =
            sound.iter().map(|p| (p.lightness - shape(p.code)) * (p.lightness - shape(p.code))).sum();
        let rms = math::sqrt(square / sound.len() as f64);
        println!("{patches:?}: the reading errs by {rms:.3} L* RMS");
        assert!(rms < 0.1, "{rms}");
        // Tape, clear film and paper are told apart.
        let [masked, clear, bare] = result.spots.map(Option::unwrap);
        assert!((masked - shape(1.0) - 0.8).abs() < 0.3, "{masked}");
        assert!((clear - shape(0.0)).abs() < 0.3, "{clear}");
        assert!((bare - shape(1.0).max(92.0) - 1.5).abs() < 0.5, "{bare}");
        let ground = shape(0.30);
        let mut off: Vec<f64> = result.ground.iter().map(|g| (g.2 - ground).abs()).collect();
        off.sort_by(f64::total_cmp);
        assert!(off[off.len() / 2] < 0.3, "{}", off[off.len() / 2]);
    }
}

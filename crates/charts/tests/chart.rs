//! Films of tone chart and ink ramp: every part where the plan says, mirrored, in the right ink.
#![allow(clippy::cast_possible_truncation, reason = "test data are small")]
#![allow(clippy::unwrap_used, reason = "a test may fail")]

use sorrel_charts::chart::{Sheet, chart, ramp};
use sorrel_core::tone::chart_plan::{Area, ChartPlan, ChartSpec, Patches, RampPlan};
use sorrel_core::tone::film_code16;
use sorrel_imaging::Fault;
use sorrel_imaging::source::Picture;
use sorrel_imaging::tiff_out::{Page, TiffWriter};
use std::io::Cursor;
use std::ops::ControlFlow;

/// Rows as the print shows them.
fn print(sheet: &Sheet) -> Vec<Vec<u16>> {
    (0..sheet.height)
        .map(|y| {
            let mut row = vec![0; sheet.width as usize];
            sheet.row(y, &mut row);
            row.reverse();
            row
        })
        .collect()
}

/// All pixels of the middle 90 % of an area, if they are equal.
fn even(sheet: &Sheet, rows: &[Vec<u16>], area: Area) -> Option<u16> {
    let a = area.inner(0.9);
    let first = rows[sheet.px(a.y) as usize][sheet.px(a.x) as usize];
    rows[sheet.px(a.y) as usize..sheet.px(a.y + a.height) as usize]
        .iter()
        .all(|r| r[sheet.px(a.x) as usize..sheet.px(a.x + a.width) as usize].iter().all(|v| *v == first))
        .then_some(first)
}

#[test]
fn every_patch_holds_its_code_and_the_ground_shows_between() {
    for (patches, ppi) in [(Patches::P41, 360), (Patches::P65, 300), (Patches::P114, 240)] {
        let plan = ChartPlan::new(ChartSpec::usual(patches, 40_213)).unwrap();
        let sheet = chart(&plan, ppi, "Harbour paper, demo setup").unwrap();
        assert_eq!(sheet.width, sheet.px(plan.spec.coat.0));
        let rows = print(&sheet);
        for patch in &plan.patches {
            assert_eq!(even(&sheet, &rows, patch.area), Some(film_code16(patch.code)), "{patch:?}");
        }
        for gap in plan.gaps() {
            assert_eq!(even(&sheet, &rows, gap), Some(film_code16(0.30)));
        }
        for (area, light) in &plan.squares {
            assert_eq!(even(&sheet, &rows, area.inner(0.8)), Some(if *light { 0 } else { 65_535 }));
        }
        assert_eq!(even(&sheet, &rows, plan.masked.inner(0.8)), Some(65_535));
        assert_eq!(even(&sheet, &rows, plan.clear.inner(0.8)), Some(65_535));
        assert_eq!(even(&sheet, &rows, plan.bar), Some(0));
        let (x, y) = plan.marks[1];
        let at = |dx: f64, dy: f64| rows[sheet.px(y + dy) as usize][sheet.px(x + dx) as usize];
        assert_eq!([at(-2.0, -2.0), at(2.0, -2.0), at(-2.0, 2.0), at(2.0, 2.0)], [65_535, 0, 0, 65_535]);
    }
}

#[test]
fn the_film_is_the_mirror_image_and_a_tiff_holds_it() {
    let plan = ChartPlan::new(ChartSpec::usual(Patches::P41, 1)).unwrap();
    let sheet = chart(&plan, 360, "").unwrap();
    let page = Page { width: sheet.width, height: sheet.height, ppi: 360, description: String::new() };
    let mut tiff = TiffWriter::new(Vec::new(), page).unwrap();
    sheet.write(&mut tiff, &mut |_| ControlFlow::Continue(())).unwrap();
    let file = tiff.into_inner();
    let mut rows = Picture::open(Cursor::new(&file), 1 << 30).unwrap().into_rows().unwrap();
    let mut row = vec![0.0; sheet.width as usize];
    let middle = sheet.px(plan.way_up.middle().1 - 1.3);
    for _ in 0..=middle {
        rows.next_row(&mut row).unwrap();
    }
    // The way-up mark stands near the left edge of the print, so near the right edge of the film; full ink is 0.
    let from_right = (sheet.px(plan.way_up.x) + 3) as usize;
    assert_eq!(row[sheet.width as usize - 1 - from_right], 0.0);
    assert!(row[from_right] > 0.0);
    let stopped = sheet.write(
        &mut TiffWriter::new(Vec::new(), Page { width: 9, height: 9, ppi: 9, description: String::new() })
            .unwrap(),
        &mut |_| ControlFlow::Break(()),
    );
    assert_eq!(stopped, Err(Fault::Cancelled));
}

#[test]
fn ramp_steps_touch_and_reach_the_edge() {
    let plan = RampPlan::usual(130.0).unwrap();
    let sheet = ramp(&plan, 360, "Ink ramp, demo setup").unwrap();
    let rows = print(&sheet);
    let first = sheet.px(plan.steps[0].area.x) as usize;
    let last = plan.steps.last().unwrap().area;
    for row in &rows[..sheet.px(last.height) as usize] {
        let inside = &row[first..sheet.px(last.x + last.width) as usize];
        let mut values = inside.to_vec();
        values.dedup();
        let expected: Vec<u16> = plan.steps.iter().map(|s| film_code16(s.code)).collect();
        assert_eq!(values, expected);
    }
    assert_eq!(
        chart(&ChartPlan::new(ChartSpec::usual(Patches::P41, 1)).unwrap(), 72, "").unwrap_err().culprit(),
        "caller"
    );
}

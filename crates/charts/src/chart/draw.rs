//! What is drawn where on the films of chart and ramp.

use super::Sheet;
use sorrel_core::tone::chart_plan::layout::LABEL;
use sorrel_core::tone::chart_plan::ramp::CAPITAL;
use sorrel_core::tone::chart_plan::{Area, ChartPlan, RampPlan};
use sorrel_core::tone::film_code16;
use sorrel_imaging::fault::Fault;
use sorrel_imaging::film::codes::{CLEAR, FULL};

/// Thickness of the frame around a spot, mm.
const FRAME: f64 = 0.5;
/// Height of the words below the spots, mm.
const SMALL: f64 = 1.7;

/// The film of a tone chart. `label` is written below the chart's own name, as far as there is room.
///
/// # Errors
/// [`Fault::Caller`] for an odd resolution.
pub fn chart(plan: &ChartPlan, ppi: u32, label: &str) -> Result<Sheet, Fault> {
    let mut sheet = Sheet::new(plan.spec.coat, ppi, film_code16(plan.spec.ground))?;
    for patch in &plan.patches {
        sheet.fill(patch.area, film_code16(patch.code));
    }
    let half = plan.mark / 2.0;
    for (x, y) in plan.marks {
        // Clear film at the upper left and the lower right: these two print black.
        for (dx, dy, value) in
            [(-half, -half, CLEAR), (0.0, 0.0, CLEAR), (0.0, -half, FULL), (-half, 0.0, FULL)]
        {
            sheet.fill(Area { x: x + dx, y: y + dy, width: half, height: half }, value);
        }
    }
    sheet.fill(plan.way_up, FULL);
    sheet.fill(plan.way_up.inner(0.4), CLEAR);
    for (area, light) in &plan.squares {
        sheet.fill(*area, if *light { FULL } else { CLEAR });
    }
    for (spot, words) in [(plan.masked, "tape"), (plan.clear, "clear")] {
        sheet.fill(spot, FULL);
        let inside = Area::around(spot.middle(), spot.width - 2.0 * FRAME, spot.height - 2.0 * FRAME);
        sheet.fill(inside, CLEAR);
        let below = (spot.x, spot.y + spot.height + SMALL / 2.0);
        sheet.write_line(words, below, SMALL, spot.width, FULL);
    }
    let room = plan.label;
    let name = ["Tone chart ", &plan.identity().text()].concat();
    sheet.write_line(&name, (room.x, room.y), LABEL.0, room.width, FULL);
    sheet.write_line(label, (room.x, room.y + LABEL.1), LABEL.0, room.width, FULL);
    sheet.fill(plan.bar, FULL);
    let beside = plan.bar.x + plan.bar.width + 2.0;
    let above = plan.bar.y + plan.bar.height - SMALL;
    sheet.write_line("50 mm", (beside, above), SMALL, room.x + room.width - beside, FULL);
    Ok(sheet)
}

/// The film of an ink ramp on clear ground. `label` is written below the numbers.
///
/// # Errors
/// [`Fault::Caller`] for an odd resolution.
pub fn ramp(plan: &RampPlan, ppi: u32, label: &str) -> Result<Sheet, Fault> {
    let mut sheet = Sheet::new(plan.size, ppi, CLEAR)?;
    for step in &plan.steps {
        sheet.fill(step.area, film_code16(step.code));
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 100")]
        let percent = (step.code * 100.0).round() as u32;
        let at = (step.area.x + 1.0, plan.numbers);
        sheet.write_line(&percent.to_string(), at, CAPITAL, step.area.width - 1.0, FULL);
    }
    sheet.write_line(label, (plan.label.x, plan.label.y), CAPITAL, plan.label.width, FULL);
    if let Some(bar) = plan.bar {
        sheet.fill(bar, FULL);
        let beside = bar.x + bar.width + 2.0;
        sheet.write_line("50 mm", (beside, bar.y), SMALL, plan.label.x + plan.label.width - beside, FULL);
    }
    Ok(sheet)
}

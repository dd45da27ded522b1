//! What measurements call. Only in a site built for tests.

use sorrel_core::light::{self, Rests};
use sorrel_core::tone::{Quantity, Reading, Response};
use wasm_bindgen::prelude::*;

/// Fits an invented print of so many patches, two of them bad; gives the lightness of middle ink, so that nothing is
/// left out as unused.
#[wasm_bindgen]
#[must_use]
#[expect(unreachable_pub, reason = "only public functions are exported")]
pub fn bench_fit(patches: u32) -> f64 {
    let last = f64::from(patches.max(2) - 1);
    let readings: Vec<Reading> = (0..patches)
        .map(|i| {
            let code = f64::from(i) / last;
            // A smooth rise with a repeatable unevenness of about half an L*.
            let uneven = f64::from(i * 7919 % 101) / 101.0 - 0.5;
            let bad = if i % 50 == 33 { 9.0 } else { 0.0 };
            let value = 15.0 + 78.0 * code * (1.6 - 0.6 * code) + uneven + bad;
            Reading { code, value, quantity: Quantity::Lightness, weight: 1.0, id: String::new() }
        })
        .collect();
    Response::fit(&readings).map_or(f64::NAN, |response| response.at(0.5))
}

/// Learns an invented step print of 21 steps with its two hundred repeats; gives log exposure of black.
#[wasm_bindgen]
#[must_use]
#[expect(unreachable_pub, reason = "only public functions are exported")]
pub fn bench_step_print() -> f64 {
    // The demonstration's paper printed for 15 minutes, read to a hundredth with a repeatable unevenness.
    let readings = "1.48 1.47 1.48 1.45 1.40 1.29 1.14 0.95 0.75 0.57 0.43 0.33 0.25 0.20 0.16 0.14 0.11 0.11 0.09 0.09 0.08";
    let mut rests = Rests::default();
    rests.steps.time = "15:00".into();
    rests.steps.masked = "0.07 0.07 0.08 0.07".into();
    rests.tablet.steps = readings.into();
    let learnt = light::learn(&rests);
    learnt.print().and_then(|print| print.black(0.03)).map_or(f64::NAN, |black| black.value)
}

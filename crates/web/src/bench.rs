//! What measurements call. Only in a site built for tests.

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

//! Time of a whole tone fit: smoothing, doubt, monotone rounds, band; and of the correction made from it.

#![allow(clippy::unwrap_used, missing_docs, reason = "a bench, whose entry points a macro writes")]

#[cfg(not(target_arch = "wasm32"))]
mod native {
    use criterion::{Criterion, criterion_group};
    use sorrel_core::tone::pooled::{self, Sheet};
    use sorrel_core::tone::readings::parse;
    use sorrel_core::tone::{Aim, Correction, Reading, Response};

    /// A print with small even scatter, two patches spoilt: `levels` codes, seven more readings at each end.
    fn print(levels: usize) -> Vec<Reading> {
        let ends = (0..14).map(|i| (i % 2) * (levels - 1));
        (0..levels)
            .chain(ends)
            .enumerate()
            .map(|(n, i)| {
                let c = i as f64 / (levels - 1) as f64;
                let scatter = ((n * 37 % 19) as f64 - 9.0) * 0.09;
                let spoilt = if n == levels / 3 || n == levels / 2 { 6.0 } else { 0.0 };
                Reading::lightness(c, 24.0 + 68.0 * c * c * (3.0 - 2.0 * c) + scatter + spoilt)
            })
            .collect()
    }

    fn fits(c: &mut Criterion) {
        for levels in [17, 101, 256] {
            let readings = print(levels);
            c.bench_function(&format!("tone fit, {} patches", readings.len()), |b| {
                b.iter(|| Response::fit(&readings).unwrap());
            });
        }
        let few: Vec<Reading> = print(9);
        c.bench_function("tone fit, 9 codes interpolated", |b| b.iter(|| Response::fit(&few).unwrap()));
        let response = Response::fit(&print(101)).unwrap();
        c.bench_function("correction from a response", |b| {
            b.iter(|| Correction::from_response(&response, Aim::LinearLightness));
        });
        // Bands need no bootstrap; this is what one of 200 refits would take.
        let chart = print(101);
        c.bench_function("200 refits of 115 patches", |b| {
            b.iter(|| (0..200).map(|_| Response::fit(&chart).unwrap().at(0.5)).sum::<f64>());
        });
        let sheet = |readings: Vec<Reading>| Sheet { name: String::new(), readings };
        let sheets = [sheet(print(51)), sheet(print(51)), sheet(print(41))];
        c.bench_function("three sheets pooled", |b| b.iter(|| pooled::fit(&sheets, None).unwrap()));
        let text: String =
            print(101).iter().map(|r| format!("{:.1};{:.2}\n", 100.0 * r.code, r.value)).collect();
        c.bench_function("115 readings from text", |b| b.iter(|| parse(&text, None)));
    }

    criterion_group!(benches, fits);
}

#[cfg(not(target_arch = "wasm32"))]
criterion::criterion_main!(native::benches);

/// The page's own bench times the fit in the browser.
#[cfg(target_arch = "wasm32")]
fn main() {}

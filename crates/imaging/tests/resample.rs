//! Resampling against tests/reference/resampling, and the streaming way against a plain one.
#![allow(clippy::cast_possible_truncation, reason = "test data are small")]
#![allow(clippy::unwrap_used, reason = "a test may fail")]

use proptest::prelude::*;
use serde_json::Value;
use sorrel_imaging::Fault;
use sorrel_imaging::film::Window;
use sorrel_imaging::resample::{Filter, Measure, Resampler, weights};
use sorrel_imaging::source::Rows;
use sorrel_imaging::tone;

/// A picture in memory.
#[derive(Clone)]
struct Plain {
    width: usize,
    height: usize,
    y: Vec<f32>,
    next: usize,
}

impl Rows for Plain {
    fn size(&self) -> (u32, u32) {
        (self.width as u32, self.height as u32)
    }

    fn next_row(&mut self, out: &mut [f32]) -> Result<(), Fault> {
        let row = self.y.chunks(self.width).nth(self.next).ok_or(Fault::Cancelled)?;
        out.copy_from_slice(row);
        self.next += 1;
        Ok(())
    }
}

fn filter(name: &str) -> Filter {
    match name {
        "lanczos3" => Filter::Lanczos3,
        "mitchell" => Filter::Mitchell,
        "triangle" => Filter::Triangle,
        "box" => Filter::Box,
        _ => Filter::CatmullRom,
    }
}

fn vectors() -> Value {
    serde_json::from_str(include_str!("../../../tests/reference/resampling/vectors.json")).unwrap()
}

fn numbers(v: &Value) -> Vec<f64> {
    v.as_array().unwrap().iter().map(|n| n.as_f64().unwrap()).collect()
}

#[test]
fn filters_have_their_shapes() {
    let all = vectors();
    let mut seen = 0;
    for (name, kernel) in all["kernels"].as_object().unwrap() {
        let f = filter(name);
        assert_eq!(f.support(), kernel["support"].as_f64().unwrap());
        for (x, expected) in kernel["samples"].as_object().unwrap() {
            let got = f.at(x.parse().unwrap());
            assert!((got - expected.as_f64().unwrap()).abs() < 1e-9, "{name} at {x}: {got}");
            seen += 1;
        }
    }
    assert_eq!(seen, 78);
}

#[test]
fn weights_and_results_agree() {
    let all = vectors();
    let tests = all["tests"].as_array().unwrap();
    assert_eq!(tests.len(), 36);
    let tolerance = all["tolerance"].as_f64().unwrap();
    let tolerance_f32 = all["tolerance_vs_pillow_f32"].as_f64().unwrap();
    let input: Vec<f64> =
        numbers(&tests.iter().find(|t| t["filter"] == "lanczos3" && t["n_out"] == 12).unwrap()["output"]);
    for test in tests {
        let name = test["filter"].as_str().unwrap();
        let f = filter(name);
        let (n, m) = (test["n_in"].as_u64().unwrap() as usize, test["n_out"].as_u64().unwrap() as usize);
        for (key, j) in [("weights_first", 0), ("weights_mid", m / 2)] {
            let (first, got) = weights(f, n, 0.0, n as f64, m, j);
            let mut expected = numbers(&test[key][1]);
            let mut expected_first = test[key][0].as_u64().unwrap() as usize;
            // Zeros at the ends carry no weight; where they are written is a matter of taste.
            let mut got = got;
            let mut first = first;
            for (list, start) in [(&mut got, &mut first), (&mut expected, &mut expected_first)] {
                while list.first().is_some_and(|w| w.abs() < 1e-12) {
                    list.remove(0);
                    *start += 1;
                }
                while list.last().is_some_and(|w| w.abs() < 1e-12) {
                    list.pop();
                }
            }
            assert_eq!((first, got.len()), (expected_first, expected.len()), "{name} {n} -> {m} {key}");
            for (a, b) in got.iter().zip(&expected) {
                assert!((a - b).abs() < tolerance, "{name} {n} -> {m} {key}: {a} {b}");
            }
        }
        let expected = numbers(&test["output"]);
        for (j, e) in expected.iter().enumerate() {
            let (first, w) = weights(f, n, 0.0, n as f64, m, j);
            let sum: f64 = w.iter().zip(&input[first..]).map(|(w, v)| w * v).sum();
            // The input itself was carried over with rounding of 1e-17.
            assert!((sum - e).abs() < tolerance, "{name} {n} -> {m} at {j}: {sum} {e}");
        }
        // The fast way, across and down. Light would be cut to 0..1 and turned into L*, so shift into the middle.
        let squeeze = |v: f64| 0.3 + 0.4 * v;
        let back = |l: f32| (f64::from(tone::luminance(l)) - 0.3) / 0.4;
        let y: Vec<f32> = input.iter().map(|v| squeeze(*v) as f32).collect();
        let across = Plain { width: n, height: 1, y: y.clone(), next: 0 };
        let mut out = vec![0.0; m];
        Resampler::new(Box::new(across), Window::whole(n as u32, 1), (m as u32, 1), f, Measure::Light)
            .next_row(&mut out)
            .unwrap();
        let down = Plain { width: 1, height: n, y, next: 0 };
        let mut down =
            Resampler::new(Box::new(down), Window::whole(1, n as u32), (1, m as u32), f, Measure::Light);
        for (j, e) in expected.iter().enumerate() {
            let mut one = [0.0];
            down.next_row(&mut one).unwrap();
            // Two curves lie between, which cost another two f32 roundings at a slope of up to 2.5.
            assert!((back(out[j]) - e).abs() < 2.0 * tolerance_f32, "{name} across {j}");
            assert!((back(one[0]) - e).abs() < 2.0 * tolerance_f32, "{name} down {j}");
        }
        assert!(down.next_row(&mut [0.0]).is_err());
    }
}

#[test]
fn edges_overshoot_as_published() {
    // An edge of L* 22 to 94 in the middle of 16 pixels, enlarged 2.25 times, in L*.
    let all = vectors();
    for (name, expected) in all["edge_overshoot"].as_object().unwrap() {
        let f = filter(name);
        let line: Vec<f64> = (0..16).map(|i| if i < 8 { 22.0 } else { 94.0 }).collect();
        let out: Vec<f64> = (0..36)
            .map(|j| {
                let (first, w) = weights(f, 16, 0.0, 16.0, 36, j);
                w.iter().zip(&line[first..]).map(|(w, v)| w * v).sum()
            })
            .collect();
        let low = out.iter().copied().fold(f64::MAX, f64::min);
        let high = out.iter().copied().fold(f64::MIN, f64::max);
        let e = &expected["in_Lstar"];
        assert!((low - e["min"].as_f64().unwrap()).abs() < 1e-9, "{name} {low}");
        assert!((high - e["max"].as_f64().unwrap()).abs() < 1e-9, "{name} {high}");
    }
}

#[test]
fn a_checker_is_averaged_in_light() {
    // 1-pixel checker of L* 22 and 94 reduced by 8: the vectors say L* 72.4907 for the middle.
    let y: Vec<f32> = (0..64 * 64)
        .map(|i| if (i % 64 + i / 64) % 2 == 0 { tone::luminance(0.22) } else { tone::luminance(0.94) })
        .collect();
    let plain = Plain { width: 64, height: 64, y, next: 0 };
    let mut small =
        Resampler::new(Box::new(plain), Window::whole(64, 64), (8, 8), Filter::Lanczos3, Measure::Light);
    let mut row = [0.0; 8];
    for _ in 0..4 {
        small.next_row(&mut row).unwrap();
    }
    let expected = vectors()["fine_detail_average"]["in_linear"].as_f64().unwrap();
    assert!((f64::from(row[4]) * 100.0 - expected).abs() < 0.3, "{}", row[4]);
}

/// The plain way: whole pictures, f64, one direction after the other.
fn plain(p: &Plain, window: Window, size: (usize, usize), f: Filter, measure: Measure) -> Vec<f64> {
    let value = |v: f32| match measure {
        Measure::Light => f64::from(v),
        Measure::Lightness => f64::from(tone::lightness(v)),
    };
    let mut rows = vec![0.0; size.0 * p.height];
    for y in 0..p.height {
        for x in 0..size.0 {
            let (first, w) = weights(f, p.width, window.x, window.width, size.0, x);
            rows[y * size.0 + x] =
                w.iter().enumerate().map(|(k, w)| w * value(p.y[y * p.width + first + k])).sum();
        }
    }
    let mut out = vec![0.0; size.0 * size.1];
    for y in 0..size.1 {
        let (first, w) = weights(f, p.height, window.y, window.height, size.1, y);
        for x in 0..size.0 {
            let sum: f64 = w.iter().enumerate().map(|(k, w)| w * rows[(first + k) * size.0 + x]).sum();
            out[y * size.0 + x] = match measure {
                Measure::Light => f64::from(tone::lightness(sum as f32)),
                Measure::Lightness => sum,
            };
        }
    }
    out
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 300, ..ProptestConfig::default() })]

    #[test]
    fn the_stream_equals_the_plain_way(
        (w, h) in (1_usize..60, 1_usize..60),
        (ow, oh) in (1_usize..90, 1_usize..90),
        crop in (0.0_f64..0.9, 0.0_f64..0.9, 0.05_f64..1.0, 0.05_f64..1.0),
        kind in 0_usize..5,
        light: bool,
        seed: u32,
    ) {
        let mut state = seed | 1;
        let y: Vec<f32> = (0..w * h).map(|_| {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            0.3 + 0.4 * (state >> 8) as f32 / 16_777_216.0
        }).collect();
        let source = Plain { width: w, height: h, y, next: 0 };
        let (wf, hf) = (w as f64, h as f64);
        let window = Window {
            x: crop.0 * wf,
            y: crop.1 * hf,
            width: (crop.2 * wf).min(wf - crop.0 * wf),
            height: (crop.3 * hf).min(hf - crop.1 * hf),
        };
        let f = [Filter::Box, Filter::Triangle, Filter::CatmullRom, Filter::Mitchell, Filter::Lanczos3][kind];
        let measure = if light { Measure::Light } else { Measure::Lightness };
        let expected = plain(&source, window, (ow, oh), f, measure);
        let mut stream = Resampler::new(Box::new(source), window, (ow as u32, oh as u32), f, measure);
        let mut row = vec![0.0; ow];
        for line in expected.chunks(ow) {
            stream.next_row(&mut row).unwrap();
            for (a, b) in row.iter().zip(line) {
                // Dark light sums are steep in L*; 3e-6 is a twentieth of a 16-bit step in the middle tones.
                prop_assert!((f64::from(*a) - b).abs() < 3e-6, "{} {}", a, b);
            }
        }
        prop_assert!(stream.next_row(&mut row).is_err());
    }
}

//! How long the parts of a film take for a megapixel, one by one.

#![allow(clippy::unwrap_used, clippy::cast_possible_truncation, reason = "a measurement may fail")]

use criterion::{Criterion, Throughput, criterion_group, criterion_main};
use sorrel_imaging::Fault;
use sorrel_imaging::film::{Codes, NODES, Sink, Window};
use sorrel_imaging::grey::{Greyer, Pixels, Samples, Tones};
use sorrel_imaging::png_out::PngWriter;
use sorrel_imaging::resample::{Filter, Measure, Resampler};
use sorrel_imaging::source::{Rows, srgb_curve};
use sorrel_imaging::tiff_out::{Page, TiffWriter};
use std::hint::black_box;

const WIDTH: usize = 2048;
const HEIGHT: usize = 512;

/// Rows of noise over a ramp.
struct Noise(u32);

impl Rows for Noise {
    fn size(&self) -> (u32, u32) {
        (WIDTH as u32, HEIGHT as u32)
    }

    fn next_row(&mut self, out: &mut [f32]) -> Result<(), Fault> {
        for (i, o) in out.iter_mut().enumerate() {
            self.0 = self.0.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            *o = i as f32 / WIDTH as f32 * 0.8 + 0.1 + (self.0 >> 24) as f32 / 5000.0;
        }
        Ok(())
    }
}

fn parts(c: &mut Criterion) {
    let mut group = c.benchmark_group("film");
    group.throughput(Throughput::Elements((WIDTH * HEIGHT) as u64));
    group.sample_size(20);
    let raw: Vec<u8> = (0..WIDTH * HEIGHT * 3).map(|i| (i * 7919 % 256) as u8).collect();
    let pixels = Pixels { channels: 3, samples: Samples::Eight };
    let greyer =
        Greyer::new(pixels, Tones::sum(Samples::Eight, [0.2225, 0.7169, 0.0606], |_, v| srgb_curve(v)));
    let mut row = vec![0.0; WIDTH];
    group.bench_function("grey of 8-bit RGB", |b| {
        b.iter(|| {
            for line in raw.chunks_exact(WIDTH * 3) {
                greyer.row(line, &mut row).unwrap();
                black_box(&row);
            }
        });
    });
    group.bench_function("lightness", |b| {
        b.iter(|| {
            for _ in 0..HEIGHT {
                row.fill(black_box(0.3));
                sorrel_imaging::tone::row_to_lightness(&mut row);
                black_box(&row);
            }
        });
    });
    let codes = Codes::new(&vec![0.5; NODES]).unwrap();
    let mut out = vec![0_u16; WIDTH];
    group.bench_function("correction", |b| {
        b.iter(|| {
            for _ in 0..HEIGHT {
                codes.row(&row, &mut out);
                black_box(&out);
            }
        });
    });
    for (name, scale, filter, measure) in [
        ("enlarge 1.44 (of output)", 1.44, Filter::Mitchell, Measure::Lightness),
        ("reduce 0.6 (of output)", 0.6, Filter::Lanczos3, Measure::Light),
    ] {
        let size = ((WIDTH as f64 * scale) as u32, (HEIGHT as f64 * scale) as u32);
        group.throughput(Throughput::Elements(u64::from(size.0) * u64::from(size.1)));
        group.bench_function(name, |b| {
            b.iter(|| {
                let window = Window::whole(WIDTH as u32, HEIGHT as u32);
                let mut resampler = Resampler::new(Box::new(Noise(1)), window, size, filter, measure);
                let mut row = vec![0.0; size.0 as usize];
                for _ in 0..size.1 {
                    resampler.next_row(&mut row).unwrap();
                }
                black_box(row);
            });
        });
    }
    group.throughput(Throughput::Elements((WIDTH * HEIGHT) as u64));
    let mut noise = Noise(9);
    let rows: Vec<Vec<u16>> = (0..HEIGHT)
        .map(|_| {
            noise.next_row(&mut row).unwrap();
            row.iter().map(|v| (v * 65_535.0) as u16).collect()
        })
        .collect();
    let page = Page { width: WIDTH as u32, height: HEIGHT as u32, ppi: 360, description: String::new() };
    group.bench_function("TIFF", |b| {
        b.iter(|| {
            let mut sink = TiffWriter::new(std::io::sink(), page.clone()).unwrap();
            rows.iter().for_each(|r| sink.row(r).unwrap());
            sink.finish().unwrap();
        });
    });
    group.bench_function("PNG", |b| {
        b.iter(|| {
            let mut sink = PngWriter::new(std::io::sink(), page.clone()).unwrap();
            rows.iter().for_each(|r| sink.row(r).unwrap());
            sink.finish().unwrap();
        });
    });
    group.finish();
}

criterion_group!(benches, parts);
criterion_main!(benches);

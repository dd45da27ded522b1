//! A process to try charts on: film -> print -> scanner, each with its faults. Everything here is invented; only the size
//! of the faults follows what is usual (common practice, no source).
#![allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "test data are small")]
#![allow(dead_code, reason = "each test file uses its part")]

use sorrel_charts::chart::chart;
use sorrel_charts::scan::Reduced;
use sorrel_core::math;
use sorrel_core::scan::{Homography, Meaning, Point};
use sorrel_core::tone::chart_plan::order::SplitMix;
use sorrel_core::tone::chart_plan::{Area, ChartPlan};
use sorrel_core::tone::lightness;
use sorrel_imaging::source::Picture;
use std::io::Cursor;
use std::ops::ControlFlow;

/// Random numbers.
pub(crate) struct Random(SplitMix);

impl Random {
    pub(crate) fn new(seed: u64) -> Self {
        Self(SplitMix::new(seed))
    }

    pub(crate) fn even(&mut self) -> f64 {
        (self.0.draw() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Box and Muller, 1958.
    pub(crate) fn normal(&mut self) -> f64 {
        let (u, v) = (self.even().max(1e-300), self.even());
        math::sqrt(-2.0 * math::ln(u)) * math::cos(2.0 * core::f64::consts::PI * v)
    }
}

/// L* of the print for an ink code.
pub(crate) type Shape = fn(f64) -> f64;

/// An ink that saturates over a paper with a long toe. Not among the shapes of the benchmark.
pub(crate) fn saturating(code: f64) -> f64 {
    let ink = 2.3 * (1.0 - math::exp(-0.9 * code)) / (1.0 - math::exp(-0.9));
    let h = math::exp10(0.60 - ink);
    lightness::from_density(0.08 + 1.36 * math::pow(1.0 - math::exp(-h), 1.15))
}

/// Two inks: a second one sets in softly at 40 %, and the paper has a shoulder. Not among the shapes of the benchmark.
pub(crate) fn second_ink(code: f64) -> f64 {
    let late = ((code - 0.4) / 0.6).clamp(0.0, 1.0);
    let ink = 1.5 * code + 0.9 * late * late;
    let h = math::exp10(1.2 - 1.15 * ink);
    lightness::from_density(0.06 + 1.42 * h / (h + 1.6))
}

/// How the print and the scan are spoilt.
#[derive(Clone)]
pub(crate) struct Faults {
    /// L*, one draw a patch.
    pub(crate) patch_noise: f64,
    /// Texture of the paper, L* a pixel.
    pub(crate) texture: f64,
    pub(crate) specks: usize,
    /// A streak across the print, L* lighter, `None` for none.
    pub(crate) streak: Option<f64>,
    /// Stray light and its surround.
    pub(crate) flare: (f64, f64),
    /// Depth of the scanner's shading from middle to edge.
    pub(crate) shading: f64,
    /// Perspective.
    pub(crate) keystone: f64,
    /// Turn of the print on the glass, radians.
    pub(crate) turn: f64,
    /// Exponent that makes code of light.
    pub(crate) gamma: f64,
    /// Pixels per mm.
    pub(crate) scale: f64,
    /// Bare paper around the coat, mm.
    pub(crate) around: f64,
    /// Light is multiplied by this before it becomes code.
    pub(crate) gain: f64,
    pub(crate) seed: u64,
}

impl Default for Faults {
    fn default() -> Self {
        Self {
            patch_noise: 0.6,
            texture: 1.2,
            specks: 150,
            streak: Some(8.0),
            flare: (0.012, 0.45),
            shading: 0.04,
            keystone: 1.2e-4,
            turn: 0.02,
            gamma: 2.2,
            scale: 6.0,
            around: 22.0,
            gain: 0.97,
            seed: 1,
        }
    }
}

/// Densities of the grey scale that lies on the glass below the print.
pub(crate) fn scale_densities() -> Vec<f64> {
    (0..17).map(|i| 0.04 + 0.1 * f64::from(i)).collect()
}
/// Width of its steps and height, mm.
const STEP: (f64, f64) = (6.5, 8.0);

/// A scan: 16-bit code, row by row.
pub(crate) struct Scan {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) code: Vec<u16>,
    /// mm of the chart -> pixels.
    pub(crate) map: Homography,
    /// Outer corners of the grey scale, pixels.
    pub(crate) grey_scale: [Point; 4],
}

/// The print's L* on a fine raster of the chart's own coordinates.
struct Print {
    width: usize,
    height: usize,
    per_mm: f64,
    /// Pixels of coat around the film.
    edge: usize,
    lightness: Vec<f32>,
}

/// Makes the film, prints it, and lays the print on a scanner's glass.
pub(crate) fn scan(plan: &ChartPlan, shape: Shape, faults: &Faults) -> Scan {
    let mut random = Random::new(faults.seed);
    let print = print(plan, shape, faults, &mut random);
    // Where the print lies: turned, in perspective, `around` mm of paper on each side, the grey scale below.
    let (w, h) = plan.spec.coat;
    let below = STEP.1 + 6.0;
    let s = faults.scale;
    let (sin, cos) = (math::sin(faults.turn), math::cos(faults.turn));
    let (cx, cy) = (w / 2.0, h / 2.0);
    let k = faults.keystone;
    let place = |x: f64, y: f64| {
        let (u, v) = (x - cx, y - cy);
        let (a, b) = (cos * u - sin * v, sin * u + cos * v);
        let p = 1.0 + k * a + 0.6 * k * b;
        (s * (a / p + cx + faults.around), s * (b / p + cy + faults.around))
    };
    let corners = [(0.0, 0.0), (w, 0.0), (w, h), (0.0, h)];
    let map = Homography::new(&corners, &corners.map(|(x, y)| place(x, y))).unwrap();
    let back = map.inverse().unwrap();
    let width = (s * (w + 2.0 * faults.around)) as usize;
    let height = (s * (h + 2.0 * faults.around + below)) as usize;
    let densities = scale_densities();
    let wide = STEP.0 * densities.len() as f64;
    let gx = (w - wide) / 2.0 + faults.around;
    let gy = h + 2.0 * faults.around;
    let grey_scale =
        [(gx, gy), (gx + wide, gy), (gx + wide, gy + STEP.1), (gx, gy + STEP.1)].map(|(x, y)| (s * x, s * y));
    let paper = shape(1.0).max(92.0) as f32 + 1.5;
    let mut code = Vec::with_capacity(width * height);
    let step: Vec<f32> = densities.iter().map(|d| lightness::from_density(*d) as f32).collect();
    for j in 0..height {
        for i in 0..width {
            let (px, py) = (i as f64 + 0.5, j as f64 + 0.5);
            let (gx0, gy0) = (px / s - gx, py / s - gy);
            let l = if gy0 > -3.0 {
                // The grey scale on its own grey card.
                let n = (gx0 / STEP.0).floor();
                if (0.0..wide).contains(&gx0) && (0.0..STEP.1).contains(&gy0) {
                    step[n as usize]
                } else {
                    60.0
                }
            } else {
                let (x, y) = back.map((px, py));
                let l = print.at(x, y).unwrap_or(paper);
                l + (faults.texture * random.normal()) as f32
            };
            let y = lightness::to_factor(f64::from(l));
            let (f, surround) = faults.flare;
            let (u, v) = (2.0 * px / width as f64 - 1.0, 2.0 * py / height as f64 - 1.0);
            let shade = 1.0 - faults.shading * (0.6 * u * u + 0.3 * v * v + 0.1 * u);
            let seen = faults.gain * shade * (y + f * surround) / (1.0 + f);
            let noise = 3e-4 * random.normal();
            let c = math::pow((seen + noise).clamp(0.0, 1.0), 1.0 / faults.gamma);
            code.push((65_535.0 * c + 0.5) as u16);
        }
    }
    let mut scan = Scan { width, height, code, map, grey_scale };
    for _ in 0..faults.specks {
        let (x, y) = (random.even() * width as f64, random.even() * height as f64);
        let dark = random.even() < 0.5;
        scan.blot((x, y), 0.5 + 1.2 * random.even(), if dark { 4_000 } else { 63_000 });
    }
    scan
}

fn print(plan: &ChartPlan, shape: Shape, faults: &Faults, random: &mut Random) -> Print {
    let sheet = chart(plan, 360, "Simulated").unwrap();
    let per_mm = 360.0 / 25.4;
    let (w, h) = plan.spec.coat;
    // The coat is brushed 3 mm wider than the film and turns black there.
    let more = 3.0;
    let (width, height) = (((w + 2.0 * more) * per_mm) as usize, ((h + 2.0 * more) * per_mm) as usize);
    let edge = (more * per_mm) as usize;
    let table: Vec<f32> = (0..=4096).map(|i| shape(1.0 - f64::from(i) / 4096.0) as f32).collect();
    let mut lightness = vec![shape(0.0) as f32; width * height];
    let mut row = vec![0; sheet.width as usize];
    for y in 0..sheet.height {
        sheet.row(y, &mut row);
        row.reverse();
        let start = (y as usize + edge) * width + edge;
        for (o, v) in lightness[start..start + row.len()].iter_mut().zip(&row) {
            *o = table[(usize::from(*v) * 4096 + 32_767) / 65_535];
        }
    }
    let mut print = Print { width, height, per_mm, edge, lightness };
    for patch in &plan.patches {
        // Quantising the code to the table's 4,096 steps must not count as an error of the reading.
        let exact = shape(patch.code) + faults.patch_noise * random.normal();
        print.fill(patch.area, exact as f32);
    }
    let masked = plan.masked;
    print.fill(masked, shape(1.0) as f32 + 0.8);
    if let Some(depth) = faults.streak {
        // Slanting across the chart, 2.5 mm wide.
        for y in 0..print.height {
            let x = print.width as f64 * 0.3 + 0.25 * y as f64;
            for i in 0..(2.5 * per_mm) as usize {
                if let Some(l) = print.lightness.get_mut(y * print.width + x as usize + i) {
                    *l = (*l + depth as f32).min(97.0);
                }
            }
        }
    }
    print
}

impl Print {
    fn fill(&mut self, area: Area, value: f32) {
        let px = |mm: f64| (mm * self.per_mm).round() as usize + self.edge;
        for y in px(area.y)..px(area.y + area.height) {
            let (a, b) = (px(area.x), px(area.x + area.width));
            self.lightness[y * self.width + a..y * self.width + b].fill(value);
        }
    }

    /// Mean of the four nearest points: some blur.
    fn at(&self, x: f64, y: f64) -> Option<f32> {
        let e = self.edge as f64 - 0.5;
        let (i, j) = (x * self.per_mm + e, y * self.per_mm + e);
        if i < 0.0 || j < 0.0 || i as usize + 1 >= self.width || j as usize + 1 >= self.height {
            return None;
        }
        let k = j as usize * self.width + i as usize;
        let (s, t) = (i.fract() as f32, j.fract() as f32);
        let l = &self.lightness;
        Some(
            (l[k] * (1.0 - s) + l[k + 1] * s) * (1.0 - t)
                + (l[k + self.width] * (1.0 - s) + l[k + self.width + 1] * s) * t,
        )
    }
}

impl Scan {
    /// A round blot of code.
    pub(crate) fn blot(&mut self, (x, y): Point, radius: f64, value: u16) {
        let r = radius.ceil() as isize;
        for j in -r..=r {
            for i in -r..=r {
                let (a, b) = (x as isize + i, y as isize + j);
                let inside = (i * i + j * j) as f64 <= radius * radius;
                if inside && a >= 0 && b >= 0 && (a as usize) < self.width && (b as usize) < self.height {
                    self.code[b as usize * self.width + a as usize] = value;
                }
            }
        }
    }

    /// The picture as a 16-bit grey PNG.
    pub(crate) fn png(&self) -> Vec<u8> {
        let mut out = Vec::new();
        let mut encoder = png::Encoder::new(&mut out, self.width as u32, self.height as u32);
        encoder.set_color(png::ColorType::Grayscale);
        encoder.set_depth(png::BitDepth::Sixteen);
        encoder.set_compression(png::Compression::Fastest);
        let mut writer = encoder.write_header().unwrap();
        let bytes: Vec<u8> = self.code.iter().flat_map(|v| v.to_be_bytes()).collect();
        writer.write_image_data(&bytes).unwrap();
        writer.finish().unwrap();
        out
    }

    /// The picture as it is worked on.
    pub(crate) fn reduced(&self, encoding: sorrel_imaging::source::Encoding) -> Reduced {
        let meaning = if encoding == sorrel_imaging::source::Encoding::Code {
            Meaning::Code
        } else {
            Meaning::Lightness
        };
        let file = self.png();
        let rows = Picture::open(Cursor::new(file), 1 << 30).unwrap().encoded(encoding).into_rows().unwrap();
        Reduced::read(rows, meaning, &mut |_| ControlFlow::Continue(())).unwrap()
    }

    /// Another picture of the same pixels: `from` says which pixel stands at (x, y) of a picture of the given size.
    pub(crate) fn moved(
        &self,
        (width, height): (usize, usize),
        from: impl Fn(usize, usize) -> (usize, usize),
    ) -> Self {
        let mut code = Vec::with_capacity(width * height);
        for y in 0..height {
            for x in 0..width {
                let (a, b) = from(x, y);
                code.push(self.code[b * self.width + a]);
            }
        }
        Self { width, height, code, map: self.map, grey_scale: self.grey_scale }
    }
}

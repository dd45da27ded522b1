//! Bringing a picture to size, row by row.
//!
//! A separable polyphase filter: each source row is filtered across when it arrives, a ring keeps as many filtered
//! rows as the filter is high, and every output row is a weighted sum of them. So only a few rows are ever in memory.
//!
//! Conventions: pixel centres lie at i + ½; the scale is s = (source pixels in the window) / (output pixels); when
//! reducing, the filter is stretched by s; what reaches over the picture's edge is cut and the weights are made to sum
//! to 1 again; an empty window takes the nearest pixel.
//!
//! Sources of the filters: Mitchell & Netravali, "Reconstruction filters in computer graphics", SIGGRAPH 1988
//! (B = C = ⅓; Catmull-Rom is B = 0, C = ½); Lanczos-3 is sinc(x)·sinc(x/3).

use crate::fault::Fault;
use crate::film::{Layout, Window};
use crate::source::Rows;
use crate::tone;
use sorrel_core::math;

/// Source rows that go through the horizontal pass together, one a SIMD lane.
const LANES: usize = 4;
/// Output pixels of the vertical pass that are summed together: four 128-bit registers.
const CHUNK: usize = 16;

/// Shape of the weight around an output pixel.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Filter {
    /// Plain average.
    Box,
    /// Linear interpolation.
    Triangle,
    /// Cubic, interpolating.
    CatmullRom,
    /// Cubic, a compromise of blur and ringing; for enlarging.
    Mitchell,
    /// Windowed sinc; for reducing.
    Lanczos3,
}

impl Filter {
    /// Half its width, in source pixels at scale 1.
    pub fn support(self) -> f64 {
        match self {
            Self::Box => 0.5,
            Self::Triangle => 1.0,
            Self::CatmullRom | Self::Mitchell => 2.0,
            Self::Lanczos3 => 3.0,
        }
    }

    /// Weight at a distance from the centre.
    pub fn at(self, x: f64) -> f64 {
        let x = x.abs();
        match self {
            Self::Box => f64::from(u8::from(x < 0.5)),
            Self::Triangle => (1.0 - x).max(0.0),
            Self::CatmullRom => cubic(0.0, 0.5, x),
            Self::Mitchell => cubic(1.0 / 3.0, 1.0 / 3.0, x),
            Self::Lanczos3 => {
                if x < 3.0 {
                    sinc(x) * sinc(x / 3.0)
                } else {
                    0.0
                }
            }
        }
    }
}

fn sinc(x: f64) -> f64 {
    if x == 0.0 { 1.0 } else { math::sin(std::f64::consts::PI * x) / (std::f64::consts::PI * x) }
}

fn cubic(b: f64, c: f64, x: f64) -> f64 {
    if x < 1.0 {
        ((12.0 - 9.0 * b - 6.0 * c) * x * x * x + (-18.0 + 12.0 * b + 6.0 * c) * x * x + (6.0 - 2.0 * b))
            / 6.0
    } else if x < 2.0 {
        ((-b - 6.0 * c) * x * x * x
            + (6.0 * b + 30.0 * c) * x * x
            + (-12.0 * b - 48.0 * c) * x
            + (8.0 * b + 24.0 * c))
            / 6.0
    } else {
        0.0
    }
}

/// The weights of one direction: which source pixels make each output pixel.
#[derive(Clone, Debug)]
pub struct Axis {
    /// First source pixel of each output pixel.
    starts: Vec<usize>,
    /// `taps` weights for each, zero where fewer are needed.
    weights: Vec<f32>,
    taps: usize,
}

impl Axis {
    /// For `output` pixels made from `length` source pixels from `start` on, out of `source` that there are.
    pub fn new(filter: Filter, source: usize, start: f64, length: f64, output: usize) -> Self {
        let rows: Vec<(usize, Vec<f64>)> =
            (0..output).map(|j| weights(filter, source, start, length, output, j)).collect();
        let taps = rows.iter().map(|(_, w)| w.len()).max().unwrap_or(1);
        let mut starts = Vec::with_capacity(output);
        let mut all = Vec::with_capacity(output * taps);
        for (first, w) in rows {
            // Padding with zeros must not reach over the picture's end.
            let first_padded = first.min(source.saturating_sub(taps));
            starts.push(first_padded);
            let before = first - first_padded;
            #[allow(clippy::cast_possible_truncation, reason = "pixels are f32")]
            let weight =
                |k: usize| k.checked_sub(before).and_then(|k| w.get(k)).copied().unwrap_or(0.0) as f32;
            all.extend((0..taps).map(weight));
        }
        Self { starts, weights: all, taps }
    }

    /// Output pixels.
    pub fn len(&self) -> usize {
        self.starts.len()
    }

    /// Has it no output at all?
    pub fn is_empty(&self) -> bool {
        self.starts.is_empty()
    }

    /// Source pixels from the first used to the last.
    fn span(&self) -> (usize, usize) {
        let first = self.starts.iter().min().copied().unwrap_or(0);
        let last = self.starts.iter().max().copied().unwrap_or(0) + self.taps;
        (first, last)
    }

    fn of(&self, j: usize) -> (usize, &[f32]) {
        (self.starts[j], &self.weights[j * self.taps..(j + 1) * self.taps])
    }
}

/// First source pixel and weights of output pixel `j`, in f64.
pub fn weights(
    filter: Filter,
    source: usize,
    start: f64,
    length: f64,
    output: usize,
    j: usize,
) -> (usize, Vec<f64>) {
    let count = |n: usize| u32::try_from(n).map_or(f64::from(u32::MAX), f64::from);
    let whole = |x: f64| {
        #[allow(clippy::cast_possible_truncation, reason = "cut to the source first")]
        let x = x.clamp(0.0, count(source)) as usize;
        x
    };
    let scale = length / count(output);
    let stretch = scale.max(1.0);
    let centre = start + (count(j) + 0.5) * scale;
    let reach = filter.support() * stretch;
    let first = whole((centre - reach - 0.5).ceil());
    let end = whole((centre + reach - 0.5).floor() + 1.0);
    let raw: Vec<f64> = (first..end).map(|i| filter.at((count(i) + 0.5 - centre) / stretch)).collect();
    let sum: f64 = raw.iter().sum();
    if raw.is_empty() || sum.abs() < 1e-12 {
        return (whole(centre.floor()).min(source.saturating_sub(1)), vec![1.0]);
    }
    (first, raw.into_iter().map(|w| w / sum).collect())
}

/// In which measure pixels are averaged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Measure {
    /// Light (Y): what the eye averages from afar; for reducing.
    Light,
    /// Lightness (L*): ringing is even for dark and light edges; for enlarging.
    Lightness,
}

/// A picture at its new size: rows of L* (0..1), from top to bottom.
pub struct Resampler<'a> {
    source: Box<dyn Rows + 'a>,
    measure: Measure,
    across: Axis,
    down: Axis,
    /// Source columns that are used.
    span: (usize, usize),
    line: Vec<f32>,
    woven: Vec<[f32; LANES]>,
    ring: Vec<Vec<f32>>,
    /// Source rows read so far.
    read: usize,
    made: usize,
}

impl<'a> Resampler<'a> {
    /// Takes the part `window` of `source` to `width` × `height` pixels.
    pub fn new(
        source: Box<dyn Rows + 'a>,
        window: Window,
        (width, height): (u32, u32),
        filter: Filter,
        measure: Measure,
    ) -> Self {
        let (w, h) = source.size();
        let across = Axis::new(filter, w as usize, window.x, window.width, width as usize);
        let down = Axis::new(filter, h as usize, window.y, window.height, height as usize);
        let span = across.span();
        let rows = down.taps + LANES;
        Self {
            source,
            measure,
            span,
            line: vec![0.0; w as usize],
            woven: vec![[0.0; LANES]; span.1 - span.0],
            ring: vec![vec![0.0; across.len()]; rows],
            across,
            down,
            read: 0,
            made: 0,
        }
    }

    /// As a film asks for it: enlarged in L* with Mitchell's filter, otherwise reduced in light with Lanczos-3.
    pub fn for_layout(source: Box<dyn Rows + 'a>, layout: &Layout) -> Self {
        let size = (layout.picture.width, layout.picture.height);
        let (filter, measure) = if layout.enlarges() {
            (Filter::Mitchell, Measure::Lightness)
        } else {
            (Filter::Lanczos3, Measure::Light)
        };
        Self::new(source, layout.source, size, filter, measure)
    }

    /// The next row of L* (0..1), `width` values.
    ///
    /// # Errors
    /// Whatever the source meets, and asking for more rows than there are.
    pub fn next_row(&mut self, out: &mut [f32]) -> Result<(), Fault> {
        if self.made >= self.down.len() {
            return Err(Fault::caller("There are no more rows.", "Ask for fewer."));
        }
        let (first, _) = self.down.of(self.made);
        while self.read < first + self.down.taps {
            self.take_rows(first)?;
        }
        let (first, weights) = self.down.of(self.made);
        let rows: Vec<(&[f32], f32)> = weights
            .iter()
            .enumerate()
            .filter(|(_, w)| **w != 0.0)
            .map(|(k, w)| (self.ring[(first + k) % self.ring.len()].as_slice(), *w))
            .collect();
        let out = &mut out[..self.across.len()];
        sum_rows(&rows, out);
        if self.measure == Measure::Light {
            tone::row_to_lightness(out);
        }
        self.made += 1;
        Ok(())
    }

    /// Reads up to four source rows and filters them across; rows before `first` are only passed over.
    fn take_rows(&mut self, first: usize) -> Result<(), Fault> {
        let height = self.source.size().1 as usize;
        let start = self.read;
        let lanes = LANES.min(height - start);
        for lane in 0..lanes {
            self.source.next_row(&mut self.line)?;
            self.read += 1;
            if start + lane >= first {
                let used = &mut self.line[self.span.0..self.span.1];
                if self.measure == Measure::Lightness {
                    tone::row_to_lightness(used);
                }
                for (woven, v) in self.woven.iter_mut().zip(used.iter()) {
                    woven[lane] = *v;
                }
            }
        }
        if start + lanes <= first {
            return Ok(());
        }
        let slots = self.ring.len();
        // Four rows of the ring at once; they are taken out for the time, so that each can be written.
        let mut rows: [Vec<f32>; LANES] =
            std::array::from_fn(|lane| std::mem::take(&mut self.ring[(start + lane) % slots]));
        filter_across(&self.across, self.span.0, &self.woven, &mut rows);
        for (lane, row) in rows.into_iter().enumerate() {
            self.ring[(start + lane) % slots] = row;
        }
        Ok(())
    }
}

/// One horizontal pass over four woven source rows. The common heights get a loop of fixed length.
fn filter_across(axis: &Axis, offset: usize, woven: &[[f32; LANES]], rows: &mut [Vec<f32>; LANES]) {
    match axis.taps {
        1 => fixed::<1>(axis, offset, woven, rows),
        2 => fixed::<2>(axis, offset, woven, rows),
        4 => fixed::<4>(axis, offset, woven, rows),
        5 => fixed::<5>(axis, offset, woven, rows),
        6 => fixed::<6>(axis, offset, woven, rows),
        7 => fixed::<7>(axis, offset, woven, rows),
        8 => fixed::<8>(axis, offset, woven, rows),
        taps => store(axis, rows, |j, weights| {
            let first = axis.starts[j] - offset;
            weighted(woven.get(first..first + taps).unwrap_or(&[]), weights)
        }),
    }
}

#[inline(always)]
fn fixed<const T: usize>(axis: &Axis, offset: usize, woven: &[[f32; LANES]], rows: &mut [Vec<f32>; LANES]) {
    store(axis, rows, |j, weights| {
        let first = axis.starts[j] - offset;
        match (woven.get(first..).and_then(|w| w.first_chunk::<T>()), weights.first_chunk::<T>()) {
            (Some(pixels), Some(weights)) => weighted(pixels, weights),
            _ => [0.0; LANES],
        }
    });
}

#[inline(always)]
fn weighted(pixels: &[[f32; LANES]], weights: &[f32]) -> [f32; LANES] {
    let mut sum = [0.0; LANES];
    for (p, w) in pixels.iter().zip(weights) {
        for lane in 0..LANES {
            sum[lane] += p[lane] * w;
        }
    }
    sum
}

#[inline(always)]
fn store(axis: &Axis, rows: &mut [Vec<f32>; LANES], pixel: impl Fn(usize, &[f32]) -> [f32; LANES]) {
    let n = axis.len();
    let [a, b, c, d] = rows;
    let (a, b, c, d) = (&mut a[..n], &mut b[..n], &mut c[..n], &mut d[..n]);
    for (j, weights) in axis.weights.chunks_exact(axis.taps).enumerate().take(n) {
        [a[j], b[j], c[j], d[j]] = pixel(j, weights);
    }
}

/// Weighted sum of rows.
fn sum_rows(rows: &[(&[f32], f32)], out: &mut [f32]) {
    if let [(a, u), (b, v), (c, w), (d, x)] = rows {
        for ((((o, a), b), c), d) in out.iter_mut().zip(*a).zip(*b).zip(*c).zip(*d) {
            *o = (a * u + b * v) + (c * w + d * x);
        }
        return;
    }
    let (chunks, rest) = out.as_chunks_mut::<CHUNK>();
    let whole = chunks.len() * CHUNK;
    for (i, chunk) in chunks.iter_mut().enumerate() {
        let mut sum = [0.0_f32; CHUNK];
        for (row, w) in rows {
            if let Some(part) = row.get(i * CHUNK..).and_then(|r| r.first_chunk::<CHUNK>()) {
                for k in 0..CHUNK {
                    sum[k] += part[k] * w;
                }
            }
        }
        *chunk = sum;
    }
    for (i, o) in rest.iter_mut().enumerate() {
        *o = rows.iter().map(|(row, w)| row[whole + i] * w).sum();
    }
}

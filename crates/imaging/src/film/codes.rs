//! From picture tone to file value: the correction, and the one place where polarity is decided.
//!
//! File value = round(65535 · (1 − C(u))). Picture white asks for full ink (c = 1) and becomes 0; picture black asks
//! for clear film (c = 0) and becomes 65535.

use sorrel_core::light::evening::CODES;

use super::even::Even;
use crate::fault::Fault;

/// Nodes of a correction, equally spaced in u = 0…1.
pub const NODES: usize = 4096;

/// File value of clear film.
pub const CLEAR: u16 = u16::MAX;
/// File value of full ink.
pub const FULL: u16 = 0;

/// File value of a raw ink code in percent.
pub fn raw(percent: u8) -> u16 {
    let clear = 100 - u32::from(percent.min(100));
    #[allow(clippy::cast_possible_truncation, reason = "at most 65535")]
    let value = ((65_535 * clear + 50) / 100) as u16;
    value
}

/// A correction, ready for rows of pixels.
#[derive(Clone)]
pub struct Codes {
    /// File value at each node, a half already added for rounding, and the step to the next; level by level of light.
    nodes: Vec<[f32; 2]>,
    /// Light over the picture; empty where nothing is evened.
    even: Even,
}

impl Codes {
    /// From 4,096 ink codes (0…1).
    ///
    /// # Errors
    /// [`Fault::Caller`] when there are not 4,096, or when one is no number in 0…1.
    pub fn new(correction: &[f32]) -> Result<Self, Fault> {
        if correction.len() != NODES {
            return Err(Fault::caller(
                format!("The correction has {} values instead of {NODES}.", correction.len()),
                "Make the correction again.",
            ));
        }
        if let Some(i) = correction.iter().position(|c| !(-1e-6..=1.0 + 1e-6).contains(c)) {
            return Err(Fault::caller(
                format!("Value {i} of the correction is {}, not an ink code between 0 and 1.", correction[i]),
                "Make the correction again.",
            ));
        }
        let mut made = Self { nodes: Vec::new(), even: Even::default() };
        made.add(|i| correction[i]);
        Ok(made)
    }

    /// Adds the nodes of one level from its ink codes.
    fn add(&mut self, code: impl Fn(usize) -> f32) {
        let value = |i: usize| 65_535.0 * (1.0 - code(i.min(NODES - 1)).clamp(0.0, 1.0));
        self.nodes.extend((0..NODES).map(|i| [value(i) + 0.5, value(i + 1) - value(i)]));
    }

    /// The same, with more ink where there is more light. Where there is none more, file values stay what they are.
    ///
    /// # Errors
    /// [`Fault::Caller`] for a map that is none.
    pub fn evened(mut self, even: &Even) -> Result<Self, Fault> {
        if even.levels()? > 0 {
            let plain: Vec<f32> = self.nodes.iter().map(|[v, _]| 1.0 - (v - 0.5) / 65_535.0).collect();
            for level in even.codes.chunks_exact(CODES) {
                self.add(|i| {
                    let place = plain[i] * (CODES - 1) as f32;
                    #[allow(clippy::cast_possible_truncation, reason = "a place in the level")]
                    let k = (place as usize).min(CODES - 2);
                    level[k] + (level[k + 1] - level[k]) * (place - k as f32)
                });
            }
            self.even = even.clone();
        }
        Ok(self)
    }

    /// Whether light is evened, and [`Codes::evened_row`] is to be asked instead of [`Codes::row`].
    pub fn evens(&self) -> bool {
        !self.even.net.is_empty()
    }

    /// As [`Codes::row`], for the row of the picture whose middle lies at `v` (0 its upper edge, 1 its lower); `light` is
    /// room for as many values.
    pub fn evened_row(&self, tones: &[f32], v: f32, light: &mut [f32], out: &mut [u16]) {
        self.even.row(v, light);
        let above = self.nodes.len().saturating_sub(2 * NODES);
        for ((o, u), l) in out.iter_mut().zip(tones).zip(light.iter()) {
            let place = u.clamp(0.0, 1.0) * (NODES - 1) as f32;
            #[allow(clippy::cast_possible_truncation, reason = "cut to 0..NODES just here")]
            let i = (place as usize).min(NODES - 1);
            #[allow(clippy::cast_possible_truncation, reason = "a level")]
            let k = (*l as usize * NODES).min(above);
            let at = |k: usize| self.nodes[k + i][0] + self.nodes[k + i][1] * (place - i as f32);
            let (from, to) = (at(k), at(k + NODES));
            #[allow(clippy::cast_possible_truncation, reason = "between 0.5 and 65535.5")]
            let code = (from + (to - from) * (l - (k / NODES) as f32)) as u16;
            *o = code;
        }
    }

    /// File values of a row of picture tones u (L*/100; what lies outside 0…1 is cut).
    pub fn row(&self, tones: &[f32], out: &mut [u16]) {
        let Some(nodes) = self.nodes.first_chunk::<NODES>() else { return };
        for (o, u) in out.iter_mut().zip(tones) {
            let place = u.clamp(0.0, 1.0) * (NODES - 1) as f32;
            #[allow(clippy::cast_possible_truncation, reason = "cut to 0..NODES just here")]
            let i = (place as usize).min(NODES - 1);
            let [value, step] = nodes[i];
            #[allow(clippy::cast_possible_truncation, reason = "between 0.5 and 65535.5")]
            let code = (value + step * (place - i as f32)) as u16;
            *o = code;
        }
    }
}

#[cfg(test)]
#[allow(clippy::cast_possible_truncation, reason = "test data are small")]
mod tests {
    use super::*;

    /// The definition in f64.
    fn plain(correction: &[f32], u: f64) -> f64 {
        let place = u * 4095.0;
        let i = (place.floor() as usize).min(4094);
        let (a, b) = (f64::from(correction[i]), f64::from(correction[i + 1]));
        65_535.0 * (1.0 - (a + (b - a) * (place - i as f64)))
    }

    fn check(correction: &[f32]) {
        let codes = Codes::new(correction).unwrap();
        let mut worst = 0.0_f64;
        for i in 0..=65_535_u32 {
            let mut out = [0];
            codes.row(&[(f64::from(i) / 65_535.0) as f32], &mut out);
            worst = worst.max((f64::from(out[0]) - plain(correction, f64::from(i) / 65_535.0)).abs());
        }
        // Half a code for rounding, the rest for f32 (24 bits over a steep correction).
        assert!(worst < 0.52, "{worst}");
    }

    #[test]
    fn all_65536_tones_agree_with_f64() {
        let line: Vec<f32> = (0..NODES).map(|i| i as f32 / 4095.0).collect();
        check(&line);
        let bent: Vec<f32> = line.iter().map(|u| 0.85 * u * u * (3.0 - 2.0 * u)).collect();
        check(&bent);
        let steep: Vec<f32> = line.iter().map(|u| (u * 8.0 - 3.5).clamp(0.0, 1.0)).collect();
        check(&steep);
    }

    #[test]
    fn polarity() {
        let line: Vec<f32> = (0..NODES).map(|i| i as f32 / 4095.0).collect();
        let mut out = [7; 4];
        Codes::new(&line).unwrap().row(&[0.0, 1.0, -3.0, 9.0], &mut out);
        assert_eq!(out, [CLEAR, FULL, CLEAR, FULL]);
        assert_eq!([raw(0), raw(100), raw(50), raw(10), raw(35)], [65_535, 0, 32_768, 58_982, 42_598]);
    }

    #[test]
    fn odd_corrections_are_refused() {
        assert!(Codes::new(&[0.0; 100]).is_err());
        for bad in [f32::NAN, f32::INFINITY, -0.1, 1.1] {
            let mut c = vec![0.5; NODES];
            c[77] = bad;
            assert_eq!(Codes::new(&c).map(|_| ()).unwrap_err().culprit(), "caller");
        }
    }
}

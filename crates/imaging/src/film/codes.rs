//! From picture tone to file value: the correction, and the one place where polarity is decided.
//!
//! File value = round(65535 · (1 − C(u))). Picture white asks for full ink (c = 1) and becomes 0; picture black asks
//! for clear film (c = 0) and becomes 65535.

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
    /// File value at each node, a half already added for rounding, and the step to the next.
    nodes: Vec<[f32; 2]>,
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
        let value = |i: usize| 65_535.0 * (1.0 - correction[i.min(NODES - 1)].clamp(0.0, 1.0));
        Ok(Self { nodes: (0..NODES).map(|i| [value(i) + 0.5, value(i + 1) - value(i)]).collect() })
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

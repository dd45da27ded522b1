//! Grey output profile: a tone curve from device grey to luminance, black drawn down to 0.
//!
//! The curve is the correction turned round. With the measured black left in it, every tone below the print's black would
//! be cut off on the way from a picture (measured in `tests/reference/icc_profiles`).

use super::super::codes::sixteen;
use super::{D50, RIGHTS, Stamp, assemble, curve, text};
use crate::tone::inverse::Inverse;
use crate::tone::lightness;

/// Steps of ink nearer than this are one: below what 16 bits hold.
const SAME: f64 = 1.0 / 131_072.0;

/// Luminance (0…65535, black 0) at `n` (at least 2) equal steps of device grey; `codes` are the device greys 0…1 at
/// equal steps of picture tone, never falling.
pub fn black_scaled(codes: &[f64], n: usize) -> Vec<u16> {
    let last = codes.len().saturating_sub(1).max(1) as f64;
    let (mut code, mut tone) = (Vec::new(), Vec::new());
    for (i, &c) in codes.iter().enumerate() {
        let u = i as f64 / last;
        match code.last() {
            // Of tones with one code the darkest stands at black, the lightest everywhere else: the ends stay in reach.
            Some(&before) if c - before <= SAME => {
                if code.len() > 1
                    && let Some(t) = tone.last_mut()
                {
                    *t = u;
                }
            }
            _ => {
                code.push(c);
                tone.push(u);
            }
        }
    }
    // A correction that is flat altogether has no inverse; the identity is as good as anything.
    let turned = Inverse::new(&code, &tone, 0.0);
    let n = n.max(2);
    (0..n)
        .map(|i| {
            let device = i as f64 / (n - 1) as f64;
            let tone = turned.as_ref().map_or(device, |t| t.forward(device));
            sixteen(lightness::to_factor(100.0 * tone))
        })
        .collect()
}

/// A grey output profile with XYZ as connection space; `samples` from [`black_scaled`].
pub fn profile(samples: &[u16], description: &str, stamp: Stamp) -> Vec<u8> {
    let mut white = b"XYZ \0\0\0\0".to_vec();
    white.extend(D50.iter().flat_map(|v| v.to_be_bytes()));
    let tags = [
        (*b"desc", text(description)),
        (*b"cprt", text(RIGHTS)),
        (*b"wtpt", white),
        (*b"kTRC", curve(samples)),
    ];
    assemble(*b"prtr", *b"GRAY", *b"XYZ ", stamp, &tags)
}

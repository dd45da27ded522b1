//! Readings on their way into a fit: ordered and merged by code, repeats compared with each other.

use core::ops::Range;

use super::robust;
use crate::constant::Constant;
use crate::math;

/// Codes nearer than this are one code: half the last digit that is ever shown (0.01 % ink).
pub const SAME_CODE: f64 = 5e-5;
/// Readings of an end of the scale from which on they vouch for each other.
const REPEATED: f64 = 2.0;

/// Spread of one patch that is assumed while there are no repeats to measure it from.
pub const ASSUMED_SPREAD: Constant = Constant::choice(
    0.6,
    "L*",
    1,
    "scatter of one patch on an evenly coated sheet; replaced by your own repeats as soon as there are any",
);

/// One reading on its way through a fit: ordered by code.
#[derive(Clone, Copy, Debug)]
pub struct Sample {
    /// Ink code 0…1.
    pub code: f64,
    /// L*.
    pub lightness: f64,
    /// Readings it stands for.
    pub weight: f64,
    /// Number of its group of equal codes, from 0, ascending with the code.
    pub group: usize,
}

/// Readings merged by code.
#[derive(Clone, Debug, Default)]
pub struct Merged {
    /// Codes, strictly ascending.
    pub code: Vec<f64>,
    /// Weighted mean L*.
    pub mean: Vec<f64>,
    /// Sum of weights.
    pub weight: Vec<f64>,
}

/// Numbers the groups of equal codes; `samples` must be ordered by code. Answers the number of groups.
pub fn group(samples: &mut [Sample]) -> usize {
    let mut groups = 0;
    let mut first = f64::NEG_INFINITY;
    for sample in samples {
        if sample.code - first > SAME_CODE {
            first = sample.code;
            groups += 1;
        }
        sample.group = groups - 1;
    }
    groups
}

/// Means by code, each sample counting with its weight times `counts`. Groups that count nothing are left out.
pub fn merge(samples: &[Sample], counts: &[f64]) -> Merged {
    let mut merged = Merged::default();
    for group in groups(samples) {
        let (mut weight, mut code, mut mean) = (0.0, 0.0, 0.0);
        for (s, c) in samples[group.clone()].iter().zip(&counts[group]) {
            let w = s.weight * c;
            if w > 0.0 {
                weight += w;
                code += (s.code - code) * (w / weight);
                mean += (s.lightness - mean) * (w / weight);
            }
        }
        if weight > 0.0 {
            merged.code.push(code);
            merged.mean.push(mean);
            merged.weight.push(weight);
        }
    }
    merged
}

/// The places of each group, in order.
pub fn groups(samples: &[Sample]) -> Vec<Range<usize>> {
    let mut groups = Vec::new();
    let mut from = 0;
    while from < samples.len() {
        let end = from + samples[from..].iter().take_while(|s| s.group == samples[from].group).count();
        groups.push(from..end);
        from = end;
    }
    groups
}

/// Counts less, or not at all, a repeat that lies far from the middle of at least two others of its code.
pub fn counts_among_repeats(samples: &[Sample]) -> Vec<f64> {
    let mut counts = vec![1.0; samples.len()];
    for group in groups(samples).into_iter().filter(|g| g.len() >= 3) {
        let repeats = &samples[group.clone()];
        let mut values: Vec<f64> = repeats.iter().map(|s| s.lightness).collect();
        crate::math::sort(&mut values);
        let middle = values[values.len() / 2];
        let off: Vec<f64> = values.iter().map(|v| v - middle).collect();
        let scale = robust::spread(&off).max(ASSUMED_SPREAD.value);
        for (s, c) in repeats.iter().zip(&mut counts[group]) {
            *c = robust::bisquare((s.lightness - middle) * math::sqrt(s.weight) / scale);
        }
    }
    counts
}

/// Gives repeated readings of the lowest and the highest code their count back where most of it went. Black and white
/// have no neighbours beyond that could show repeats which agree to be wrong, and the scale hangs on them.
pub fn keep_ends(samples: &[Sample], counts: &mut [f64]) {
    let groups = groups(samples);
    let ends = [groups.first(), groups.last()];
    for group in ends.into_iter().flatten() {
        let repeats = &samples[group.clone()];
        let whole: f64 = repeats.iter().map(|s| s.weight).sum();
        let kept: f64 = repeats.iter().zip(&counts[group.clone()]).map(|(s, c)| s.weight * c).sum();
        if whole >= REPEATED && kept < 0.5 * whole {
            counts[group.clone()].copy_from_slice(&counts_among_repeats(repeats));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn merging_keeps_weight_and_mean() {
        let mut s: Vec<Sample> = [(0.1, 50.0, 1.0), (0.1, 53.0, 2.0), (0.2, 60.0, 1.0)]
            .iter()
            .map(|&(code, lightness, weight)| Sample { code, lightness, weight, group: 0 })
            .collect();
        assert_eq!(group(&mut s), 2);
        let m = merge(&s, &[1.0, 1.0, 0.0]);
        assert_eq!(m.code.len(), 1);
        assert!((m.mean[0] - 52.0).abs() < 1e-12);
        assert_eq!(m.weight[0], 3.0);
    }

    #[test]
    fn repeated_ends_keep_what_agrees() {
        let mut s: Vec<Sample> =
            [(0.0, 24.0), (0.0, 24.2), (0.0, 33.0), (0.5, 60.0), (1.0, 92.0), (1.0, 92.1)]
                .iter()
                .map(|&(code, lightness)| Sample { code, lightness, weight: 1.0, group: 0 })
                .collect();
        group(&mut s);
        let mut counts = vec![0.0; 6];
        keep_ends(&s, &mut counts);
        assert!(counts[0] > 0.9 && counts[1] > 0.9 && counts[2] == 0.0, "{counts:?}");
        assert_eq!(counts[3..], [0.0, 1.0, 1.0]);
    }
}

//! Putting numbers in order: one sort for the whole of scan reading, because each kind of sort weighs some kilobytes in a
//! module that is loaded over the air.

/// Puts values in rising order; what is no number goes to the ends.
pub fn ascending(values: &mut [f64]) {
    values.sort_unstable_by(f64::total_cmp);
}

/// The places of values in rising order. Equal values keep theirs. D. L. Shell, Communications of the ACM 2(7), 1959, with
/// the gaps of M. Ciura, 2001; for some thousands of values.
pub fn places(values: &[f64]) -> Vec<usize> {
    let mut order: Vec<usize> = (0..values.len()).collect();
    let before = |a: usize, b: usize| values[a].total_cmp(&values[b]).then(a.cmp(&b)).is_lt();
    for gap in [1750, 701, 301, 132, 57, 23, 10, 4, 1] {
        for i in gap..order.len() {
            let mut j = i;
            while j >= gap && before(order[j], order[j - gap]) {
                order.swap(j, j - gap);
                j -= gap;
            }
        }
    }
    order
}

/// Middle of ordered values; the mean of the two middle ones when their number is even. `None` without values.
pub fn median_of_ordered(values: &[f64]) -> Option<f64> {
    let n = values.len();
    let upper = *values.get(n / 2)?;
    if n % 2 == 1 { Some(upper) } else { Some(f64::midpoint(*values.get(n / 2 - 1)?, upper)) }
}

/// Middle of values in any order; `None` without values.
pub fn median(values: impl Iterator<Item = f64>) -> Option<f64> {
    let mut all: Vec<f64> = values.collect();
    ascending(&mut all);
    median_of_ordered(&all)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;
    use crate::tone::chart_plan::order::SplitMix;

    #[test]
    fn places_agree_with_a_plain_sort() {
        let mut random = SplitMix::new(8);
        for n in [0, 1, 2, 7, 300, 5000] {
            let values: Vec<f64> = (0..n).map(|_| random.below(97) as f64 - 40.0).collect();
            let mut plain: Vec<usize> = (0..n).collect();
            plain.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
            assert_eq!(places(&values), plain);
            let mut sorted = values.clone();
            ascending(&mut sorted);
            assert_eq!(sorted, plain.iter().map(|i| values[*i]).collect::<Vec<_>>());
        }
        assert_eq!(median([3.0, 1.0, 2.0].into_iter()), Some(2.0));
        assert_eq!(median([].into_iter()), None);
    }
}

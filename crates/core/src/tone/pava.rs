//! Weighted least-squares monotone step function: pool adjacent violators (Barlow, Bartholomew, Bremner and
//! Brunk 1972; de Leeuw, Hornik and Mair, J. Stat. Softw. 32(5), 2009).

/// Non-decreasing values closest to `y` in the sum of `weight × difference²`.
///
/// `y` finite; `weight` finite and ≥ 0, as long as `y` (a missing weight counts as 1). A block whose weights are
/// all zero takes its plain mean. O(n). The answer is as long as `y`.
pub fn fit(y: &[f64], weight: &[f64]) -> Vec<f64> {
    let mut blocks: Vec<Block> = Vec::with_capacity(y.len());
    for (i, &value) in y.iter().enumerate() {
        let w = weight.get(i).copied().unwrap_or(1.0);
        let mut block = Block { mean: value, weight: w, count: 1 };
        while let Some(previous) = blocks.last() {
            if previous.mean < block.mean {
                break;
            }
            block = previous.joined(block);
            blocks.pop();
        }
        blocks.push(block);
    }
    blocks.iter().flat_map(|b| core::iter::repeat_n(b.mean, b.count)).collect()
}

#[derive(Clone, Copy)]
struct Block {
    mean: f64,
    weight: f64,
    count: usize,
}

impl Block {
    fn joined(self, next: Self) -> Self {
        let weight = self.weight + next.weight;
        let count = self.count + next.count;
        let share = if weight > 0.0 { next.weight / weight } else { next.count as f64 / count as f64 };
        // As a step from the first mean: equal means stay equal to the bit, so that a fit of a fit is itself.
        Self { mean: self.mean + (next.mean - self.mean) * share, weight, count }
    }
}

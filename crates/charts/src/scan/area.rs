//! Reading one patch.

use sorrel_core::scan::Homography;
use sorrel_core::scan::ordered::{ascending, median_of_ordered};
use sorrel_core::scan::trimmed::{TRIM, spread_of_ordered, trimmed_mean};
use sorrel_core::tone::chart_plan::Area;
use sorrel_imaging::reduced::Reduced;

/// Half the distance between the 10 % and 90 % points of a normal distribution, in standard deviations (from any table).
const DECILE: f64 = 1.281_551_565_545;

/// An area is divided into so many blocks each way, to find the part that a streak or a hair has spoilt.
const SIDE: usize = 4;
/// Blocks of an area.
pub const BLOCKS: usize = SIDE * SIDE;
/// All blocks, as a mask.
pub const ALL: u16 = u16::MAX;

/// Pixels that should be left of a patch after trimming; fewer are marked.
const GOOD_PIXELS: usize = 400;
/// Part of a patch's pixels at the end of the scale from which on it is marked.
pub const CLIPPED: f64 = 0.005;

/// Remarks about a patch, as bits.
pub mod flag {
    /// Few pixels: the mean is uncertain.
    pub const FEW: u8 = 1;
    /// Much more spread than the other patches: a streak, a stain, a hair.
    pub const ROUGH: u8 = 2;
    /// Pixels at the end of the file's scale.
    pub const CLIPPED: u8 = 4;
    /// Beyond the last step of the grey scale.
    pub const BEYOND: u8 = 8;
    /// A part of it was off and was left out.
    pub const CLEANED: u8 = 16;
}

/// What was found in an area.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct AreaReading {
    /// 20 % trimmed mean of the values, 0…1.
    pub value: f64,
    /// Standard deviation of one pixel, from the 10 % and 90 % points: specks do not move it, a streak over a part does.
    pub spread: f64,
    /// Pixels that were read.
    pub pixels: usize,
    /// Part of them at the end of the scale.
    pub clipped: f64,
    /// The middle of the area in pixels of the reduced picture.
    pub at: (f64, f64),
    /// Mean of each block, whether it was read or not; not finite where a block has no pixels.
    pub blocks: [f64; BLOCKS],
}

impl AreaReading {
    /// The remarks that the reading alone gives; `beyond` says that its tone was not known.
    pub fn flags(&self, beyond: bool) -> u8 {
        let few = self.pixels * 3 / 5 < GOOD_PIXELS;
        let bit = |set: bool, bit: u8| if set { bit } else { 0 };
        bit(few, flag::FEW) | bit(self.clipped > CLIPPED, flag::CLIPPED) | bit(beyond, flag::BEYOND)
    }

    /// How differently light the blocks are: their robust standard deviation.
    pub fn patchiness(&self) -> f64 {
        spread_of_ordered(&self.ordered())
    }

    /// The blocks that lie within `tolerance` of the middle one, as a mask.
    pub fn sound(&self, tolerance: f64) -> u16 {
        let Some(middle) = median_of_ordered(&self.ordered()) else { return ALL };
        let near = |v: &f64| (v - middle).abs() <= tolerance;
        self.blocks.iter().enumerate().fold(0, |mask, (i, v)| mask | u16::from(near(v)) << i)
    }

    fn ordered(&self) -> Vec<f64> {
        let mut blocks: Vec<f64> = self.blocks.iter().copied().filter(|v| v.is_finite()).collect();
        ascending(&mut blocks);
        blocks
    }
}

/// Reads the pixels whose middles lie in the wanted blocks (a mask) of an area of the chart. `None` when a corner of it lies outside the picture, or no
/// pixel inside the area.
pub fn read(
    picture: &Reduced,
    map: &Homography,
    back: &Homography,
    area: Area,
    wanted: u16,
) -> Option<AreaReading> {
    let ends = [(0.0, 0.0), (1.0, 0.0), (1.0, 1.0), (0.0, 1.0)];
    let corners = ends.map(|(u, v)| map.map((area.x + u * area.width, area.y + v * area.height)));
    if !corners.iter().all(|c| picture.holds(*c)) {
        return None;
    }
    let low = corners.iter().fold((f64::INFINITY, f64::INFINITY), |m, c| (m.0.min(c.0), m.1.min(c.1)));
    let high = corners.iter().fold((0.0_f64, 0.0_f64), |m, c| (m.0.max(c.0), m.1.max(c.1)));
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "inside the picture")]
    let whole = |v: f64| v as usize;
    let (x0, x1) = (whole(low.0), (whole(high.0) + 1).min(picture.width));
    let mut values = Vec::new();
    let mut clipped = 0_usize;
    let mut sums = [(0.0, 0.0); BLOCKS];
    for y in whole(low.1)..(whole(high.1) + 1).min(picture.height) {
        for (i, value) in picture.part(y, x0, x1).iter().enumerate() {
            let (u, v) = back.map(((x0 + i) as f64 + 0.5, y as f64 + 0.5));
            let (u, v) = ((u - area.x) / area.width, (v - area.y) / area.height);
            if (0.0..1.0).contains(&u) && (0.0..1.0).contains(&v) {
                let block = whole(v * SIDE as f64) * SIDE + whole(u * SIDE as f64);
                let code = f64::from(*value) / 65_535.0;
                if let Some(sum) = sums.get_mut(block) {
                    *sum = (sum.0 + code, sum.1 + 1.0);
                }
                if wanted >> block & 1 == 1 {
                    values.push(code);
                    clipped += usize::from(Reduced::is_clipped(*value));
                }
            }
        }
    }
    let value = trimmed_mean(&mut values, TRIM)?;
    let pixels = values.len();
    let spread = (values[pixels - 1 - pixels / 10] - values[pixels / 10]) / (2.0 * DECILE);
    let clipped = clipped as f64 / pixels as f64;
    Some(AreaReading {
        value,
        spread,
        pixels,
        clipped,
        at: map.map(area.middle()),
        blocks: sums.map(|(sum, n)| sum / n),
    })
}

//! The small proxy of a picture that the page keeps for its previews.

use crate::fault::Fault;
use crate::film::{Progress, Window};
use crate::resample::{Filter, Measure, Resampler};
use crate::source::Rows;
use sorrel_core::math;

/// A small upright picture in L*.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Proxy {
    /// Width, pixels.
    pub width: u32,
    /// Height, pixels.
    pub height: u32,
    /// `round(L* × 2.55)` of each pixel, row by row.
    pub lightness: Vec<u8>,
}

/// Size of a proxy with at most `max_pixels`; never larger than the picture.
pub fn size((width, height): (u32, u32), max_pixels: u32) -> (u32, u32) {
    let area = f64::from(width) * f64::from(height);
    let scale = math::sqrt(f64::from(max_pixels.max(1)) / area).min(1.0);
    #[allow(clippy::cast_possible_truncation, reason = "not larger than the picture")]
    let side = |n: u32| ((f64::from(n) * scale).floor() as u32).max(1);
    (side(width), side(height))
}

/// Reduces a picture in light, with the filter that the film uses.
///
/// # Errors
/// Whatever the picture meets; [`Fault::Cancelled`] when `progress` breaks.
pub fn proxy<'a>(rows: Box<dyn Rows + 'a>, max_pixels: u32, progress: Progress<'_>) -> Result<Proxy, Fault> {
    let full = rows.size();
    let (width, height) = size(full, max_pixels);
    let mut small = Resampler::new(
        rows,
        Window::whole(full.0, full.1),
        (width, height),
        Filter::Lanczos3,
        Measure::Light,
    );
    let mut row = vec![0.0; width as usize];
    let mut lightness = Vec::with_capacity(row.len() * height as usize);
    for y in 0..height {
        if y % 32 == 0 && progress(y as f32 / height as f32).is_break() {
            return Err(Fault::Cancelled);
        }
        small.next_row(&mut row)?;
        #[allow(clippy::cast_possible_truncation, reason = "0..=255")]
        lightness.extend(row.iter().map(|l| (l.clamp(0.0, 1.0) * 255.0 + 0.5) as u8));
    }
    Ok(Proxy { width, height, lightness })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::demo_picture::DemoPicture;
    use std::ops::ControlFlow;

    #[test]
    fn sizes_keep_their_shape_and_their_limit() {
        for full in [(6000, 4000), (4000, 6000), (100_000, 3), (1, 1), (640, 480)] {
            let (w, h) = size(full, 1_000_000);
            assert!(w >= 1 && h >= 1 && w <= full.0 && h <= full.1);
            assert!(u64::from(w) * u64::from(h) <= 1_000_000);
        }
        assert_eq!(size((640, 480), 1_000_000), (640, 480));
    }

    #[test]
    fn a_small_picture_passes_unchanged() {
        let made =
            proxy(Box::new(DemoPicture::new(40, 30)), 10_000, &mut |_| ControlFlow::Continue(())).unwrap();
        let mut plain = DemoPicture::new(40, 30);
        let mut row = [0.0; 40];
        for y in 0..30 {
            plain.next_row(&mut row).unwrap();
            for (x, v) in row.iter().enumerate() {
                let expected = (f64::from(crate::tone::lightness(*v)) * 255.0).round();
                assert!((f64::from(made.lightness[y * 40 + x]) - expected).abs() <= 1.0);
            }
        }
    }

    #[test]
    fn can_be_cancelled() {
        let made = proxy(Box::new(DemoPicture::new(40, 30)), 10_000, &mut |_| ControlFlow::Break(()));
        assert_eq!(made, Err(Fault::Cancelled));
    }
}

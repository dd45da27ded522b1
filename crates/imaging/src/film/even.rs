//! More ink where the frame gets more light: what a film that evens out the light is made by.

use sorrel_core::fields;
use sorrel_core::light::evening::{CODES, SIDE};

use crate::fault::Fault;

/// Levels that are believed; core asks for fifty at most.
const MOST: usize = 64;

/// Light over a picture, and what ink becomes by it; empty for a film that evens nothing. Only the picture gets it: strip,
/// ground and marks stay what they are.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Even {
    /// Light at a net of [`SIDE`] × [`SIDE`] places of the picture, corners included, row by row from the upper left as
    /// seen on the print: level 0 to the last.
    pub net: Vec<f32>,
    /// Ink codes that take the place of [`CODES`] equal ones, level by level from 1 on. At level 0 nothing changes.
    pub codes: Vec<f32>,
}

fields!(Even: net, codes);

impl Even {
    /// How many levels there are above 0.
    ///
    /// # Errors
    /// [`Fault::Caller`] when net and codes do not fit each other, or hold no levels and ink codes.
    pub(super) fn levels(&self) -> Result<usize, Fault> {
        let levels = self.codes.len() / CODES;
        let sound = self.codes.len().is_multiple_of(CODES)
            && self.net.len() == if levels == 0 { 0 } else { SIDE * SIDE }
            && levels <= MOST
            && self.codes.iter().all(|c| (0.0..=1.0).contains(c))
            && self.net.iter().all(|l| (0.0..=levels as f32 + 1e-3).contains(l));
        if sound {
            Ok(levels)
        } else {
            Err(Fault::caller("The map of the light is damaged.", "Make the film again."))
        }
    }

    /// Level at each pixel of a row of the picture whose middle lies at `v` (0 the picture's upper edge, 1 its lower).
    pub(super) fn row(&self, v: f32, out: &mut [f32]) {
        let last = (SIDE - 1) as f32;
        let node = |part: f32| {
            let place = part * last;
            #[allow(clippy::cast_possible_truncation, reason = "a place in the net")]
            let i = (place as usize).min(SIDE - 2);
            (i, place - i as f32)
        };
        let (j, t) = node(v);
        let Some((above, below)) = self.net.get(j * SIDE..).and_then(|rows| rows.split_at_checked(SIDE))
        else {
            return;
        };
        let mut row = [0.0_f32; SIDE];
        for ((r, a), b) in row.iter_mut().zip(above).zip(below) {
            *r = a + (b - a) * t;
        }
        let pixel = 1.0 / out.len() as f32;
        for (x, o) in out.iter_mut().enumerate() {
            let (i, s) = node((x as f32 + 0.5) * pixel);
            *o = row[i] + (row[i + 1] - row[i]) * s;
        }
    }
}

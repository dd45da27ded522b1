//! A QR code of an address (ISO/IEC 18004), as a drawing.
//!
//! The matrix comes from the `qrcode` package; the quiet zone of four modules is the standard's.

use qrcode::{Color, EcLevel, QrCode};

use crate::constant::Constant;
use crate::note::Note;
use crate::svg::Svg;

/// Modules of quiet zone on every side (ISO/IEC 18004, quiet zone of QR code symbols: 4X).
const QUIET: usize = 4;

/// Least width of a module in print that phones read reliably.
const MODULE: Constant = Constant::practice(0.4, "mm", 1, "what a phone reads from a print at arm's length");

/// Modules a side above which a code printed on a work card is not worth trying: version 20.
const MOST_MODULES: usize = 97;

/// A drawn code.
#[derive(Clone, Debug, PartialEq)]
pub struct Qr {
    /// The drawing, quiet zone included: one unit a module, class `qr-ground` and `qr-dark`.
    pub svg: String,
    /// Modules on a side, without the quiet zone.
    pub modules: usize,
    /// Width it must at least have in print, quiet zone included, in mm.
    pub least_mm: f64,
}

/// Why there is no code.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum QrError {
    /// The text is too long for a code that can be printed small and still be read.
    TooLong {
        /// Its bytes.
        bytes: usize,
    },
}

impl QrError {
    /// The note beside the place where the code would stand.
    #[must_use]
    pub fn note(self) -> Note {
        let Self::TooLong { bytes } = self;
        Note::hint(
            "link",
            format!(
                "The link has {bytes} characters, too many for a code that prints small and still reads; copy the link instead."
            ),
        )
    }
}

/// Draws the code of a text. `id` must be unique on the page. Medium error correction if the code stays small,
/// else the lowest.
///
/// # Errors
/// The text is too long for a code that can be printed.
pub fn qr(id: &str, text: &str) -> Result<Qr, QrError> {
    let too_long = QrError::TooLong { bytes: text.len() };
    let at =
        |level| QrCode::with_error_correction_level(text, level).ok().filter(|c| c.width() <= MOST_MODULES);
    let code = at(EcLevel::M).or_else(|| at(EcLevel::L)).ok_or(too_long)?;
    let modules = code.width();
    #[expect(clippy::cast_precision_loss, reason = "a few dozen modules")]
    let side = (modules + 2 * QUIET) as f64;
    let mut svg = Svg::new(
        id,
        [0.0, 0.0, side, side],
        "QR code of the link",
        "Point another device's camera at it to open the link there.",
    );
    svg.rect(0.0, 0.0, side, side, "qr-ground");
    svg.path(&path(&code, modules), "qr-dark");
    Ok(Qr { svg: svg.finish(), modules, least_mm: side * MODULE.value })
}

/// Every run of dark modules of a row as a rectangle.
fn path(code: &QrCode, modules: usize) -> String {
    let mut path = String::new();
    for y in 0..modules {
        let mut x = 0;
        while x < modules {
            let start = x;
            while x < modules && code[(x, y)] == Color::Dark {
                x += 1;
            }
            if x > start {
                path.push_str(&format!("M{} {}h{}v1h-{}z", start + QUIET, y + QUIET, x - start, x - start));
            } else {
                x += 1;
            }
        }
    }
    path
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    /// Modules of a drawn path, as text.
    fn matrix(qr: &Qr) -> Vec<String> {
        let mut rows = vec![vec!['.'; qr.modules]; qr.modules];
        let path = qr.svg.split(" d=\"").nth(1).unwrap().split('"').next().unwrap();
        for run in path.split('M').skip(1) {
            let (x, rest) = run.split_once(' ').unwrap();
            let (y, rest) = rest.split_once('h').unwrap();
            let (length, _) = rest.split_once('v').unwrap();
            let (x, y): (usize, usize) = (x.parse().unwrap(), y.parse().unwrap());
            for dx in 0..length.parse().unwrap() {
                rows[y - QUIET][x - QUIET + dx] = '#';
            }
        }
        rows.into_iter().map(|r| r.into_iter().collect()).collect()
    }

    #[test]
    fn the_example_of_the_standard() {
        // ISO/IEC 18004, annex "Symbol encoding example": 01234567, version 1-M. Matrix as given in the tests of the
        // qrcode package 0.14.1 (MIT / Apache-2.0), which names that annex. Two codes drawn here were also read back with
        // zbarimg 0.23 (2026-11), texts of 53 and 224 characters.
        let drawn = matrix(&qr("t", "01234567").unwrap());
        let expected = "\
            #######..#.##.####### #.....#..####.#.....# #.###.#.#.....#.###.# #.###.#.##....#.###.# \
            #.###.#.#.###.#.###.# #.....#.#...#.#.....# #######.#.#.#.####### ........#..##........ \
            #.#####..#..#.#####.. ...#.#.##.#.#..#.##.. ..#...##.#.#.#..##### ....#....#.....####.. \
            ...######..#.#..#.... ........#.#####..##.. #######..##.#.##..... #.....#.#.#####...#.# \
            #.###.#.#...#..#.##.. #.###.#.##..#..#..... #.###.#.#.##.#..#.#.. #.....#........##.##. \
            #######.####.#..#.#..";
        assert_eq!(drawn, expected.split(' ').collect::<Vec<_>>());
    }

    #[test]
    fn the_drawing_has_its_quiet_zone() {
        let code = qr("t", "https://example.org/#v=1").unwrap();
        assert_eq!(code.modules, 25);
        assert!(code.svg.contains("viewBox=\"0 0 33 33\""), "{}", code.svg);
        assert!((code.least_mm - 13.2).abs() < 1e-9);
    }

    #[test]
    fn too_long_is_said() {
        let error = qr("t", &"x".repeat(1_000)).unwrap_err();
        assert_eq!(error, QrError::TooLong { bytes: 1_000 });
        assert_eq!(
            error.note().text,
            "The link has 1000 characters, too many for a code that prints small and still reads; copy the link instead."
        );
        // Byte mode capacities of version 20 (97 modules), ISO/IEC 18004 table of capacities (from memory): 666 at M.
        assert_eq!(qr("t", &"x".repeat(666)).map(|q| q.modules), Ok(97));
    }
}

//! Turning a picture upright: the Exif orientation, and what each of its eight values does.
//!
//! Source: JEITA CP-3451 (Exif 2.32), tag 274, and TIFF 6.0, p. 36.

/// Where the first row and the first column of the stored picture belong.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Orientation(u8);

impl Orientation {
    /// Upright as stored.
    pub const UPRIGHT: Self = Self(1);

    /// From the value of tag 274; anything but 1…8 counts as upright.
    pub fn new(value: u16) -> Self {
        match u8::try_from(value) {
            Ok(v @ 1..=8) => Self(v),
            _ => Self::UPRIGHT,
        }
    }

    /// The value of tag 274.
    pub fn value(self) -> u8 {
        self.0.clamp(1, 8)
    }

    /// Do rows and columns change places?
    pub fn transposes(self) -> bool {
        self.0 >= 5
    }

    /// Size of the upright picture.
    pub fn size(self, (width, height): (u32, u32)) -> (u32, u32) {
        if self.transposes() { (height, width) } else { (width, height) }
    }

    /// Is the upright row read from right to left (from bottom to top where rows and columns change places)?
    pub fn reverses_across(self) -> bool {
        matches!(self.0, 2 | 3 | 6 | 7)
    }

    /// Do the upright rows start at the stored bottom (at the stored right where rows and columns change places)?
    pub fn reverses_down(self) -> bool {
        matches!(self.0, 3 | 4 | 7 | 8)
    }
}

/// Reads the orientation from raw Exif bytes (a small TIFF file, with or without its `Exif\0\0` mark in front).
pub(super) fn from_exif(exif: &[u8]) -> Orientation {
    read(exif.strip_prefix(b"Exif\0\0").unwrap_or(exif)).unwrap_or(Orientation::UPRIGHT)
}

/// First directory of a TIFF: entries of 12 bytes, tag 274 holds a SHORT.
fn read(tiff: &[u8]) -> Option<Orientation> {
    let big = match tiff.get(..4)? {
        b"MM\0*" => true,
        b"II*\0" => false,
        _ => return None,
    };
    let short = |at: usize| -> Option<u16> {
        let b = tiff.get(at..at.checked_add(2)?)?.try_into().ok()?;
        Some(if big { u16::from_be_bytes(b) } else { u16::from_le_bytes(b) })
    };
    let long = |at: usize| -> Option<u32> {
        let b = tiff.get(at..at.checked_add(4)?)?.try_into().ok()?;
        Some(if big { u32::from_be_bytes(b) } else { u32::from_le_bytes(b) })
    };
    let start = usize::try_from(long(4)?).ok()?;
    let entries = short(start)?;
    for i in 0..usize::from(entries) {
        let at = start.checked_add(2 + 12 * i)?;
        if short(at)? == 274 {
            // Some writers store it as a LONG.
            return match short(at + 2)? {
                3 => Some(Orientation::new(short(at + 8)?)),
                4 => Some(Orientation::new(u16::try_from(long(at + 8)?).unwrap_or(0))),
                _ => None,
            };
        }
    }
    None
}

#[cfg(test)]
pub(crate) mod tests {
    use super::*;

    /// Exif bytes with one entry.
    pub(crate) fn exif(big: bool, value: u16) -> Vec<u8> {
        let mut out = if big { b"MM\0*".to_vec() } else { b"II*\0".to_vec() };
        let mut put = |bytes: Vec<u8>| {
            let mut bytes = bytes;
            if !big {
                bytes.reverse();
            }
            out.extend(bytes);
        };
        put(8_u32.to_be_bytes().to_vec());
        put(1_u16.to_be_bytes().to_vec());
        put(274_u16.to_be_bytes().to_vec());
        put(3_u16.to_be_bytes().to_vec());
        put(1_u32.to_be_bytes().to_vec());
        put(value.to_be_bytes().to_vec());
        put(vec![0, 0]);
        put(vec![0, 0, 0, 0]);
        out
    }

    #[test]
    fn all_values_in_both_byte_orders() {
        for value in 0..12 {
            for big in [false, true] {
                let expected = if (1..=8).contains(&value) { value } else { 1 };
                assert_eq!(u16::from(from_exif(&exif(big, value)).value()), expected);
                let marked = [b"Exif\0\0".as_slice(), &exif(big, value)].concat();
                assert_eq!(u16::from(from_exif(&marked).value()), expected);
            }
        }
    }

    #[test]
    fn damaged_bytes_are_upright() {
        let whole = exif(true, 6);
        for cut in 0..whole.len() {
            let _ = from_exif(&whole[..cut]);
        }
        for i in 0..whole.len() {
            let mut bent = whole.clone();
            bent[i] ^= 0xFF;
            let _ = from_exif(&bent);
        }
        assert_eq!(from_exif(&[]), Orientation::UPRIGHT);
        assert_eq!(from_exif(b"MM\0*\xFF\xFF\xFF\xFF"), Orientation::UPRIGHT);
    }
}

//! ICC profiles of the correction, after ICC.1:2022 (ISO 15076-1), with no tag that is not required.
//!
//! The device link holds curves only: colour engines apply those exactly, even when they prepare tables of their own,
//! while they resample a `mft2` table or a grey profile coarsely (measured in `tests/reference/cmm_precalculation`).

mod link;
mod profile;

pub use link::{Channels, link};
pub use profile::{black_scaled, profile};

/// Date and time, UTC: year, month, day, hour, minute, second.
pub type Stamp = [u16; 6];

/// Profile version 4.4.
const VERSION: u32 = 0x0440_0000;
/// D50, the white of the connection space, as s15Fixed16.
const D50: [u32; 3] = [0x0000_f6d6, 0x0001_0000, 0x0000_d32d];
/// Bytes of the head; the tag table follows.
const HEAD: usize = 128;
/// Longest description, characters.
const LONGEST: usize = 200;
/// What stands in the copyright tag: the printer's own measurement.
const RIGHTS: &str = "No copyright, use freely";

fn be32(value: usize) -> [u8; 4] {
    u32::try_from(value).unwrap_or(u32::MAX).to_be_bytes()
}

/// Text as multiLocalizedUnicodeType (10.15), English.
fn text(words: &str) -> Vec<u8> {
    let units: Vec<u8> =
        words.chars().take(LONGEST).collect::<String>().encode_utf16().flat_map(u16::to_be_bytes).collect();
    let mut out = b"mluc\0\0\0\0\0\0\0\x01\0\0\0\x0cenUS".to_vec();
    out.extend(be32(units.len()));
    out.extend(be32(28));
    out.extend(units);
    out
}

/// Samples as curveType (10.6), padded to four bytes.
fn curve(samples: &[u16]) -> Vec<u8> {
    let mut out = b"curv\0\0\0\0".to_vec();
    out.extend(be32(samples.len()));
    out.extend(samples.iter().flat_map(|v| v.to_be_bytes()));
    out.resize(out.len().next_multiple_of(4), 0);
    out
}

/// Head (7.2), tag table (7.3) and tags; the profile ID is left at zero, "not calculated" (7.2.18).
fn assemble(
    class: [u8; 4],
    space: [u8; 4],
    pcs: [u8; 4],
    stamp: Stamp,
    tags: &[([u8; 4], Vec<u8>)],
) -> Vec<u8> {
    let mut out = vec![0; HEAD];
    let mut put = |at: usize, bytes: &[u8]| out[at..at + bytes.len()].copy_from_slice(bytes);
    put(8, &VERSION.to_be_bytes());
    put(12, &class);
    put(16, &space);
    put(20, &pcs);
    for (i, part) in stamp.iter().enumerate() {
        put(24 + 2 * i, &part.to_be_bytes());
    }
    put(36, b"acsp");
    // Media-relative colorimetric, the intent that means what it says.
    put(64, &1_u32.to_be_bytes());
    for (i, part) in D50.iter().enumerate() {
        put(68 + 4 * i, &part.to_be_bytes());
    }
    out.extend(be32(tags.len()));
    let mut offset = HEAD + 4 + 12 * tags.len();
    for (name, data) in tags {
        out.extend(name);
        out.extend(be32(offset));
        out.extend(be32(data.len()));
        offset += data.len().next_multiple_of(4);
    }
    for (_, data) in tags {
        out.extend(data);
        out.resize(out.len().next_multiple_of(4), 0);
    }
    let size = be32(out.len());
    out[..4].copy_from_slice(&size);
    out
}

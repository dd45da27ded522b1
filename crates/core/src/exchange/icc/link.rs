//! Device link from grey to grey or RGB to RGB: one curve, in `mAB ` (lutAToBType, 10.12) with B curves only.

use super::{RIGHTS, Stamp, assemble, be32, curve, text};

/// What the pictures are kept in.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Channels {
    /// One channel.
    Grey,
    /// Three equal channels.
    Rgb,
}

/// A device link; `samples` are its outputs at equal steps of the input, both 0…65535.
pub fn link(channels: Channels, samples: &[u16], description: &str, stamp: Stamp) -> Vec<u8> {
    let (space, count) = match channels {
        Channels::Grey => (*b"GRAY", 1_u8),
        Channels::Rgb => (*b"RGB ", 3),
    };
    let mut table = b"mAB \0\0\0\0".to_vec();
    table.extend([count, count, 0, 0]);
    // B curves at byte 32; no matrix, M curves, table or A curves.
    table.extend(be32(32));
    table.resize(32, 0);
    let one = curve(samples);
    for _ in 0..count {
        table.extend(&one);
    }
    // profileSequenceDescType (10.18): what was joined, here the picture and the film.
    let mut sequence = b"pseq\0\0\0\0\0\0\0\x02".to_vec();
    for name in ["Picture", "Film"] {
        sequence.resize(sequence.len() + 20, 0);
        sequence.extend(text(name));
        sequence.extend(text(name));
    }
    let tags =
        [(*b"desc", text(description)), (*b"cprt", text(RIGHTS)), (*b"A2B0", table), (*b"pseq", sequence)];
    assemble(*b"link", space, space, stamp, &tags)
}

//! A small deflate encoder for filtered picture rows.
//!
//! Rows of a 16-bit picture are half noise after the PNG filter: searching them for repetitions costs most of an
//! ordinary encoder's time and finds next to nothing. So every block gets its own Huffman code, and the only matches
//! are runs of zeros (clear margins), which are found eight bytes at a time.
//!
//! Source: RFC 1951; RFC 1950 for the checksum around it.

use sorrel_core::scan::ordered::ascending;

/// Longest code written, bits; 15 are allowed, 12 keep the tables small and cost under 0.1 %.
const MAX_BITS: usize = 12;
/// Literals, end of block and length codes.
const SYMBOLS: usize = 286;
/// Marks the end of a block.
const END: usize = 256;
/// The length code for 258, the longest match (RFC 1951, 3.2.5).
const LENGTH_258: usize = 285;
/// Bytes in a block: small enough that its code fits its part of the picture, large enough for its 100-byte head.
const BLOCK: usize = 1 << 16;

/// Bits on their way into bytes, least significant first.
#[derive(Default)]
struct Bits {
    out: Vec<u8>,
    bits: u64,
    count: u32,
}

impl Bits {
    /// Adds up to 32 bits.
    #[inline(always)]
    fn put(&mut self, value: u32, count: u32) {
        self.bits |= u64::from(value) << self.count;
        self.count += count;
        if self.count >= 32 {
            #[allow(clippy::cast_possible_truncation, reason = "the lower half is meant")]
            self.out.extend_from_slice(&(self.bits as u32).to_le_bytes());
            self.bits >>= 32;
            self.count -= 32;
        }
    }

    /// Fills the last byte with zeros.
    fn align(&mut self) {
        while self.count > 0 {
            self.out.push(self.bits.to_le_bytes()[0]);
            self.bits >>= 8;
            self.count = self.count.saturating_sub(8);
        }
        self.bits = 0;
    }
}

/// Packs `data` as a run of deflate blocks that ends on a byte, so that runs can be joined. Looks at nothing else.
///
/// Nothing is marked as last; [`END_OF_STREAM`] closes the stream.
pub(crate) fn pack(data: &[u8], out: &mut Vec<u8>) {
    let mut bits = Bits { out: std::mem::take(out), ..Bits::default() };
    for block in data.chunks(BLOCK) {
        pack_block(block, &mut bits);
    }
    // An empty stored block brings the stream to a byte border (RFC 1951, 3.2.4).
    bits.put(0, 3);
    bits.align();
    bits.out.extend_from_slice(&[0, 0, 0xFF, 0xFF]);
    *out = bits.out;
}

/// An empty last block.
pub(crate) const END_OF_STREAM: [u8; 5] = [1, 0, 0, 0xFF, 0xFF];

/// Calls `literals` for bytes as they are and `run` for lengths of zero runs, in order.
#[inline(always)]
fn split(data: &[u8], mut literals: impl FnMut(&[u8]), mut run: impl FnMut(usize)) {
    let (words, _) = data.as_chunks::<8>();
    let mut from = 0;
    let mut i = 0;
    while i < words.len() {
        if words[i] != [0; 8] {
            i += 1;
            continue;
        }
        let start = i * 8;
        let mut end = i + 1;
        while end < words.len() && words[end] == [0; 8] {
            end += 1;
        }
        i = end;
        // Shorter runs are cheap enough as literals.
        if end * 8 - start >= 32 {
            // The first zero is a literal, the rest copies from one byte back.
            literals(&data[from..=start]);
            run(end * 8 - start - 1);
            from = end * 8;
        }
    }
    literals(&data[from..]);
}

/// Cuts a run into lengths deflate can say: 258 each, the rest as one or two shorter ones.
#[inline(always)]
fn lengths(mut run: usize, mut each: impl FnMut(usize)) {
    while run > 258 + 3 {
        each(258);
        run -= 258;
    }
    if run > 258 {
        each(run - 3);
        run = 3;
    }
    each(run);
}

/// Symbol, extra bits and their count of a match length 3…258 (RFC 1951, 3.2.5).
fn length_code(length: usize) -> (usize, u32, u32) {
    const BASE: [usize; 29] = [
        3, 4, 5, 6, 7, 8, 9, 10, 11, 13, 15, 17, 19, 23, 27, 31, 35, 43, 51, 59, 67, 83, 99, 115, 131, 163,
        195, 227, 258,
    ];
    const EXTRA: [u32; 29] =
        [0, 0, 0, 0, 0, 0, 0, 0, 1, 1, 1, 1, 2, 2, 2, 2, 3, 3, 3, 3, 4, 4, 4, 4, 5, 5, 5, 5, 0];
    if length >= 258 {
        return (LENGTH_258, 0, 0);
    }
    let i = BASE.iter().rposition(|b| *b <= length).unwrap_or(0);
    let rest = u32::try_from(length.saturating_sub(BASE[i])).unwrap_or(0);
    (257 + i, rest, EXTRA[i])
}

fn pack_block(data: &[u8], bits: &mut Bits) {
    let mut counts = [0_u32; SYMBOLS];
    let mut runs = false;
    {
        // Four tables keep repeated bytes from waiting for each other.
        let mut four = [[0_u32; 256]; 4];
        let mut extra = [0_u32; SYMBOLS];
        split(
            data,
            |bytes| {
                let (quads, rest) = bytes.as_chunks::<4>();
                for quad in quads {
                    for k in 0..4 {
                        four[k][usize::from(quad[k])] += 1;
                    }
                }
                for b in rest {
                    four[0][usize::from(*b)] += 1;
                }
            },
            |run| {
                runs = true;
                lengths(run, |l| extra[length_code(l).0] += 1);
            },
        );
        for (i, c) in counts.iter_mut().enumerate() {
            *c = extra[i] + if i < 256 { four[0][i] + four[1][i] + four[2][i] + four[3][i] } else { 0 };
        }
    }
    counts[END] = 1;
    let sizes = code_lengths(&counts);
    let codes = codes(&sizes);

    // Block head: not last, dynamic codes. One distance code of one bit: "one byte back".
    bits.put(0b100, 3);
    write_codes(&sizes, usize::from(runs), bits);
    write_body(data, &codes, bits);
}

/// Writes literals and runs, and the end of the block.
fn write_body(data: &[u8], codes: &[(u16, u8); SYMBOLS], bits: &mut Bits) {
    let cell = std::cell::RefCell::new(bits);
    split(
        data,
        |bytes| {
            let bits = &mut **cell.borrow_mut();
            let (pairs, rest) = bytes.as_chunks::<2>();
            for [a, b] in pairs {
                // Two codes of at most 12 bits go in at once.
                let (x, m) = codes[usize::from(*a)];
                let (y, n) = codes[usize::from(*b)];
                bits.put(u32::from(x) | u32::from(y) << m, u32::from(m) + u32::from(n));
            }
            for b in rest {
                let (x, m) = codes[usize::from(*b)];
                bits.put(u32::from(x), u32::from(m));
            }
        },
        |run| {
            let bits = &mut **cell.borrow_mut();
            lengths(run, |l| {
                let (symbol, extra, many) = length_code(l);
                let (x, m) = codes[symbol];
                bits.put(u32::from(x), u32::from(m));
                bits.put(extra, many);
                // The only distance code there is.
                bits.put(0, 1);
            });
        },
    );
    let bits = cell.into_inner();
    let (x, m) = codes[END];
    bits.put(u32::from(x), u32::from(m));
}

/// Lengths of a Huffman code for `counts`, none above [`MAX_BITS`]; 0 for what does not occur.
fn code_lengths<const N: usize>(counts: &[u32; N]) -> [u8; N] {
    limited_lengths(counts, MAX_BITS)
}

fn limited_lengths<const N: usize>(counts: &[u32; N], max: usize) -> [u8; N] {
    // Count and place in one number, exact in an f64, so that the one sort of the module serves here too.
    let mut order: Vec<f64> = counts
        .iter()
        .enumerate()
        .filter(|(_, c)| **c > 0)
        .map(|(i, c)| f64::from(*c) * N as f64 + i as f64)
        .collect();
    ascending(&mut order);
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole numbers below 2^41")]
    let used: Vec<usize> = order.iter().map(|o| (*o as u64 % N as u64) as usize).collect();
    let mut sizes = [0_u8; N];
    match used.as_slice() {
        [] => return sizes,
        [only] => {
            sizes[*only] = 1;
            return sizes;
        }
        _ => {}
    }
    // Huffman's construction with two queues: leaves in order of weight, inner nodes as they are made.
    let n = used.len();
    let mut weight: Vec<u64> = used.iter().map(|i| u64::from(counts[*i])).collect();
    let mut parent = vec![0_usize; 2 * n - 1];
    let (mut leaf, mut inner) = (0, n);
    for node in n..2 * n - 1 {
        let mut take = || {
            let pick = if leaf < n && (inner >= node || weight[leaf] <= weight[inner]) {
                &mut leaf
            } else {
                &mut inner
            };
            let at = *pick;
            *pick += 1;
            at
        };
        let (a, b) = (take(), take());
        weight.push(weight[a] + weight[b]);
        parent[a] = node;
        parent[b] = node;
    }
    let mut depth = vec![0_usize; 2 * n - 1];
    let mut many = vec![0_usize; n.max(max) + 1];
    for node in (0..2 * n - 2).rev() {
        depth[node] = depth[parent[node]] + 1;
        if node < n {
            many[depth[node]] += 1;
        }
    }
    // Codes that are too long are cut; each cut takes room that a shorter code gives back by growing one bit.
    let too_long: usize = many[max + 1..].iter().sum();
    many.truncate(max + 1);
    many[max] += too_long;
    let mut room: u64 = (1..=max).map(|l| (many[l] as u64) << (max - l)).sum();
    while room > 1 << max {
        let Some(l) = (1..max).rev().find(|l| many[*l] > 0) else { break };
        many[l] -= 1;
        many[l + 1] += 2;
        many[max] -= 1;
        room -= 1;
    }
    // The rarest symbols take the longest codes.
    let mut symbols = used.iter().copied();
    for l in (1..=max).rev() {
        for _ in 0..many[l] {
            if let (Some(s), Ok(l)) = (symbols.next(), u8::try_from(l)) {
                sizes[s] = l;
            }
        }
    }
    sizes
}

/// Canonical codes, bits reversed for writing (RFC 1951, 3.2.2).
fn codes<const N: usize>(sizes: &[u8; N]) -> [(u16, u8); N] {
    let mut next = [0_u16; 17];
    for l in 1..16 {
        let many = sizes.iter().filter(|s| usize::from(**s) == l).count();
        let many = u16::try_from(many).unwrap_or(0);
        next[l + 1] = (next[l].wrapping_add(many)) << 1;
    }
    let mut out = [(0, 0); N];
    for (o, size) in out.iter_mut().zip(sizes) {
        if *size > 0 {
            let code = &mut next[usize::from(*size)];
            *o = (code.reverse_bits() >> (16 - u32::from(*size)), *size);
            *code = code.wrapping_add(1);
        }
    }
    out
}

/// Writes the two codes' lengths (RFC 1951, 3.2.7); runs of zeros are shortened, nothing else.
fn write_codes(sizes: &[u8; SYMBOLS], distances: usize, bits: &mut Bits) {
    const ORDER: [usize; 19] = [16, 17, 18, 0, 8, 7, 9, 6, 10, 5, 11, 4, 12, 3, 13, 2, 14, 1, 15];
    let last = sizes.iter().rposition(|s| *s > 0).unwrap_or(END).max(END);
    let mut all: Vec<u8> = sizes[..=last].to_vec();
    all.push(u8::from(distances > 0));
    // (symbol, extra value, extra bits)
    let mut said: Vec<(usize, u32, u32)> = Vec::new();
    let mut i = 0;
    while i < all.len() {
        let run = all[i..].iter().take_while(|s| **s == 0).count().min(138);
        let short = u32::try_from(run).unwrap_or(0);
        if run >= 11 {
            said.push((18, short - 11, 7));
        } else if run >= 3 {
            said.push((17, short - 3, 3));
        } else {
            said.push((usize::from(all[i]), 0, 0));
            i += 1;
            continue;
        }
        i += run;
    }
    let mut counts = [0_u32; 19];
    for (s, ..) in &said {
        counts[*s] += 1;
    }
    let lengths = limited_lengths(&counts, 7);
    let codes = codes(&lengths);
    let needed = ORDER.iter().rposition(|s| lengths[*s] > 0).unwrap_or(0).max(3) + 1;
    let small = |n: usize| u32::try_from(n).unwrap_or(0);
    bits.put(small(last + 1 - 257), 5);
    bits.put(0, 5);
    bits.put(small(needed - 4), 4);
    for s in &ORDER[..needed] {
        bits.put(u32::from(lengths[*s]), 3);
    }
    for (s, extra, many) in said {
        let (code, size) = codes[s];
        bits.put(u32::from(code), u32::from(size));
        bits.put(extra, many);
    }
}

/// Adler-32 of a stream that arrives in pieces (RFC 1950, 8.2).
#[derive(Clone, Copy)]
pub(crate) struct Adler(u32, u32);

impl Default for Adler {
    fn default() -> Self {
        Self(1, 0)
    }
}

impl Adler {
    /// Adds bytes.
    pub(crate) fn add(&mut self, data: &[u8]) {
        const PRIME: u32 = 65_521;
        // The largest piece whose sums stay within 32 bits, as 32 columns of 128 rows.
        for piece in data.chunks(4096) {
            let (rows, rest) = piece.as_chunks::<32>();
            // Column sums, and column sums of all rows before: what depends on the order is settled at the end.
            let mut sum = [0_u32; 32];
            let mut before = [0_u32; 32];
            for row in rows {
                for k in 0..32 {
                    before[k] += sum[k];
                    sum[k] += u32::from(row[k]);
                }
            }
            let count = u32::try_from(rows.len()).unwrap_or(0) * 32;
            self.1 = (self.1 + count * self.0) % PRIME;
            let mut second = 0_u64;
            for (k, (s, b)) in (0_u64..).zip(sum.iter().zip(before)) {
                second += 32 * u64::from(b) + (32 - k) * u64::from(*s);
                self.0 += s;
            }
            self.0 %= PRIME;
            self.1 = u32::try_from((u64::from(self.1) + second) % u64::from(PRIME)).unwrap_or(0);
            for b in rest {
                self.0 = (self.0 + u32::from(*b)) % PRIME;
                self.1 = (self.1 + self.0) % PRIME;
            }
        }
    }

    /// The checksum so far.
    pub(crate) fn value(self) -> u32 {
        self.1 << 16 | self.0
    }
}

#[cfg(test)]
#[allow(clippy::cast_possible_truncation, reason = "test data are small")]
mod tests {
    use super::*;

    /// Unpacked by the decoder inside the `png` crate, through a whole PNG, in tests/png.rs; here only our own parts.
    #[test]
    fn lengths_fill_their_room_exactly() {
        let mut counts = [0_u32; SYMBOLS];
        // Fibonacci weights give the longest codes there are.
        let (mut a, mut b) = (1_u32, 1_u32);
        for c in counts.iter_mut().take(40) {
            *c = a;
            (a, b) = (b, a + b);
        }
        for max in [7, 12] {
            let sizes = limited_lengths(&counts, max);
            let room: u32 = sizes.iter().filter(|s| **s > 0).map(|s| 1 << (max as u32 - u32::from(*s))).sum();
            assert_eq!(room, 1 << max);
            assert!(sizes.iter().all(|s| usize::from(*s) <= max));
            assert!(sizes[..40].iter().all(|s| *s > 0) && sizes[40..].iter().all(|s| *s == 0));
            assert!(sizes[39] <= sizes[0]);
        }
    }

    #[test]
    fn canonical_codes_of_the_standard() {
        // RFC 1951, 3.2.2: lengths 3,3,3,3,3,2,4,4 give 010 011 100 101 110 00 1110 1111.
        let codes = codes(&[3, 3, 3, 3, 3, 2, 4, 4]);
        let said: Vec<String> = codes
            .iter()
            .map(|(c, n)| (0..*n).map(|i| if c >> i & 1 == 1 { '1' } else { '0' }).collect())
            .collect();
        assert_eq!(said, ["010", "011", "100", "101", "110", "00", "1110", "1111"]);
    }

    #[test]
    fn length_codes_of_the_standard() {
        // RFC 1951, 3.2.5, the table of lengths.
        for (length, code) in [(3, (257, 0, 0)), (10, (264, 0, 0)), (12, (265, 1, 1)), (130, (280, 15, 4))] {
            assert_eq!(length_code(length), code);
        }
        assert_eq!(length_code(257), (284, 30, 5));
        assert_eq!(length_code(258), (285, 0, 0));
    }

    #[test]
    fn runs_are_cut_without_remainder() {
        for run in 3..3000 {
            let mut sum = 0;
            lengths(run, |l| {
                assert!((3..=258).contains(&l));
                sum += l;
            });
            assert_eq!(sum, run);
        }
    }

    #[test]
    fn checksum_agrees_with_its_definition() {
        let mut state = 1_u32;
        let data: Vec<u8> = (0..20_000)
            .map(|_| {
                state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
                state.to_be_bytes()[0]
            })
            .collect();
        for cut in [0, 1, 31, 32, 4096, 10_001, 20_000] {
            for bytes in [&data[..cut], &vec![255; cut][..]] {
                let (mut a, mut b) = (1_u32, 0_u32);
                for d in bytes {
                    a = (a + u32::from(*d)) % 65_521;
                    b = (b + a) % 65_521;
                }
                let mut adler = Adler::default();
                adler.add(&bytes[..cut / 3]);
                adler.add(&bytes[cut / 3..]);
                assert_eq!(adler.value(), b << 16 | a, "{cut}");
            }
        }
    }
}

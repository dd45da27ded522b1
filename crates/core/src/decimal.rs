//! Numbers written with decimals, quickly: the page writes hundreds of figures and coordinates at every keystroke.

/// Appends a number as `{x:.places$}` writes it, but counted in whole numbers where no rounding can be in doubt: the exact
/// way takes long for just the round ones.
pub(crate) fn push(out: &mut String, x: f64, places: usize) {
    const SCALES: [u64; 7] = [1, 10, 100, 1000, 10_000, 100_000, 1_000_000];
    /// Below this every whole number has its own f64.
    const MOST: f64 = 9e15;
    if x.is_nan() {
        out.push_str("NaN");
        return;
    }
    if x.is_sign_negative() {
        out.push('-');
    }
    let x = x.abs();
    if x.is_infinite() {
        out.push_str("inf");
        return;
    }
    let Some(&scale) = SCALES.get(places) else { return exact(out, x, places) };
    #[expect(clippy::cast_precision_loss, reason = "at most 1e6")]
    let scaled = x * scale as f64;
    if scaled >= MOST {
        return exact(out, x, places);
    }
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "below MOST")]
    let whole = scaled as u64;
    #[expect(clippy::cast_precision_loss, reason = "below MOST")]
    let rest = scaled - whole as f64;
    // The product is off by at most half of this; nearer to the half it could have come from either side.
    if (rest - 0.5).abs() <= scaled * f64::EPSILON {
        return exact(out, x, places);
    }
    digits(out, whole + u64::from(rest > 0.5), places);
}

/// Appends a number that is finite and not below 0, from all its digits: an f64 is a whole number times a power of two, and
/// halving it is taking it five times and moving the point. Rounds to the nearest, ties to even. The standard library does
/// this with tables, which the first load of the page would have to carry.
fn exact(out: &mut String, x: f64, places: usize) {
    /// Bits of an f64 that are written; the leading one of a normal number is not.
    const BITS: u32 = f64::MANTISSA_DIGITS - 1;
    /// What a power of two is written larger by: so that the digits are a whole number.
    const ABOVE: i32 = 1075;
    let bits = x.to_bits();
    let (power, written) = (bits >> BITS, bits & ((1 << BITS) - 1));
    let (mut number, power) = if power == 0 { (written, 1) } else { (written | 1 << BITS, power) };
    let mut twos = i32::try_from(power).unwrap_or(0) - ABOVE;
    // Every two that is taken out spares digits.
    while number > 0 && number & 1 == 0 && twos < 0 {
        number >>= 1;
        twos += 1;
    }
    // Its decimal digits, the last one first.
    let mut all = Vec::new();
    while number > 0 {
        all.push(u8::try_from(number % 10).unwrap_or(0));
        number /= 10;
    }
    for _ in 0..twos.unsigned_abs() {
        times(&mut all, if twos < 0 { 5 } else { 2 });
    }
    let point = usize::try_from(-twos).unwrap_or(0);
    if let Some(cut) = point.checked_sub(places) {
        let at = |i: usize| all.get(i).copied().unwrap_or(0);
        let up = cut > 0
            && match at(cut - 1) {
                5 => at(cut) % 2 == 1 || all.iter().take(cut - 1).any(|d| *d > 0),
                digit => digit > 5,
            };
        all.drain(..cut.min(all.len()));
        if up {
            add_one(&mut all);
        }
    } else {
        all.splice(0..0, std::iter::repeat_n(0, places - point));
    }
    all.resize(all.len().max(places + 1), 0);
    for (i, digit) in all.iter().enumerate().rev() {
        out.push(char::from(b'0' + digit));
        if i == places && places > 0 {
            out.push('.');
        }
    }
}

/// Multiplies a number in decimal digits, the last one first, by a single digit.
fn times(all: &mut Vec<u8>, by: u8) {
    let mut carried = 0;
    for digit in all.iter_mut() {
        let now = *digit * by + carried;
        (*digit, carried) = (now % 10, now / 10);
    }
    if carried > 0 {
        all.push(carried);
    }
}

/// Adds 1 to a number in decimal digits, the last one first.
fn add_one(all: &mut Vec<u8>) {
    for digit in all.iter_mut() {
        if *digit < 9 {
            *digit += 1;
            return;
        }
        *digit = 0;
    }
    all.push(1);
}

/// Appends a whole number with a point before its last `places` digits.
fn digits(out: &mut String, mut n: u64, places: usize) {
    /// A u64 has twenty digits at most; beside them stand a point and a zero before it.
    const ROOM: usize = 22;
    let mut written = [b'0'; ROOM];
    let mut first = ROOM;
    for (count, slot) in written.iter_mut().rev().enumerate() {
        if places > 0 && count == places {
            *slot = b'.';
        } else {
            *slot = b'0' + u8::try_from(n % 10).unwrap_or(0);
            n /= 10;
            if n == 0 && (places == 0 || count > places) {
                first = ROOM - 1 - count;
                break;
            }
        }
    }
    out.extend(written.iter().skip(first).map(|&digit| char::from(digit)));
}

/// Appends a number with at most so many decimals: zeros at their end are dropped, and the minus before nothing.
pub(crate) fn push_short(out: &mut String, x: f64, places: usize) {
    let start = out.len();
    push(out, x, places);
    if places > 0 && x.is_finite() {
        while out.ends_with('0') {
            out.pop();
        }
        if out.ends_with('.') {
            out.pop();
        }
    }
    if out.get(start..) == Some("-0") {
        out.remove(start);
    }
}

/// A number with exactly so many decimals, as [`push`] writes it.
pub(crate) fn fixed(x: f64, places: usize) -> String {
    let mut out = String::new();
    push(&mut out, x, places);
    out
}

/// A number with at most so many decimals, as [`push_short`] writes it.
pub(crate) fn short(x: f64, places: usize) -> String {
    let mut out = String::new();
    push_short(&mut out, x, places);
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::math;
    use crate::testing::test;

    #[test]
    fn quick_figures_are_the_exact_ones() {
        let ties = (-400..400).flat_map(|n| [0.5, 0.25, 0.05, 0.005, 0.0005].map(|t| f64::from(n) * t));
        let steps = (0..60_000).map(|n| (f64::from(n) - 20_000.0) * 0.001_237);
        let far =
            (-330..310).flat_map(|e| [1.0, -7.5, 9.999_999_5].map(|m| m * math::pow(10.0, f64::from(e))));
        for x in ties.chain(steps).chain(far).chain([0.0, -0.0, f64::NAN, f64::INFINITY, f64::NEG_INFINITY]) {
            for places in 0..8 {
                assert_eq!(fixed(x, places), format!("{x:.places$}"), "{x:e} to {places}");
            }
        }
    }

    #[test]
    fn short_figures_end_in_no_idle_digit() {
        for (x, places, text) in [
            (1e9, 2, "1000000000"),
            (-0.004, 2, "0"),
            (0.1, 2, "0.1"),
            (-7.05, 2, "-7.05"),
            (1200.0, 0, "1200"),
            (-0.0, 0, "0"),
            (2.499_96, 3, "2.5"),
        ] {
            assert_eq!(short(x, places), text);
        }
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #[test]
        fn any_number_is_written_as_the_language_writes_it(x in any::<f64>(), places in 0_usize..9) {
            prop_assert_eq!(fixed(x, places), format!("{x:.places$}"));
        }

        #[test]
        fn so_is_any_that_the_page_shows(
            n in -2_000_000_000_000_i64..2_000_000_000_000,
            scale in prop::sample::select(vec![1.0, 10.0, 100.0, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8]),
            places in 0_usize..9,
        ) {
            // Decimal fractions and their halves, where rounding is decided.
            let x = n as f64 / scale;
            for x in [x, x / 2.0, x + 0.5] {
                prop_assert_eq!(fixed(x, places), format!("{x:.places$}"));
            }
        }

        #[test]
        fn the_short_way_only_drops_idle_signs(x in -1e12_f64..1e12, places in 0_usize..7) {
            let (long, text) = (format!("{x:.places$}"), short(x, places));
            prop_assert_eq!(long.parse::<f64>().ok(), text.parse::<f64>().ok());
            prop_assert!(!text.contains('.') || !text.ends_with(['0', '.']));
            prop_assert!(text != "-0");
        }
    }
}

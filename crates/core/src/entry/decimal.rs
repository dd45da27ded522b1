//! A decimal number to the nearest `f64`, ties to even, without exponents.
//!
//! The standard library reads exponents too, and brings a table of 10 kB for them, which the first load of the page would
//! have to carry.

/// Digits that are kept: with them a number and its power of ten stay below 2¹²⁷.
const DIGITS: usize = 38;
/// Whole numbers below it are exact in an `f64`.
const EXACT: u128 = 1 << 53;
/// Powers of ten up to this one are exact in an `f64`.
const EXACT_PLACES: usize = 22;

/// The number of these digits before and after the mark; both only `0` to `9`. `None` from 10³⁸ on. Of more than 38 digits
/// the last ones only say that there is more.
pub(super) fn of(whole: &str, places: &str) -> Option<f64> {
    let whole = whole.trim_start_matches('0').as_bytes();
    if whole.len() > DIGITS {
        return None;
    }
    let (kept, beyond) = places.as_bytes().split_at(places.len().min(DIGITS - whole.len()));
    let number = whole.iter().chain(kept).fold(0_u128, |n, digit| 10 * n + u128::from(digit - b'0'));
    if number < EXACT && kept.len() <= EXACT_PLACES && beyond.is_empty() {
        // One correctly rounded division of two exact numbers.
        let power = kept.iter().fold(1.0, |power, _| 10.0 * power);
        #[expect(clippy::cast_precision_loss, reason = "exact, checked above")]
        return Some(number as f64 / power);
    }
    let power = kept.iter().fold(1_u128, |power, _| 10 * power);
    Some(divided(number, power, beyond.iter().any(|digit| *digit != b'0')))
}

/// `number ÷ power`, both below 2¹²⁷, by long division in binary; `more`: the number is a little larger.
fn divided(number: u128, power: u128, more: bool) -> f64 {
    let (mut quotient, mut rest, mut exponent) = (0_u128, 0_u128, 0_i32);
    for bit in (0..u128::BITS).rev() {
        rest = rest << 1 | number >> bit & 1;
        quotient <<= 1;
        if rest >= power {
            rest -= power;
            quotient |= 1;
        }
    }
    // 53 digits of the number and one to round by.
    while quotient < EXACT && (quotient > 0 || rest > 0) {
        rest <<= 1;
        quotient <<= 1;
        exponent -= 1;
        if rest >= power {
            rest -= power;
            quotient |= 1;
        }
    }
    let mut sticky = more || rest > 0;
    while quotient >= 2 * EXACT {
        sticky |= quotient & 1 == 1;
        quotient >>= 1;
        exponent += 1;
    }
    let up = quotient & 1 == 1 && (sticky || quotient & 2 == 2);
    let rounded = (quotient >> 1) + u128::from(up);
    #[expect(clippy::cast_precision_loss, reason = "at most 2⁵³")]
    let value = rounded as f64;
    let places = exponent + 1;
    (0..places.unsigned_abs()).fold(value, |v, _| if places < 0 { v / 2.0 } else { v * 2.0 })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn same(whole: &str, places: &str) {
        // The standard library rounds every decimal number correctly.
        let text = format!("{whole}.{places}");
        let expected: f64 = text.parse().unwrap();
        let read = of(whole, places).unwrap();
        assert!(read.to_bits() == expected.to_bits(), "{text}: {read} is not {expected}");
    }

    #[test]
    fn numbers_as_they_are_typed() {
        for (whole, places) in
            [("0", "1"), ("2", "54"), ("", "5"), ("007", ""), ("12345678", "87654321"), ("0", "0")]
        {
            same(whole, places);
        }
    }

    #[test]
    fn halfway_between_two_the_even_one() {
        for whole in ["9007199254740993", "9007199254740995", "18014398509481986", "36028797018963972"] {
            same(whole, "");
            same(whole, "00000000000001");
            same(whole, "0000000000000000000000000000000000001");
        }
        // 1 + 2⁻⁵³ in full, and a little more.
        same("1", "0000000000000001110223024625156540423");
        same("99999999999999999999999999999999999999", "");
        assert_eq!(of("100000000000000000000000000000000000000", ""), None);
    }
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(5_000))]

        #[test]
        fn rounds_as_the_standard_library_does(whole in "[0-9]{0,20}", places in "[0-9]{0,18}") {
            prop_assume!(!whole.is_empty() || !places.is_empty());
            let expected: f64 = format!("0{whole}.{places}").parse().unwrap();
            prop_assert_eq!(of(&whole, &places).map(f64::to_bits), Some(expected.to_bits()));
        }

        #[test]
        fn short_ones_too(whole in 0_u32..100_000, places in "[0-9]{0,8}") {
            let whole = whole.to_string();
            let expected: f64 = format!("{whole}.{places}").parse().unwrap();
            prop_assert_eq!(of(&whole, &places).map(f64::to_bits), Some(expected.to_bits()));
        }
    }
}

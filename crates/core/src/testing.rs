//! One `#[test]` for two machines: the same numeric tests run native and as wasm.
//!
//! A test module begins with `use crate::testing::test;`. Natively that is the compiler's own attribute; as wasm
//! it is the one whose runner works in Node. Laws (proptest) need randomness from the system and stay native:
//! their modules are marked `#[cfg(all(test, not(target_arch = "wasm32")))]`.

#[cfg(not(target_arch = "wasm32"))]
pub(crate) use core::prelude::v1::test;
#[cfg(target_arch = "wasm32")]
pub(crate) use wasm_bindgen_test::wasm_bindgen_test as test;

mod tests {
    use super::test;

    #[test]
    fn the_same_bits_come_out_of_both_machines() {
        // 10^(-0.3), the transmittance of density 0.3; bits of the C library (glibc pow, through CPython 3.11).
        assert_eq!(libm::pow(10.0, -0.3).to_bits(), 0x3fe0_09b9_cf33_4252_u64);
    }
}

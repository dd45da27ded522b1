//! Random numbers of the device, for new identities.

/// A fresh random number.
pub(crate) fn luck() -> u64 {
    let mut bytes = [0_u8; 8];
    let filled = crate::dom::window()
        .crypto()
        .and_then(|crypto| crypto.get_random_values_with_u8_array(&mut bytes))
        .is_ok();
    if filled {
        u64::from_le_bytes(bytes)
    } else {
        // Identities also carry the moment; this keeps them apart within a millisecond.
        js_sys::Math::random().to_bits()
    }
}

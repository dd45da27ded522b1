//! Values as whole numbers of a file.

/// A value 0…1 in 16 bits.
pub fn sixteen(x: f64) -> u16 {
    let x = if x > 0.0 { x.min(1.0) } else { 0.0 };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 65535 by the clamp")]
    let value = (65535.0 * x + 0.5) as u16;
    value
}

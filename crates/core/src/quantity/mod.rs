//! Quantities: one type each, one private number in one internal unit, units only at the edges.
//!
//! Only the operators that make physical sense exist. Factors: BIPM, The International System of Units (SI),
//! 9th ed. 2019; the inch is 25.4 mm exactly (international yard and pound agreement, 1959).

mod area;
mod length;
mod mass;
mod temperature;
mod volume;

pub use area::{Area, Coverage};
pub use length::Length;
pub use mass::Mass;
pub use temperature::Temperature;
pub use volume::Volume;

/// Derives what every plain amount shares: order, sum, difference, scaling, ratio.
macro_rules! amount {
    ($name:ident) => {
        impl core::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }
        impl core::ops::Sub for $name {
            type Output = Self;
            fn sub(self, other: Self) -> Self {
                Self(self.0 - other.0)
            }
        }
        impl core::ops::Mul<f64> for $name {
            type Output = Self;
            fn mul(self, factor: f64) -> Self {
                Self(self.0 * factor)
            }
        }
        impl core::ops::Div<f64> for $name {
            type Output = Self;
            fn div(self, divisor: f64) -> Self {
                Self(self.0 / divisor)
            }
        }
        impl core::ops::Div for $name {
            type Output = f64;
            fn div(self, other: Self) -> f64 {
                self.0 / other.0
            }
        }
        impl core::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(all: I) -> Self {
                Self(all.map(|x| x.0).sum())
            }
        }
    };
}
pub(crate) use amount;

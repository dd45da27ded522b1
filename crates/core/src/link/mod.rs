//! Share links: a setup's preset values in the fragment of an address, `#v=1&key=value…&z=count`.
//!
//! The keys stand in one table ([`TABLE`]) and mean the same for ever, whatever the page's own starting values become.
//! Lengths are always in mm, temperatures in °C, numbers with a point. Values at their default are left out. The last
//! pair, `z`, counts the pairs before it, so that a link that was cut is noticed.
//!
//! A link never overwrites: what it brings is offered as a new setup, its exposure time empty.

mod baths;
mod decode;
mod encode;
mod pairs;
mod parts;
mod percent;
mod qr;
mod readings;
mod table;
mod values;

pub use decode::{LONGEST, Linked, decode};
pub use encode::{Outgoing, encode};
pub use qr::{Qr, QrError, qr};
pub use table::{Field, Form, TABLE, table_hash};

#[cfg(all(test, not(target_arch = "wasm32")))]
mod tests;

/// Version of the link, in its first pair.
pub const VERSION: u32 = 1;

/// What a setup that came with a link says of its origin.
pub const ORIGIN: &str = "From a link: a starting point, not measured in your room.";

/// Whether a fragment (with or without `#`) is meant to be a share link.
#[must_use]
pub fn is_link(fragment: &str) -> bool {
    fragment.strip_prefix('#').unwrap_or(fragment).starts_with("v=")
}

//! The tone station.

use sorrel_core::entry;
use sorrel_core::show::decimals;
use sorrel_core::tone::Tone;
use wasm_bindgen::prelude::*;
use web_sys::{Element, PointerEvent};

use super::{Of, of, pointing};
use crate::dom;

pub(super) static ROOM: Of<Tone> = of(false, |section| on_scan(section, "scan."));

/// Corners of a field of patches.
const CORNERS: usize = 4;
/// Corners of a box: opposite ones.
const BOX: usize = 2;

/// A tap on the scan adds a corner to the field that was chosen, among those whose names begin so; after the last a new
/// round begins.
pub(super) fn on_scan(section: &Element, names: &'static str) {
    let Some(picture) = dom::within(section, "[data-draw=\"scan\"]") else { return };
    let (section, at) = (section.clone(), picture.clone());
    dom::listen(&picture, "pointerup", move |event| {
        let Some(event) = event.dyn_ref::<PointerEvent>().filter(|p| p.is_primary() && p.button() == 0)
        else {
            return;
        };
        let Some((x, y)) = place(&at, event) else { return };
        let tapped = |what: &str| {
            let input = format!("input[name=\"{names}tap\"][value=\"{what}\"]:checked");
            dom::within(&section, &input).is_some()
        };
        let (what, most) = if tapped("masked") {
            ("masked", BOX)
        } else {
            (if tapped("scale") { "scale" } else { "marks" }, CORNERS)
        };
        let name = &format!("{names}{what}");
        let Some(field) = pointing::input(&section, name) else { return };
        let before = field.value();
        let corners: Vec<&str> = before.split(';').map(str::trim).filter(|c| !c.is_empty()).collect();
        let kept = if corners.len() >= most { "" } else { before.trim() };
        let join = if kept.is_empty() { "" } else { "; " };
        field.set_value(&format!("{kept}{join}{} {}", decimals(x, 0), decimals(y, 0)));
        pointing::typed(&section, name);
    });
}

/// Where a tap lies, in pixels of the file: the outlines over the picture are drawn in those.
fn place(picture: &Element, event: &PointerEvent) -> Option<(f64, f64)> {
    let view = dom::within(picture, "svg")?.get_attribute("viewBox")?;
    let mut sizes = view.split_whitespace().skip(2).filter_map(|n| Some(entry::parse(n).ok()?.value));
    let (width, height) = (sizes.next()?, sizes.next()?);
    let shown = dom::within(picture, "canvas")?.get_bounding_client_rect();
    let part = |a: i32, start: f64, size: f64| ((f64::from(a) - start) / size.max(1.0)).clamp(0.0, 1.0);
    Some((
        part(event.client_x(), shown.left(), shown.width()) * width,
        part(event.client_y(), shown.top(), shown.height()) * height,
    ))
}

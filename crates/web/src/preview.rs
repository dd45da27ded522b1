//! Previews: a small proxy of the picture, drawn through the correction. Never the pixels of a film.

use sorrel_core::negative::Crop;
use wasm_bindgen::Clamped;
use wasm_bindgen::prelude::*;
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement, HtmlElement, ImageData};

use crate::dom;

/// A part of the proxy, in whole pixels.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(crate) struct Part {
    left: usize,
    top: usize,
    width: usize,
    height: usize,
}

impl Part {
    /// The pixels of a part given in fractions; at least one.
    pub(crate) fn of(crop: Crop, width: u32, height: u32) -> Self {
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "clamped to the proxy's size"
        )]
        let cut = |start: f64, share: f64, all: u32| {
            let first = (start * f64::from(all)).clamp(0.0, f64::from(all) - 1.0) as usize;
            let count = (share * f64::from(all)).round().clamp(1.0, f64::from(all)) as usize;
            (first, count.min(all as usize - first))
        };
        let (left, across) = cut(crop.left, crop.width, width.max(1));
        let (top, down) = cut(crop.top, crop.height, height.max(1));
        Self { left, top, width: across, height: down }
    }

    /// The rows of the part in a picture of rows of `stride` (at least 1) pixels.
    pub(crate) fn rows(self, stride: u32, lightness: &[u8]) -> impl Iterator<Item = &[u8]> {
        let rows = lightness.chunks_exact(stride.max(1) as usize).skip(self.top).take(self.height);
        rows.map(move |row| row.get(self.left..self.left + self.width).unwrap_or(row))
    }
}

/// Lays the frame that can be dragged over the part that is used.
pub(crate) fn frame(used: Crop) {
    for frame in dom::everywhere("[data-draw=\"crop\"] .frame") {
        let Ok(frame) = frame.dyn_into::<HtmlElement>() else { continue };
        let sides = [("left", used.left), ("top", used.top), ("width", used.width), ("height", used.height)];
        for (side, share) in sides {
            // Fails only for properties that are none.
            let _ = frame.style().set_property(side, &format!("{:.2}%", share * 100.0));
        }
    }
}

/// Draws a part of the proxy into every canvas of that name, each lightness byte through `shade`, mirrored if asked.
pub(crate) fn draw(
    name: &str,
    stride: u32,
    lightness: &[u8],
    part: Part,
    mirrored: bool,
    shade: impl Fn(u8) -> u8,
) {
    let canvases = dom::everywhere(&format!("canvas[data-canvas=\"{name}\"]"));
    if canvases.is_empty() || stride == 0 {
        return;
    }
    let table: Vec<u8> = (0..=255).map(shade).collect();
    let mut pixels = Vec::with_capacity(part.width * part.height * 4);
    for row in part.rows(stride, lightness) {
        let mut put = |l: &u8| {
            let v = table.get(usize::from(*l)).copied().unwrap_or(0);
            pixels.extend([v, v, v, 255]);
        };
        if mirrored {
            row.iter().rev().for_each(&mut put);
        } else {
            row.iter().for_each(&mut put);
        }
    }
    let (Ok(width), Ok(height)) = (u32::try_from(part.width), u32::try_from(part.height)) else { return };
    let Ok(image) = ImageData::new_with_u8_clamped_array_and_sh(Clamped(&pixels), width, height) else {
        return;
    };
    for canvas in canvases.into_iter().filter_map(|c| c.dyn_into::<HtmlCanvasElement>().ok()) {
        if (canvas.width(), canvas.height()) != (width, height) {
            canvas.set_width(width);
            canvas.set_height(height);
        }
        let context = canvas.get_context("2d").ok().flatten();
        if let Some(context) = context.and_then(|c| c.dyn_into::<CanvasRenderingContext2d>().ok()) {
            let _ = context.put_image_data(&image, 0.0, 0.0);
        }
    }
}

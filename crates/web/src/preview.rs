//! Previews: a small proxy of the picture, drawn through the correction. Never the pixels of a film.

use wasm_bindgen::Clamped;
use wasm_bindgen::prelude::*;
use web_sys::{CanvasRenderingContext2d, HtmlCanvasElement, ImageData};

use crate::dom;

/// Draws the proxy into every canvas of that name, each lightness byte through `shade`, mirrored if asked.
pub(crate) fn draw(
    name: &str,
    width: u32,
    height: u32,
    lightness: &[u8],
    mirrored: bool,
    shade: impl Fn(u8) -> u8,
) {
    let canvases = dom::everywhere(&format!("canvas[data-canvas=\"{name}\"]"));
    if canvases.is_empty() || width == 0 {
        return;
    }
    let table: Vec<u8> = (0..=255).map(shade).collect();
    let mut pixels = Vec::with_capacity(lightness.len() * 4);
    for row in lightness.chunks_exact(width as usize) {
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

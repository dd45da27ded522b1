//! The sheet to scale: picture, border, strip, coated edge.

use super::Sheet;
use super::area::STRIP;
use crate::negative::foot;
use crate::quantity::Length;
use crate::show::Units;
use crate::svg::{Anchor, Svg};

/// Longer side of the drawing, in its own units.
const LONG: f64 = 420.0;
/// Room for the sizes.
const ROOM: f64 = 34.0;

/// Draws a sheet to scale, with its sizes in the printer's units.
#[must_use]
pub fn draw(sheet: &Sheet, units: Units) -> String {
    let (w, h) = (sheet.coated_width(), sheet.coated_height());
    let longest = w.to_mm().max(h.to_mm()).max(1e-6);
    let px = |l: Length| l.to_mm() / longest * LONG;
    let by = |a: Length, b: Length| format!("{} × {}", units.length_field(a), units.length(b));
    let mut what = format!("The picture is {}", by(sheet.width, sheet.height));
    for (name, l) in [("border", sheet.border), ("margin", sheet.margin)] {
        if l.to_mm() > 0.0 {
            what.push_str(&format!(", {name} {} on each side", units.length(l)));
        }
    }
    if sheet.strip.to_mm() > 0.0 {
        what.push_str(&format!(", margin strip {} below", units.length(sheet.strip)));
    }
    what.push_str(&format!("; coated are {}.", by(w, h)));
    let view = [-ROOM, -4.0, px(w) + ROOM + 4.0, px(h) + ROOM + 4.0];
    let mut svg = Svg::new("coat-sheet", view, "The coated sheet, to scale", &what);
    let shape = |svg: &mut Svg, x: f64, y: f64, w: f64, h: f64, class: &str| {
        if sheet.round { svg.path(&oval(x, y, w, h), class) } else { svg.rect(x, y, w, h, class) }
    };
    let round_height = if sheet.round { h - sheet.strip } else { h };
    shape(&mut svg, 0.0, 0.0, px(w), px(round_height), "fill-1 hair");
    let (x, y) = (px(sheet.margin), px(sheet.margin));
    let edge = sheet.border * 2.0;
    if sheet.border.to_mm() > 0.0 {
        let strip = if sheet.round { Length::default() } else { sheet.strip };
        shape(&mut svg, x, y, px(sheet.width + edge), px(sheet.height + strip + edge), "fill-3");
    }
    let (x, y) = (x + px(sheet.border), y + px(sheet.border));
    shape(&mut svg, x, y, px(sheet.width), px(sheet.height), "fill-2 ink");
    if sheet.strip.to_mm() > 0.0 {
        let patch = px(sheet.width) / 7.0;
        // The lower part of the strip's height is patches, the rest the gap above them.
        let patches = foot::STRIP.value / STRIP.value;
        let (top, tall) = (y + px(sheet.height + sheet.strip * (1.0 - patches)), px(sheet.strip * patches));
        svg.group("ink");
        for i in 0..7_u8 {
            svg.rect(x + patch * f64::from(i), top, patch, tall, "fill-2");
        }
        svg.end();
    }
    let middle = (x + px(sheet.width) / 2.0, y + px(sheet.height) / 2.0);
    svg.label(middle.0, middle.1, Anchor::Middle, "label", &by(sheet.width, sheet.height));
    svg.line(0.0, px(h) + 8.0, px(w), px(h) + 8.0, "hair");
    svg.label(px(w) / 2.0, px(h) + 27.0, Anchor::Middle, "label", &units.length(w));
    svg.line(-8.0, 0.0, -8.0, px(h), "hair");
    svg.label_upwards(-12.0, px(h) / 2.0, Anchor::Middle, "label", &units.length(h));
    svg.finish()
}

/// Path of an oval that fills a rectangle.
fn oval(x: f64, y: f64, w: f64, h: f64) -> String {
    let [left, right, middle] = [x, x + w, y + h / 2.0].map(|v| crate::show::decimals(v, 2));
    let radii = [w / 2.0, h / 2.0].map(|r| crate::show::decimals(r, 2)).join(" ");
    format!("M{left} {middle}A{radii} 0 0 1 {right} {middle}A{radii} 0 0 1 {left} {middle}Z")
}

#[cfg(all(test, not(target_arch = "wasm32")))]
mod tests {
    use super::*;
    use crate::show::LengthUnit;
    use expect_test::expect;

    #[test]
    fn a_sheet_with_border_and_strip() {
        let mm = Length::from_mm;
        let sheet = Sheet {
            width: mm(203.0),
            height: mm(254.0),
            border: mm(5.0),
            strip: mm(13.0),
            margin: mm(10.0),
            round: false,
        };
        expect![[r#"
            <svg xmlns="http://www.w3.org/2000/svg" viewBox="-34 -4 367.49 458" role="img" aria-labelledby="coat-sheet-title coat-sheet-desc">
            <title id="coat-sheet-title">The coated sheet, to scale</title>
            <desc id="coat-sheet-desc">The picture is 203 × 254 mm, border 5 mm on each side, margin 10 mm on each side, margin strip 13 mm below; coated are 233 × 297 mm.</desc>
            <rect class="fill-1 hair" x="0" y="0" width="329.49" height="420"/>
            <rect class="fill-3" x="14.14" y="14.14" width="301.21" height="391.72"/>
            <rect class="fill-2 ink" x="21.21" y="21.21" width="287.07" height="359.19"/>
            <g class="ink">
            <rect class="fill-2" x="21.21" y="384.65" width="41.01" height="14.14"/>
            <rect class="fill-2" x="62.22" y="384.65" width="41.01" height="14.14"/>
            <rect class="fill-2" x="103.23" y="384.65" width="41.01" height="14.14"/>
            <rect class="fill-2" x="144.24" y="384.65" width="41.01" height="14.14"/>
            <rect class="fill-2" x="185.25" y="384.65" width="41.01" height="14.14"/>
            <rect class="fill-2" x="226.26" y="384.65" width="41.01" height="14.14"/>
            <rect class="fill-2" x="267.27" y="384.65" width="41.01" height="14.14"/>
            </g>
            <text class="label" x="164.75" y="200.81" text-anchor="middle">203 × 254 mm</text>
            <line class="hair" x1="0" y1="428" x2="329.49" y2="428"/>
            <text class="label" x="164.75" y="447" text-anchor="middle">233 mm</text>
            <line class="hair" x1="-8" y1="0" x2="-8" y2="420"/>
            <text class="label" x="-12" y="210" text-anchor="middle" transform="rotate(-90 -12 210)">297 mm</text>
            </svg>
        "#]].assert_eq(&draw(&sheet, Units::default()));
    }

    #[test]
    fn a_plain_sheet_in_inches() {
        let zero = Length::from_mm(0.0);
        let (width, height) = (Length::from_inches(10.0), Length::from_inches(8.0));
        let sheet = Sheet {
            width,
            height,
            border: zero,
            strip: zero,
            margin: Length::from_inches(0.5),
            round: false,
        };
        expect![[r#"
            <svg xmlns="http://www.w3.org/2000/svg" viewBox="-34 -4 458 381.64" role="img" aria-labelledby="coat-sheet-title coat-sheet-desc">
            <title id="coat-sheet-title">The coated sheet, to scale</title>
            <desc id="coat-sheet-desc">The picture is 10 × 8 in, margin 0.5 in on each side; coated are 11 × 9 in.</desc>
            <rect class="fill-1 hair" x="0" y="0" width="420" height="343.64"/>
            <rect class="fill-2 ink" x="19.09" y="19.09" width="381.82" height="305.45"/>
            <text class="label" x="210" y="171.82" text-anchor="middle">10 × 8 in</text>
            <line class="hair" x1="0" y1="351.64" x2="420" y2="351.64"/>
            <text class="label" x="210" y="370.64" text-anchor="middle">11 in</text>
            <line class="hair" x1="-8" y1="0" x2="-8" y2="343.64"/>
            <text class="label" x="-12" y="171.82" text-anchor="middle" transform="rotate(-90 -12 171.82)">9 in</text>
            </svg>
        "#]].assert_eq(&draw(&sheet, Units { length: LengthUnit::Inch, ..Units::default() }));
    }
}

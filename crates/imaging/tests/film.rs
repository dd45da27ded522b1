//! Films: polarity, mirroring, marks, grey levels, and the files read back by other decoders.
#![allow(clippy::cast_possible_truncation, reason = "test data are small")]
#![allow(clippy::unwrap_used, reason = "a test may fail")]

use proptest::prelude::*;
use sorrel_core::light::evening::{CODES, SIDE};
use sorrel_imaging::Fault;
use sorrel_imaging::demo_picture::DemoPicture;
use sorrel_imaging::film::{Codes, Even, Film, FilmSpec, Fit, Layout, NODES, STRIP_PERCENT, Sink};
use sorrel_imaging::png_out::{PngWriter, largest_size};
use sorrel_imaging::source::Rows;
use sorrel_imaging::tiff_out::{Page, TiffWriter, file_size};
use std::io::Cursor;
use std::ops::ControlFlow;

/// A picture given as a function of its place.
struct Made<F: FnMut(u32, u32) -> f32> {
    size: (u32, u32),
    next: u32,
    y: F,
}

impl<F: FnMut(u32, u32) -> f32> Rows for Made<F> {
    fn size(&self) -> (u32, u32) {
        self.size
    }

    fn next_row(&mut self, out: &mut [f32]) -> Result<(), Fault> {
        for (x, o) in (0..self.size.0).zip(out.iter_mut()) {
            *o = (self.y)(x, self.next);
        }
        self.next += 1;
        Ok(())
    }
}

/// A sink that keeps the rows.
#[derive(Default)]
struct Kept(Vec<Vec<u16>>, bool);

impl Sink for Kept {
    fn row(&mut self, row: &[u16]) -> Result<(), Fault> {
        self.0.push(row.to_vec());
        Ok(())
    }

    fn finish(&mut self) -> Result<(), Fault> {
        self.1 = true;
        Ok(())
    }
}

fn correction(f: impl Fn(f64) -> f64) -> Vec<f32> {
    (0..NODES).map(|i| f(i as f64 / 4095.0) as f32).collect()
}

fn make(rows: impl Rows + 'static, spec: &FilmSpec, correction: &[f32]) -> (Layout, Vec<Vec<u16>>) {
    let layout = Layout::new(spec, rows.size()).unwrap();
    let film = Film::new(Box::new(rows), layout, correction).unwrap();
    let mut kept = Kept::default();
    let layout = film.write(&mut kept, &mut |_| ControlFlow::Continue(())).unwrap();
    assert!(kept.1 && kept.0.len() == layout.height as usize);
    (layout, kept.0)
}

fn small() -> FilmSpec {
    FilmSpec {
        width_mm: 60.0,
        height_mm: 40.0,
        ppi: 240,
        label: vec!["Film 7".into(), "not measured".into()],
        ..FilmSpec::default()
    }
}

#[test]
fn white_becomes_full_ink_and_black_clear_film() {
    let line = correction(|u| u);
    for (y, value) in [(1.0, 0), (0.0, 65_535)] {
        let (layout, rows) = make(Made { size: (300, 200), next: 0, y: move |_, _| y }, &small(), &line);
        let p = layout.picture;
        for row in &rows[p.y as usize..p.bottom() as usize] {
            let left = (layout.width - p.right()) as usize;
            assert!(row[left..left + p.width as usize].iter().all(|v| *v == value));
        }
    }
}

#[test]
fn the_film_is_the_prints_mirror_image() {
    // White on the left of the picture: on the film the ink is on the right.
    let spec = FilmSpec { border_mm: 0.0, strip: false, bar: false, label: vec![], ..small() };
    let picture = Made { size: (300, 200), next: 0, y: |x, _| if x < 150 { 1.0 } else { 0.0 } };
    let (layout, rows) = make(picture, &spec, &correction(|u| u));
    assert_eq!((layout.width, layout.height), (567, 378));
    for row in &rows {
        assert_eq!((row[0], row[100], row[450], row[566]), (65_535, 65_535, 0, 0));
    }
    // Nothing changes places from top to bottom.
    let picture = Made { size: (300, 200), next: 0, y: |_, y| if y < 100 { 1.0 } else { 0.0 } };
    let (_, rows) = make(picture, &spec, &correction(|u| u));
    assert_eq!((rows[0][300], rows[377][300]), (0, 65_535));
}

#[test]
fn twenty_grey_levels_are_within_two_codes_of_a_calculation_apart() {
    // CIE 015:2018 in f64 from 8-bit sRGB grey as IEC 61966-2-1 defines it, then a bent correction.
    let c = |u: f64| 0.9 * (1.6 * u - 0.6 * u * u);
    let nodes = correction(c);
    for enlarge in [false, true] {
        let spec = FilmSpec { width_mm: 100.0, height_mm: 20.0, ..small() };
        let size = if enlarge { (200, 40) } else { (2000, 400) };
        let step = size.0 / 20;
        let level = move |x: u32| f64::from((x / step) * 255 / 19) / 255.0;
        let light =
            |v: f64| if v <= 0.04045 { v / 12.92 } else { sorrel_core::math::pow((v + 0.055) / 1.055, 2.4) };
        let (layout, rows) =
            make(Made { size, next: 0, y: move |x, _| light(level(x)) as f32 }, &spec, &nodes);
        assert_eq!(layout.enlarges(), enlarge);
        let row = &rows[(layout.picture.y + layout.picture.height / 2) as usize];
        for patch in 0..20 {
            let x = layout.picture.x + (2 * patch + 1) * layout.picture.width / 40;
            let value = row[(layout.width - 1 - x) as usize];
            let y = light(f64::from(patch * 255 / 19) / 255.0);
            let l = if y > 216.0 / 24389.0 {
                1.16 * sorrel_core::math::cbrt(y) - 0.16
            } else {
                y * 24389.0 / 2700.0
            };
            let expected = (65_535.0 * (1.0 - c(l))).round();
            assert!((f64::from(value) - expected).abs() <= 2.0, "{patch}: {value} {expected}");
        }
    }
}

#[test]
fn the_strip_is_raw_ink_in_order_whatever_the_correction() {
    let values = [65_535, 58_982, 52_428, 42_598, 32_768, 19_661, 0];
    for masked in [false, true] {
        for bend in [0.1, 1.0] {
            let spec = FilmSpec { masked_border: masked, ..small() };
            let (layout, rows) = make(DemoPicture::new(90, 60), &spec, &correction(|u| bend * u));
            assert_eq!(layout.strip.len(), STRIP_PERCENT.len());
            for (rect, expected) in layout.strip.iter().zip(values) {
                for y in [rect.y, rect.bottom() - 1] {
                    for x in [rect.x, rect.right() - 1] {
                        assert_eq!(rows[y as usize][(layout.width - 1 - x) as usize], expected);
                    }
                }
            }
            // The ground around it.
            let ground = if masked { 0 } else { 65_535 };
            assert_eq!((rows[0][0], rows[layout.height as usize - 1][0]), (ground, ground));
        }
    }
    let spec = FilmSpec { strip: false, bar: false, label: vec![], ..small() };
    let (layout, _) = make(DemoPicture::new(90, 60), &spec, &correction(|u| u));
    assert!(layout.strip.is_empty() && layout.text.is_empty());
    assert_eq!(layout.height, layout.picture.height + 2 * layout.picture.y);
}

#[test]
fn label_and_bar_read_the_right_way_round_on_the_print() {
    let (layout, rows) = make(DemoPicture::new(90, 60), &small(), &correction(|u| u));
    let print = |x: u32, y: u32| rows[y as usize][(layout.width - 1 - x) as usize];
    let bar = layout.bar.unwrap();
    for x in 0..layout.width {
        let ink = print(x, bar.y) == 0;
        assert!(ink == (bar.x..bar.right()).contains(&x) || x > bar.right() + 10, "{x}");
    }
    // The F of "Film": its stem is at the left, the pixel column at its right is clear below the arms.
    let f = &layout.text[0];
    assert!(f.text.starts_with("Film"));
    let low = f.y + f.capital - 2;
    assert_eq!((print(f.x + 1, low), print(f.x + f.capital / 2, low)), (0, 65_535));
    assert_eq!(print(f.x + f.capital / 2, f.y + 1), 0);
}

#[test]
fn the_filled_corner_lies_far_left_whichever_way_the_film_lies() {
    let plain = Layout::new(&small(), (90, 60)).unwrap();
    // Where the picture's top points, and which corner is then far left as the print is seen: a quarter turn to the right
    // brings the lower left corner there, half a turn the lower right.
    for (top, right, lower) in
        [("far", false, false), ("right", false, true), ("near", true, true), ("left", true, false)]
    {
        for (masked_border, border_mm) in [(false, 6.0), (true, 6.0), (false, 2.5)] {
            let spec = FilmSpec { top: top.into(), masked_border, border_mm, ..small() };
            let (layout, rows) = make(DemoPicture::new(90, 60), &spec, &correction(|u| u));
            let (without, bare) = make(
                DemoPicture::new(90, 60),
                &FilmSpec { top: String::new(), ..spec.clone() },
                &correction(|u| u),
            );
            assert_eq!(Layout { corner: None, ..layout.clone() }, without, "all else stays where it was");
            let ink = if masked_border { 65_535 } else { 0 };
            let mm = |mm: f64| (mm / 25.4 * f64::from(layout.ppi)).round() as u32;
            // On the way from the corner inwards: inside the triangle, and beyond it.
            let (near, deep) = (mm(border_mm / 4.0), mm(0.8 * border_mm));
            for (at_right, at_lower) in [(false, false), (true, false), (true, true), (false, true)] {
                let there = |inside: u32| {
                    let x = if at_right { layout.width - 1 - inside } else { inside };
                    let y = if at_lower { layout.height - 1 - inside } else { inside };
                    rows[y as usize][(layout.width - 1 - x) as usize]
                };
                assert_eq!(
                    there(near) == ink,
                    (at_right, at_lower) == (right, lower),
                    "{top}: {at_right} {at_lower}"
                );
                assert_ne!(there(deep), ink, "{top}: the triangle points outwards");
                assert_ne!(there(0), ink, "{top}: not at the very edge");
            }
            // Nothing but one triangle differs from the film without it.
            let marked = rows.concat().iter().zip(bare.concat()).filter(|(a, b)| **a != *b).count();
            let side = mm(4.0_f64.min(0.75 * border_mm)) as usize;
            assert_eq!(marked, side * (side + 1) / 2);
        }
    }
    assert_eq!(plain.corner, None);
    let narrow = FilmSpec { top: "far".into(), border_mm: 1.5, ..small() };
    let narrow = Layout::new(&narrow, (90, 60)).unwrap();
    assert_eq!(narrow.corner, None);
    assert!(
        narrow.notes.iter().any(|n| n.contains("too narrow for the filled corner")),
        "{:?}",
        narrow.notes
    );
}

#[test]
fn cancelling_and_odd_input_end_with_a_fault() {
    let layout = Layout::new(&small(), (90, 60)).unwrap();
    let film = Film::new(Box::new(DemoPicture::new(90, 60)), layout.clone(), &correction(|u| u)).unwrap();
    let mut calls = 0;
    let result = film.write(&mut Kept::default(), &mut |done| {
        calls += 1;
        assert!((0.0..1.0).contains(&done));
        if calls == 3 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    });
    assert_eq!(result.map(|_| ()), Err(Fault::Cancelled));
    assert!(Film::new(Box::new(DemoPicture::new(90, 60)), layout, &[0.5; 7]).is_err());
}

#[test]
fn a_crop_shows_its_part() {
    let fit = Fit::Crop { left: 0.5, top: 0.0, width: 0.5, height: 1.0 };
    let spec = FilmSpec { width_mm: 30.0, height_mm: 40.0, fit, ..small() };
    let picture = Made { size: (300, 200), next: 0, y: |x, _| if x < 150 { 1.0 } else { 0.0 } };
    let (layout, rows) = make(picture, &spec, &correction(|u| u));
    let p = layout.picture;
    let row = &rows[(p.y + 10) as usize];
    // All black, but for what the filter carries over the crop's edge.
    assert_eq!(row[(layout.width - 1 - (p.x + 8)) as usize], 65_535);
    assert_eq!(row[(layout.width - 1 - (p.right() - 1)) as usize], 65_535);
}

fn write_both(page: &Page, rows: &[Vec<u16>]) -> (Vec<u8>, Vec<u8>) {
    let mut tiff = TiffWriter::new(Vec::new(), page.clone()).unwrap();
    let mut png = PngWriter::new(Vec::new(), page.clone()).unwrap();
    for row in rows {
        tiff.row(row).unwrap();
        png.row(row).unwrap();
    }
    tiff.finish().unwrap();
    png.finish().unwrap();
    (tiff.into_inner(), png.into_inner())
}

fn read_png(bytes: &[u8]) -> (png::Info<'static>, Vec<u16>) {
    let mut reader = png::Decoder::new(Cursor::new(bytes)).read_info().unwrap();
    let mut out = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut out).unwrap();
    reader.finish().unwrap();
    let values = out.as_chunks::<2>().0.iter().map(|b| u16::from_be_bytes(*b)).collect();
    (reader.info().clone(), values)
}

fn read_tiff(bytes: &[u8]) -> (tiff::decoder::Decoder<Cursor<&[u8]>>, Vec<u16>) {
    let mut decoder = tiff::decoder::Decoder::new(Cursor::new(bytes)).unwrap();
    let tiff::decoder::DecodingResult::U16(values) = decoder.read_image().unwrap() else {
        panic!("not 16 bits");
    };
    (decoder, values)
}

#[test]
fn files_carry_size_resolution_and_description() {
    let (layout, rows) = make(DemoPicture::new(90, 60), &small(), &correction(|u| u));
    for ppi in [240, 360, 720, 1440] {
        let page = Page {
            width: layout.width,
            height: layout.height,
            ppi,
            description: "Film 7 – negative: 0 = full ink".into(),
        };
        let (tiff, png) = write_both(&page, &rows);
        assert_eq!(tiff.len() as u64, file_size(&page).unwrap());
        let plain: Vec<u16> = rows.concat();
        let (info, values) = read_png(&png);
        assert!(values == plain);
        assert_eq!((info.width, info.height), (layout.width, layout.height));
        assert_eq!((info.color_type, info.bit_depth), (png::ColorType::Grayscale, png::BitDepth::Sixteen));
        let dims = info.pixel_dims.unwrap();
        assert_eq!(dims.unit, png::Unit::Meter);
        assert_eq!(f64::from(dims.xppu), (f64::from(ppi) / 0.0254).round());
        assert!(info.uncompressed_latin1_text.iter().any(|t| t.text == "Film 7 - negative: 0 = full ink"));
        let (mut decoder, values) = read_tiff(&tiff);
        assert!(values == plain);
        use tiff::tags::Tag;
        let text = decoder.get_tag_ascii_string(Tag::ImageDescription).unwrap();
        assert_eq!(text, "Film 7 - negative: 0 = full ink");
        assert_eq!(decoder.get_tag_ascii_string(Tag::Software).unwrap(), "Sorrel");
        for (tag, value) in [
            (Tag::PhotometricInterpretation, 1),
            (Tag::ResolutionUnit, 2),
            (Tag::BitsPerSample, 16),
            (Tag::Compression, 1),
        ] {
            assert_eq!(decoder.get_tag_u32(tag).unwrap(), value);
        }
        for tag in [Tag::XResolution, Tag::YResolution] {
            assert_eq!(decoder.get_tag_u32_vec(tag).unwrap(), [ppi, 1]);
        }
    }
}

#[test]
fn too_large_a_tiff_is_refused_before_it_is_begun() {
    let page = Page { width: 60_000, height: 40_000, ppi: 720, description: String::new() };
    let fault = TiffWriter::new(Vec::new(), page).map(|_| ()).unwrap_err();
    assert!(fault.culprit() == "limit" && fault.to_string().contains("4.80 GB"), "{fault}");
}

#[test]
fn missing_rows_are_noticed() {
    let page = Page { width: 3, height: 2, ppi: 360, description: String::new() };
    let mut tiff = TiffWriter::new(Vec::new(), page.clone()).unwrap();
    tiff.row(&[1, 2, 3]).unwrap();
    assert!(tiff.finish().is_err());
    assert!(PngWriter::new(Vec::new(), page).unwrap().finish().is_err());
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 60, ..ProptestConfig::default() })]

    /// Any content comes back: noise, runs of clear film of any length, steep histograms.
    #[test]
    fn any_rows_come_back((w, h) in (1_u32..400, 1_u32..700), kind in 0_u8..4, seed: u32) {
        let mut state = seed | 1;
        let mut next = move || {
            state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            state >> 8
        };
        let rows: Vec<Vec<u16>> = (0..h).map(|y| (0..w).map(|x| match kind {
            0 => next() as u16,
            1 => if next() % 997 == 0 { next() as u16 } else { 65_535 },
            2 => (x * 7 + y * 3) as u16 ^ (next() % 4) as u16,
            _ => 1_u16 << (next().trailing_ones().min(15)),
        }).collect()).collect();
        let page = Page { width: w, height: h, ppi: 360, description: String::new() };
        let (tiff, png) = write_both(&page, &rows);
        let plain: Vec<u16> = rows.concat();
        prop_assert!(png.len() as u64 <= largest_size(&page));
        prop_assert!(read_png(&png).1 == plain);
        prop_assert!(read_tiff(&tiff).1 == plain);
    }
}

/// A map whose light rises from the print's left edge to its right, by `levels` levels; each level inks a hundredth more.
fn rising(levels: u16) -> Even {
    let net = (0..SIDE * SIDE).map(|k| f32::from(levels) * (k % SIDE) as f32 / (SIDE - 1) as f32).collect();
    let code = |k: usize| ((k % CODES) as f32 / 256.0 + 0.01 * (k / CODES + 1) as f32).min(1.0);
    Even { net, codes: (0..usize::from(levels) * CODES).map(code).collect() }
}

fn evened(even: &Even, spec: &FilmSpec, grey: f32) -> (Layout, Vec<Vec<u16>>) {
    let rows = Made { size: (300, 200), next: 0, y: move |_, _| grey };
    let layout = Layout::new(spec, rows.size()).unwrap();
    let codes = Codes::new(&correction(|u| 0.8 * u)).unwrap().evened(even).unwrap();
    let mut kept = Kept::default();
    let layout =
        Film::of(Box::new(rows), layout, codes).write(&mut kept, &mut |_| ControlFlow::Continue(())).unwrap();
    (layout, kept.0)
}

#[test]
fn a_film_that_evens_nothing_is_the_same_to_the_last_bit() {
    let plain = |even: &Even| {
        let rows = DemoPicture::new(150, 100);
        let layout = Layout::new(&small(), rows.size()).unwrap();
        let codes = Codes::new(&correction(|u| 0.9 * (1.6 * u - 0.6 * u * u))).unwrap().evened(even).unwrap();
        let mut kept = Kept::default();
        Film::of(Box::new(rows), layout, codes).write(&mut kept, &mut |_| ControlFlow::Continue(())).unwrap();
        kept.0
    };
    let (_, before) =
        make(DemoPicture::new(150, 100), &small(), &correction(|u| 0.9 * (1.6 * u - 0.6 * u * u)));
    assert!(plain(&Even::default()) == before);
    // Levels are there, and no place has more light than the dimmest.
    assert!(plain(&Even { net: vec![0.0; SIDE * SIDE], ..rising(3) }) == before);
}

#[test]
fn more_light_on_the_prints_right_is_more_ink_on_the_films_left_and_only_in_the_picture() {
    for grey in [0.0, 0.18, 1.0] {
        let (layout, plain) = evened(&Even::default(), &small(), grey);
        let (_, film) = evened(&rising(5), &small(), grey);
        let p = layout.picture;
        let (left, right) = ((layout.width - p.right()) as usize, (layout.width - p.x) as usize);
        for (y, (row, before)) in film.iter().zip(&plain).enumerate() {
            if !(p.y as usize..p.bottom() as usize).contains(&y) {
                assert!(row == before, "strip, label and border stay what they are");
                continue;
            }
            assert!(row[..left] == before[..left] && row[right..] == before[right..]);
            let ink = |row: &[u16], x: usize| f64::from(65_535 - row[x]) / 65_535.0;
            let (most, least) =
                (ink(row, left) - ink(before, left), ink(row, right - 1) - ink(before, right - 1));
            assert!((most - 0.05).abs() < 2e-4 && least.abs() < 2e-4, "{most} {least}");
            // Without a step: over 567 pixels five hundredths of the ink are 6 codes a pixel.
            assert!(row[left..right].windows(2).all(|w| w[0] <= w[1] && w[1] - w[0] <= 7));
        }
        assert!(film[p.y as usize] == film[p.bottom() as usize - 1]);
    }
}

#[test]
fn light_from_the_far_edge_to_the_near_one_keeps_its_way() {
    let even = rising(4);
    let turned =
        Even { net: (0..SIDE * SIDE).map(|k| even.net[k % SIDE * SIDE + k / SIDE]).collect(), ..even };
    let (layout, film) = evened(&turned, &small(), 0.18);
    let p = layout.picture;
    let x = (layout.width - p.right() + p.width / 2) as usize;
    let ink = |y: u32| 65_535 - film[y as usize][x];
    assert!(ink(p.bottom() - 1) > ink(p.y) + 2000);
    assert!((p.y + 1..p.bottom()).all(|y| ink(y) >= ink(y - 1)));
}

#[test]
fn odd_maps_are_refused() {
    let codes = || Codes::new(&correction(|u| u)).unwrap();
    for bad in [
        Even { net: vec![0.0; 5], ..rising(2) },
        Even { codes: vec![0.5; CODES + 1], ..rising(1) },
        Even { codes: vec![], ..rising(1) },
        Even { codes: vec![f32::NAN; CODES], ..rising(1) },
        Even { net: vec![9.0; SIDE * SIDE], ..rising(2) },
        Even { net: vec![f32::NAN; SIDE * SIDE], ..rising(2) },
        Even { net: vec![0.0; SIDE * SIDE], codes: vec![0.5; 100 * CODES] },
    ] {
        assert_eq!(codes().evened(&bad).map(|_| ()).unwrap_err().culprit(), "caller");
    }
}

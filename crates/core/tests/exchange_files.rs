//! The correction in files for other programs; the sources stand in `tests/reference/*/README.md`.
#![allow(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "a test may fail; its numbers are small"
)]

#[cfg(target_arch = "wasm32")]
use wasm_bindgen_test::wasm_bindgen_test as test;

use serde_json::Value;
use sorrel_core::exchange::carry::{Carry, Polarity};
use sorrel_core::exchange::codes::sixteen;
use sorrel_core::exchange::files::Format;
use sorrel_core::exchange::greys::{GreyTable, Greys};
use sorrel_core::exchange::icc::{self, Channels};
use sorrel_core::exchange::points::{Dialog, propose};
use sorrel_core::exchange::{clf, csv_out, proof};
use sorrel_core::tone::starting::TypicalPrint;
use sorrel_core::tone::{Aim, Correction, Reading, Response, lightness};

const STAMP: icc::Stamp = [2026, 11, 25, 13, 0, 0];
const LINK_GREY: &[u8] = include_bytes!("../../../tests/reference/icc_profiles/link_gray_mab_4096.icc");
const LINK_RGB: &[u8] = include_bytes!("../../../tests/reference/icc_profiles/link_rgb_mab_256.icc");
const GREY: &[u8] = include_bytes!("../../../tests/reference/icc_profiles/grey_output_xyz_4096.icc");

fn u32_at(bytes: &[u8], at: usize) -> usize {
    u32::from_be_bytes(bytes[at..at + 4].try_into().unwrap()) as usize
}

/// A tag of a profile.
fn tag<'a>(profile: &'a [u8], name: &[u8; 4]) -> &'a [u8] {
    let count = u32_at(profile, 128);
    let at = (0..count).map(|i| 132 + 12 * i).find(|&at| &profile[at..at + 4] == name).unwrap();
    let from = u32_at(profile, at + 4);
    assert_eq!(from % 4, 0);
    &profile[from..from + u32_at(profile, at + 8)]
}

fn samples(curve: &[u8]) -> Vec<u16> {
    assert_eq!(&curve[..4], b"curv");
    (0..u32_at(curve, 8)).map(|i| u16::from_be_bytes([curve[12 + 2 * i], curve[13 + 2 * i]])).collect()
}

fn at(samples: &[u16], x: f64) -> f64 {
    let place = x * (samples.len() - 1) as f64;
    let i = (place as usize).min(samples.len() - 2);
    let (a, b) = (f64::from(samples[i]), f64::from(samples[i + 1]));
    (a + (b - a) * (place - i as f64)) / 65535.0
}

fn reference() -> Value {
    serde_json::from_str(include_str!("../../../tests/reference/icc_profiles/icc.json")).unwrap()
}

/// Picture tone and device grey of the reference's curve.
fn reference_points() -> Vec<(f64, f64)> {
    let pair = |p: &Value| (p["u"].as_f64().unwrap(), p["device"].as_f64().unwrap());
    reference()["correction"].as_array().unwrap().iter().map(pair).collect()
}

fn measured() -> Correction {
    with_noise(0.0)
}

/// A correction from readings that stray by up to twice `noise`, L*.
fn with_noise(noise: f64) -> Correction {
    let print = TypicalPrint::new();
    let readings: Vec<Reading> = (0..=60)
        .map(|i| {
            let code = f64::from(i) / 60.0;
            // A bend, and plateaus at both ends.
            let ink = (1.25 * code * code * (1.4 - 0.4 * code) - 0.04).clamp(0.0, 1.0);
            Reading::lightness(code, print.lightness(ink) + noise * f64::from((i * 7) % 5 - 2))
        })
        .collect();
    Correction::from_response(&Response::fit(&readings).unwrap(), Aim::LinearLightness)
}

fn all_greys() -> [Greys; 5] {
    let table = GreyTable::new(&[(0.0, 0.0), (20.0, 30.0), (60.0, 70.0), (100.0, 100.0)]).unwrap();
    [Greys::Lightness, Greys::Srgb, Greys::Gamma18, Greys::Gamma22, Greys::Table(table)]
}

fn carry(correction: &Correction, polarity: Polarity, greys: Greys) -> Carry<'_> {
    Carry { correction, polarity, greys, title: "Warm, cotton rag".into() }
}

#[test]
fn links_are_built_like_those_a_colour_engine_applies_exactly() {
    for (reference, channels, space) in
        [(LINK_GREY, Channels::Grey, b"GRAY"), (LINK_RGB, Channels::Rgb, b"RGB ")]
    {
        let curve = samples(&tag(reference, b"A2B0")[32..]);
        let link = icc::link(channels, &curve, "test", STAMP);
        assert_eq!(u32_at(&link, 0), link.len());
        assert_eq!(tag(&link, b"A2B0"), tag(reference, b"A2B0"));
        assert_eq!(tag(&link, b"cprt")[..8], tag(reference, b"cprt")[..8]);
        // Everything of the head but size, date and identity.
        assert_eq!(link[4..24], reference[4..24]);
        assert_eq!(link[36..84], reference[36..84]);
        assert_eq!(&link[16..20], space);
        assert_eq!(link[84..128], [0; 44]);
        for name in [b"desc", b"cprt", b"A2B0", b"pseq"] {
            assert!(!tag(&link, name).is_empty());
        }
        assert_eq!(u32_at(&link, 128), 4, "no tag that is not required");
    }
    // The curve the engine was tested with is that of the published points.
    let curve = samples(&tag(LINK_GREY, b"A2B0")[32..]);
    for (u, device) in reference_points() {
        assert!((at(&curve, u) - device).abs() < 5e-5, "{u}");
    }
}

#[test]
fn the_grey_profile_is_the_curve_turned_round_with_black_at_zero() {
    let curve = samples(&tag(LINK_GREY, b"A2B0")[32..]);
    let codes: Vec<f64> = curve.iter().map(|&v| f64::from(v) / 65535.0).collect();
    let ours = icc::black_scaled(&codes, 4096);
    let theirs = samples(tag(GREY, b"kTRC"));
    assert_eq!((ours[0], ours[4095]), (0, 65535));
    for (i, (a, b)) in ours.iter().zip(&theirs).enumerate() {
        assert!(a.abs_diff(*b) <= 3, "{i}: {a} {b}");
    }
    let profile = icc::profile(&theirs, "test", STAMP);
    assert_eq!(tag(&profile, b"kTRC"), tag(GREY, b"kTRC"));
    assert_eq!(tag(&profile, b"wtpt"), tag(GREY, b"wtpt"));
    assert_eq!(profile[4..24], GREY[4..24]);
    assert_eq!(profile[36..84], GREY[36..84]);
    assert_eq!(u32_at(&profile, 128), 4);
    // From tone through luminance back to ink, for a correction with plateaus.
    let correction = measured();
    let codes: Vec<f64> = correction.points(4096).into_iter().map(|p| p.1).collect();
    let curve = icc::black_scaled(&codes, 4096);
    assert!(curve.is_sorted() && curve[0] == 0 && curve[4095] == 65535);
    for i in 1..100 {
        let u = f64::from(i) / 100.0;
        let tone = 0.01 * lightness::from_factor(at(&curve, correction.at(u)));
        assert!((tone - u).abs() < 1e-3, "{u} {tone}");
    }
    // Nothing to turn round.
    assert_eq!(icc::black_scaled(&[0.5; 10], 3), [0, sixteen(lightness::to_factor(50.0)), 65535]);
    assert_eq!(icc::black_scaled(&[], 2), [0, 65535]);
}

#[test]
fn tables_follow_the_correction_in_every_encoding_and_polarity() {
    let starting = Correction::starting(Aim::LinearLightness);
    for (correction, smooth) in [(&starting, true), (&measured(), false), (&with_noise(0.2), false)] {
        for greys in all_greys() {
            for polarity in [Polarity::Positive, Polarity::Inverted] {
                let carry = carry(correction, polarity, greys.clone());
                let file = carry.export(Format::LinkGrey, STAMP).unwrap();
                let curve = samples(&tag(&file.bytes, b"A2B0")[32..]);
                let want = |grey: f64| {
                    let ink = correction.at(greys.tone(grey));
                    if polarity == Polarity::Positive { ink } else { 1.0 - ink }
                };
                // Where greys are not L*, an edge of the correction may fall between two entries; the table then cuts it.
                if smooth || greys == Greys::Lightness {
                    for code in 0..=65535_u16 {
                        let grey = f64::from(code) / 65535.0;
                        let error = (at(&curve, grey) - want(grey)).abs();
                        assert!(error < 5e-5, "{greys:?} {polarity:?} {grey} {error}");
                    }
                }
                for (i, &value) in curve.iter().enumerate() {
                    assert_eq!(value, sixteen(want(i as f64 / 4095.0)));
                }
            }
        }
    }
}

/// Dimension and entries of a CLF's table.
fn table(text: &str) -> (usize, Vec<f64>) {
    let from = text.find("<Array dim=\"").unwrap() + 12;
    let size = text[from..].split([' ', '"']).next().unwrap().parse().unwrap();
    let body = &text[text[from..].find('>').unwrap() + from + 1..text.find("</Array>").unwrap()];
    (size, body.split_whitespace().map(|v| v.parse().unwrap()).collect())
}

#[test]
fn clf_holds_the_table_as_the_format_wants_it() {
    let reference: Value =
        serde_json::from_str(include_str!("../../../tests/reference/lut_files/clf.json")).unwrap();
    let (size, theirs) = table(include_str!("../../../tests/reference/lut_files/correction_256.clf"));
    let text = clf::write(&theirs, "a <b> & \"c\"", "x", "in", "out");
    let (dim, ours) = table(&text);
    assert_eq!((dim, ours.len()), (size, size));
    assert!(ours.iter().zip(&theirs).all(|(a, b)| (a - b).abs() <= 5e-9));
    assert!(text.starts_with("<?xml version=\"1.0\" encoding=\"UTF-8\"?>\n<ProcessList id=\"sorrel-"));
    assert!(text.contains(" name=\"a &lt;b&gt; &amp; &quot;c&quot;\" compCLFversion=\"3.0\">"));
    // What the two refused files lack, or say wrongly.
    let (dim, values) = table(include_str!("../../../tests/reference/lut_files/clf_bad_dim.clf"));
    assert_ne!(dim, values.len());
    assert!(
        !include_str!("../../../tests/reference/lut_files/clf_no_version.clf").contains("compCLFversion")
    );

    let curve = samples(&tag(LINK_GREY, b"A2B0")[32..]);
    let values: Vec<f64> = curve.iter().map(|&v| f64::from(v) / 65535.0).collect();
    let (_, ours) = table(&clf::write(&values, "", "", "", ""));
    let numbers = |key: &str| -> Vec<f64> {
        reference[key].as_array().unwrap().iter().map(|v| v.as_f64().unwrap()).collect()
    };
    for (x, want) in numbers("query").into_iter().zip(numbers("expected")) {
        let place = x * 4095.0;
        let i = (place as usize).min(4094);
        let got = ours[i] + (ours[i + 1] - ours[i]) * (place - i as f64);
        assert!((got - want).abs() < 2e-5, "{x}");
        let place = x * 255.0;
        let i = (place as usize).min(254);
        let got = theirs[i] + (theirs[i + 1] - theirs[i]) * (place - i as f64);
        assert!((got - want).abs() < 1e-4, "{x}");
    }
}

#[test]
fn names_and_descriptions_hold_both_answers() {
    let correction = measured();
    let name =
        |format, polarity, greys| carry(&correction, polarity, greys).export(format, STAMP).map(|f| f.name);
    assert_eq!(
        name(Format::LinkGrey, Polarity::Positive, Greys::Srgb).unwrap(),
        "warm-cotton-rag-link-grey-then-invert-srgb.icc"
    );
    assert_eq!(
        name(Format::LinkRgb, Polarity::Inverted, Greys::Gamma22).unwrap(),
        "warm-cotton-rag-link-rgb-inverted-gamma22.icc"
    );
    assert_eq!(
        name(Format::Clf, Polarity::Inverted, Greys::Lightness).unwrap(),
        "warm-cotton-rag-curve-inverted-lstar.clf"
    );
    assert_eq!(
        name(Format::Csv, Polarity::Positive, Greys::Gamma18).unwrap(),
        "warm-cotton-rag-table-then-invert-gamma18.csv"
    );
    let refused = name(Format::Profile, Polarity::Inverted, Greys::Srgb).unwrap_err();
    assert_eq!(refused.text, "A grey profile cannot hold the inversion.");
    assert!(
        name(Format::Profile, Polarity::Positive, Greys::Srgb).unwrap().ends_with("then-invert-srgb.icc")
    );
    let words = carry(&correction, Polarity::Inverted, Greys::Srgb).description();
    assert_eq!(
        words,
        "Warm, cotton rag. Inversion included: apply it to the positive picture, then mirror only. Greys of the picture: \
         sRGB. Correction measured by you (61 readings)."
    );
    // It is in the profile, in UTF-16.
    let file = carry(&correction, Polarity::Inverted, Greys::Srgb).export(Format::LinkGrey, STAMP).unwrap();
    let wide: Vec<u8> = words.encode_utf16().flat_map(u16::to_be_bytes).collect();
    assert!(tag(&file.bytes, b"desc").ends_with(&wide));
    let mut odd = carry(&correction, Polarity::Positive, Greys::Srgb);
    odd.title = "\u{e9}\u{1f5bc}".into();
    assert_eq!(odd.name("table", "csv"), "correction-table-then-invert-srgb.csv");
}

#[test]
fn the_table_of_eight_bits_is_the_correction() {
    let correction = measured();
    let carry = carry(&correction, Polarity::Inverted, Greys::Gamma22);
    let text = csv_out::correction(&carry);
    let lines: Vec<&str> = text.split_terminator("\r\n").collect();
    assert_eq!(lines.len(), 257);
    let cells: Vec<f64> = lines[129].split(',').map(|c| c.parse().unwrap()).collect();
    assert_eq!(cells[0], 128.0);
    assert!((cells[3] + cells[4] - 100.0).abs() < 0.002);
    let u = Greys::Gamma22.tone(128.0 / 255.0);
    assert!((cells[4] - 100.0 * correction.at(u)).abs() < 0.001);
    assert!((cells[5] - correction.expected_lightness(u)).abs() < 0.01);
}

#[test]
fn the_proof_shows_how_each_patch_must_look() {
    let correction = measured();
    let carry = carry(&correction, Polarity::Inverted, Greys::Srgb);
    let [white, middle, black] = proof::patches(&carry);
    assert_eq!((white.grey, black.grey), (65535, 0));
    // sRGB of L* 50 is code 118.9 of 255 (IEC 61966-2-1).
    assert_eq!((f64::from(middle.grey) / 257.0).round(), 119.0);
    assert!(white.ink > middle.ink && middle.ink > black.ink);
    assert!(white.look.starts_with("White: the darkest patch of the film, "));
    for patch in [&white, &middle, &black] {
        // The proof goes the way of the pictures and must come out with this ink.
        let film = carry.at(f64::from(patch.grey) / 65535.0);
        assert!((1.0 - film - patch.ink).abs() < 1e-4);
        assert!(proof::words(&carry).contains(&patch.look));
    }
}

/// Print L* of a dialog that draws straight lines, computed anew: whole numbers in and out, print by the correction.
fn straight_error(carry: &Carry<'_>, full: u16, points: &[sorrel_core::exchange::points::Point]) -> f64 {
    let nodes: Vec<(f64, f64)> = (0..=20_000)
        .map(|i| f64::from(i) / 20_000.0)
        .map(|u| (carry.correction.at(u), carry.correction.expected_lightness(u)))
        .collect();
    let mut worst: f64 = 0.0;
    for i in 0..=4000 {
        let x = f64::from(i) / 4000.0;
        let place = x * f64::from(full);
        let k = points.partition_point(|p| f64::from(p.input) <= place).clamp(1, points.len() - 1);
        let (a, b) = (points[k - 1], points[k]);
        let t = (place - f64::from(a.input)) / f64::from(b.input - a.input);
        let out = (f64::from(a.output) + (f64::from(b.output) - f64::from(a.output)) * t) / f64::from(full);
        let ink = if carry.polarity == Polarity::Inverted { 1.0 - out } else { out };
        let j = nodes.partition_point(|n| n.0 < ink).min(20_000);
        worst = worst.max((nodes[j].1 - carry.correction.expected_lightness(carry.greys.tone(x))).abs());
    }
    worst
}

#[test]
fn points_keep_the_error_below_the_noise_with_few() {
    let mut table = String::new();
    for (name, correction) in [
        ("starting", Correction::starting(Aim::LinearLightness)),
        ("measured", measured()),
        ("noisy", with_noise(0.2)),
    ] {
        for greys in [Greys::Lightness, Greys::Srgb, Greys::Gamma22] {
            for polarity in [Polarity::Positive, Polarity::Inverted] {
                let carry = carry(&correction, polarity, greys.clone());
                let mut counts = Vec::new();
                for (smooth, full) in [(false, 255), (true, 255), (false, 100), (true, 100), (false, 1000)] {
                    let p = propose(&carry, Dialog { most: 40, smooth, full }, 0.6);
                    assert!(p.points.len() >= 2 && p.points.len() <= 40);
                    assert_eq!((p.points[0].input, p.points[p.points.len() - 1].input), (0, full));
                    assert!(p.points.windows(2).all(|w| w[0].input < w[1].input));
                    assert_eq!(p.enough, p.notes.is_empty());
                    assert_eq!(p.enough, p.worst <= 0.6 + 1e-6);
                    if !smooth {
                        let error = straight_error(&carry, full, &p.points);
                        assert!(
                            (error - p.worst).abs() < 0.06,
                            "{name} {greys:?} {full}: {error} {}",
                            p.worst
                        );
                    }
                    assert!(p.enough, "{name} {greys:?} {polarity:?} smooth {smooth}: {}", p.worst);
                    counts.push((p.points.len(), (100.0 * p.worst).round() / 100.0));
                }
                // Nobody knows how a smooth dialog draws: that may cost three points, not more.
                assert!(counts[1].0 <= counts[0].0 + 3, "{counts:?}");
                table += &format!("{name} {} {polarity:?} {counts:?}\n", greys.words());
                // Fewer are not enough: the search is exact where lines are straight.
                let fewest = counts[0].0;
                if fewest > 3 {
                    let fewer = propose(&carry, Dialog { most: fewest - 1, smooth: false, full: 255 }, 0.6);
                    assert!(!fewer.enough && fewer.points.len() < fewest);
                }
            }
        }
    }
    println!("{table}");
}

#[test]
fn a_dialog_that_takes_too_little_is_told() {
    let correction = measured();
    let carry = carry(&correction, Polarity::Positive, Greys::Srgb);
    for smooth in [false, true] {
        let p = propose(&carry, Dialog { most: 0, smooth, full: 100 }, 0.05);
        assert!(!p.enough && p.points.len() <= 3);
        assert!(p.notes[0].text.ends_with("more than the 0.05 L* of one reading."), "{:?}", p.notes);
        let p = propose(&carry, Dialog { most: 99, smooth, full: 5 }, f64::NAN);
        assert_eq!(p.points[p.points.len() - 1].input, 10);
    }
    let p = propose(&carry, Dialog { most: 9, smooth: false, full: 255 }, 0.6);
    let csv = csv_out::points(&p);
    assert!(csv.starts_with("point,in,out\r\n1,0,"));
    assert_eq!(csv.lines().count(), 1 + p.points.len());
}

#[cfg(not(target_arch = "wasm32"))]
mod laws {
    use super::*;
    use proptest::prelude::*;
    use sorrel_core::exchange::points::TAKEN;

    proptest! {
        #![proptest_config(ProptestConfig { cases: 60, failure_persistence: None, ..Default::default() })]

        #[test]
        fn whatever_is_asked_the_points_are_sound(
            most in 0_usize..60, smooth in any::<bool>(), full in 0_u16..2000, noise in -1.0..5.0_f64, greys in 0_usize..5,
            inverted in any::<bool>(), aim in 0_usize..3,
        ) {
            let aim = [Aim::LinearLightness, Aim::AsOnScreen, Aim::LinearDensity][aim].clone();
            let correction = Correction::starting(aim);
            let polarity = if inverted { Polarity::Inverted } else { Polarity::Positive };
            let carry = carry(&correction, polarity, all_greys()[greys].clone());
            let p = propose(&carry, Dialog { most, smooth, full }, noise);
            let full = full.clamp(10, 1000);
            prop_assert!((2..=most.clamp(TAKEN.0, TAKEN.1)).contains(&p.points.len()));
            prop_assert!(p.worst.is_finite() && p.enough == p.notes.is_empty());
            prop_assert!(p.points.windows(2).all(|w| w[0].input < w[1].input));
            prop_assert!(p.points.iter().all(|q| q.output <= full));
            let ends = (p.points[0].output, p.points[p.points.len() - 1].output);
            prop_assert_eq!(ends, if inverted { (full, 0) } else { (0, full) });
        }

        #[test]
        fn grey_tables_of_any_text(text in "[0-9 ,;.\\n\\t%a-]{0,60}") {
            if let Ok(table) = GreyTable::parse(&text) {
                let greys = Greys::Table(table);
                for i in 0..=50 {
                    let grey = f64::from(i) / 50.0;
                    prop_assert!((0.0..=1.0).contains(&greys.tone(grey)) && (0.0..=1.0).contains(&greys.grey(grey)));
                }
            }
        }

        #[test]
        fn any_title_makes_sound_files(title in "\\PC{0,300}") {
            let correction = Correction::starting(Aim::AsOnScreen);
            let mut carry = carry(&correction, Polarity::Inverted, Greys::Gamma18);
            carry.title = title;
            for format in [Format::LinkGrey, Format::LinkRgb, Format::Clf, Format::Csv] {
                let file = carry.export(format, STAMP).unwrap();
                prop_assert!(file.name.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit() || "-.".contains(c)));
                if format == Format::LinkGrey {
                    prop_assert_eq!(u32_at(&file.bytes, 0), file.bytes.len());
                    prop_assert_eq!(tag(&file.bytes, b"A2B0").len(), 8236);
                }
            }
        }
    }
}

//! Little CMS as a witness: its `transicc` and `tificc` apply our links and profile, and read our CGATS text.
//!
//! Where they are not installed (Debian: liblcms2-utils) these tests say so, and the stored results stand in: core's tests
//! hold our link byte for byte to the one they were measured with (`tests/reference/icc_profiles`,
//! `tests/reference/cmm_precalculation`), and our CGATS text to the one that was loaded (`tests/reference/cgats`).
#![allow(clippy::unwrap_used, clippy::cast_possible_truncation, reason = "a test may fail")]

use sorrel_core::exchange::carry::{Carry, Polarity};
use sorrel_core::exchange::cgats;
use sorrel_core::exchange::codes::sixteen;
use sorrel_core::exchange::files::Format;
use sorrel_core::exchange::greys::{GreyTable, Greys};
use sorrel_core::exchange::proof;
use sorrel_core::tone::instrument::{Instrument, Kind};
use sorrel_core::tone::readings::Row;
use sorrel_core::tone::starting::TypicalPrint;
use sorrel_core::tone::{Aim, Correction, Quantity, Reading, Response};
use sorrel_imaging::png_out::PngWriter;
use sorrel_imaging::proof as imaging_proof;
use sorrel_imaging::tiff_out::TiffWriter;
use std::io::{Cursor, Write};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};
use tiff::encoder::colortype::{Gray16, RGB16};

/// Largest error of a link, as a part of full scale.
const LINK: f64 = 1e-4;

/// Slope at which half a 16-bit grey comes near the tolerance.
const STEEP: f64 = LINK * 2.0 * 65535.0;

/// Whether a tool runs here; says so if not.
fn installed(tool: &str) -> bool {
    let runs = Command::new(tool).arg("--help").stdout(Stdio::null()).stderr(Stdio::null()).status().is_ok();
    if !runs {
        eprintln!("{tool} is not installed (Debian: liblcms2-utils): the stored results stand in.");
    }
    runs
}

fn folder(name: &str) -> PathBuf {
    let folder = std::env::temp_dir().join(format!("sorrel-{name}-{}", std::process::id()));
    std::fs::create_dir_all(&folder).unwrap();
    folder
}

/// What the tool prints for these lines, as numbers.
fn transicc(arguments: &[&str], lines: &str) -> Vec<f64> {
    let mut child = Command::new("transicc")
        .arg("-n")
        .args(arguments)
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .unwrap();
    let mut input = child.stdin.take().unwrap();
    let lines = lines.to_owned();
    let writer = std::thread::spawn(move || input.write_all(lines.as_bytes()));
    let output = child.wait_with_output().unwrap();
    writer.join().unwrap().unwrap();
    String::from_utf8_lossy(&output.stdout).split_whitespace().filter_map(|v| v.parse().ok()).collect()
}

fn starting() -> Correction {
    Correction::starting(Aim::LinearLightness)
}

/// A response with a bend and plateaus, read with a scatter of up to twice `noise`, L*.
fn measured(noise: f64, aim: Aim) -> Correction {
    let print = TypicalPrint::new();
    let readings: Vec<Reading> = (0..=60)
        .map(|i| {
            let code = f64::from(i) / 60.0;
            let ink = (1.25 * code * code * (1.4 - 0.4 * code) - 0.04).clamp(0.0, 1.0);
            Reading::lightness(code, print.lightness(ink) + noise * f64::from((i * 7) % 5 - 2))
        })
        .collect();
    Correction::from_response(&Response::fit(&readings).unwrap(), aim)
}

fn carry(correction: &Correction, polarity: Polarity, greys: Greys) -> Carry<'_> {
    Carry { correction, polarity, greys, title: "Warm".into() }
}

/// Every link that is tried: a smooth correction in all encodings, measured ones in L*, where their table is exact.
fn carries(corrections: &[Correction; 3]) -> Vec<Carry<'_>> {
    let table = GreyTable::new(&[(0.0, 0.0), (20.0, 30.0), (60.0, 70.0), (100.0, 100.0)]).unwrap();
    let mut all = Vec::new();
    for polarity in [Polarity::Positive, Polarity::Inverted] {
        for measured in &corrections[1..] {
            all.push(carry(measured, polarity, Greys::Lightness));
        }
        for greys in
            [Greys::Lightness, Greys::Srgb, Greys::Gamma18, Greys::Gamma22, Greys::Table(table.clone())]
        {
            all.push(carry(&corrections[0], polarity, greys));
        }
    }
    all
}

/// Error of what came out for a grey. The engine counts greys in 16 bits: for a correction so steep that half a step of them
/// is more than the tolerance, that half step is granted.
fn error(carry: &Carry<'_>, grey: f64, got: f64) -> f64 {
    let step = if carry.correction.steepest().value > STEEP { 0.5 / 65535.0 } else { 0.0 };
    let (a, b) = (carry.at(grey - step), carry.at(grey + step));
    (a.min(b) - got).max(got - a.max(b)).max(0.0)
}

fn export(carry: &Carry<'_>, format: Format, folder: &Path) -> String {
    let file = carry.export(format, [2026, 11, 25, 12, 0, 0]).unwrap();
    let path = folder.join(&file.name);
    std::fs::write(&path, file.bytes).unwrap();
    path.to_str().unwrap().to_owned()
}

#[test]
fn transicc_gives_our_correction_from_our_links() {
    if !installed("transicc") {
        return;
    }
    let folder = folder("transicc");
    let corrections = [starting(), measured(0.0, Aim::AsOnScreen), measured(0.2, Aim::LinearLightness)];
    let greys: Vec<f64> = (0..=1020).map(|i| f64::from(i) / 1020.0).collect();
    for carry in carries(&corrections) {
        for (format, channels) in [(Format::LinkGrey, 1), (Format::LinkRgb, 3)] {
            let path = export(&carry, format, &folder);
            let line = |g: &f64| format!("{}\n", vec![(255.0 * g).to_string(); channels].join(" "));
            let lines: String = greys.iter().map(line).collect();
            // Its own tables off, normal and high.
            for precalculation in ["-c0", "-c1", "-c2"] {
                let got = transicc(&[precalculation, &format!("-l{path}")], &lines);
                assert_eq!(got.len(), greys.len() * channels, "{path}");
                let worst = greys
                    .iter()
                    .zip(got.chunks(channels))
                    .flat_map(|(&g, got)| got.iter().map(move |v| (g, v / 255.0)))
                    .map(|(g, v)| error(&carry, g, v))
                    .fold(0.0, f64::max);
                assert!(worst <= LINK, "{path} {precalculation}: {worst:.1e}");
            }
        }
    }
    std::fs::remove_dir_all(folder).unwrap();
}

/// All 16-bit greys, or every fourth as RGB, as a TIFF.
fn write_tiff(path: &Path, values: &[u16], rgb: bool) {
    let mut out = Cursor::new(Vec::new());
    let mut encoder = tiff::encoder::TiffEncoder::new(&mut out).unwrap();
    if rgb {
        let pixels: Vec<u16> = values.iter().flat_map(|&v| [v; 3]).collect();
        encoder.write_image::<RGB16>(256, (values.len() / 256) as u32, &pixels).unwrap();
    } else {
        encoder.write_image::<Gray16>(256, (values.len() / 256) as u32, values).unwrap();
    }
    std::fs::write(path, out.into_inner()).unwrap();
}

fn read_tiff(path: &Path) -> Vec<u16> {
    let bytes = std::fs::read(path).unwrap();
    let mut decoder = tiff::decoder::Decoder::new(Cursor::new(bytes)).unwrap();
    match decoder.read_image().unwrap() {
        tiff::decoder::DecodingResult::U16(values) => values,
        _ => panic!("not 16 bits"),
    }
}

fn tificc(arguments: &[&str], from: &Path, to: &Path) {
    let done =
        Command::new("tificc").args(["-w16", "-n"]).args(arguments).arg(from).arg(to).output().unwrap();
    assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
}

#[test]
fn tificc_gives_our_correction_for_whole_pictures() {
    if !installed("tificc") {
        return;
    }
    let folder = folder("tificc");
    let corrections = [starting(), measured(0.0, Aim::AsOnScreen), measured(0.2, Aim::LinearLightness)];
    let all: Vec<u16> = (0..=u16::MAX).collect();
    let fourth: Vec<u16> = all.iter().copied().step_by(4).collect();
    let (from, to) = (folder.join("from.tif"), folder.join("to.tif"));
    let mut worst_of_all: f64 = 0.0;
    for (format, values, channels) in [(Format::LinkGrey, &all, 1), (Format::LinkRgb, &fourth, 3)] {
        write_tiff(&from, values, channels == 3);
        for carry in carries(&corrections) {
            let path = export(&carry, format, &folder);
            for precalculation in ["-c0", "-c1", "-c2"] {
                tificc(&[precalculation, &format!("-l{path}")], &from, &to);
                let got = read_tiff(&to);
                assert_eq!(got.len(), values.len() * channels);
                let of = |(&v, got): (&u16, &[u16])| {
                    let grey = f64::from(v) / 65535.0;
                    got.iter().map(|&g| error(&carry, grey, f64::from(g) / 65535.0)).fold(0.0, f64::max)
                };
                let worst = values.iter().zip(got.chunks(channels)).map(of).fold(0.0, f64::max);
                assert!(worst <= LINK, "{path} {precalculation}: {worst:.1e}");
                worst_of_all = worst_of_all.max(worst);
            }
        }
    }
    println!("worst error of a link through tificc: {worst_of_all:.1e} of full scale");
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn the_grey_profile_takes_pictures_of_any_profile() {
    if !installed("transicc") {
        return;
    }
    let folder = folder("profile");
    let correction = starting();
    let path = export(&carry(&correction, Polarity::Positive, Greys::Srgb), Format::Profile, &folder);
    let out = format!("-o{path}");
    let steps: Vec<f64> = (0..=200).map(|i| f64::from(i) / 200.0).collect();
    let lines = |f: &dyn Fn(f64) -> String| -> String { steps.iter().map(|&s| f(s) + "\n").collect() };
    // From L*, from grey of gamma 2.2 and from sRGB, media-relative, without black point compensation.
    let sources: [(&str, String, Greys); 3] = [
        ("-i*Lab4", lines(&|s| format!("{} 0 0", 100.0 * s)), Greys::Lightness),
        ("-i*Gray22", lines(&|s| (255.0 * s).to_string()), Greys::Gamma22),
        ("-i*sRGB", lines(&|s| format!("{0} {0} {0}", 255.0 * s)), Greys::Srgb),
    ];
    for (source, lines, greys) in sources {
        let got = transicc(&["-c0", "-t1", source, &out], &lines);
        assert_eq!(got.len(), steps.len(), "{source}");
        for (&s, got) in steps.iter().zip(got) {
            let want = correction.at(greys.tone(s));
            // Grey profiles through XYZ were measured at 2.4e-4; sRGB's own tables in the tool add to that.
            assert!((got / 255.0 - want).abs() < 1e-3, "{source} {s}: {} {want}", got / 255.0);
        }
    }
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn an_independent_reader_takes_our_cgats() {
    if !installed("transicc") {
        return;
    }
    let folder = folder("cgats");
    let rows: Vec<Row> = (0..=20)
        .map(|i| Row {
            line: 1,
            id: if i == 3 { String::new() } else { format!("Stufe \u{e9} \"{i}\" # x") },
            sheet: if i % 2 == 0 { "A".into() } else { String::new() },
            code: f64::from(i) / 20.0,
            values: vec![24.0 + 3.4 * f64::from(i)],
        })
        .collect();
    let head = cgats::Head {
        description: "Setup \"warm\"; two sheets, 50 % RH # not a comment",
        created: "2026-11-25",
        conditions: "UV 6 min\nRH 55 %",
        instrument: &Instrument::named(Kind::Instrument, "spectrophotometer, 45/0"),
    };
    let correction = starting();
    // Inverted greys of the film: what comes back tells that every number was read where it belongs.
    let link = export(&carry(&correction, Polarity::Inverted, Greys::Lightness), Format::LinkRgb, &folder);
    for (name, quantity) in [("lightness", Quantity::Lightness), ("density", Quantity::Density)] {
        let text = cgats::write(&head, &rows, quantity);
        let (from, to) = (folder.join(name), folder.join([name, "-out"].concat()));
        std::fs::write(&from, text).unwrap();
        let done = Command::new("transicc").arg(format!("-l{link}")).arg(&from).arg(&to).output().unwrap();
        assert!(done.status.success(), "{}", String::from_utf8_lossy(&done.stderr));
        let back = cgats::read(&std::fs::read_to_string(&to).unwrap());
        let table = &back.tables[0];
        let red = table.columns.iter().position(|c| c == "RGB_R").unwrap();
        assert_eq!(table.sets.len(), rows.len());
        for (set, row) in table.sets.iter().zip(&rows) {
            let got: f64 = set.cells[red].parse().unwrap();
            let want = 255.0 * (1.0 - correction.at(1.0 - row.code));
            // The tool writes tenths.
            assert!((got - want).abs() < 0.06, "{} {got} {want}", row.code);
        }
    }
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn the_proof_goes_through_a_link_as_it_says() {
    let correction = measured(0.2, Aim::AsOnScreen);
    let carry = carry(&correction, Polarity::Inverted, Greys::Gamma22);
    let patches = proof::patches(&carry);
    let words = proof::words(&carry);
    let page = || imaging_proof::page(360, &words).unwrap();
    let mut tiff = TiffWriter::new(Vec::new(), page()).unwrap();
    imaging_proof::write(&patches, page().height, &mut tiff).unwrap();
    let mut png = PngWriter::new(Vec::new(), page()).unwrap();
    imaging_proof::write(&patches, page().height, &mut png).unwrap();
    let folder = folder("proof");
    let from = folder.join("proof.tif");
    std::fs::write(&from, tiff.into_inner()).unwrap();
    let picture = read_tiff(&from);
    let side = 283;
    assert_eq!(picture.len(), 3 * side * side);
    // The middle of each patch is plain; the words stand in the upper part.
    let at = |picture: &[u16], patch: usize, part: usize| {
        picture[(side * part / 10) * 3 * side + side * patch + side / 2]
    };
    let greys: Vec<u16> = (0..3).map(|p| at(&picture, p, 5)).collect();
    assert_eq!(greys, [65535, sixteen(Greys::Gamma22.grey(0.5)), 0]);
    let white = |y: usize| &picture[3 * side * y..3 * side * y + side];
    assert!((0..side / 4).any(|y| white(y).contains(&0)));
    assert!((side / 2..side).all(|y| white(y).iter().all(|&v| v == u16::MAX)));
    let mut reader = png::Decoder::new(Cursor::new(png.into_inner())).read_info().unwrap();
    let mut bytes = vec![0; reader.output_buffer_size().unwrap()];
    reader.next_frame(&mut bytes).unwrap();
    let pixels: Vec<u16> = bytes.as_chunks::<2>().0.iter().map(|b| u16::from_be_bytes(*b)).collect();
    assert_eq!(pixels, picture);
    assert!(imaging_proof::page(20, "").is_err());

    if installed("tificc") {
        let link = export(&carry, Format::LinkGrey, &folder);
        let to = folder.join("film.tif");
        tificc(&[&format!("-l{link}")], &from, &to);
        let film = read_tiff(&to);
        for (i, patch) in patches.iter().enumerate() {
            let got = f64::from(at(&film, i, 5)) / 65535.0;
            assert!((1.0 - got - patch.ink).abs() < 2e-3, "{} {got} {}", patch.name, patch.ink);
        }
    }
    std::fs::remove_dir_all(folder).unwrap();
}

#[test]
fn the_stored_results_hold_the_same_bar() {
    // Links with curves only, byte for byte like ours; a link with a table and a grey profile, which is why there is none
    // of the first and the second is not the first choice.
    let stored: serde_json::Value = serde_json::from_str(include_str!(
        "../../../tests/reference/cmm_precalculation/cmm_precalculation.json"
    ))
    .unwrap();
    let worst =
        |name: &str| -> Vec<f64> { ["c0", "c1", "c2"].map(|c| stored[name][c].as_f64().unwrap()).to_vec() };
    for name in ["link_gray_mAB_4096", "link_rgb_mAB_4096"] {
        assert!(worst(name).iter().all(|&e| e <= LINK), "{name}");
    }
    for name in ["link_rgb_lut16_4096", "grey_output_xyz_4096", "grey_output_lab_4096"] {
        assert!(worst(name)[0] < 1e-3 && worst(name)[1..].iter().all(|&e| e > 10.0 * LINK), "{name}");
    }
}

//! Readings from instruments, and back again; the sources stand in `tests/reference/*/README.md`.
#![allow(clippy::unwrap_used, reason = "a test may fail")]

#[cfg(target_arch = "wasm32")]
use wasm_bindgen_test::wasm_bindgen_test as test;

use serde_json::Value;
use sorrel_core::exchange::cgats::{self, Codes, Head};
use sorrel_core::exchange::{csv_out, read};
use sorrel_core::note::{Note, Severity};
use sorrel_core::tone::instrument::{Instrument, Kind};
use sorrel_core::tone::readings::{Readings, Row};
use sorrel_core::tone::{Quantity, lightness};

macro_rules! sample {
    ($name:literal) => {
        ($name, include_str!(concat!("../../../tests/reference/cgats/", $name)))
    };
}

/// The files, with the texts of the notes they deserve.
const FILES: [((&str, &str), &[&str]); 14] = [
    (sample!("sample.cgats.txt"), &[]),
    (sample!("cgats_count.txt"), &["Line 27: the file says 6 rows, there are 5."]),
    (sample!("cgats_fields.txt"), &["Line 27: the file says 11 columns, there are 10."]),
    (sample!("cgats_comma_decimal.txt"), &["Numbers with a comma were read as decimals."]),
    (sample!("cgats_no_counts.txt"), &[]),
    (sample!("cgats_crlf.txt"), &[]),
    (sample!("cgats_bom.txt"), &[]),
    (sample!("cgats_utf8_name.txt"), &[]),
    (sample!("cgats_unquoted_space.txt"), &[]),
    (sample!("cgats_ident_like_number.txt"), &[]),
    (sample!("cgats_neg_first.txt"), &[]),
    (sample!("cgats_exp.txt"), &[]),
    (sample!("cgats_leading_zero_id.txt"), &[]),
    (sample!("cgats_tail_space.txt"), &[]),
];

fn texts(notes: &[Note]) -> Vec<&str> {
    notes.iter().map(|n| n.text.as_str()).collect()
}

fn pairs(r: &Readings) -> Vec<(f64, f64)> {
    r.rows.iter().map(|r| (r.code, r.values[0])).collect()
}

#[test]
fn every_file_an_instrument_may_write_is_read() {
    let reference: Value =
        serde_json::from_str(include_str!("../../../tests/reference/cgats/cgats.json")).unwrap();
    let results = reference["results"].as_object().unwrap();
    assert_eq!(results.len(), FILES.len());
    let codes = [1.0, 0.75, 0.5, 0.25, 0.0];
    for ((name, text), wanted) in FILES {
        let found = read(text, None, None);
        let want: Vec<(f64, f64)> = codes.into_iter().zip([93.97, 76.02, 54.44, 35.83, 23.05]).collect();
        assert_eq!(pairs(&found), want, "{name}");
        assert_eq!(found.quantity, Some(Quantity::Lightness));
        assert_eq!(found.faults, [], "{name}");
        let notes = found.notes();
        let (last, others) = notes.split_last().unwrap();
        assert_eq!(last.text, "RGB_R was taken for greys of the film, by where the print is light.");
        assert_eq!(texts(others), wanted, "{name}");
        // What the reference parser made of the first and the last L*, where it took the file and understood it.
        let theirs = results[name].as_str().unwrap();
        if theirs.contains("LAB_L=9") {
            assert!(theirs.contains("LAB_L=93.97 ") && theirs.contains(" L[4]=23.0500 "), "{name}");
        }

        let densities = read(text, Some(Quantity::Density), Some(Codes::FilmGrey));
        let want: Vec<(f64, f64)> = codes.into_iter().zip([0.07, 0.3012, 0.65, 1.05, 1.42]).collect();
        assert_eq!(pairs(&densities), want, "{name}");
        // A comma in a column that is not read is nobody's business.
        let wanted: Vec<&str> = wanted.iter().copied().filter(|w| w.starts_with("Line")).collect();
        assert_eq!(texts(&densities.notes()), wanted, "{name}");
    }
}

#[test]
fn names_and_conditions_are_kept() {
    let found = read(FILES[7].0.1, None, None);
    assert_eq!(found.rows[0].id, "Stufe \u{e9}");
    assert_eq!(found.rows[1].id, "step 2");
    assert_eq!(found.instrument.kind, Kind::Instrument);
    let said = [
        "spectrophotometer, 45/0",
        "D50, UV included",
        "reflection 45/0, 4.5 mm aperture",
        "white",
        "none",
        "",
        "ILLUMINANT, D50;OBSERVER, 2 degree",
    ];
    assert_eq!(found.instrument.parts, said);
}

/// A file of these columns and rows.
fn file(columns: &str, rows: &str) -> String {
    format!("CGATS.17\nBEGIN_DATA_FORMAT\n{columns}\nEND_DATA_FORMAT\nBEGIN_DATA\n{rows}\nEND_DATA\n")
}

#[test]
fn device_numbers_are_told_by_the_light() {
    let meant = |columns: &str, rows: &str, codes| pairs(&read(&file(columns, rows), None, codes));
    let up = vec![(0.0, 20.0), (1.0, 90.0)];
    let down = vec![(1.0, 20.0), (0.0, 90.0)];
    // Ink; black of the positive; grey of the positive; grey of the film.
    assert_eq!(meant("CMYK_K LAB_L", "0 20\n100 90", None), up);
    assert_eq!(meant("CMYK_K LAB_L", "100 20\n0 90", None), up);
    assert_eq!(meant("RGB_R LAB_L", "0 20\n255 90", None), up);
    assert_eq!(meant("RGB_R LAB_L", "255 20\n0 90", None), up);
    // Said is said, even if the print runs the other way; the fit will notice.
    assert_eq!(meant("CMYK_K LAB_L", "100 20\n0 90", Some(Codes::Ink)), down);
    assert_eq!(meant("RGB_R LAB_L", "0 20\n255 90", Some(Codes::FilmGrey)), down);
    assert_eq!(meant("RGB_R LAB_L", "255 20\n0 90", Some(Codes::PositiveGrey)), down);
    assert_eq!(meant("X_INK LAB_L", "100 20\n0 90", None), down);
    // Parts of one; luminance instead of L*.
    assert_eq!(meant("RGB_R LAB_L", "0 90\n0.5 50\n1 20", None)[1], (0.5, 50.0));
    let y = meant("X_INK XYZ_Y", "0 3\n100 80", None);
    assert!((y[1].1 - lightness::from_factor(0.8)).abs() < 1e-12);
}

#[test]
fn what_cannot_be_used_is_named() {
    let bad = |columns: &str, rows: &str| read(&file(columns, rows), None, None);
    let r = bad(
        "RGB_R RGB_G RGB_B LAB_L",
        "0 0 0 90\n0 10 0 80\n300 300 300 20\n255 255 255 \"\"\n128 128 128 x\n128 128",
    );
    assert_eq!(pairs(&r), [(1.0, 90.0)]);
    assert_eq!(r.faults.iter().map(|f| f.line).collect::<Vec<_>>(), [7, 8, 9, 10, 11]);
    let r = bad("SAMPLE_ID SPECTRAL_NM400 SPECTRAL_NM410", "1 0.5 0.5");
    assert!(r.notes()[0].text.contains("spectra"), "{:?}", r.notes());
    assert_eq!(r.notes()[0].severity, Severity::Error);
    let r = bad("SAMPLE_ID LAB_L", "1 50");
    assert_eq!(r.notes()[0].severity, Severity::Error);
    assert!(r.rows.is_empty());
}

#[test]
fn two_instruments_in_one_file_are_not_mixed() {
    let table = |with: &str, l: &str| {
        format!("INSTRUMENTATION \"{with}\"\n{}", &file("X_INK LAB_L", l)["CGATS.17\n".len()..])
    };
    let same = format!("CGATS.17\n{}{}", table("A", "0 20\n100 90"), table("a", "50 60"));
    assert_eq!(read(&same, None, None).rows.len(), 3);
    let other = format!("CGATS.17\n{}{}", table("A", "0 20\n100 90"), table("B", "50 60"));
    let found = read(&other, None, None);
    assert_eq!(found.rows.len(), 2);
    assert!(found.notes().iter().any(|n| n.severity == Severity::Error && n.text.contains("instrument")));
}

fn rows() -> Vec<Row> {
    let row = |id: &str, sheet: &str, code: f64, values: &[f64]| Row {
        line: 1,
        id: id.into(),
        sheet: sheet.into(),
        code,
        values: values.to_vec(),
    };
    vec![
        row("1", "A", 0.0, &[23.05, 23.15]),
        row("Stufe \u{e9} \"2\"", "A", 0.125, &[35.8]),
        row("3", "B", 0.5, &[61.25]),
        row("", "B", 1.0, &[93.97, 94.02]),
    ]
}

fn head(instrument: &Instrument) -> Head<'_> {
    Head {
        description: "Setup warm, two sheets",
        created: "2026-11-25",
        conditions: "UV 6 min; RH 55 %",
        instrument,
    }
}

fn spectro() -> Instrument {
    let mut instrument = Instrument::named(Kind::Instrument, "spectrophotometer");
    instrument.parts[2] = "reflection 45/0".into();
    instrument
}

#[test]
fn what_is_written_is_what_the_independent_reader_took() {
    // The text under this name was loaded by the reference parser; see the note beside it.
    let text = cgats::write(&head(&spectro()), &rows(), Quantity::Lightness);
    assert_eq!(text, include_str!("../../../tests/reference/cgats/written_here.cgats.txt"));
    let back = read(&text, None, None);
    assert_eq!(back.instrument, spectro());
    assert_eq!(back.notes(), []);
    assert_eq!(back.rows.iter().map(|r| r.sheet.as_str()).collect::<String>(), "AAABBB");
    assert_eq!(back.rows[2].id, "Stufe \u{e9} '2'");
    let want = [(0.0, 23.05), (0.0, 23.15), (0.125, 35.8), (0.5, 61.25), (1.0, 93.97), (1.0, 94.02)];
    assert_eq!(pairs(&back), want);

    let text = csv_out::readings(&rows(), Quantity::Lightness);
    let back = read(&text, None, None);
    assert_eq!(back.notes(), []);
    assert_eq!(pairs(&back), want);
    assert_eq!(back.rows.iter().map(|r| r.sheet.as_str()).collect::<String>(), "AAABBB");
    assert_eq!(back.rows[2].id, "Stufe \u{e9} \"2\"");
}

#[test]
fn formulas_and_quotes_are_written_as_texts() {
    let mut out = String::new();
    csv_out::line(&mut out, &["=1+1", "-5", "+x", "two\r\nlines", "says \"grey\", mid", "@a", "", " b"]);
    assert_eq!(out, "\"'=1+1\",-5,\"'+x\",\"two\r\nlines\",\"says \"\"grey\"\", mid\",\"'@a\",,\" b\"\r\n");
    // The rows of the published table come out as its text.
    let r: Value =
        serde_json::from_str(include_str!("../../../tests/reference/csv_tables/csv.json")).unwrap();
    let mut out = String::new();
    for row in r["rows"].as_array().unwrap() {
        let cells: Vec<&str> = row.as_array().unwrap().iter().map(|c| c.as_str().unwrap()).collect();
        csv_out::line(&mut out, &cells);
    }
    assert_eq!(out, r["text"].as_str().unwrap());
}

#[cfg(not(target_arch = "wasm32"))]
mod laws {
    use super::*;
    use proptest::prelude::*;

    /// Pieces that hostile and honest files are made of.
    fn piece() -> impl Strategy<Value = String> {
        let words = [
            "CGATS.17",
            "NUMBER_OF_FIELDS",
            "NUMBER_OF_SETS",
            "BEGIN_DATA_FORMAT",
            "END_DATA_FORMAT",
            "BEGIN_DATA",
            "END_DATA",
            "SAMPLE_ID",
            "RGB_R",
            "RGB_G",
            "LAB_L",
            "D_VIS",
            "X_INK",
            "CMYK_K",
            "XYZ_Y",
            "KEYWORD",
            "\n",
            "\n",
            "\n",
            "\r\n",
            "\r",
            "\t",
            " ",
            " ",
            " ",
            "\"",
            "#",
            ",",
            ";",
            "0",
            "1",
            "100",
            "255",
            "-1",
            "1e308",
            "-1e308",
            "NaN",
            "93,97",
            "1.5",
            "18446744073709551616",
            "\u{feff}",
            "\u{e9}",
            "ink %",
            "sheet",
            "L*",
            "patch",
        ];
        prop_oneof![9 => proptest::sample::select(words.to_vec()).prop_map(str::to_owned), 1 => "\\PC{0,6}"]
    }

    fn sound(found: &Readings) {
        let (low, high) = found.quantity.map_or((0.0, 0.0), Quantity::range);
        for row in &found.rows {
            assert!((0.0..=1.0).contains(&row.code), "{row:?}");
            assert!(!row.values.is_empty() && row.values.iter().all(|v| (low..=high).contains(v)), "{row:?}");
        }
        for note in found.notes() {
            assert!(!note.text.is_empty());
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig { cases: 2000, failure_persistence: None, ..Default::default() })]

        #[test]
        fn no_text_upsets_the_readers(pieces in prop::collection::vec(piece(), 0..80), codes in 0..4) {
            let text: String = pieces.concat();
            let codes = [None, Some(Codes::Ink), Some(Codes::FilmGrey), Some(Codes::PositiveGrey)][codes as usize];
            for asked in [None, Some(Quantity::Density), Some(Quantity::Lightness)] {
                sound(&cgats::readings(&text, asked, codes));
                sound(&sorrel_core::tone::readings::parse(&text, asked));
                sound(&read(&text, asked, codes));
            }
        }

        #[test]
        fn no_bytes_upset_the_readers(bytes in prop::collection::vec(any::<u8>(), 0..400)) {
            sound(&read(&sorrel_core::exchange::text::decode(&bytes), None, None));
        }

        #[test]
        fn a_damaged_file_is_no_worse(at in 0_usize..900, with in piece(), cut in 0_usize..60) {
            let text = FILES[0].0.1;
            let text: String = text[..at].chars().chain(with.chars()).chain(text[(at + cut).min(text.len())..].chars()).collect();
            sound(&read(&text, None, None));
        }

        #[test]
        fn readings_go_round(
            values in prop::collection::vec((0_u32..=10_000, 0_u32..=100_000, "[a-z \"#;,\u{e9}]{0,9}", "[0-9]{0,2}"), 1..30),
            density in any::<bool>(),
        ) {
            let quantity = if density { Quantity::Density } else { Quantity::Lightness };
            let scale = if density { 2.5e4 } else { 1e3 };
            let rows: Vec<Row> = values
                .iter()
                .map(|(c, v, id, sheet)| Row {
                    line: 1,
                    id: id.clone(),
                    sheet: sheet.clone(),
                    code: f64::from(*c) / 1e4,
                    values: vec![f64::from(*v) / scale],
                })
                .collect();
            let instrument = spectro();
            let mut texts = vec![cgats::write(&head(&instrument), &rows, quantity)];
            if rows.iter().any(|r| r.code > 0.01) {
                texts.push(csv_out::readings(&rows, quantity));
            }
            for text in texts {
                let back = read(&text, None, None);
                prop_assert_eq!(back.faults.len(), 0, "{}", text);
                prop_assert_eq!(back.quantity, Some(quantity));
                prop_assert_eq!(back.rows.len(), rows.len());
                for (a, b) in back.rows.iter().zip(&rows) {
                    prop_assert!((a.code - b.code).abs() < 1e-6 && (a.values[0] - b.values[0]).abs() < 1e-4);
                    prop_assert_eq!(&a.sheet, &b.sheet);
                }
            }
        }

        #[test]
        fn instruments_are_alike_both_ways(a in prop::array::uniform7("[ab]{0,1}"), b in prop::array::uniform7("[ab]{0,1}")) {
            let a = Instrument { kind: Kind::Scan, parts: a };
            let b = Instrument { kind: Kind::Scan, parts: b };
            prop_assert_eq!(a.likeness(&b), b.likeness(&a));
            prop_assert_eq!(a.parts.len(), sorrel_core::tone::instrument::PARTS.len());
        }
    }
}

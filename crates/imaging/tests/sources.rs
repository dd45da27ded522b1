//! Every kind of picture file against tests/reference/pictures, and damaged files.

#![allow(clippy::unwrap_used, reason = "a test may fail")]

use serde_json::Value;
use sorrel_imaging::Fault;
use sorrel_imaging::source::Picture;
use std::io::Cursor;
use std::path::PathBuf;

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("../../tests/reference/pictures")
}

fn expected() -> Value {
    serde_json::from_str(&std::fs::read_to_string(folder().join("expected.json")).unwrap()).unwrap()
}

/// The pictures are tiny; a damaged one that claims to be large is refused by the limit.
const LIMIT: u64 = 1 << 22;

fn read(bytes: &[u8]) -> Result<(u32, u32, Vec<f32>), Fault> {
    let picture = Picture::open(Cursor::new(bytes), LIMIT)?;
    let facts = picture.facts().clone();
    let mut rows = picture.into_rows()?;
    assert_eq!(rows.size(), (facts.width, facts.height));
    let mut all = Vec::new();
    let mut row = vec![0.0; facts.width as usize];
    for _ in 0..facts.height {
        rows.next_row(&mut row)?;
        assert!(row.iter().all(|v| v.is_finite()));
        all.extend_from_slice(&row);
    }
    Ok((facts.width, facts.height, all))
}

#[test]
fn every_kind_is_read_as_it_should() {
    let expected = expected();
    let files = expected["files"].as_object().unwrap();
    assert_eq!(files.len(), 44);
    let mut wrong = Vec::new();
    for (name, e) in files {
        let bytes = std::fs::read(folder().join(name)).unwrap();
        let (width, height, y) = match read(&bytes) {
            Ok(all) => all,
            Err(fault) => {
                wrong.push(format!("{name}: {fault}"));
                continue;
            }
        };
        assert_eq!(
            (u64::from(width), u64::from(height)),
            (e["width"].as_u64().unwrap(), e["height"].as_u64().unwrap()),
            "{name}"
        );
        let tolerance = e["tolerance"].as_f64().unwrap();
        let mut worst = 0.0_f64;
        for (ours, theirs) in y.iter().zip(e["y"].as_array().unwrap()) {
            worst = worst.max((f64::from(*ours) - theirs.as_f64().unwrap()).abs());
        }
        if worst > tolerance {
            wrong.push(format!("{name}: off by {worst:.6}, allowed {tolerance}"));
        }
        let facts = Picture::open(Cursor::new(&bytes), 1 << 28).unwrap().facts().clone();
        assert_eq!(e["profile"] == true, facts.profile.starts_with("Test "), "{name}: {}", facts.profile);
        assert!(!facts.notes.iter().any(|n| n.contains("not used")), "{name}: {:?}", facts.notes);
    }
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn what_is_not_read_says_which_export_to_make() {
    for name in expected()["refused"].as_array().unwrap() {
        let name = name.as_str().unwrap();
        let bytes = std::fs::read(folder().join(name)).unwrap();
        let fault = read(&bytes).unwrap_err();
        assert_eq!(fault.culprit(), "file", "{name}: {fault}");
        assert!(fault.mend().contains("TIFF"), "{name}: {}", fault.mend());
        if name.starts_with("cmyk") {
            assert!(fault.to_string().contains("CMYK"), "{name}: {fault}");
        }
    }
    for (bytes, word) in [
        (b"".as_slice(), "empty"),
        (b"\0\0\0\x18ftypheic\0\0\0\0", "HEIC"),
        (b"RIFF\0\0\0\0WEBPVP8 ", "WebP"),
        (b"%PDF-1.7 something", "PDF"),
        (b"hello, this is text", "not read"),
    ] {
        let fault = read(bytes).unwrap_err();
        assert!(fault.culprit() == "file" && fault.to_string().contains(word), "{fault}");
    }
}

#[test]
fn the_limit_is_named_before_anything_is_decoded() {
    let bytes = std::fs::read(folder().join("420.jpg")).unwrap();
    let fault = Picture::open(Cursor::new(&bytes), 1000).map(|_| ()).unwrap_err();
    assert_eq!(fault.culprit(), "limit");
    let text = fault.to_string();
    assert!(text.contains("40 × 28") && text.contains("3 kB") && text.contains("1 kB"), "{text}");
    // A header that promises a huge picture is refused at once.
    let mut huge = std::fs::read(folder().join("rgb8_interlaced.png")).unwrap();
    huge[16..24].copy_from_slice(&[0, 0, 0xFF, 0xFF, 0, 0, 0xFF, 0xFF]);
    let crc = crc32(&huge[12..29]);
    huge[29..33].copy_from_slice(&crc.to_be_bytes());
    let fault = Picture::open(Cursor::new(&huge), 1 << 30).map(|_| ()).unwrap_err();
    assert!(fault.culprit() == "limit" && fault.to_string().contains("1.07 GB"), "{fault}");
}

/// PNG third edition, annex D, bit by bit.
fn crc32(data: &[u8]) -> u32 {
    !data.iter().fold(u32::MAX, |crc, b| {
        (0..8).fold(crc ^ u32::from(*b), |c, _| if c & 1 == 1 { 0xEDB8_8320 ^ (c >> 1) } else { c >> 1 })
    })
}

#[test]
fn cut_files_are_noticed_and_nothing_panics() {
    let mut read_in_spite = 0;
    for name in expected()["files"].as_object().unwrap().keys() {
        let bytes = std::fs::read(folder().join(name)).unwrap();
        let whole = read(&bytes).unwrap();
        let step = (bytes.len() / 40).max(1);
        for end in (0..bytes.len()).step_by(step) {
            // Only what stands behind the pixels may be missing (tags of a TIFF, the end of a PNG).
            if let Ok(cut) = read(&bytes[..end]) {
                assert!(cut == whole, "{name} cut at {end} of {} gives another picture", bytes.len());
                read_in_spite += 1;
            }
        }
    }
    assert!(read_in_spite < 300, "{read_in_spite}");
}

#[test]
fn bent_files_never_panic() {
    let mut state = 0x1234_5678_u32;
    let mut next = move || {
        state ^= state << 13;
        state ^= state >> 17;
        state ^= state << 5;
        state
    };
    let names: Vec<String> = expected()["files"].as_object().unwrap().keys().cloned().collect();
    let (mut read_well, mut refused) = (0, 0);
    for name in names {
        let bytes = std::fs::read(folder().join(&name)).unwrap();
        for _ in 0..40 {
            let mut bent = bytes.clone();
            for _ in 0..1 + next() % 3 {
                let at = next() as usize % bent.len().min(2000);
                bent[at] ^= 1 << (next() % 8);
            }
            match read(&bent) {
                Ok(_) => read_well += 1,
                Err(fault) => {
                    assert!(!fault.to_string().is_empty() && !fault.mend().is_empty());
                    refused += 1;
                }
            }
        }
    }
    assert!(read_well > 0 && refused > 500, "{read_well} {refused}");
}

#[test]
fn a_file_that_cannot_be_read_is_the_devices_fault() {
    struct Broken;
    impl std::io::Read for Broken {
        fn read(&mut self, _: &mut [u8]) -> std::io::Result<usize> {
            Err(std::io::Error::other("the card was pulled"))
        }
    }
    impl std::io::Seek for Broken {
        fn seek(&mut self, _: std::io::SeekFrom) -> std::io::Result<u64> {
            Ok(0)
        }
    }
    let fault = Picture::open(Broken, 1 << 20).map(|_| ()).unwrap_err();
    assert!(fault.culprit() == "device" && fault.to_string().contains("card"), "{fault}");
}

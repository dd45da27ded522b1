//! Every note that files in and out can give, as the printer reads it.

#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::unwrap_used, reason = "a test may fail")]

use expect_test::{Expect, expect};
use sorrel_core::exchange::carry::{Carry, Polarity};
use sorrel_core::exchange::cgats::Codes;
use sorrel_core::exchange::files::Format;
use sorrel_core::exchange::greys::{GreyTable, Greys};
use sorrel_core::exchange::points::{Dialog, propose};
use sorrel_core::exchange::{proof, read};
use sorrel_core::note::Note;
use sorrel_core::tone::instrument::{Instrument, Kind, mixing};
use sorrel_core::tone::{Aim, Correction, Quantity};

fn shown(notes: &[Note]) -> String {
    notes.iter().map(|n| format!("{:?} [{}] {} {}\n", n.severity, n.field, n.text, n.mend)).collect()
}

/// A file of these head lines, columns and rows.
fn file(head: &str, columns: &str, rows: &str) -> String {
    format!("{head}\nBEGIN_DATA_FORMAT\n{columns}\nEND_DATA_FORMAT\nBEGIN_DATA\n{rows}\nEND_DATA\n")
}

#[track_caller]
fn reads(text: &str, want: Expect) {
    want.assert_eq(&shown(&read(text, None, Some(Codes::Ink)).notes()));
}

#[test]
fn files_of_instruments() {
    reads(
        &file("CGATS.17\nNUMBER_OF_SETS 3\nNUMBER_OF_FIELDS 4", "CMYK_K LAB_L", "0 20\n100 90"),
        expect![[r#"
        Warning [readings] Line 10: the file says 4 columns, there are 2. Check that nothing is missing, at the end above all.
        Warning [readings] Line 10: the file says 3 rows, there are 2. Check that nothing is missing, at the end above all.
    "#]],
    );
    reads(
        &file("CGATS.17", "SAMPLE_ID LAB_L", "1 20"),
        expect![[r#"
        Error [readings] The file has no columns of device numbers with density or L*. Export it with LAB_L or D_VIS, and with RGB or CMYK numbers of the patches, or type the readings.
    "#]],
    );
    reads(
        &file("CGATS.17", "CMYK_K SPECTRAL_NM400", "1 20"),
        expect![[r#"
        Error [readings] The file holds spectra without density or L*. Export it with LAB_L or D_VIS, and with RGB or CMYK numbers of the patches, or type the readings.
    "#]],
    );
    let odd = "0 20\n50 \"a b\n0 0 0\n\"\" 5\n50 \"\"\n140 50\n50 -3\n50 1.000,5\n100 93,5";
    reads(
        &file("CGATS.17", "CMYK_K LAB_L", odd),
        expect![[r#"
        Hint [readings] Numbers with a comma were read as decimals. 
        Error [readings] Line 7: “a b” is not a number. Type digits with comma or point.
        Error [readings] Line 8: there are 3 values for 2 columns. Put names with blanks in quotes, and "" for what is missing.
        Error [readings] Line 9: the device number is missing. Type it, or leave the row out.
        Error [readings] Line 10: the reading is missing. Type it, or leave the row out.
        Error [readings] Line 11: CMYK_K is outside 0 to 100. Check the number of the patch.
        Error [readings] Line 12: -3 is outside 0 to 105 for L*. Check the digits, and whether these are densities or L*.
        Error [readings] Line 13: “1.000,5” has both comma and point. Leave out the sign that parts the thousands.
    "#]],
    );
    reads(
        &file("CGATS.17", "CMYK_C CMYK_K LAB_L", "0 0 20\n3 50 60\n0 100 90"),
        expect![[r#"
        Error [readings] Line 7: the patch is not a grey. Leave the coloured patches out.
    "#]],
    );
    reads(
        &file("CGATS.17", "CMYK_K LAB_L", "0 20\n0.5 60\n1 90"),
        expect![[r#"
        Hint [readings] No CMYK_K is above 1: they were taken as parts of one. 
    "#]],
    );
    reads(
        "CGATS.17\nBEGIN_DATA_FORMAT\nCMYK_K LAB_L\nEND_DATA_FORMAT\nBEGIN_DATA\n0 20\n100 90\n",
        expect![[r#"
        Warning [readings] Line 7: the end of the data is missing. Check that the file is whole; it may have been cut off.
    "#]],
    );
    let two = file("INSTRUMENTATION \"A\"", "X_INK LAB_L", "0 20")
        + &file("INSTRUMENTATION \"B\"", "X_INK LAB_L", "9 20");
    reads(
        &two,
        expect![[r#"
            Error [readings] Readings of two kinds are not taken together; they differ in: instrument. Read all patches with one instrument in one way, or make a setup for each.
        "#]],
    );
    let two = file("", "X_INK LAB_L", "0 20") + &file("", "CMYK_K LAB_L", "9 20");
    reads(
        &two,
        expect![[r#"
        Warning [readings] A table with other columns than the first was left out. Read it as a file of its own.
    "#]],
    );
    reads(
        &file("", "X_INK LAB_L", "0 20").repeat(60),
        expect![[r#"
        Warning [readings] Line 357: there are more than 50 tables; the rest was left out. Split the file.
    "#]],
    );
}

#[test]
fn what_was_guessed_or_chosen_otherwise() {
    let notes = |text: &str, asked| shown(&read(text, asked, None).notes());
    let text = file("", "RGB_R LAB_L", "0 20\n255 90");
    expect![[r#"
        Hint [readings] RGB_R was taken for greys of the positive, by where the print is light. 
    "#]]
    .assert_eq(&notes(&text, None));
    expect![[r#"
        Hint [readings] RGB_R was taken for greys of the positive, by where the print is light. 
        Warning [readings] The file holds L*, but density was chosen. Choose the quantity the file holds, or export it with the other.
    "#]].assert_eq(&notes(&text, Some(Quantity::Density)));
    expect![[r#"
        Hint [readings] CMYK_K was taken for greys of the positive, by where the print is light. 
    "#]]
    .assert_eq(&notes(&file("", "CMYK_K D_VIS", "0 0.1\n100 1.4"), None));
}

#[test]
fn instruments_that_may_not_be_mixed() {
    let a = Instrument::named(Kind::Instrument, "A");
    let notes = |b: &Instrument| shown(&mixing("readings", &[&a, b]).into_iter().collect::<Vec<_>>());
    expect![[r#"
        Error [readings] Readings of two kinds are not taken together; they differ in: way of reading, instrument. Read all patches with one instrument in one way, or make a setup for each.
    "#]].assert_eq(&notes(&Instrument::named(Kind::Scan, "B")));
    expect![[r#"
        Warning [readings] Whether these readings are of one kind cannot be told; only some say: way of reading, instrument. Say whether they were all read with one instrument in one way.
    "#]].assert_eq(&notes(&Instrument::default()));
}

#[test]
fn greys_of_the_picture() {
    let note = |text: &str| shown(&[GreyTable::parse(text).unwrap_err()]);
    expect![[r#"
        Error [greys] The table of greys does not run from 0 to 100 %. Type one pair a line, grey in percent and its L*, beginning with 0 and ending with 100.
    "#]].assert_eq(&note("0 0\n50 60"));
    expect![[r#"
        Error [greys] The pairs do not rise after 50 %. Give lighter greys one after another, each with a higher L*.
    "#]].assert_eq(&note("0 0\n50 60\n60 60\n100 100"));
    expect![[r#"
        Error [greys] L* 101 is outside 0 to 100. Check the digits.
    "#]]
    .assert_eq(&note("0 0\n50 60\n100 101"));
    expect![[r#"
        Error [greys] Line 3: two numbers are wanted. Type one pair a line, grey in percent and its L*.
    "#]]
    .assert_eq(&note("grey L*\n0 0\n50\n100 100"));
}

#[test]
fn files_for_other_programs() {
    let correction = Correction::starting(Aim::AsOnScreen);
    let carry =
        |polarity| Carry { correction: &correction, polarity, greys: Greys::Srgb, title: "Warm".into() };
    let note = carry(Polarity::Inverted).export(Format::Profile, [2026, 1, 1, 0, 0, 0]).unwrap_err();
    expect![[r#"
        Error [polarity] A grey profile cannot hold the inversion. Make it for the positive and invert afterwards, or take a device link.
    "#]].assert_eq(&shown(&[note]));
    let few = propose(&carry(Polarity::Positive), Dialog { most: 3, smooth: false, full: 255 }, 0.6);
    expect![[r#"
        Warning [points] 3 points leave an error of 3.4 L*, more than the 0.6 L* of one reading. Use a dialog that takes more points or finer numbers, a device link, or a film made here.
    "#]].assert_eq(&shown(&few.notes));
    expect!["Warm. For the positive picture: apply it, then invert and mirror. Greys of the picture: sRGB. Correction not measured, mid tones ± 15 L*."].assert_eq(&carry(Polarity::Positive).description());
    expect!["Warm. Inversion included: apply it to the positive picture, then mirror only. Greys of the picture: sRGB. Correction not measured, mid tones ± 15 L*."].assert_eq(&carry(Polarity::Inverted).description());
    expect!["White: the darkest patch of the film, 100.0 % ink, grey 0 of 255 in the finished film file. Middle: between the other two, 31.3 % ink, grey 175 of 255 in the finished film file. Black: the clearest patch of the film, 0.0 % ink, grey 255 of 255 in the finished film file. In the picture they stand white, middle, black from left to right; on the film, seen with its printed side up, from right to left. If white is the clearest patch, the inversion is missing or was made twice; if white is on the left, the mirroring is missing; if the middle is far off, the correction was applied to other greys."].assert_eq(&proof::words(&carry(Polarity::Inverted)));
}

//! Every note the tone mathematics can give, as the printer reads it.

#![cfg(not(target_arch = "wasm32"))]
#![allow(clippy::unwrap_used, reason = "a test may fail")]

use expect_test::{Expect, expect};
use sorrel_core::note::Note;
use sorrel_core::tone::readings::parse;
use sorrel_core::tone::{Aim, Correction, Quantity, Reading, Response};

fn shown(notes: &[Note]) -> String {
    notes.iter().map(|n| format!("{:?} [{}] {} {}\n", n.severity, n.field, n.text, n.mend)).collect()
}

#[track_caller]
fn fit(readings: &[Reading], want: Expect) {
    let text = match Response::fit(readings) {
        Ok(r) => shown(r.notes()) + &r.flagged().iter().map(|f| f.text() + "\n").collect::<String>(),
        Err(e) => shown(&[e.note()]),
    };
    want.assert_eq(&text);
}

/// A print that is nearly as it should be: 21 codes, small even scatter, four readings at each end.
fn good() -> Vec<Reading> {
    let one = |i: i32| {
        let c = f64::from(i) / 20.0;
        let scatter = f64::from(i * 7 % 5 - 2) * 0.1;
        Reading::lightness(c, 24.0 + 68.0 * c * c * (3.0 - 2.0 * c) + scatter).named(format!("{i}"))
    };
    (0..=20).chain([0, 20, 0, 20, 0, 20]).map(one).collect()
}

fn with(mut change: impl FnMut(&mut Vec<Reading>)) -> Vec<Reading> {
    let mut readings = good();
    change(&mut readings);
    readings
}

#[test]
fn a_good_chart_needs_no_words() {
    fit(&good(), expect![[""]]);
}

#[test]
fn what_is_refused() {
    fit(
        &[],
        expect![[r#"
        Error [readings] No line of the readings gives an ink and its reading; a curve needs 5 inks. Type a line a patch: ink in %, then density or L*, such as 50 0.72; or take them from a file.
    "#]],
    );
    fit(
        &good()[..4],
        expect![[r#"
        Error [readings] The readings hold 4 different ink codes; a curve needs 5. Read more patches, clear film and full ink among them.
    "#]],
    );
    fit(
        &with(|r| r[3].code = 1.02),
        expect![[r#"
        Error [readings] Reading 4 (patch 3, 102.0 % ink) has the ink code 102 %, outside 0 to 100 %. Give the ink code in percent: 0 is clear film, 100 full ink.
    "#]],
    );
    fit(
        &with(|r| r[3].code = f64::NAN),
        expect![[r#"
        Error [readings] Reading 4 (patch 3) has an ink code that is not a number. Type its ink code in percent.
    "#]],
    );
    fit(
        &with(|r| r[3].value = f64::INFINITY),
        expect![[r#"
        Error [readings] Reading 4 (patch 3, 15.0 % ink) is not a number in L*, outside 0 to 105. Check the digits, and whether the column holds density or L*.
    "#]],
    );
    fit(
        &with(|r| r[3].value = -7.0),
        expect![[r#"
        Error [readings] Reading 4 (patch 3, 15.0 % ink) is -7 in L*, outside 0 to 105. Check the digits, and whether the column holds density or L*.
    "#]],
    );
    fit(
        &with(|r| r[3] = Reading::density(0.15, 9.0)),
        expect![[r#"
        Error [readings] Reading 4 (15.0 % ink) is 9 in density, outside -0.1 to 4.5. Check the digits, and whether the column holds density or L*.
    "#]],
    );
    fit(
        &with(|r| r[3].weight = 0.0),
        expect![[r#"
        Error [readings] Reading 4 (patch 3, 15.0 % ink) counts 0 times. A reading counts once, or as often as it was repeated.
    "#]],
    );
    fit(
        &with(|r| r.iter_mut().for_each(|r| r.value = 50.0)),
        expect![[r#"
        Error [readings] The readings neither rise nor fall with the ink code. Check that each value stands beside its own code: a chart with shuffled patches must be read in the order of its codes, or with its patch numbers.
    "#]],
    );
    fit(
        &with(|r| r.iter_mut().for_each(|r| r.value = 50.0 + 0.01 * r.value)),
        expect![[r#"
        Error [readings] From black to white the readings change by 0.7 L* only. Check the columns, and that the chart was exposed long enough for black.
    "#]],
    );
    fit(
        &with(|r| r.iter_mut().for_each(|r| r.value = 1.5 - r.code)),
        expect![[r#"
        Error [readings] The highest L* is 1.50; these look like densities. Say that the readings are densities.
    "#]],
    );
    fit(
        &with(|r| r.iter_mut().enumerate().for_each(|(i, r)| r.value = [20.0, 80.0, 50.0][i % 3])),
        expect![[r#"
        Error [readings] The readings neither rise nor fall with the ink code. Check that each value stands beside its own code: a chart with shuffled patches must be read in the order of its codes, or with its patch numbers.
    "#]],
    );
    fit(
        &vec![Reading::lightness(0.5, 50.0); 20_001],
        expect![[r#"
        Error [readings] There are 20001 readings; up to 20000 are taken. Give the mean of repeated readings instead of each.
    "#]],
    );
}

#[test]
fn what_is_remarked() {
    // Codes turned round.
    fit(
        &with(|r| r.iter_mut().for_each(|r| r.code = 1.0 - r.code)),
        expect![[r#"
        Warning [readings] The prints get darker with rising code, so the codes were turned round: 0 % became 100 %. Check that 0 % is clear film and 100 % full ink.
    "#]],
    );
    // A patch of its own quantity.
    fit(
        &with(|r| r[10] = Reading::density(0.5, 0.59)),
        expect![[r#"
            Warning [readings] Densities (1) and L* (26) are mixed; they were fitted together as L*. Read a chart with one instrument in one quantity; warm tones differ by about half an L* between the two.
        "#]],
    );
    // Few codes.
    fit(
        &good().into_iter().step_by(2).collect::<Vec<_>>(),
        expect![[r#"
        Hint [readings] 11 different ink codes: the curve is interpolated, not smoothed. From 13 on, scatter is told from tone. 
        Hint [readings] Paper white and deepest black set the whole scale: six readings of each, from different places, halve its doubt. 
    "#]],
    );
    // Ends not read.
    fit(
        &with(|r| r.retain(|r| r.code > 0.1 && r.code < 0.9)),
        expect![[r#"
        Warning [readings] Clear film (0 % ink) was not read; the curve is held flat beyond 15.0 %. Read that patch too: it sets an end of the scale.
        Warning [readings] Full ink (100 %) was not read; the curve is held flat beyond 85.0 %. Read that patch too: it sets an end of the scale.
    "#]],
    );
    // One end read once.
    fit(
        &good()[..21],
        expect![[r#"
        Hint [readings] Paper white and deepest black set the whole scale: six readings of each, from different places, halve its doubt. 
    "#]],
    );
    // A bad patch and one a little off.
    fit(
        &with(|r| r[8].value += 9.0),
        expect![[r#"
            Warning [readings] Off the curve: 1; left out: 1. Read the listed patches again; a streak or a speck in the print is best left out.
            Reading 9 (patch 8, 40.0 % ink): 8.8 L* lighter than the curve; was left out.
        "#]],
    );
    fit(
        &with(|r| r[8].value -= 0.75),
        expect![[r#"
            Warning [readings] Off the curve: 1; left out: 1. Read the listed patches again; a streak or a speck in the print is best left out.
            Reading 9 (patch 8, 40.0 % ink): 0.9 L* darker than the curve; was left out.
        "#]],
    );
    // A single reading at the end of the scale that cannot be.
    fit(
        &good()[..21]
            .iter()
            .cloned()
            .chain([Reading::lightness(0.02, 24.0), Reading::lightness(0.03, 24.1)])
            .map(|r| if r.code == 0.0 { Reading { value: 35.0, ..r } } else { r })
            .collect::<Vec<_>>(),
        expect![[r#"
            Warning [readings] Off the curve: 1; left out: 1. Read the listed patches again; a streak or a speck in the print is best left out.
            Warning [readings] The only reading at 0.0 % ink was left out, so black is guessed from its neighbours. Read that patch again, more than once.
            Hint [readings] Paper white and deepest black set the whole scale: six readings of each, from different places, halve its doubt. 
            Reading 1 (patch 0, 0.0 % ink): 11.3 L* lighter than the curve; was left out.
        "#]],
    );
    // Uneven coating.
    fit(
        &with(|r| {
            r.iter_mut().enumerate().for_each(|(i, r)| r.value += [4.0, -3.0, 0.0, 3.0, -4.0][i * 3 % 5]);
        }),
        expect![[r#"
            Warning [readings] Off the curve: 2; left out: 1. Read the listed patches again; a streak or a speck in the print is best left out.
            Warning [readings] One reading scatters by 2.5 L*. Coat more evenly, or print the chart twice and give both readings.
            Reading 22 (patch 0, 0.0 % ink): 0.6 L* lighter than the curve; counts 84 % only.
            Reading 24 (patch 0, 0.0 % ink): 6.4 L* darker than the curve; was left out.
        "#]],
    );
    // Black turns back.
    fit(
        &with(|r| r.iter_mut().for_each(|r| r.value += 40.0 * (0.25 - r.code).max(0.0))),
        expect![[r#"
            Warning [readings] The black turns back: clear film prints 1.9 L* lighter than 12.4 % ink. Less ink than that is not used. Expose less, or look for bronzing in the deepest black.
            Warning [readings] Off the curve: 1; left out: 1. Read the listed patches again; a streak or a speck in the print is best left out.
            Reading 6 (patch 5, 25.0 % ink): 1.1 L* darker than the curve; was left out.
        "#]],
    );
    // Few codes, one repeat off, one patch against its neighbours.
    let few: Vec<Reading> = [
        (0.0, 24.0),
        (0.0, 24.3),
        (0.0, 24.1),
        (0.0, 33.0),
        (0.3, 40.0),
        (0.5, 36.0),
        (0.7, 70.0),
        (1.0, 92.0),
    ]
    .iter()
    .map(|&(c, l)| Reading::lightness(c, l))
    .collect();
    fit(
        &few,
        expect![[r#"
            Hint [readings] 5 different ink codes: the curve is interpolated, not smoothed. From 13 on, scatter is told from tone. 
            Warning [readings] Off the curve: 3; left out: 1. Read the listed patches again; a streak or a speck in the print is best left out.
            Hint [readings] Paper white and deepest black set the whole scale: six readings of each, from different places, halve its doubt. 
            Reading 4 (0.0 % ink): 8.9 L* lighter than the curve; was left out.
            Reading 5 (30.0 % ink): 2.0 L* lighter than the curve; counts, but goes against its neighbours.
            Reading 6 (50.0 % ink): 2.0 L* darker than the curve; counts, but goes against its neighbours.
        "#]],
    );
}

#[test]
fn what_a_correction_remarks() {
    let starting = Correction::starting(Aim::LinearLightness);
    expect![[r#"
        Warning [readings] This correction is not measured, mid tones ± 15 L*: it follows a typical paper. Print a tone chart, read it and enter the readings.
    "#]].assert_eq(&shown(starting.notes()));
    // White reached far too early: the last tones have to share hardly any change.
    let steep = with(|r| {
        r.iter_mut()
            .for_each(|r| r.value = 24.0 + 70.0 * (1.0 - (1.0 - r.code) * (1.0 - r.code) * (1.0 - r.code)));
    });
    let steep = Correction::from_response(&Response::fit(&steep).unwrap(), Aim::LinearLightness);
    expect![[r#"
        Warning [readings] Around picture tone 100 % one step of the picture takes 17.4 times as large a step of ink; tones may break apart there. Use 16-bit pictures; a shorter ink range, or less exposure, evens it out.
    "#]].assert_eq(&shown(steep.notes()));
}

#[track_caller]
fn text(text: &str, asked: Option<Quantity>, want: Expect) {
    want.assert_eq(&shown(&parse(text, asked).notes()));
}

#[test]
fn what_a_text_of_readings_brings_about() {
    text("ink %,density\n0,1.45\n50,0.3\n100,0.1\n", None, expect![[""]]);
    text(
        "0 1.45\n50 0.3\n100 0.1\n",
        None,
        expect![[r#"
        Hint [readings] The values were taken for density, by their size. Choose the quantity if that is wrong. 
    "#]],
    );
    text(
        "0 23\n50 60\n100 92\n",
        None,
        expect![[r#"
        Hint [readings] The values were taken for L*, by their size. Choose the quantity if that is wrong. 
    "#]],
    );
    text(
        "0 23\n0.5 60\n1 92\n",
        Some(Quantity::Lightness),
        expect![[r#"
        Hint [readings] No ink code is above 1: they were taken as parts of one, 1 being full ink. 
    "#]],
    );
    text(
        "1 0 23\n2 50 60\n3 100 92\n",
        Some(Quantity::Lightness),
        expect![[r#"
        Hint [readings] The first column counts up and was taken for patch numbers. 
    "#]],
    );
    text(
        "code,L*,b*,density\n0,23,1,1.45\n100,92,2,0.1\n",
        None,
        expect![[r#"
        Hint [readings] Of density and L* the L* was taken. 
        Hint [readings] Not used: b*. 
    "#]],
    );
    text(
        "code,L*\n0,23\n100,92\n",
        Some(Quantity::Density),
        expect![[r#"
        Warning [readings] The heading says L*, but density was chosen. Choose the quantity the heading says, or mend the heading.
        Error [readings] Line 2: 23 is outside -0.1 to 4.5 for density. Check the digits, and whether these are densities or L*.
        Error [readings] Line 3: 92 is outside -0.1 to 4.5 for density. Check the digits, and whether these are densities or L*.
    "#]],
    );
    text(
        "code,L\r\n0,\"94,0\"\r\n",
        None,
        expect![[r#"
        Hint [readings] Quoted numbers with a comma were read as decimals. 
    "#]],
    );
    text(
        "code,density\n0,=1+1\n10,\n,0.4\n130,0.4\n40,\"1.234,5\"\n50,1e999\n60,7.5\n70,abc,\nx,1\n",
        None,
        expect![[r#"
        Error [readings] Line 2: “=1+1” is not a number. Type digits with comma or point.
        Error [readings] Line 3: the reading is missing. Type density or L* after the ink code.
        Error [readings] Line 4: the ink code is missing. Type the ink code in percent, then the reading.
        Error [readings] Line 5: the ink code 130 is outside 0 to 100 %. Give ink codes in percent, 0 clear film to 100 full ink; divide 8-bit codes by 2.55.
        Error [readings] Line 6: “1.234,5” has both comma and point. Leave out the sign that parts the thousands.
        Error [readings] Line 7: “1e999” is too large. Check the digits.
        Error [readings] Line 8: 7.5 is outside -0.1 to 4.5 for density. Check the digits, and whether these are densities or L*.
        Error [readings] Line 9: “abc” is not a number. Type digits with comma or point.
        Error [readings] Line 10: “x” is not a number. Type digits with comma or point.
    "#]],
    );
    text(
        "ink,a,b\n0,1.45,0.3\n100,0.1,0.1\n",
        None,
        expect![[r#"
        Hint [readings] The values were taken for density, by their size. Choose the quantity if that is wrong. 
        Error [readings] Line 2: the repeats are 54 L* apart. Check the columns; if the comma is the decimal sign, part the columns by semicolons or tabs.
    "#]],
    );
    text(
        "3,3,1,41\n6,7,1,35\n",
        None,
        expect![[r#"
        Error [readings] Line 1: commas part the columns and the decimals. Part the columns by semicolons, tabs or blanks, or write decimals with points.
        Error [readings] Line 2: commas part the columns and the decimals. Part the columns by semicolons, tabs or blanks, or write decimals with points.
    "#]],
    );
    text(
        &"x,1\n".repeat(20),
        None,
        expect![[r#"
        Error [readings] Line 1: the reading is missing. Type density or L* after the ink code.
        Error [readings] Line 2: the reading is missing. Type density or L* after the ink code.
        Error [readings] Line 3: the reading is missing. Type density or L* after the ink code.
        Error [readings] Line 4: the reading is missing. Type density or L* after the ink code.
        Error [readings] Line 5: the reading is missing. Type density or L* after the ink code.
        Error [readings] Line 6: the reading is missing. Type density or L* after the ink code.
        Error [readings] Line 7: the reading is missing. Type density or L* after the ink code.
        Error [readings] Line 8: the reading is missing. Type density or L* after the ink code.
        Error [readings] Line 9: the reading is missing. Type density or L* after the ink code.
        Error [readings] Line 10: the reading is missing. Type density or L* after the ink code.
        Error [readings] Line 11: the reading is missing. Type density or L* after the ink code.
        Error [readings] Line 12: the reading is missing. Type density or L* after the ink code.
        Error [readings] 8 more lines could not be read. Mend the first ones; the others may have the same fault.
    "#]],
    );
    text("", None, expect![[""]]);
}

//! Every note the station can give.
#![cfg(not(target_arch = "wasm32"))]

use super::super::exposure::refusal;
use super::super::strip::StripError;
use super::*;
use crate::station::Device;
use crate::tone::Solved;
use expect_test::expect;
use proptest::prelude::*;

fn with<T>(f: impl FnOnce(&Scene<'_>) -> T) -> T {
    let mut book = Book::fresh(1_000, 7);
    let change = book.on_setup(|s| {
        s.presets.light.lamp = "tube box".into();
        s.presets.light.time = "6:00".into();
    });
    book.apply(change, 1, "test");
    let (tone, device) = (Solved::default(), Device::default());
    f(&Scene { book: &book, now: 1_000, zone_minutes: 0, luck: 1, tone: &tone, device: &device })
}

fn all(list: &[Note]) -> String {
    let line = |n: &Note| format!("{} {:?}: {} {}\n", n.field, n.severity, n.text, n.mend);
    list.iter().map(line).collect()
}

#[test]
fn every_note() {
    let timed = |time: &str| {
        let setup = Preset { time: time.into(), lamp: "tube box".into(), ..Preset::default() };
        Ask { setup, ..Ask::default() }
    };
    let asks = [
        Ask {
            setup: Preset { time: "six".into(), closeness: "1".into(), ..Preset::default() },
            ..Ask::default()
        },
        Ask { setup: Preset { time: "0".into(), ..Preset::default() }, ..Ask::default() },
        Ask {
            setup: Preset { time: "6:00".into(), distance: "near".into(), ..Preset::default() },
            ..Ask::default()
        },
        Ask { change: "9".into(), ..timed("6:00") },
        Ask { change: "-100".into(), change_unit: "percent".into(), ..timed("6:00") },
        Ask { change: "-5".into(), ..timed("10 s") },
        Ask { change: "-1".into(), ..timed("6:00") },
        Ask { looks: "dark".into(), black: "same".into(), patch_now: "x".into(), ..timed("6:00") },
        Ask { strip_count: "40".into(), ..timed("6:00") },
        Ask { strip_first: "2".into(), strip_step: "0.05".into(), ..timed("6:00") },
        Ask { strip_first: "5 h".into(), strip_step: "2".into(), ..timed("6:00") },
        Ask { strip_found: "5".into(), ..timed("6:00") },
        Ask { strip_found: "1".into(), ..timed("6:00") },
        Ask { strip_found: "3".into(), ..timed("6:00") },
        Ask { strip_found: "6".into(), ..timed("6:00") },
        Ask { level: "-3".into(), ..timed("6:00") },
    ];
    let text: String = asks.iter().map(|a| with(|scene| all(&answer(a, scene).notes))).collect();
    let refused: String = with(|scene| {
        let act = act(&Ask::default(), Deed { verb: "strip-around", place: "" }, scene);
        all(&act.notes)
    });
    let rest: String =
        [StripError::Count, StripError::First, StripError::Step].map(|e| all(&[refusal(e)])).concat();
    expect![[r#"
        setup.time Error: The exposure time is not a time. Type 6:00, 6 min, or a plain number of seconds such as 360.
        setup.closeness Error: The closeness to black is 1, outside 0.005 to 0.2. Check the digits and the unit beside the field.
        setup.time Error: The exposure time is 0:00, outside 0:01 to 24:00:00. Check it: 6:00 is six minutes.
        setup.lamp Warning: Lamp, distance or cover sheet differ from the setup, the time does not. Find the new time with a strip or a meter, never by watts: near tubes and panels no rule of distance holds.
        setup.distance Error: The distance is not a number. Type digits with comma or point, or a fraction such as 8 1/2.
        change Error: The change is 9, outside −5 to 5. Check the digits and the unit beside the field.
        change Error: The change is −100, outside −95 to 3000. Check the digits and the unit beside the field.
        change Error: The changed time in seconds is 0.3, outside 1 to 86400. Check the digits and the unit beside the field.
        change Warning: With less light than the setup's, clear film does not reach black. If the picture should be lighter, change its tone instead; shorten only if the setup's time is too long.
        patch_now Error: The patch on this print is not a number. Type digits with comma or point, or a fraction such as 8 1/2.
        strip_count Error: The number of strips is 40, outside 2 to 12. Check the digits and the unit beside the field.
        strip_step Error: Two strips fall on the same second. Take a larger step or a longer first time.
        strip_count Error: The longest strip would take more than a day. Take fewer strips or a smaller step.
        strip_found Warning: The longest strip cannot show that black was reached. Make a strip that goes on longer, until two strips are equally black.
        strip_found Warning: The first strip is black already; a shorter time may do. Make a strip that begins shorter.
        strip_found Hint: Steps this wide leave half a stop open. A second strip around this time in half stops or thirds narrows it. 
        strip_found Error: The strip is 6, outside 1 to 5. Check the digits and the unit beside the field.
        level Error: The ultraviolet comes to −3 mW/cm², which no lamp or sun gives. Check the meter's unit: 1 mW/cm² is 10 W/m² and 1000 µW/cm².
        setup.time Error: There is no time yet to lay strips around. Make the doubling strip first, or type a time.
        strip_count Error: A strip plan has 2 to 12 strips. Choose a number between.
        strip_first Error: The first strip has less than a second. Give it a second or more.
        strip_step Error: The step is not above zero. Half a stop is usual.
    "#]].assert_eq(&(text + &refused + &rest));
}

/// Fields that nothing rests on yet, each with letters in it: one note each.
#[test]
fn letters_in_a_field_not_in_use_get_their_note() {
    let abc = || "abc".to_owned();
    let mut ask = Ask { patch_now: abc(), patch_then: abc(), hours: abc(), ..Ask::default() };
    (ask.strip_bare, ask.strip_found) = (abc(), abc());
    (ask.setup.hours, ask.setup.humidity, ask.setup.warming) = (abc(), abc(), abc());
    (ask.air.dry_salt, ask.air.wet_salt) = (abc(), abc());
    (ask.tablet.first, ask.tablet.apart, ask.tablet.count) = (abc(), abc(), abc());
    ask.tablet.black = abc();
    let known = &mut ask.known;
    (known.steps.time, known.steps.film, known.steps.masked) = (abc(), abc(), abc());
    (known.law.level, known.even.left, known.even.pitch, known.even.tubes) = (abc(), abc(), abc(), abc());
    let mut lines: Vec<String> =
        with(|scene| answer(&ask, scene).notes.iter().map(|n| format!("{}: {}", n.field, n.text)).collect());
    lines.sort();
    expect![[r#"
        air.dry_salt: The hygrometer over magnesium chloride is not a number.
        air.wet_salt: The hygrometer over kitchen salt is not a number.
        hours: The hour count now is not a number.
        known.even.left: The place from the left is not a number.
        known.even.pitch: The distance from tube to tube is not a number.
        known.even.tubes: The number of tubes is not a number.
        known.law.level: The light at the frame is not a number.
        known.steps.film: What clear film holds back is not a number.
        known.steps.masked: “abc” is not a number.
        known.steps.time: The step print's time is not a time.
        patch_now: The patch on this print is not a number.
        patch_then: The patch on the reference is not a number.
        setup.hours: The hour count with the setup is not a number.
        setup.humidity: The humidity with the setup is not a number.
        setup.warming: The time between is not a number.
        strip_bare: The strip is not a number.
        strip_found: The strip is not a number.
        tablet.apart: The step is not a number.
        tablet.black: The number of the step is not a number.
        tablet.count: The number of steps is not a number.
        tablet.first: The first step is not a number."#]]
    .assert_eq(&lines.join("\n"));
    // In use and noted already, there is no second one.
    ask.tablet.steps = "1.4 1.3 1.2 1.1 1.0 0.9 0.8".into();
    ask.setup.time = "6:00".into();
    let fields: Vec<String> =
        with(|scene| answer(&ask, scene).notes.iter().map(|n| n.field.clone()).collect());
    let mut once = fields.clone();
    once.sort();
    once.dedup();
    assert_eq!(once.len(), fields.len(), "{fields:?}");
}

#[test]
fn every_verdict() {
    let mut text = String::new();
    for (looks, black, change) in [
        ("dark", "same", ""),
        ("dark", "same", "0.5"),
        ("light", "weaker", ""),
        ("dark", "stronger", ""),
        ("dark", "weaker", ""),
    ] {
        let ask = Ask { looks: looks.into(), black: black.into(), change: change.into(), ..Ask::default() };
        let view = with(|scene| answer(&ask, scene).view);
        text += &format!("{looks} {black} {change}: {} {}\n", view.verdict, view.suggestion);
    }
    let ask = Ask { setup: Preset { time: "6:00".into(), ..Preset::default() }, ..Ask::default() };
    for change in ["-0.5", "0.5"] {
        let ask = Ask { change: change.into(), ..ask.clone() };
        let view = with(|scene| answer(&ask, scene).view);
        text += &format!("{change}: {} {}\n", view.black, view.middle);
    }
    let view = with(|scene| answer(&ask, scene).view);
    text += &format!("{}\n{}\n", view.rule, view.lamp.eyes);
    expect![[r#"
        dark same : The black is as it should be, so the time is right. Leave it, and change the tone of the picture. 
        dark same 0.5: The black is full, and this ticket adds light to the setup's time. Take the change back before anything else. 
        light weaker : The black is weaker than on the reference: more light is needed. If coating, paper and air were the same, change the time. +0.33 stop (0.00 to +0.67), by eye; two readings of a middle patch would narrow it
        dark stronger : The black is stronger than on the reference and the picture darker: less light is needed. −0.33 stop (−0.67 to 0.00), by eye; two readings of a middle patch would narrow it
        dark weaker : Black and picture disagree, so the time is not the cause. Look for a thin or uneven coating, veiled whites, or other moisture than on the reference's day. 
        -0.5: Clear film no longer gives full black: D 1.45 falls to D 1.38 (2.1 L* lighter). Middle tones become about 8.9 L* lighter (7.1 to 11.4).
        0.5: Clear film is black already: D 1.45 becomes D 1.47. Behind it, tones of up to 0.15 more film density close up into black. Middle tones become about 8.8 L* darker (7.1 to 11.4).
        10 % more light is 0.14 stop, and makes middle tones about 2.5 L* darker (2.0 to 3.2).
        At 10 mW/cm², as inside a lamp box, an eye has had its ultraviolet A for eight hours after 100 s; behind a gap that lets a hundredth through, after 2.8 h. Skin: 45 min at most, less with tubes that also give shorter waves.
    "#]].assert_eq(&text);
}

fn asks() -> impl Strategy<Value = Ask> {
    let t = || "(\\PC{0,6}|[0-9.,:/ -]{0,6}|light|dark|same|weaker|stronger|log|percent|uncover)";
    (prop::array::uniform12(t()), t(), t(), t()).prop_map(|(a, level, lamp, distance)| {
        let [time, closeness, change, change_unit, looks, black, now, then, count, first, step, way] = a;
        Ask {
            setup: Preset { time, closeness, lamp, distance, ..Preset::default() },
            change,
            change_unit,
            looks,
            black,
            patch_now: now,
            patch_then: then,
            strip_count: count.clone(),
            strip_first: first,
            strip_step: step,
            strip_way: way,
            strip_found: count,
            level,
            ..Ask::default()
        }
    })
}

proptest! {
    #[test]
    fn any_typing_is_answered(ask in asks()) {
        with(|scene| {
            let out = answer(&ask, scene);
            assert!(!out.ticket.is_empty() && !format!("{:?}", out.view).contains("NaN"));
            for verb in ["settle", "strip-around", "take-strip", "take-suggestion", "keep-setup", "take-setup"] {
                let _ = act(&ask, Deed { verb, place: "" }, scene);
            }
        });
    }
}

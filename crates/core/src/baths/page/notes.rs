//! Every note the station can give.
#![cfg(not(target_arch = "wasm32"))]

use super::*;
use crate::show::TemperatureUnit;
use crate::station::Device;
use crate::tone::Solved;
use expect_test::expect;
use proptest::prelude::*;

fn with<T>(f: impl FnOnce(&Scene<'_>) -> T) -> T {
    let book = Book::fresh(1_000, 7);
    let (tone, device) = (Solved::default(), Device::default());
    f(&Scene { book: &book, now: 1_000, zone_minutes: 0, luck: 1, tone: &tone, device: &device })
}

#[test]
fn every_note() {
    let row = |strength: &str, temperature: &str, minutes: &str, tray: &str| Row {
        name: "Wash".into(),
        contents: "water".into(),
        strength: strength.into(),
        temperature: temperature.into(),
        minutes: minutes.into(),
        tray: tray.into(),
        remark: String::new(),
    };
    let rows = vec![
        row("much", "hot", "soon", "big"),
        row("1 + 2", "300", "", "5"),
        row("", "20 K", "0", "2 L"),
        row("", "-3 °C", "99999", ""),
    ];
    let ask = Ask { setup: Preset { rows, rest: "x".into(), dry: "y".into() } };
    let full = Ask { setup: Preset { rows: vec![Row::default(); MOST], ..Preset::default() } };
    let line = |n: &Note| format!("{} {:?}: {} {}\n", n.field, n.severity, n.text, n.mend);
    let text: String = with(|scene| {
        let more = act(&full, Deed { verb: "add", place: "" }, scene).notes;
        answer(&ask, scene).notes.iter().chain(&more).map(line).collect()
    });
    expect![[r#"
        setup.rest Error: The time of Rest after coating is not a time. Type a plain number of minutes such as 5, or 5:30.
        setup.dry Error: The time of Drying is not a time. Type a plain number of minutes such as 5, or 5:30.
        setup.rows.0.minutes Error: The time of Wash is not a time. Type a plain number of minutes such as 5, or 5:30.
        setup.rows.1.minutes Error: The time of Wash is empty. Type a number, with comma or point.
        setup.rows.2.minutes Error: The time of Wash is 0:00, outside 0:01 to 48:00:00. Check it: 6:00 is six minutes.
        setup.rows.3.minutes Error: The time of Wash is 1666:39:00, outside 0:01 to 48:00:00. Check it: 6:00 is six minutes.
        setup.rows.0.strength Error: The strength of Wash is not a percentage. Type 25, a range such as 25–30, or two with + between; 0 to 100.
        setup.rows.0.temperature Error: The temperature of Wash is not a number. Type digits with comma or point, or a fraction such as 8 1/2.
        setup.rows.0.tray Error: The volume of Wash is not a number. Type digits with comma or point, or a fraction such as 8 1/2.
        setup.rows.1.strength Error: Wash has more strengths than contents. Put a + between the contents too, in the same order.
        setup.rows.1.temperature Error: The temperature of Wash is 300 °C, outside 0 °C to 95 °C. Check the digits and the unit.
        setup.rows.1.tray Error: The volume of Wash is 5, outside 10 to 100000. Check the digits and the unit beside the field.
        setup.rows.2.temperature Error: The temperature of Wash has a unit that is not known here: k. Type °C, °F or the number alone.
        setup.rows.2.tray Error: The volume of Wash has a unit that is not known here: l. Type the number alone; its unit stands beside the field.
        setup.rows.3.temperature Error: The temperature of Wash is −3 °C, outside 0 °C to 95 °C. Check the digits and the unit.
         Error: A sequence has 30 baths at most. Remove one that is not used.
    "#]].assert_eq(&text);
}

proptest! {
    #[test]
    fn any_typing_is_answered(
        texts in prop::collection::vec(prop::array::uniform7("(\\PC{0,8}|[0-9.,:/+–-]{0,6}|edta|hcl)"), 0..6),
        rest in "\\PC{0,6}", verb in "(add|remove|up|down|starting)", place in "(\\PC{0,3}|[0-9])",
    ) {
        let rows: Vec<Row> = texts.into_iter().map(|[name, contents, strength, temperature, minutes, tray, remark]| {
            Row { name, contents, strength, temperature, minutes, tray, remark }
        }).collect();
        let ask = Ask { setup: Preset { rows, dry: rest.clone(), rest } };
        with(|scene| {
            let out = answer(&ask, scene);
            assert_eq!(out.view.baths.len(), ask.setup.rows.len());
            let _ = act(&ask, Deed { verb: &verb, place: &place }, scene);
            let mut other = ask.clone();
            Baths::convert(&mut other, Units::default(), Units { temperature: TemperatureUnit::F, ..Units::default() });
        });
    }
}

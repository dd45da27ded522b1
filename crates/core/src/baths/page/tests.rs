//! What the baths answer and do.

use super::*;
use crate::show::TemperatureUnit;
use crate::station::Device;
use crate::testing::test;
use crate::tone::Solved;

fn with<T>(f: impl FnOnce(&Scene<'_>) -> T) -> T {
    let book = Book::fresh(1_000, 7);
    let (tone, device) = (Solved::default(), Device::default());
    f(&Scene { book: &book, now: 1_000, zone_minutes: 0, luck: 1, tone: &tone, device: &device })
}

#[test]
fn the_starting_sequence_is_answered_whole() {
    with(|scene| {
        let out = answer(&Ask::default(), scene);
        assert_eq!(out.ticket[0], TicketCell::done("baths", "5 baths, 47 min"));
        assert_eq!(out.view.total, "47:00");
        assert_eq!(out.view.baths[0].bath, "potassium oxalate 25–\u{2060}30 %, 20 °C");
        assert_eq!(out.view.baths[4].until, "47:00");
    });
}

#[test]
fn a_tray_is_weighed_out() {
    with(|scene| {
        let mut ask = Ask::default();
        ask.setup.rows[2].tray = "1500 mL".into();
        let out = answer(&ask, scene);
        let wanted =
            "45\u{a0}g tetrasodium EDTA and 22.5–\u{2060}45\u{a0}g sodium sulfite, with water to 1.5 L";
        assert_eq!(out.view.baths[2].make, wanted);
        // Without a volume the strength is said as a recipe.
        assert_eq!(out.view.baths[0].make, "25–\u{2060}30\u{a0}g potassium oxalate in each 100 mL");
        assert_eq!(out.view.baths[4].make, "Nothing to weigh.");
        ask.setup.rows[0].strength.clear();
        ask.setup.rows[1].strength = "strong".into();
        ask.setup.rows[4].contents.clear();
        let makes: Vec<String> = answer(&ask, scene).view.baths.into_iter().map(|b| b.make).collect();
        assert_eq!(makes[0], "Type its strength for the grams.");
        assert_eq!(makes[1], "Mend its strength first.");
        assert_eq!(makes[4], "Type what it holds.");
    });
}

#[test]
fn what_hurts_at_once_is_not_weighed_out_and_the_rest_is_said() {
    with(|scene| {
        let mut ask = Ask::default();
        ask.setup.rows[1].tray = "1000".into();
        assert!(answer(&ask, scene).view.baths[1].make.contains("\u{a0}g citric acid"));
        ask.setup.rows[1].contents = "citric acid + bleach".into();
        ask.setup.rows[1].strength = "2 + 5".into();
        let out = answer(&ask, scene);
        assert_eq!(out.view.baths[1].make, "Not to be made up: see its warning.");
        let danger = |n: &&Note| n.field == "setup.rows.1.contents" && n.text.contains("chlorine");
        assert_eq!(out.notes.iter().find(danger).map(|n| n.severity), Some(crate::note::Severity::Danger));
        let names: Vec<&str> = out.view.dangers.iter().map(|d| d.name.as_str()).collect();
        assert_eq!(names, ["potassium oxalate", "citric acid", "tetrasodium EDTA", "sodium sulfite"]);
        assert!(out.view.dangers[2].codes.starts_with("H318 Causes serious eye damage"));
    });
}

#[test]
fn one_odd_time_withholds_only_the_sums() {
    with(|scene| {
        let mut ask = Ask::default();
        ask.setup.rows[1].minutes = "a while".into();
        let out = answer(&ask, scene);
        assert!(!out.ticket[0].done && out.view.total.is_empty());
        assert_eq!(out.view.baths[0].time, "2:00");
        assert!(out.notes.iter().any(|n| n.field == "setup.rows.1.minutes"));
    });
}

#[test]
fn rows_are_added_moved_and_removed() {
    with(|scene| {
        let names = |verb: &str, place: &str| {
            let mut book = scene.book.clone();
            let act = Baths::act(&Ask::default(), Deed { verb, place }, scene);
            book.apply(act.change.unwrap_or(Change::None), 1, verb);
            Baths::load(&book).setup.rows.iter().map(|r| r.name.clone()).collect::<Vec<_>>().join("|")
        };
        let start = "Developer|Acid clearing|Clearing, first|Clearing, second|Wash";
        assert_eq!(names("up", "1"), "Acid clearing|Developer|Clearing, first|Clearing, second|Wash");
        assert_eq!(names("down", "0"), "Acid clearing|Developer|Clearing, first|Clearing, second|Wash");
        assert_eq!(names("remove", "4"), "Developer|Acid clearing|Clearing, first|Clearing, second");
        assert_eq!(names("add", ""), format!("{start}|"));
        for (verb, place) in [("up", "0"), ("down", "4"), ("remove", "9"), ("remove", "x"), ("up", "-1")] {
            assert_eq!(names(verb, place), start);
        }
    });
}

#[test]
fn temperatures_follow_the_unit() {
    let mut ask = Ask::default();
    let c = Units::default();
    let f = Units { temperature: TemperatureUnit::F, ..c };
    Baths::convert(&mut ask, c, f);
    assert_eq!(ask.setup.rows[0].temperature, "68");
    Baths::convert(&mut ask, f, c);
    assert_eq!(ask, Ask::default());
}

//! What the station shows and does.

use super::*;
use crate::station::Device;
use crate::testing::test;
use crate::tone::Solved;

fn with<T>(f: impl FnOnce(&Scene<'_>) -> T) -> T {
    let book = Book::fresh(1_000, 7);
    let (tone, device) = (Solved::default(), Device::default());
    f(&Scene { book: &book, now: 1_000, zone_minutes: 0, luck: 1, tone: &tone, device: &device })
}

fn timed(time: &str) -> Ask {
    Ask { setup: Preset { time: time.into(), ..Preset::default() }, ..Ask::default() }
}

#[test]
fn a_new_printer_is_sent_to_the_doubling_strip() {
    with(|scene| {
        let out = answer(&Ask::default(), scene);
        assert!(out.view.unknown && !out.view.known && out.notes.is_empty(), "{:?}", out.notes);
        assert!(!out.ticket[0].done);
        let times: Vec<&str> = out.view.strips.iter().map(|s| s.time.as_str()).collect();
        assert_eq!(times, ["1:00", "2:00", "4:00", "8:00", "16:00"]);
        assert_eq!(out.view.moves.last().map(|m| m.at.as_str()), Some("16:00"));
    });
}

#[test]
fn a_third_of_a_stop_more_than_six_minutes() {
    with(|scene| {
        let ask = Ask { change: "1/3".into(), ..timed("6:00") };
        let out = answer(&ask, scene);
        assert_eq!(out.view.time, "7:34");
        assert_eq!(out.ticket[0].text, "7:34 (+0.33 stop)");
        assert!(out.view.middle.contains("darker"));
        for (unit, text) in [("log", "0.1"), ("percent", "25.9 %")] {
            let ask = Ask { change: text.into(), change_unit: unit.into(), ..timed("360") };
            assert_eq!(answer(&ask, scene).view.time, "7:33");
        }
    });
}

#[test]
fn an_odd_change_withholds_the_time_and_nothing_else() {
    with(|scene| {
        let out = answer(&Ask { change: "more".into(), ..timed("6:00") }, scene);
        assert!(!out.view.known && !out.view.unknown && out.view.stuck && out.view.has_plan);
        assert_eq!(out.notes.len(), 1);
        assert_eq!(out.notes[0].field, "change");
    });
}

#[test]
fn buttons_of_the_light() {
    let mut book = Book::fresh(1_000, 7);
    let (tone, device) = (Solved::default(), Device::default());
    let mut press = |verb: &str, ask: &Ask| {
        let change = Light::keep(&book, ask.clone());
        book.apply(change, 1, "type");
        let scene = Scene { book: &book, now: 1_000, zone_minutes: 0, luck: 1, tone: &tone, device: &device };
        let act = Light::act(ask, Deed { verb, place: "" }, &scene);
        if let Some(change) = act.change.clone() {
            book.apply(change, 1, verb);
        }
        (Light::load(&book), book.setup().presets.light.clone(), act)
    };
    let ask = Ask { change: "1".into(), ..timed("6:00") };
    assert_eq!(press("settle", &ask).0, timed("12:00"));
    assert_eq!(press("keep-setup", &timed("6:00")).1, timed("6:00").setup);
    assert_eq!(press("take-setup", &timed("9:00")).0, timed("6:00"));
    let around = press("strip-around", &timed("6:00")).0;
    assert_eq!((around.strip_first.as_str(), around.strip_step.as_str()), ("3:00", "0.5"));
    assert_eq!(press("strip-doubling", &around).0, timed("6:00"));
    let found = Ask { strip_found: "3".into(), ..Ask::default() };
    assert_eq!(press("take-strip", &found).0.setup.time, "4:00");
    let weak = Ask { looks: "light".into(), black: "weaker".into(), change: "0.5".into(), ..timed("6:00") };
    let taken = press("take-suggestion", &weak).0;
    assert_eq!((taken.change.as_str(), taken.looks.as_str()), ("0.83", ""));
    let (_, _, act) = press("go-tone", &taken);
    assert_eq!(act.effects, [Effect::Go("tone")]);
}

//! Every note the station can give.
#![cfg(not(target_arch = "wasm32"))]

use super::*;
use crate::book::{Key, Kind, Object};
use crate::lanes::{Lane, Mark, MarkKind};
use crate::station::Device;
use crate::tone::Solved;
use expect_test::expect;
use proptest::prelude::*;

fn with<R>(book: &Book, now: i64, f: impl FnOnce(&Scene<'_>) -> R) -> R {
    let (tone, device) = (Solved::default(), Device::default());
    f(&Scene { book, now, zone_minutes: 60, luck: 3, tone: &tone, device: &device })
}

fn book(marks: Vec<Mark>) -> Book {
    let mut book = Book::fresh(1_000, 7);
    let change = book.on_ticket(|t| t.asks.light.setup.time = "6:00".into());
    book.apply(change, 1, "test");
    let steps =
        lanes::steps(book.ticket(), &crate::light::Effects::default(), &mut Vec::new()).unwrap_or_default();
    let lane =
        Lane { ticket: book.desk().ticket.clone(), title: "x".into(), steps, marks, ..Lane::default() };
    book.apply(Change::put(Key::new(Kind::Lane, "a"), Object::Lane(Box::new(lane))), 1, "test");
    book
}

fn start() -> Mark {
    Mark { at: 1_000_000, ..Mark::default() }
}

#[test]
fn every_note() {
    let mut all = Vec::new();
    let started = book(vec![start()]);
    with(&started, 900_000, |s| all.extend(answer(&Ask::default(), s).notes));
    let jump = |text: &str| Mark {
        at: 1_000_000 + text.parse::<i64>().unwrap_or(0),
        kind: MarkKind::Clock,
        step: 0,
        text: text.into(),
    };
    for text in ["60000", "-60000"] {
        let jumped = book(vec![start(), jump(text)]);
        with(&jumped, 1_100_000, |s| all.extend(answer(&Ask::default(), s).notes));
    }
    for (minutes, seconds) in [("", ""), ("x", "99"), ("90", "")] {
        let ask = Ask { ran_minutes: minutes.into(), ran_seconds: seconds.into(), ..Ask::default() };
        let deed = Deed { verb: "told-time", place: "" };
        with(&started, 2_000_000, |s| all.extend(Workroom::act(&ask, deed, s).notes));
    }
    let stopped = book(vec![start(), Mark { at: 1_100_000, kind: MarkKind::Stop, ..Mark::default() }]);
    let deed = Deed { verb: "finish", place: "" };
    with(&stopped, 2_000_000, |s| all.extend(Workroom::act(&Ask::default(), deed, s).notes));
    let text: String =
        all.iter().map(|n| format!("{} {:?}: {} {}\n", n.field, n.severity, n.text, n.mend)).collect();
    expect![[r#"
         Warning: The clock of this device went back by 1 min 40 s while a lane ran. Check the time left against another clock, and note what really happened in the remarks.
         Hint: The clock of this device was put forward by 1 min; the times of this lane are corrected for it. 
         Hint: The clock of this device was put back by 1 min; the times of this lane are corrected for it. 
        ran_minutes Error: How long it ran is empty. Type minutes, seconds or both.
        ran_minutes Error: The number of minutes it ran is not a number. Type digits with comma or point, or a fraction such as 8 1/2.
        ran_seconds Error: The number of seconds it ran is 99, outside 0 to 59. Check the digits and the unit beside the field.
        ran_minutes Error: That is longer than has passed since it was started. Type how long it ran in all, or say that it ran until now.
         Hint: P-001 is written; it stands in the book. 
    "#]].assert_eq(&text);
}

#[test]
fn what_is_typed_before_the_record_is_written_is_checked() {
    let mut ask = Ask { meter: "abc".into(), ran_minutes: "abc".into(), ..Ask::default() };
    (ask.strip.ink_0, ask.strip.ink_10, ask.strip.ink_100) = ("abc".into(), "1,2".into(), "60".into());
    let lines: String = with(&book(vec![start()]), 1_100_000, |s| {
        answer(&ask, s).notes.iter().map(|n| format!("{}: {} {}\n", n.field, n.text, n.mend)).collect()
    });
    expect![[r#"
        strip.ink_0: The reading is not a number. Type digits with comma or point, or a fraction such as 8 1/2.
        strip.ink_100: The reading is 60, outside 0 to 4.5. Check the digits and the unit beside the field.
        meter: The meter is not a number. Type digits with comma or point, or a fraction such as 8 1/2.
        ran_minutes: The number of minutes it ran is not a number. Type digits with comma or point, or a fraction such as 8 1/2.
    "#]].assert_eq(&lines);
}

proptest! {
    #[test]
    fn any_typing_marks_and_moment_are_answered(
        texts in prop::array::uniform6("(\\PC{0,8}|[0-9.,]{0,4})"), early in any::<bool>(),
        kinds in prop::collection::vec((0_usize..9, any::<i64>(), 0_u32..9), 0..8), now in any::<i64>(),
        verb in 0_usize..16, place in "(\\PC{0,3}|-?[0-9]{0,20})",
    ) {
        let all = [
            MarkKind::Start, MarkKind::End, MarkKind::Stop, MarkKind::Finish, MarkKind::Discard,
            MarkKind::Told, MarkKind::Undo, MarkKind::Clock, MarkKind::Start,
        ];
        let marks = kinds.into_iter().map(|(k, at, step)| Mark { at, kind: all[k], step, text: place.clone() });
        let book = book(marks.collect());
        let [hand, ran_minutes, ran_seconds, rating, failed, remarks] = texts;
        let ask = Ask { hand, ran_minutes, ran_seconds, rating, failed, remarks, early, ..Ask::default() };
        let verbs = [
            "begin", "start", "resume", "next", "end", "stop", "told-planned", "told-now", "told-time", "undo",
            "discard", "finish", "clock", "hand", "sound", "x",
        ];
        with(&book, now, |scene| {
            let _ = answer(&ask, scene);
            let act = Workroom::act(&ask, Deed { verb: verbs[verb], place: &place }, scene);
            if let Some(change) = act.change {
                let mut book = book.clone();
                book.apply(change, now, "test");
                with(&book, now, |after| answer(&ask, after));
            }
        });
    }
}

//! What the book station says and does, on the demo book.

use expect_test::expect;

use super::*;
use crate::book::demo::demo;
use crate::book::exchange::{ImportError, export, read};
use crate::book::{Day, Desk};
use crate::station::{Device, Effect};
use crate::tone::{Solved, solve};
use crate::tree::ToTree;

/// Noon of 9 November 2025, UTC.
const NOW: i64 = 1_762_689_600_000;

/// A book, a device, and what goes with them.
struct Room {
    book: Book,
    device: Device,
    tone: Solved,
    now: i64,
}

impl Room {
    fn new() -> Self {
        let book = demo(NOW, 7);
        let tone = solve(&book.setup().tone);
        let device = Device { address: "https://example.org/".into(), storing: true, ..Device::default() };
        Self { book, device, tone, now: NOW }
    }

    fn scene(&self) -> Scene<'_> {
        Scene {
            book: &self.book,
            now: self.now,
            zone_minutes: 60,
            luck: 11,
            tone: &self.tone,
            device: &self.device,
        }
    }

    fn answer(&self) -> Answer<View> {
        BookStation::answer(&BookStation::load(&self.book), &self.scene())
    }

    /// Types something.
    fn type_in(&mut self, alter: impl FnOnce(&mut Ask)) {
        let mut ask = BookStation::load(&self.book);
        alter(&mut ask);
        self.book.apply(BookStation::keep(&self.book, ask), self.now, "book/type");
    }

    /// Presses a button, and gives its effects.
    fn press(&mut self, verb: &str, place: &str) -> Vec<Effect> {
        let act = BookStation::act(&BookStation::load(&self.book), Deed { verb, place }, &self.scene());
        self.book.apply(act.change.unwrap_or(Change::None), self.now, verb);
        act.effects
    }

    fn notes(&self) -> String {
        self.answer().notes.iter().map(|n| format!("[{}] {} {}\n", n.field, n.text, n.mend)).collect()
    }
}

#[test]
fn typing_is_kept_in_its_object_and_the_desk_keeps_what_lies_open() {
    let mut room = Room::new();
    room.press("film-open", "0");
    room.press("record-open", "0");
    room.press("setup-open", "demo-b-neutral");
    room.press("day-today", "");
    room.type_in(|ask| {
        ask.title = "Slipway again".into();
        ask.kind = "steps".into();
        ask.film.remarks = "dust".into();
        ask.film.retired = true;
        ask.record.strip_35 = "0,51".into();
        ask.record.rating = "3".into();
        ask.setup.name = "Half and half".into();
        ask.day.humidity = "45".into();
        ask.share = true;
    });
    let book = &room.book;
    assert_eq!((book.ticket().title.as_str(), book.ticket().kind), ("Slipway again", TicketKind::Steps));
    let film = book.film("demo-007").unwrap();
    assert_eq!((film.remarks.as_str(), film.retired), ("dust", true));
    let record = book.record("demo-061").unwrap();
    assert_eq!((record.strip[3].as_str(), record.strip.len(), record.rating.as_str()), ("0,51", 7, "3"));
    assert_eq!(book.setup_of("demo-b-neutral").unwrap().name, "Half and half");
    assert_eq!(book.day("2025-11-09").unwrap().humidity, "45");
    let own: &Desk = book.desk();
    assert_eq!(
        (own.book.film.id.as_str(), own.book.film.remarks.as_str(), own.book.share),
        ("demo-007", "", true)
    );
    let ask = BookStation::load(book);
    assert_eq!(BookStation::keep(book, ask.clone()), BookStation::keep(book, ask));
    let mut again = room.book.clone();
    let commit = again.apply(BookStation::keep(&room.book, BookStation::load(&room.book)), NOW, "again");
    assert!(commit.is_empty(), "loading and keeping changes nothing");
}

/// Without what only keeps lines together.
fn plain(text: &str) -> String {
    text.replace('\u{2060}', "").replace('\u{a0}', " ")
}

#[test]
fn a_bath_that_ended_by_the_start_of_the_next_has_its_time_in_the_record() {
    let room = Room::new();
    let mut record = room.book.record("demo-061").expect("in the demo").clone();
    let last = u32::try_from(record.lane.steps.len() - 1).expect("few steps");
    record.lane.marks.retain(|m| m.kind != crate::lanes::MarkKind::End || m.step == 0 || m.step == last);
    let rows = answer::done(&record, &room.scene());
    for (row, step) in rows.iter().zip(&record.lane.steps).skip(1) {
        let text = plain(&row.value);
        let minutes = text.split_once("really ").and_then(|(_, real)| real.split_once(':'));
        let minutes: f64 = minutes.and_then(|(m, _)| m.parse().ok()).unwrap_or_else(|| panic!("{text}"));
        assert!((minutes - step.seconds / 60.0).abs() <= 1.0, "{text}");
    }
}

#[test]
fn a_record_says_what_was_planned_and_what_was_done() {
    let mut room = Room::new();
    room.press("record-open", "demo-061");
    let view = room.answer().view;
    let pairs = |rows: &[view::PairRow]| -> String {
        rows.iter().map(|r| format!("{}: {}\n", r.label, r.value)).collect()
    };
    expect![[r#"
        P-061: Slipway, low water, 2025-11-08 15:56, Warm, film 7
        Exposure: 6:40
        Coverage as poured: 39 mL/m²
        Iron: lot F5, 20 days open
        Relative humidity: 44 %
        Developer: 18 °C
        Lamp: 330 h
        Exposure: planned 6:40, really 6:42
        Developer: planned 3:00, really 3:02
        Acid clearing: planned 5:00, really 5:02
        Clearing, first: planned 5:00, really 5:02
        Clearing, second: planned 5:00, really 5:02
        Wash: planned 30:00, really 30:02
        Finished: 2025-11-08 15:56
    "#]]
    .assert_eq(&plain(&format!("{}\n{}{}", view.record_title, pairs(&view.planned), pairs(&view.done))));
}

#[test]
fn the_lists_say_what_there_is() {
    let room = Room::new();
    let view = room.answer().view;
    let mut all = format!("{}\n{}\n", view.ticket, view.counts);
    for t in &view.tickets {
        all.push_str(&format!("ticket {} {}; {} {}\n", t.number, t.title, t.detail, t.here));
    }
    for s in &view.setups {
        all.push_str(&format!("setup {}; {}; {} unused {}\n", s.name, s.detail, s.effect, s.unused));
    }
    for f in &view.films {
        all.push_str(&format!("film {} {}; {}; {}\n", f.number, f.title, f.detail, f.state));
    }
    for r in &view.records {
        all.push_str(&format!("record {} {}; {}; {}\n", r.number, r.title, r.detail, r.verdict));
    }
    for d in &view.days {
        all.push_str(&format!("day {}: {}\n", d.label, d.value));
    }
    expect![[r#"
        Ticket 62: setup Warm, film 7
        7 tickets, 3 setups, 1 film, 6 records, 4 days, 0 changes so far
        ticket 62 Slipway, low water; picture, Warm, 2025-11-09 true
        ticket 61 Slipway, low water; picture, Warm, 2025-11-08, printed, P-061 false
        ticket 54 Slipway, low water; picture, Warm, 2025-06-21, printed, P-054 false
        ticket 53 Slipway, low water; picture, Warm, 2025-06-21, printed, P-053 false
        ticket 47 Slipway, low water; picture, Warm, 2025-03-02, printed, P-047 false
        ticket 42 Slipway, low water; picture, Warm, 2025-01-18, printed, P-042 false
        ticket 41 Slipway, low water; picture, Warm, 2025-01-18, printed, P-041 false
        setup Fog day; not measured, 0 tickets, 0 films; Choosing it changes the curve and what is set at: coat, light. unused true
        setup Neutral; not measured, 0 tickets, 0 films; Choosing it changes the curve and what is set at: coat, light. unused true
        setup Warm; 31 patches read, 7 tickets, 1 film;  unused false
        film 7 Slipway, low water; Warm, correction 1, made 2025-01-17, 6 prints; dry
        record P-061 Slipway, low water; 2025-11-08, Warm, film 7; 2 of 5, Thin coat
        record P-054 Slipway, low water; 2025-06-21, Warm, film 7; 5 of 5
        record P-053 Slipway, low water; 2025-06-21, Warm, film 7; 1 of 5, Veiled whites
        record P-047 Slipway, low water; 2025-03-02, Warm, film 7; 5 of 5
        record P-042 Slipway, low water; 2025-01-18, Warm, film 7; reference print, 5 of 5
        record P-041 Slipway, low water; 2025-01-18, Warm, film 7; 3 of 5
        day 2025-11-08: 44 % humidity, lamp 330 h, iron lot F5, 20 days open
        day 2025-06-21: 61 % humidity, lamp 281.5 h, iron lot F4, 3 days open
        day 2025-03-02: 41 % humidity, lamp 236 h, iron lot F3, 55 days open
        day 2025-01-18: 47 % humidity, lamp 212.5 h, iron lot F3, 12 days open
    "#]].assert_eq(&plain(&all));
}

#[test]
fn lists_are_found_by_their_words_and_buttons_mean_the_row_shown() {
    let mut room = Room::new();
    room.type_in(|ask| ask.find = "VEILED whites".into());
    let view = room.answer().view;
    assert_eq!(view.records.iter().map(|r| r.number.as_str()).collect::<Vec<_>>(), ["P-053"]);
    room.press("record-open", "0");
    assert_eq!(room.book.desk().book.record.id, "demo-053");
    room.press("record-open", "99");
    assert_eq!(room.book.desk().book.record.id, "");
}

#[test]
fn tickets_and_setups_come_and_go() {
    let mut room = Room::new();
    assert_eq!(room.press("setup-ticket", "demo-b-neutral"), [Effect::Go("negative")]);
    assert_eq!((room.book.ticket().number, room.book.setup().name.as_str()), (63, "Neutral"));
    room.press("setup-choose", "demo-c-fog");
    assert_eq!(room.book.setup().name, "Fog day");
    assert!(room.book.ticket().asks.coat.setup.agent, "the presets came along");
    room.press("setup-copy", "demo-a-warm");
    let (copy, setup) = room.book.setups().find(|(_, s)| s.name == "Warm, copy").unwrap();
    assert_eq!((setup.corrections.len(), setup.origin.as_str()), (0, "Copied from Warm."));
    let copy = copy.to_owned();
    room.press("setup-delete", "demo-a-warm");
    assert!(room.book.setup_of("demo-a-warm").is_some(), "it is in use");
    room.press("setup-delete", &copy);
    assert!(room.book.setup_of(&copy).is_none());
}

#[test]
fn a_film_that_is_wet_or_wrong_is_warned_of() {
    let mut room = Room::new();
    room.press("film-open", "demo-007");
    room.press("film-printed", "");
    let mut all = String::new();
    for minutes in [0, 30, 90, 13 * 60] {
        room.now = NOW + minutes * 60_000;
        all.push_str(&format!("after {minutes} min: {}\n{}", room.answer().view.film_dryness, room.notes()));
    }
    room.press("setup-choose", "demo-b-neutral");
    room.type_in(|ask| ask.film.retired = true);
    all.push_str(&room.notes());
    expect![[r#"
        after 0 min: Wet: touch-dry in 1 h, fully dry in 12 h.
        [] Film 7 is still wet: touch-dry in 1 h, fully dry in 12 h. Do not lay it on a coating yet; wet ink sticks, and spoils film and print.
        [export] The book was never saved as a file. Save it as a file and keep that on another device.
        after 30 min: Wet: touch-dry in 30 min, fully dry in 11 h 30 min.
        [] Film 7 is still wet: touch-dry in 30 min, fully dry in 11 h 30 min. Do not lay it on a coating yet; wet ink sticks, and spoils film and print.
        [export] The book was never saved as a file. Save it as a file and keep that on another device.
        after 90 min: Touch-dry; fully dry in 10 h 30 min.
        [] Film 7 is touch-dry; fully dry in 10 h 30 min. Wait before it goes under pressure on a coating, or lay a thin clear sheet between.
        [export] The book was never saved as a file. Save it as a file and keep that on another device.
        after 780 min: Dry; printed 2025-11-09 13:00.
        [export] The book was never saved as a file. Save it as a file and keep that on another device.
        [] Film 7 was made for the setup Warm, this ticket prints with Neutral: its tones will be off. Make a film for this setup, or choose the other setup for the ticket.
        [] Film 7 is marked as no longer used. Choose or make another film.
        [export] The book was never saved as a file. Save it as a file and keep that on another device.
    "#]].assert_eq(&all);
}

#[test]
fn keeping_it_safe() {
    let mut room = Room::new();
    let mut all = String::new();
    let mut say = |what: &str, room: &Room| {
        let view = room.answer().view;
        all.push_str(&format!(
            "{what}: kept {}, file {}, ask {}\n{}",
            view.kept,
            view.last_file,
            view.can_ask,
            room.notes()
        ));
    };
    say("never", &room);
    assert_eq!(room.press("export", ""), [Effect::Export]);
    room.device.kept = Some(true);
    say("just now", &room);
    room.now += 24 * 3_600_000;
    say("a day on", &room);
    room.now += 30 * 24 * 3_600_000;
    room.device.kept = Some(false);
    say("a month on", &room);
    room.device.storing = false;
    say("full", &room);
    room.device.demo = true;
    say("demo", &room);
    expect![[r#"
        never: kept not known, file never, ask true
        [export] The book was never saved as a file. Save it as a file and keep that on another device.
        just now: kept yes, file today, ask false
        a day on: kept yes, file yesterday, ask false
        a month on: kept no, file 31 days ago, ask true
        [export] The last file of the book is 31 days old. Save it as a file and keep that on another device.
        full: kept no, file 31 days ago, ask true
        [export] This browser does not store the book at present. Go on working, and save the book as a file before you close the page; free some space, or leave the private window.
        demo: kept no, file 31 days ago, ask false
    "#]].assert_eq(&all);
}

#[test]
fn a_file_is_shown_before_it_is_taken() {
    let mut room = Room::new();
    let file = export(&room.book, vec![], NOW, "t").to_tree();
    room.book = Book::fresh(NOW, 3);
    room.device.incoming = Some(read(file));
    let view = room.answer().view;
    let rows: String =
        view.import_rows.iter().map(|r| format!("{}: {} | {}\n", r.kind, r.merge, r.replace)).collect();
    expect![[r#"
        A book file of 2025-11-09 13:00, with 33 things.
        the desk (units, what lies open): 1 differs, and stays as here | 1 changed to the file's
        setups: 3 new, 1 unchanged | 3 new, 1 removed
        tickets: 7 new, 1 unchanged | 7 new, 1 removed
        films: 1 new | 1 new
        days: 4 new | 4 new
        records: 6 new | 6 new
        papers: 3 new | 3 new
        film stocks: 1 new | 1 new
        inks: 1 new | 1 new
        lamps: 1 new | 1 new
        bottles: 5 new | 5 new
    "#]]
    .assert_eq(&format!("{}\n{rows}", view.import_title));
    assert_eq!(room.press("import-drop", ""), [Effect::CloseIncoming { taken: false }]);
    assert_eq!(room.book, Book::fresh(NOW, 3));
    assert_eq!(room.press("import-replace", ""), [Effect::CloseIncoming { taken: true }]);
    assert!(
        room.book
            .stored()
            .map(|(k, s)| (k, &s.object))
            .eq(demo(NOW, 7).stored().map(|(k, s)| (k, &s.object)))
    );
    room.device.incoming = Some(Err(ImportError::CutOff));
    assert!(room.answer().view.import_failed);
}

#[test]
fn a_link_fills_a_new_setup_and_nothing_else() {
    let mut room = Room::new();
    room.type_in(|ask| ask.share = true);
    let view = room.answer().view;
    assert!(view.link.starts_with("https://example.org/#v=1&name=Warm&"));
    assert!(view.qr.starts_with("<svg"));
    expect!["277 characters; print the code at least 30 mm wide."].assert_eq(&view.link_size);
    assert_eq!(room.press("copy-link", ""), [Effect::Copy(view.link.clone())]);

    room.book = Book::fresh(NOW, 3);
    let (ticket, setup) = (room.book.ticket().clone(), room.book.setup().clone());
    room.device.linked = Some(crate::link::decode(view.link.split_once('#').unwrap().1));
    expect![[r#"
        A link brought the setup “Warm”: 31 patches read.
        [link] This setup came with a link: a starting point, not measured in your room. Find your own exposure time at the light station; it is left empty. Read a chart of your own before you trust the curve.
    "#]].assert_eq(&format!("{}\n{}", room.answer().view.linked_title, room.notes()));
    assert_eq!(room.press("link-use", ""), [Effect::CloseLinked, Effect::Go("book")]);
    assert_eq!((room.book.ticket(), room.book.setup()), (&ticket, &setup), "nothing of one's own changed");
    let (_, new) = room.book.setups().find(|(_, s)| s.name == "Warm").unwrap();
    assert_eq!((new.presets.light.time.as_str(), new.origin.as_str()), ("", crate::link::ORIGIN));
    assert_eq!(new.presets.coat.coverage, "46.5");
    room.device.linked = Some(crate::link::decode("v=1&nothing=1"));
    assert!(!room.answer().view.linked_usable);
    assert_eq!(room.press("link-use", ""), [Effect::CloseLinked]);
}

#[test]
fn a_new_setup_gets_a_name_that_no_other_has() {
    let mut room = Room::new();
    let names = |room: &Room| -> Vec<String> {
        let mut all: Vec<String> = room.book.setups().map(|(_, s)| s.name.clone()).collect();
        all.sort();
        all
    };
    let fragment = crate::link::encode(room.book.setup()).fragment;
    let name = room.book.setup().name.clone();
    room.device.linked = Some(crate::link::decode(&fragment));
    room.press("link-use", "");
    assert!(names(&room).contains(&format!("{name} 2")), "{:?}", names(&room));
    let setup = Setup { name: format!(" {name} "), ..room.book.setup().clone() };
    let change = Change::put(Key::new(Kind::Setup, "other"), Object::Setup(Box::new(setup)));
    room.book.apply(change, 1, "x");
    let linked = &room.device.linked.as_ref().unwrap().setup;
    assert_eq!(super::acts::free_name(&room.book, &linked.name), format!("{name} 3"));
    assert_eq!(super::acts::free_name(&room.book, "Nobody has it"), "Nobody has it");
}

#[test]
fn what_is_typed_wrong_is_noted_beside_its_field() {
    let mut room = Room::new();
    room.press("record-open", "0");
    room.press("day-today", "");
    room.type_in(|ask| {
        ask.record.strip_0 = "black".into();
        ask.record.rating = "6".into();
        ask.day.humidity = "450".into();
        ask.day.temperature = "18 kg".into();
        ask.day.lamp_hours = "-1".into();
    });
    room.device.demo = true;
    expect![[r#"
        [record.strip_0] The reading is not a number. Type digits with comma or point, or a fraction such as 8 1/2.
        [record.rating] The rating is 6, outside 0 to 5. Check the digits and the unit beside the field.
        [day.temperature] The air has a unit that is not known here: kg. Type the number alone; its unit stands beside the field.
        [day.humidity] The humidity is 450, outside 0 to 100. Check the digits and the unit beside the field.
        [day.lamp_hours] The lamp's meter is −1, outside 0 to 200000. Check the digits and the unit beside the field.
    "#]].assert_eq(&room.notes());
    assert_eq!(
        room.book.day("2025-11-09"),
        Some(&Day {
            date: "2025-11-09".into(),
            temperature: "18 kg".into(),
            humidity: "450".into(),
            lamp_hours: "-1".into(),
            ..Day::default()
        })
    );
}

//! What moves the time of a ticket by itself, and that nothing moves it twice.

use super::super::PaperCurve;
use super::*;
use crate::book::{Key, Kind, Object, Record};
use crate::lanes;
use crate::station::Device;
use crate::testing::test;
use crate::tone::Solved;

/// A book whose reference was printed at six minutes; later prints, at so many seconds each, came out by so much log
/// exposure.
fn book(prints: &[(f64, f64)]) -> Book {
    let curve = PaperCurve::starting(0.03);
    let mut book = Book::fresh(1, 2);
    let setup = book.ticket().setup.clone();
    let timed = book
        .on_setup(|s| s.presets.light.time = "6:00".into())
        .and(book.on_ticket(|t| t.asks.light.setup.time = "6:00".into()));
    book.apply(timed, 1, "test");
    let mut change = book::Change::None;
    for (i, (seconds, out)) in (0_u32..).zip([(360.0, 0.0)].iter().chain(prints)) {
        let strip = [0.0, -0.26, -0.53, -0.93, -1.32, -1.8, -2.32]
            .map(|x: f64| format!("{:.3}", curve.density(x + out)))
            .to_vec();
        let mut record =
            Record { number: i, made: i64::from(i), strip, reference: i == 0, ..Record::default() };
        record.ticket.setup.clone_from(&setup);
        record.ticket.asks.light.setup.time = "6:00".into();
        record.lane.steps =
            vec![lanes::LaneStep { exposure: true, seconds: *seconds, ..lanes::LaneStep::default() }];
        let key = Key::new(Kind::Record, format!("r{i}"));
        change = change.and(book::Change::put(key, Object::Record(Box::new(record))));
    }
    book.apply(change, 1, "test");
    book
}

/// Four prints at the reference's time that agree on being 0.05 too weak.
const WEAK: [(f64, f64); 4] = [(360.0, -0.05), (360.0, -0.048), (360.0, -0.052), (360.0, -0.05)];

fn seen<T>(book: &Book, f: impl FnOnce(&Scene<'_>) -> T) -> T {
    let (tone, device) = (Solved::default(), Device::default());
    f(&Scene { book, now: 1_000, zone_minutes: 0, luck: 1, tone: &tone, device: &device })
}

fn view(book: &Book) -> Answer<View> {
    seen(book, |scene| Light::answer(&Light::load(book), scene))
}

/// The time shown, and the seconds that the workroom counts.
fn time(book: &Book) -> (String, f64) {
    let counted = seen(book, |scene| {
        let effects = Effects::of(book.ticket(), scene);
        let steps = lanes::steps(book.ticket(), &effects, &mut Vec::new()).unwrap_or_default();
        steps.into_iter().find(|s| s.exposure).map_or(0.0, |s| s.seconds)
    });
    (view(book).view.time, counted)
}

fn press(book: &mut Book, verb: &str) {
    let act = seen(book, |scene| Light::act(&Light::load(book), Deed { verb, place: "" }, scene));
    book.apply(act.change.unwrap_or(book::Change::None), 2, verb);
}

fn alter(book: &mut Book, f: impl FnOnce(&mut Ask)) {
    let change = book.on_ticket(|t| f(&mut t.asks.light));
    book.apply(change, 2, "type");
}

#[test]
fn own_prints_move_the_time_and_the_workroom_counts_it() {
    let mut book = book(&WEAK);
    // 360 s · 10^0.05 = 404 s.
    assert_eq!(time(&book), ("6:44".into(), 404.0));
    let out = view(&book);
    let rows: Vec<_> = out.view.effects.iter().map(|r| (r.name.as_str(), r.moves.as_str())).collect();
    assert_eq!(rows[..2], [("Time of the setup", "6:00"), ("Your own prints", "+0.17 stop")]);
    assert_eq!(out.view.effects[1].basis, "measured by you (4)");
    assert_eq!((out.view.sum_moves.as_str(), out.ticket[0].text.as_str()), ("6:44", "6:44 (+0.17 stop)"));
    assert!(out.view.has_own && !out.view.can_learned);
    alter(&mut book, |a| a.leave_own = true);
    assert_eq!(time(&book), ("6:00".into(), 360.0));
    assert!(view(&book).view.learned.contains("6:44 would match it"));
    alter(&mut book, |a| (a.leave_own, a.change) = (false, "1".into()));
    assert_eq!(time(&book), ("13:28".into(), 808.0));
}

#[test]
fn a_ticket_from_before_keeps_its_time() {
    let mut book = book(&WEAK);
    // As an older build wrote it: without the field, and with what own prints said put on it as a change.
    let mut tree = crate::tree::ToTree::to_tree(&book.ticket().asks.light);
    if let crate::tree::Tree::Map(fields) = &mut tree {
        fields.retain(|(name, _)| !name.starts_with("leave"));
    }
    let mut old: Ask = crate::tree::from_tree(tree).unwrap();
    assert!(old.leave_own);
    alter(&mut book, |a| *a = old.clone());
    assert_eq!(time(&book), ("6:00".into(), 360.0));
    old.change = "0.17".into();
    alter(&mut book, |a| *a = old);
    assert_eq!(time(&book), ("6:45".into(), 405.0));
}

#[test]
fn a_settled_time_is_not_moved_twice() {
    let mut book = book(&WEAK);
    press(&mut book, "settle");
    assert_eq!(book.ticket().asks.light.setup.time, "6:44");
    assert_eq!(time(&book), ("6:44".into(), 404.0));
    press(&mut book, "keep-setup");
    let (id, setup) = (book.ticket().setup.clone(), book.setup().clone());
    let next = crate::book::Ticket::new(2, &id, &setup, 3);
    let change = book.on_ticket(|t| *t = next);
    book.apply(change, 3, "test");
    assert_eq!(time(&book), ("6:44".into(), 404.0));
    press(&mut book, "settle");
    assert_eq!(book.ticket().asks.light.setup.time, "6:44");
    // A time that was found anew is not drawn back to the reference's either.
    alter(&mut book, |a| a.setup.time = "8:00".into());
    assert_eq!(time(&book), ("8:00".into(), 480.0));
    let out = view(&book).view;
    assert!(out.can_learned && out.learned.contains("another time of the setup"), "{}", out.learned);
    press(&mut book, "take-learned");
    let after = time(&book).1;
    assert!((after - 404.0).abs() <= 2.0, "{after}");
}

#[test]
fn after_settling_only_what_later_prints_say_beyond_it_moves_the_time() {
    // Settled at 404 s; then the same paper wants another 0.05.
    let later: Vec<(f64, f64)> =
        [0.0, 0.001, -0.001, 0.0, 0.0, 0.001, -0.001, 0.0].iter().map(|e| (404.0, -0.05 + e)).collect();
    let mut book = book(&WEAK);
    press(&mut book, "settle");
    let mut other = self::book(&[&WEAK[..], &later[..]].concat());
    let light = book.ticket().asks.light.clone();
    alter(&mut other, |a| *a = light);
    // 360 s · 10^0.1 = 453 s; the clear-film patch stays within what counts as the same coat.
    let after = time(&other).1;
    assert!((after - 453.0).abs() <= 2.0, "{after}");
}

#[test]
fn what_the_meter_or_a_cold_lamp_added_is_not_learned_as_a_slow_paper() {
    // Half the light, twice the time, and prints like the reference.
    let mut book = book(&[(720.0, 0.0), (720.0, 0.001), (720.0, -0.001)]);
    let mut change = book::Change::None;
    for (key, record) in book.records().filter(|(_, r)| !r.reference) {
        let mut record = record.clone();
        let ask = &mut record.ticket.asks.light;
        (ask.setup.meter, ask.meter) = ("8".into(), "4".into());
        change = change.and(book::Change::put(Key::new(Kind::Record, key), Object::Record(Box::new(record))));
    }
    book.apply(change, 2, "test");
    assert_eq!(time(&book), ("6:00".into(), 360.0));
}

#[test]
fn a_cold_lamp_adds_what_it_owes_and_a_warm_one_nothing() {
    let mut book = Book::fresh(1_000, 7);
    // Begins with 60 % of its light, time constant 60 s: the readings are those of the lamp's model.
    let lamp = super::super::lamp::warm_up::WarmUp { start: 0.6, tau: 60.0 };
    let then = format!("{:.4}", 10.0 * lamp.level(30.0));
    alter(&mut book, |a| {
        a.setup.time = "6:00".into();
        (a.setup.cold, a.setup.warmer, a.setup.meter) = ("6".into(), then, "10".into());
    });
    assert_eq!(time(&book).1, 360.0);
    alter(&mut book, |a| a.setup.starts_cold = true);
    // (1 − 0.6) · 60 s = 24 s are owed; the rest of e^(−384/60) is under a tenth of a second.
    assert_eq!(time(&book), ("6:24".into(), 384.0));
    let rows = view(&book).view.effects;
    let row = rows.iter().find(|r| r.name == "The lamp starts cold").unwrap();
    assert_eq!((row.moves.as_str(), row.basis.as_str()), ("+0.09 stop", "three readings of your meter"));
    assert!(row.open.starts_with("± 0.0"), "{}", row.open);
    alter(&mut book, |a| a.setup.warmer.clear());
    let out = view(&book);
    assert_eq!(out.view.time, "6:00");
    assert!(out.notes.iter().any(|n| n.field == "setup.starts_cold"), "{:?}", out.notes);
    alter(&mut book, |a| a.setup.starts_cold = false);
    assert_eq!(view(&book).notes, []);
}

#[test]
fn the_meter_can_be_left_out() {
    let mut book = Book::fresh(1_000, 7);
    alter(&mut book, |a| {
        a.setup.time = "6:00".into();
        (a.setup.meter, a.meter) = ("9".into(), "6".into());
    });
    assert_eq!(time(&book), ("9:00".into(), 540.0));
    assert!(view(&book).view.has_meter);
    alter(&mut book, |a| a.leave_meter = true);
    assert_eq!(time(&book), ("6:00".into(), 360.0));
}

#[test]
fn where_faint_light_counts_less_the_time_by_the_meter_is_longer() {
    let mut book = Book::fresh(1_000, 7);
    alter(&mut book, |a| {
        a.setup.time = "6:00".into();
        (a.setup.meter, a.meter) = ("10".into(), "5".into());
    });
    // Dose alone counts until prints say otherwise: time times light is one figure.
    assert_eq!(time(&book).1 * 5.0, 360.0 * 10.0);
    // E·t^0.8: a quarter of the light took 4^(1/0.8) = 5.66 times the time, half of it takes 2^1.25 = 2.38 times.
    let change = book.on_setup(|s| s.light.law.pairs = "10 6:00\n2.5 33:56".into());
    book.apply(change, 2, "type");
    assert_eq!(time(&book), ("14:16".into(), 856.0));
    let out = view(&book);
    let row = out.view.effects.iter().find(|r| r.name == "How faint light counts").unwrap();
    assert_eq!((row.moves.as_str(), row.basis.as_str()), ("+0.25 stop", "measured by you (2)"));
    assert!(out.view.law.found.contains("Exponent 0.80") && out.view.has_law, "{}", out.view.law.found);
    // The dose to reach grows with it.
    alter(&mut book, |a| a.by_dose = true);
    let dose = seen(&book, |scene| {
        exposure(&Light::load(&book), &Effects::of(book.ticket(), scene), &mut Vec::new())
            .and_then(|e| e.dose)
    });
    assert!((dose.unwrap() / (856.0 * 5.0) - 1.0).abs() < 1e-3, "{dose:?}");
    alter(&mut book, |a| (a.by_dose, a.leave_law) = (false, true));
    assert_eq!(time(&book).1, 720.0);
    // Where prints cannot tell, nothing is moved, and what that leaves open is said.
    let change = book.on_setup(|s| s.light.law.pairs = "10 6:00\n2.5 24:30".into());
    book.apply(change, 2, "type");
    alter(&mut book, |a| a.leave_law = false);
    assert_eq!(time(&book).1, 720.0);
    let rows = view(&book).view.effects;
    let row = rows.iter().find(|r| r.name == "How faint light counts").unwrap();
    assert!(row.moves == "nothing" && row.open.starts_with("± 0."), "{row:?}");
}

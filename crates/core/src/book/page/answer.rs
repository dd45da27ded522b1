//! What the book station shows for what the book holds.

use super::lists::{SHOWN, films, prints, records, setup_name, setups, tickets, uses};
use super::view::{FilmRow, PairRow, RecordRow, SetupRow, TicketRow, View};
use super::words::{basis, joined, plural, titled};
use super::{Ask, called, safety};
use crate::book::{Book, Film, Presets, Record, date, date_time, record_number};
use crate::entry::{self, Range};
use crate::lanes::MarkKind;
use crate::negative::{Drying, FULLY_DRY, TOUCH_DRY, drying};
use crate::note::Note;
use crate::show::{clock, unbroken};
use crate::station::{Answer, Scene};

pub(super) fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
    let mut view = View::default();
    let mut notes = Vec::new();
    ticket(&mut view, ask, scene, &mut notes);
    setup_rows(&mut view, ask, scene);
    film_rows(&mut view, ask, scene);
    record_rows(&mut view, ask, scene, &mut notes);
    days(&mut view, ask, scene, &mut notes);
    safety::keeping(&mut view, scene, &mut notes);
    safety::importing(&mut view, scene, &mut notes);
    safety::linked(&mut view, scene, &mut notes);
    safety::sharing(&mut view, ask, scene, &mut notes);
    Answer { view, notes, ..Answer::default() }
}

fn ticket(view: &mut View, ask: &Ask, scene: &Scene<'_>, notes: &mut Vec<Note>) {
    let book = scene.book;
    let now = book.ticket();
    let film = book.film(&now.film);
    let film_words = film.map_or("no film yet".into(), |f| format!("film {}", f.number));
    view.ticket = format!("Ticket {}: setup {}, {film_words}", now.number, setup_name(book, &now.setup));
    if let Some(film) = film {
        film_of_ticket(film, book, scene, notes);
    }
    let all = tickets(book, ask);
    view.tickets = all
        .iter()
        .take(SHOWN)
        .map(|(id, t)| {
            let done =
                book.record(&t.record).map(|r| unbroken(&format!("printed, {}", record_number(r.number))));
            TicketRow {
                number: t.number.to_string(),
                title: titled(&t.title),
                detail: joined([
                    called(t.kind).into(),
                    setup_name(book, &t.setup),
                    unbroken(&date(t.made, scene.zone_minutes)),
                    done.unwrap_or_default(),
                ]),
                here: *id == book.desk().ticket,
                away: *id != book.desk().ticket,
            }
        })
        .collect();
    longer(view, "tickets", all.len());
}

fn longer(view: &mut View, what: &str, n: usize) {
    if n > SHOWN {
        let gap = if view.longer.is_empty() { "" } else { " " };
        view.longer
            .push_str(&format!("{gap}{n} {what}, the newest {SHOWN} are shown; type words to find others."));
    }
}

/// What is wrong with laying the ticket's film on a coating now.
fn film_of_ticket(film: &Film, book: &Book, scene: &Scene<'_>, notes: &mut Vec<Note>) {
    let n = film.number;
    if film.setup != book.ticket().setup {
        notes.push(Note::warning(
            "",
            format!(
                "Film {n} was made for the setup {}, this ticket prints with {}: its tones will be off.",
                setup_name(book, &film.setup),
                setup_name(book, &book.ticket().setup)
            ),
            "Make a film for this setup, or choose the other setup for the ticket.",
        ));
    }
    if film.retired {
        notes.push(Note::warning(
            "",
            format!("Film {n} is marked as no longer used."),
            "Choose or make another film.",
        ));
    }
    match dryness(film, book, scene) {
        Drying::Wet { touch_in, full_in } => notes.push(Note::warning(
            "",
            format!(
                "Film {n} is still wet: touch-dry in {}, fully dry in {}.",
                span(touch_in),
                span(full_in)
            ),
            "Do not lay it on a coating yet; wet ink sticks, and spoils film and print.",
        )),
        Drying::TouchDry { full_in } => notes.push(Note::warning(
            "",
            format!("Film {n} is touch-dry; fully dry in {}.", span(full_in)),
            "Wait before it goes under pressure on a coating, or lay a thin clear sheet between.",
        )),
        Drying::Unknown | Drying::Dry => {}
    }
}

fn dryness(film: &Film, book: &Book, scene: &Scene<'_>) -> Drying {
    let preset = book.setup_of(&film.setup).map(|s| &s.presets.negative);
    let hours = |text: Option<&String>, start: f64| {
        text.and_then(|t| entry::parse(t).ok())
            .map(|t| t.value)
            .filter(|h| (0.0..=1000.0).contains(h))
            .unwrap_or(start)
    };
    let touch = hours(preset.map(|p| &p.touch_dry), TOUCH_DRY.value);
    let full = hours(preset.map(|p| &p.full_dry), FULLY_DRY.value);
    drying(film.printed, scene.now, touch, full)
}

/// Hours as hours and minutes, rounded up to the minute.
fn span(hours: f64) -> String {
    #[expect(clippy::cast_possible_truncation, reason = "at most a thousand hours")]
    let minutes = (hours * 60.0).ceil() as i64;
    match (minutes / 60, minutes % 60) {
        (0, m) => format!("{m} min"),
        (h, 0) => format!("{h} h"),
        (h, m) => format!("{h} h {m} min"),
    }
}

fn setup_rows(view: &mut View, ask: &Ask, scene: &Scene<'_>) {
    let book = scene.book;
    let last = book.setups().count() < 2;
    view.setups = setups(book)
        .into_iter()
        .map(|(id, setup)| {
            let (tickets, films) = uses(book, id);
            let here = id == book.ticket().setup;
            SetupRow {
                name: setup_name(book, id),
                detail: joined([
                    basis(setup),
                    plural(tickets, "ticket", "tickets"),
                    plural(films, "film", "films"),
                ]),
                origin: setup.origin.clone(),
                here,
                away: !here,
                effect: if here { String::new() } else { effect(&book.ticket().presets(), &setup.presets) },
                unused: tickets == 0 && films == 0 && !last,
            }
        })
        .collect();
    view.has_setup = book.setup_of(&ask.setup.id).is_some();
}

/// Which stations of the ticket choosing a setup would change.
fn effect(now: &Presets, then: &Presets) -> String {
    let changed: Vec<&str> = [
        ("negative", now.negative != then.negative),
        ("coat", now.coat != then.coat),
        ("light", now.light != then.light),
        ("baths", now.baths != then.baths),
    ]
    .into_iter()
    .filter_map(|(name, differs)| differs.then_some(name))
    .collect();
    if changed.is_empty() {
        "Choosing it changes only the curve.".into()
    } else {
        format!("Choosing it changes the curve and what is set at: {}.", changed.join(", "))
    }
}

fn film_rows(view: &mut View, ask: &Ask, scene: &Scene<'_>) {
    let book = scene.book;
    let all = films(book, ask);
    view.films = all
        .iter()
        .take(SHOWN)
        .map(|(id, film)| FilmRow {
            number: film.number.to_string(),
            title: titled(&film.title),
            detail: joined([
                setup_name(book, &film.setup),
                format!(
                    "correction {}{}",
                    film.correction,
                    if film.measured { "" } else { ", not measured" }
                ),
                unbroken(&format!("made {}", date(film.made, scene.zone_minutes))),
                plural(prints(book, id).len(), "print", "prints"),
            ]),
            state: film_state(id, film, book, scene),
        })
        .collect();
    view.has_films = book.films().next().is_some();
    longer(view, "films", all.len());
    let Some(film) = book.film(&ask.film.id) else { return };
    view.has_film = true;
    view.film_title = joined([
        format!("Film {}: {}", film.number, titled(&film.title)),
        setup_name(book, &film.setup),
        format!("correction {}", film.correction),
        unbroken(&format!("made {}", date(film.made, scene.zone_minutes))),
    ]);
    view.film_dryness = match dryness(film, book, scene) {
        Drying::Unknown => "Nobody has said yet that it left the printer.".into(),
        Drying::Wet { touch_in, full_in } => {
            format!("Wet: touch-dry in {}, fully dry in {}.", span(touch_in), span(full_in))
        }
        Drying::TouchDry { full_in } => format!("Touch-dry; fully dry in {}.", span(full_in)),
        Drying::Dry => format!("Dry; printed {}.", date_time(film.printed, scene.zone_minutes)),
    };
    let numbers = prints(book, &ask.film.id);
    view.film_prints = if numbers.is_empty() {
        "No print from it yet.".into()
    } else {
        format!(
            "Printed from it: {}.",
            numbers.iter().map(|n| unbroken(&record_number(*n))).collect::<Vec<_>>().join(", ")
        )
    };
    view.film_unprinted = film.printed <= 0;
    view.film_choosable = book.ticket().film != ask.film.id;
}

fn film_state(id: &str, film: &Film, book: &Book, scene: &Scene<'_>) -> String {
    if film.retired {
        return "retired".into();
    }
    match dryness(film, book, scene) {
        // A print came of it, so it has left the printer; only nobody pressed the button that says when.
        Drying::Unknown if !prints(book, id).is_empty() => "drying not noted".into(),
        Drying::Unknown => "not printed yet".into(),
        Drying::Wet { .. } => "wet".into(),
        Drying::TouchDry { .. } => "touch-dry".into(),
        Drying::Dry => "dry".into(),
    }
}

fn record_rows(view: &mut View, ask: &Ask, scene: &Scene<'_>, notes: &mut Vec<Note>) {
    let book = scene.book;
    let all = records(book, ask);
    view.records = all
        .iter()
        .take(SHOWN)
        .map(|(_, record)| RecordRow {
            number: record_number(record.number),
            title: titled(&record.ticket.title),
            detail: joined([
                unbroken(&date(record.made, scene.zone_minutes)),
                record.setup_name.clone(),
                film_number(record),
            ]),
            verdict: joined([
                if record.reference { "reference print".into() } else { String::new() },
                if record.rating.trim().is_empty() {
                    String::new()
                } else {
                    format!("{} of 5", record.rating.trim())
                },
                record.failed.trim().into(),
            ]),
        })
        .collect();
    view.has_records = book.records().next().is_some();
    longer(view, "records", all.len());
    let Some(record) = book.record(&ask.record.id) else { return };
    view.has_record = true;
    view.record_title = joined([
        format!("{}: {}", record_number(record.number), titled(&record.ticket.title)),
        unbroken(&date_time(record.made, scene.zone_minutes)),
        record.setup_name.clone(),
        film_number(record),
    ]);
    view.planned = record
        .planned
        .iter()
        .map(|(label, value)| PairRow { label: label.clone(), value: value.clone() })
        .collect();
    view.done = done(record, scene);
    view.has_done = !view.done.is_empty();
    let mut strip = ask.record.clone();
    let names = ["strip_0", "strip_10", "strip_20", "strip_35", "strip_50", "strip_70", "strip_100"];
    for (name, text) in names.into_iter().zip(strip.strip()) {
        let field = format!("record.{name}");
        entry::optional(&field, "The reading", text, super::STRIP_DENSITY, &["d"], notes);
    }
    entry::optional(
        "record.rating",
        "The rating",
        &ask.record.rating,
        Range { low: 0.0, high: 5.0 },
        &[],
        notes,
    );
}

fn film_number(record: &Record) -> String {
    if record.film == 0 { String::new() } else { format!("film {}", record.film) }
}

/// Every step with its planned and its real span.
pub(super) fn done(record: &Record, scene: &Scene<'_>) -> Vec<PairRow> {
    let lane = &record.lane;
    let mut rows = Vec::new();
    // A step also ends by the start of the next one, and light may have come in two parts.
    let state = crate::lanes::read(lane, lane.marks.iter().map(|m| m.at).max().unwrap_or_default());
    for (index, step) in (0_u32..).zip(&lane.steps) {
        let of_step = || lane.marks.iter().filter(move |m| m.step == index);
        let start = of_step().find(|m| m.kind == MarkKind::Start).map(|m| m.at);
        let stopped = of_step().rfind(|m| m.kind == MarkKind::Stop).map(|m| m.at);
        let end = stopped.or_else(|| of_step().rfind(|m| m.kind == MarkKind::End).map(|m| m.at));
        let told: Vec<String> =
            of_step().filter(|m| !m.text.trim().is_empty()).map(|m| m.text.trim().to_owned()).collect();
        let span = state.done.iter().find(|d| u32::try_from(d.step) == Ok(index)).map(|d| d.real);
        let span = span.or_else(|| Some(end?.saturating_sub(start?)));
        let really = match (start, span) {
            #[expect(clippy::cast_precision_loss, reason = "a span of milliseconds far below 2^53")]
            (Some(_), Some(span)) => clock(span.max(0) as f64 / 1000.0),
            (Some(_), None) => "begun, its end is not known".into(),
            _ => "not done".into(),
        };
        let cut = if stopped.is_some() { ", stopped" } else { "" };
        rows.push(PairRow {
            label: step.name.clone(),
            value: joined([
                format!("planned {}", clock(step.seconds)),
                format!("really\u{a0}{really}{cut}"),
                told.join("; "),
            ]),
        });
    }
    if let Some(finish) = lane.marks.iter().rfind(|m| m.kind == MarkKind::Finish) {
        rows.push(PairRow { label: "Finished".into(), value: date_time(finish.at, scene.zone_minutes) });
    }
    rows
}

fn days(view: &mut View, ask: &Ask, scene: &Scene<'_>, notes: &mut Vec<Note>) {
    let book = scene.book;
    view.days = book
        .days()
        .rev()
        .take(SHOWN)
        .map(|(_, day)| PairRow {
            label: day.date.clone(),
            value: joined([
                with_unit(&day.temperature, "°"),
                with_unit(&day.humidity, " % humidity"),
                if day.lamp_hours.trim().is_empty() {
                    String::new()
                } else {
                    format!("lamp\u{a0}{}\u{a0}h", day.lamp_hours.trim())
                },
                day.remarks.trim().into(),
            ]),
        })
        .collect();
    let day = book.day(&book.ticket().day);
    view.has_day = day.is_some();
    view.no_day = day.is_none();
    let Some(day) = day else { return };
    view.day_date.clone_from(&day.date);
    let air = match scene.units().temperature {
        crate::show::TemperatureUnit::C => Range { low: -10.0, high: 60.0 },
        crate::show::TemperatureUnit::F => Range { low: 14.0, high: 140.0 },
    };
    entry::optional("day.temperature", "The air", &ask.day.temperature, air, &["°c", "c", "°f", "f"], notes);
    entry::optional(
        "day.humidity",
        "The humidity",
        &ask.day.humidity,
        Range { low: 0.0, high: 100.0 },
        &["%"],
        notes,
    );
    entry::optional(
        "day.lamp_hours",
        "The lamp's meter",
        &ask.day.lamp_hours,
        Range { low: 0.0, high: 200_000.0 },
        &["h"],
        notes,
    );
}

fn with_unit(text: &str, unit: &str) -> String {
    let text = text.trim();
    if text.is_empty() { String::new() } else { format!("{text}{unit}") }
}

//! The demo book: an invented printer's series of pictures of a harbour, with three mixes, a measured setup and six
//! records that tell a story. Nobody and nothing in it is real.
//!
//! The story: P-041 and P-042 find the time; P-047 allows for dry winter air; P-053 looks right in the middle tones by
//! accident, but its whites are veiled; P-054 has fresh iron; P-061 has a thin coat, which looks like too little light.

use super::{Book, Desk};
use super::{
    Bottle, Change, CorrectionVersion, Day, Film, FilmStock, Ink, Key, Kind, Lamp, Object, Paper, Record,
    Setup, Stored, Ticket, TicketKind,
};
use crate::lanes::{Lane, LaneStep, Mark, MarkKind};
use crate::negative::{FilmPlan, PictureFacts};

/// Milliseconds of a minute, an hour and a day.
const MINUTE: i64 = 60_000;
const HOUR: i64 = 60 * MINUTE;
const DAY: i64 = 24 * HOUR;

/// Midnight of 18 January 2025, UTC, from which the demo counts its days.
const START: i64 = 1_737_158_400_000;

/// Readings of setup "warm": ink in %, two reads of the first sheet and one of a second, printed on another day.
/// Patch 17 of the first sheet has a streak in its coating.
const READINGS: &str = "ink %;density;density;density
0;1.43;1.44;1.46
3.3;1.41;1.41;1.44
6.7;1.35;1.36;1.36
10;1.29;1.28;1.29
13.3;1.21;1.21;1.22
16.7;1.08;1.10;1.11
20;0.97;0.98;1.02
23.3;0.85;0.87;0.88
26.7;0.75;0.77;0.77
30;0.66;0.66;0.70
33.3;0.57;0.58;0.62
36.7;0.52;0.53;0.53
40;0.45;0.44;0.46
43.3;0.37;0.37;0.40
46.7;0.33;0.33;0.33
50;0.26;0.28;0.30
53.3;0.24;0.24;0.27
56.7;0.19;0.17;0.24
60;0.20;0.20;0.19
63.3;0.16;0.17;0.18
66.7;0.15;0.15;0.17
70;0.15;0.15;0.16
73.3;0.15;0.13;0.12
76.7;0.13;0.14;0.12
80;0.12;0.14;0.11
83.3;0.11;0.11;0.12
86.7;0.11;0.11;0.11
90;0.11;0.10;0.11
93.3;0.08;0.09;0.10
96.7;0.10;0.09;0.09
100;0.10;0.10;0.09";

/// A record of the story.
struct Told {
    number: u32,
    day: i64,
    title: &'static str,
    seconds: f64,
    humidity: &'static str,
    developer: &'static str,
    lamp: &'static str,
    iron: &'static str,
    coverage: &'static str,
    strip: [&'static str; 7],
    rating: &'static str,
    failed: &'static str,
    remarks: &'static str,
    reference: bool,
}

const STORY: [Told; 6] = [
    Told {
        number: 41,
        day: 0,
        title: "Slipway, low water",
        seconds: 330.0,
        humidity: "46",
        developer: "19",
        lamp: "212",
        iron: "F3, 12 days open",
        coverage: "46.5",
        strip: ["1.42", "1.23", "0.88", "0.48", "0.24", "0.14", "0.09"],
        rating: "3",
        failed: "",
        remarks: "Work print. Everything a little too light; the strip says speed, so more time.",
        reference: false,
    },
    Told {
        number: 42,
        day: 0,
        title: "Slipway, low water",
        seconds: 360.0,
        humidity: "47",
        developer: "20",
        lamp: "212.5",
        iron: "F3, 12 days open",
        coverage: "46.5",
        strip: ["1.45", "1.30", "0.99", "0.54", "0.29", "0.14", "0.08"],
        rating: "5",
        failed: "",
        remarks: "The reference print. Later prints are laid beside it.",
        reference: true,
    },
    Told {
        number: 47,
        day: 43,
        title: "Slipway, low water",
        seconds: 435.0,
        humidity: "41",
        developer: "20",
        lamp: "236",
        iron: "F3, 55 days open",
        coverage: "46.5",
        strip: ["1.45", "1.27", "0.98", "0.53", "0.28", "0.14", "0.08"],
        rating: "5",
        failed: "",
        remarks: "1/12. Dry winter air: 0.08 log more light than the reference, and it matches.",
        reference: false,
    },
    Told {
        number: 53,
        day: 154,
        title: "Slipway, low water",
        seconds: 360.0,
        humidity: "63",
        developer: "24",
        lamp: "281",
        iron: "F3, 166 days open",
        coverage: "46.5",
        strip: ["1.47", "1.31", "0.98", "0.55", "0.31", "0.19", "0.12"],
        rating: "1",
        failed: "Veiled whites",
        remarks: "Same time as the reference. Moist air and old iron cancel in the middle tones; the whites are fogged.",
        reference: false,
    },
    Told {
        number: 54,
        day: 154,
        title: "Slipway, low water",
        seconds: 272.0,
        humidity: "61",
        developer: "22",
        lamp: "281.5",
        iron: "F4, 3 days open",
        coverage: "47",
        strip: ["1.47", "1.27", "0.97", "0.54", "0.30", "0.14", "0.07"],
        rating: "5",
        failed: "",
        remarks: "2/12. Fresh iron, and 0.12 log less light for the moist air. Clean whites again.",
        reference: false,
    },
    Told {
        number: 61,
        day: 294,
        title: "Slipway, low water",
        seconds: 400.0,
        humidity: "44",
        developer: "18",
        lamp: "330",
        iron: "F5, 20 days open",
        coverage: "39",
        strip: ["1.37", "1.20", "0.91", "0.50", "0.27", "0.13", "0.10"],
        rating: "2",
        failed: "Thin coat",
        remarks: "2.01 mL poured in place of 2.40. The blacks fall most: the coat, not the time.",
        reference: false,
    },
];

/// The demo book. `now` and `luck` as everywhere; what it tells happened in 2025 and does not move.
#[must_use]
pub fn demo(now: i64, luck: u64) -> Book {
    let warm = setup("Warm", "0");
    let warm =
        Setup { tone: crate::tone::Ask { readings: READINGS.into(), ..crate::tone::Ask::default() }, ..warm };
    let corrections =
        vec![CorrectionVersion { version: 1, made: START - 7 * DAY, tone: warm.tone.clone(), readings: 31 }];
    let mut warm = Setup { corrections, ..warm };
    warm.presets.light.time = "6:00".into();
    let neutral = setup("Neutral", "50");
    let mut fog = setup("Fog day", "0");
    fog.presets.coat.agent = true;

    let mut objects = stores();
    let mut put = |kind: Kind, id: &str, object: Object| {
        objects.push((Key::new(kind, id), object));
    };
    for (id, record) in records(&warm) {
        let day = &record.ticket.day;
        put(Kind::Day, day, Object::Day(Box::new(day_of(&record))));
        let ticket = Ticket { record: id.clone(), ..record.ticket.clone() };
        put(Kind::Ticket, &format!("demo-{:03}", record.number), Object::Ticket(Box::new(ticket)));
        put(Kind::Record, &id, Object::Record(Box::new(record)));
    }
    put(Kind::Film, "demo-007", Object::Film(Box::new(film())));
    let mut ticket = Ticket::new(62, "demo-a-warm", &warm, now);
    ticket.title = "Slipway, low water".into();
    ticket.film = "demo-007".into();
    ticket.picture = picture();
    size(&mut ticket);
    put(Kind::Ticket, "demo-062", Object::Ticket(Box::new(ticket)));
    put(Kind::Setup, "demo-a-warm", Object::Setup(Box::new(warm)));
    put(Kind::Setup, "demo-b-neutral", Object::Setup(Box::new(neutral)));
    put(Kind::Setup, "demo-c-fog", Object::Setup(Box::new(fog)));
    let desk = Desk { ticket: "demo-062".into(), ..Desk::default() };
    put(Kind::Desk, "desk", Object::Desk(Box::new(desk)));
    let stored = objects.into_iter().map(|(key, object)| (key, Stored { rev: 1, object }));
    let (book, mended) = Book::open(stored, now, luck);
    debug_assert_eq!(mended, Change::None);
    book
}

fn setup(name: &str, platinum: &str) -> Setup {
    let mut setup = Setup { name: name.into(), ..Setup::default() };
    let coat = &mut setup.presets.coat;
    coat.share = platinum.into();
    coat.coverage = "46.5".into();
    coat.surfactant = true;
    let light = &mut setup.presets.light;
    light.lamp = "tube box, 8 tubes of 61 cm".into();
    light.distance = "100".into();
    let negative = &mut setup.presets.negative;
    negative.stock = "clear film A4, lot 22".into();
    negative.ink = "pigment set, eight channels".into();
    setup
}

/// The demo's own picture is drawn by the page; only its name stands here.
fn picture() -> PictureFacts {
    PictureFacts {
        name: "Slipway, low water (demo)".into(),
        // As the imaging worker draws it.
        width: 2_400,
        height: 1_800,
        bits: 16,
        format: "demo".into(),
        profile: "grey".into(),
        ..PictureFacts::default()
    }
}

fn size(ticket: &mut Ticket) {
    ticket.asks.negative.width = "254".into();
    ticket.asks.negative.height = "190".into();
}

fn film() -> Film {
    let plan = FilmPlan {
        number: 7,
        file_name: "film-7-slipway-low-water.tif".into(),
        width_mm: 254.0,
        height_mm: 190.0,
        label: vec![
            "FILM 7  Slipway, low water".into(),
            "Warm  correction 1, 31 readings  2025-01-17".into(),
        ],
        measured: true,
        ..FilmPlan::default()
    };
    Film {
        number: 7,
        title: "Slipway, low water".into(),
        setup: "demo-a-warm".into(),
        correction: 1,
        measured: true,
        plan,
        made: START - DAY,
        printed: START - DAY + HOUR,
        remarks: "A scratch in the sky, top left; does not print.".into(),
        retired: false,
    }
}

fn records(warm: &Setup) -> Vec<(String, Record)> {
    let one = |told: &Told| {
        let begun = START + told.day * DAY + 13 * HOUR + i64::from(told.number % 2) * HOUR;
        let day = super::date(begun, 0);
        let mut ticket = Ticket::new(told.number, "demo-a-warm", warm, begun);
        ticket.kind = TicketKind::Picture;
        ticket.title = told.title.into();
        ticket.film = "demo-007".into();
        ticket.picture = picture();
        ticket.day = day;
        ticket.asks.light.setup.time = crate::show::clock(told.seconds);
        ticket.asks.coat.setup.coverage = told.coverage.into();
        size(&mut ticket);
        let pair = |label: &str, value: String| (label.to_owned(), value);
        let planned = vec![
            pair("Exposure", crate::show::clock(told.seconds)),
            pair("Coverage as poured", format!("{} mL/m²", told.coverage)),
            pair("Iron", format!("lot {}", told.iron)),
            pair("Relative humidity", format!("{} %", told.humidity)),
            pair("Developer", format!("{} °C", told.developer)),
            pair("Lamp", format!("{} h", told.lamp)),
        ];
        let id = format!("demo-{:03}", told.number);
        let lane = lane(&id, told, begun);
        let made = lane.marks.last().map_or(begun, |m| m.at);
        let record = Record {
            number: told.number,
            made,
            ticket,
            setup_name: "Warm".into(),
            film: 7,
            planned,
            lane,
            remarks: told.remarks.into(),
            rating: told.rating.into(),
            failed: told.failed.into(),
            strip: told.strip.map(str::to_owned).to_vec(),
            reference: told.reference,
        };
        (id, record)
    };
    STORY.iter().map(one).collect()
}

/// The lane of a record: every step as long as planned, and a few seconds for the hands.
fn lane(ticket: &str, told: &Told, begun: i64) -> Lane {
    let steps = [
        ("Exposure", told.seconds),
        ("Developer", 180.0),
        ("Acid clearing", 300.0),
        ("Clearing, first", 300.0),
        ("Clearing, second", 300.0),
        ("Wash", 1800.0),
    ];
    let mut marks = Vec::new();
    let mut at = begun;
    for (index, (_, seconds)) in (0_u32..).zip(&steps) {
        marks.push(Mark { at, kind: MarkKind::Start, step: index, text: String::new() });
        #[expect(clippy::cast_possible_truncation, reason = "at most half an hour")]
        let span = (*seconds * 1000.0) as i64;
        at += span + 2_000;
        marks.push(Mark { at, kind: MarkKind::End, step: index, text: String::new() });
        at += 20_000;
    }
    marks.push(Mark { at, kind: MarkKind::Finish, step: 5, text: String::new() });
    let steps = steps
        .iter()
        .map(|(name, seconds)| LaneStep {
            name: (*name).into(),
            seconds: *seconds,
            exposure: *name == "Exposure",
            ..LaneStep::default()
        })
        .collect();
    Lane { ticket: ticket.into(), title: told.title.into(), steps, marks, ..Lane::default() }
}

fn day_of(record: &Record) -> Day {
    let told = STORY.iter().find(|t| t.number == record.number);
    let text = |of: fn(&Told) -> &'static str| told.map_or("", of).to_owned();
    Day {
        date: record.ticket.day.clone(),
        humidity: text(|t| t.humidity),
        lamp_hours: text(|t| t.lamp),
        remarks: format!("iron lot {}", text(|t| t.iron)),
        ..Day::default()
    }
}

fn stores() -> Vec<(Key, Object)> {
    let bottle = |id: &str,
                  name: &str,
                  content: &str,
                  strength: &str,
                  lot: &str,
                  size: &str,
                  price: &str,
                  left: &str| {
        let bottle = Bottle {
            name: name.into(),
            content: content.into(),
            strength: strength.into(),
            lot: lot.into(),
            size: size.into(),
            price: price.into(),
            left: left.into(),
            ..Bottle::default()
        };
        (Key::new(Kind::Bottle, id), Object::Bottle(Box::new(bottle)))
    };
    let paper = |id: &str, name: &str, lot: &str, left: &str| {
        let paper = Paper {
            name: name.into(),
            lot: lot.into(),
            size: "560 × 760".into(),
            price: "9.60".into(),
            left: left.into(),
            remarks: "A quarter sheet a print.".into(),
        };
        (Key::new(Kind::Paper, id), Object::Paper(Box::new(paper)))
    };
    let stock = FilmStock {
        name: "clear film A4".into(),
        lot: "22".into(),
        price: "1.44".into(),
        left: "9".into(),
        touch_dry: "1".into(),
        full_dry: "12".into(),
        ..FilmStock::default()
    };
    let ink = Ink { name: "pigment set, eight channels".into(), ..Ink::default() };
    let lamp = Lamp {
        name: "tube box".into(),
        kind: "tubes".into(),
        distance: "100".into(),
        hours: "330".into(),
        remarks: "Eight tubes of 61 cm, 10 cm above the frame; corners get 16 % less.".into(),
    };
    vec![
        bottle("demo-iron", "iron(III) oxalate, lot F5", "iron", "27", "F5", "50", "26.00", "31"),
        bottle(
            "demo-pd",
            "sodium tetrachloropalladate, lot Pd-9",
            "palladium",
            "13.1",
            "Pd-9",
            "50",
            "152.00",
            "11.4",
        ),
        bottle(
            "demo-pt",
            "potassium tetrachloroplatinate, lot Pt-4",
            "platinum",
            "20",
            "Pt-4",
            "25",
            "188.00",
            "18",
        ),
        bottle("demo-agent", "sodium hexachloroplatinate", "agent", "5", "", "10", "44.00", "8.6"),
        bottle("demo-wetting", "polysorbate 20", "surfactant", "10", "", "50", "6.00", "44"),
        paper("demo-k7", "cotton 300 g/m²", "K7", "6"),
        paper("demo-k8", "cotton 300 g/m²", "K8", "20"),
        paper("demo-m2", "cotton 160 g/m²", "M2", ""),
        (Key::new(Kind::Stock, "demo-film"), Object::Stock(Box::new(stock))),
        (Key::new(Kind::Ink, "demo-ink"), Object::Ink(Box::new(ink))),
        (Key::new(Kind::Lamp, "demo-lamp"), Object::Lamp(Box::new(lamp))),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn the_demo_is_a_whole_book() {
        let book = demo(START + 400 * DAY, 7);
        assert_eq!(book.ticket().title, "Slipway, low water");
        assert_eq!(book.setup().name, "Warm");
        assert!(book.film(&book.ticket().film).is_some());
        let numbers: Vec<u32> = book.records().map(|(_, r)| r.number).collect();
        assert_eq!(numbers, [41, 42, 47, 53, 54, 61]);
        for (id, record) in book.records() {
            assert!(book.setup_of(&record.ticket.setup).is_some(), "{id}");
            assert!(book.day(&record.ticket.day).is_some(), "{id}");
            assert_eq!(record.strip.len(), 7);
        }
        let days: Vec<&str> = book.days().map(|(id, _)| id).collect();
        assert_eq!(days, ["2025-01-18", "2025-03-02", "2025-06-21", "2025-11-08"]);
        assert_eq!(book.next_record_number(), 62);
    }

    #[test]
    fn its_readings_are_31_patches_read_three_times() {
        let read = crate::tone::readings::parse(READINGS, None);
        assert_eq!(read.faults, []);
        assert_eq!(read.rows.len(), 31);
        assert!(read.rows.iter().all(|r| r.values.len() == 3));
    }

    #[test]
    fn it_travels_as_a_link_and_stays_the_same_every_time() {
        let book = demo(1, 2);
        assert_eq!(book, demo(1, 2));
        let out = crate::link::encode(book.setup());
        assert_eq!(out.notes, []);
        assert!(out.fragment.len() <= 400, "{} characters: {}", out.fragment.len(), out.fragment);
        assert!(crate::link::decode(&out.fragment).usable);
    }
}

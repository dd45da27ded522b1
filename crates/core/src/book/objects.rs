//! What a book holds. Every struct is defaulted field by field, so that older files open; texts are as typed.

use super::Kind;
use crate::coat::Recipe;
use crate::lanes::Lane;
use crate::show::Units;
use crate::tree::{FromTree, Mismatch, ToTree, Tree};
use crate::{baths, book, coat, light, make, negative, stores, tone, workroom};
use crate::{fields, words};

/// One object of the book.
#[derive(Clone, Debug, PartialEq)]
pub enum Object {
    /// The desk.
    Desk(Box<Desk>),
    /// A setup.
    Setup(Box<Setup>),
    /// A ticket.
    Ticket(Box<Ticket>),
    /// A film.
    Film(Box<Film>),
    /// A day.
    Day(Box<Day>),
    /// A record.
    Record(Box<Record>),
    /// A lane.
    Lane(Box<Lane>),
    /// A paper.
    Paper(Box<Paper>),
    /// A film stock.
    Stock(Box<FilmStock>),
    /// An ink.
    Ink(Box<Ink>),
    /// A lamp.
    Lamp(Box<Lamp>),
    /// A bottle.
    Bottle(Box<Bottle>),
    /// A recipe.
    Recipe(Box<Recipe>),
    /// A powder.
    Powder(Box<Powder>),
}

/// The same of what is in an object, whatever its kind.
macro_rules! of_each {
    ($object:expr, $x:ident => $of:expr) => {
        match $object {
            Object::Desk($x) => $of,
            Object::Setup($x) => $of,
            Object::Ticket($x) => $of,
            Object::Film($x) => $of,
            Object::Day($x) => $of,
            Object::Record($x) => $of,
            Object::Lane($x) => $of,
            Object::Paper($x) => $of,
            Object::Stock($x) => $of,
            Object::Ink($x) => $of,
            Object::Lamp($x) => $of,
            Object::Bottle($x) => $of,
            Object::Recipe($x) => $of,
            Object::Powder($x) => $of,
        }
    };
}

impl Object {
    /// Its kind, the first part of its key.
    #[must_use]
    pub const fn kind(&self) -> Kind {
        match self {
            Self::Desk(_) => Kind::Desk,
            Self::Setup(_) => Kind::Setup,
            Self::Ticket(_) => Kind::Ticket,
            Self::Film(_) => Kind::Film,
            Self::Day(_) => Kind::Day,
            Self::Record(_) => Kind::Record,
            Self::Lane(_) => Kind::Lane,
            Self::Paper(_) => Kind::Paper,
            Self::Stock(_) => Kind::Stock,
            Self::Ink(_) => Kind::Ink,
            Self::Lamp(_) => Kind::Lamp,
            Self::Bottle(_) => Kind::Bottle,
            Self::Recipe(_) => Kind::Recipe,
            Self::Powder(_) => Kind::Powder,
        }
    }

    /// An object of that kind with nothing in it.
    fn blank(kind: Kind) -> Self {
        match kind {
            Kind::Desk => Self::Desk(Box::default()),
            Kind::Setup => Self::Setup(Box::default()),
            Kind::Ticket => Self::Ticket(Box::default()),
            Kind::Film => Self::Film(Box::default()),
            Kind::Day => Self::Day(Box::default()),
            Kind::Record => Self::Record(Box::default()),
            Kind::Lane => Self::Lane(Box::default()),
            Kind::Paper => Self::Paper(Box::default()),
            Kind::Stock => Self::Stock(Box::default()),
            Kind::Ink => Self::Ink(Box::default()),
            Kind::Lamp => Self::Lamp(Box::default()),
            Kind::Bottle => Self::Bottle(Box::default()),
            Kind::Recipe => Self::Recipe(Box::default()),
            Kind::Powder => Self::Powder(Box::default()),
        }
    }

    /// What it holds, for the tree.
    fn inside(&mut self) -> &mut dyn FromTree {
        of_each!(self, x => &mut **x)
    }

    /// Reads an object: one named value, its name the kind's word.
    ///
    /// # Errors
    /// Another shape, or a kind that this build does not know.
    pub fn from_tree(tree: Tree) -> Result<Self, Mismatch> {
        const WANTED: &str = "one value named by its kind";
        let Tree::Map(mut pairs) = tree else { return Err(Mismatch::new(WANTED, &tree)) };
        let kind = |word: &str| Kind::ALL.into_iter().find(|k| k.word() == word);
        match (pairs.pop(), pairs.pop()) {
            (Some((word, value)), None) if kind(&word).is_some() => {
                let mut object = Self::blank(kind(&word).unwrap_or(Kind::Desk));
                object.inside().take_tree(value)?;
                Ok(object)
            }
            _ => Err(Mismatch::new(WANTED, &Tree::Map(pairs))),
        }
    }
}

impl ToTree for Object {
    fn to_tree(&self) -> Tree {
        let inside: &dyn ToTree = of_each!(self, x => &**x);
        Tree::Map(vec![(self.kind().word().into(), inside.to_tree())])
    }
}

/// What lies open: units, the ticket in hand, what was typed outside tickets.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Desk {
    /// The printer's units and decimal mark.
    pub units: Units,
    /// Identity of the ticket in hand.
    pub ticket: String,
    /// When the book was last saved as a file, in milliseconds since 1970; 0 if never.
    pub exported: i64,
    /// Typed at the stores.
    pub stores: stores::Ask,
    /// Typed where a bottle is made.
    pub make: make::Ask,
    /// Typed in the workroom.
    pub workroom: workroom::Ask,
    /// Typed at the book.
    pub book: book::page::Ask,
    /// Typed about the air of the room.
    pub air: light::page::air::Ask,
}

fields!(Desk: units, ticket, exported, stores, make, workroom, book, air);

/// What must stay the same for a print to repeat.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Setup {
    /// Its name.
    pub name: String,
    /// The units its texts were typed in.
    pub units: Units,
    /// What the stations of a ticket start from.
    pub presets: Presets,
    /// Readings and aim: where the correction comes from.
    pub tone: tone::Ask,
    /// Corrections that films were made with, oldest first.
    pub corrections: Vec<CorrectionVersion>,
    /// Where it came from, if not made here: a share link's note.
    pub origin: String,
    /// What is known of its light: step print, evenness.
    pub light: light::Known,
    /// The map of the frame's light that films are evened by.
    pub map: light::lamp::map::Map,
}

fields!(Setup: name, units, presets, tone, corrections, origin, light, map);

impl Setup {
    /// The setup a new printer starts with: palladium, nothing measured yet.
    #[must_use]
    pub fn first() -> Self {
        Self { name: "Palladium".into(), ..Self::default() }
    }
}

/// What a setup fixes at each station.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Presets {
    /// At the negative.
    pub negative: negative::Preset,
    /// At the coat.
    pub coat: coat::Preset,
    /// At the light.
    pub light: light::Preset,
    /// At the baths.
    pub baths: baths::Preset,
}

fields!(Presets: negative, coat, light, baths);

/// A correction that a film was made with.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct CorrectionVersion {
    /// Its number within the setup, from 1.
    pub version: u32,
    /// When it was first used, in milliseconds since 1970.
    pub made: i64,
    /// What it was computed from.
    pub tone: tone::Ask,
    /// How many readings stood behind it; 0 for the starting correction.
    pub readings: u32,
}

fields!(CorrectionVersion: version, made, tone, readings);

/// What a ticket is for.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum TicketKind {
    /// A picture.
    #[default]
    Picture,
    /// A time strip.
    Strip,
    /// An ink ramp.
    Ramp,
    /// A tone chart.
    Chart,
    /// A step print.
    Steps,
    /// An evenness print.
    Evenness,
    /// A fog test.
    Fog,
}

words!(
    TicketKind:
    Picture "picture", Strip "strip", Ramp "ramp", Chart "chart", Steps "steps", Evenness
    "evenness", Fog "fog",
);

/// One planned sheet.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Ticket {
    /// Its number in the book, from 1.
    pub number: u32,
    /// What it is for.
    pub kind: TicketKind,
    /// Its title, usually the picture's.
    pub title: String,
    /// Identity of its setup.
    pub setup: String,
    /// When it was begun, in milliseconds since 1970.
    pub made: i64,
    /// The units its texts were typed in.
    pub units: Units,
    /// What the head of its picture file said; the file itself is not kept.
    pub picture: negative::PictureFacts,
    /// What was typed at each station.
    pub asks: Asks,
    /// Identity of the film it is printed from; empty until one is chosen or made.
    pub film: String,
    /// Identity of the day it is printed on; empty until then.
    pub day: String,
    /// Identity of its record; empty until the lane was finished.
    pub record: String,
}

fields!(Ticket: number, kind, title, setup, made, units, picture, asks, film, day, record);

impl Ticket {
    /// A new ticket that starts from what the setup fixes.
    #[must_use]
    pub fn new(number: u32, setup_id: &str, setup: &Setup, now: i64) -> Self {
        let mut ticket =
            Self { number, setup: setup_id.into(), made: now, units: setup.units, ..Self::default() };
        ticket.take_presets(&setup.presets);
        ticket.asks.light.leave_own = false;
        ticket
    }

    /// Replaces what the setup fixes; what belongs to the ticket alone stays.
    pub fn take_presets(&mut self, presets: &Presets) {
        self.asks.negative.setup = presets.negative.clone();
        self.asks.coat.setup = presets.coat.clone();
        self.asks.light.setup = presets.light.clone();
        self.asks.baths.setup = presets.baths.clone();
    }

    /// What the setup would fix if it took over from this ticket.
    #[must_use]
    pub fn presets(&self) -> Presets {
        Presets {
            negative: self.asks.negative.setup.clone(),
            coat: self.asks.coat.setup.clone(),
            light: self.asks.light.setup.clone(),
            baths: self.asks.baths.setup.clone(),
        }
    }
}

/// What was typed at each station for one ticket.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Asks {
    /// At the negative.
    pub negative: negative::Ask,
    /// At the coat.
    pub coat: coat::Ask,
    /// At the light.
    pub light: light::Ask,
    /// At the baths.
    pub baths: baths::Ask,
}

fields!(Asks: negative, coat, light, baths);

/// One printed sheet of film: made once, printed from many times.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Film {
    /// Its number in the book, from 1; printed on its edge.
    pub number: u32,
    /// Title of the picture on it.
    pub title: String,
    /// Identity of the setup it was made for.
    pub setup: String,
    /// Version of the setup's correction on it.
    pub correction: u32,
    /// Whether that correction rests on readings.
    pub measured: bool,
    /// The plan it was made by.
    pub plan: negative::FilmPlan,
    /// When the file was made, in milliseconds since 1970.
    pub made: i64,
    /// When the film left the printer, in milliseconds since 1970; 0 until told.
    pub printed: i64,
    /// Damage and other remarks.
    pub remarks: String,
    /// No longer used.
    pub retired: bool,
}

fields!(Film: number, title, setup, correction, measured, plan, made, printed, remarks, retired);

/// What holds for all tickets of one day.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Day {
    /// The date, as `2026-02-14`.
    pub date: String,
    /// Air temperature as typed.
    pub temperature: String,
    /// Relative humidity as typed.
    pub humidity: String,
    /// Lamp hours as typed.
    pub lamp_hours: String,
    /// Open bottles, bath fills and other remarks.
    pub remarks: String,
}

fields!(Day: date, temperature, humidity, lamp_hours, remarks);

/// What a record is called by its number, wherever it is spoken of.
#[must_use]
pub fn record_number(number: u32) -> String {
    format!("P-{number:03}")
}

/// What was really done and what came out. Kept for good.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Record {
    /// Its number in the book, from 1.
    pub number: u32,
    /// When the lane was finished, in milliseconds since 1970.
    pub made: i64,
    /// The ticket as it was planned.
    pub ticket: Ticket,
    /// Name of the setup at the time.
    pub setup_name: String,
    /// Number of the film, 0 if none was made here.
    pub film: u32,
    /// The planned figures as they were shown: label and value.
    pub planned: Vec<(String, String)>,
    /// The lane with what really happened.
    pub lane: Lane,
    /// Remarks as typed.
    pub remarks: String,
    /// Stars out of five as typed; empty if not judged.
    pub rating: String,
    /// What failed, as typed.
    pub failed: String,
    /// Readings of the margin strip as typed, clear film first.
    pub strip: Vec<String>,
    /// It is the reference print of its setup and picture.
    pub reference: bool,
}

fields!(
    Record:
    number, made, ticket, setup_name, film, planned, lane, remarks, rating, failed, strip,
    reference,
);

/// A paper in the stores.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Paper {
    /// Name as the printer calls it.
    pub name: String,
    /// Lot.
    pub lot: String,
    /// Sheet size as typed.
    pub size: String,
    /// Price of a sheet as typed.
    pub price: String,
    /// Sheets left as typed.
    pub left: String,
    /// Remarks.
    pub remarks: String,
}

fields!(Paper: name, lot, size, price, left, remarks);

/// A film stock in the stores.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct FilmStock {
    /// Name as the printer calls it.
    pub name: String,
    /// Lot.
    pub lot: String,
    /// Price of a sheet as typed.
    pub price: String,
    /// Sheets left as typed.
    pub left: String,
    /// Hours until touch-dry as typed.
    pub touch_dry: String,
    /// Hours until fully dry as typed.
    pub full_dry: String,
    /// Remarks.
    pub remarks: String,
}

fields!(FilmStock: name, lot, price, left, touch_dry, full_dry, remarks);

/// An ink set in the stores.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ink {
    /// Name as the printer calls it.
    pub name: String,
    /// Remarks.
    pub remarks: String,
}

fields!(Ink: name, remarks);

/// A lamp.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Lamp {
    /// Name as the printer calls it.
    pub name: String,
    /// Kind, e.g. tubes, LED, sun.
    pub kind: String,
    /// Distance to the frame as typed.
    pub distance: String,
    /// Hours as typed.
    pub hours: String,
    /// Remarks.
    pub remarks: String,
}

fields!(Lamp: name, kind, distance, hours, remarks);

/// A bottle, named by its content.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Bottle {
    /// Name as the printer calls it, e.g. "palladium, lot 9".
    pub name: String,
    /// What is in it, see [`coat::Content::word`].
    pub content: String,
    /// Strength as typed.
    pub strength: String,
    /// How it is stated, see [`coat::way`]; empty for % w/v.
    pub basis: String,
    /// Formula the strength counts, as on the label; empty for the usual one of its content.
    pub salt: String,
    /// Potassium chlorate in an iron solution, % w/v, as typed.
    pub chlorate: String,
    /// Lot.
    pub lot: String,
    /// Volume when bought or made, in mL, as typed.
    pub size: String,
    /// Price of the whole as typed.
    pub price: String,
    /// Volume left in mL, as typed.
    pub left: String,
    /// Date opened, as typed.
    pub opened: String,
    /// Drops a millilitre of its own dropper, as typed.
    pub drops: String,
    /// Drops that were counted to measure the dropper, as typed.
    pub count_drops: String,
    /// What they filled in a cylinder in mL, as typed.
    pub count_ml: String,
    /// What they weighed in grams, as typed.
    pub count_g: String,
    /// Grams in a millilitre, as typed.
    pub density: String,
    /// Months it keeps, as typed; empty for the starting value of its content.
    pub keeps: String,
    /// Tests of an iron solution with a crystal of potassium ferricyanide, in the order they were made.
    pub tests: Vec<IronTest>,
    /// Remarks.
    pub remarks: String,
}

fields!(
    Bottle:
    name, content, strength, basis, salt, chlorate, lot, size, price, left, opened, drops, count_drops, count_ml,
    count_g, density, keeps, tests, remarks,
);

/// A powder, from which bottles are made.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Powder {
    /// Name as the printer calls it.
    pub name: String,
    /// Formula on its label, with its water.
    pub salt: String,
    /// Purity in percent as typed; empty for pure.
    pub purity: String,
    /// Lot.
    pub lot: String,
    /// Grams when bought, as typed.
    pub size: String,
    /// Price of the whole as typed.
    pub price: String,
    /// Grams left as typed; empty for all of it.
    pub left: String,
    /// Date bought or opened, as typed.
    pub opened: String,
    /// Remarks.
    pub remarks: String,
}

fields!(Powder: name, salt, purity, lot, size, price, left, opened, remarks);

/// A test of an iron solution.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct IronTest {
    /// When, in milliseconds since 1970.
    pub at: i64,
    /// What was seen.
    pub seen: IronSeen,
}

fields!(IronTest: at, seen);

/// What a crystal of potassium ferricyanide shows in a few drops of iron solution, before and after strong light.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum IronSeen {
    /// No blue before, blue after: good.
    #[default]
    Good,
    /// Blue before: part of the iron is reduced already.
    BlueAtOnce,
    /// No blue after either: it no longer answers light.
    NeverBlue,
}

words!(IronSeen: Good "good", BlueAtOnce "blue-at-once", NeverBlue "never-blue");

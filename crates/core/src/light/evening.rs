//! Evening out the light of a frame on the film: where a place of the print gets more light, its ink holds back so much
//! more.
//!
//! The dimmest place of the print is the one all others are brought down to: black lies at clear film, and no film is
//! clearer than that. So nothing is taken away from the film, and the exposure is longer by what the dimmest place gets
//! less than the place where the setup's time was found.

use std::rc::Rc;

use super::Change;
use super::lamp::lie::{Lie, Top};
use super::lamp::map::{Lamp, Map};
use super::lamp::smooth::Smooth;
use super::page::even::{self, NoLie};
use super::paper::InUse;
use super::paper_curve::CLOSENESS;
use crate::book::{Book, Ticket};
use crate::constant::{Basis, Constant};
use crate::fields;
use crate::negative::PrintSize;
use crate::note::Note;
use crate::quantity::Length;
use crate::show::Units;
use crate::station::Scene;
use crate::tone::Solved;
use crate::tone::ink_density::InkDensity;

/// Nodes along a side of the net over a print.
pub const SIDE: usize = 33;
/// Nodes over ink codes of a level.
pub const CODES: usize = 257;
/// Density from level to level, at most: straight between them is then within a few of 65,535 codes.
const LEVEL: f64 = 0.02;
/// Density that a film is asked to add at most.
pub const MOST: Constant =
    Constant::choice(1.0, "D", 1, "more than three stops across a print: the lamp wants mending");
/// Part of the added density that the paper's steepness leaves open where only the starting curve is known.
const OPEN: Constant = Constant {
    value: 0.25,
    unit: "part",
    digits: 1,
    basis: Basis::FromMemory,
    source: "the papers of the trade are up to a quarter steeper or flatter than the starting curve",
};
/// Change of white, in L*, from which on it is seen beside another.
const SEEN: f64 = 1.0;
/// The field its notes are about.
const FIELD: &str = "setup.even";

/// What a film was evened by; kept with it. Lengths in mm.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Evened {
    /// The map.
    pub map: Map,
    /// Left edge of the picture in the frame.
    pub left_mm: f64,
    /// Its edge that is farthest from the printer, from the frame's far edge.
    pub down_mm: f64,
    /// Width of the picture as it is seen.
    pub width_mm: f64,
    /// Its height.
    pub height_mm: f64,
    /// Where its top points: a word of [`Top`].
    pub top: String,
    /// The most density that is added.
    pub most: f64,
    /// log₁₀ of the exposure over that of the setup.
    pub log_time: f64,
    /// What is known of the ink: a word of [`InkFrom`].
    pub ink: String,
}

fields!(Evened: map, left_mm, down_mm, width_mm, height_mm, top, most, log_time, ink);

/// Where the densities of ink come from.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum InkFrom {
    /// Ink read or seen beside a step tablet.
    Tablet,
    /// Readings of a tone chart through the paper's own curve.
    Print,
    /// Readings of a tone chart through the starting curve.
    Starting,
}

impl InkFrom {
    /// Its word in a book.
    const fn word(self) -> &'static str {
        match self {
            Self::Tablet => "tablet",
            Self::Print => "print",
            Self::Starting => "starting",
        }
    }

    /// In a sentence.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Tablet => "your ink beside a step tablet",
            Self::Print => "your tone readings and your step print",
            Self::Starting => "your tone readings and a starting curve of paper",
        }
    }
}

/// What a pixel's ink becomes, for the writer of films.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Tables {
    /// Light at the nodes of a net over the picture, row by row from its upper left: level 0 to the last.
    pub net: Vec<f32>,
    /// Ink codes that take the place of [`CODES`] equal ones, level by level from 1 on; at level 0 nothing changes.
    pub codes: Vec<f32>,
}

/// A film's evening.
#[derive(Clone, Debug)]
pub struct Evening {
    /// What is kept of it.
    pub evened: Evened,
    /// Density added at the nodes of a net of [`SIDE`] over the picture, row by row from its upper left.
    pub net: Vec<f64>,
    /// The ink.
    pub ink: InkDensity,
    /// Where that comes from.
    pub from: InkFrom,
    /// What of the readings the smooth surface leaves, log exposure, root mean square.
    pub missed: f64,
}

impl Evened {
    /// How the print lies.
    #[must_use]
    pub fn lie(&self) -> Lie {
        let top = Top::of(&self.top);
        let (width, height) = top.taken(self.width_mm, self.height_mm);
        Lie {
            place: super::lamp::evenness::Place {
                left: self.left_mm / self.map.width_mm,
                top: self.down_mm / self.map.height_mm,
                width: width / self.map.width_mm,
                height: height / self.map.height_mm,
            },
            top,
        }
    }

    /// What the exposure is changed by.
    #[must_use]
    pub fn change(&self) -> Change {
        Change::from_log(if self.log_time.is_finite() { self.log_time.clamp(-1.5, 1.5) } else { 0.0 })
    }

    /// How to lay it, in words.
    #[must_use]
    pub fn lain(&self, units: Units) -> String {
        lain(&self.lie(), (self.map.width_mm, self.map.height_mm), units)
    }

    /// Its map in words.
    #[must_use]
    pub fn by(&self, units: Units, zone_minutes: i32) -> String {
        let date = crate::book::date(self.map.made, zone_minutes);
        format!("the map of {date}, under {}", self.map.lamp.words(units))
    }
}

/// How a print lies in a frame of that size in mm, in words.
pub(super) fn lain(lie: &Lie, (width, height): (f64, f64), units: Units) -> String {
    let at = |mm: f64| units.length(Length::from_mm(mm));
    format!(
        "{} from the left, {} from the far edge, its top to {}",
        at(lie.place.left * width),
        at(lie.place.top * height),
        lie.top.words()
    )
}

/// The evening of the film that a ticket is printed from, if it has one.
#[must_use]
pub fn on_film<'a>(book: &'a Book, ticket: &Ticket) -> Option<&'a Evened> {
    book.film(&ticket.film)?.plan.even.as_ref()
}

/// What the film of a ticket changes of its exposure.
#[must_use]
pub fn change(book: &Book, ticket: &Ticket) -> Change {
    on_film(book, ticket).map_or_else(Change::default, Evened::change)
}

/// See [`Solved::ink`], which keeps it: it takes longer than all the rest.
pub(crate) fn ink(tone: &Solved) -> Option<(InkDensity, InkFrom)> {
    if let Some(film) = &tone.paper().film_curve {
        return Some((InkDensity::of_film(film), InkFrom::Tablet));
    }
    let response = tone.response.as_ref()?;
    let curve = InUse::of(tone.paper(), CLOSENESS.value);
    let from = match curve {
        InUse::Own(_) => InkFrom::Print,
        InUse::Starting(_) => InkFrom::Starting,
    };
    let ink = InkDensity::of_print(response, curve.paper(), from == InkFrom::Starting)?;
    Some((ink, from))
}

/// All that an evening is worked out from, beside the tone fit that keeps it.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Wanted {
    size: PrintSize,
    known: even::Ask,
    map: Map,
    lamp: Lamp,
    units: Units,
}

/// An evening, or why there is none.
pub(crate) type Found = Result<Rc<Evening>, Box<Note>>;

/// The evening of a film of this size made now. Two stations show it at every keystroke, so the last one is kept.
///
/// # Errors
/// A note that says why the film is not evened, and what to do.
pub fn evening(size: PrintSize, scene: &Scene<'_>) -> Result<Rc<Evening>, Box<Note>> {
    let (setup, units) = (scene.book.setup(), scene.units());
    scene.tone.evening(Wanted {
        size,
        known: setup.light.even.clone(),
        map: setup.map.clone(),
        lamp: Lamp::of(&scene.book.ticket().asks.light.setup, units),
        units,
    })
}

/// See [`Solved::evening`], which keeps it. It sees no more of the book than what it is kept by, so that nothing it
/// depends on can be forgotten there.
pub(crate) fn find(wanted: &Wanted, tone: &Solved) -> Found {
    let Wanted { size, known, map, lamp, units } = wanted;
    let units = *units;
    let off = |what: String, mend: &str| {
        Box::new(Note::warning(FIELD, format!("The film is not evened: {what}"), mend))
    };
    let Some(grid) = map.grid() else {
        return Err(off(
            "there is no map of the frame.".into(),
            "At the light, read the light of the frame on a grid and take it for films.",
        ));
    };
    if !lamp.same(&map.lamp) {
        return Err(off(
            format!(
                "its map was read under {}, and this ticket is printed under {}.",
                map.lamp.words(units),
                lamp.words(units)
            ),
            "Read the frame again under this lamp, or put the lamp back at the light.",
        ));
    }
    let frame = (map.width_mm, map.height_mm);
    let sides = (size.width.to_mm(), size.height.to_mm());
    let lie = even::lie(known, &grid, frame, sides, units, &mut Vec::new()).map_err(|no| match no {
        NoLie::Larger => off(
            format!(
                "the print is larger than the frame that was read, {} × {}.",
                units.length_field(Length::from_mm(frame.0)),
                units.length(Length::from_mm(frame.1))
            ),
            "Make a smaller print, turn it at the light, or read a larger frame.",
        ),
        NoLie::Beyond => off(
            "where it is to be laid it reaches beyond the frame that was read.".into(),
            "At the light, lay it elsewhere in the frame.",
        ),
    })?;
    let Some((ink, from)) = tone.ink().cloned() else {
        return Err(off(
            "it needs the film's curve, what each ink code holds back.".into(),
            "At the tone station, enter readings of a tone chart, or of ink beside a step tablet.",
        ));
    };
    let surface = Smooth::fit(&grid);
    let (net, dimmest) = net(&surface, &lie);
    let most = net.iter().copied().fold(0.0, f64::max);
    if most > MOST.value {
        let stops = units.number(most / core::f64::consts::LOG10_2, 1);
        return Err(off(
            format!("the light differs by {stops} stops across the print."),
            "Check the readings of the frame, and how lamp and frame stand to each other.",
        ));
    }
    let evened = Evened {
        map: map.clone(),
        left_mm: lie.place.left * frame.0,
        down_mm: lie.place.top * frame.1,
        width_mm: sides.0,
        height_mm: sides.1,
        top: lie.top.word().into(),
        most,
        log_time: found(&surface, &known.found) - dimmest,
        ink: from.word().into(),
    };
    Ok(Rc::new(Evening { evened, net, ink, from, missed: surface.missed }))
}

/// log₁₀ of the light where the setup's time was found.
pub(super) fn found(surface: &Smooth, word: &str) -> f64 {
    let last = (SIDE - 1) as f64;
    let all = (0..SIDE * SIDE).map(|k| surface.log((k % SIDE) as f64 / last, (k / SIDE) as f64 / last));
    match word {
        "most" => all.fold(f64::NEG_INFINITY, f64::max),
        "least" => all.fold(f64::INFINITY, f64::min),
        _ => surface.log(0.5, 0.5),
    }
}

/// Density to add over the print, and log₁₀ of the light at its dimmest place.
pub(super) fn net(surface: &Smooth, lie: &Lie) -> (Vec<f64>, f64) {
    let last = (SIDE - 1) as f64;
    let log = |k: usize| {
        let (x, y) = lie.on_frame(((k % SIDE) as f64 / last, (k / SIDE) as f64 / last));
        surface.log(x, y)
    };
    let logs: Vec<f64> = (0..SIDE * SIDE).map(log).collect();
    let dimmest = logs.iter().copied().fold(f64::INFINITY, f64::min);
    (logs.into_iter().map(|l| l - dimmest).collect(), dimmest)
}

impl Evening {
    /// The tables for the writer; empty where nothing is to be added.
    #[must_use]
    pub fn tables(&self) -> Tables {
        let most = self.evened.most;
        if most < 1e-6 {
            return Tables::default();
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "at most 50")]
        let levels = (most / LEVEL).ceil() as usize;
        let last = (CODES - 1) as f64;
        let code = |k: usize| {
            let added = most * (k / CODES + 1) as f64 / levels as f64;
            self.ink.more((k % CODES) as f64 / last, added)
        };
        #[expect(clippy::cast_possible_truncation, reason = "f32 is what the pixels are in")]
        let short = |v: f64| v as f32;
        Tables {
            net: self.net.iter().map(|d| short(d / most * levels as f64)).collect(),
            codes: (0..levels * CODES).map(|k| short(code(k))).collect(),
        }
    }

    /// How much density full ink lacks where most is added, for ink `white` that prints white; 0 if it lacks none.
    #[must_use]
    pub fn short(&self, white: f64) -> f64 {
        (self.ink.at(white) + self.evened.most - self.ink.full()).max(0.0)
    }

    /// Notes of a film that is evened: what stays.
    pub(crate) fn notes(&self, scene: &Scene<'_>, notes: &mut Vec<Note>) {
        let units = scene.units();
        let correction = &scene.tone.correction;
        let white = correction.at(1.0);
        let short = self.short(white);
        if short > 0.005 {
            // The darkest tone that still gets all it should, and what white becomes where there is most light.
            let reached = self.ink.code(self.ink.full() - self.evened.most);
            let steps = 200;
            let tone = (0..=steps).rfind(|i| correction.at(f64::from(*i) / f64::from(steps)) <= reached);
            let l = scene.tone.response.as_ref().map(|r| (r.at(reached), r.at(white)));
            let shown = l.map_or_else(String::new, |(l, w)| {
                format!("; white becomes L* {} instead of {}", units.number(l, 1), units.number(w, 1))
            });
            let text = format!(
                "Full ink is {} D short where there is most light: tones of the picture above {} % are not evened there{shown}.",
                units.number(short, 2),
                units.number(100.0 * f64::from(tone.unwrap_or(0)) / f64::from(steps), 0)
            );
            let seen = l.is_none_or(|(l, w)| w - l >= SEEN);
            notes.push(if seen {
                let mend = "Lay the print where the light is more even, or print with more ink.";
                Note::warning(FIELD, text, mend)
            } else {
                Note::hint(FIELD, text)
            });
        }
        if self.from == InkFrom::Starting {
            notes.push(Note::warning(
                FIELD,
                format!(
                    "How steep your paper is was not measured: up to {} D may stay uneven.",
                    units.number(OPEN.value * self.evened.most, 2)
                ),
                "Read a step print at the light.",
            ));
        }
    }
}

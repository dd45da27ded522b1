//! The part of the tone station that carries the correction into other programs.

use crate::book::date;
use crate::exchange::carry::{Carry, Polarity};
use crate::exchange::cgats::{self, Head};
use crate::exchange::files::Format;
use crate::exchange::greys::{GreyTable, Greys};
use crate::exchange::icc::Stamp;
use crate::exchange::points::{Dialog, Proposal, propose};
use crate::exchange::{OutFile, csv_out, proof};
use crate::fields;
use crate::note::Note;
use crate::show::Units;
use crate::station::Scene;
use crate::tone::Solved;

/// Scatter of one reading that points are fitted to until readings say otherwise, L*: a scanner's.
const NOISE: f64 = 0.6;
/// Points a dialog takes, to begin with.
const POINTS: &str = "16";

/// What was typed about carrying the correction out.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// What for: `points`, `csv`, `link-grey`, `link-rgb`, `profile`, `clf` or `readings`.
    pub format: String,
    /// `positive` or `inverted`.
    pub polarity: String,
    /// What the picture's greys mean: `lstar`, `srgb`, `gamma18`, `gamma22` or `table`.
    pub greys: String,
    /// Pairs of grey in percent and L*, for `table`.
    pub table: String,
    /// Points the curve dialog takes.
    pub most: String,
    /// How it draws between them: `straight` or `smooth`.
    pub drawn: String,
    /// Its full scale: `255` or `100`.
    pub full: String,
    /// The points as last proposed, and for which answers.
    pub proposed: Proposed,
}

fields!(Ask: format, polarity, greys, table, most, drawn, full, proposed);

/// Points as they were proposed. Finding them takes longer than a keystroke may, so they are kept.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Proposed {
    /// What they were proposed for.
    pub key: String,
    /// Grey in and out, a line a point.
    pub points: String,
    /// How far off they are, in L*.
    pub worst: String,
}

fields!(Proposed: key, points, worst);

impl Default for Ask {
    fn default() -> Self {
        Self {
            format: "points".into(),
            polarity: "positive".into(),
            greys: "gamma22".into(),
            table: String::new(),
            most: POINTS.into(),
            drawn: "smooth".into(),
            full: "255".into(),
            proposed: Proposed::default(),
        }
    }
}

/// What is shown about it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// Points are wanted.
    pub points: bool,
    /// The two questions matter for this file.
    pub asks: bool,
    /// A table of greys is wanted.
    pub typed: bool,
    /// What to do with it.
    pub words: String,
    /// There are points for the answers as they stand.
    pub proposed: bool,
    /// The points.
    pub rows: Vec<PointRow>,
    /// How far off they are.
    pub worst: String,
    /// How the three patches of the proof must look.
    pub proof: Vec<ProofRow>,
}

fields!(out View: points, asks, typed, words, proposed, rows, worst, proof);

/// One point of a curve dialog.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PointRow {
    /// Grey in.
    pub input: String,
    /// Grey out.
    pub output: String,
}

fields!(out PointRow: input, output);

/// One patch of the proof.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ProofRow {
    /// How it must look.
    pub text: String,
}

fields!(out ProofRow: text);

/// One row in every list, so that the names can be checked.
pub(super) fn sample() -> View {
    View { rows: vec![PointRow::default()], proof: vec![ProofRow::default()], ..View::default() }
}

fn greys(ask: &Ask, notes: &mut Vec<Note>) -> Option<Greys> {
    Some(match ask.greys.as_str() {
        "lstar" => Greys::Lightness,
        "srgb" => Greys::Srgb,
        "gamma18" => Greys::Gamma18,
        "table" => match GreyTable::parse(&ask.table) {
            Ok(table) => Greys::Table(table),
            Err(note) => {
                notes.push(Note { field: "carry.table".into(), ..note });
                return None;
            }
        },
        _ => Greys::Gamma22,
    })
}

fn carry<'a>(ask: &Ask, solved: &'a Solved, title: &str, notes: &mut Vec<Note>) -> Option<Carry<'a>> {
    let inverted = ask.polarity == "inverted";
    Some(Carry {
        correction: &solved.correction,
        polarity: if inverted { Polarity::Inverted } else { Polarity::Positive },
        greys: greys(ask, notes)?,
        title: title.to_owned(),
    })
}

fn dialog(ask: &Ask, notes: &mut Vec<Note>) -> Option<Dialog> {
    let range = crate::entry::Range { low: 3.0, high: 40.0 };
    let most = crate::entry::count("carry.most", "The number of points", &ask.most, range, notes)?;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "3 to 40")]
    let most = most.round() as usize;
    Some(Dialog { most, smooth: ask.drawn == "smooth", full: if ask.full == "100" { 100 } else { 255 } })
}

/// What points depend on: the dialog, the two answers, and the correction itself (FNV-1a of its table).
fn key(ask: &Ask, carry: &Carry<'_>) -> String {
    let mut hash = 0xcbf2_9ce4_8422_2325_u64;
    for byte in carry.correction.table().iter().flat_map(|c| c.to_bits().to_le_bytes()) {
        hash = (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3);
    }
    let Ask { polarity, greys, table, most, drawn, full, .. } = ask;
    [polarity, greys, table.trim(), most.trim(), drawn, full, &format!("{hash:x}")].join("/")
}

/// The ask with points proposed for it.
pub(super) fn with_points(ask: &Ask, solved: &Solved, title: &str) -> Result<Ask, Vec<Note>> {
    let mut notes = Vec::new();
    let Some(carry) = carry(ask, solved, title, &mut notes) else { return Err(notes) };
    let Some(proposal) = points(ask, solved, &carry, &mut notes) else { return Err(notes) };
    let points: Vec<String> = proposal.points.iter().map(|p| format!("{} {}", p.input, p.output)).collect();
    let worst = crate::show::decimals(proposal.worst, 2);
    Ok(Ask { proposed: Proposed { key: key(ask, &carry), points: points.join("\n"), worst }, ..ask.clone() })
}

fn points(ask: &Ask, solved: &Solved, carry: &Carry<'_>, notes: &mut Vec<Note>) -> Option<Proposal> {
    let dialog = dialog(ask, notes)?;
    Some(propose(carry, dialog, noise(solved)))
}

/// Scatter of one reading, L*.
fn noise(solved: &Solved) -> f64 {
    solved.response.as_ref().map_or(NOISE, |r| r.statistics().sigma.max(0.1))
}

fn format(word: &str) -> Option<Format> {
    Some(match word {
        "csv" => Format::Csv,
        "link-grey" => Format::LinkGrey,
        "link-rgb" => Format::LinkRgb,
        "profile" => Format::Profile,
        "clf" => Format::Clf,
        _ => return None,
    })
}

/// What is shown.
pub(super) fn answer(ask: &Ask, solved: &Solved, title: &str, units: Units, notes: &mut Vec<Note>) -> View {
    let mut view = View {
        points: ask.format == "points",
        asks: ask.format != "readings",
        typed: ask.greys == "table" && !matches!(ask.format.as_str(), "readings" | "profile"),
        ..View::default()
    };
    let Some(carry) = carry(ask, solved, title, notes) else { return view };
    if view.asks {
        view.words = carry.description();
        view.proof = proof::patches(&carry).into_iter().map(|p| ProofRow { text: p.look }).collect();
    }
    if view.points {
        dialog(ask, notes);
        view.proposed = !ask.proposed.points.is_empty() && ask.proposed.key == key(ask, &carry);
        if view.proposed {
            let worst = ask.proposed.worst.parse().unwrap_or(0.0);
            view.worst = format!("at most {} L* off on the print", units.number(worst, 1));
            let row = |(i, o): (&str, &str)| PointRow { input: i.into(), output: o.into() };
            view.rows = ask.proposed.points.lines().filter_map(|l| l.split_once(' ')).map(row).collect();
            // Said as long as they stand there.
            let left = Proposal::left(view.rows.len(), worst, noise(solved));
            notes.extend(left.map(|note| Note { field: "carry.most".into(), ..note }));
        }
    }
    if ask.format == "profile" && ask.polarity == "inverted" {
        notes.push(Note::error(
            "carry.polarity",
            "A grey profile cannot hold the inversion.",
            "Make it for the positive and invert afterwards, or take a device link.",
        ));
    }
    view
}

/// The file that was chosen.
pub(super) fn file(ask: &Ask, typed: &super::Ask, scene: &Scene<'_>) -> Result<OutFile, Vec<Note>> {
    let mut notes = Vec::new();
    let title = &scene.book.setup().name;
    let solved = scene.tone;
    if ask.format == "readings" {
        return readings_file(typed, title, scene).ok_or_else(|| {
            vec![Note::error(
                "carry.format",
                "There are no readings that could be written.",
                "Type or read some first.",
            )]
        });
    }
    let Some(carry) = carry(ask, solved, title, &mut notes) else { return Err(notes) };
    match format(&ask.format) {
        Some(format) => carry
            .export(format, stamp(scene.now))
            .map_err(|note| vec![Note { field: "carry.polarity".into(), ..note }]),
        None => {
            let proposal = points(ask, solved, &carry, &mut notes).ok_or(notes)?;
            let bytes = csv_out::points(&proposal).into_bytes();
            Ok(OutFile { name: carry.name("points", "csv"), media: "text/csv", bytes })
        }
    }
}

fn readings_file(typed: &super::Ask, title: &str, scene: &Scene<'_>) -> Option<OutFile> {
    let read = crate::exchange::read(&typed.readings, super::quantity(typed), None);
    let quantity = read.quantity.filter(|_| !read.rows.is_empty())?;
    let created = date(scene.now, scene.zone_minutes);
    let head = Head { description: title, created: &created, conditions: "", instrument: &read.instrument };
    let bytes = cgats::write(&head, &read.rows, quantity).into_bytes();
    Some(OutFile { name: format!("readings-{created}.txt"), media: "text/plain", bytes })
}

/// The proof picture that goes the way of every picture: white, middle, black.
#[derive(Clone, Debug, PartialEq)]
pub struct ProofFile {
    /// Their greys, 0…65535.
    pub greys: [u16; 3],
    /// Pixels per inch.
    pub ppi: u32,
    /// `tiff` or `png`.
    pub format: String,
    /// Name of the file.
    pub file_name: String,
    /// How each must look on the film.
    pub description: String,
}

/// The proof picture, or what keeps it from being made.
pub(super) fn proof_file(ask: &Ask, scene: &Scene<'_>) -> Result<ProofFile, Vec<Note>> {
    let mut notes = Vec::new();
    let carry = carry(ask, scene.tone, &scene.book.setup().name, &mut notes);
    let ppi = super::chart::ppi(scene, &mut notes);
    let (Some(carry), Some(ppi)) = (carry, ppi) else { return Err(notes) };
    let png = scene.book.ticket().asks.negative.setup.format == "png";
    Ok(ProofFile {
        greys: proof::patches(&carry).map(|patch| patch.grey),
        ppi,
        format: if png { "png" } else { "tiff" }.into(),
        file_name: carry.name("proof", if png { "png" } else { "tif" }),
        description: proof::words(&carry),
    })
}

/// UTC date and time of a moment.
fn stamp(now: i64) -> Stamp {
    let text = crate::book::date_time(now, 0);
    let mut numbers = text.split(|c: char| !c.is_ascii_digit()).filter_map(|n| n.parse().ok());
    core::array::from_fn(|_| numbers.next().unwrap_or(0))
}

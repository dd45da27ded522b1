//! The plan of a ticket's mix, read from what was typed. Every part is there that could be computed.

use super::bottles::{Shelf, drops_per_ml};
use super::{Ask, CONTENTS, Content, Loss, Mix, STRIP, Sheet, Tool, loss};
use crate::book::Book;
use crate::chemistry::drop::DROPS_PER_ML;
use crate::chemistry::stoichiometry::{Dose, iron_to_metal};
use crate::chemistry::{Salt, Strength};
use crate::entry::{Range, number, optional};
use crate::estimate::Estimate;
use crate::negative::{length, print_size, wanted_size};
use crate::note::Note;
use crate::quantity::{Coverage, Length, Mass, Volume};

const COVERAGE: Range = Range { low: 5.0, high: 300.0 };
const COATS: Range = Range { low: 1.0, high: 4.0 };
const SHEETS: Range = Range { low: 1.0, high: 100.0 };
const SIDE_MM: Range = Range { low: 5.0, high: 2000.0 };
const EDGE_MM: Range = Range { low: 0.0, high: 200.0 };
const RATIO: Range = Range { low: 0.1, high: 10.0 };
const PERCENT: Range = Range { low: 0.0, high: 100.0 };
const STRENGTH: Range = Range { low: 0.1, high: 60.0 };
const AGENT: Range = Range { low: 0.01, high: 100.0 };
const AGENT_DROPS: Range = Range { low: 0.1, high: 100.0 };
const WETTING: Range = Range { low: 0.01, high: 5.0 };
const GRAMS: Range = Range { low: 0.0, high: 10_000.0 };
const DROPS: Range = Range { low: 5.0, high: 100.0 };

/// How many drops a bottle's dropper gives, and whose number that is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Dropper {
    /// Drops a millilitre; above zero.
    pub per_ml: f64,
    /// Somebody counted it.
    pub counted: bool,
}

/// Coverage as poured, and whose it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Poured {
    /// What is planned with.
    pub value: Coverage,
    /// The range about a starting value; `None` when the printer typed one.
    pub range: Option<[Coverage; 2]>,
}

/// What is known of a mix; `None` where a field it depends on is odd.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Plan {
    /// The coated sheet.
    pub sheet: Option<Sheet>,
    /// The size was taken from the negative.
    pub from_negative: bool,
    /// Coverage.
    pub poured: Option<Poured>,
    /// What stays in cup and brush, if they were weighed.
    pub loss: Option<Loss>,
    /// Coats, one over the other.
    pub coats: Option<f64>,
    /// Sheets of this ticket.
    pub sheets: Option<f64>,
    /// Iron and metals for one sheet.
    pub per_sheet: Option<Volume>,
    /// Volumes of iron to one of metal.
    pub ratio: Option<f64>,
    /// Platinum among the metal solutions, 0..1.
    pub share: Option<f64>,
    /// Strength of each content's solution; agent and surfactant only when used.
    pub strengths: [Option<Strength>; CONTENTS],
    /// Droppers of each content.
    pub droppers: [Option<Dropper>; CONTENTS],
    /// µmol Pt(IV) in a mL of iron and metals, low and high as the label may be read.
    pub agent: Option<[f64; 2]>,
    /// Everything in the cup, for all sheets.
    pub mix: Option<Mix>,
}

impl Plan {
    /// Reads what was typed; pushes a note for every odd field.
    #[must_use]
    pub fn read(ask: &Ask, book: &Book, notes: &mut Vec<Note>) -> Self {
        Self::with(ask, book, &Shelf::of(ask, book.bottles()), notes)
    }

    /// The same with the shelf in hand.
    #[must_use]
    pub fn with(ask: &Ask, book: &Book, shelf: &Shelf<'_>, notes: &mut Vec<Note>) -> Self {
        let set = &ask.setup;
        let mut plan = Self::default();
        plan.read_sheet(ask, book, notes);
        let start = Tool::of(&set.tool).start();
        let typed = !set.coverage.trim().is_empty();
        plan.loss = read_loss(ask, notes);
        let own =
            optional("setup.coverage", "The coverage", &set.coverage, COVERAGE, &["ml/m²", "ml/m2"], notes);
        plan.poured = match own {
            Some(x) => {
                let kept =
                    if set.coverage_of == "sheet" { 1.0 - plan.loss.map_or(0.0, |l| l.part) } else { 1.0 };
                Some(Poured { value: Coverage::from_ml_per_m2(x / kept), range: None })
            }
            None if typed => None,
            None => Some(Poured {
                value: Coverage::from_ml_per_m2(start.value.value),
                range: Some([start.low, start.high].map(|c| Coverage::from_ml_per_m2(c.value))),
            }),
        };
        plan.coats = whole("setup.coats", "The number of coats", &set.coats, COATS, notes);
        plan.sheets = whole("sheets", "The number of sheets", &ask.sheets, SHEETS, notes);
        plan.ratio = number("setup.ratio", "Iron to metal", &set.ratio, RATIO, &[], notes);
        plan.share = number("setup.share", "The platinum share", &set.share, PERCENT, &["%"], notes)
            .map(|p| p / 100.0);
        plan.read_strengths(ask, notes);
        plan.read_droppers(ask, shelf, notes);
        plan.per_sheet = plan.volume_of_sheet(|p| p.value);
        plan.compute(ask, notes);
        plan
    }

    fn read_sheet(&mut self, ask: &Ask, book: &Book, notes: &mut Vec<Note>) {
        let (ticket, set) = (book.ticket(), &ask.setup);
        let units = ticket.units;
        let negative =
            print_size(ticket).or_else(|| wanted_size(&ticket.asks.negative, units, &mut Vec::new()));
        let mut side = |name, label, text: &str, from: Option<Length>| {
            if text.trim().is_empty() {
                if from.is_none() {
                    notes.push(Note::error(
                        name,
                        format!("{label} is not known from the negative."),
                        "Type it here, or mend the size at the negative.",
                    ));
                }
                from
            } else {
                length(name, label, text, units, SIDE_MM, notes)
            }
        };
        let width = side("width", "The width", &ask.width, negative.map(|s| s.width));
        let height = side("height", "The height", &ask.height, negative.map(|s| s.height));
        self.from_negative = ask.width.trim().is_empty() && ask.height.trim().is_empty();
        let border = length("setup.border", "The border", &set.border, units, EDGE_MM, notes);
        let margin = length("setup.margin", "The margin", &set.margin, units, EDGE_MM, notes);
        let strip = match ask.strip.as_str() {
            "with" => true,
            "without" => false,
            _ => ticket.asks.negative.setup.strip,
        };
        let strip = Length::from_mm(if strip { STRIP.value } else { 0.0 });
        if let (Some(width), Some(height), Some(border), Some(margin)) = (width, height, border, margin) {
            self.sheet = Some(Sheet { width, height, border, strip, margin });
        }
    }

    fn read_strengths(&mut self, ask: &Ask, notes: &mut Vec<Note>) {
        let set = &ask.setup;
        let share = self.share.unwrap_or(0.5);
        let rows = [
            (Content::Iron, "setup.iron", "The strength of the iron", &set.iron, true),
            (
                Content::Palladium,
                "setup.palladium",
                "The strength of the palladium",
                &set.palladium,
                share < 1.0,
            ),
            (Content::Platinum, "setup.platinum", "The strength of the platinum", &set.platinum, share > 0.0),
            (
                Content::Agent,
                "setup.agent_strength",
                "The strength of the agent",
                &set.agent_strength,
                set.agent,
            ),
            (
                Content::Surfactant,
                "setup.surfactant_strength",
                "The strength of the surfactant",
                &set.surfactant_strength,
                set.surfactant,
            ),
        ];
        for (content, name, label, text, used) in rows {
            if used {
                let range =
                    if content == Content::Surfactant { Range { high: 100.0, ..STRENGTH } } else { STRENGTH };
                self.strengths[content.index()] =
                    number(name, label, text, range, &["%", "%w/v"], notes).map(Strength::from_percent);
            }
        }
    }

    fn read_droppers(&mut self, ask: &Ask, shelf: &Shelf<'_>, notes: &mut Vec<Note>) {
        for content in Content::ALL.into_iter().filter(|c| *c != Content::Stock) {
            let text = ask.setup.drops(content);
            let name = format!("setup.drops_{}", content.word());
            let label = format!("Drops of {}", content.name());
            let typed = optional(&name, &label, text, DROPS, &["drops", "drops/ml"], notes);
            let bottle = || drops_per_ml(shelf.chosen(ask, content)?.bottle);
            self.droppers[content.index()] = match typed {
                Some(per_ml) => Some(Dropper { per_ml, counted: true }),
                None if !text.trim().is_empty() => None,
                None => Some(match bottle() {
                    Some(per_ml) => Dropper { per_ml, counted: true },
                    None => Dropper { per_ml: DROPS_PER_ML.value, counted: false },
                }),
            };
        }
    }

    /// Iron and metals for one sheet at the coverage that `pick` takes.
    pub fn volume_of_sheet(&self, pick: impl Fn(&Poured) -> Coverage) -> Option<Volume> {
        Some(pick(self.poured.as_ref()?) * self.sheet?.coated() * self.coats?)
    }

    fn compute(&mut self, ask: &Ask, notes: &mut Vec<Note>) {
        let agent = ask.setup.agent.then(|| self.agent_volume(ask, notes));
        let wetting = ask.setup.surfactant.then(|| {
            let share = number(
                "setup.surfactant_share",
                "Surfactant in the mix",
                &ask.setup.surfactant_share,
                WETTING,
                &["%"],
                notes,
            )?;
            let part = share / self.strengths[Content::Surfactant.index()]?.to_percent();
            if part > 0.5 {
                notes.push(Note::error(
                    "setup.surfactant_strength",
                    "The surfactant's solution is too weak for that much in the mix.",
                    "Make a stronger solution, or take less.",
                ));
                return None;
            }
            Some(self.per_sheet? * self.sheets? * part)
        });
        let (Some(volume), Some(sheets), Some(ratio), Some(share)) =
            (self.per_sheet, self.sheets, self.ratio, self.share)
        else {
            return;
        };
        let mut mix = Mix::of(volume * sheets, ratio, share);
        for (content, extra) in [(Content::Agent, agent), (Content::Surfactant, wetting)] {
            // An odd addition withholds itself, not the rest; its note says so.
            if let Some(Some(v)) = extra {
                mix = mix.with(content, v);
            }
        }
        self.mix = Some(mix);
    }

    /// Volume of the agent's solution for all sheets; also sets what that is in µmol a mL.
    fn agent_volume(&mut self, ask: &Ask, notes: &mut Vec<Note>) -> Option<Volume> {
        let set = &ask.setup;
        let by_drops = set.agent_by == "drops";
        let wanted = if by_drops {
            number(
                "setup.agent_drops",
                "The drops of agent",
                &set.agent_drops,
                AGENT_DROPS,
                &["drops"],
                notes,
            )?
        } else {
            number("setup.agent_amount", "The amount of agent", &set.agent_amount, AGENT, &[], notes)?
        };
        let strength = self.strengths[Content::Agent.index()]?;
        let coating = self.per_sheet? * self.sheets?;
        let [dry, hydrate] = [Salt::SodiumHexachloroplatinate, Salt::SodiumHexachloroplatinateHexahydrate]
            .map(|salt| strength.molarity(salt.molar_mass()));
        let [low, high] = match set.agent_form.as_str() {
            "dry" => [dry, dry],
            "hydrate" => [hydrate, hydrate],
            _ => [hydrate, dry],
        };
        let volume = if by_drops {
            let dropper = self.droppers[Content::Agent.index()]?;
            Volume::from_ml(wanted / dropper.per_ml) * self.sheets?
        } else {
            // µmol for all, divided by µmol a mL (mmol a litre).
            let micromol = wanted * coating.to_ml();
            Volume::from_ml(micromol / (high.to_mol_per_litre() * 1e3))
        };
        self.agent = Some([low, high].map(|m| (m * volume).to_micromol() / coating.to_ml()));
        if !by_drops && volume / coating > 0.25 {
            notes.push(Note::warning(
                "setup.agent_strength",
                "The agent's solution is so weak that it would thin the mix.",
                "Use a stronger solution of it, or less agent.",
            ));
        }
        Some(volume)
    }

    /// The metal solutions in the mix: palladium(II) and platinum(II).
    #[must_use]
    pub fn metals(&self) -> Vec<Dose> {
        let dose = |content: Content, salt| {
            let volume = self.mix?.volume(content);
            let strength = self.strengths[content.index()]?;
            (volume.to_ml() > 0.0).then_some(Dose { salt, strength, volume })
        };
        [dose(Content::Palladium, Salt::SodiumPalladate), dose(Content::Platinum, Salt::PotassiumPlatinate)]
            .into_iter()
            .flatten()
            .collect()
    }

    /// Moles of iron to one of metal(II), over what the iron's label may mean; `None` if a strength is missing.
    #[must_use]
    pub fn iron_to_metal(&self) -> Option<Estimate> {
        let mix = self.mix?;
        let wanted = [Content::Palladium, Content::Platinum]
            .into_iter()
            .filter(|&c| mix.volume(c).to_ml() > 0.0)
            .count();
        let metals = self.metals();
        if metals.len() < wanted {
            return None;
        }
        iron_to_metal(self.strengths[Content::Iron.index()]?, mix.volume(Content::Iron), &metals)
    }
}

/// The same of a field that may stay empty.
pub(super) fn whole_or_none(
    name: &str,
    label: &str,
    text: &str,
    range: Range,
    notes: &mut Vec<Note>,
) -> Option<f64> {
    if text.trim().is_empty() { None } else { whole(name, label, text, range, notes) }
}

/// The loss, once all three weighings are there.
fn read_loss(ask: &Ask, notes: &mut Vec<Note>) -> Option<Loss> {
    let set = &ask.setup;
    let mut weight = |name: &str, label: &str, text: &str| {
        optional(name, label, text, GRAMS, &["g"], notes).map(Mass::from_g)
    };
    let empty = weight("setup.weigh_empty", "The weight of cup and brush", &set.weigh_empty);
    let full = weight("setup.weigh_full", "The weight with the mix", &set.weigh_full);
    let after = weight("setup.weigh_after", "The weight after coating", &set.weigh_after);
    let (empty, full, after) = (empty?, full?, after?);
    let found = loss(empty, full, after);
    if found.is_none() {
        notes.push(Note::error(
            "setup.weigh_after",
            "The weighings do not follow one another: with the mix is heaviest, empty is lightest.",
            "Check the three figures; until then the coverage counts as poured.",
        ));
    }
    found
}

/// Reads a whole number.
fn whole(name: &str, label: &str, text: &str, range: Range, notes: &mut Vec<Note>) -> Option<f64> {
    let x = number(name, label, text, range, &[], notes)?;
    if x.fract() == 0.0 {
        return Some(x);
    }
    notes.push(Note::error(name, format!("{label} is not whole."), "Type a whole number."));
    None
}

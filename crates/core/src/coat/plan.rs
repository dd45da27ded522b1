//! The plan of a ticket's mix, read from what was typed. Every part is there that could be computed.

use super::bottles::{Shelf, amount, drops_per_ml};
use super::{Ask, CONTENTS, Content, Loss, Mix, STRIP, Sheet, Tool, agent, loss, share_out};
use crate::book::Book;
use crate::chemistry::drop::DROPS_PER_ML;
use crate::chemistry::stoichiometry::Dose;
use crate::chemistry::together::{self, Meeting};
use crate::chemistry::{Amount, Element, Salt, Strength, ferric_oxalate_range};
use crate::constant::Basis;
use crate::entry::{Range, count, number, optional};
use crate::estimate::Estimate;
use crate::negative::{length, print_size, wanted_size};
use crate::note::Note;
use crate::quantity::{Coverage, Length, Mass, Volume};

const COVERAGE: Range = Range { low: 5.0, high: 300.0 };
const COATS: Range = Range { low: 1.0, high: 4.0 };
const SECOND: Range = Range { low: 1.0, high: 200.0 };
const CHLORATE: Range = Range { low: 0.001, high: 10.0 };
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
    /// Volumes a recipe of parts mixes; `None` where share and ratio say it, or a part is odd.
    pub parts: Option<Vec<(Content, f64)>>,
    /// The salts that strengths count, as far as they are known: of a part, else of the bottle in use.
    pub salts: [Option<Salt>; CONTENTS],
    /// Part of the iron that holds chlorate, 0..1.
    pub chlorate_share: f64,
    /// What all coats take of the first.
    pub passes: Option<f64>,
    /// What must not be mixed, so that no mix is given.
    pub refused: Option<&'static Meeting>,
    /// µmol Pt(IV) in a mL of iron and metals, low and high as the label may be read.
    pub agent: Option<[f64; 2]>,
    /// Everything in the cup, for all sheets.
    pub mix: Option<Mix>,
}

impl Plan {
    /// Reads what was typed; pushes a note for every odd field.
    #[must_use]
    pub fn read(ask: &Ask, book: &Book, notes: &mut Vec<Note>) -> Self {
        Self::with(ask, book, &Shelf::for_mix(ask, book.bottles()), notes)
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
        let further = optional("setup.second", "The further coat", &set.second, SECOND, &["%"], notes);
        let further = if set.second.trim().is_empty() { Some(100.0) } else { further };
        plan.passes = plan.coats.zip(further).map(|(n, percent)| 1.0 + (n - 1.0) * percent / 100.0);
        plan.sheets = whole("sheets", "The number of sheets", &ask.sheets, SHEETS, notes);
        plan.salts = Content::ALL.map(|content| {
            let typed = shelf.chosen(ask, content).map_or("", |s| s.bottle.salt.trim());
            let own = if typed.is_empty() || typed == content.salt() { None } else { Salt::read(typed) };
            own.or(content.usual_salt())
        });
        if !set.parts.is_empty() {
            plan.read_parts(ask, notes);
            plan.read_additions(ask, notes);
            plan.read_droppers(ask, shelf, notes);
            plan.per_sheet = plan.volume_of_sheet(|p| p.value);
            plan.compute(ask, notes);
            return plan;
        }
        plan.ratio = number("setup.ratio", "Iron to metal", &set.ratio, RATIO, &[], notes);
        plan.share = number("setup.share", "The platinum share", &set.share, PERCENT, &["%"], notes)
            .map(|p| p / 100.0);
        plan.read_strengths(ask, notes);
        plan.read_additions(ask, notes);
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
            let round = set.shape == "round";
            self.sheet = Some(Sheet { width, height, border, strip, margin, round });
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
        ];
        for (content, name, label, text, used) in rows {
            // One that is not in the mix may stay empty, but is no word either.
            let read = if used { number } else { optional };
            let found = read(name, label, text, STRENGTH, &["%", "%w/v"], notes);
            if used {
                self.strengths[content.index()] = found.map(Strength::from_percent);
            }
        }
        let share = &set.chlorate_share;
        let share =
            optional("setup.chlorate_share", "The share with chlorate", share, PERCENT, &["%"], notes);
        self.chlorate_share = share.unwrap_or(0.0) / 100.0;
        if self.chlorate_share > 0.0 {
            self.strengths[Content::Chlorate.index()] = self.strengths[Content::Iron.index()];
        }
    }

    /// Strengths of what comes on top.
    fn read_additions(&mut self, ask: &Ask, notes: &mut Vec<Note>) {
        let set = &ask.setup;
        let more = Range { high: 100.0, ..STRENGTH };
        let mut read = |content: Content, used: bool, name: &str, label: &str, text: &str, range: Range| {
            let read = if used { number } else { optional };
            let found = read(name, label, text, range, &["%", "%w/v"], notes);
            if used {
                self.strengths[content.index()] = found.map(Strength::from_percent);
            }
        };
        let (agent, surfactant) = (&set.agent_strength, &set.surfactant_strength);
        let name = "setup.agent_strength";
        read(Content::Agent, set.agent, name, "The strength of the agent", agent, STRENGTH);
        let name = "setup.surfactant_strength";
        read(Content::Surfactant, set.surfactant, name, "The strength of the surfactant", surfactant, more);
    }

    fn read_droppers(&mut self, ask: &Ask, shelf: &Shelf<'_>, notes: &mut Vec<Note>) {
        for content in Content::ALL.into_iter().filter(|c| *c != Content::Stock) {
            let text = ask.setup.drops(content);
            let name = format!("setup.drops_{}", content.word());
            let label = format!("The drop count of {}", content.name());
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
        Some(pick(self.poured.as_ref()?) * self.sheet?.coated() * self.passes?)
    }

    fn compute(&mut self, ask: &Ask, notes: &mut Vec<Note>) {
        let wanted = agent_wanted(ask, notes);
        let agent = ask.setup.agent.then(|| self.agent_volume(ask, wanted, notes));
        let read = if ask.setup.surfactant { number } else { optional };
        let (name, text) = ("setup.surfactant_share", &ask.setup.surfactant_share);
        let share = read(name, "Surfactant in the mix", text, WETTING, &["%"], notes);
        let wetting = ask.setup.surfactant.then(|| {
            let share = share?;
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
        let (Some(volume), Some(sheets)) = (self.per_sheet, self.sheets) else { return };
        let Some(mut mix) = self.main_parts(volume * sheets, ask, notes) else { return };
        for (content, extra) in [(Content::Agent, agent), (Content::Surfactant, wetting)] {
            // An odd addition withholds itself, not the rest; its note says so.
            if let Some(Some(v)) = extra {
                mix = mix.with(content, v);
            }
        }
        // Only what hurts at once is refused.
        self.refused =
            together::meetings(self.names(&mix).iter().map(String::as_str)).into_iter().find(|m| m.acute);
        match self.refused {
            Some(meeting) => notes.push(Note::danger("setup.parts", meeting.text, meeting.mend)),
            None => self.mix = Some(mix),
        }
    }

    /// What makes the volume of the coating: iron and metals by ratio and share, or the parts of a recipe.
    fn main_parts(&self, volume: Volume, ask: &Ask, notes: &mut Vec<Note>) -> Option<Mix> {
        if ask.setup.parts.is_empty() {
            let mix = Mix::of(volume, self.ratio?, self.share?);
            let iron = mix.volume(Content::Iron);
            let with = iron * self.chlorate_share;
            return Some(mix.with(Content::Iron, iron - with).with(Content::Chlorate, with));
        }
        let parts = self.parts.as_ref()?;
        let shares: Vec<f64> = parts.iter().map(|(_, n)| *n).collect();
        match share_out(volume, &shares) {
            Ok(volumes) => Some(Mix::of_parts(parts.iter().map(|(c, _)| *c).zip(volumes))),
            Err(note) => {
                notes.push(Note { field: "setup.parts".into(), ..note });
                None
            }
        }
    }

    /// What stands in a mix, by name and formula, for what must not meet.
    pub(super) fn names(&self, mix: &Mix) -> Vec<String> {
        let formula = |c: Content| self.salts[c.index()].map_or_else(String::new, Salt::formula);
        mix.parts().map(|(c, _)| [c.name(), " ", &formula(c)].concat()).collect()
    }

    /// Volume of the agent's solution for all sheets; also sets what that is in µmol a mL.
    fn agent_volume(&mut self, ask: &Ask, wanted: Option<f64>, notes: &mut Vec<Note>) -> Option<Volume> {
        let (set, wanted) = (&ask.setup, wanted?);
        let by_drops = set.agent_by == "drops";
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

    /// What a content brings to the mix; `None` if it is not in it, or its strength or salt is not known.
    fn dose(&self, content: Content) -> Option<Dose> {
        let volume = self.mix?.volume(content);
        let (strength, salt) = (self.strengths[content.index()]?, self.salts[content.index()]?);
        (volume.to_ml() > 0.0).then_some(Dose { salt, strength, volume })
    }

    /// The metal solutions in the mix: palladium(II) and platinum(II).
    #[must_use]
    pub fn metals(&self) -> Vec<Dose> {
        [Content::Palladium, Content::Platinum].into_iter().filter_map(|c| self.dose(c)).collect()
    }

    /// mol of iron that a content brings, low and high as its label may mean.
    fn iron_of(&self, content: Content) -> Option<[Amount; 2]> {
        let volume = self.mix?.volume(content);
        let strength = self.strengths[content.index()]?;
        let of = |salt: Salt| Dose { salt, strength, volume }.metal();
        match (content, self.salts[content.index()]) {
            (Content::IronCitrate, _) => None,
            (_, Some(salt)) if salt.metal() == Element::Fe => Some([of(salt); 2]),
            _ => Some(ferric_oxalate_range().map(of)),
        }
    }

    /// Moles of iron to one of metal(II), over what the iron's label may mean; `None` if a strength is missing.
    #[must_use]
    pub fn iron_to_metal(&self) -> Option<Estimate> {
        let mix = self.mix?;
        let in_it = |c: &Content| mix.volume(*c).to_ml() > 0.0;
        let metals = self.metals();
        if in_it(&Content::Silver)
            || metals.len() < Content::ALL.iter().filter(|c| c.is_metal() && in_it(c)).count()
        {
            return None;
        }
        let metal: Amount = metals.iter().map(Dose::metal).sum();
        let mut iron = [Amount::default(); 2];
        for content in Content::ALL.into_iter().filter(|c| c.is_iron() && in_it(c)) {
            let [low, high] = self.iron_of(content)?;
            iron = [iron[0] + low, iron[1] + high];
        }
        let [low, high] = iron.map(|fe| fe / metal);
        (metal.to_mol() > 0.0 && low.is_finite() && high.is_finite()).then(|| Estimate {
            low,
            value: (low + high) / 2.0,
            high,
            basis: Basis::Published,
        })
    }

    /// mmol of chlorate to one mol of iron, over what the iron's label may mean; `None` without chlorate.
    #[must_use]
    pub fn chlorate(&self, ask: &Ask, shelf: &Shelf<'_>, notes: &mut Vec<Note>) -> Option<Estimate> {
        let typed = &ask.setup.chlorate_strength;
        let name = "setup.chlorate_strength";
        let own = optional(name, "The chlorate", typed, CHLORATE, &["%"], notes);
        let mix = self.mix?;
        let with = mix.volume(Content::Chlorate);
        if with.to_ml() <= 0.0 {
            return None;
        }
        let labelled = || amount(&shelf.chosen(ask, Content::Chlorate)?.bottle.chlorate);
        let Some(percent) = own.or_else(|| typed.trim().is_empty().then(labelled).flatten()) else {
            if typed.trim().is_empty() {
                notes.push(Note::error(
                    name,
                    "How much chlorate the iron solution holds is not known.",
                    "Type it from the label, or write it beside the bottle at the stores.",
                ));
            }
            return None;
        };
        let [a, b] = [Content::Iron, Content::Chlorate].map(|c| self.iron_of(c));
        let (strong, plain) = (b?, a.unwrap_or_default());
        let all = mix.volume(Content::Iron) + with;
        let iron = [0, 1].map(|i| (plain[i] + strong[i]).to_mol() / all.to_litres());
        let iron = Estimate::from_three(iron[0], (iron[0] + iron[1]) / 2.0, iron[1], Basis::Definition);
        agent::chlorate_to_iron(Strength::from_percent(percent), with / all, iron)
    }
}

/// How much agent is wanted, in drops or µmol as was chosen. The other field is read too.
fn agent_wanted(ask: &Ask, notes: &mut Vec<Note>) -> Option<f64> {
    let set = &ask.setup;
    let by_drops = set.agent_by == "drops";
    let read = |used: bool| if used { number } else { optional };
    let (name, label) = ("setup.agent_drops", "The number of drops of agent");
    let drops = read(set.agent && by_drops)(name, label, &set.agent_drops, AGENT_DROPS, &["drops"], notes);
    let (name, label) = ("setup.agent_amount", "The amount of agent");
    let amount = read(set.agent && !by_drops)(name, label, &set.agent_amount, AGENT, &[], notes);
    if by_drops { drops } else { amount }
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
    let x = count(name, label, text, range, notes)?;
    if x.fract() == 0.0 {
        return Some(x);
    }
    notes.push(Note::error(name, format!("{label} is not whole."), "Type a whole number."));
    None
}

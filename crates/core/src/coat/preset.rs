//! What the setup fixes at the coat, with what it starts from.

use crate::constant::Constant;
use crate::fields;

/// 120 grains in a fluid ounce, as the handbooks about 1900 have it, rounded.
pub const IRON: Constant =
    Constant::practice(27.0, "% w/v", 2, "120 grains in an imperial fluid ounce, rounded");
/// Usual strength of the palladium solution.
pub const PALLADIUM: Constant = Constant::practice(15.0, "% w/v Na2PdCl4", 2, "common practice, no source");
/// Usual strength of the platinum solution.
pub const PLATINUM: Constant = Constant::practice(20.0, "% w/v K2PtCl4", 2, "common practice, no source");
/// Coated beyond the picture, each side.
pub const MARGIN: Constant = Constant::practice(10.0, "mm", 2, "5 to 10 mm a side are common, no source");
/// Contrast agent to begin with, if it is wanted at all.
pub const AGENT: Constant = Constant::practice(
    2.0,
    "µmol Pt(IV)/mL",
    1,
    "about one drop of 5 % for 8 x 10 in; common practice, no source",
);
/// Surfactant in the mix.
pub const SURFACTANT: Constant =
    Constant::practice(0.2, "% in the mix", 1, "0.1 to 0.5 % are common, no source");

/// A strip coated with a known amount and exposed to full black.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct StripRow {
    /// Its coverage as poured, mL/m².
    pub poured: String,
    /// Its black, density.
    pub black: String,
}

fields!(StripRow: poured, black);

/// One part of a recipe that is not mixed by share and ratio.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PartAsk {
    /// Its content, by word.
    pub content: String,
    /// Formula its strength counts; empty for the usual one.
    pub salt: String,
    /// Strength.
    pub strength: String,
    /// How it is stated: empty for % w/v, or `mol`.
    pub basis: String,
    /// Volumes of it.
    pub volumes: String,
}

fields!(PartAsk: content, salt, strength, basis, volumes);

/// A strip printed with an amount of a contrast agent.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct AgentStripRow {
    /// How much agent, in the unit of that agent.
    pub amount: String,
    /// Exposure scale, log H.
    pub scale: String,
}

fields!(AgentStripRow: amount, scale);

/// What the setup fixes here. Texts are as typed; drops a millilitre and coverage may stay empty.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Preset {
    /// `rod`, `brush` or `absorbent`.
    pub tool: String,
    /// Coverage as poured, mL/m²; empty for the tool's starting value.
    pub coverage: String,
    /// What the coverage typed means: `poured`, or `sheet` once the loss was weighed.
    pub coverage_of: String,
    /// Cup and brush before the mix is in, in grams.
    pub weigh_empty: String,
    /// With the mix.
    pub weigh_full: String,
    /// After coating.
    pub weigh_after: String,
    /// Strips that show from which coverage black is full.
    pub strips: Vec<StripRow>,
    /// Density of the bare paper of these strips; empty for the starting value.
    pub strip_paper: String,
    /// Good prints of a hundred attempts; empty for what the records say.
    pub good: String,
    /// What an attempt costs beside the mix; empty for the price of the paper in the stores.
    pub other_cost: String,
    /// Prints cut from one sheet of paper; empty for one.
    pub from_sheet: String,
    /// How many coats, one over the other.
    pub coats: String,
    /// What each further coat takes of the first, in percent; empty for as much.
    pub second: String,
    /// `rectangle` or `round`.
    pub shape: String,
    /// Name of the recipe that was taken; empty for none.
    pub recipe: String,
    /// Its parts, where it is not mixed by share and ratio.
    pub parts: Vec<PartAsk>,
    /// Printed black around the picture.
    pub border: String,
    /// Coated beyond it.
    pub margin: String,
    /// Volumes of iron to one of metal.
    pub ratio: String,
    /// Platinum among the metal solutions, % by volume.
    pub share: String,
    /// Strength of the iron solution, % w/v.
    pub iron: String,
    /// Strength of the palladium solution, % w/v Na2PdCl4.
    pub palladium: String,
    /// Strength of the platinum solution, % w/v K2PtCl4.
    pub platinum: String,
    /// A contrast agent is used.
    pub agent: bool,
    /// `amount` or `drops`.
    pub agent_by: String,
    /// µmol Pt(IV) in a mL of iron and metals.
    pub agent_amount: String,
    /// Drops a sheet.
    pub agent_drops: String,
    /// Strength of the agent's solution, % w/v.
    pub agent_strength: String,
    /// What its label counts: `unknown`, `dry` or `hydrate`.
    pub agent_form: String,
    /// Part of the iron solution that holds chlorate, in percent; empty for none.
    pub chlorate_share: String,
    /// Its potassium chlorate, % w/v; empty for what the bottle's label says.
    pub chlorate_strength: String,
    /// mL of dichromate stock in a litre of developer; empty for none.
    pub dichromate_ml: String,
    /// Strength of that stock, % w/v K2Cr2O7.
    pub dichromate_stock: String,
    /// Which agent the strips are about: `platinum`, `chlorate` or `dichromate`.
    pub agent_strips_of: String,
    /// Strips printed with it and without it.
    pub agent_strips: Vec<AgentStripRow>,
    /// A surfactant is used.
    pub surfactant: bool,
    /// Surfactant wanted in the mix, %.
    pub surfactant_share: String,
    /// Strength of the surfactant's solution, %.
    pub surfactant_strength: String,
    /// Drops a mL of the iron's dropper; empty for the bottle's own count, or 20.
    pub drops_iron: String,
    /// The same of the palladium's.
    pub drops_palladium: String,
    /// The same of the platinum's.
    pub drops_platinum: String,
    /// The same of the agent's.
    pub drops_agent: String,
    /// The same of the surfactant's.
    pub drops_surfactant: String,
}

fields!(
    Preset:
    tool, coverage, coverage_of, weigh_empty, weigh_full, weigh_after, strips, strip_paper, good,
    other_cost, from_sheet, coats, second, shape, recipe, parts, border, margin, ratio, share, iron, palladium, platinum,
    agent, agent_by, agent_amount, agent_drops, agent_strength, agent_form, chlorate_share,
    chlorate_strength, dichromate_ml, dichromate_stock, agent_strips_of, agent_strips, surfactant, surfactant_share,
    surfactant_strength, drops_iron, drops_palladium, drops_platinum, drops_agent, drops_surfactant,
);

impl Default for Preset {
    fn default() -> Self {
        let text = |c: Constant| crate::show::significant(c.value, usize::from(c.digits));
        Self {
            tool: "brush".into(),
            coverage: String::new(),
            coverage_of: "poured".into(),
            weigh_empty: String::new(),
            weigh_full: String::new(),
            weigh_after: String::new(),
            strips: vec![StripRow::default(); 3],
            strip_paper: String::new(),
            good: String::new(),
            other_cost: String::new(),
            from_sheet: String::new(),
            coats: "1".into(),
            second: String::new(),
            shape: "rectangle".into(),
            recipe: String::new(),
            parts: vec![],
            border: "0".into(),
            margin: text(MARGIN),
            ratio: "1".into(),
            share: "0".into(),
            iron: text(IRON),
            palladium: text(PALLADIUM),
            platinum: text(PLATINUM),
            agent: false,
            agent_by: "amount".into(),
            agent_amount: text(AGENT),
            agent_drops: "1".into(),
            agent_strength: "5".into(),
            agent_form: "unknown".into(),
            chlorate_share: String::new(),
            chlorate_strength: String::new(),
            dichromate_ml: String::new(),
            dichromate_stock: "5".into(),
            agent_strips_of: "platinum".into(),
            agent_strips: vec![AgentStripRow::default(); 3],
            surfactant: false,
            surfactant_share: text(SURFACTANT),
            surfactant_strength: "10".into(),
            drops_iron: String::new(),
            drops_palladium: String::new(),
            drops_platinum: String::new(),
            drops_agent: String::new(),
            drops_surfactant: String::new(),
        }
    }
}

impl Preset {
    /// Takes over what is mixed from another; tool, coverage, edges, droppers and what was learned stay.
    pub fn take_mix(&mut self, from: &Self) {
        let from = from.clone();
        self.recipe = from.recipe;
        self.parts = from.parts;
        self.ratio = from.ratio;
        self.share = from.share;
        (self.iron, self.palladium, self.platinum) = (from.iron, from.palladium, from.platinum);
        (self.agent, self.agent_by, self.agent_form) = (from.agent, from.agent_by, from.agent_form);
        (self.agent_amount, self.agent_drops) = (from.agent_amount, from.agent_drops);
        self.agent_strength = from.agent_strength;
        (self.chlorate_share, self.chlorate_strength) = (from.chlorate_share, from.chlorate_strength);
        (self.dichromate_ml, self.dichromate_stock) = (from.dichromate_ml, from.dichromate_stock);
        (self.surfactant, self.surfactant_share) = (from.surfactant, from.surfactant_share);
        self.surfactant_strength = from.surfactant_strength;
    }

    /// Whether time and correction found with this coat hold for the other: all but money, droppers, what was learned
    /// on the spot and where the coat ends.
    #[must_use]
    pub fn prints_like(&self, other: &Self) -> bool {
        let bare = |preset: &Self| {
            let plain = Self::default();
            let mut bare = preset.clone();
            (bare.good, bare.other_cost, bare.from_sheet) = (plain.good, plain.other_cost, plain.from_sheet);
            (bare.drops_iron, bare.drops_palladium) = (plain.drops_iron, plain.drops_palladium);
            (bare.drops_platinum, bare.drops_agent) = (plain.drops_platinum, plain.drops_agent);
            bare.drops_surfactant = plain.drops_surfactant;
            (bare.weigh_empty, bare.weigh_full) = (plain.weigh_empty, plain.weigh_full);
            (bare.weigh_after, bare.strip_paper) = (plain.weigh_after, plain.strip_paper);
            (bare.strips, bare.agent_strips) = (plain.strips, plain.agent_strips);
            (bare.agent_strips_of, bare.recipe) = (plain.agent_strips_of, plain.recipe);
            (bare.shape, bare.border, bare.margin) = (plain.shape, plain.border, plain.margin);
            bare
        };
        bare(self) == bare(other)
    }

    /// The field that holds drops a millilitre of a content.
    #[must_use]
    pub fn drops(&self, content: super::Content) -> &str {
        use super::Content::{Agent, Iron, Palladium, Platinum, Surfactant};
        match content {
            Iron => &self.drops_iron,
            Palladium => &self.drops_palladium,
            Platinum => &self.drops_platinum,
            Agent => &self.drops_agent,
            Surfactant => &self.drops_surfactant,
            _ => "",
        }
    }
}

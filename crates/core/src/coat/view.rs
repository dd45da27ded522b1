//! What is shown at the coat station.

use crate::fields;

/// One line of the mix.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PartRow {
    /// What it is.
    pub name: String,
    /// How strong its solution is planned.
    pub strength: String,
    /// How much, in the unit the printer counts in.
    pub amount: String,
    /// The same in the other unit.
    pub other: String,
    /// What rounding to whole drops does to its share.
    pub off: String,
    /// Its grams, and what a balance under the cup shows with it.
    pub grams: String,
}

fields!(out PartRow: name, strength, amount, other, off, grams);

/// What an edition takes of one solution.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct OrderRow {
    /// What it is.
    pub name: String,
    /// What all attempts take.
    pub need: String,
    /// What the stores hold.
    pub have: String,
    /// What to order or make.
    pub order: String,
}

fields!(out OrderRow: name, need, have, order);

/// One bottle that could be used.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct BottleRow {
    /// Its name, with its content where that is not in the name.
    pub name: String,
    /// What is left, and what this mix takes.
    pub left: String,
    /// The mix is drawn from it.
    pub chosen: bool,
    /// It is not.
    pub other: bool,
}

fields!(out BottleRow: name, left, chosen, other);

/// A recipe that can be taken.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct RecipeRow {
    /// Its name.
    pub name: String,
    /// What is mixed.
    pub parts: String,
    /// Its baths, in order.
    pub baths: String,
    /// Where its numbers come from.
    pub source: String,
    /// What to know before taking it.
    pub remark: String,
    /// It is the printer's own.
    pub own: bool,
}

fields!(out RecipeRow: name, parts, baths, source, remark, own);

/// A line of text.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct TextRow {
    /// The text.
    pub text: String,
}

fields!(out TextRow: text);

/// A paper that could be used.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct PaperRow {
    /// Its name and lot.
    pub name: String,
    /// What a sheet costs and what is left.
    pub price: String,
    /// It is the one that is counted.
    pub chosen: bool,
    /// It is not.
    pub other: bool,
}

fields!(out PaperRow: name, price, chosen, other);

/// What is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// The picture's size on the negative, if that is what is used.
    pub film_size: String,
    /// It is used.
    pub from_negative: bool,
    /// The tool's starting coverage, with its range and basis.
    pub start: String,
    /// Size of the coated area.
    pub coated: String,
    /// The coated area and the coverage on it.
    pub area: String,
    /// The sheet to scale.
    pub drawing: String,
    /// The sheet can be drawn.
    pub has_drawing: bool,
    /// Iron and metals for a sheet.
    pub volume: String,
    /// How far others lie from it.
    pub volume_range: String,
    /// The volume is known.
    pub has_volume: bool,
    /// What all sheets take together.
    pub cup: String,
    /// The mix, bottle by bottle.
    pub parts: Vec<PartRow>,
    /// The mix is known.
    pub has_mix: bool,
    /// It is not, for want of something above.
    pub stuck: bool,
    /// What rounding to whole drops does.
    pub rounding: String,
    /// How well counted drops can be trusted.
    pub droppers: String,
    /// A total nearby that whole drops meet better.
    pub better: String,
    /// There is one.
    pub has_better: bool,
    /// Metal for this ticket.
    pub metal: String,
    /// Metal on a square metre.
    pub metal_density: String,
    /// Iron to metal.
    pub iron: String,
    /// The published window.
    pub window: String,
    /// Iron to metal is known.
    pub has_iron: bool,
    /// What the agent comes to.
    pub agent_amount: String,
    /// An agent is used.
    pub agent: bool,
    /// It is given as an amount.
    pub by_amount: bool,
    /// It is given in drops.
    pub by_drops: bool,
    /// A surfactant is used.
    pub surfactant: bool,
    /// What speaks for an agent.
    pub agent_wanted: String,
    /// Something does.
    pub has_agent_wanted: bool,
    /// What the chlorate comes to.
    pub chlorate_amount: String,
    /// What it comes to is known.
    pub has_chlorate: bool,
    /// An iron solution with chlorate is in the mix.
    pub has_chlorate_part: bool,
    /// What the dichromate comes to.
    pub dichromate_amount: String,
    /// Dichromate is used.
    pub has_dichromate: bool,
    /// The exposure scale to expect.
    pub agent_scale: String,
    /// Something is said about it.
    pub has_agent_scale: bool,
    /// The recipe in use.
    pub recipe: String,
    /// Recipes that can be taken.
    pub recipes: Vec<RecipeRow>,
    /// The mix goes by parts.
    pub by_parts: bool,
    /// It goes by share and ratio.
    pub by_share: bool,
    /// What the parts hold.
    pub part_names: Vec<TextRow>,
    /// What each further coat takes.
    pub coats: String,
    /// There are several.
    pub several_coats: bool,
    /// What to beware of, one line a kind.
    pub dangers: Vec<TextRow>,
    /// What is read on the sheets.
    pub codes: Vec<TextRow>,
    /// Something was read.
    pub has_codes: bool,
    /// What the mix costs.
    pub cost: String,
    /// What that leaves out.
    pub cost_lacks: String,
    /// A cost is known.
    pub has_cost: bool,
    /// What one attempt costs.
    pub attempt: String,
    /// What is counted in it.
    pub attempt_of: String,
    /// It is known.
    pub has_attempt: bool,
    /// What an accepted print costs.
    pub accepted: String,
    /// It is known.
    pub has_accepted: bool,
    /// The share of good prints, and whose figure it is.
    pub good: String,
    /// Papers that could be used.
    pub papers: Vec<PaperRow>,
    /// There are some.
    pub has_papers: bool,
    /// How many attempts the edition takes.
    pub edition_text: String,
    /// What it takes of each solution.
    pub edition_rows: Vec<OrderRow>,
    /// An edition is planned.
    pub has_edition: bool,
    /// Grams are known of a part.
    pub has_grams: bool,
    /// The loss in cup and brush.
    pub loss: String,
    /// Coverage on the sheet.
    pub on_sheet: String,
    /// The loss was weighed.
    pub has_loss: bool,
    /// What the strips say.
    pub knee: String,
    /// Black against coverage.
    pub knee_drawing: String,
    /// It can be drawn.
    pub has_knee_drawing: bool,
    /// The strips give a coverage.
    pub can_use_knee: bool,
    /// How many further bottles there are.
    pub more_bottles: String,
    /// Bottles of the stores that fit.
    pub bottles: Vec<BottleRow>,
    /// There are some.
    pub has_bottles: bool,
    /// There are none.
    pub no_bottles: bool,
    /// The mix can be drawn from them.
    pub can_draw: bool,
    /// It was.
    pub drawn: bool,
    /// What was drawn.
    pub drawn_text: String,
    /// This ticket differs from its setup.
    pub differs: bool,
}

fields!(
    out View:
    film_size, from_negative, start, coated, area, drawing, has_drawing, volume, volume_range,
    has_volume, cup, parts, has_mix, stuck, rounding, droppers, better, has_better, metal, metal_density,
    iron, window, has_iron, agent_amount, agent, by_amount, by_drops, surfactant, agent_wanted,
    has_agent_wanted, chlorate_amount, has_chlorate, has_chlorate_part, dichromate_amount, has_dichromate, agent_scale,
    has_agent_scale, recipe, recipes, by_parts, by_share, part_names, coats, several_coats, dangers, codes,
    has_codes, cost, cost_lacks, has_cost, attempt, attempt_of, has_attempt, accepted, has_accepted,
    good, papers, has_papers, edition_text, edition_rows, has_edition, has_grams, loss, on_sheet, has_loss, knee,
    knee_drawing, has_knee_drawing, can_use_knee, more_bottles, bottles, has_bottles, no_bottles, can_draw, drawn,
    drawn_text, differs,
);

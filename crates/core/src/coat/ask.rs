//! What is typed at the coat station.

use super::{Content, Preset};
use crate::fields;

/// What was typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// What the setup fixes, as changed on this ticket.
    pub setup: Preset,
    /// Width of the picture; empty for the negative's.
    pub width: String,
    /// Height of the picture; empty for the negative's.
    pub height: String,
    /// Margin strip: `film` (as on the negative), `with` or `without`.
    pub strip: String,
    /// How many sheets are coated from one cup.
    pub sheets: String,
    /// Identity of the iron's bottle; empty for the oldest.
    pub bottle_iron: String,
    /// The same for palladium.
    pub bottle_palladium: String,
    /// The same for platinum.
    pub bottle_platinum: String,
    /// The same for the contrast agent.
    pub bottle_agent: String,
    /// The same for the surfactant.
    pub bottle_surfactant: String,
    /// The same for whatever else a recipe mixes: `content=identity`, several with `;` between.
    pub bottle_more: String,
    /// What was drawn from the bottles for this ticket; empty until then.
    pub drawn: String,
    /// From which bottles, and how they stood before; for putting it back.
    pub took: String,
    /// Good prints still wanted of this picture; empty if it is no edition.
    pub edition: String,
    /// Identity of the paper; empty for the first in the stores that has a price.
    pub paper: String,
    /// Name under which this mix is to be kept as a recipe.
    pub recipe_name: String,
    /// Where its numbers come from.
    pub recipe_source: String,
}

fields!(
    Ask:
    setup, width, height, strip, sheets, bottle_iron, bottle_palladium, bottle_platinum,
    bottle_agent, bottle_surfactant, bottle_more, drawn, took, edition, paper, recipe_name, recipe_source,
);

impl Default for Ask {
    fn default() -> Self {
        Self {
            setup: Preset::default(),
            width: String::new(),
            height: String::new(),
            strip: "film".into(),
            sheets: "1".into(),
            bottle_iron: String::new(),
            bottle_palladium: String::new(),
            bottle_platinum: String::new(),
            bottle_agent: String::new(),
            bottle_surfactant: String::new(),
            bottle_more: String::new(),
            drawn: String::new(),
            took: String::new(),
            edition: String::new(),
            paper: String::new(),
            recipe_name: String::new(),
            recipe_source: String::new(),
        }
    }
}

impl Ask {
    /// Identity of the bottle that was chosen for a content.
    #[must_use]
    pub fn bottle(&self, content: Content) -> &str {
        match content {
            Content::Iron => &self.bottle_iron,
            Content::Palladium => &self.bottle_palladium,
            Content::Platinum => &self.bottle_platinum,
            Content::Agent => &self.bottle_agent,
            Content::Surfactant => &self.bottle_surfactant,
            other => self.more().find(|(word, _)| *word == other.word()).map_or("", |(_, id)| id),
        }
    }

    /// Whether the mix can take of a content, as far as what was typed tells.
    #[must_use]
    pub fn may_mix(&self, content: Content) -> bool {
        let set = &self.setup;
        match content {
            Content::Agent => set.agent,
            Content::Surfactant => set.surfactant,
            Content::Stock => false,
            _ if !set.parts.is_empty() => set.parts.iter().any(|p| Content::of(&p.content) == Some(content)),
            Content::Iron | Content::Palladium => true,
            Content::Chlorate => !set.chlorate_share.trim().is_empty(),
            Content::Platinum => set.share.trim() != "0",
            _ => false,
        }
    }

    fn more(&self) -> impl Iterator<Item = (&str, &str)> {
        self.bottle_more.split(';').filter_map(|one| one.split_once('='))
    }

    pub(super) fn choose(&mut self, content: Content, id: &str) {
        let field = match content {
            Content::Iron => &mut self.bottle_iron,
            Content::Palladium => &mut self.bottle_palladium,
            Content::Platinum => &mut self.bottle_platinum,
            Content::Agent => &mut self.bottle_agent,
            Content::Surfactant => &mut self.bottle_surfactant,
            other => {
                let kept = self.more().filter(|(word, _)| *word != other.word());
                let mut all: Vec<String> = kept.map(|(word, id)| [word, "=", id].concat()).collect();
                all.push([other.word(), "=", id].concat());
                self.bottle_more = all.join(";");
                return;
            }
        };
        *field = id.into();
    }
}

//! The parts of a recipe that is not mixed by share and ratio, as typed.

use super::plan::Plan;
use super::{Ask, Content, way};
use crate::chemistry::concentration::{self, Facts};
use crate::chemistry::{Formula, Salt};
use crate::entry::{Range, number};
use crate::note::Note;

const VOLUMES: Range = Range { low: 0.0, high: 100.0 };
const STATED: Range = Range { low: 0.001, high: 100.0 };
/// Most parts of a recipe.
pub(super) const MOST: usize = 8;

impl Plan {
    /// Reads the parts: their volumes, strengths and salts. An odd strength withholds itself, an odd volume the mix.
    pub(super) fn read_parts(&mut self, ask: &Ask, notes: &mut Vec<Note>) {
        let mut all = Vec::new();
        let mut whole = true;
        for (i, row) in ask.setup.parts.iter().take(MOST).enumerate() {
            let field = |name: &str| ["setup.parts.", &i.to_string(), ".", name].concat();
            let Some(content) = Content::of(&row.content).filter(|c| c.is_main()) else {
                notes.push(Note::error(
                    "setup.parts",
                    "A part of this recipe holds nobody knows what.",
                    "Remove it, and add what you mix.",
                ));
                whole = false;
                continue;
            };
            let typed = row.salt.trim();
            let formula = if typed.is_empty() { content.salt() } else { typed };
            let molar = match Formula::parse(formula) {
                Ok(f) => Some(f.molar_mass()),
                Err(e) if !typed.is_empty() => {
                    notes.push(e.note(&field("salt"), "The formula"));
                    None
                }
                Err(_) => None,
            };
            if !typed.is_empty() {
                self.salts[content.index()] = Salt::read(typed);
            }
            let units = ["%", "%w/v", "mol/l", "m"];
            let stated = number(&field("strength"), "The strength", &row.strength, STATED, &units, notes);
            self.strengths[content.index()] = stated.and_then(|x| {
                let facts = Facts { molar, ..Facts::default() };
                let found = concentration::strength(x, way(&row.basis), &facts);
                found.map_err(|missing| notes.push(missing.note(&field("strength")))).ok()
            });
            match number(&field("volumes"), "The part", &row.volumes, VOLUMES, &[], notes) {
                Some(n) => all.push((content, n)),
                None => whole = false,
            }
        }
        self.parts = whole.then_some(all);
    }
}

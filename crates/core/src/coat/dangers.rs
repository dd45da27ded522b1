//! What to beware of in this recipe: by kind, by statement code, and what stands together in the cup.

use super::Content;
use super::show::Page;
use super::view::TextRow;
use crate::chemistry::hazard::{self, Kind};
use crate::chemistry::together;
use crate::note::Note;

/// Which kind of hazard a content is, and the formula of the solid whose sheet was read.
pub(crate) const fn kinds(content: Content) -> Option<(Kind, &'static str)> {
    Some(match content {
        Content::Iron | Content::AmmoniumIron => (Kind::Oxalate, ""),
        Content::Chlorate => (Kind::Chlorate, "KClO3"),
        Content::IronCitrate => (Kind::Mild, ""),
        Content::Palladium => (Kind::Palladium, "PdCl2"),
        Content::Platinum => (Kind::Platinum, "K2PtCl4"),
        Content::Silver => (Kind::Silver, "AgNO3"),
        Content::Ferricyanide => (Kind::Cyanoferrate, "K3Fe(CN)6"),
        Content::Agent => (Kind::Platinum, "Na2PtCl6"),
        Content::Surfactant | Content::Stock => return None,
    })
}

impl Page<'_> {
    /// One line a kind; the codes and the meetings stand behind a summary.
    pub(super) fn dangers(&mut self) {
        let platinum = self.plan.share.is_some_and(|s| s > 0.0);
        for (used, field) in [(platinum, "setup.share"), (self.ask.setup.agent, "setup.agent")] {
            if used {
                self.note(Note::danger(
                    field,
                    "Platinum salts can bring on asthma and allergy for life, above all as dust or spray.",
                    "Wear gloves, never handle the powder in moving air, and take wheeze or rash to a doctor as \
                     \"chloroplatinate\".",
                ));
            }
        }
        let Some(mix) = self.plan.mix else { return };
        for (content, _) in mix.parts() {
            let Some((kind, formula)) = kinds(content) else { continue };
            let caution = kind.caution();
            let first = caution.split_inclusive(". ").next().unwrap_or(caution).trim_end();
            if !self.view.dangers.iter().any(|d| d.text == first) {
                self.view.dangers.push(TextRow { text: first.into() });
            }
            let codes = hazard::gravest(hazard::codes(formula).iter().copied());
            if !codes.is_empty() {
                let said = codes.iter().map(|c| [c, " ", hazard::statement(c)].concat()).collect::<Vec<_>>();
                let text = [content.name(), " (", formula, "): ", &said.join("; ")].concat();
                self.view.codes.push(TextRow { text });
            }
        }
        self.view.has_codes = !self.view.codes.is_empty();
        let names = self.plan.names(&mix);
        for meeting in together::meetings(names.iter().map(String::as_str)) {
            let field = if mix.volume(Content::Agent).to_ml() > 0.0 { "setup.agent" } else { "setup.parts" };
            self.note(Note::warning(field, meeting.text, meeting.mend));
        }
    }
}

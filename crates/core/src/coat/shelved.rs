//! The bottles a mix is drawn from, as the coat station shows them.

use super::Content;
use super::bottles::{Standing, last_test, strength};
use super::show::Page;
use super::view::BottleRow;
use crate::book::{IronSeen, date};
use crate::chemistry::Strength;
use crate::note::Note;
use crate::quantity::Volume;
use crate::stores::keeping;

/// Bottles of one content that are shown; more stand at the stores.
const SHOWN: usize = 6;

/// A bottle by its name, and by its content where the name does not say it.
fn called(name: &str, content: Content) -> String {
    match name.trim() {
        "" => content.name().into(),
        name if name.starts_with(content.name()) => name.into(),
        name => [name, " (", content.name(), ")"].concat(),
    }
}

impl Page<'_> {
    /// The bottles that the mix could use, by content, oldest first.
    pub(super) fn usable(&self) -> Vec<(Content, Standing<'_>)> {
        let Some(mix) = self.plan.mix else { return vec![] };
        let rows = mix.parts().flat_map(|(content, _)| {
            let chosen = self.shelf.chosen(self.ask, content).map(|s| s.id);
            let row = self.shelf.row(content).iter().enumerate();
            row.filter(move |(i, s)| *i < SHOWN || chosen == Some(s.id)).map(move |(_, s)| (content, *s))
        });
        rows.collect()
    }

    pub(super) fn stores(&mut self) {
        self.view.drawn = !self.ask.drawn.is_empty();
        self.view.drawn_text.clone_from(&self.ask.drawn);
        let Some(mix) = self.plan.mix else { return };
        let u = self.units;
        let mut drawable = false;
        for (content, volume) in mix.parts() {
            if let Some(standing) = self.shelf.chosen(self.ask, content) {
                drawable |= standing.left.is_some();
                self.check_bottle(content, volume, &standing);
            }
        }
        let mut rows = Vec::new();
        for (content, standing) in self.usable() {
            let is = self.shelf.chosen(self.ask, content).is_some_and(|s| s.id == standing.id);
            let left =
                standing.left.map_or_else(|| "volume not known".into(), |v| format!("{} left", u.ml(v)));
            rows.push(BottleRow {
                name: called(&standing.bottle.name, content),
                left,
                chosen: is,
                other: !is,
            });
        }
        let all: usize = mix.parts().map(|(c, _)| self.shelf.row(c).len()).sum();
        if all > rows.len() {
            self.view.more_bottles = format!("{} more stand at the stores.", all - rows.len());
        }
        self.view.bottles = rows;
        self.view.has_bottles = !self.view.bottles.is_empty();
        self.view.no_bottles = !self.view.has_bottles;
        self.view.can_draw = drawable && !self.view.drawn;
    }

    fn check_bottle(&mut self, content: Content, volume: Volume, standing: &Standing<'_>) {
        let (u, bottle) = (self.units, standing.bottle);
        let name = if bottle.name.trim().is_empty() { content.name() } else { bottle.name.trim() };
        if let Some(left) = standing.left
            && left < volume
            && self.ask.drawn.is_empty()
        {
            let mend = if self.shelf.left(content) < volume {
                "Make or order more, or coat fewer sheets."
            } else {
                "The rest is drawn from the next oldest bottle, unless you choose another one."
            };
            self.note(Note::warning(
                "sheets",
                format!("{name} holds {} and this mix takes {}.", u.ml(left), u.ml(volume)),
                mend,
            ));
        }
        let field = match content {
            Content::Agent => "setup.agent_strength",
            Content::Surfactant => "setup.surfactant_strength",
            Content::Iron => "setup.iron",
            Content::Palladium => "setup.palladium",
            Content::Platinum => "setup.platinum",
            _ => "setup.parts",
        };
        let planned = self.plan.strengths[content.index()].map(Strength::to_percent);
        let real = strength(content, bottle).ok().flatten().map(Strength::to_percent);
        if let (Some(planned), Some(real)) = (planned, real)
            && (planned / real - 1.0).abs() > 0.005
        {
            self.note(Note::warning(
                field,
                format!("{name} is {} %, planned are {} %.", u.figures(real, 4), u.figures(planned, 4)),
                "Type the bottle's strength here, or choose another bottle.",
            ));
        }
        let test = last_test(bottle).filter(|_| content == Content::Iron);
        if let Some(test) = test
            && test.seen != IronSeen::Good
        {
            let seen = match test.seen {
                IronSeen::NeverBlue => "no blue even after light",
                _ => "blue before any light",
            };
            self.note(Note::warning(
                field,
                format!("{name} showed {seen} when it was tested on {}.", date(test.at, self.zone_minutes)),
                "Choose another bottle, or test it again at the stores.",
            ));
        }
        if keeping::over(content, bottle, self.today).is_some_and(|days| days > 0)
            && test.is_none_or(|t| crate::book::today(t.at, self.zone_minutes) < self.today - 30)
        {
            self.note(Note::warning(
                field,
                format!("{name} is older than it is said to keep."),
                "Test it before you coat, or change how long it keeps at the stores.",
            ));
        }
    }
}

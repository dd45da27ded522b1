//! Recipes on the page: the ready ones and the printer's own, taken, kept and changed.

use super::parts::MOST;
use super::show::Page;
use super::view::{RecipeRow, TextRow};
use super::{Ask, Content, PartAsk, Preset, READY, Ready, ReadyPart, Recipe};
use crate::baths::{self, Row};
use crate::book::{Change, Key, Kind, Object};
use crate::note::Note;
use crate::show::significant;
use crate::station::{Act, Scene};

/// A ready recipe as a preset of the coat.
pub(super) fn preset(ready: &Ready) -> Preset {
    let base = ready.preset().unwrap_or_else(|| {
        let parts = ready.parts.iter().map(|p| {
            let content = Content::ALL.into_iter().find(|c| c.name() == p.content);
            PartAsk {
                content: content.map_or("", Content::word).into(),
                salt: p.formula.into(),
                strength: significant(p.strength.value, usize::from(p.strength.digits)),
                basis: if p.strength.unit == "mol/L" { "mol".into() } else { String::new() },
                volumes: significant(p.volumes.value, 3),
            }
        });
        Preset { parts: parts.collect(), ..Preset::default() }
    });
    Preset { recipe: ready.name.into(), ..base }
}

/// What a preset mixes, in a line.
fn said(preset: &Preset) -> String {
    if preset.parts.is_empty() {
        return by_share(&preset.ratio, preset.share.trim());
    }
    let one = |p: &PartAsk| {
        let unit = if p.basis == "mol" { " mol/L" } else { " %" };
        let name = Content::of(&p.content).map_or("", Content::name);
        [&p.volumes, " ", name, " ", &p.strength, unit].concat()
    };
    preset.parts.iter().map(one).collect::<Vec<_>>().join(", ")
}

fn by_share(ratio: &str, share: &str) -> String {
    ["iron ", ratio, " to metal 1; platinum ", share, " % of the metal"].concat()
}

/// The same of a ready recipe, without making a preset of it at every keystroke.
fn ready_said(ready: &Ready) -> String {
    if let Some(share) = ready.share {
        return by_share("1", share);
    }
    let one = |p: &ReadyPart| {
        let unit = if p.strength.unit == "mol/L" { " mol/L" } else { " %" };
        let strength = significant(p.strength.value, usize::from(p.strength.digits));
        [&significant(p.volumes.value, 3), " ", p.content, " ", &strength, unit].concat()
    };
    ready.parts.iter().map(one).collect::<Vec<_>>().join(", ")
}

fn baths(rows: &[Row]) -> String {
    let name = |r: &Row| if r.name.is_empty() { r.contents.clone() } else { r.name.clone() };
    rows.iter().map(name).collect::<Vec<_>>().join("; ")
}

impl Page<'_> {
    /// The list of recipes, and the parts of the one in use.
    pub(super) fn recipes(&mut self) {
        for ready in &READY {
            self.view.recipes.push(RecipeRow {
                name: ready.name.into(),
                parts: ready_said(ready),
                baths: ready.baths.iter().map(|b| b.name).collect::<Vec<_>>().join("; "),
                source: ready.source.into(),
                remark: ready.remark.into(),
                own: false,
            });
        }
        for (_, recipe) in self.book.recipes() {
            self.view.recipes.push(RecipeRow {
                name: recipe.name.clone(),
                parts: said(&recipe.preset),
                baths: baths(&recipe.baths),
                source: recipe.source.clone(),
                remark: String::new(),
                own: true,
            });
        }
        let set = &self.ask.setup;
        self.view.recipe = if set.recipe.is_empty() { "none taken".into() } else { set.recipe.clone() };
        self.view.by_parts = !set.parts.is_empty();
        self.view.by_share = set.parts.is_empty();
        for row in &set.parts {
            let name = Content::of(&row.content).map_or("not known", Content::name);
            self.view.part_names.push(TextRow { text: name.into() });
        }
        let practice = |c: &str| {
            matches!(Content::of(c), Some(Content::IronCitrate | Content::Silver | Content::Ferricyanide))
        };
        if set.parts.iter().any(|p| practice(&p.content)) {
            self.note(Note::hint(
                "setup.recipe",
                "This serves to practise film, contact and coating on cheap sheets. Neither its time nor its correction \
                 carries over to platinum and palladium.",
            ));
        }
    }
}

/// Takes a recipe for the ticket: what is mixed, and the baths that belong to it.
pub(super) fn take(row: Option<usize>, scene: &Scene<'_>) -> Act {
    let found = row.and_then(|row| match READY.get(row) {
        Some(ready) => Some((preset(ready), baths::rows(ready.baths))),
        None => {
            let (_, recipe) = scene.book.recipes().nth(row - READY.len())?;
            Some((Preset { recipe: recipe.name.clone(), ..recipe.preset.clone() }, recipe.baths.clone()))
        }
    });
    let Some((preset, rows)) = found else { return Act::default() };
    let change = scene.book.on_ticket(|t| {
        t.asks.coat.setup.take_mix(&preset);
        if !rows.is_empty() {
            t.asks.baths.setup.rows = rows;
        }
    });
    let said = "The mix and its baths are those of the recipe now. The setup still has the old ones until you keep these.";
    Act { notes: vec![Note::hint("setup.recipe", said)], ..Act::change(change) }
}

/// Keeps the mix of the ticket and its baths as a recipe under the name typed; one of that name is replaced.
pub(super) fn keep(ask: &Ask, scene: &Scene<'_>) -> Act {
    let book = scene.book;
    let name = ask.recipe_name.trim();
    if name.is_empty() {
        return Act::note(Note::error(
            "recipe_name",
            "The recipe has no name yet.",
            "Type what you call it, and press again.",
        ));
    }
    let same = book.recipes().find(|(_, r)| r.name.trim() == name).map(|(id, _)| id.to_owned());
    let key = match same {
        Some(id) => Key::new(Kind::Recipe, id),
        None => Key::fresh(Kind::Recipe, scene.now, scene.luck),
    };
    let recipe = Recipe {
        name: name.into(),
        preset: Preset { recipe: name.into(), ..ask.setup.clone() },
        source: ask.recipe_source.trim().into(),
        baths: book.ticket().asks.baths.setup.rows.clone(),
    };
    let change = Change::put(key, Object::Recipe(Box::new(recipe)));
    Act::change(change.and(book.on_ticket(|t| t.asks.coat.setup.recipe = name.into())))
}

/// Removes one of the printer's own recipes.
pub(super) fn remove(row: Option<usize>, scene: &Scene<'_>) -> Act {
    let own = row.and_then(|row| row.checked_sub(READY.len()));
    match own.and_then(|i| scene.book.recipes().nth(i)) {
        Some((id, _)) => Act::change(Change::Delete(Key::new(Kind::Recipe, id))),
        None => Act::default(),
    }
}

/// Changes the parts of the recipe in use: adds one, removes one, or goes back to share and ratio.
pub(super) fn alter(ask: &Ask, verb: &str, place: &str, scene: &Scene<'_>) -> Act {
    let mut parts = ask.setup.parts.clone();
    let row = place.parse::<usize>().ok().filter(|i| *i < parts.len());
    match (verb, Content::of(place).filter(|c| c.is_main()), row) {
        ("add-part", Some(content), _) if parts.len() < MOST => parts.push(PartAsk {
            content: content.word().into(),
            strength: starting_strength(content),
            volumes: "1".into(),
            ..PartAsk::default()
        }),
        ("remove-part", _, Some(row)) => {
            parts.remove(row);
        }
        ("by-share", ..) => parts.clear(),
        _ => return Act::default(),
    }
    Act::change(scene.book.on_ticket(|t| t.asks.coat.setup.parts = parts))
}

/// The strength that a ready recipe mixes a content at; empty if none does.
fn starting_strength(content: Content) -> String {
    let parts = READY.iter().flat_map(|r| r.parts).filter(|p| p.strength.unit != "mol/L");
    let found = parts.into_iter().find(|p| p.content == content.name());
    found.map_or_else(String::new, |p| significant(p.strength.value, 3))
}

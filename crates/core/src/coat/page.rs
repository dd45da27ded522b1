//! The coat station: what was typed, what is shown, what its buttons do.

use super::view::{BottleRow, OrderRow, PaperRow, PartRow, RecipeRow, TextRow};
use super::{Ask, PartAsk, View, bottles, learned, recipes, show};
use crate::book::{Book, Change};
use crate::negative::convert_length;
use crate::show::Units;
use crate::station::{Act, Answer, Deed, Effect, Scene, Station};

/// The coat station.
#[derive(Clone, Copy, Debug)]
pub struct Coat;

impl Station for Coat {
    const ID: &'static str = "coat";
    type Ask = Ask;
    type View = View;

    fn load(book: &Book) -> Ask {
        book.ticket().asks.coat.clone()
    }

    fn keep(book: &Book, ask: Ask) -> Change {
        book.on_ticket(|ticket| ticket.asks.coat = ask)
    }

    fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
        show::answer(ask, scene)
    }

    fn act(ask: &Ask, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
        let book = scene.book;
        match deed.verb {
            "keep-setup" => Act::change(book.on_setup(|s| s.presets.coat = ask.setup.clone())),
            "take-setup" => {
                let preset = book.setup().presets.coat.clone();
                Act::change(book.on_ticket(|t| t.asks.coat.setup = preset))
            }
            "choose" => {
                let row = deed.place.parse::<usize>().ok();
                match row.and_then(|row| show::bottle_in_row(ask, scene, row)) {
                    Some((id, content)) => Act::change(book.on_ticket(|t| t.asks.coat.choose(content, &id))),
                    None => Act::default(),
                }
            }
            "take-recipe" => recipes::take(deed.place.parse().ok(), scene),
            "remove-recipe" => recipes::remove(deed.place.parse().ok(), scene),
            "keep-recipe" => recipes::keep(ask, scene),
            "add-part" | "remove-part" | "by-share" => recipes::alter(ask, deed.verb, deed.place, scene),
            "print" => Act::effect(Effect::Print),
            "card" => Act::effect(Effect::PrintCard),
            "choose-paper" => match deed.place.parse().ok().and_then(|row| book.papers().nth(row)) {
                Some((id, _)) => Act::change(book.on_ticket(|t| t.asks.coat.paper = id.into())),
                None => Act::default(),
            },
            "mixed" => bottles::draw_from(ask, scene),
            "put-back" => bottles::put_back(ask, scene),
            "use-knee" => match learned::found(ask, book.ticket().units) {
                Some(coverage) => Act::change(book.on_ticket(|t| {
                    t.asks.coat.setup.coverage = coverage;
                    t.asks.coat.setup.coverage_of = "poured".into();
                })),
                None => Act::default(),
            },
            _ => Act::default(),
        }
    }

    fn convert(ask: &mut Ask, from: Units, to: Units) {
        for text in [&mut ask.width, &mut ask.height, &mut ask.setup.border, &mut ask.setup.margin] {
            convert_length(text, from, to);
        }
    }

    fn sample() -> (Ask, View) {
        let view = View {
            parts: vec![PartRow::default()],
            bottles: vec![BottleRow::default()],
            edition_rows: vec![OrderRow::default()],
            recipes: vec![RecipeRow::default()],
            papers: vec![PaperRow::default()],
            part_names: vec![TextRow::default()],
            dangers: vec![TextRow::default()],
            codes: vec![TextRow::default()],
            ..View::default()
        };
        let mut ask = Ask::default();
        ask.setup.parts = vec![PartAsk::default()];
        (ask, view)
    }
}

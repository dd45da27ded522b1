//! The page where a bottle is made: what was typed, what is shown, what its buttons do.

use super::view::{FormRow, LabelRow, TextRow, WeighRow};
use super::{Ask, View, shelf, show};
use crate::book::{Book, Change};
use crate::entry;
use crate::show::Units;
use crate::station::{Act, Answer, Deed, Effect, Scene, Station};

/// The page where a bottle is made.
#[derive(Clone, Copy, Debug)]
pub struct Make;

impl Station for Make {
    const ID: &'static str = "make";
    type Ask = Ask;
    type View = View;

    fn load(book: &Book) -> Ask {
        book.desk().make.clone()
    }

    fn keep(book: &Book, ask: Ask) -> Change {
        book.on_desk(|desk| desk.make = ask)
    }

    fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
        show::answer(ask, scene)
    }

    fn act(ask: &Ask, deed: Deed<'_>, scene: &Scene<'_>) -> Act {
        match deed.verb {
            "shelve" => shelf::shelve(ask, scene).into(),
            "print" => Act::effect(Effect::Print),
            "to-stores" => Act::effect(Effect::Go("stores")),
            "fresh" => Act::change(Self::keep(scene.book, Ask::default())),
            _ => Act::default(),
        }
    }

    fn convert(ask: &mut Ask, from: Units, to: Units) {
        entry::convert_temperature(&mut ask.room, from, to);
    }

    fn sample() -> (Ask, View) {
        let view = View {
            forms: vec![FormRow::default()],
            weighed: vec![WeighRow::default()],
            steps: vec![TextRow::default()],
            codes: vec![TextRow::default()],
            cautions: vec![TextRow::default()],
            meets: vec![TextRow::default()],
            labels: vec![LabelRow::default()],
            ..View::default()
        };
        (Ask::default(), view)
    }
}

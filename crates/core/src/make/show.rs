//! What is shown of a bottle to be made.

use super::view::{FormRow, TextRow, View, WeighRow};
use super::{Ask, labels, read};
use crate::chemistry::concentration::Way;
use crate::chemistry::{hazard, together};
use crate::coat::{Content, way};
use crate::quantity::Temperature;
use crate::show::Units;
use crate::station::{Answer, Scene};

pub(super) fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
    let u = scene.units();
    let mut notes = Vec::new();
    let bottled = read::read(ask, u, &mut notes);
    let mut view = asked(ask, u);
    let Some(b) = bottled else {
        view.stuck = true;
        return Answer { view, notes, ..Answer::default() };
    };
    let made = &b.made;
    view.made = true;
    for w in &made.weighed {
        view.weighed.push(WeighRow {
            name: w.name.to_string(),
            formula: w.formula.to_string(),
            amount: grams(w.mass.to_g(), u),
        });
    }
    if let Some(poured) = made.poured {
        view.weighed.push(WeighRow {
            name: ["stronger solution of ", &made.content].concat(),
            formula: String::new(),
            amount: u.ml(poured),
        });
    }
    view.strength = labels::strength(&b, u);
    view.moles = labels::moles(&b, u);
    view.has_moles = !view.moles.is_empty();
    view.steps = made.steps.iter().map(|s| row(s)).collect();
    if let Some(warm) = made.warm {
        view.has_warm = true;
        let t = u.temperature(Temperature::from_celsius(warm.value));
        view.warm = [t, [" (", &warm.basis.words(), ")"].concat()].concat();
    }
    view.keeps = made.keeps.into();
    view.codes = labels::codes(&b).iter().map(|c| row(&[c, ": ", hazard::statement(c)].concat())).collect();
    view.has_codes = !view.codes.is_empty();
    view.cautions = made.cautions.iter().map(|c| row(c)).collect();
    let mut meets: Vec<&together::Meeting> = Vec::new();
    for name in made.weighed.iter().map(|w| w.name.as_ref()).chain([made.content.as_ref()]) {
        for meeting in together::of(name) {
            if !meets.contains(&meeting) {
                meets.push(meeting);
            }
        }
    }
    view.meets = meets.iter().map(|m| row(&[m.text, " ", m.mend].concat())).collect();
    view.has_meets = !view.meets.is_empty();
    view.shelf = match b.content {
        Content::Stock => "It will stand among the stock solutions for baths.".into(),
        content => ["The mix of a ticket can draw on it as ", content.name(), "."].concat(),
    };
    view.labels = labels::labels(ask, &b, scene, &mut notes);
    let workings = vec![b.made.working];
    Answer { view, notes, workings, ticket: vec![] }
}

/// Grams to the milligram, or to the hundredth above ten.
fn grams(g: f64, u: Units) -> String {
    [&u.number(g, if g < 10.0 { 3 } else { 2 }), " g"].concat()
}

fn row(text: &str) -> TextRow {
    TextRow { text: text.into() }
}

/// What depends on the questions alone.
fn asked(ask: &Ask, u: Units) -> View {
    let stock = read::stock(ask);
    let own = stock.is_none() && ask.what == "own";
    let mut view = View {
        palladium: stock.is_none() && !own,
        own,
        stock: stock.is_some(),
        powder: stock.is_none() || ask.from != "bottle",
        bottle: stock.is_some() && ask.from == "bottle",
        ferric: ask.what == Content::Iron.name(),
        citrate: ask.what == Content::IronCitrate.name(),
        old: ask.way == "old",
        needs_density: matches!(way(&ask.way), Way::PercentWw | Way::PerHundredWater),
        ..View::default()
    };
    if let Some(stock) = stock {
        view.forms = stock.forms.iter().map(|f| FormRow { formula: (*f).into() }).collect();
        view.several = stock.forms.len() > 1;
    }
    if let Some(usual) = read::usual(ask) {
        let percent = u.figures(usual.value, usize::from(usual.digits));
        view.has_usual = true;
        view.usual = [&percent, " % w/v (", &usual.basis.words(), ")"].concat();
    }
    if let Some(d) = read::density_start(ask).filter(|_| view.needs_density) {
        view.density_start = [&u.figures(d.value, 4), " g/mL (", d.source, ")"].concat();
    }
    view
}

//! Recipes, agents and second coats as a printer meets them.

use super::*;
use crate::book::{Book, Bottle, Change, Key, Kind, Object};
use crate::note::Severity;
use crate::station::{Act, Answer, Deed, Device, Scene, Station};
use crate::testing::test;
use crate::tone::Solved;

fn with<T>(book: &Book, run: impl FnOnce(&Scene<'_>) -> T) -> T {
    let (tone, device) = (Solved::default(), Device::default());
    run(&Scene { book, now: 5, zone_minutes: 0, luck: 3, tone: &tone, device: &device })
}

fn answer(book: &Book, ask: &Ask) -> Answer<View> {
    with(book, |scene| Coat::answer(ask, scene))
}

fn act(book: &Book, verb: &str, place: &str) -> Act {
    with(book, |scene| Coat::act(&Coat::load(book), Deed { verb, place }, scene))
}

/// A ticket of 2.40 mL: 203 × 254 mm at 46.5 mL/m², nothing around.
fn ticket(change: impl FnOnce(&mut Ask)) -> Book {
    let mut book = Book::fresh(1, 2);
    let set = book.on_ticket(|t| {
        let ask = &mut t.asks.coat;
        (ask.width, ask.height, ask.strip) = ("203".into(), "254".into(), "without".into());
        (ask.setup.margin, ask.setup.coverage) = ("0".into(), "46.5".into());
        change(ask);
    });
    book.apply(set, 2, "x");
    book
}

fn parts(book: &Book) -> Vec<(String, String)> {
    let v = answer(book, &Coat::load(book)).view;
    v.parts.into_iter().map(|p| (p.name, p.amount)).collect()
}

fn fields(a: &Answer<View>, severity: Severity) -> Vec<String> {
    a.notes.iter().filter(|n| n.severity == severity).map(|n| n.field.clone()).collect()
}

#[test]
fn every_ready_recipe_can_be_taken_with_its_baths_and_taken_back() {
    for (i, ready) in READY.iter().enumerate() {
        let mut book = ticket(|_| {});
        let before = book.clone();
        let inverse = book.apply(act(&book, "take-recipe", &i.to_string()).change.unwrap(), 3, "x").inverse;
        let a = answer(&book, &Coat::load(&book));
        assert_eq!(a.view.recipe, ready.name);
        // The list says what the recipe brings.
        let row = &a.view.recipes[i];
        let set = Coat::load(&book).setup;
        assert!(set.parts.iter().all(|p| row.parts.contains(&p.strength)));
        assert!(!set.parts.is_empty() || row.parts.contains(&["platinum ", &set.share, " %"].concat()));
        assert!(a.view.has_mix, "{}: {:?}", ready.name, a.notes);
        assert_eq!(a.view.parts.len(), ready.parts.len());
        let sum: f64 =
            a.view.parts.iter().map(|p| p.amount.trim_end_matches(" mL").parse::<f64>().unwrap()).sum();
        assert!((sum - 2.40).abs() < 0.011, "{sum}");
        let baths = &book.ticket().asks.baths.setup.rows;
        assert_eq!(baths.len(), ready.baths.len());
        assert_eq!(baths[0].contents, ready.baths[0].contents);
        let practice = a.notes.iter().any(|n| n.text.contains("practise film"));
        assert_eq!(practice, ready.name == "Cyanotype" || ready.name == "Kallitype");
        // Coverage and edges are the printer's own and stay.
        assert_eq!(Coat::load(&book).setup.coverage, "46.5");
        book.apply(inverse, 4, "undo");
        assert_eq!(book.ticket(), before.ticket());
    }
    for place in ["99", "", "x"] {
        assert_eq!(act(&ticket(|_| {}), "take-recipe", place), Act::default());
    }
}

#[test]
fn the_printing_out_recipe_keeps_iron_to_metal_near_two() {
    // 30 g of ammonium iron(III) oxalate and 3 g of palladium chloride: Fe : Pd 2.07, whatever the volume.
    let mut book = ticket(|_| {});
    book.apply(act(&book, "take-recipe", "3").change.unwrap(), 3, "x");
    assert_eq!(
        parts(&book),
        [("ammonium iron(III) oxalate".into(), "1.20 mL".into()), ("palladium".into(), "1.20 mL".into())]
    );
    let v = answer(&book, &Coat::load(&book)).view;
    assert_eq!(v.iron, "2.1–2.1 to 1");
    // 1.2 mL of 0.677 mol/L hold 86.5 mg of palladium (106.42 g/mol).
    assert!(v.metal.starts_with("86 mg palladium"), "{}", v.metal);
}

#[test]
fn a_recipe_of_ones_own_is_kept_changed_and_taken() {
    let mut book = ticket(|a| {
        a.setup.share = "30".into();
        a.recipe_name = "Harbour warm".into();
        a.recipe_source = "own strips, March".into();
    });
    book.apply(act(&book, "keep-recipe", "").change.unwrap(), 3, "x");
    let mut other = book.clone();
    let change = other.on_ticket(|t| t.asks.coat.setup.share = "0".into());
    other.apply(change, 4, "x");
    let rows = answer(&other, &Coat::load(&other)).view.recipes;
    let own = rows.iter().position(|r| r.own).unwrap();
    assert_eq!((rows[own].name.as_str(), rows[own].source.as_str()), ("Harbour warm", "own strips, March"));
    other.apply(act(&other, "take-recipe", &own.to_string()).change.unwrap(), 5, "x");
    assert_eq!(Coat::load(&other).setup.share, "30");
    // Kept again under the same name it is changed, not doubled.
    let change = other.on_ticket(|t| t.asks.coat.setup.share = "35".into());
    other.apply(change, 6, "x");
    other.apply(act(&other, "keep-recipe", "").change.unwrap(), 7, "x");
    assert_eq!(other.recipes().count(), 1);
    assert_eq!(other.recipes().next().unwrap().1.preset.share, "35");
    other.apply(act(&other, "remove-recipe", &own.to_string()).change.unwrap(), 8, "x");
    assert_eq!(other.recipes().count(), 0);
    assert_eq!(act(&other, "remove-recipe", "0"), Act::default(), "ready ones stay");
    let mut nameless = book;
    let change = nameless.on_ticket(|t| t.asks.coat.recipe_name = "  ".into());
    nameless.apply(change, 9, "x");
    assert_eq!(act(&nameless, "keep-recipe", "").notes[0].field, "recipe_name");
}

#[test]
fn parts_are_added_removed_and_must_add_up() {
    let mut book = ticket(|_| {});
    for content in ["iron", "palladium", "platinum"] {
        book.apply(act(&book, "add-part", content).change.unwrap(), 3, "x");
    }
    assert_eq!(parts(&book).iter().map(|p| p.1.as_str()).collect::<Vec<_>>(), ["0.80 mL"; 3]);
    book.apply(act(&book, "remove-part", "2").change.unwrap(), 4, "x");
    assert_eq!(parts(&book).len(), 2);
    for place in ["stock", "agent", "gold", "7"] {
        assert_eq!(act(&book, "add-part", place), Act::default());
    }
    let mut zero = Coat::load(&book);
    zero.setup.parts.iter_mut().for_each(|p| p.volumes = "0".into());
    let a = answer(&book, &zero);
    assert!(!a.view.has_mix && fields(&a, Severity::Error).contains(&"setup.parts".to_owned()));
    zero.setup.parts[0].volumes = "-1".into();
    let a = answer(&book, &zero);
    assert!(!a.view.has_mix && fields(&a, Severity::Error).contains(&"setup.parts.0.volumes".to_owned()));
    book.apply(act(&book, "by-share", "").change.unwrap(), 5, "x");
    assert!(Coat::load(&book).setup.parts.is_empty() && answer(&book, &Coat::load(&book)).view.has_mix);
}

#[test]
fn only_what_hurts_at_once_is_refused() {
    // Chlorate with ammonium: refused. Hexachloroplatinate with a potassium platinum salt: drops and a note.
    let mut book = ticket(|_| {});
    for content in ["chlorate", "ammonium-iron", "palladium"] {
        book.apply(act(&book, "add-part", content).change.unwrap(), 3, "x");
    }
    let a = answer(&book, &Coat::load(&book));
    assert!(!a.view.has_mix && fields(&a, Severity::Danger).contains(&"setup.parts".to_owned()));
    let expert = ticket(|a| {
        a.setup.agent = true;
        a.setup.share = "50".into();
    });
    let a = answer(&expert, &Coat::load(&expert));
    assert!(a.view.has_mix && a.view.parts.iter().any(|p| p.name == "contrast agent"));
    assert!(fields(&a, Severity::Warning).contains(&"setup.agent".to_owned()));
}

#[test]
fn chlorate_goes_by_the_mole_of_iron() {
    // Half of a 27 % iron solution with 0.456 % KClO3: 18.6 mmol in 1.116 to 1.437 mol of iron.
    let book = ticket(|a| {
        a.setup.chlorate_share = "50".into();
        a.setup.chlorate_strength = "0.456".into();
    });
    let v = answer(&book, &Coat::load(&book)).view;
    assert_eq!(v.chlorate_amount, "13–17 mmol chlorate to a mol of iron, as the iron holds water or not");
    assert_eq!(
        parts(&book),
        [
            ("iron(III) oxalate".into(), "0.60 mL".into()),
            ("iron(III) oxalate with chlorate".into(), "0.60 mL".into()),
            ("palladium".into(), "1.20 mL".into())
        ]
    );
    assert!(v.agent_scale.starts_with("Unknown for you"));
    let unknown = ticket(|a| a.setup.chlorate_share = "50".into());
    assert!(
        fields(&answer(&unknown, &Coat::load(&unknown)), Severity::Error)
            .contains(&"setup.chlorate_strength".to_owned())
    );
    // The bottle's own label is taken where nothing was typed.
    let mut labelled = unknown;
    let bottle = Bottle {
        content: "chlorate".into(),
        chlorate: "1.2".into(),
        salt: "Fe2(C2O4)3·5H2O".into(),
        ..Bottle::default()
    };
    labelled.apply(Change::put(Key::new(Kind::Bottle, "k"), Object::Bottle(Box::new(bottle))), 3, "x");
    assert!(answer(&labelled, &Coat::load(&labelled)).view.has_chlorate);
}

#[test]
fn the_scale_comes_from_own_strips_then_from_the_series_then_from_nobody() {
    let book = ticket(|a| a.setup.dichromate_ml = "4".into());
    let mut ask = Coat::load(&book);
    let v = answer(&book, &ask).view;
    // S. King's series: 4 mL of 5 % a litre, 0.680 mmol, printed with a scale of 1.50; the line gives 1.51.
    assert!(v.dichromate_amount.starts_with("0.68 mmol, 200 mg"), "{}", v.dichromate_amount);
    assert!(
        v.agent_scale.starts_with("1.51 ± 0.02 log H with dichromate in one published series"),
        "{}",
        v.agent_scale
    );
    ask.setup.dichromate_ml = "200".into();
    assert!(answer(&book, &ask).view.agent_scale.starts_with("Unknown for you"), "outside the series");
    ask.setup.dichromate_ml = "4".into();
    ask.setup.agent_strips_of = "dichromate".into();
    for (row, (a, s)) in
        ask.setup.agent_strips.iter_mut().zip([("0", "1.9"), ("0.68", "1.7"), ("1.36", "1.6")])
    {
        (row.amount, row.scale) = (a.into(), s.into());
    }
    assert!(
        answer(&book, &ask)
            .view
            .agent_scale
            .starts_with("1.70 ± 0.10 log H with dichromate, by your own strips")
    );
    ask.setup.dichromate_ml = "20".into();
    let a = answer(&book, &ask);
    assert!(fields(&a, Severity::Error).contains(&"setup.agent_strips".to_owned()), "beyond the strips");
}

#[test]
fn an_agent_is_proposed_only_when_white_is_not_reached() {
    let mut book = ticket(|_| {});
    assert!(!answer(&book, &Coat::load(&book)).view.has_agent_wanted);
    let change = book.on_setup(|s| {
        s.tone.readings = (0..=10).map(|i| format!("{} {}\n", 10 * i, 20.0 + 6.5 * f64::from(i))).collect();
        s.tone.masked = "94".into();
    });
    book.apply(change, 3, "x");
    let tone = crate::tone::solve(&book.setup().tone);
    let device = Device::default();
    let scene = Scene { book: &book, now: 5, zone_minutes: 0, luck: 3, tone: &tone, device: &device };
    let v = Coat::answer(&Coat::load(&book), &scene).view;
    // Full ink prints L* 85, the masked spot 94: 0.13 density apart.
    assert!(v.has_agent_wanted, "{}", v.agent_wanted);
    assert!(v.agent_wanted.starts_with("Full ink prints 0.1"), "{}", v.agent_wanted);
    // The same from the starting curve: the light that prints the veil over the light that still counts as white.
    let curve = crate::light::PaperCurve::starting(crate::light::paper_curve::CLOSENESS.value);
    let veil =
        crate::tone::lightness::to_density(85.0).unwrap() - crate::tone::lightness::to_density(94.0).unwrap();
    let at = |d: f64| curve.log_exposure(crate::light::paper_curve::PAPER.value + d).unwrap();
    let short = format!("about {:.2} log H by a starting curve", at(veil) - at(0.02));
    assert!(v.agent_wanted.contains(&short), "{short}: {}", v.agent_wanted);
}

#[test]
fn a_smaller_second_coat_and_a_round_picture() {
    let book = ticket(|a| {
        a.setup.coats = "2".into();
        a.setup.second = "50".into();
    });
    let v = answer(&book, &Coat::load(&book)).view;
    assert_eq!(
        (v.volume.as_str(), v.coats.as_str()),
        ("3.60 mL", "First coat 2.40 mL, each further one 1.20 mL.")
    );
    let round = ticket(|a| a.setup.shape = "round".into());
    // π/4 of the rectangle.
    assert_eq!(answer(&round, &Coat::load(&round)).view.volume, "1.88 mL");
}

#[test]
fn the_paper_of_the_ticket_is_counted_by_the_print() {
    use crate::book::Paper;
    let mut book = ticket(|_| {});
    let mut all = Vec::new();
    for (id, price, left) in [("a", "9.60", "0"), ("b", "12", "4"), ("c", "8", "9")] {
        let [price, left] = [price, left].map(str::to_owned);
        let paper = Paper { name: id.into(), price, left, ..Paper::default() };
        all.push(Change::put(Key::new(Kind::Paper, id), Object::Paper(Box::new(paper))));
    }
    let iron = Bottle { content: "iron".into(), size: "50".into(), price: "50".into(), ..Bottle::default() };
    all.push(Change::put(Key::new(Kind::Bottle, "i"), Object::Bottle(Box::new(iron))));
    book.apply(Change::All(all), 3, "x");
    let attempt = |book: &Book| answer(book, &Coat::load(book)).view.attempt;
    // 1.20 mL of iron at 1.00, and a sheet of "b": "a" is used up.
    assert_eq!(attempt(&book), "13.20");
    book.apply(act(&book, "choose-paper", "2").change.unwrap(), 4, "x");
    assert_eq!(attempt(&book), "9.20");
    let change = book.on_ticket(|t| t.asks.coat.setup.from_sheet = "4".into());
    book.apply(change, 5, "x");
    assert_eq!(attempt(&book), "3.20");
    assert_eq!(act(&book, "choose-paper", "9"), Act::default());
}

#[test]
fn a_lithium_bottle_brings_its_own_metal() {
    let mut book = ticket(|_| {});
    let metal = |book: &Book| answer(book, &Coat::load(book)).view.metal;
    assert!(metal(&book).starts_with("65 mg"), "{}", metal(&book));
    let bottle = Bottle {
        content: "palladium".into(),
        strength: "15".into(),
        salt: "Li2PdCl4".into(),
        ..Bottle::default()
    };
    book.apply(Change::put(Key::new(Kind::Bottle, "li"), Object::Bottle(Box::new(bottle))), 3, "x");
    // 6.090 against 5.426 g of palladium in 100 mL.
    assert!(metal(&book).starts_with("73 mg"), "{}", metal(&book));
}

#[cfg(not(target_arch = "wasm32"))]
mod laws {
    use super::*;
    use crate::chemistry::stoichiometry::Dose;
    use crate::quantity::{Mass, Volume};
    use proptest::prelude::*;

    fn metal(plan: &Plan) -> Mass {
        plan.metals().iter().map(Dose::metal_mass).sum()
    }

    proptest! {
        #[test]
        fn the_order_of_parts_changes_nothing(mut volumes in prop::collection::vec(0.1..9.0f64, 3), turn in 0..3usize) {
            let book = ticket(|_| {});
            let contents = ["iron", "palladium", "platinum"];
            let mut ask = Coat::load(&book);
            ask.setup.parts = contents.iter().zip(&volumes).map(|(c, v)| PartAsk {
                content: (*c).into(),
                strength: "15".into(),
                volumes: v.to_string(),
                ..PartAsk::default()
            }).collect();
            let mix = |ask: &Ask| Plan::read(ask, &book, &mut Vec::new()).mix.unwrap();
            let once = mix(&ask);
            ask.setup.parts.rotate_left(turn);
            let turned = mix(&ask);
            for content in Content::ALL {
                prop_assert!((once.volume(content).to_ml() - turned.volume(content).to_ml()).abs() < 1e-12);
            }
            volumes.rotate_left(turn);
            prop_assert!((once.total().to_ml() / 2.3977 - 1.0).abs() < 1e-3);
        }

        #[test]
        fn metal_in_is_metal_on_the_sheet_and_metal_in_the_cup(share in 0u8..=100, empty in 20.0..40.0f64, mix in 2.0..6.0f64, lost in 0.01..0.4f64, sheets in 1u8..9) {
            let book = ticket(|_| {});
            let mut ask = Coat::load(&book);
            ask.setup.share = share.to_string();
            ask.sheets = sheets.to_string();
            let all = metal(&Plan::read(&ask, &book, &mut Vec::new()));
            ask.setup.weigh_empty = format!("{empty:.3}");
            ask.setup.weigh_full = format!("{:.3}", empty + mix);
            ask.setup.weigh_after = format!("{:.3}", empty + mix * lost);
            let plan = Plan::read(&ask, &book, &mut Vec::new());
            // Weighing changes what is known, not what is poured.
            prop_assert!((metal(&plan) / all - 1.0).abs() < 1e-12);
            let part = plan.loss.unwrap().part;
            prop_assert!((part - lost).abs() < 2e-3);
            // The same coverage on the sheet, typed as such, pours the same metal.
            let on_sheet = plan.poured.unwrap().value.to_ml_per_m2() * (1.0 - part);
            ask.setup.coverage_of = "sheet".into();
            ask.setup.coverage = format!("{on_sheet}");
            let again = metal(&Plan::read(&ask, &book, &mut Vec::new()));
            let (sheet, cup) = (again * (1.0 - part), again * part);
            prop_assert!(((sheet + cup) / all - 1.0).abs() < 1e-9);
        }

        #[test]
        fn drops_and_millilitres_agree(share in 1u8..100, iron in 10.0..40.0f64, palladium in 10.0..40.0f64) {
            let mut book = ticket(|_| {});
            let change = book.on_ticket(|t| {
                let set = &mut t.asks.coat.setup;
                set.share = share.to_string();
                (set.drops_iron, set.drops_palladium) = (format!("{iron:.1}"), format!("{palladium:.1}"));
            });
            book.apply(change, 3, "x");
            let plan = Plan::read(&Coat::load(&book), &book, &mut Vec::new());
            for row in answer(&book, &Coat::load(&book)).view.parts {
                let content = Content::ALL.into_iter().find(|c| c.name() == row.name).unwrap();
                let per_ml = plan.droppers[content.index()].unwrap().per_ml;
                let drops: f64 = row.other.split(' ').next().unwrap().parse().unwrap();
                let ml: f64 = row.amount.split(' ').next().unwrap().parse().unwrap();
                // Half a drop, and the hundredths that are shown.
                prop_assert!((drops / per_ml - ml).abs() <= 0.5 / per_ml + 0.0051, "{row:?}");
            }
        }

        #[test]
        fn stock_never_goes_negative_without_a_note(iron in 0.0..4.0f64, palladium in 0.0..4.0f64, sheets in 1u8..6) {
            let mut book = ticket(|a| a.sheets = sheets.to_string());
            for (id, content, left) in [("a", "iron", iron), ("b", "palladium", palladium)] {
                let bottle = Bottle { content: content.into(), left: format!("{left:.2}"), ..Bottle::default() };
                book.apply(Change::put(Key::new(Kind::Bottle, id), Object::Bottle(Box::new(bottle))), 3, "x");
            }
            let need = Plan::read(&Coat::load(&book), &book, &mut Vec::new()).mix.unwrap();
            let act = act(&book, "mixed", "");
            let short = |content, held: f64| need.volume(content) > Volume::from_ml(held + 0.011);
            if short(Content::Iron, iron) || short(Content::Palladium, palladium) {
                prop_assert!(!act.notes.is_empty());
            }
            if let Some(change) = act.change {
                book.apply(change, 4, "x");
            }
            for (_, bottle) in book.bottles() {
                prop_assert!(bottle.left.parse::<f64>().unwrap() >= 0.0);
            }
        }
    }
}

//! Making a bottle as a printer meets it.

use super::*;
use crate::book::Book;
use crate::station::{Act, Answer, Deed, Device, Scene, Station};
use crate::testing::test;
use crate::tone::Solved;

fn with<T>(book: &Book, run: impl FnOnce(&Scene<'_>) -> T) -> T {
    let (tone, device) = (Solved::default(), Device::default());
    run(&Scene { book, now: 5, zone_minutes: 0, luck: 9, tone: &tone, device: &device })
}

fn answer(ask: &Ask) -> Answer<View> {
    with(&Book::fresh(1, 2), |scene| Make::answer(ask, scene))
}

fn act(book: &Book, ask: &Ask, verb: &str) -> Act {
    with(book, |scene| Make::act(ask, Deed { verb, place: "" }, scene))
}

/// An ask of what is given, field by field.
fn ask(fields: &[(&str, &str)]) -> Ask {
    let mut ask = Ask::default();
    for (field, text) in fields {
        let at = match *field {
            "what" => &mut ask.what,
            "formula" => &mut ask.formula,
            "from" => &mut ask.from,
            "chloride" => &mut ask.chloride,
            "source" => &mut ask.source,
            "label_says" => &mut ask.label_says,
            "purity" => &mut ask.purity,
            "excess" => &mut ask.excess,
            "form" => &mut ask.form,
            "counted" => &mut ask.counted,
            "waters" => &mut ask.waters,
            "iron_percent" => &mut ask.iron_percent,
            "chlorate" => &mut ask.chlorate,
            "have" => &mut ask.have,
            "strength" => &mut ask.strength,
            "way" => &mut ask.way,
            "system" => &mut ask.system,
            "density" => &mut ask.density,
            "volume" => &mut ask.volume,
            "room" => &mut ask.room,
            "lot" => &mut ask.lot,
            "price" => &mut ask.price,
            "labels" => &mut ask.labels,
            other => panic!("{other}"),
        };
        *at = (*text).into();
    }
    ask
}

fn weighed(view: &View) -> Vec<(&str, &str)> {
    view.weighed.iter().map(|w| (w.name.as_str(), w.amount.as_str())).collect()
}

#[test]
fn palladium_from_powder_comes_to_the_shelf_and_back() {
    // 0.5099 mol/L: 9.041 g PdCl2 and 5.959 g NaCl make 100 mL of 15 % Na2PdCl4, from the molar masses.
    let typed = ask(&[("lot", "P-1"), ("price", "98,50"), ("labels", "3")]);
    let a = answer(&typed);
    assert_eq!(
        weighed(&a.view),
        [("palladium(II) chloride", "4.520 g"), ("sodium chloride", "3.129 g")],
        "{:?}",
        a.notes
    );
    assert_eq!((a.view.strength.as_str(), a.view.moles.as_str()), ("15 % w/v Na2PdCl4", "0.51 mol/L"));
    assert_eq!(a.view.labels.len(), 3);
    assert!(a.view.labels[0].lot.contains("P-1") && a.view.labels[0].codes.contains("H302"));
    assert!(!a.workings[0].steps.is_empty() && a.view.has_warm);
    let book = Book::fresh(1, 2);
    let mut after = book.clone();
    let done = act(&book, &typed, "shelve");
    // Said at the button that did it.
    assert_eq!(done.notes.iter().map(|n| n.field.as_str()).collect::<Vec<_>>(), ["shelve"]);
    assert!(done.notes[0].text.starts_with("It stands in the stores now"), "{:?}", done.notes);
    let inverse = after.apply(done.change.unwrap(), 6, "make/shelve").inverse;
    let (_, bottle) = after.bottles().next().unwrap();
    assert_eq!(
        (bottle.content.as_str(), bottle.strength.as_str(), bottle.salt.as_str(), bottle.size.as_str()),
        ("palladium", "15", "Na2PdCl4", "50")
    );
    assert_eq!((bottle.opened.as_str(), bottle.price.as_str()), ("1970-01-01", "98,50"));
    assert!(bottle.remarks.contains("4.52 g PdCl2"), "{}", bottle.remarks);
    after.apply(inverse, 7, "undo");
    assert_eq!(after.bottles().count(), 0);
}

#[test]
fn an_old_recipe_becomes_a_bottle() {
    // 120 grains in an imperial ounce are 27.37 % w/v; four ounces are 113.65 mL, 480 grains, 31.10 g.
    let typed = ask(&[
        ("what", "iron(III) oxalate"),
        ("way", "old"),
        ("strength", "120 grains/oz"),
        ("volume", "4 fl oz"),
    ]);
    let a = answer(&typed);
    assert_eq!(weighed(&a.view), [("iron(III) oxalate", "31.10 g")], "{:?}", a.notes);
    assert!(a.view.strength.starts_with("27.4 %"), "{}", a.view.strength);
    let book = Book::fresh(1, 2);
    let mut after = book.clone();
    after.apply(act(&book, &typed, "shelve").change.unwrap(), 6, "x");
    let (_, bottle) = after.bottles().next().unwrap();
    assert_eq!(
        (bottle.content.as_str(), bottle.strength.as_str(), bottle.size.as_str()),
        ("iron", "27.37", "113.7")
    );
    // The same text with American ounces.
    let us = ask(&[
        ("what", "iron(III) oxalate"),
        ("way", "old"),
        ("strength", "120 grains/oz"),
        ("system", "us"),
    ]);
    assert!(answer(&us).view.strength.starts_with("26.3 %"));
}

#[test]
fn iron_whose_water_nobody_knows_is_a_range() {
    let iron = |more: &[(&str, &str)]| {
        let mut all = vec![("what", "iron(III) oxalate")];
        all.extend_from_slice(more);
        answer(&ask(&all))
    };
    assert_eq!(iron(&[]).view.moles, "1.12–1.44 mol/L iron");
    assert!(iron(&[]).workings[0].steps.iter().any(|s| s.result == "1.12–1.44 mol"));
    assert_eq!(iron(&[("waters", "5")]).view.moles, "1.16 mol/L iron");
    let open = iron(&[("way", "mol"), ("strength", "1.2")]);
    assert!(!open.view.made && open.notes.iter().any(|n| n.field == "waters"));
    // 1.2 mol of iron a litre of the hexahydrate: 0.6 × 483.834 g/mol, 29.03 %; in 50 mL 14.515 g.
    let known = iron(&[("way", "mol"), ("strength", "1.2"), ("waters", "6")]);
    assert_eq!(weighed(&known.view), [("iron(III) oxalate", "14.52 g")]);
    let with = iron(&[("chlorate", "0.456"), ("volume", "100")]);
    assert_eq!(weighed(&with.view)[1], ("potassium chlorate", "0.456 g"));
    assert!(with.view.shelf.contains("with chlorate") && with.view.has_meets);
}

#[test]
fn the_citrate_goes_by_its_label() {
    let citrate = |more: &[(&str, &str)]| {
        let mut all = vec![("what", "ammonium iron(III) citrate"), ("volume", "100")];
        all.extend_from_slice(more);
        answer(&ask(&all))
    };
    let refused = citrate(&[("way", "mol"), ("strength", "0.8")]);
    let note = refused.notes.iter().find(|n| n.field == "iron_percent").unwrap();
    assert!(!refused.view.made && note.text.contains("no fixed composition"));
    // 0.8058 mol/L of iron at 18 % on the label is 25 % w/v: 45 g/L by 55.845 g/mol.
    let by_label = citrate(&[("way", "mol"), ("strength", "0.80580"), ("iron_percent", "18")]);
    assert_eq!(weighed(&by_label.view)[0].1, "25.00 g");
    assert_eq!(citrate(&[]).view.moles, "");
    assert_eq!(citrate(&[("iron_percent", "18")]).view.moles, "0.806 mol/L iron");
}

#[test]
fn hydrates_bases_and_stronger_solutions() {
    let grams = |fields: &[(&str, &str)]| {
        let a = answer(&ask(fields));
        assert!(a.view.made, "{:?}", a.notes);
        a.view.weighed[0].amount.clone()
    };
    // 25 % of the monohydrate told as anhydrous: 25 × 184.229 / 166.214.
    assert_eq!(
        grams(&[("what", "potassium oxalate"), ("strength", "25"), ("counted", "1"), ("volume", "100")]),
        "27.71 g"
    );
    // 0.17 mol/L of 294.184 g/mol in half a litre.
    assert_eq!(
        grams(&[("what", "potassium dichromate"), ("way", "mol"), ("strength", "0,17"), ("volume", "0.5 L")]),
        "25.01 g"
    );
    // 10 % by weight of sodium sulfite weighs 1.0888 g/mL (published model): 108.88 g in a litre.
    assert_eq!(
        grams(&[("what", "sodium sulfite"), ("way", "weight"), ("strength", "10"), ("volume", "1 l")]),
        "108.88 g"
    );
    let poured = [
        ("what", "sodium hexachloroplatinate(IV)"),
        ("from", "bottle"),
        ("have", "20"),
        ("strength", "5"),
        ("volume", "10"),
    ];
    assert_eq!(grams(&poured), "2.50 mL");
    // The label counts palladium: 59.5 % of the dry chloride, which holds 60.02 %.
    let less = grams(&[("label_says", "metal"), ("purity", "59.5")]);
    assert_eq!(less, "4.560 g");
    assert_eq!(
        grams(&[("what", "own"), ("formula", "KBr"), ("strength", "10"), ("volume", "100")]),
        "10.00 g"
    );
}

#[test]
fn units_change_only_a_temperature_without_one() {
    use crate::show::{TemperatureUnit, Units};
    let f = Units { temperature: TemperatureUnit::F, ..Units::default() };
    let mut typed = ask(&[("room", "20")]);
    Make::convert(&mut typed, Units::default(), f);
    assert_eq!(typed.room, "68");
    let mut named = ask(&[("room", "20 °C")]);
    Make::convert(&mut named, Units::default(), f);
    assert_eq!(named.room, "20 °C");
}

#[cfg(not(target_arch = "wasm32"))]
mod native {
    use super::*;
    use expect_test::expect;
    use proptest::prelude::*;

    #[test]
    fn the_page_lists_what_can_be_made() {
        let html = include_str!("../../../../www/stations/make.html");
        for name in read::names() {
            assert!(html.contains(&format!("<option value=\"{name}\">")), "{name}");
        }
        assert_eq!(html.matches("<option").count(), read::names().len() + 6);
    }

    #[test]
    fn bad_input_names_field_and_mend() {
        let mut all = String::new();
        for fields in [
            &[("volume", "0")][..],
            &[("volume", "-5")],
            &[("volume", "3 pounds")],
            &[("volume", "")],
            &[("strength", "0")],
            &[("strength", "-1")],
            &[("strength", "400")],
            &[("strength", "strong")],
            &[("way", "old"), ("strength", "20")],
            &[("way", "weight"), ("strength", "10")],
            &[("what", "own"), ("formula", "Xy2"), ("strength", "1")],
            &[("what", "own"), ("formula", ""), ("strength", "1")],
            &[("purity", "120")],
            &[("label_says", "metal"), ("purity", "70")],
            &[("excess", "two")],
            &[("what", "iron(III) oxalate"), ("waters", "2.5")],
            &[("what", "potassium oxalate"), ("strength", "45"), ("volume", "1 L")],
            &[
                ("what", "sodium hexachloroplatinate(IV)"),
                ("from", "bottle"),
                ("have", "2"),
                ("strength", "5"),
            ],
            &[("room", "200")],
            &[("labels", "500")],
        ] {
            for n in answer(&ask(fields)).notes {
                if n.severity != crate::note::Severity::Hint {
                    all += &format!("{}: {} {}\n", n.field, n.text, n.mend);
                }
            }
        }
        let refused = act(&Book::fresh(1, 2), &ask(&[("volume", "0")]), "shelve");
        assert_eq!((refused.change, refused.notes.len()), (None, 1));
        assert_eq!(refused.notes[0].field, "shelve");
        let unpaid = act(&Book::fresh(1, 2), &ask(&[("price", "much")]), "shelve");
        let at: Vec<&str> = unpaid.notes.iter().map(|n| n.field.as_str()).collect();
        assert_eq!((unpaid.change, at), (None, vec!["price", "shelve"]));
        expect![[r#"
            volume: The volume is zero, below it, or beyond any tank. Type how many mL to make.
            volume: The volume is zero, below it, or beyond any tank. Type how many mL to make.
            volume: The volume is a weight. Type mL, or fluid ounces, drachms or minims.
            volume: The volume is empty. Type a number, with comma or point.
            strength: The strength is zero or below. Type the strength you want.
            strength: The strength is −1, outside 0 to 100000. Check the digits and the unit beside the field.
            strength: No palladium solution is that strong. Type grams of the complex in 100 mL; 15 % is usual.
            strength: The strength is not a number. Type digits with comma or point, or a fraction such as 8 1/2.
            strength: The strength is not a strength. Type it like 120 grains/oz, 1 in 6, 200 g/L or 20 %.
            density: Percent by weight needs the density of the solution. Weigh 10 mL of it and type grams divided by 10, or take the density from its label.
            formula: The formula: at sign 1, Xy is no element known here. Check capitals and small letters, as in Pd or Cl.
            formula: The formula: at sign 1, there is nothing to read. Type a formula such as K2PtCl4 or Fe2(C2O4)3·6H2O.
            purity: The purity is 120, outside 0 to 100. Check the digits and the unit beside the field.
            purity: No palladium(II) chloride holds that much palladium. The dry salt holds 60.0 % at most, with two waters 49.9 %. Check the label and the form.
            excess: The excess is not a number. Type digits with comma or point, or a fraction such as 8 1/2.
            waters: The number of waters is not whole. Type 0 to 6, or leave it empty if the label does not say.
            strength: That will not all dissolve, or not stay dissolved, at 20 °C: about 33 % w/v is the most. Make it weaker, or keep and use it warm.
            strength: The bottle is weaker than what is wanted. Make it from the powder, or type a lower strength.
            room: No bottle stands that cold or that hot. Type the temperature of the shelf, with °C or °F behind it if you like.
            labels: The number of labels is 500, outside 1 to 24. Check the digits and the unit beside the field.
        "#]].assert_eq(&all);
    }

    proptest! {
        #[test]
        fn never_panics_on_any_text(texts in proptest::collection::vec(".{0,10}|[0-9]{0,9}[.,]?[0-9]{0,3}", 26), what in 0..21usize, way in 0..6usize) {
            let mut map = serde_json::to_value(Ask::default()).unwrap();
            for (field, text) in map.as_object_mut().unwrap().values_mut().zip(texts) {
                *field = text.into();
            }
            let mut typed: Ask = serde_json::from_value(map).unwrap();
            typed.what = read::names()[what].into();
            typed.way = ["percent", "mol", "litre", "weight", "water", "old"][way].into();
            let a = answer(&typed);
            let shown = serde_json::to_string(&a.view).unwrap() + &format!("{:?}", a.notes);
            prop_assert!(!shown.contains("NaN") && !shown.contains("\"inf"));
            let book = Book::fresh(1, 2);
            let _ = act(&book, &typed, "shelve");
        }
    }
}

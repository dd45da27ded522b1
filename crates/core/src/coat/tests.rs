//! The coat station as a printer meets it.

use super::*;
use crate::book::{Book, Bottle, Key, Kind, Object};
use crate::show::{LengthUnit, LiquidUnit, Units};
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

/// Bottles of the invented harbour series, with their prices and what is left.
fn stocked() -> Book {
    let mut book = Book::fresh(1, 2);
    let change = book.on_ticket(|t| t.asks.negative.width = "203".into());
    book.apply(change, 1, "size");
    for (id, name, content, strength, size, price, left) in [
        ("a", "iron, lot F5", "iron", "27", "50", "26.00", "31"),
        ("b", "palladium, lot Pd-9", "palladium", "15", "50", "152.00", "11.4"),
        ("c", "platinum, lot Pt-4", "platinum", "20", "25", "188.00", "18"),
        ("d", "agent 5 %", "agent", "5", "10", "44,00", "8.6"),
        ("e", "polysorbate", "surfactant", "10", "50", "6.00", "44"),
        ("f", "palladium, lot Pd-10", "palladium", "", "50", "", "50"),
    ] {
        let [name, content, strength, size, price, left] =
            [name, content, strength, size, price, left].map(str::to_owned);
        let bottle = Bottle { name, content, strength, size, price, left, ..Bottle::default() };
        book.apply(Change::put(Key::new(Kind::Bottle, id), Object::Bottle(Box::new(bottle))), 1, "add");
    }
    book
}

use crate::book::Change;

/// 203 × 254 mm coated with nothing around, at 46.5 mL/m²: 2.40 mL, the series' own mix.
fn harbour() -> Ask {
    let mut ask =
        Ask { width: "190".into(), height: "254".into(), strip: "without".into(), ..Ask::default() };
    ask.setup.border = "0".into();
    ask.setup.margin = "0".into();
    ask.width = "203".into();
    ask.setup.coverage = "46.5".into();
    ask
}

#[test]
fn eight_by_ten_inches_from_an_empty_book() {
    let book = Book::fresh(1, 2);
    let mut ask =
        Ask { width: "8 in".into(), height: "10 in".into(), strip: "without".into(), ..Ask::default() };
    let brush = answer(&book, &ask);
    assert_eq!(brush.view.coated, "223.2 × 274 mm");
    assert_eq!(brush.view.area, "612 cm²");
    assert_eq!((brush.view.volume.as_str(), brush.view.volume_range.as_str()), ("2.45 mL", "2.1–2.8 mL"));
    assert_eq!(brush.notes, [], "a plain mix has nothing to remark");
    assert_eq!(brush.view.iron, "2.2–2.8 to 1");
    assert_eq!(brush.ticket, [crate::station::TicketCell::done("mix", "2.4 mL palladium")]);
    let names: Vec<_> = brush.view.parts.iter().map(|p| (p.name.as_str(), p.other.as_str())).collect();
    assert_eq!(names, [("iron(III) oxalate", "24 drops"), ("palladium", "24 drops")]);
    ask.setup.tool = "rod".into();
    assert_eq!(answer(&book, &ask).view.volume, "1.65 mL");
    ask.setup.share = "100".into();
    let platinum = answer(&book, &ask);
    assert_eq!(platinum.view.iron, "2.3–3.0 to 1");
    assert!(platinum.notes.iter().all(|n| n.field != "setup.ratio"));
}

#[test]
fn size_and_strip_come_from_the_negative() {
    let mut book = Book::fresh(1, 2);
    assert_eq!(answer(&book, &Coat::load(&book)).view.coated, "223.2 × 287 mm");
    let change = book.on_ticket(|t| {
        t.asks.negative.width = "100".into();
        t.asks.negative.height = "125".into();
        t.asks.negative.setup.strip = false;
    });
    book.apply(change, 2, "x");
    let shown = answer(&book, &Coat::load(&book)).view;
    assert_eq!((shown.coated.as_str(), shown.film_size.as_str()), ("120 × 145 mm", "100 × 125 mm"));
}

#[test]
fn metal_of_a_published_volume() {
    let v: serde_json::Value =
        serde_json::from_str(include_str!("../../../../tests/reference/coating-volumes/vectors.json"))
            .unwrap();
    let v = &v["metal_per_8x10_at_1_5_ml"];
    for (share, key) in [(0.0, "palladium_mg"), (1.0, "platinum_mg")] {
        let mut strengths = [None; CONTENTS];
        for (content, p) in [(Content::Iron, 27.0), (Content::Palladium, 15.0), (Content::Platinum, 20.0)] {
            strengths[content.index()] = Some(crate::chemistry::Strength::from_percent(p));
        }
        let plan = Plan {
            mix: Some(Mix::of(crate::quantity::Volume::from_ml(1.5), 1.0, share)),
            strengths,
            salts: Content::ALL.map(Content::usual_salt),
            ..Plan::default()
        };
        let mg: f64 = plan.metals().iter().map(|d| d.metal_mass().to_mg()).sum();
        assert!((mg - v[key].as_f64().unwrap()).abs() < 0.05, "{key}: {mg}");
    }
}

#[test]
fn cost_of_the_harbour_mixes() {
    // Prices and mixes are invented; the sums follow from them: 1.2 × 0.52 + 1.2 × 3.04 + 0.05 × 0.12 …
    let book = stocked();
    let mut ask = harbour();
    ask.setup.surfactant = true;
    let warm = answer(&book, &ask);
    assert_eq!((warm.view.volume.as_str(), warm.view.cost.as_str()), ("2.40 mL", "4.27"));
    ask.setup.share = "50".into();
    assert_eq!(answer(&book, &ask).view.cost, "6.96");
    ask.setup.share = "0".into();
    ask.setup.agent = true;
    ask.setup.agent_by = "drops".into();
    ask.setup.agent_drops = "2".into();
    assert_eq!(answer(&book, &ask).view.cost, "4.71");
    assert_eq!(answer(&book, &ask).view.metal, "65 mg palladium");
}

#[test]
fn drawn_once_and_undone() {
    let mut book = stocked();
    let change = book.on_ticket(|t| t.asks.coat = harbour());
    book.apply(change, 2, "x");
    assert!(answer(&book, &Coat::load(&book)).view.can_draw);
    let before = book.clone();
    let commit = book.apply(act(&book, "mixed", "").change.unwrap(), 3, "coat/mixed");
    let left = |book: &Book, id: &str| book.bottle(id).unwrap().left.clone();
    assert_eq!((left(&book, "a").as_str(), left(&book, "b").as_str()), ("29.80", "10.20"));
    assert!(answer(&book, &Coat::load(&book)).view.drawn_text.contains("1.20 mL palladium"));
    let again = act(&book, "mixed", "");
    assert!(again.change.is_none() && again.notes.len() == 1);
    book.apply(commit.inverse, 4, "undo");
    assert_eq!(book.ticket(), before.ticket());
    assert_eq!((left(&book, "a").as_str(), left(&book, "b").as_str()), ("31", "11.4"));
}

#[test]
fn another_bottle_can_be_chosen() {
    let mut book = stocked();
    let rows = answer(&book, &Coat::load(&book)).view.bottles;
    let names: Vec<_> = rows.iter().map(|r| (r.name.as_str(), r.chosen)).collect();
    assert_eq!(
        names,
        [
            ("iron, lot F5 (iron(III) oxalate)", true),
            ("palladium, lot Pd-9", true),
            ("palladium, lot Pd-10", false)
        ]
    );
    book.apply(act(&book, "choose", "2").change.unwrap(), 2, "x");
    assert_eq!(Coat::load(&book).bottle_palladium, "f");
    let shown = answer(&book, &Coat::load(&book)).view;
    assert!(shown.bottles[2].chosen && !shown.bottles[1].chosen);
    assert_eq!(shown.cost_lacks, "without palladium, which has no price");
    for place in ["7", "-1", "x", ""] {
        assert_eq!(act(&book, "choose", place).change, None, "{place}");
    }
}

#[test]
fn the_setup_keeps_and_gives_back() {
    let mut book = Book::fresh(1, 2);
    let change = book.on_ticket(|t| t.asks.coat.setup.share = "25".into());
    book.apply(change, 2, "x");
    assert!(answer(&book, &Coat::load(&book)).view.differs);
    let mut kept = book.clone();
    kept.apply(act(&book, "keep-setup", "").change.unwrap(), 3, "x");
    assert_eq!(kept.setup().presets.coat.share, "25");
    assert!(!answer(&kept, &Coat::load(&kept)).view.differs);
    book.apply(act(&book, "take-setup", "").change.unwrap(), 3, "x");
    assert_eq!(Coat::load(&book).setup.share, "0");
}

#[test]
fn units_of_length_and_of_liquid() {
    let mut book = Book::fresh(1, 2);
    let units = Units { length: LengthUnit::Inch, liquid: LiquidUnit::Drops, ..Units::default() };
    book.apply(book.in_units(units), 2, "units");
    let ask = Coat::load(&book);
    assert_eq!(ask.setup.margin, "0.394");
    let row = answer(&book, &ask).view.parts[0].clone();
    assert_eq!((row.amount.as_str(), row.other.as_str()), ("26 drops", "1.28 mL"));
}

#[test]
fn one_odd_field_withholds_only_what_depends_on_it() {
    let book = Book::fresh(1, 2);
    let odd = |change: fn(&mut Ask)| {
        let mut ask = Ask::default();
        change(&mut ask);
        let a = answer(&book, &ask);
        assert!(!a.notes.is_empty());
        a.view
    };
    let v = odd(|a| a.setup.iron = "x".into());
    assert!(v.has_mix && !v.has_iron && !v.metal.is_empty());
    let v = odd(|a| a.setup.palladium = "0".into());
    assert!(v.has_mix && !v.has_iron && v.metal.is_empty());
    let v = odd(|a| a.setup.ratio = "-1".into());
    assert!(v.has_volume && !v.has_mix);
    let v = odd(|a| a.setup.coverage = "lots".into());
    assert!(v.has_drawing && !v.has_volume);
    let v = odd(|a| a.width = "0".into());
    assert!(!v.has_drawing && !v.start.is_empty());
    let v = odd(|a| a.setup.drops_iron = "0".into());
    assert!(v.has_mix && v.rounding.is_empty() && v.parts[0].amount == "1.28 mL");
    let v = odd(|a| {
        a.setup.agent = true;
        a.setup.agent_strength = "?".into();
    });
    assert!(v.has_mix && v.has_iron);
}

#[cfg(not(target_arch = "wasm32"))]
mod native {
    use super::*;
    use expect_test::expect;
    use proptest::prelude::*;

    /// Every note of the station, as the page shows it.
    #[test]
    fn letters_in_a_field_not_in_use_get_one_note_and_withhold_nothing() {
        let abc = || "abc".to_owned();
        let mut ask = Ask::default();
        let set = &mut ask.setup;
        (set.platinum, set.chlorate_strength, set.dichromate_stock) = (abc(), abc(), abc());
        (set.agent_amount, set.agent_drops, set.agent_strength) = (abc(), abc(), abc());
        (set.surfactant_share, set.surfactant_strength, set.drops_platinum) = (abc(), abc(), abc());
        let with = answer(&Book::fresh(1, 2), &ask);
        let mut fields: Vec<&str> = with.notes.iter().map(|n| n.field.as_str()).collect();
        fields.sort_unstable();
        let all = [
            "setup.agent_amount",
            "setup.agent_drops",
            "setup.agent_strength",
            "setup.chlorate_strength",
            "setup.dichromate_stock",
            "setup.drops_platinum",
            "setup.platinum",
            "setup.surfactant_share",
            "setup.surfactant_strength",
        ];
        assert_eq!(fields, all);
        assert!(with.notes.iter().all(|n| n.text.ends_with(" is not a number.")), "{:?}", with.notes);
        assert_eq!(with.view.parts, answer(&Book::fresh(1, 2), &Ask::default()).view.parts);
        // In use the same fields have the same words, once.
        let set = &mut ask.setup;
        (set.share, set.agent, set.surfactant, set.dichromate_ml) = ("20".into(), true, true, "5".into());
        let used = answer(&Book::fresh(1, 2), &ask).notes;
        for note in with.notes {
            assert_eq!(used.iter().filter(|n| n.field == note.field && n.text == note.text).count(), 1);
        }
    }

    #[test]
    fn notes() {
        let (empty, full) = (Book::fresh(1, 2), stocked());
        let mut seen: Vec<String> = Vec::new();
        let mut look = |book: &Book, change: &dyn Fn(&mut Ask)| {
            let mut ask = Ask::default();
            change(&mut ask);
            for n in answer(book, &ask).notes {
                let line = format!("{} [{:?}] {} {}", n.field, n.severity, n.text, n.mend);
                if !seen.contains(&line) {
                    seen.push(line);
                }
            }
        };
        look(&empty, &|a| a.sheets = "1.5".into());
        look(&empty, &|a| a.sheets = "abc".into());
        look(&empty, &|a| a.width = "8 ft".into());
        look(&empty, &|a| a.setup.coats = "2".into());
        look(&empty, &|a| a.setup.ratio = "0.5".into());
        look(&empty, &|a| a.setup.ratio = "2".into());
        look(&empty, &|a| a.setup.share = "130".into());
        look(&empty, &|a| {
            a.setup.agent = true;
            a.setup.share = "20".into();
        });
        look(&empty, &|a| {
            a.setup.agent = true;
            a.setup.agent_amount = "0.1".into();
        });
        look(&empty, &|a| {
            a.setup.agent = true;
            a.setup.agent_strength = "0.2".into();
        });
        look(&empty, &|a| {
            a.setup.surfactant = true;
            a.setup.surfactant_strength = "0.3".into();
        });
        look(&empty, &|a| {
            a.width = "60".into();
            a.height = "80".into();
        });
        look(&full, &|a| {
            a.sheets = "12".into();
            a.setup.palladium = "13.1".into();
        });
        look(&full, &|a| a.sheets = "90".into());
        look(&full, &|a| a.edition = "12".into());
        look(&full, &|a| a.edition = "10000".into());
        look(&full, &|a| {
            (a.setup.weigh_empty, a.setup.weigh_full) = ("30".into(), "32.4".into());
            a.setup.weigh_after = "29".into();
        });
        for blacks in [["1.2", "1.3", "1.1"], ["1.0", "1.2", "1.35"]] {
            look(&full, &|a| {
                for (row, (poured, black)) in
                    a.setup.strips.iter_mut().zip(["20", "30", "40"].iter().zip(blacks))
                {
                    (row.poured, row.black) = ((*poured).into(), black.into());
                }
            });
        }
        let mut doubtful = stocked();
        let mut bottle = doubtful.bottle("a").unwrap().clone();
        bottle.opened = "1969-01-05".into();
        doubtful.apply(
            Change::put(Key::new(Kind::Bottle, "a"), Object::Bottle(Box::new(bottle.clone()))),
            1,
            "x",
        );
        look(&doubtful, &|_| {});
        bottle.tests = vec![crate::book::IronTest { at: 3, seen: crate::book::IronSeen::BlueAtOnce }];
        doubtful.apply(Change::put(Key::new(Kind::Bottle, "a"), Object::Bottle(Box::new(bottle))), 1, "x");
        look(&doubtful, &|_| {});
        let mut greedy = stocked();
        let change = greedy.on_ticket(|t| t.asks.coat.sheets = "60".into());
        greedy.apply(change, 2, "x");
        for n in act(&greedy, "mixed", "").notes {
            seen.push(format!("{} [{:?}] {} {}", n.field, n.severity, n.text, n.mend));
        }
        for n in act(&greedy, "put-back", "").notes {
            seen.push(format!("{} [{:?}] {} {}", n.field, n.severity, n.text, n.mend));
        }
        for (book, twice) in [(&empty, false), (&full, true)] {
            let mut book = book.clone();
            if twice {
                book.apply(act(&book, "mixed", "").change.unwrap(), 2, "x");
            }
            for n in act(&book, "mixed", "").notes {
                seen.push(format!("{} [{:?}] {} {}", n.field, n.severity, n.text, n.mend));
            }
        }
        for line in &seen {
            let sentences = line.matches(". ").count() + usize::from(line.trim_end().ends_with('.'));
            assert!(sentences >= 2, "two sentences: {line}");
        }
        expect![[r#"
            sheets [Error] The number of sheets is not whole. Type a whole number.
            sheets [Error] The number of sheets is not a number. Type a whole number, in digits.
            width [Error] The width has a unit that is not known here: ft. Type mm, cm or in behind the number, or nothing.
            setup.coats [Hint] A further coat often takes less than the first, because the paper is no longer thirsty. Type what part of the first it takes. 
            setup.ratio [Warning] There is less iron than any published mix has, so part of the metal would be washed away. Take more iron to metal, or a weaker metal solution.
            setup.ratio [Warning] There is more iron than any published mix has, so clearing will be hard. Take less iron to metal, or a stronger metal solution.
            setup.share [Error] The platinum share is 130, outside 0 to 100. Check the digits and the unit beside the field.
            setup.agent [Hint] A negative made with its own correction seldom needs a contrast agent. Print once without it first. 
            setup.agent_strength [Warning] One drop miscounted changes the agent by 100 %. Dilute 1 part of its solution with 9 parts of water and count 9 drops: then a slip is 11 %.
            setup.share [Danger] Platinum salts can bring on asthma and allergy for life, above all as dust or spray. Wear gloves, never handle the powder in moving air, and take wheeze or rash to a doctor as "chloroplatinate".
            setup.agent [Danger] Platinum salts can bring on asthma and allergy for life, above all as dust or spray. Wear gloves, never handle the powder in moving air, and take wheeze or rash to a doctor as "chloroplatinate".
            setup.agent [Warning] Potassium or ammonium throws hexachloroplatinate down as a yellow powder, whose dust makes allergic. Leave the agent out of this mix.
            setup.agent_strength [Warning] The agent wanted is less than half a drop. Dilute 1 part of its solution with 49 parts of water and count 2 drops: then a slip is 43 %. Or mix for several sheets at once.
            setup.agent_strength [Warning] The agent's solution is so weak that it would thin the mix. Use a stronger solution of it, or less agent.
            setup.surfactant_strength [Error] The surfactant's solution is too weak for that much in the mix. Make a stronger solution, or take less.
            sheets [Warning] A cup of 0.36 mL is small: one drop left clinging changes it by a tenth or more. Mix for several sheets at once, or use finer drops.
            sheets [Warning] palladium, lot Pd-9 holds 11.40 mL and this mix takes 15.36 mL. The rest is drawn from the next oldest bottle, unless you choose another one.
            setup.palladium [Warning] palladium, lot Pd-9 is 15 %, planned are 13.1 %. Type the bottle's strength here, or choose another bottle.
            sheets [Warning] iron, lot F5 holds 31.00 mL and this mix takes 115.20 mL. Make or order more, or coat fewer sheets.
            sheets [Warning] palladium, lot Pd-9 holds 11.40 mL and this mix takes 115.20 mL. Make or order more, or coat fewer sheets.
            setup.good [Error] Nobody knows yet how many of your prints are good. Type it, or give stars and faults to five prints in the book.
            edition [Error] The edition is 10000, outside 1 to 1000. Check the digits and the unit beside the field.
            setup.weigh_after [Error] The weighings do not follow one another: with the mix is heaviest, empty is lightest. Check the three figures; until then the coverage counts as poured.
            setup.strips [Error] A strip with more solution is less black than one with less. Check the figures; if they are right, coat and expose these strips again.
            setup.strips [Warning] Black still rises at 40 mL/m², the most that was tried. Coat one more strip with half as much again.
            setup.iron [Warning] iron, lot F5 is older than it is said to keep. Test it before you coat, or change how long it keeps at the stores.
            setup.iron [Warning] iron, lot F5 showed blue before any light when it was tested on 1970-01-01. Choose another bottle, or test it again at the stores.
            drawn [Warning] The stores held 31.00 mL iron(III) oxalate and the mix took 76.80 mL. Look at the bottle and correct what is left at the stores; it stands at zero now.
            drawn [Warning] The stores held 61.40 mL palladium and the mix took 76.80 mL. Look at the bottle and correct what is left at the stores; it stands at zero now.
            drawn [Warning] What this mix took was not written down, so nothing was put back. Correct the bottles at the stores.
            drawn [Hint] No bottle of the stores holds what this mix needs. Add bottles with their volumes at the stores. 
            drawn [Warning] This ticket's mix was drawn from the bottles already. Put it back first, or correct the bottles at the stores."#]].assert_eq(&seen.join("\n"));
    }

    fn any_text() -> impl Strategy<Value = String> {
        prop_oneof![".{0,12}", "-?[0-9]{0,6}[.,]?[0-9]{0,4}", "[0-9]{1,3} ?(mm|in|%|cm)", Just(String::new())]
    }

    proptest! {
        #[test]
        fn never_panics_on_any_text(texts in proptest::collection::vec(proptest::option::weighted(0.2, any_text()), 120), flags in 0u8..16) {
            let mut ask = serde_json::to_value(Ask::default()).unwrap();
            let mut next = texts.into_iter();
            fn fill(v: &mut serde_json::Value, next: &mut dyn Iterator<Item = Option<String>>) {
                match v {
                    serde_json::Value::Object(fields) => fields.values_mut().for_each(|v| fill(v, next)),
                    serde_json::Value::Array(rows) => rows.iter_mut().for_each(|v| fill(v, next)),
                    serde_json::Value::String(s) => *s = next.next().unwrap().unwrap_or_else(|| s.clone()),
                    _ => {}
                }
            }
            fill(&mut ask, &mut next);
            let mut ask: Ask = serde_json::from_value(ask).unwrap();
            ask.setup.agent = flags & 1 > 0;
            ask.setup.surfactant = flags & 2 > 0;
            if flags & 8 > 0 {
                ask.setup.parts = Coat::sample().0.setup.parts;
                for (part, text) in ask.setup.parts.iter_mut().zip(["ammonium-iron", "palladium"]) {
                    part.content = text.into();
                    part.volumes = ask.sheets.clone();
                    part.strength = ask.width.clone();
                }
            }
            let book = if flags & 4 > 0 { stocked() } else { Book::fresh(1, 2) };
            let a = answer(&book, &ask);
            let shown = serde_json::to_string(&a.view).unwrap() + &format!("{:?}{:?}", a.notes, a.workings);
            prop_assert!(!shown.contains("NaN") && !shown.contains("\"inf"), "{shown}");
            for verb in ["mixed", "put-back", "use-knee", "take-recipe", "keep-recipe", "add-part", "by-share"] {
                with(&book, |scene| Coat::act(&ask, Deed { verb, place: "" }, scene));
            }
        }

        #[test]
        fn volume_scales_with_area_and_sheets(w in 50.0..400.0f64, h in 50.0..400.0f64, sheets in 1u8..20, share in 0u8..=100) {
            let book = Book::fresh(1, 2);
            let mut ask = Ask { width: format!("{w:.3}"), height: format!("{h:.3}"), strip: "without".into(), ..Ask::default() };
            ask.setup.margin = "0".into();
            ask.setup.share = share.to_string();
            let plan = |ask: &Ask| Plan::read(ask, &book, &mut Vec::new());
            let one = plan(&ask).mix.unwrap().total();
            ask.sheets = sheets.to_string();
            let many = plan(&ask).mix.unwrap().total();
            prop_assert!((many / one / f64::from(sheets) - 1.0).abs() < 1e-9);
            ask.width = format!("{:.3}", 2.0 * ask.width.parse::<f64>().unwrap());
            prop_assert!((plan(&ask).mix.unwrap().total() / many - 2.0).abs() < 1e-9);
        }
    }
}

#[test]
fn money_droppers_and_edges_leave_time_and_correction_alone() {
    let setup = Preset::default();
    let changed = |change: fn(&mut Preset)| {
        let mut preset = Preset::default();
        change(&mut preset);
        preset.prints_like(&setup)
    };
    assert!(changed(|p| p.good = "80".into()));
    assert!(changed(|p| p.drops_iron = "18".into()));
    assert!(changed(|p| p.weigh_empty = "31,2".into()));
    assert!(changed(|p| p.margin = "6".into()));
    assert!(!changed(|p| p.coverage = "46".into()));
    assert!(!changed(|p| p.share = "50".into()));
    assert!(!changed(|p| p.agent = true));
    assert!(!changed(|p| p.coats = "2".into()));
}

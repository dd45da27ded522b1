//! What was typed, read into a bottle.

use super::Ask;
use crate::chemistry::concentration::{self, Facts, Missing, Way};
use crate::chemistry::making::{self, Counted, From, Made, Stock, Weighed, own, palladium};
use crate::chemistry::old_units::{self, OldAmount, System};
use crate::chemistry::{Element, Formula, MolarMass, Salt, Strength, density, iron};
use crate::coat::{Content, way};
use crate::entry::{self, Range};
use crate::estimate::Estimate;
use crate::note::Note;
use crate::quantity::{Temperature, Volume};
use crate::show::Units;

const PERCENT: Range = Range { low: 0.0, high: 100.0 };
const STATED: Range = Range { low: 0.0, high: 100_000.0 };
const DENSITY: Range = Range { low: 0.5, high: 4.0 };
const WATERS: Range = Range { low: 0.0, high: 6.0 };
const ADDED: Range = Range { low: 0.0, high: 20.0 };
const CELSIUS: Range = Range { low: -5.0, high: 60.0 };
/// How cold a bottle stands if nobody says.
const ROOM: f64 = 20.0;

/// A bottle as it will be.
#[derive(Clone, Debug, PartialEq)]
pub struct Bottled {
    /// How it is made.
    pub made: Made,
    /// As what it stands in the stores.
    pub content: Content,
    /// mol of iron in a litre, for iron solutions that leave it open.
    pub iron: Option<Estimate>,
    /// Potassium chlorate in it, % w/v.
    pub chlorate: Option<Strength>,
    /// Iron in percent on the label of its powder.
    pub iron_percent: Option<f64>,
}

/// The stock that is chosen, if it is one of the list.
pub(super) fn stock(ask: &Ask) -> Option<&'static Stock> {
    Stock::named(&ask.what)
}

/// A form by its place; the usual one for anything else.
pub(super) fn form(stock: &Stock, place: &str) -> &'static str {
    let at = place.parse::<usize>().ok();
    at.and_then(|i| stock.forms.get(i)).or(stock.forms.first()).copied().unwrap_or_default()
}

/// The chloride that is chosen; sodium for anything else.
fn chloride(ask: &Ask) -> palladium::Chloride {
    let all = palladium::CHLORIDES;
    all.into_iter().find(|c| c.name.split(' ').next() == Some(ask.chloride.as_str())).unwrap_or(all[0])
}

fn system(ask: &Ask) -> System {
    if ask.system == "us" { System::Us } else { System::Imperial }
}

/// The formula whose grams the strength counts, and what is known for turning it.
pub(super) fn counted(ask: &Ask) -> (String, Option<MolarMass>) {
    let molar = |f: &str| Formula::parse(f).ok().map(|f| f.molar_mass());
    match stock(ask) {
        Some(s) if s.forms.is_empty() => (String::new(), None),
        Some(s) => {
            let place = if ask.counted == "sold" { &ask.form } else { &ask.counted };
            let f = form(s, place);
            (f.into(), molar(f))
        }
        None if ask.what == "own" => (ask.formula.trim().into(), molar(&ask.formula)),
        None => {
            let product = chloride(ask).product;
            (product.into(), molar(product))
        }
    }
}

/// Strength to begin with.
pub(super) fn usual(ask: &Ask) -> Option<crate::constant::Constant> {
    match stock(ask) {
        Some(s) => Some(s.usual),
        None if ask.what == "own" => None,
        None => Some(crate::coat::PALLADIUM),
    }
}

/// Density of the solution to begin with, where one is published for this solid without water.
pub(super) fn density_start(ask: &Ask) -> Option<crate::constant::Constant> {
    let part = match (way(&ask.way), entry::parse(&ask.strength).ok()?.value) {
        (Way::PercentWw, x) => x / 100.0,
        (Way::PerHundredWater, x) => x / (100.0 + x),
        _ => return None,
    };
    density::solution(&counted(ask).0, part)
}

/// Reads a volume: mL, litres, or old measures with their unit.
fn volume(ask: &Ask, notes: &mut Vec<Note>) -> Option<Volume> {
    const LABEL: &str = "The volume";
    let typed = match entry::parse(&ask.volume) {
        Ok(typed) => typed,
        Err(e) => {
            notes.push(e.note("volume", LABEL));
            return None;
        }
    };
    let found = match typed.unit.as_str() {
        "" => Ok(OldAmount::Volume(Volume::from_ml(typed.value))),
        _ => old_units::read(&ask.volume, system(ask), true),
    };
    match found {
        Ok(OldAmount::Volume(v)) => Some(v),
        Ok(OldAmount::Mass(_)) => {
            notes.push(Note::error(
                "volume",
                "The volume is a weight.",
                "Type mL, or fluid ounces, drachms or minims.",
            ));
            None
        }
        Err(e) => {
            notes.push(e.note("volume", LABEL));
            None
        }
    }
}

/// Molar mass by which moles of a strength are counted: for iron without a formula, grams that bring one mole of iron.
fn molar(ask: &Ask, read: &Extra) -> Option<MolarMass> {
    match ask.what.as_str() {
        "iron(III) oxalate" => {
            let salt = Salt::FerricOxalate { water: read.waters? };
            Some(MolarMass::from_g_per_mol(salt.molar_mass().to_g_per_mol() / salt.metal_atoms()))
        }
        "ammonium iron(III) citrate" => {
            Some(MolarMass::from_g_per_mol(Element::Fe.weight().value * 100.0 / read.iron_percent?))
        }
        _ => counted(ask).1,
    }
}

/// What iron solutions ask beyond the rest.
#[derive(Default)]
struct Extra {
    waters: Option<u8>,
    iron_percent: Option<f64>,
    chlorate: Option<f64>,
    acid: Option<f64>,
}

impl Extra {
    fn read(ask: &Ask, notes: &mut Vec<Note>) -> Self {
        let mut extra = Self::default();
        let mut read = |field: &str, label: &str, text: &str, range: Range| {
            entry::optional(field, label, text, range, &["%"], notes)
        };
        match ask.what.as_str() {
            "iron(III) oxalate" => {
                let waters = read("waters", "The number of waters", &ask.waters, WATERS);
                extra.chlorate = read("chlorate", "The chlorate", &ask.chlorate, ADDED).filter(|x| *x > 0.0);
                extra.acid = read("acid", "The oxalic acid", &ask.acid, ADDED).filter(|x| *x > 0.0);
                if let Some(w) = waters {
                    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to 6")]
                    if w.fract() == 0.0 {
                        extra.waters = Some(w as u8);
                    } else {
                        notes.push(Note::error(
                            "waters",
                            "The number of waters is not whole.",
                            "Type 0 to 6, or leave it empty if the label does not say.",
                        ));
                    }
                }
            }
            "ammonium iron(III) citrate" => {
                extra.iron_percent =
                    read("iron_percent", "The iron on the label", &ask.iron_percent, PERCENT)
                        .filter(|x| *x > 0.0);
            }
            _ => {}
        }
        extra
    }
}

fn strength(ask: &Ask, extra: &Extra, notes: &mut Vec<Note>) -> Option<Strength> {
    const LABEL: &str = "The strength";
    if ask.strength.trim().is_empty()
        && matches!(ask.way.as_str(), "percent" | "old")
        && let Some(usual) = usual(ask)
    {
        return Some(Strength::from_percent(usual.value));
    }
    if ask.way == "old" {
        let read = old_units::read_strength(&ask.strength, system(ask));
        return read.map_err(|e| notes.push(e.note("strength", LABEL))).ok();
    }
    let units = ["%", "%w/v", "%w/w", "g/l", "mol/l", "m", "g"];
    let stated = entry::number("strength", LABEL, &ask.strength, STATED, &units, notes)?;
    let solution = entry::optional("density", "The density", &ask.density, DENSITY, &["g/ml"], notes)
        .or_else(|| density_start(ask).map(|c| c.value));
    let facts = Facts { molar: molar(ask, extra), solution, solute: None };
    match concentration::strength(stated, way(&ask.way), &facts) {
        Ok(s) => Some(s),
        Err(missing) => {
            notes.push(match (missing, ask.what.as_str()) {
                (Missing::MolarMass, "iron(III) oxalate") => Note::error(
                    "waters",
                    "Moles of iron cannot be counted while the water in the powder is unknown.",
                    "Type its waters, or state the strength in percent: 27 % is 1.12 to 1.44 mol of iron a litre.",
                ),
                (Missing::MolarMass, "ammonium iron(III) citrate") => {
                    let citrate = crate::chemistry::Solid::AmmoniumIronCitrate;
                    citrate.molar_mass("iron_percent").err().unwrap_or_else(|| missing.note("strength"))
                }
                (Missing::SolutionDensity, _) => missing.note("density"),
                _ => missing.note("strength"),
            });
            None
        }
    }
}

/// Part of the powder that is the solid.
fn purity(ask: &Ask, notes: &mut Vec<Note>) -> Option<f64> {
    if ask.purity.trim().is_empty() {
        return Some(1.0);
    }
    let percent = entry::number("purity", "The purity", &ask.purity, PERCENT, &["%"], notes)?;
    if ask.what != "palladium" || ask.label_says != "metal" {
        return Some(percent / 100.0);
    }
    let found = palladium::purity(percent, ask.source == "wet");
    if found.is_none() {
        notes.push(Note::error(
            "purity",
            "No palladium(II) chloride holds that much palladium.",
            "The dry salt holds 60.0 % at most, with two waters 49.9 %. Check the label and the form.",
        ));
    }
    found
}

fn room(ask: &Ask, units: Units, notes: &mut Vec<Note>) -> Option<Temperature> {
    if ask.room.trim().is_empty() {
        return Some(Temperature::from_celsius(ROOM));
    }
    let typed = entry::parse(&ask.room).map_err(|e| notes.push(e.note("room", "The temperature"))).ok()?;
    let t = units.temperature.typed(typed.value, &typed.unit).unwrap_or(Temperature::from_celsius(f64::MAX));
    let fits = (CELSIUS.low..=CELSIUS.high).contains(&t.to_celsius());
    if !fits {
        notes.push(Note::error(
            "room",
            "No bottle stands that cold or that hot.",
            "Type the temperature of the shelf, with °C or °F behind it if you like.",
        ));
    }
    fits.then_some(t)
}

/// Reads a bottle; pushes a note for everything odd. `None` if it cannot be made.
#[must_use]
pub fn read(ask: &Ask, units: Units, notes: &mut Vec<Note>) -> Option<Bottled> {
    let extra = Extra::read(ask, notes);
    let (volume, strength) = (volume(ask, notes), strength(ask, &extra, notes));
    let purity = purity(ask, notes);
    let room = room(ask, units, notes);
    let (volume, strength, purity) = (volume?, strength?, purity?);
    let made = match stock(ask) {
        None if ask.what == "own" => {
            let wish =
                own::Wish { name: &ask.name, formula: &ask.formula, purity, strength, volume, room: room? };
            own::make(&wish, units)
        }
        None => {
            let excess = entry::number("excess", "The excess", &ask.excess, PERCENT, &["%"], notes)? / 100.0;
            let wish = palladium::Wish {
                chloride: chloride(ask),
                dihydrate: ask.source == "wet",
                purity,
                excess,
                wanted: palladium::Wanted::Complex(strength),
                volume,
            };
            palladium::make(&wish, units)
        }
        Some(stock) => {
            let form = form(stock, &ask.form);
            let from = if ask.from == "bottle" {
                let have = entry::number(
                    "have",
                    "The strength of the stronger solution",
                    &ask.have,
                    PERCENT,
                    &["%"],
                    notes,
                )?;
                From::Bottle { form, strength: Strength::from_percent(have) }
            } else {
                From::Powder { form, purity }
            };
            let counted = if ask.counted == "sold" || stock.forms.is_empty() {
                Counted::AsSold
            } else {
                Counted::As(self::form(stock, &ask.counted))
            };
            making::make(&making::Wish { stock, from, strength, counted, volume, room: room? }, units)
        }
    };
    let mut made = made.map_err(|note| notes.push(note)).ok()?;
    notes.append(&mut made.notes);
    Some(finish(ask, &extra, made, units))
}

/// Adds what only iron solutions have.
fn finish(ask: &Ask, extra: &Extra, mut made: Made, units: Units) -> Bottled {
    let mut content = content(&ask.what);
    let iron = match ask.what.as_str() {
        "iron(III) oxalate" => Some(iron::ferric_oxalate(made.strength, extra.waters)),
        "ammonium iron(III) citrate" => extra
            .iron_percent
            .and_then(|p| iron::by_label(made.strength, p))
            .map(|m| Estimate::exact(m.to_mol_per_litre())),
        _ => None,
    };
    working(&mut made, iron.as_ref(), extra, units);
    if let Some(water) = extra.waters {
        made.counted = Salt::FerricOxalate { water }.formula().into();
    }
    let mut add = |name: &'static str, formula: &'static str, percent: Option<f64>| {
        let Some(percent) = percent.filter(|_| made.poured.is_none()) else { return };
        let mass = Strength::from_percent(percent) * made.volume;
        made.working.step(
            name,
            "strength × volume",
            [&units.figures(percent, 3), " % w/v; ", &units.figures(made.volume.to_ml(), 4), " mL"].concat(),
            [&units.figures(mass.to_g(), 4), " g"].concat(),
        );
        made.weighed.push(Weighed { name: name.into(), formula: formula.into(), mass });
        let last = made.steps.len().saturating_sub(1);
        made.steps.insert(last, ["Add the ", name, " as a solution of a little of the water."].concat());
    };
    add("oxalic acid", "H2C2O4·2H2O", extra.acid);
    add("potassium chlorate", "KClO3", extra.chlorate);
    if extra.chlorate.is_some() {
        content = Content::Chlorate;
        made.content = Content::Chlorate.name().into();
        made.cautions.push(crate::chemistry::hazard::Kind::Chlorate.caution());
    }
    let chlorate = extra.chlorate.map(Strength::from_percent);
    Bottled { made, content, iron, chlorate, iron_percent: extra.iron_percent }
}

/// How the moles that are shown were counted.
fn working(made: &mut Made, iron: Option<&Estimate>, extra: &Extra, units: Units) {
    const WEIGHTS: &str = "atomic weights: IUPAC/CIAAW 2021";
    let percent = [&units.figures(made.strength.to_percent(), 4), " % w/v"].concat();
    match (iron, extra.iron_percent, made.molarity) {
        (Some(fe), Some(label), _) => made.working.sourced(
            "iron in a litre",
            "10 × % × iron on the label / M(Fe)",
            [&percent, "; ", &units.figures(label, 3), " %; 55.845 g/mol"].concat(),
            [&units.figures(fe.value, 3), " mol"].concat(),
            WEIGHTS,
        ),
        (Some(fe), None, _) => made.working.sourced(
            "iron in a litre",
            "2 × 10 × % / M(Fe2(C2O4)3 with its waters)",
            match extra.waters {
                Some(w) => [&percent, "; ", &w.to_string(), " waters"].concat(),
                None => [&percent, "; six waters to none, 483.8 to 375.7 g/mol"].concat(),
            },
            [&units.number(fe.low, 2), "–", &units.number(fe.high, 2), " mol"].concat(),
            WEIGHTS,
        ),
        (None, _, Some(m)) => made.working.sourced(
            "moles in a litre",
            "10 × % / M",
            [&percent, " ", &made.counted].concat(),
            [&units.figures(m.to_mol_per_litre(), 3), " mol"].concat(),
            WEIGHTS,
        ),
        (None, _, None) => {}
    }
}

/// As what a solution stands in the stores.
fn content(what: &str) -> Content {
    match what {
        "palladium" => Content::Palladium,
        "potassium tetrachloroplatinate(II)" => Content::Platinum,
        "sodium hexachloroplatinate(IV)" => Content::Agent,
        _ => Content::ALL.into_iter().find(|c| c.name() == what).unwrap_or(Content::Stock),
    }
}

/// How many solutions can be made, for tests of the page's list.
#[cfg(all(test, not(target_arch = "wasm32")))]
pub(super) fn names() -> Vec<&'static str> {
    let stocks = making::STOCKS.iter().map(|s| s.name);
    core::iter::once("palladium").chain(stocks).chain(core::iter::once("own")).collect()
}

//! What the coat station shows for a plan.

use super::plan::Plan;
use super::preset::{IRON, PALLADIUM, PLATINUM};
use super::view::{PartRow, View};
use super::{Ask, Content, STRIP, Shelf, Tool, better_total, draw, off, rounding, whole};
use crate::book::Book;
use crate::chemistry::Element;
use crate::chemistry::drop::{COUNTED, DROP_SPREAD, DROPS_PER_ML, UNCOUNTED, ratio_spread};
use crate::chemistry::stoichiometry::{NEEDED, WINDOW_HIGH, WINDOW_LOW};
use crate::light::paper::InUse;
use crate::light::paper_curve::CLOSENESS;
use crate::note::Note;
use crate::quantity::{Mass, Volume};
use crate::show::{LiquidUnit, Units};
use crate::station::{Answer, Scene, TicketCell};
use crate::working::Working;

/// Half width of a 95 % interval in standard uncertainties.
const TWO_SIGMA: f64 = 1.96;

pub(super) fn answer(ask: &Ask, scene: &Scene<'_>) -> Answer<View> {
    let book = scene.book;
    let mut notes = Vec::new();
    let shelf = Shelf::for_mix(ask, book.bottles());
    let plan = Plan::with(ask, book, &shelf, &mut notes);
    let mut page = Page::of(ask, scene, &shelf, &plan);
    page.notes = notes;
    page.sheet();
    page.volume();
    page.mix();
    page.metal();
    page.iron();
    let curve = InUse::of(scene.tone.paper(), CLOSENESS.value);
    page.contrast(scene.tone.response.as_ref().map(|r| r.at(1.0)), curve.paper());
    page.recipes();
    page.loss();
    page.knee();
    page.balance();
    page.money();
    page.stores();
    page.dangers();
    page.view.stuck = !page.view.has_mix;
    page.view.differs = ask.setup != book.setup().presets.coat;
    let cell = page.cell();
    Answer { view: page.view, notes: page.notes, workings: page.workings, ticket: vec![cell] }
}

/// The bottle that a button names by its row: identity and content.
pub(super) fn bottle_in_row(ask: &Ask, scene: &Scene<'_>, row: usize) -> Option<(String, Content)> {
    let shelf = Shelf::for_mix(ask, scene.book.bottles());
    let plan = Plan::with(ask, scene.book, &shelf, &mut Vec::new());
    let page = Page::of(ask, scene, &shelf, &plan);
    let (content, standing) = page.usable().into_iter().nth(row)?;
    Some((standing.id.to_owned(), content))
}

/// The page that is being filled; other files of this folder fill their parts of it.
pub(super) struct Page<'a> {
    pub(super) ask: &'a Ask,
    pub(super) book: &'a Book,
    pub(super) units: Units,
    /// The room's day number, and its offset from UTC.
    pub(super) today: i64,
    pub(super) zone_minutes: i32,
    pub(super) shelf: &'a Shelf<'a>,
    pub(super) plan: &'a Plan,
    pub(super) view: View,
    pub(super) notes: Vec<Note>,
    pub(super) workings: Vec<Working>,
}

impl<'a> Page<'a> {
    fn of(ask: &'a Ask, scene: &Scene<'a>, shelf: &'a Shelf<'a>, plan: &'a Plan) -> Self {
        Self {
            ask,
            book: scene.book,
            units: scene.book.ticket().units,
            today: crate::book::today(scene.now, scene.zone_minutes),
            zone_minutes: scene.zone_minutes,
            shelf,
            plan,
            view: View::default(),
            notes: vec![],
            workings: vec![],
        }
    }
}

impl Page<'_> {
    pub(super) fn note(&mut self, note: Note) {
        self.notes.push(note);
    }

    fn sheet(&mut self) {
        let start = Tool::of(&self.ask.setup.tool).start();
        let u = self.units;
        self.view.start = format!(
            "{} mL/m², others pour {} to {} ({})",
            u.number(start.value.value, 0),
            u.number(start.low.value, 0),
            u.number(start.high.value, 0),
            start.value.basis.words()
        );
        self.view.from_negative = self.plan.from_negative;
        let Some(sheet) = self.plan.sheet else { return };
        if self.plan.from_negative {
            self.view.film_size = format!("{} × {}", u.length_field(sheet.width), u.length(sheet.height));
        }
        let (w, h) = (sheet.coated_width(), sheet.coated_height());
        self.view.coated = format!("{} × {}", u.length_field(w), u.length(h));
        self.view.area = format!("{} cm²", u.number(sheet.coated().to_cm2(), 0));
        self.view.drawing = draw(&sheet, u);
        self.view.has_drawing = true;
        let mut working = Working::new("area");
        let around =
            format!("{} border, {} margin, each side", u.length(sheet.border), u.length(sheet.margin));
        working.step(
            "Coated width",
            "picture + 2 × (border + margin)",
            format!("{}; {around}", u.length(sheet.width)),
            u.length(w),
        );
        working.step(
            "Coated height",
            "picture + strip + 2 × (border + margin)",
            format!("{}; strip {}; {around}", u.length(sheet.height), u.length(sheet.strip)),
            u.length(h),
        );
        if sheet.strip.to_mm() > 0.0 {
            working.constant("Margin strip with its gap", &STRIP);
        }
        working.step("Coated area", "width × height", "", self.view.area.clone());
        self.workings.push(working);
    }

    fn volume(&mut self) {
        let (Some(volume), Some(poured)) = (self.plan.per_sheet, self.plan.poured) else {
            return;
        };
        let u = self.units;
        self.view.volume = u.ml(volume);
        self.view.has_volume = true;
        let mut working = Working::new("volume");
        let coverage = format!("{} mL/m²", u.figures(poured.value.to_ml_per_m2(), 3));
        let coats = self.plan.coats.unwrap_or(1.0);
        let passes = u.figures(self.plan.passes.unwrap_or(coats), 3);
        let inputs = format!("{}; {coverage}; {passes}", self.view.area);
        if let Some([low, high]) = poured.range {
            let end = |c| self.plan.volume_of_sheet(|_| c).map_or(0.0, Volume::to_ml);
            self.view.volume_range = format!("{}–{} mL", u.number(end(low), 1), u.number(end(high), 1));
            let start = Tool::of(&self.ask.setup.tool);
            working.constant(&format!("Starting coverage: {}", start.words()), &start.start().value);
        } else {
            self.view.volume_range = "by your own coverage".into();
            working.sourced("Coverage", "", "", coverage, "typed by you");
        }
        working.step(
            "Iron and metals for a sheet",
            "area × coverage as poured × coats, a further one as its part of the first",
            inputs,
            u.ml(volume),
        );
        self.workings.push(working);
        if volume.to_ml() * self.plan.sheets.unwrap_or(1.0) < 0.5 {
            self.note(Note::warning(
                "sheets",
                format!(
                    "A cup of {} is small: one drop left clinging changes it by a tenth or more.",
                    u.ml(volume)
                ),
                "Mix for several sheets at once, or use finer drops.",
            ));
        }
        if coats > 1.0 {
            let passes = self.plan.passes.unwrap_or(coats);
            let first = volume / passes;
            let further = (volume - first) / (coats - 1.0);
            self.view.several_coats = true;
            self.view.coats = format!("First coat {}, each further one {}.", u.ml(first), u.ml(further));
            self.note(Note::hint(
                "setup.coats",
                "A further coat often takes less than the first, because the paper is no longer thirsty. Type what part of the first it takes.",
            ));
        }
    }

    /// An amount in the printer's unit first, and in the other.
    fn both(&self, volume: Volume, per_ml: f64) -> (String, String) {
        let ml = self.units.ml(volume);
        let n = whole(volume, per_ml);
        let drops = format!("{} {}", self.units.number(n, 0), if n == 1.0 { "drop" } else { "drops" });
        match self.units.liquid {
            LiquidUnit::Ml => (ml, drops),
            LiquidUnit::Drops => (drops, ml),
        }
    }

    fn mix(&mut self) {
        let Some(mix) = self.plan.mix else { return };
        let (u, set) = (self.units, &self.ask.setup);
        self.view.has_mix = true;
        let sheets = self.plan.sheets.unwrap_or(1.0);
        let total = mix.total();
        self.view.cup = if sheets > 1.0 {
            format!("{} for {} sheets", u.ml(total), u.number(sheets, 0))
        } else {
            u.ml(total)
        };
        let mut working = Working::new("mix");
        let ratio = u.figures(self.plan.ratio.unwrap_or(1.0), 4);
        let share = format!("{} %", u.figures(self.plan.share.unwrap_or(0.0) * 100.0, 4));
        let coating = self.plan.per_sheet.map_or(0.0, Volume::to_ml) * sheets;
        let coating = u.ml(Volume::from_ml(coating));
        let by_parts = !set.parts.is_empty();
        for (content, volume) in mix.parts() {
            let (formula, inputs) = match content {
                _ if by_parts && content.is_main() => ("volume × part / sum of the parts", coating.clone()),
                Content::Iron | Content::Chlorate => {
                    ("volume × ratio / (1 + ratio) × its share", format!("{coating}; ratio {ratio}"))
                }
                Content::Palladium => (
                    "volume / (1 + ratio) × (1 − platinum share)",
                    format!("{coating}; ratio {ratio}; {share}"),
                ),
                Content::Platinum => {
                    ("volume / (1 + ratio) × platinum share", format!("{coating}; ratio {ratio}; {share}"))
                }
                Content::Agent if set.agent_by == "drops" => {
                    ("drops × sheets / drops per mL", format!("{} drops", set.agent_drops))
                }
                Content::Agent => {
                    ("amount × volume / molarity", format!("{} µmol/mL; {coating}", set.agent_amount))
                }
                Content::Surfactant => (
                    "volume × share wanted / strength",
                    format!("{coating}; {} %; {} %", set.surfactant_share, set.surfactant_strength),
                ),
                _ => ("volume × part / sum of the parts", coating.clone()),
            };
            working.step(content.name(), formula, inputs, u.ml(volume));
        }
        self.workings.push(working);
        self.drops();
    }

    fn drops(&mut self) {
        let Some(mix) = self.plan.mix else { return };
        let u = self.units;
        let parts: Vec<(Content, Volume)> = mix.parts().collect();
        let mut working = Working::new("drops");
        let mut counted = Vec::new();
        for &(content, volume) in &parts {
            let strength = self.plan.strengths[content.index()];
            let strength =
                strength.map_or_else(String::new, |s| format!("{} %", u.figures(s.to_percent(), 3)));
            let mut row = PartRow { name: content.name().into(), strength, ..PartRow::default() };
            match self.plan.droppers[content.index()] {
                Some(d) => {
                    (row.amount, row.other) = self.both(volume, d.per_ml);
                    counted.push((content, (volume, d.per_ml)));
                    let n = u.number(whole(volume, d.per_ml), 0);
                    working.sourced(
                        content.name(),
                        "volume × drops per mL, to the nearest whole",
                        format!("{}; {} drops/mL", u.ml(volume), u.figures(d.per_ml, 3)),
                        format!("{n} drops"),
                        if d.counted { "counted by you".to_owned() } else { DROPS_PER_ML.basis.words() },
                    );
                }
                None => row.amount = u.ml(volume),
            }
            self.view.parts.push(row);
        }
        // The ratio is that of iron and metals; agent and surfactant are trimmings.
        let main: Vec<_> = counted.iter().filter(|(c, _)| c.is_main()).copied().collect();
        let wanted = parts.iter().filter(|(c, _)| c.is_main()).count();
        if main.len() == wanted {
            self.rounding(&main, &mut working);
        }
        self.workings.push(working);
    }

    fn rounding(&mut self, main: &[(Content, (Volume, f64))], working: &mut Working) {
        let u = self.units;
        let parts: Vec<_> = main.iter().map(|(_, part)| *part).collect();
        let percent =
            |x: f64| format!("{}{} %", if x < -0.0005 { "−" } else { "+" }, u.number(x.abs() * 100.0, 1));
        for ((content, _), off) in main.iter().zip(off(&parts)) {
            if let Some(row) = self.view.parts.iter_mut().find(|r| r.name == content.name()) {
                row.off = percent(off);
            }
        }
        let worst = rounding(&parts);
        self.view.rounding = if worst < 0.0005 {
            "Whole drops keep the ratio.".into()
        } else {
            format!("Whole drops change a share by up to {} %.", u.number(worst * 100.0, 1))
        };
        working.step(
            "Ratio error of whole drops",
            "largest of (share counted / share wanted − 1)",
            "",
            format!("{} %", u.number(worst * 100.0, 1)),
        );
        if let Some(better) = better_total(&parts) {
            self.view.has_better = true;
            let counts: Vec<String> = main
                .iter()
                .map(|(c, (v, d))| {
                    format!("{} drops {}", u.number(whole(*v * better.factor, *d), 0), c.name())
                })
                .collect();
            self.view.better = format!(
                "{} in all is off by {} % at most: {}.",
                u.ml(better.total),
                u.number(better.error * 100.0, 1),
                counts.join(", ")
            );
        }
        let dropper = |c: Content| match self.plan.droppers[c.index()] {
            Some(d) if d.counted => COUNTED.value,
            _ => UNCOUNTED.value,
        };
        let metal = main.iter().filter(|(c, _)| c.is_metal()).max_by(|a, b| {
            let ml = |x: &(Content, (Volume, f64))| x.1.0.to_ml();
            ml(a).total_cmp(&ml(b))
        });
        let iron = main.iter().find(|(c, _)| c.is_iron());
        if let (Some((a, (va, da))), Some((b, (vb, db)))) = (iron, metal) {
            let n = [whole(*va, *da), whole(*vb, *db)];
            let spread = TWO_SIGMA * ratio_spread(n, DROP_SPREAD.value, [dropper(*a), dropper(*b)]) * 100.0;
            let both = dropper(*a).max(dropper(*b)) <= COUNTED.value;
            self.view.droppers = format!(
                "Counted {}, iron to metal is good to about ±\u{a0}{} %.",
                if both { "with your own drop sizes" } else { "with droppers nobody has measured" },
                u.number(spread, 0)
            );
            working.sourced(
                "Trust in the counted ratio (95 %)",
                "1.96 × √(s²/n + s²/m + u² + v²)",
                format!("{} and {} drops", u.number(n[0], 0), u.number(n[1], 0)),
                format!("± {} %", u.number(spread, 0)),
                UNCOUNTED.source,
            );
        }
    }

    fn metal(&mut self) {
        let Some(mix) = self.plan.mix else { return };
        let u = self.units;
        let mut working = Working::new("metal");
        let metals = self.plan.metals();
        let mut said = Vec::new();
        let mut all = Mass::from_g(0.0);
        for dose in &metals {
            let mass = dose.metal_mass();
            all = all + mass;
            let name = if dose.salt.metal() == Element::Pt { "platinum" } else { "palladium" };
            said.push(format!("{} mg {name}", u.number(mass.to_mg(), 0)));
            working.sourced(
                &format!("Metal from {}", dose.salt.formula()),
                "volume × strength × metal's part of the mass",
                format!(
                    "{}; {} % w/v; {}",
                    u.ml(dose.volume),
                    u.figures(dose.strength.to_percent(), 3),
                    u.figures(dose.salt.metal_fraction(), 4)
                ),
                format!("{} mg", u.number(mass.to_mg(), 0)),
                Element::Pt.weight().source,
            );
        }
        if said.is_empty() || mix.total().to_ml() <= 0.0 {
            return;
        }
        self.view.metal = said.join(", ");
        if let (Some(sheet), Some(sheets)) = (self.plan.sheet, self.plan.sheets) {
            let density = all.to_g() / (sheet.coated().to_m2() * sheets);
            self.view.metal_density = format!("{} g/m² as poured", u.figures(density, 2));
        }
        self.workings.push(working);
    }

    fn iron(&mut self) {
        let Some(ratio) = self.plan.iron_to_metal() else { return };
        let u = self.units;
        self.view.has_iron = true;
        self.view.iron = format!("{}–{} to 1", u.number(ratio.low, 1), u.number(ratio.high, 1));
        self.view.window = format!(
            "published window {} to {}",
            u.number(WINDOW_LOW.value, 1),
            u.number(WINDOW_HIGH.value, 1)
        );
        let mut working = Working::new("iron");
        working.sourced(
            "Moles of iron to one of metal",
            "iron: 2 × 10 × % / M × volume; metal: 10 × % / M × volume",
            "iron(III) oxalate with six waters to none; a label seldom says which",
            self.view.iron.clone(),
            Element::Fe.weight().source,
        );
        working.constant("The reaction needs", &NEEDED);
        working.constant("Published window, from", &WINDOW_LOW);
        working.constant("Published window, to", &WINDOW_HIGH);
        for (name, c) in
            [("Iron, usual", IRON), ("Palladium, usual", PALLADIUM), ("Platinum, usual", PLATINUM)]
        {
            working.constant(name, &c);
        }
        self.workings.push(working);
        if ratio.high < WINDOW_LOW.value {
            self.note(Note::warning(
                "setup.ratio",
                "There is less iron than any published mix has, so part of the metal would be washed away.",
                "Take more iron to metal, or a weaker metal solution.",
            ));
        } else if ratio.low > WINDOW_HIGH.value {
            self.note(Note::warning(
                "setup.ratio",
                "There is more iron than any published mix has, so clearing will be hard.",
                "Take less iron to metal, or a stronger metal solution.",
            ));
        }
    }

    fn cell(&self) -> TicketCell {
        let Some(mix) = self.plan.mix else {
            let what =
                if self.plan.sheet.is_none() { "the mix needs a size" } else { "the mix needs mending" };
            return TicketCell::missing("mix", what);
        };
        let share = self.plan.share.unwrap_or(0.0);
        if !self.ask.setup.parts.is_empty() {
            let name = if self.ask.setup.recipe.is_empty() { "by parts" } else { &self.ask.setup.recipe };
            return TicketCell::done(
                "mix",
                format!("{} mL {name}", self.units.number(mix.total().to_ml(), 1)),
            );
        }
        let metal = if share <= 0.0 {
            "palladium".to_owned()
        } else if share >= 1.0 {
            "platinum".to_owned()
        } else {
            format!("palladium, {} % platinum", self.units.figures(share * 100.0, 3))
        };
        TicketCell::done("mix", format!("{} mL {metal}", self.units.number(mix.total().to_ml(), 1)))
    }
}

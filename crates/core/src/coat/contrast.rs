//! Contrast agents on the page: by amount of substance, whatever bottle they come from, and what they do to the scale.

use super::agent::{self, dichromate, dilute, own_scale, published_scale};
use super::show::Page;
use super::{Ask, Content};
use crate::chemistry::Strength;
use crate::constant::Basis;
use crate::entry::{Range, number, optional};
use crate::estimate::Estimate;
use crate::light::paper::Paper;
use crate::note::Note;
use crate::tone::spots::{AS_WHITE, Finding, Spots, Veil, judge};
use crate::working::Working;

const ML: Range = Range { low: 0.001, high: 500.0 };
const STOCK: Range = Range { low: 0.01, high: 15.0 };
const AMOUNT: Range = Range { low: 0.0, high: 1000.0 };
const SCALE: Range = Range { low: 0.1, high: 4.0 };
/// Most strips that are read.
const MOST: usize = 12;

/// The strips as typed, those that are whole.
fn strips(ask: &Ask, notes: &mut Vec<Note>) -> Vec<(f64, f64)> {
    let rows = ask.setup.agent_strips.iter().take(MOST).enumerate();
    rows.filter_map(|(i, row)| {
        let name = |field: &str| ["setup.agent_strips.", &i.to_string(), ".", field].concat();
        let a = optional(&name("amount"), "The amount", &row.amount, AMOUNT, &[], notes);
        let s = optional(&name("scale"), "The exposure scale", &row.scale, SCALE, &["log h"], notes);
        a.zip(s)
    })
    .collect()
}

impl Page<'_> {
    /// Everything about agents.
    pub(super) fn contrast(&mut self, white: Option<f64>, paper: &dyn Paper) {
        self.wanted(white, paper);
        let mut working = Working::new("agent");
        let platinum = self.platinum(&mut working);
        let chlorate = self.chlorate(&mut working);
        let dichromate = self.dichromate(&mut working);
        self.strips(platinum, chlorate, dichromate, &mut working);
        if !working.steps.is_empty() {
            self.workings.push(working);
        }
        let ways = [platinum.is_some(), chlorate.is_some(), dichromate.is_some()];
        if ways.iter().filter(|used| **used).count() > 1 {
            self.note(Note::warning(
                "setup.agent",
                "Two contrast agents at once gain nothing and add grain.",
                "Choose one of them, and leave the other out.",
            ));
        }
    }

    /// Whether an agent is worth proposing: full ink short of white, or whites fogged. `white` is the L* that full ink
    /// prints, from the readings of the setup; the paper's curve tells how much light that is.
    fn wanted(&mut self, white: Option<f64>, paper: &dyn Paper) {
        let tone = &self.book.setup().tone;
        let read = |text: &str| {
            crate::entry::parse(text).ok().map(|t| t.value).filter(|l| (0.0..=100.0).contains(l))
        };
        let spots = Spots {
            full_ink: white.map(|l| (l, 1)),
            masked: read(&tone.masked).map(|l| (l, 1)),
            bare: read(&tone.bare).map(|l| (l, 1)),
        };
        let judged = judge(&spots, AS_WHITE.value);
        let veiled = |v: Option<Veil>| v.filter(|v| v.finding == Finding::Veiled).map(|v| v.density.value);
        let number = |x: f64| self.units.number(x, 2);
        let light = |veil: f64| {
            let at = |d: f64| paper.log_exposure(paper.white() + d);
            let short = at(veil)? - at(AS_WHITE.value)?;
            let whose =
                if paper.basis() == Basis::Choice { "a starting curve" } else { "your paper's curve" };
            Some([", about ", &number(short), " log H by ", whose].concat())
        };
        self.view.agent_wanted = match (veiled(judged.ink_veil), veiled(judged.stain)) {
            (Some(d), _) => [
                "Full ink prints ",
                &number(d),
                " density short of white",
                &light(d).unwrap_or_default(),
                ". If more ink is not to be had, a little contrast agent, the same in every mix of \
                 this setup, shortens the scale.",
            ]
            .concat(),
            (None, Some(d)) => [
                "Whites fog by ",
                &number(d),
                " density where no light fell. Test the iron and the room first; then a little contrast agent, the same in \
                 every mix of this setup, clears them.",
            ]
            .concat(),
            (None, None) => String::new(),
        };
        self.view.has_agent_wanted = !self.view.agent_wanted.is_empty();
    }

    /// Pt(IV): what it comes to, and whether it can be counted.
    fn platinum(&mut self, working: &mut Working) -> Option<Estimate> {
        let set = &self.ask.setup;
        self.view.surfactant = set.surfactant;
        self.view.agent = set.agent;
        self.view.by_drops = set.agent && set.agent_by == "drops";
        self.view.by_amount = set.agent && set.agent_by != "drops";
        if !set.agent {
            return None;
        }
        let u = self.units;
        if !self.view.has_agent_wanted {
            self.note(Note::hint(
                "setup.agent",
                "A negative made with its own correction seldom needs a contrast agent. Print once without it first.",
            ));
        }
        let found = self.plan.agent.map(|[low, high]| {
            let (a, b) = (u.figures(low, 2), u.figures(high, 2));
            self.view.agent_amount = if a == b {
                format!("{b} µmol Pt(IV) in a mL of mix")
            } else {
                format!("{a}–{b} µmol Pt(IV) in a mL of mix, as the label counts water or not")
            };
            working.step(
                "Pt(IV) in the mix",
                "volume × 10 × % / M / volume of iron and metals",
                format!("{} %; with six waters 561.8 g/mol, without 453.8", set.agent_strength),
                self.view.agent_amount.clone(),
            );
            Estimate::from_three(low, (low + high) / 2.0, high, Basis::Definition)
        });
        let (mix, dropper) = (self.plan.mix?, self.plan.droppers[Content::Agent.index()]?);
        let drops = mix.volume(Content::Agent).to_ml() * dropper.per_ml;
        if let Some(d) = dilute(drops) {
            let percent = |x: f64| u.number(100.0 * x, 0);
            let text = if drops < 0.5 {
                "The agent wanted is less than half a drop.".to_owned()
            } else {
                format!("One drop miscounted changes the agent by {} %.", percent(d.miscount))
            };
            let more = if d.drops < 5.0 { " Or mix for several sheets at once." } else { "" };
            let mend = format!(
                "Dilute 1 part of its solution with {} parts of water and count {} drops: then a slip is {} %.{more}",
                u.number(d.water, 0),
                u.number(d.drops, 0),
                percent(d.then)
            );
            self.note(Note::warning("setup.agent_strength", text, mend));
            working.step(
                "Drops, and what one more or less changes",
                "volume × drops per mL; 1 / drops",
                format!("{} drops", u.figures(drops, 2)),
                format!("{} %", percent(d.miscount)),
            );
        }
        found
    }

    /// Chlorate, per mol of iron.
    fn chlorate(&mut self, working: &mut Working) -> Option<Estimate> {
        self.view.has_chlorate_part = self.plan.mix?.volume(Content::Chlorate).to_ml() > 0.0;
        let found = self.plan.chlorate(self.ask, self.shelf, &mut self.notes)?;
        let u = self.units;
        let (low, high) = (u.figures(found.low, 2), u.figures(found.high, 2));
        self.view.chlorate_amount = if low == high {
            format!("{high} mmol chlorate to a mol of iron")
        } else {
            format!("{low}–{high} mmol chlorate to a mol of iron, as the iron holds water or not")
        };
        self.view.has_chlorate = true;
        working.step(
            "Chlorate to iron",
            "share × 10 × % / M(KClO3) / mol of iron in a litre",
            "",
            self.view.chlorate_amount.clone(),
        );
        if self.plan.chlorate_share > 0.5 {
            self.note(Note::hint(
                "setup.chlorate_share",
                "Grain grows when more than half of the iron holds chlorate, above all with little platinum.",
            ));
        }
        Some(found)
    }

    /// Dichromate in the developer.
    fn dichromate(&mut self, working: &mut Working) -> Option<Estimate> {
        let set = &self.ask.setup;
        let used = !set.dichromate_ml.trim().is_empty();
        let notes = &mut self.notes;
        let ml =
            optional("setup.dichromate_ml", "The dichromate", &set.dichromate_ml, ML, &["ml", "ml/l"], notes);
        let (read, name) = (if used { number } else { optional }, "setup.dichromate_stock");
        let stock = read(name, "The strength of the dichromate", &set.dichromate_stock, STOCK, &["%"], notes);
        self.view.has_dichromate = used;
        let (ml, stock) = (ml?, stock?);
        let u = self.units;
        let mmol = dichromate(ml, Strength::from_percent(stock));
        self.view.dichromate_amount = format!(
            "{} mmol, {} mg K2Cr2O7 in a litre of developer",
            u.figures(mmol, 3),
            u.figures(ml * stock * 10.0, 3)
        );
        working.step(
            "Dichromate in the developer",
            "mL per litre × 10 × % / M(K2Cr2O7)",
            format!("{} mL/L; {} %", u.figures(ml, 3), u.figures(stock, 3)),
            self.view.dichromate_amount.clone(),
        );
        self.note(Note::danger(
            "setup.dichromate_ml",
            "Dichromate is poisonous, causes cancer and may make skin and lungs allergic for life.",
            "Gloves, goggles, no dust, a tray of its own; collect all of it as your local rules say. The sheet supplied with \
             your bottle wins.",
        ));
        Some(Estimate::exact(mmol))
    }

    /// The exposure scale to expect: from the printer's own strips, else the published series, else nobody knows.
    fn strips(
        &mut self,
        platinum: Option<Estimate>,
        chlorate: Option<Estimate>,
        dichromate: Option<Estimate>,
        working: &mut Working,
    ) {
        let of = self.ask.setup.agent_strips_of.as_str();
        let (used, whose) = match of {
            "chlorate" => (chlorate, "chlorate"),
            "dichromate" => (dichromate, "dichromate"),
            _ => (platinum, "Pt(IV)"),
        };
        let strips = strips(self.ask, &mut self.notes);
        let u = self.units;
        let say =
            |e: Estimate| format!("{} ± {} log H", u.number(e.value, 2), u.number((e.high - e.low) / 2.0, 2));
        let mut said = Vec::new();
        let mut unknown = false;
        for (amount, name) in [(platinum, "Pt(IV)"), (chlorate, "chlorate"), (dichromate, "dichromate")] {
            let Some(amount) = amount else { continue };
            let own = (name == whose && used.is_some() && !strips.is_empty())
                .then(|| own_scale(&strips, amount.value));
            match own {
                Some(Ok(scale)) => {
                    said.push(format!("{} with {name}, by your own strips ({})", say(scale), strips.len()));
                    working.step(
                        "Exposure scale from strips",
                        "never rising with the amount, straight between two strips",
                        format!("{} strips", strips.len()),
                        say(scale),
                    );
                    continue;
                }
                Some(Err(note)) => self.note(Note { field: "setup.agent_strips".into(), ..note }),
                None => {}
            }
            if name == "dichromate"
                && let Some(scale) = published_scale(amount.value)
            {
                said.push(format!(
                    "{} with dichromate in one published series; yours may differ until two strips are printed",
                    say(scale)
                ));
                working.constant("Scale of the series at its least dichromate", &agent::SCALE_AT_LEAST);
                working.constant("What a doubling takes", &agent::SCALE_PER_DOUBLING);
                continue;
            }
            unknown = true;
        }
        if unknown {
            said.push("Unknown for you: print two strips, one without it and one with it.".into());
        }
        self.view.agent_scale = said.join(". ");
        self.view.has_agent_scale = !self.view.agent_scale.is_empty();
    }
}

//! What the printer has learned about the coating: the loss by weighing, the knee from strips.

use super::ask::Ask;
use super::knee::{Knee, KneeError, MISSING, PAPER, Strip, knee};
use super::loss::BALANCE;
use super::show::Page;
use crate::chart::{Axis, Chart};
use crate::entry::{Range, optional};
use crate::math::exp;
use crate::note::Note;
use crate::quantity::Coverage;
use crate::show::Units;
use crate::working::Working;

const POURED: Range = Range { low: 1.0, high: 400.0 };
const BLACK: Range = Range { low: 0.0, high: 4.0 };
/// Most strips that are read; more would only slow every keystroke.
const MOST: usize = 12;

/// The strips as typed, and the density of their paper.
fn strips(ask: &Ask, notes: &mut Vec<Note>) -> (Vec<Strip>, Option<f64>) {
    let mut all = Vec::new();
    for (i, row) in ask.setup.strips.iter().take(MOST).enumerate() {
        let name = |field: &str| format!("setup.strips.{i}.{field}");
        let poured =
            optional(&name("poured"), "The coverage", &row.poured, POURED, &["ml/m²", "ml/m2"], notes);
        let black = optional(&name("black"), "The density", &row.black, BLACK, &["d"], notes);
        if let (Some(poured), Some(black)) = (poured, black) {
            all.push((Coverage::from_ml_per_m2(poured), black));
        }
    }
    let text = &ask.setup.strip_paper;
    let paper = optional("setup.strip_paper", "The paper's density", text, BLACK, &["d"], notes);
    let paper = if text.trim().is_empty() { Some(PAPER.value) } else { paper };
    (all, paper)
}

/// The coverage to take over from the strips, as it is typed.
pub(super) fn found(ask: &Ask, units: Units) -> Option<String> {
    let (strips, paper) = strips(ask, &mut Vec::new());
    match knee(&strips, paper?) {
        Ok(Knee::At { coverage, .. } | Knee::AllBlack { least: coverage }) => {
            Some(units.number(coverage.to_ml_per_m2(), 1))
        }
        _ => None,
    }
}

impl Page<'_> {
    /// Coverage on the sheet, once cup and brush were weighed.
    pub(super) fn loss(&mut self) {
        let Some(loss) = self.plan.loss else { return };
        let u = self.units;
        self.view.has_loss = true;
        let part = format!("{} % ± {}", u.number(loss.part * 100.0, 1), u.number(loss.spread * 196.0, 1));
        self.view.loss = part.clone();
        let mut working = Working::new("loss");
        let set = &self.ask.setup;
        working.step(
            "Loss in cup and brush (95 %)",
            "(after − empty) / (full − empty)",
            format!("{} g; {} g; {} g", set.weigh_empty, set.weigh_full, set.weigh_after),
            part,
        );
        working.constant("One weighing", &BALANCE);
        if let Some(poured) = self.plan.poured {
            let sheet = poured.value.to_ml_per_m2() * (1.0 - loss.part);
            self.view.on_sheet = format!(
                "{} mL/m² on the sheet, {} as poured",
                u.figures(sheet, 3),
                u.figures(poured.value.to_ml_per_m2(), 3)
            );
            working.step("Coverage on the sheet", "as poured × (1 − loss)", "", self.view.on_sheet.clone());
        }
        self.workings.push(working);
    }

    /// What the strips say.
    pub(super) fn knee(&mut self) {
        let (strips, paper) = strips(self.ask, &mut self.notes);
        let (Some(paper), u) = (paper, self.units) else { return };
        let show = |c: Coverage| format!("{} mL/m²", u.figures(c.to_ml_per_m2(), 3));
        let field = "setup.strips";
        match knee(&strips, paper) {
            Err(KneeError::TooFew) => {}
            Err(KneeError::Falling) => self.note(Note::error(
                field,
                "A strip with more solution is less black than one with less.",
                "Check the figures; if they are right, coat and expose these strips again.",
            )),
            Ok(Knee::StillRising { most }) => self.note(Note::warning(
                field,
                format!("Black still rises at {}, the most that was tried.", show(most)),
                "Coat one more strip with half as much again.",
            )),
            Ok(Knee::AllBlack { least }) => {
                self.view.can_use_knee = true;
                self.view.knee = format!(
                    "All strips are as black as one another: {} is enough, less may be.",
                    show(least)
                );
            }
            Ok(Knee::At { coverage, half, bend, range }) => {
                self.view.can_use_knee = true;
                self.view.knee = format!(
                    "Black is full from {} ± {} on.",
                    show(coverage),
                    u.figures(half.to_ml_per_m2(), 2)
                );
                let mut working = Working::new("knee");
                working.step(
                    "Curve through the strips",
                    "D = paper + R × (1 − exp(−w / w₀))",
                    format!("{} strips; paper {}", strips.len(), u.number(paper, 2)),
                    format!("R {}; w₀ {}", u.number(range, 2), show(bend)),
                );
                working.step("Knee", "w₀ × ln(R / what may be missing)", "", show(coverage));
                working.constant("What may be missing", &MISSING);
                if self.ask.setup.strip_paper.trim().is_empty() {
                    working.constant("Bare paper", &PAPER);
                }
                self.workings.push(working);
                self.view.knee_drawing = draw(&strips, paper, bend, range, coverage);
                self.view.has_knee_drawing = true;
            }
        }
    }
}

fn draw(strips: &[Strip], paper: f64, bend: Coverage, range: f64, knee: Coverage) -> String {
    let most = strips.iter().map(|s| s.0.to_ml_per_m2()).fold(knee.to_ml_per_m2(), f64::max);
    let to = (most / 20.0).ceil() * 20.0;
    let x = Axis { name: "coverage as poured, mL/m²", from: 0.0, to, step: 20.0 };
    let y = Axis { name: "density", from: 0.0, to: 2.0, step: 0.5 };
    let mut chart = Chart::new(
        "coat-knee",
        "Black against coverage",
        "The strips, a curve through them, and the coverage from which black is full",
        x,
        y,
    );
    let at = |w: f64| (w, paper + range * (1.0 - exp(-w / bend.to_ml_per_m2())));
    let curve: Vec<(f64, f64)> = (0..=60).map(|i| at(to * f64::from(i) / 60.0)).collect();
    chart.curve(&curve, "curve");
    let knee = at(knee.to_ml_per_m2());
    chart.curve(&[(knee.0, 0.0), knee], "dash");
    for strip in strips {
        chart.dot((strip.0.to_ml_per_m2(), strip.1), "mark");
    }
    chart.finish()
}

//! What there is to say about readings and the fit made of them.

use super::doubt::{Doubt, Point};
use super::reading::{Quantity, Reading};
use super::response::{Method, Response, SMOOTHED_FROM};
use super::samples::SAME_CODE;
use crate::note::Note;
use crate::show::decimals;

/// Readings at an end of the scale below which a note asks for more.
const END_REPEATS: f64 = 4.0;
/// Spread of one reading, in L*, above which the sheet is called uneven.
const UNEVEN: f64 = 2.0;
/// Field of the tone station the notes are about.
const FIELD: &str = "readings";

impl Response {
    pub(super) fn remarks(&self, readings: &[Reading]) -> Vec<Note> {
        let mut notes = Vec::new();
        let percent = |code: f64| format!("{} %", decimals(100.0 * code, 1));
        if self.turned() {
            notes.push(Note::warning(
                FIELD,
                "The prints get darker with rising code, so the codes were turned round: 0 % became 100 %.",
                "Check that 0 % is clear film and 100 % full ink.",
            ));
        }
        let densities = readings.iter().filter(|r| r.quantity == Quantity::Density).count();
        if densities > 0 && densities < readings.len() {
            notes.push(Note::warning(
                FIELD,
format!("Densities ({densities}) and L* ({}) are mixed; they were fitted together as L*.", readings.len() - densities),
                "Read a chart with one instrument in one quantity; warm tones differ by about half an L* between the two.",
            ));
        }
        if self.method() == Method::Interpolated {
            notes.push(Note::hint(
                FIELD,
                format!(
                    "{} different ink codes: the curve is interpolated, not smoothed. From {SMOOTHED_FROM} on, scatter is told from tone.",
                    self.statistics().codes
                ),
            ));
        }
        for (missing, place, end) in [
            (self.measured().0 > SAME_CODE, self.measured().0, "Clear film (0 % ink)"),
            (self.measured().1 < 1.0 - SAME_CODE, self.measured().1, "Full ink (100 %)"),
        ] {
            if missing {
                notes.push(Note::warning(
                    FIELD,
                    format!("{end} was not read; the curve is held flat beyond {}.", percent(place)),
                    "Read that patch too: it sets an end of the scale.",
                ));
            }
        }
        if let Some(depth) = self.reversal() {
            notes.push(Note::warning(
                FIELD,
                format!(
                    "The black turns back: clear film prints {} L* lighter than {} ink. Less ink than that is not used.",
                    decimals(depth, 1),
                    percent(self.black().code)
                ),
                "Expose less, or look for bronzing in the deepest black.",
            ));
        }
        let left_out = self.flagged().iter().filter(|f| f.doubt == Doubt::LeftOut).count();
        if !self.flagged().is_empty() {
            notes.push(Note::warning(
                FIELD,
                format!("Off the curve: {}; left out: {left_out}.", self.flagged().len()),
                "Read the listed patches again; a streak or a speck in the print is best left out.",
            ));
        }
        for (end, name) in [(self.measured().0, "black"), (self.measured().1, "white")] {
            let at_end = |p: &&Point| (p.code - end).abs() <= SAME_CODE;
            if self.points().iter().filter(at_end).all(|p| p.counts <= 0.0) {
                notes.push(Note::warning(
                    FIELD,
                    format!(
                        "The only reading at {} ink was left out, so {name} is guessed from its neighbours.",
                        percent(end)
                    ),
                    "Read that patch again, more than once.",
                ));
            }
        }
        if self.statistics().sigma > UNEVEN {
            notes.push(Note::warning(
                FIELD,
                format!("One reading scatters by {} L*.", decimals(self.statistics().sigma, 1)),
                "Coat more evenly, or print the chart twice and give both readings.",
            ));
        }
        let few = [0.0, 1.0].iter().any(|&end| {
            let weight: f64 =
                self.points().iter().filter(|p| (p.code - end).abs() <= SAME_CODE).map(|p| p.weight).sum();
            weight > 0.0 && weight < END_REPEATS
        });
        if few {
            notes.push(Note::hint(
                FIELD,
                "Paper white and deepest black set the whole scale: six readings of each, from different places, halve its doubt.",
            ));
        }
        notes
    }
}

//! What a print costs, and whether the stores are enough for an edition.

use super::bottles::{amount, price_per_ml};
use super::edition::{CONFIDENCE, LEAST_YIELD, MOST, attempts};
use super::show::Page;
use super::view::{OrderRow, PaperRow};
use crate::book::{Paper, Record, TicketKind};
use crate::entry::{Range, optional, optional_count};
use crate::note::Note;
use crate::working::Working;

const MONEY: Range = Range { low: 0.0, high: 1_000_000.0 };
const GOOD: Range = Range { low: 100.0 * LEAST_YIELD, high: 100.0 };
const EDITION: Range = Range { low: 1.0, high: MOST as f64 };
/// Prints that may be cut from one sheet.
const CUT: Range = Range { low: 1.0, high: 100.0 };
/// Papers that are shown.
const PAPERS: usize = 12;
/// So many records are looked at, from the last on.
pub(super) const LOOKED_AT: usize = 200;
/// So many judged prints make a yield: older ones tell of an older hand.
const JUDGED: u32 = 50;
/// Fewer judged prints make none.
const FEWEST: u32 = 5;

/// Good prints among judged ones.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Judged {
    pub(super) good: u32,
    pub(super) all: u32,
}

/// The printer's own yield from records, last first. A picture counts once it has stars or a fault; it was good if it
/// has stars and no fault. At most [`LOOKED_AT`] records are looked at.
pub(super) fn judged<'a>(records: impl Iterator<Item = &'a Record>) -> Option<Judged> {
    let mut found = Judged { good: 0, all: 0 };
    for record in records.take(LOOKED_AT) {
        let (failed, rated) = (!record.failed.trim().is_empty(), amount(&record.rating).is_some());
        if record.ticket.kind == TicketKind::Picture && (failed || rated) {
            found.all += 1;
            found.good += u32::from(!failed);
        }
        if found.all >= JUDGED {
            break;
        }
    }
    (found.all >= FEWEST).then_some(found)
}

impl Page<'_> {
    /// The share of good prints, and whose figure it is.
    fn good(&mut self) -> Option<(f64, String)> {
        let text = &self.ask.setup.good;
        let typed = optional("setup.good", "The share of good prints", text, GOOD, &["%"], &mut self.notes);
        if !text.trim().is_empty() {
            return typed.map(|p| (p / 100.0, "typed by you".into()));
        }
        let own = judged(self.book.records().rev().map(|(_, r)| r))?;
        let share = f64::from(own.good) / f64::from(own.all);
        Some((share.max(LEAST_YIELD), format!("{} of your last {} judged prints", own.good, own.all)))
    }

    /// Cost of the mix, of an attempt, of an accepted print; and the edition.
    pub(super) fn money(&mut self) {
        let good = self.good();
        let u = self.units;
        if let Some((share, whose)) = &good {
            self.view.good = format!("{} % good prints: {whose}", u.number(share * 100.0, 0));
        }
        let attempt = self.cost(good.as_ref().map(|g| g.0));
        self.edition(attempt, good.map(|g| g.0));
    }

    /// What one attempt costs, as far as prices are known; and an accepted print, with the share of good ones.
    fn cost(&mut self, good: Option<f64>) -> Option<f64> {
        let typed = &self.ask.setup.other_cost;
        let other = optional("setup.other_cost", "The other cost", typed, MONEY, &[], &mut self.notes);
        let cut = &self.ask.setup.from_sheet;
        let cut = optional_count(
            "setup.from_sheet",
            "The number of prints from a sheet",
            cut,
            CUT,
            &mut self.notes,
        )
        .unwrap_or(1.0);
        let (mix, sheets) = (self.plan.mix?, self.plan.sheets?);
        let u = self.units;
        let (mut cost, mut priced, mut lacks) = (0.0, false, Vec::new());
        let mut working = Working::new("cost");
        for (content, volume) in mix.parts() {
            let bottle = self.shelf.chosen(self.ask, content).map(|s| s.bottle);
            let Some((bottle, price)) = bottle.and_then(|b| Some((b, price_per_ml(b)?))) else {
                lacks.push(content.name());
                continue;
            };
            priced = true;
            cost += price * volume.to_ml();
            working.step(
                &bottle.name,
                "volume × price / size",
                format!("{}; {} a mL", u.ml(volume), u.number(price, 2)),
                u.number(price * volume.to_ml(), 2),
            );
        }
        if priced {
            self.view.has_cost = true;
            self.view.cost = u.number(cost, 2);
            if !lacks.is_empty() {
                self.view.cost_lacks = format!("without {}, which has no price", lacks.join(" and "));
            }
        }
        self.papers();
        let paper = || {
            let (_, one) = self.paper()?;
            Some((amount(&one.price)? / cut, one.name.as_str()))
        };
        let (other, of) = match other {
            Some(x) => (x, "what you typed for paper, film and baths".to_owned()),
            None if !typed.trim().is_empty() => return None,
            None => match paper() {
                Some((price, name)) => (price, format!("a sheet of {name}; film and baths are not in it")),
                None => (0.0, "the mix alone; no paper in the stores has a price".into()),
            },
        };
        if !priced {
            return None;
        }
        let attempt = cost / sheets + other;
        self.view.has_attempt = true;
        self.view.attempt = u.number(attempt, 2);
        self.view.attempt_of = format!("with {of}");
        working.step(
            "One attempt",
            "mix / sheets + other",
            format!("{}; {}; {}", u.number(cost, 2), u.number(sheets, 0), u.number(other, 2)),
            u.number(attempt, 2),
        );
        if let Some(share) = good {
            self.view.has_accepted = true;
            self.view.accepted = u.number(attempt / share, 2);
            working.step(
                "One accepted print",
                "attempt / share of good prints",
                format!("{}; {} %", u.number(attempt, 2), u.number(share * 100.0, 0)),
                self.view.accepted.clone(),
            );
        }
        self.workings.push(working);
        Some(attempt)
    }

    /// The paper of the ticket: as chosen, else the first that has a price and is not used up.
    fn paper(&self) -> Option<(&str, &Paper)> {
        let chosen = self.book.papers().find(|(id, _)| *id == self.ask.paper);
        let usable = |(_, p): &(&str, &Paper)| amount(&p.price).is_some() && p.left.trim() != "0";
        chosen.or_else(|| self.book.papers().find(usable))
    }

    /// The papers of the stores, to choose from.
    fn papers(&mut self) {
        let u = self.units;
        let used = self.paper().map(|(id, _)| id);
        let row = |(id, p): (&str, &Paper)| {
            let lot = if p.lot.trim().is_empty() { String::new() } else { [", lot ", p.lot.trim()].concat() };
            let price = amount(&p.price).map(|x| [&u.number(x, 2), " a sheet"].concat());
            let left = amount(&p.left).map(|x| [&u.figures(x, 4), " left"].concat());
            PaperRow {
                name: [p.name.trim(), &lot].concat(),
                price: [price, left].into_iter().flatten().collect::<Vec<_>>().join(", "),
                chosen: used == Some(id),
                other: used != Some(id),
            }
        };
        let rows: Vec<PaperRow> = self.book.papers().take(PAPERS).map(row).collect();
        self.view.has_papers = !rows.is_empty();
        self.view.papers = rows;
    }

    fn edition(&mut self, attempt: Option<f64>, good: Option<f64>) {
        let notes = &mut self.notes;
        let wanted = super::plan::whole_or_none("edition", "The edition", &self.ask.edition, EDITION, notes);
        let (Some(wanted), u) = (wanted, self.units) else { return };
        let Some(good) = good else {
            if self.ask.setup.good.trim().is_empty() {
                self.note(Note::error(
                    "setup.good",
                    "Nobody knows yet how many of your prints are good.",
                    "Type it, or give stars and faults to five prints in the book.",
                ));
            }
            return;
        };
        #[expect(
            clippy::cast_possible_truncation,
            clippy::cast_sign_loss,
            reason = "1 to 1000, checked above"
        )]
        let Some(plan) = attempts(wanted as u32, good, CONFIDENCE.value) else { return };
        let needed = f64::from(plan.needed);
        let mut text = format!(
            "{} attempts are enough for {} good prints with {} % confidence; {} on average.",
            plan.needed,
            u.number(wanted, 0),
            u.number(CONFIDENCE.value * 100.0, 0),
            u.number(plan.expected, 0)
        );
        if let Some(attempt) = attempt {
            text.push_str(&format!(" They cost {}.", u.number(attempt * needed, 2)));
        }
        self.view.has_edition = true;
        self.view.edition_text = text;
        let mut working = Working::new("edition");
        working.sourced(
            "Attempts",
            "smallest n with Σ C(i−1, k−1) pᵏ (1−p)ⁱ⁻ᵏ, i = k … n, at the confidence",
            format!("k {}; p {}", u.number(wanted, 0), u.number(good, 2)),
            format!("{}; probability {}", plan.needed, u.number(plan.probability, 3)),
            "negative binomial distribution",
        );
        working.constant("Confidence", &CONFIDENCE);
        let (Some(mix), Some(sheets)) = (self.plan.mix, self.plan.sheets) else { return };
        for (content, volume) in mix.parts() {
            let need = volume * (needed / sheets);
            let have = self.shelf.left(content);
            let short = (need - have).to_ml();
            let order = if short > 0.005 { short.ceil() } else { 0.0 };
            working.step(
                content.name(),
                "attempts × volume for one; what is missing, to the next whole mL",
                format!("{}; {}", u.ml(volume / sheets), u.ml(have)),
                u.ml(need),
            );
            self.view.edition_rows.push(OrderRow {
                name: content.name().into(),
                need: u.ml_foretold(need),
                have: u.ml(have),
                order: if order > 0.0 { format!("{} mL", u.number(order, 0)) } else { "nothing".into() },
            });
        }
        let unknown = |c| self.shelf.row(c).iter().any(|s| s.left.is_none());
        if mix.parts().any(|(c, _)| unknown(c)) {
            self.note(Note::hint(
                "edition",
                "A bottle whose volume is not known counts as empty here. Type its size at the stores.",
            ));
        }
        self.workings.push(working);
    }

    /// Grams of each part, where a bottle's density is known, and what a balance shows when they go into one cup.
    pub(super) fn balance(&mut self) {
        let Some(mix) = self.plan.mix else { return };
        let u = self.units;
        let mut sum = Some(0.0);
        for (content, volume) in mix.parts() {
            let known = self.shelf.chosen(self.ask, content).and_then(|s| super::bottles::density(s.bottle));
            let grams = known.map(|d| d * volume.to_ml());
            sum = sum.zip(grams).map(|(a, b)| a + b);
            let Some(grams) = grams else { continue };
            let shows = sum.map_or_else(String::new, |s| format!(", balance shows {} g", u.number(s, 2)));
            if let Some(row) = self.view.parts.iter_mut().find(|r| r.name == content.name()) {
                row.grams = format!("{} g{shows}", u.number(grams, 2));
                self.view.has_grams = true;
            }
        }
    }
}

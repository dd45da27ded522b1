//! What is shown at the light.

use super::page;
use crate::fields;

/// A tone before and after a change of the exposure.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ToneRow {
    /// Which tone.
    pub tone: String,
    /// Before.
    pub before: String,
    /// After.
    pub after: String,
    /// The difference with its range.
    pub change: String,
}

fields!(out ToneRow: tone, before, after, change);

/// A strip of the plan.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct StripRow {
    /// Its number.
    pub number: String,
    /// What it gets in all.
    pub time: String,
    /// The same in seconds.
    pub seconds: String,
    /// Stops above the first.
    pub stops: String,
}

fields!(out StripRow: number, time, seconds, stops);

/// A move of the card.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct MoveRow {
    /// Time on the clock.
    pub at: String,
    /// What to do.
    pub doing: String,
    /// How long until the next, in seconds.
    pub hold: String,
}

fields!(out MoveRow: at, doing, hold);

/// What is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct View {
    /// The time on this ticket.
    pub time: String,
    /// The same in seconds.
    pub seconds: String,
    /// How it comes from the setup's.
    pub from: String,
    /// No time is known yet.
    pub unknown: bool,
    /// Something was typed that gives none.
    pub stuck: bool,
    /// A time is known.
    pub known: bool,
    /// The ticket changes the setup's time.
    pub changed: bool,
    /// The change in all three spellings.
    pub change: String,
    /// What it does to black.
    pub black: String,
    /// What it does to middle tones.
    pub middle: String,
    /// What ten percent more light does.
    pub rule: String,
    /// Where the curve behind these figures comes from.
    pub curve: String,
    /// Tones before and after.
    pub tones: Vec<ToneRow>,
    /// The question of the black patch is still open.
    pub ask_black: bool,
    /// What the judgement says.
    pub verdict: String,
    /// There is one.
    pub judged: bool,
    /// The suggested change.
    pub suggestion: String,
    /// There is one.
    pub can_take: bool,
    /// The tone station is the place to go.
    pub to_tone: bool,
    /// Strips of the plan.
    pub strips: Vec<StripRow>,
    /// Moves of the card.
    pub moves: Vec<MoveRow>,
    /// The plan as a drawing.
    pub strip_plan: String,
    /// There is a plan.
    pub has_plan: bool,
    /// How long the lamp burns for it.
    pub strip_total: String,
    /// What the found strip says.
    pub found: String,
    /// It can be taken as the setup's time.
    pub can_found: bool,
    /// What clear film holds back, by the bare strips.
    pub hold_back: String,
    /// It can be taken.
    pub can_hold_back: bool,
    /// This ticket is a time strip.
    pub for_strip: bool,
    /// Interval of the time on this ticket.
    pub interval: String,
    /// What it rests on.
    pub reason: String,
    /// What moves it and what widens it.
    pub effects: Vec<page::ticket::EffectRow>,
    /// A strip is advised.
    pub suggest_strip: String,
    /// What the printer's own prints say.
    pub learned: String,
    /// It can be put on this ticket.
    pub can_learned: bool,
    /// Own prints move the time, or would.
    pub has_own: bool,
    /// The meter does, or would.
    pub has_meter: bool,
    /// How faint light counts does, or would.
    pub has_law: bool,
    /// Any of them.
    pub can_leave: bool,
    /// All that moves the time together, in stops.
    pub sum_moves: String,
    /// All that leaves it open together, in stops.
    pub sum_open: String,
    /// The mix is not the setup's.
    pub other_mix: String,
    /// What a film that evens out the light has to do with the time.
    pub evened: String,
    /// About the step print.
    pub steps: page::steps::View,
    /// About its scan.
    pub scan: page::scan::View,
    /// About the lamp.
    pub lamp: page::lamp::View,
    /// Whether half the light takes twice the time.
    pub law: page::law::View,
    /// About evenness.
    pub even: page::even::View,
    /// About the air.
    pub air: page::air::View,
    /// What if.
    pub tools: page::tools::View,
    /// This ticket differs from its setup.
    pub differs: bool,
}

fields!(
    out View:
    time, seconds, from, unknown, stuck, known, changed, change, black, middle, rule, curve, tones,
    ask_black, verdict, judged, suggestion, can_take, to_tone, strips, moves, strip_plan, has_plan,
    strip_total, found, can_found, differs, hold_back, can_hold_back, for_strip, interval, reason, effects,
    suggest_strip, learned, can_learned, has_own, has_meter, has_law, can_leave, sum_moves, sum_open, other_mix,
    evened, steps, scan, lamp, law, even, air, tools,
);

//! What is kept of a running print.

use crate::{fields, words};

/// One running print: planned steps and what happened, by the wall clock.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lane {
    /// Identity of the ticket.
    pub ticket: String,
    /// What it is called on the screen.
    pub title: String,
    /// What the ticket strip said when the lane began: label and value.
    pub figures: Vec<(String, String)>,
    /// The planned steps, in order.
    pub steps: Vec<LaneStep>,
    /// What happened, in the order it was told; nothing is ever removed.
    pub marks: Vec<Mark>,
}

fields!(Lane: ticket, title, figures, steps, marks);

/// One planned step.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct LaneStep {
    /// Its name.
    pub name: String,
    /// Planned seconds.
    pub seconds: f64,
    /// It is the exposure.
    pub exposure: bool,
    /// It ends by itself on time: the lamp has a timer of its own.
    pub self_ending: bool,
    /// What to remember.
    pub remark: String,
    /// The dose at which it ends, in mJ/cm²; 0: it ends by time. Then `seconds` is what the meter foretold.
    pub dose: f64,
}

fields!(LaneStep: name, seconds, exposure, self_ending, remark, dose);

/// What happened in a lane.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Mark {
    /// Milliseconds since 1970, UTC.
    pub at: i64,
    /// What.
    pub kind: MarkKind,
    /// The step it is about.
    pub step: u32,
    /// An answer: for `Told`, `planned`, `now`, or the whole milliseconds it ran; for `Clock`, the whole
    /// milliseconds by which the wall clock jumped, negative if backwards; for `Meter`, the reading in mW/cm².
    pub text: String,
}

fields!(Mark: at, kind, step, text);

/// Kinds of marks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum MarkKind {
    /// The step was started.
    #[default]
    Start,
    /// The step was ended.
    End,
    /// The step was stopped before its time.
    Stop,
    /// The lane was finished.
    Finish,
    /// The lane was thrown away.
    Discard,
    /// What really happened to a step that passed its time unwatched.
    Told,
    /// The mark before was a slip; it does not count.
    Undo,
    /// The wall clock jumped.
    Clock,
    /// The meter was read.
    Meter,
}

words!(
    MarkKind:
    Start "start", End "end", Stop "stop", Finish "finish", Discard "discard", Told "told", Undo
    "undo", Clock "clock", Meter "meter",
);

impl Lane {
    /// The lane with one more mark.
    #[must_use]
    pub fn marked(&self, at: i64, kind: MarkKind, step: usize, text: impl Into<String>) -> Self {
        let mut lane = self.clone();
        let step = u32::try_from(step).unwrap_or(u32::MAX);
        lane.marks.push(Mark { at, kind, step, text: text.into() });
        lane
    }
}

//! What is kept of a running print.

use serde::{Deserialize, Serialize};

/// One running print: planned steps and what happened, by the wall clock.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Lane {
    /// Identity of the ticket.
    pub ticket: String,
    /// What it is called on the screen.
    pub title: String,
    /// The planned steps, in order.
    pub steps: Vec<LaneStep>,
    /// What happened, oldest first; nothing is ever removed.
    pub marks: Vec<Mark>,
}

/// One planned step.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct LaneStep {
    /// Its name.
    pub name: String,
    /// Planned seconds.
    pub seconds: f64,
    /// It is the exposure.
    pub exposure: bool,
}

/// What happened in a lane.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize)]
#[serde(default)]
pub struct Mark {
    /// Milliseconds since 1970, UTC.
    pub at: i64,
    /// What.
    pub kind: MarkKind,
    /// The step it is about.
    pub step: u32,
    /// A remark or an answer.
    pub text: String,
}

/// Kinds of marks.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "lowercase")]
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
    /// What really happened while the page was closed.
    Told,
}

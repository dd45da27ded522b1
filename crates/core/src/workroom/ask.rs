//! What is typed in the workroom.

use crate::fields;

/// What was typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Ask {
    /// Identity of the lane in hand; the newest if it is none that runs.
    pub hand: String,
    /// How long a step really ran: minutes.
    pub ran_minutes: String,
    /// How long a step really ran: seconds.
    pub ran_seconds: String,
    /// What the meter reads now.
    pub meter: String,
    /// The print ends here, before its last step.
    pub early: bool,
    /// One to five.
    pub rating: String,
    /// What failed, ticked.
    pub faults: Faults,
    /// What else failed.
    pub failed: String,
    /// Remarks.
    pub remarks: String,
    /// Readings of the margin strip.
    pub strip: Strip,
}

fields!(Ask: hand, ran_minutes, ran_seconds, meter, early, rating, faults, failed, remarks, strip);

/// What can fail.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Faults {
    /// Streaks of the coating.
    pub streaks: bool,
    /// Weak black.
    pub weak_black: bool,
    /// Veiled whites.
    pub veiled: bool,
    /// Spots.
    pub spots: bool,
    /// Uneven light.
    pub uneven: bool,
    /// Not sharp.
    pub soft: bool,
    /// Yellow stain.
    pub stain: bool,
}

fields!(Faults: streaks, weak_black, veiled, spots, uneven, soft, stain);

/// Readings of the margin strip, by ink.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Strip {
    /// Clear film.
    pub ink_0: String,
    /// 10 %.
    pub ink_10: String,
    /// 20 %.
    pub ink_20: String,
    /// 35 %.
    pub ink_35: String,
    /// 50 %.
    pub ink_50: String,
    /// 70 %.
    pub ink_70: String,
    /// Full ink.
    pub ink_100: String,
}

fields!(Strip: ink_0, ink_10, ink_20, ink_35, ink_50, ink_70, ink_100);

impl Strip {
    /// All seven, clear film first.
    #[must_use]
    pub fn all(&self) -> [&str; 7] {
        [&self.ink_0, &self.ink_10, &self.ink_20, &self.ink_35, &self.ink_50, &self.ink_70, &self.ink_100]
            .map(String::as_str)
    }
}

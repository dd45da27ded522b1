//! What is typed at the light.

use super::{page, paper_curve};
use crate::book::{Book, Change};
use crate::fields;
use crate::show::decimals;

/// What the setup fixes here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Preset {
    /// Time that gives black behind clear film; empty while not known.
    pub time: String,
    /// How far below the densest black still counts as black, in density.
    pub closeness: String,
    /// The lamp.
    pub lamp: String,
    /// Distance from lamp to frame.
    pub distance: String,
    /// The lamp has a timer of its own that switches it off.
    pub own_switch: bool,
    /// Kind of lamp: `tubes`, `panel`, `small`, `sun`, or empty.
    pub kind: String,
    /// Greatest size of a small lamp.
    pub size: String,
    /// Cover sheet: a word of [`super::lamp::sheet::SHEETS`], or empty.
    pub sheet: String,
    /// Hours on the lamp when the time was found.
    pub hours: String,
    /// Meter at the frame when the time was found, mW/cm².
    pub meter: String,
    /// Dose that gives black, mJ/cm²; empty: the time at the meter's reading.
    pub dose: String,
    /// Relative humidity of the air when the time was found, %.
    pub humidity: String,
    /// Meter at the moment a cold lamp is switched on, mW/cm².
    pub cold: String,
    /// Seconds after that at which it was read again.
    pub warming: String,
    /// What it read then, mW/cm².
    pub warmer: String,
    /// The lamp is cold when an exposure begins; the setup's time is one of a warm lamp.
    pub starts_cold: bool,
    /// What of own prints the time holds already ([`super::learned::Settled`]); empty: nothing.
    pub settled: String,
}

fields!(
    Preset:
    time, closeness, lamp, distance, own_switch, kind, size, sheet, hours, meter, dose, humidity, cold,
    warming, warmer, starts_cold, settled,
);

impl Default for Preset {
    fn default() -> Self {
        Self {
            time: String::new(),
            closeness: decimals(paper_curve::CLOSENESS.value, 2),
            lamp: String::new(),
            distance: String::new(),
            own_switch: false,
            kind: String::new(),
            size: String::new(),
            sheet: String::new(),
            hours: String::new(),
            meter: String::new(),
            dose: String::new(),
            humidity: String::new(),
            cold: String::new(),
            warming: "30".into(),
            warmer: String::new(),
            starts_cold: false,
            settled: String::new(),
        }
    }
}

/// What a setup knows of its light beyond the preset; all its tickets share it.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Known {
    /// Its step print.
    pub steps: page::steps::Ask,
    /// How that is read from a scan.
    pub scan: page::scan::Ask,
    /// How even its light is.
    pub even: page::even::Ask,
    /// Whether half the light takes twice the time.
    pub law: page::law::Ask,
}

fields!(Known: steps, scan, even, law);

/// What was typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// What the setup fixes, as changed on this ticket.
    pub setup: Preset,
    /// Change of the time on this ticket.
    pub change: String,
    /// `stops`, `log` or `percent`.
    pub change_unit: String,
    /// How the last print looks: `light`, `dark` or empty.
    pub looks: String,
    /// Its clear-film patch beside the reference: `same`, `weaker`, `stronger` or empty.
    pub black: String,
    /// Density of a middle patch of the margin strip on that print.
    pub patch_now: String,
    /// Density of the same patch on the reference print.
    pub patch_then: String,
    /// Number of strips.
    pub strip_count: String,
    /// Time of the first strip.
    pub strip_first: String,
    /// Stops from strip to strip.
    pub strip_step: String,
    /// `cover` or `uncover`.
    pub strip_way: String,
    /// The first strip that is as black as the next, behind clear film.
    pub strip_found: String,
    /// The same where nothing covered the paper.
    pub strip_bare: String,
    /// Ultraviolet where eyes may be, in mW/cm².
    pub level: String,
    /// Part of it that leaks out, in percent.
    pub leak: String,
    /// Risk group of the lamp by its maker: `0` to `3`, or empty.
    pub risk: String,
    /// Meter at the frame now, mW/cm².
    pub meter: String,
    /// The exposure ends at a dose, not at a time.
    pub by_dose: bool,
    /// Own prints do not move the time of this ticket. So it is on tickets written before they did so by themselves.
    pub leave_own: bool,
    /// The meter does not move it.
    pub leave_meter: bool,
    /// Half the light is taken to need twice the time, whatever prints say.
    pub leave_law: bool,
    /// Hours on the lamp now.
    pub hours: String,
    /// A distance to try.
    pub distance_to: String,
    /// A cover sheet to try.
    pub sheet_to: String,
    /// Stops by which the print is tried.
    pub what: String,
    /// Percent by which its ink is tried.
    pub what_ink: String,
    /// A tone as it is, density.
    pub tone_from: String,
    /// The tone as it should be, density.
    pub tone_to: String,
    /// The air of the room.
    pub air: page::air::Ask,
    /// The step tablet and its readings; kept with the tone of the setup.
    pub tablet: page::steps::Tablet,
    /// What the setup knows of its light.
    pub known: Known,
}

fields!(
    Ask:
    setup, change, change_unit, looks, black, patch_now, patch_then, strip_count, strip_first,
    strip_step, strip_way, strip_found, strip_bare, level, leak, risk, meter, by_dose, leave_own,
    leave_meter, leave_law, hours, distance_to, sheet_to, what, what_ink, tone_from, tone_to, air, tablet, known,
);

impl Default for Ask {
    fn default() -> Self {
        Self {
            setup: Preset::default(),
            change: String::new(),
            change_unit: "stops".into(),
            looks: String::new(),
            black: String::new(),
            patch_now: String::new(),
            patch_then: String::new(),
            strip_count: "5".into(),
            strip_first: "1:00".into(),
            strip_step: "1".into(),
            strip_way: "cover".into(),
            strip_found: String::new(),
            strip_bare: String::new(),
            level: String::new(),
            leak: String::new(),
            risk: String::new(),
            meter: String::new(),
            by_dose: false,
            leave_own: true,
            leave_meter: false,
            leave_law: false,
            hours: String::new(),
            distance_to: String::new(),
            sheet_to: String::new(),
            what: "0".into(),
            what_ink: String::new(),
            tone_from: String::new(),
            tone_to: String::new(),
            air: page::air::Ask::default(),
            tablet: page::steps::Tablet::default(),
            known: Known::default(),
        }
    }
}

impl Ask {
    /// The ask of the ticket on the desk, with what its setup and the desk hold.
    #[must_use]
    pub fn load(book: &Book) -> Self {
        let setup = book.setup();
        Self {
            tablet: page::steps::Tablet::of(&setup.tone.tablet),
            known: setup.light.clone(),
            air: book.desk().air.clone(),
            ..book.ticket().asks.light.clone()
        }
    }

    /// The change that keeps it: each part where it belongs.
    #[must_use]
    pub fn keep(self, book: &Book) -> Change {
        let Self { tablet, known, air, .. } = self.clone();
        let mut change = Change::None;
        let setup = book.setup();
        let tablet = tablet.over(&setup.tone.tablet);
        if setup.tone.tablet != tablet || setup.light != known {
            change = book.on_setup(|s| (s.tone.tablet, s.light) = (tablet, known));
        }
        if book.desk().air != air {
            change = change.and(book.on_desk(|d| d.air = air));
        }
        let own = self.own();
        if book.ticket().asks.light == own {
            change
        } else {
            change.and(book.on_ticket(|t| t.asks.light = own))
        }
    }

    /// What belongs to the ticket alone.
    #[must_use]
    pub fn own(self) -> Self {
        let bare = Self::default();
        Self { tablet: bare.tablet, known: bare.known, air: bare.air, ..self }
    }
}

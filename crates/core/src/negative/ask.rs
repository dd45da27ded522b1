//! What is typed at the negative station.

use super::drying;
use crate::constant::Constant;
use crate::entry::Range;
use crate::fields;
use crate::show::decimals;

/// Resolutions a film may have.
pub(crate) const PPI: Range = Range { low: 240.0, high: 1440.0 };
/// Film around everything.
pub(super) const BORDER_MM: Range = Range { low: 0.0, high: 100.0 };

/// What most inkjet drivers take without resampling of their own.
pub const START_PPI: Constant =
    Constant::practice(360.0, "px/in", 3, "an integer part of the head's pitch, commonly 360 or 720");

/// What the setup fixes here.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Preset {
    /// Pixels an inch that the driver takes.
    pub ppi: String,
    /// `tiff` or `png`.
    pub format: String,
    /// The margin strip is printed beside the picture.
    pub strip: bool,
    /// Full ink around the picture, so that its edge prints white.
    pub masked_border: bool,
    /// Film around everything.
    pub border: String,
    /// Width of a sheet of film.
    pub sheet_width: String,
    /// Height of a sheet of film.
    pub sheet_height: String,
    /// Film stock.
    pub stock: String,
    /// Ink.
    pub ink: String,
    /// Printer and the settings of its driver.
    pub printer: String,
    /// Ink limit set in the driver.
    pub ink_limit: String,
    /// Hours until touch-dry.
    pub touch_dry: String,
    /// Hours until fully dry.
    pub full_dry: String,
    /// More ink where the frame gets more light.
    pub even: bool,
}

fields!(
    Preset:
    ppi, format, strip, masked_border, border, sheet_width, sheet_height, stock, ink, printer,
    ink_limit, touch_dry, full_dry, even,
);

impl Default for Preset {
    fn default() -> Self {
        Self {
            ppi: decimals(START_PPI.value, 0),
            format: "tiff".into(),
            strip: true,
            masked_border: false,
            border: "6".into(),
            sheet_width: "210".into(),
            sheet_height: "297".into(),
            stock: String::new(),
            ink: String::new(),
            printer: String::new(),
            ink_limit: String::new(),
            touch_dry: decimals(drying::TOUCH_DRY.value, 0),
            full_dry: decimals(drying::FULLY_DRY.value, 0),
            even: false,
        }
    }
}

/// What was typed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Ask {
    /// What the setup fixes, as changed on this ticket.
    pub setup: Preset,
    /// Title of the picture.
    pub title: String,
    /// Width of the picture on the print.
    pub width: String,
    /// Height of the picture on the print.
    pub height: String,
    /// `whole` or `crop`.
    pub fit: String,
    /// Share of the largest possible frame, in percent.
    pub frame: String,
    /// Centre of the frame from the left, in percent of the picture.
    pub across: String,
    /// Centre of the frame from the top, in percent of the picture.
    pub down: String,
}

fields!(Ask: setup, title, width, height, fit, frame, across, down);

impl Default for Ask {
    fn default() -> Self {
        Self {
            setup: Preset::default(),
            title: String::new(),
            width: "203.2".into(),
            height: "254".into(),
            fit: "whole".into(),
            frame: "100".into(),
            across: "50".into(),
            down: "50".into(),
        }
    }
}

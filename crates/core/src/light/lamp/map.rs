//! The map of a frame's light that films are evened by, as it was taken over: levels, size, date and lamp.

use super::evenness::Grid;
use crate::constant::Constant;
use crate::fields;
use crate::light::Preset;
use crate::light::lamp::distance::LampKind;
use crate::negative::length;
use crate::quantity::Length;
use crate::show::Units;

/// Distances that differ by less are one, in mm.
const SAME: Constant = Constant::choice(0.5, "mm", 1, "what typing and other units round away");

/// A map that was taken over for films; kept with the setup, and with every film that was made by it.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Map {
    /// When it was taken over, in milliseconds since 1970; 0 for no map.
    pub made: i64,
    /// Columns of the grid.
    pub columns: u32,
    /// Levels of light, row by row from the far left corner.
    pub levels: Vec<f64>,
    /// Width of the frame, mm.
    pub width_mm: f64,
    /// Its height, mm.
    pub height_mm: f64,
    /// The lamp it was read under.
    pub lamp: Lamp,
}

fields!(Map: made, columns, levels, width_mm, height_mm, lamp);

/// What of a lamp decides where its light falls.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Lamp {
    /// Its name as typed.
    pub name: String,
    /// Its kind as in [`Preset::kind`].
    pub kind: String,
    /// Its distance from the frame, mm; 0 if not said.
    pub distance_mm: f64,
}

fields!(Lamp: name, kind, distance_mm);

impl Lamp {
    /// As a ticket has it.
    #[must_use]
    pub fn of(preset: &Preset, units: Units) -> Self {
        let range = crate::entry::Range { low: 5.0, high: 50_000.0 };
        let distance = length("", "", &preset.distance, units, range, &mut Vec::new());
        Self {
            name: preset.lamp.trim().to_owned(),
            kind: preset.kind.clone(),
            distance_mm: distance.map_or(0.0, Length::to_mm),
        }
    }

    /// Whether light falls the same way under both, as far as is said.
    #[must_use]
    pub fn same(&self, other: &Self) -> bool {
        self.name.eq_ignore_ascii_case(&other.name)
            && self.kind == other.kind
            && (self.distance_mm - other.distance_mm).abs() < SAME.value
    }

    /// In words.
    #[must_use]
    pub fn words(&self, units: Units) -> String {
        let kind = match LampKind::from_word(&self.kind) {
            Some(LampKind::Tubes) => "tubes",
            Some(LampKind::Panel) => "a panel",
            Some(LampKind::Small) => "one small lamp",
            Some(LampKind::Sun) => "the sun",
            None => "",
        };
        let distance = if self.distance_mm > 0.0 {
            units.length(Length::from_mm(self.distance_mm))
        } else {
            String::new()
        };
        let all: Vec<&str> =
            [self.name.as_str(), kind, &distance].into_iter().filter(|t| !t.is_empty()).collect();
        if all.is_empty() { "a lamp that is not named".into() } else { all.join(", ") }
    }
}

impl Map {
    /// The grid; `None` without a map, or if a file brought one that is none.
    #[must_use]
    pub fn grid(&self) -> Option<Grid> {
        let columns = usize::try_from(self.columns).ok().filter(|c| *c > 1)?;
        let side = |mm: f64| mm.is_finite() && mm > 0.0;
        if !self.levels.len().is_multiple_of(columns) || !side(self.width_mm) || !side(self.height_mm) {
            return None;
        }
        let rows: Vec<Vec<f64>> = self.levels.chunks(columns).map(<[f64]>::to_vec).collect();
        Grid::new(&rows)
    }

    /// Whether it is of this grid, frame and lamp.
    #[must_use]
    pub fn is_of(&self, grid: &Grid, (width, height): (Length, Length), lamp: &Lamp) -> bool {
        usize::try_from(self.columns) == Ok(grid.columns)
            && self.levels == grid.levels
            && (self.width_mm - width.to_mm()).abs() < SAME.value
            && (self.height_mm - height.to_mm()).abs() < SAME.value
            && self.lamp.same(lamp)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn lamps_are_told_apart_by_name_kind_and_distance() {
        let preset = |lamp: &str, kind: &str, distance: &str| Preset {
            lamp: lamp.into(),
            kind: kind.into(),
            distance: distance.into(),
            ..Preset::default()
        };
        let of = |p: &Preset| Lamp::of(p, Units::default());
        let box_ = of(&preset("Box", "tubes", "80"));
        assert!(box_.same(&of(&preset("box ", "tubes", "8 cm"))));
        for other in
            [preset("Box", "tubes", "90"), preset("Box", "panel", "80"), preset("Bench", "tubes", "80")]
        {
            assert!(!box_.same(&of(&other)), "{other:?}");
        }
        assert_eq!(box_.words(Units::default()), "Box, tubes, 80 mm");
        assert!(of(&preset("", "", "")).same(&Lamp::default()));
    }

    #[test]
    fn a_map_that_is_none_gives_no_grid() {
        let good = Map {
            made: 1,
            columns: 2,
            levels: vec![1.0; 6],
            width_mm: 300.0,
            height_mm: 400.0,
            lamp: Lamp::default(),
        };
        assert_eq!(good.grid().map(|g| g.rows()), Some(3));
        assert_eq!(Map::default().grid(), None);
        for bad in [
            Map { columns: 4, ..good.clone() },
            Map { columns: 0, ..good.clone() },
            Map { levels: vec![0.0; 6], ..good.clone() },
            Map { levels: vec![f64::NAN; 6], ..good.clone() },
            Map { width_mm: f64::INFINITY, ..good.clone() },
        ] {
            assert_eq!(bad.grid(), None, "{bad:?}");
        }
    }
}

//! In which order the patches of a regular field are counted.

/// Part of a cell's side that is read when nothing is known about gaps: the middle 60 %.
pub const INNER: f64 = 0.6;

/// The order, beginning at the upper left patch.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Order {
    /// Along the rows, each from the left.
    #[default]
    Rows,
    /// Down the columns, each from the top.
    Columns,
    /// Along the rows, every other one from the right.
    RowsToAndFro,
    /// Down the columns, every other one from the bottom.
    ColumnsToAndFro,
}

impl Order {
    /// The order of a number: 0 along the rows, 1 down the columns, 2 and 3 the same to and fro; along the rows for others.
    pub fn from_number(number: u8) -> Self {
        match number {
            1 => Self::Columns,
            2 => Self::RowsToAndFro,
            3 => Self::ColumnsToAndFro,
            _ => Self::Rows,
        }
    }

    /// Column and row of a patch, from 0, in a field of so many columns and rows (at least 1).
    pub fn place(self, columns: usize, rows: usize, patch: usize) -> (usize, usize) {
        let (columns, rows) = (columns.max(1), rows.max(1));
        match self {
            Self::Rows => (patch % columns, patch / columns),
            Self::Columns => (patch / rows, patch % rows),
            Self::RowsToAndFro => {
                let (c, r) = (patch % columns, patch / columns);
                (if r % 2 == 1 { columns - 1 - c } else { c }, r)
            }
            Self::ColumnsToAndFro => {
                let (c, r) = (patch / rows, patch % rows);
                (c, if c % 2 == 1 { rows - 1 - r } else { r })
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn places_follow_the_order() {
        let places = |number| (0..6).map(|i| Order::from_number(number).place(3, 2, i)).collect::<Vec<_>>();
        assert_eq!(places(0), [(0, 0), (1, 0), (2, 0), (0, 1), (1, 1), (2, 1)]);
        assert_eq!(places(1), [(0, 0), (0, 1), (1, 0), (1, 1), (2, 0), (2, 1)]);
        assert_eq!(places(2), [(0, 0), (1, 0), (2, 0), (2, 1), (1, 1), (0, 1)]);
        assert_eq!(places(3), [(0, 0), (0, 1), (1, 1), (1, 0), (2, 0), (2, 1)]);
    }
}

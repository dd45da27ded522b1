//! Readings of the steps of a print, as people and instruments write them: a number a step, in one line or many; columns
//! with the step's number and repeats; CGATS.

use crate::exchange::cgats;
use crate::tone::lightness;
use crate::tone::table::{self, number};

/// Readings up to which a column without more said is taken for densities.
const DENSITY_LIKE: f64 = 4.5;
/// L* that can be read.
const LIGHTEST: f64 = 105.0;
/// Columns of a CGATS file that hold the reading, the first found wins; whether they are L*.
const COLUMNS: [(&str, bool); 6] =
    [("D_VIS", false), ("D_K", false), ("D_VISUAL", false), ("VIS", false), ("LAB_L", true), ("L", true)];

/// Why a text holds no readings of steps.
#[derive(Clone, Debug, PartialEq)]
pub enum ValueError {
    /// A cell is no number.
    Cell(String),
    /// A CGATS file without a column that is known.
    Column,
    /// A value that is neither density nor L*.
    Value(f64),
    /// No numbers at all.
    Empty,
}

/// Density of each step, in the order they stand.
///
/// # Errors
/// Names the culprit.
pub fn densities(text: &str) -> Result<Vec<f64>, ValueError> {
    let (values, is_lightness) = if cgats::looks_like(text) {
        of_cgats(text)?
    } else {
        let values = of_columns(text)?;
        let dense = values.iter().all(|v| *v <= DENSITY_LIKE);
        (values, !dense)
    };
    if values.is_empty() {
        return Err(ValueError::Empty);
    }
    let sound = |v: f64| {
        if is_lightness { (0.5..=LIGHTEST).contains(&v) } else { (-0.1..=DENSITY_LIKE).contains(&v) }
    };
    if let Some(v) = values.iter().copied().find(|v| !sound(*v)) {
        return Err(ValueError::Value(v));
    }
    let density = |v: f64| if is_lightness { lightness::to_density(v).unwrap_or(DENSITY_LIKE) } else { v };
    Ok(values.into_iter().map(density).collect())
}

/// Values, and whether they are L*.
fn of_cgats(text: &str) -> Result<(Vec<f64>, bool), ValueError> {
    let file = cgats::read(text);
    for table in &file.tables {
        for (name, is_lightness) in COLUMNS {
            let Some(column) = table.columns.iter().position(|c| c == name) else { continue };
            let cell = |set: &cgats::Set| {
                let cell = set.cells.get(column).map_or("", String::as_str);
                number(cell).map_err(|_| ValueError::Cell(table::shortened(cell)))
            };
            return Ok((table.sets.iter().map(cell).collect::<Result<_, _>>()?, is_lightness));
        }
    }
    Err(ValueError::Column)
}

fn of_columns(text: &str) -> Result<Vec<f64>, ValueError> {
    let rows: Vec<Vec<String>> = table::split(text)
        .lines
        .into_iter()
        .map(|line| line.cells.into_iter().filter(|c| !c.is_empty()).collect())
        .collect();
    // A heading is no reading.
    let heading = rows.len() > 1 && rows[0].iter().all(|c| number(c).is_err());
    let numbers: Vec<Vec<f64>> = rows
        .iter()
        .skip(usize::from(heading))
        .map(|row| {
            row.iter()
                .map(|c| number(c).map_err(|_| ValueError::Cell(table::shortened(c))))
                .collect::<Result<_, _>>()
        })
        .collect::<Result<_, _>>()?;
    let counted = numbers.len() >= super::curve::FEWEST
        && numbers.iter().enumerate().all(|(i, row)| row.len() > 1 && row[0] == (i + 1) as f64);
    let same = numbers.len() >= super::curve::FEWEST
        && numbers[0].len() > 1
        && numbers.iter().all(|row| row.len() == numbers[0].len());
    if counted || same {
        let mean = |row: &Vec<f64>| {
            let own = &row[usize::from(counted)..];
            own.iter().sum::<f64>() / own.len() as f64
        };
        return Ok(numbers.iter().map(mean).collect());
    }
    Ok(numbers.concat())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn the_same_readings_in_every_spelling() {
        let want = [1.46, 1.4, 1.2, 0.9, 0.5, 0.2, 0.08];
        let comma = "1,46 1,40 1,20 0,90 0,50 0,20 0,08";
        let lines = "density\n1.46\n1.4\n1.2\n0.9\n0.5\n0.2\n0.08\n";
        let columns =
            "step;a;b\n1;1,45;1,47\n2;1,4;1,4\n3;1,2;1,2\n4;0,9;0,9\n5;0,5;0,5\n6;0,2;0,2\n7;0,08;0,08";
        let repeats = "1.45\t1.47\n1.4\t1.4\n1.2\t1.2\n0.9\t0.9\n0.5\t0.5\n0.2\t0.2\n0.08\t0.08";
        let cgats = "CGATS.17\nBEGIN_DATA_FORMAT\nSAMPLE_ID D_VIS\nEND_DATA_FORMAT\nBEGIN_DATA\n1 1.46\n2 1.4\n\
                     3 1.2\n4 0.9\n5 0.5\n6 0.2\n7 0.08\nEND_DATA\n";
        for text in [comma, lines, columns, repeats, cgats] {
            let got = densities(text).unwrap();
            assert_eq!(got.len(), 7, "{text}");
            assert!(got.iter().zip(want).all(|(a, b)| (a - b).abs() < 1e-9), "{text}: {got:?}");
        }
        let light = densities("22 30 50 70 85 90 94").unwrap();
        assert!((light[0] - 1.446).abs() < 0.01);
    }

    #[test]
    fn what_is_no_reading_is_named() {
        assert_eq!(densities("1.4 x 0.5"), Err(ValueError::Cell("x".into())));
        assert_eq!(densities(""), Err(ValueError::Empty));
        assert_eq!(densities("1.4 300 0.5"), Err(ValueError::Value(300.0)));
        let odd = "CGATS.17\nBEGIN_DATA_FORMAT\nID RGB_R\nEND_DATA_FORMAT\nBEGIN_DATA\n1 7\nEND_DATA\n";
        assert_eq!(densities(odd), Err(ValueError::Column));
    }
}

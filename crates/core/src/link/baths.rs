//! The sequence of baths in a link: six texts a bath (name, contents, strength, °C, minutes, remark), all parted by `~`.
//! The volume of a tray stays at home.

use super::values::{celsius, in_range, unprintable};
use crate::baths::Row;
use crate::book::Setup;

/// Baths that may travel.
const MOST: usize = 24;
/// Characters a text of a bath may have.
const LONGEST: usize = 80;

/// The baths of a setup.
pub(super) fn write(setup: &Setup) -> String {
    let rows = setup.presets.baths.rows.iter().take(MOST);
    let texts = rows.flat_map(|row| {
        let degrees = celsius(&row.temperature, setup.units)
            .and_then(|c| in_range(c, -20.0, 120.0))
            .unwrap_or_default();
        [fit(&row.name), fit(&row.contents), fit(&row.strength), degrees, fit(&row.minutes), fit(&row.remark)]
    });
    texts.collect::<Vec<_>>().join("~")
}

/// Puts the baths into the setup; false if they cannot be read.
pub(super) fn read(text: &str, setup: &mut Setup) -> bool {
    let texts: Vec<&str> = if text.is_empty() { vec![] } else { text.split('~').collect() };
    let (rows, rest) = texts.as_chunks::<6>();
    if !rest.is_empty() || rows.len() > MOST || texts.iter().any(|t| *t != fit(t)) {
        return false;
    }
    let mut baths = Vec::new();
    for [name, contents, strength, degrees, minutes, remark] in rows {
        let temperature = match celsius(degrees, setup.units).and_then(|c| in_range(c, -20.0, 120.0)) {
            _ if degrees.is_empty() => String::new(),
            Some(text) => text,
            None => return false,
        };
        baths.push(Row {
            name: (*name).into(),
            contents: (*contents).into(),
            strength: (*strength).into(),
            temperature,
            minutes: (*minutes).into(),
            remark: (*remark).into(),
            ..Row::default()
        });
    }
    setup.presets.baths.rows = baths;
    true
}

/// A text that can stand between two `~`.
fn fit(text: &str) -> String {
    let text: String = text.chars().filter(|c| *c != '~' && !unprintable(*c)).take(LONGEST).collect();
    text.trim().into()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn a_sequence_travels() {
        let mut setup = Setup::default();
        let bath = |name: &str, temperature: &str| Row {
            name: name.into(),
            temperature: temperature.into(),
            minutes: "2".into(),
            tray: "700".into(),
            ..Row::default()
        };
        setup.presets.baths.rows = vec![bath("Developer~", "20"), bath("Wash", "68 °F")];
        let text = write(&setup);
        assert_eq!(text, "Developer~~~20~2~~Wash~~~20~2~");
        let mut back = Setup::default();
        assert!(read(&text, &mut back));
        assert_eq!(back.presets.baths.rows.len(), 2);
        assert_eq!(write(&back), text);
        assert!(read("", &mut back) && back.presets.baths.rows.is_empty());
    }

    #[test]
    fn what_is_no_sequence_is_refused() {
        let mut setup = Setup::default();
        let many = "~".repeat(6 * (MOST + 1) - 1);
        let long = format!("{}~~~~~", "x".repeat(LONGEST + 1));
        for text in ["a", "a~b~c~d", "a~~~hot~2~", "a~~~NaN~2~", "a~~~900~2~", "a\u{7}~~~~~", &many, &long] {
            assert!(!read(text, &mut setup), "{text}");
        }
    }
}

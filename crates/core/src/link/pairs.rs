//! An aim's own pairs in a link: `0:22,50:54,100:93.5`, L* of the picture and of the print.

use crate::book::Setup;
use crate::show::significant;
use crate::tone::pairs::{MOST, Pairs};
use crate::tone::solve::pairs;

/// The pairs of a setup, or an empty text if it has none that can be read.
pub(super) fn write(setup: &Setup) -> String {
    let Ok(pairs) = pairs(&setup.tone.pairs) else { return String::new() };
    let items: Vec<String> = pairs
        .points()
        .iter()
        .map(|(picture, print)| format!("{}:{}", significant(*picture, 4), significant(*print, 4)))
        .collect();
    items.join(",")
}

/// Puts the pairs into the setup, a line each; false if they are no aim.
pub(super) fn read(text: &str, setup: &mut Setup) -> bool {
    if text.is_empty() {
        setup.tone.pairs.clear();
        return true;
    }
    let number = |text: &str| {
        let plain =
            !text.is_empty() && text.len() <= 6 && text.bytes().all(|b| b.is_ascii_digit() || b == b'.');
        text.parse::<f64>().ok().filter(|_| plain)
    };
    let items: Option<Vec<(f64, f64)>> = text
        .split(',')
        .take(MOST + 1)
        .map(|item| item.split_once(':').and_then(|(a, b)| Some((number(a)?, number(b)?))))
        .collect();
    let Some(found) = items.and_then(|items| Pairs::new(&items).ok()) else { return false };
    let lines: Vec<String> = found
        .points()
        .iter()
        .map(|(picture, print)| format!("{} {}", significant(*picture, 4), significant(*print, 4)))
        .collect();
    setup.tone.pairs = lines.join("\n");
    true
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn pairs_travel_and_others_stay_at_home() {
        let mut setup = Setup::default();
        setup.tone.pairs = "picture;print\n0;22,5\n50;54\n100;93,5\n".into();
        let text = write(&setup);
        assert_eq!(text, "0:22.5,50:54,100:93.5");
        let mut there = Setup::default();
        assert!(read(&text, &mut there));
        assert_eq!(there.tone.pairs, "0 22.5\n50 54\n100 93.5");
        assert_eq!(write(&there), text);
        for bad in ["0:1", "0:50,50:40", "0:1,x:2", "0:1,50:1e1", "0:1;50:2"] {
            assert!(!read(bad, &mut there), "{bad}");
        }
        setup.tone.pairs = "0 40\n50 20".into();
        assert_eq!(write(&setup), "");
    }
}

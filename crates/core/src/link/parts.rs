//! The parts of a recipe in a link: five texts a part (content, formula, strength, `%` or `mol`, volumes), all parted by `~`.

use super::values::{in_range, unprintable};
use crate::book::Setup;
use crate::chemistry::Formula;
use crate::coat::{Content, PartAsk};
use crate::entry;

/// Parts that may travel.
const MOST: usize = 8;
/// Characters a formula may have.
const LONGEST: usize = 40;

/// The parts of a setup.
pub(super) fn write(setup: &Setup) -> String {
    let texts = setup.presets.coat.parts.iter().take(MOST).flat_map(|p| {
        let fits = |s: &&str| s.chars().count() <= LONGEST && Formula::parse(s).is_ok();
        let salt = Some(p.salt.trim()).filter(fits).unwrap_or_default();
        let basis = if p.basis == "mol" { "mol" } else { "%" };
        [p.content.trim().to_owned(), salt.into(), number(&p.strength), basis.into(), number(&p.volumes)]
    });
    texts.collect::<Vec<_>>().join("~")
}

/// A number from 0 to 100 as it travels; empty for anything else.
fn number(text: &str) -> String {
    let typed = entry::parse(text).ok().map(|t| t.value);
    typed.and_then(|x| in_range(x, 0.0, 100.0)).unwrap_or_default()
}

/// Puts the parts into the setup; false if they cannot be read.
pub(super) fn read(text: &str, setup: &mut Setup) -> bool {
    let texts: Vec<&str> = if text.is_empty() { vec![] } else { text.split('~').collect() };
    let (rows, rest) = texts.as_chunks::<5>();
    if !rest.is_empty() || rows.len() > MOST || text.chars().any(unprintable) {
        return false;
    }
    let mut parts = Vec::new();
    for &[content, salt, strength, basis, volumes] in rows {
        let fits = Content::of(content).is_some_and(|c| c.is_main() && c.word() == content)
            && (salt.is_empty()
                || salt.chars().count() <= LONGEST && Formula::parse(salt).is_ok() && salt.trim() == salt)
            && matches!(basis, "%" | "mol")
            && [strength, volumes].iter().all(|n| number(n) == *n);
        if !fits {
            return false;
        }
        parts.push(PartAsk {
            content: content.into(),
            salt: salt.into(),
            strength: strength.into(),
            basis: if basis == "mol" { basis.into() } else { String::new() },
            volumes: volumes.into(),
        });
    }
    setup.presets.coat.parts = parts;
    true
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn parts_travel() {
        let text = "ammonium-iron~(NH4)3Fe(C2O4)3·3H2O~1.4~mol~1~palladium~~15~%~1";
        let mut setup = Setup::default();
        assert!(read(text, &mut setup));
        assert_eq!(setup.presets.coat.parts[0].basis, "mol");
        assert_eq!(write(&setup), text);
        assert!(read("", &mut setup) && setup.presets.coat.parts.is_empty());
    }

    #[test]
    fn what_are_no_parts_is_refused() {
        let mut setup = Setup::default();
        let many = ["iron~~27~%~1"; MOST + 1].join("~");
        for text in [
            "iron",
            "gold~~1~%~1",
            "stock~~1~%~1",
            "iron~Xy~1~%~1",
            "iron~~NaN~%~1",
            "iron~~1~kg~1",
            "iron~~1~%~-1",
            &many,
        ] {
            assert!(!read(text, &mut setup), "{text}");
        }
    }
}

//! What readings were made with. Two instruments, or one under two lights, give two responses: they are never mixed
//! unasked.

use crate::note::Note;

/// What is known of an instrument, by its keyword in ISO 28178 and in our words.
pub const PARTS: [(&str, &str); 7] = [
    ("INSTRUMENTATION", "instrument"),
    ("MEASUREMENT_SOURCE", "light source"),
    ("MEASUREMENT_GEOMETRY", "geometry"),
    ("SAMPLE_BACKING", "backing"),
    ("POLARIZATION", "polarization"),
    ("FILTER", "filter"),
    ("WEIGHTING_FUNCTION", "weighting"),
];

/// How readings came about.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Kind {
    /// Nobody said.
    #[default]
    Unsaid,
    /// Densitometer or spectrophotometer.
    Instrument,
    /// From a scan or a photograph.
    Scan,
    /// Compared by eye.
    Eyes,
}

impl Kind {
    const ALL: [Self; 4] = [Self::Unsaid, Self::Instrument, Self::Scan, Self::Eyes];

    /// As it is written; empty where nobody said.
    pub fn words(self) -> &'static str {
        match self {
            Self::Unsaid => "",
            Self::Instrument => "instrument",
            Self::Scan => "scan",
            Self::Eyes => "eyes",
        }
    }

    /// The kind of these words.
    pub fn from_words(words: &str) -> Self {
        Self::ALL.into_iter().find(|k| k.words().eq_ignore_ascii_case(words.trim())).unwrap_or_default()
    }
}

/// An instrument with the conditions it was used under.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Instrument {
    /// How the readings came about.
    pub kind: Kind,
    /// What is said of it, in the order of [`PARTS`]; empty where nothing is.
    pub parts: [String; PARTS.len()],
}

/// Whether two instruments are one.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Likeness {
    /// All that either says agrees.
    Same,
    /// Nothing contradicts, but these are said of one only: ask.
    Unsaid(Vec<&'static str>),
    /// These differ: refuse.
    Different(Vec<&'static str>),
}

impl Instrument {
    /// A densitometer, scanner … of this name.
    pub fn named(kind: Kind, name: &str) -> Self {
        let mut parts: [String; PARTS.len()] = Default::default();
        parts[0] = name.trim().into();
        Self { kind, parts }
    }

    /// In a few words; empty if nothing is known.
    pub fn words(&self) -> String {
        let name = self.parts[0].as_str();
        if name.is_empty() { self.kind.words().into() } else { name.into() }
    }

    /// Compares with another; case and blanks do not matter.
    pub fn likeness(&self, other: &Self) -> Likeness {
        let (mut differ, mut unsaid) = (Vec::new(), Vec::new());
        let mut compare = |a: &str, b: &str, words| {
            if !same_words(a, b) {
                let list = if a.is_empty() || b.is_empty() { &mut unsaid } else { &mut differ };
                list.push(words);
            }
        };
        compare(self.kind.words(), other.kind.words(), "way of reading");
        for ((a, b), (_, words)) in self.parts.iter().zip(&other.parts).zip(PARTS) {
            compare(a, b, words);
        }
        match (differ.is_empty(), unsaid.is_empty()) {
            (false, _) => Likeness::Different(differ),
            (true, false) => Likeness::Unsaid(unsaid),
            (true, true) => Likeness::Same,
        }
    }
}

fn same_words(a: &str, b: &str) -> bool {
    let mut b = b.split_whitespace();
    a.split_whitespace().all(|a| b.next().is_some_and(|b| a.eq_ignore_ascii_case(b))) && b.next().is_none()
}

/// What stands against taking these together: an error if two differ, a warning if that cannot be told, else nothing.
pub fn mixing(field: &str, all: &[&Instrument]) -> Option<Note> {
    let mut doubt = None;
    for (i, a) in all.iter().enumerate() {
        for b in &all[..i] {
            match a.likeness(b) {
                Likeness::Same => {}
                Likeness::Different(what) => {
                    return Some(Note::error(
                        field,
                        format!(
                            "Readings of two kinds are not taken together; they differ in: {}.",
                            list(&what)
                        ),
                        "Read all patches with one instrument in one way, or make a setup for each.",
                    ));
                }
                Likeness::Unsaid(what) => doubt = Some(what),
            }
        }
    }
    doubt.map(|what| {
        Note::warning(
            field,
            format!("Whether these readings are of one kind cannot be told; only some say: {}.", list(&what)),
            "Say whether they were all read with one instrument in one way.",
        )
    })
}

fn list(words: &[&str]) -> String {
    words.join(", ")
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::note::Severity;
    use crate::testing::test;

    #[test]
    fn instruments_are_told_apart() {
        let a = Instrument::named(Kind::Instrument, "Densitometer 1");
        let b = Instrument::named(Kind::Instrument, " densitometer  1 ");
        let mut polarised = a.clone();
        polarised.parts[4] = "yes".into();
        let scan = Instrument::named(Kind::Scan, "flatbed");
        assert_eq!(a.likeness(&b), Likeness::Same);
        assert_eq!(a.likeness(&polarised), Likeness::Unsaid(vec!["polarization"]));
        assert_eq!(a.likeness(&scan), Likeness::Different(vec!["way of reading", "instrument"]));
        assert_eq!(mixing("readings", &[&a, &b]), None);
        assert_eq!(mixing("readings", &[&a, &b, &scan]).unwrap().severity, Severity::Error);
        let note = mixing("readings", &[&a, &Instrument::default()]).unwrap();
        assert_eq!(note.severity, Severity::Warning);
        assert!(note.text.ends_with("only some say: way of reading, instrument."), "{}", note.text);
    }

    #[test]
    fn kinds_go_round() {
        for kind in Kind::ALL {
            assert_eq!(Kind::from_words(kind.words()), kind);
        }
        assert_eq!(Kind::from_words("whatever"), Kind::Unsaid);
    }
}

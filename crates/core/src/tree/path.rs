//! Dotted names that lead through a tree: `parts.2.volume`.

use super::Tree;

impl Tree {
    /// What lies under a dotted name; rows by their number.
    #[must_use]
    pub fn at(&self, path: &str) -> Option<&Self> {
        path.split('.').try_fold(self, |place, part| match place {
            Self::Map(pairs) => pairs.iter().find(|(name, _)| name == part).map(|(_, value)| value),
            Self::List(rows) => rows.get(part.parse::<usize>().ok()?),
            _ => None,
        })
    }

    /// Puts a value in place of the one under a dotted name. A name that leads nowhere changes nothing: fields are fixed
    /// by the types, and rows are made and removed by buttons only.
    pub fn put(&mut self, path: &str, value: Self) {
        let place = path.split('.').try_fold(self, |place, part| match place {
            Self::Map(pairs) => pairs.iter_mut().find(|(name, _)| name == part).map(|(_, value)| value),
            Self::List(rows) => rows.get_mut(part.parse::<usize>().ok()?),
            _ => None,
        });
        if let Some(place) = place {
            *place = value;
        }
    }

    /// How many rows lie under a dotted name; `None` if there is no list.
    #[must_use]
    pub fn rows(&self, path: &str) -> Option<usize> {
        match self.at(path)? {
            Self::List(rows) => Some(rows.len()),
            _ => None,
        }
    }

    /// Text as an output shows it: texts and numbers as they are, everything else as nothing.
    #[must_use]
    pub fn shown(&self) -> String {
        match self {
            Self::Text(Some(text)) => text.clone(),
            Self::Whole(n) => n.to_string(),
            Self::Number(x) => written(*x),
            _ => String::new(),
        }
    }

    /// Whether there is anything to show: a tick, a text that is not empty, a number that is not zero.
    #[must_use]
    pub fn says_something(&self) -> bool {
        match self {
            Self::Bool(on) => *on,
            Self::Text(Some(text)) => !text.is_empty(),
            Self::Whole(n) => *n != 0,
            Self::Number(x) => *x != 0.0,
            Self::List(_) | Self::Map(_) => true,
            Self::Null | Self::Text(None) | Self::Bad(_) => false,
        }
    }
}

/// A number with as few digits as tell it from all others.
#[inline(never)] // the first look of the page shows none
fn written(x: f64) -> String {
    x.to_string()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    fn text(text: &str) -> Tree {
        Tree::Text(Some(text.into()))
    }

    fn tree() -> Tree {
        let row = |n| Tree::Map(vec![("volume".into(), text(n))]);
        Tree::Map(vec![
            ("parts".into(), Tree::List(vec![row("a"), row("b")])),
            ("on".into(), Tree::Bool(true)),
        ])
    }

    #[test]
    fn names_lead_to_what_lies_there() {
        let tree = tree();
        assert_eq!(tree.at("parts.1.volume"), Some(&text("b")));
        assert_eq!(tree.rows("parts"), Some(2));
        for nowhere in ["", "parts.2.volume", "parts.x", "parts.-1", "on.x", "parts.0.volume.x"] {
            assert_eq!(tree.at(nowhere), None, "{nowhere}");
            assert_eq!(tree.rows(nowhere), None, "{nowhere}");
        }
    }

    #[test]
    fn a_value_is_put_only_where_one_lies() {
        let mut changed = tree();
        changed.put("parts.0.volume", text("2"));
        assert_eq!(changed.at("parts.0.volume"), Some(&text("2")));
        let mut same = tree();
        for nowhere in ["", "parts.2", "parts.2.volume", "new", "parts.0.new", "on.x"] {
            same.put(nowhere, Tree::Null);
        }
        assert_eq!(same, tree());
    }

    #[test]
    fn what_is_shown() {
        assert_eq!(Tree::Number(2.5).shown(), "2.5");
        assert_eq!(Tree::Whole(3).shown(), "3");
        assert_eq!(Tree::Bool(true).shown(), "");
        assert!(text("x").says_something() && !text("").says_something());
        assert!(Tree::Bool(true).says_something() && !Tree::Whole(0).says_something());
    }
}

//! Two changes of the same value, made at the same time, laid together field by field.

use super::Tree;

/// What both sides made of `base`. Where only one side changed something, its change stands; where both did, ours does,
/// and the answer says so. Lists of the same length are laid together place by place, others are one value.
pub(crate) fn merge(base: &Tree, ours: Tree, theirs: Tree) -> (Tree, bool) {
    if *base == ours || ours == theirs {
        return (theirs, false);
    }
    if *base == theirs {
        return (ours, false);
    }
    match (base, ours, theirs) {
        (Tree::Map(base), Tree::Map(ours), Tree::Map(mut theirs)) => {
            let mut clash = false;
            let mut merged = Vec::with_capacity(ours.len());
            for (name, our) in ours {
                let their = theirs.iter().position(|(n, _)| *n == name).map(|i| theirs.remove(i).1);
                let was = base.iter().find(|(n, _)| *n == name).map_or(&Tree::Null, |(_, v)| v);
                let (value, met) = merge(was, our, their.unwrap_or(Tree::Null));
                clash |= met;
                merged.push((name, value));
            }
            merged.extend(theirs);
            (Tree::Map(merged), clash)
        }
        (Tree::List(base), Tree::List(ours), Tree::List(theirs))
            if base.len() == ours.len() && ours.len() == theirs.len() =>
        {
            let both = base.iter().zip(ours).zip(theirs).map(|((was, our), their)| merge(was, our, their));
            let (merged, met): (Vec<_>, Vec<_>) = both.unzip();
            (Tree::List(merged), met.contains(&true))
        }
        (_, ours, _) => (ours, true),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test; // the compiler's own #[test] natively, the wasm runner's as wasm

    fn map(pairs: &[(&'static str, Tree)]) -> Tree {
        Tree::Map(pairs.iter().map(|(name, value)| ((*name).into(), value.clone())).collect())
    }

    fn text(text: &str) -> Tree {
        Tree::Text(Some(text.into()))
    }

    fn sheet(title: &str, width: &str, baths: &[&str]) -> Tree {
        let baths = Tree::List(baths.iter().map(|bath| map(&[("name", text(bath))])).collect());
        map(&[("title", text(title)), ("asks", map(&[("width", text(width)), ("baths", baths)]))])
    }

    #[test]
    fn what_one_side_changed_stands() {
        let base = sheet("", "254", &["developer", "wash"]);
        let ours = sheet("Slipway", "254", &["developer", "rinse"]);
        let theirs = sheet("", "190", &["oxalate", "wash"]);
        let both = sheet("Slipway", "190", &["oxalate", "rinse"]);
        assert_eq!(merge(&base, ours.clone(), theirs.clone()), (both.clone(), false));
        assert_eq!(merge(&base, theirs, ours), (both, false), "either way round");
    }

    #[test]
    fn where_both_changed_ours_stands_and_it_is_said() {
        let base = sheet("", "254", &["developer"]);
        let (ours, theirs) = (sheet("North", "254", &["developer"]), sheet("South", "190", &["developer"]));
        assert_eq!(merge(&base, ours, theirs), (sheet("North", "190", &["developer"]), true));
        let (longer, other) = (sheet("", "254", &["developer", "wash"]), sheet("", "254", &["oxalate"]));
        assert_eq!(merge(&base, longer.clone(), other), (longer, true));
    }

    #[test]
    fn a_side_that_changed_nothing_changes_nothing() {
        let (base, other) = (sheet("", "254", &["developer"]), sheet("North", "190", &[]));
        assert_eq!(merge(&base, base.clone(), other.clone()), (other.clone(), false));
        assert_eq!(merge(&base, other.clone(), base.clone()), (other.clone(), false));
        assert_eq!(merge(&base, other.clone(), other.clone()), (other, false));
    }
}

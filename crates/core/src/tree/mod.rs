//! Plain data without a type: what the store keeps, what a book file says, what a station's page holds.
//!
//! Everything that comes in is read in two steps: to a tree, which is checked for size and depth but not for meaning,
//! and from the tree to the type. In between an old schema can be lifted, what is typed on the page can be laid over
//! what is kept, and an object of a kind this build does not know costs that object, not the book. What goes out takes
//! the same two steps. Types say by [`fields!`](crate::fields) and [`words!`](crate::words) how they lie in a tree:
//! lists of names with one reader and one writer behind them, where derived code would cost the page's module a quarter
//! of its size.

mod merge;
mod path;
mod shape;

use core::fmt;
use std::borrow::Cow;

use serde::de::{DeserializeSeed, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, Serialize, Serializer};

pub(crate) use merge::merge;
pub use shape::{FromTree, Mismatch, ToTree, from_tree};
#[doc(hidden)]
pub use shape::{read_fields, read_word, write_fields};

/// Levels of nesting that are read; a book needs seven. Deeper ones would exhaust the small stack of wasm.
const DEEPEST: u8 = 48;

/// Characters that one text may have; a pasted spreadsheet of readings stays far below.
pub(crate) const LONGEST: usize = 1_000_000;

/// A value of a document.
#[derive(Clone, Debug, PartialEq)]
pub enum Tree {
    /// Nothing.
    Null,
    /// Yes or no.
    Bool(bool),
    /// A whole number.
    Whole(i64),
    /// A finite number.
    Number(f64),
    /// A text, or `None` where it was longer than [`LONGEST`].
    Text(Option<String>),
    /// A list.
    List(Vec<Self>),
    /// Named values in their order.
    Map(Vec<(Cow<'static, str>, Self)>),
    /// What cannot be held: too deep, or a number that is not finite.
    Bad(&'static str),
}

impl Tree {
    /// The value of that name, if this is a map that has it.
    pub(crate) fn get(&self, name: &str) -> Option<&Self> {
        match self {
            Self::Map(pairs) => pairs.iter().find(|(n, _)| n == name).map(|(_, v)| v),
            _ => None,
        }
    }

    /// Takes the value of that name out of a map.
    pub(crate) fn take(&mut self, name: &str) -> Option<Self> {
        match self {
            Self::Map(pairs) => {
                pairs.iter_mut().find(|(n, _)| n == name).map(|(_, v)| core::mem::replace(v, Self::Null))
            }
            _ => None,
        }
    }

    /// The text, if it is one.
    pub(crate) fn text(&self) -> Option<&str> {
        match self {
            Self::Text(text) => text.as_deref(),
            _ => None,
        }
    }

    /// The whole number, if it is one.
    pub(crate) fn whole(&self) -> Option<i64> {
        match self {
            Self::Whole(n) => Some(*n),
            _ => None,
        }
    }
}

impl<'de> Deserialize<'de> for Tree {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Depth(0).deserialize(deserializer)
    }
}

/// Reads a tree that stands so many levels deep.
#[derive(Clone, Copy)]
struct Depth(u8);

impl<'de> DeserializeSeed<'de> for Depth {
    type Value = Tree;
    fn deserialize<D: Deserializer<'de>>(self, deserializer: D) -> Result<Tree, D::Error> {
        if self.0 > DEEPEST {
            serde::de::IgnoredAny::deserialize(deserializer)?;
            return Ok(Tree::Bad("it is nested too deep"));
        }
        deserializer.deserialize_any(self)
    }
}

impl<'de> Visitor<'de> for Depth {
    type Value = Tree;
    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a value")
    }
    fn visit_unit<E>(self) -> Result<Tree, E> {
        Ok(Tree::Null)
    }
    fn visit_none<E>(self) -> Result<Tree, E> {
        Ok(Tree::Null)
    }
    fn visit_some<D: Deserializer<'de>>(self, deserializer: D) -> Result<Tree, D::Error> {
        self.deserialize(deserializer)
    }
    fn visit_bool<E>(self, x: bool) -> Result<Tree, E> {
        Ok(Tree::Bool(x))
    }
    fn visit_i64<E>(self, x: i64) -> Result<Tree, E> {
        Ok(Tree::Whole(x))
    }
    fn visit_u64<E>(self, x: u64) -> Result<Tree, E> {
        Ok(i64::try_from(x).map_or(Tree::Bad("a number is too large"), Tree::Whole))
    }
    fn visit_f64<E>(self, x: f64) -> Result<Tree, E> {
        Ok(if x.is_finite() { Tree::Number(x) } else { Tree::Bad("a number is too large") })
    }
    fn visit_str<E>(self, x: &str) -> Result<Tree, E> {
        Ok(Tree::Text((x.len() <= LONGEST).then(|| x.to_owned())))
    }
    fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Tree, A::Error> {
        let mut list = Vec::new();
        while let Some(one) = seq.next_element_seed(Self(self.0 + 1))? {
            list.push(one);
        }
        Ok(Tree::List(list))
    }
    fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Tree, A::Error> {
        let mut pairs = Vec::new();
        while let Some(name) = map.next_key::<String>()? {
            pairs.push((Cow::Owned(name), map.next_value_seed(Self(self.0 + 1))?));
        }
        Ok(Tree::Map(pairs))
    }
}

impl Serialize for Tree {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self {
            Self::Null | Self::Text(None) | Self::Bad(_) => serializer.serialize_unit(),
            Self::Bool(x) => serializer.serialize_bool(*x),
            Self::Whole(x) => serializer.serialize_i64(*x),
            Self::Number(x) => serializer.serialize_f64(*x),
            Self::Text(Some(x)) => serializer.serialize_str(x),
            Self::List(list) => serializer.collect_seq(list),
            Self::Map(pairs) => serializer.collect_map(pairs.iter().map(|(name, value)| (name, value))),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn a_tree_reads_back_as_what_it_was() {
        let text = r#"{"a":[1,-2.5,true,null,"x"],"b":{"c":{}}}"#;
        let tree: Tree = serde_json::from_str(text).unwrap();
        let value = serde_json::to_value(tree).unwrap();
        assert_eq!(value, serde_json::from_str::<serde_json::Value>(text).unwrap());
    }

    #[test]
    fn depth_and_length_are_limited() {
        let deep = format!("{}{}", "[".repeat(100), "]".repeat(100));
        let mut tree: Tree = serde_json::from_str(&deep).unwrap();
        let mut depth = 0;
        while let Tree::List(mut list) = tree {
            tree = list.pop().unwrap();
            depth += 1;
        }
        assert_eq!((depth, tree), (49, Tree::Bad("it is nested too deep")));
        let long = serde_json::to_string(&"x".repeat(LONGEST + 1)).unwrap();
        assert_eq!(serde_json::from_str::<Tree>(&long).unwrap(), Tree::Text(None));
    }
}

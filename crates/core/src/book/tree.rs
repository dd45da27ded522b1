//! A document of unknown shape, as it comes out of a file: checked for size and depth, not yet for meaning.
//!
//! A book file is read in two steps: text to tree, tree to objects. In between an old schema can be lifted, and an
//! object of a kind this build does not know costs that object, not the book.

use core::fmt;

use serde::de::value::{MapAccessDeserializer, MapDeserializer, SeqDeserializer};
use serde::de::{DeserializeSeed, IntoDeserializer, MapAccess, SeqAccess, Visitor};
use serde::{Deserialize, Deserializer, forward_to_deserialize_any};

/// Levels of nesting that are read; a book needs seven. Deeper ones would exhaust the small stack of wasm.
const DEEPEST: u8 = 48;

/// Characters that one text may have; a pasted spreadsheet of readings stays far below.
pub(super) const LONGEST: usize = 1_000_000;

/// A value of a document.
#[derive(Clone, Debug, PartialEq)]
pub(super) enum Tree {
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
    Map(Vec<(String, Self)>),
    /// What cannot be held: too deep, or a number that is not finite.
    Bad(&'static str),
}

impl Tree {
    /// The value of that name, if this is a map that has it.
    pub(super) fn get(&self, name: &str) -> Option<&Self> {
        match self {
            Self::Map(pairs) => pairs.iter().find(|(n, _)| n == name).map(|(_, v)| v),
            _ => None,
        }
    }

    /// Takes the value of that name out of a map.
    pub(super) fn take(&mut self, name: &str) -> Option<Self> {
        match self {
            Self::Map(pairs) => {
                pairs.iter_mut().find(|(n, _)| n == name).map(|(_, v)| core::mem::replace(v, Self::Null))
            }
            _ => None,
        }
    }

    /// The text, if it is one.
    pub(super) fn text(&self) -> Option<&str> {
        match self {
            Self::Text(text) => text.as_deref(),
            _ => None,
        }
    }

    /// The whole number, if it is one.
    pub(super) fn whole(&self) -> Option<i64> {
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
            pairs.push((name, map.next_value_seed(Self(self.0 + 1))?));
        }
        Ok(Tree::Map(pairs))
    }
}

/// Why a tree is not what it should be, in the words of serde.
pub(super) type Mismatch = serde::de::value::Error;

impl<'de> IntoDeserializer<'de, Mismatch> for Tree {
    type Deserializer = Self;
    fn into_deserializer(self) -> Self {
        self
    }
}

impl<'de> Deserializer<'de> for Tree {
    type Error = Mismatch;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mismatch> {
        match self {
            Self::Null => visitor.visit_unit(),
            Self::Bool(x) => visitor.visit_bool(x),
            Self::Whole(x) => visitor.visit_i64(x),
            Self::Number(x) => visitor.visit_f64(x),
            Self::Text(Some(x)) => visitor.visit_string(x),
            Self::Text(None) => Err(serde::de::Error::custom("a text is too long")),
            Self::List(list) => visitor.visit_seq(SeqDeserializer::new(list.into_iter())),
            Self::Map(pairs) => visitor.visit_map(MapDeserializer::new(pairs.into_iter())),
            Self::Bad(why) => Err(serde::de::Error::custom(why)),
        }
    }

    fn deserialize_option<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mismatch> {
        match self {
            Self::Null => visitor.visit_none(),
            some => visitor.visit_some(some),
        }
    }

    fn deserialize_newtype_struct<V: Visitor<'de>>(
        self,
        _name: &'static str,
        visitor: V,
    ) -> Result<V::Value, Mismatch> {
        visitor.visit_newtype_struct(self)
    }

    fn deserialize_enum<V: Visitor<'de>>(
        self,
        _name: &'static str,
        _variants: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Mismatch> {
        match self {
            Self::Text(Some(word)) => visitor.visit_enum(word.into_deserializer()),
            Self::Map(pairs) => {
                visitor.visit_enum(MapAccessDeserializer::new(MapDeserializer::new(pairs.into_iter())))
            }
            other => other.deserialize_any(visitor),
        }
    }

    forward_to_deserialize_any! {
        bool i8 i16 i32 i64 i128 u8 u16 u32 u64 u128 f32 f64 char str string bytes byte_buf unit unit_struct
        seq tuple tuple_struct map struct identifier ignored_any
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
        let value = serde_json::Value::deserialize(tree).unwrap();
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

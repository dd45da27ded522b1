//! A document of unknown shape, as it comes out of a file: checked for size and depth, not yet for meaning.
//!
//! A book file is read in two steps: text to tree, tree to objects. In between an old schema can be lifted, and an
//! object of a kind this build does not know costs that object, not the book.

use core::fmt;

use serde::de::value::{MapAccessDeserializer, MapDeserializer, SeqDeserializer};
use serde::de::{DeserializeSeed, Expected, IntoDeserializer, MapAccess, SeqAccess, Unexpected, Visitor};
use serde::{Deserialize, Deserializer, forward_to_deserialize_any};

/// Levels of nesting that are read; a book needs seven. Deeper ones would exhaust the small stack of wasm.
const DEEPEST: u8 = 48;

/// Characters that one text may have; a pasted spreadsheet of readings stays far below.
pub(super) const LONGEST: usize = 1_000_000;

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

impl Tree {
    /// The data that this tree holds.
    ///
    /// # Errors
    /// Where the tree is not of that shape, in the words of serde.
    pub fn into_data<T: serde::de::DeserializeOwned>(self) -> Result<T, String> {
        T::deserialize(self).map_err(|error| error.to_string())
    }

    /// What stands here instead of what was wanted.
    fn other(&self, wanted: &dyn Expected) -> Mismatch {
        let found = match self {
            Self::Null => Unexpected::Unit,
            Self::Bool(x) => Unexpected::Bool(*x),
            Self::Whole(x) => Unexpected::Signed(*x),
            Self::Number(x) => Unexpected::Float(*x),
            Self::Text(Some(x)) => Unexpected::Str(x),
            Self::Text(None) => return serde::de::Error::custom("a text is too long"),
            Self::List(_) => Unexpected::Seq,
            Self::Map(_) => Unexpected::Map,
            Self::Bad(why) => return serde::de::Error::custom(why),
        };
        serde::de::Error::invalid_type(found, wanted)
    }
}

impl<'de> IntoDeserializer<'de, Mismatch> for Tree {
    type Deserializer = Self;
    fn into_deserializer(self) -> Self {
        self
    }
}

/// Each kind of data is read from the one shape it is written in, and from no other: so a structure costs the module the
/// reading of named fields only, once.
impl<'de> Deserializer<'de> for Tree {
    type Error = Mismatch;

    fn deserialize_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mismatch> {
        match self {
            Self::Null => visitor.visit_unit(),
            Self::Bool(x) => visitor.visit_bool(x),
            Self::Whole(x) => visitor.visit_i64(x),
            Self::Number(x) => visitor.visit_f64(x),
            Self::Text(Some(x)) => visitor.visit_string(x),
            Self::List(list) => visitor.visit_seq(SeqDeserializer::new(list.into_iter())),
            Self::Map(pairs) => visitor.visit_map(MapDeserializer::new(pairs.into_iter())),
            Self::Text(None) | Self::Bad(_) => Err(self.other(&visitor)),
        }
    }

    fn deserialize_bool<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mismatch> {
        match self {
            Self::Bool(x) => visitor.visit_bool(x),
            other => Err(other.other(&visitor)),
        }
    }

    fn deserialize_f64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mismatch> {
        match self {
            Self::Number(x) => visitor.visit_f64(x),
            Self::Whole(x) => visitor.visit_i64(x),
            other => Err(other.other(&visitor)),
        }
    }

    fn deserialize_i64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mismatch> {
        self.deserialize_f64(visitor)
    }

    fn deserialize_u64<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mismatch> {
        self.deserialize_f64(visitor)
    }

    fn deserialize_string<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mismatch> {
        match self {
            Self::Text(Some(x)) => visitor.visit_string(x),
            other => Err(other.other(&visitor)),
        }
    }

    fn deserialize_str<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mismatch> {
        self.deserialize_string(visitor)
    }

    fn deserialize_identifier<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mismatch> {
        self.deserialize_string(visitor)
    }

    fn deserialize_seq<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mismatch> {
        match self {
            Self::List(list) => visitor.visit_seq(SeqDeserializer::new(list.into_iter())),
            other => Err(other.other(&visitor)),
        }
    }

    fn deserialize_map<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mismatch> {
        match self {
            Self::Map(pairs) => visitor.visit_map(MapDeserializer::new(pairs.into_iter())),
            other => Err(other.other(&visitor)),
        }
    }

    fn deserialize_struct<V: Visitor<'de>>(
        self,
        _name: &'static str,
        _fields: &'static [&'static str],
        visitor: V,
    ) -> Result<V::Value, Mismatch> {
        self.deserialize_map(visitor)
    }

    fn deserialize_ignored_any<V: Visitor<'de>>(self, visitor: V) -> Result<V::Value, Mismatch> {
        visitor.visit_unit()
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
            other => Err(other.other(&visitor)),
        }
    }

    forward_to_deserialize_any! {
        i8 i16 i32 i128 u8 u16 u32 u128 f32 char bytes byte_buf unit unit_struct tuple tuple_struct
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

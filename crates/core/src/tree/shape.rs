//! How types lie in a tree.

use core::fmt;

use super::Tree;

/// Data that can be laid out as a tree.
pub trait ToTree {
    /// The tree.
    fn to_tree(&self) -> Tree;
}

/// Data that can be read from a tree. A field that is not named in the tree stays as it is, so that what an older build
/// wrote opens with today's defaults; names that this build does not know are passed over.
pub trait FromTree: ToTree {
    /// Takes over what the tree says.
    ///
    /// # Errors
    /// Something in the tree has another shape. What was taken over before it stays.
    fn take_tree(&mut self, tree: Tree) -> Result<(), Mismatch>;
}

/// What a tree says, over the defaults of its type.
///
/// # Errors
/// As [`FromTree::take_tree`].
pub fn from_tree<T: FromTree + Default>(tree: Tree) -> Result<T, Mismatch> {
    let mut data = T::default();
    data.take_tree(tree)?;
    Ok(data)
}

/// A tree that is not of the shape that was wanted: where, what was wanted, what is there.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Mismatch {
    path: String,
    wanted: &'static str,
    found: &'static str,
}

impl Mismatch {
    /// At the root of this tree.
    #[must_use]
    pub fn new(wanted: &'static str, found: &Tree) -> Self {
        let found = match found {
            Tree::Null => "nothing",
            Tree::Bool(_) => "a yes or no",
            Tree::Whole(_) => "a whole number",
            Tree::Number(_) => "a number",
            Tree::Text(Some(_)) => "a text",
            Tree::Text(None) => "a text that is too long",
            Tree::List(_) => "a list",
            Tree::Map(_) => "named values",
            Tree::Bad(why) => why,
        };
        Self { path: String::new(), wanted, found }
    }

    /// The same, one step further up.
    #[must_use]
    fn below(mut self, step: &str) -> Self {
        if !self.path.is_empty() {
            self.path.insert(0, '.');
        }
        self.path.insert_str(0, step);
        self
    }
}

impl fmt::Display for Mismatch {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        if !self.path.is_empty() {
            write!(f, "{}: ", self.path)?;
        }
        write!(f, "{} instead of {}", self.found, self.wanted)
    }
}

/// The tree of a structure.
#[doc(hidden)]
#[must_use]
pub fn write_fields(names: &'static [&'static str], fields: &[&dyn ToTree]) -> Tree {
    Tree::Map(names.iter().zip(fields).map(|(name, field)| ((*name).into(), field.to_tree())).collect())
}

/// A structure from its tree.
#[doc(hidden)]
pub fn read_fields(
    names: &'static [&'static str],
    fields: &mut [&mut dyn FromTree],
    tree: Tree,
) -> Result<(), Mismatch> {
    let Tree::Map(pairs) = tree else { return Err(Mismatch::new("named values", &tree)) };
    for (name, value) in pairs {
        if let Some(i) = names.iter().position(|n| *n == name) {
            fields[i].take_tree(value).map_err(|m| m.below(names[i]))?;
        }
    }
    Ok(())
}

/// Which of some words a tree says.
#[doc(hidden)]
pub fn read_word(words: &'static [&'static str], tree: &Tree) -> Result<usize, Mismatch> {
    let found = tree.text().and_then(|text| words.iter().position(|w| *w == text));
    found.ok_or_else(|| match tree {
        Tree::Text(Some(_)) => {
            Mismatch { path: String::new(), wanted: "a word that is known", found: "another" }
        }
        other => Mismatch::new("a word", other),
    })
}

/// Lays a structure out by its fields: `fields!(Lane: ticket, title, steps);`, or `fields!(out View: …);` for one that
/// is only shown. Every field must be named (the compiler sees to it), and each stands in the tree by its own name.
///
/// The structure must be `Default`, and its fields [`FromTree`] ([`ToTree`] if only shown). Formats of serde are served
/// through the tree.
#[macro_export]
macro_rules! fields {
    (out $Type:ty: $($field:ident),+ $(,)?) => {
        impl $crate::tree::ToTree for $Type {
            fn to_tree(&self) -> $crate::tree::Tree {
                let Self { $($field),+ } = self;
                $crate::tree::write_fields(&[$(stringify!($field)),+], &[$($field as &dyn $crate::tree::ToTree),+])
            }
        }

        impl ::serde::Serialize for $Type {
            fn serialize<S: ::serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                ::serde::Serialize::serialize(&$crate::tree::ToTree::to_tree(self), serializer)
            }
        }
    };
    ($Type:ty: $($field:ident),+ $(,)?) => {
        $crate::fields!(out $Type: $($field),+);

        impl $crate::tree::FromTree for $Type {
            fn take_tree(&mut self, tree: $crate::tree::Tree) -> Result<(), $crate::tree::Mismatch> {
                let Self { $($field),+ } = self;
                $crate::tree::read_fields(
                    &[$(stringify!($field)),+],
                    &mut [$($field as &mut dyn $crate::tree::FromTree),+],
                    tree,
                )
            }
        }

        impl<'de> ::serde::Deserialize<'de> for $Type {
            fn deserialize<D: ::serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let tree = <$crate::tree::Tree as ::serde::Deserialize>::deserialize(deserializer)?;
                $crate::tree::from_tree(tree).map_err(::serde::de::Error::custom)
            }
        }
    };
}

/// Lays an enumeration out by words: `words!(LengthUnit: Mm "mm", Inch "inch");`. Every variant must be named.
#[macro_export]
macro_rules! words {
    ($Type:ident: $($Variant:ident $word:literal),+ $(,)?) => {
        impl $crate::tree::ToTree for $Type {
            fn to_tree(&self) -> $crate::tree::Tree {
                let word = match self {
                    $(Self::$Variant => $word),+
                };
                $crate::tree::ToTree::to_tree(word)
            }
        }

        impl $crate::tree::FromTree for $Type {
            fn take_tree(&mut self, tree: $crate::tree::Tree) -> Result<(), $crate::tree::Mismatch> {
                let i = $crate::tree::read_word(&[$($word),+], &tree)?;
                *self = [$(Self::$Variant),+][i];
                Ok(())
            }
        }

        impl ::serde::Serialize for $Type {
            fn serialize<S: ::serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
                ::serde::Serialize::serialize(&$crate::tree::ToTree::to_tree(self), serializer)
            }
        }

        impl<'de> ::serde::Deserialize<'de> for $Type {
            fn deserialize<D: ::serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
                let tree = <$crate::tree::Tree as ::serde::Deserialize>::deserialize(deserializer)?;
                let i = $crate::tree::read_word(&[$($word),+], &tree).map_err(::serde::de::Error::custom)?;
                Ok([$(Self::$Variant),+][i])
            }
        }
    };
}

impl ToTree for str {
    fn to_tree(&self) -> Tree {
        Tree::Text(Some(self.into()))
    }
}

impl ToTree for &str {
    fn to_tree(&self) -> Tree {
        (**self).to_tree()
    }
}

impl ToTree for String {
    fn to_tree(&self) -> Tree {
        self.as_str().to_tree()
    }
}

impl FromTree for String {
    fn take_tree(&mut self, tree: Tree) -> Result<(), Mismatch> {
        match tree {
            Tree::Text(Some(text)) => *self = text,
            other => return Err(Mismatch::new("a text", &other)),
        }
        Ok(())
    }
}

impl ToTree for bool {
    fn to_tree(&self) -> Tree {
        Tree::Bool(*self)
    }
}

impl FromTree for bool {
    fn take_tree(&mut self, tree: Tree) -> Result<(), Mismatch> {
        match tree {
            Tree::Bool(on) => *self = on,
            other => return Err(Mismatch::new("a yes or no", &other)),
        }
        Ok(())
    }
}

impl ToTree for f64 {
    fn to_tree(&self) -> Tree {
        Tree::Number(*self)
    }
}

impl FromTree for f64 {
    fn take_tree(&mut self, tree: Tree) -> Result<(), Mismatch> {
        match tree {
            Tree::Number(x) => *self = x,
            #[expect(clippy::cast_precision_loss, reason = "a number written without a fraction")]
            Tree::Whole(n) => *self = n as Self,
            other => return Err(Mismatch::new("a number", &other)),
        }
        Ok(())
    }
}

impl ToTree for f32 {
    fn to_tree(&self) -> Tree {
        f64::from(*self).to_tree()
    }
}

impl FromTree for f32 {
    #[expect(clippy::cast_possible_truncation, reason = "what was written as f32 comes back as it was")]
    fn take_tree(&mut self, tree: Tree) -> Result<(), Mismatch> {
        let mut wide = f64::from(*self);
        wide.take_tree(tree)?;
        *self = wide as Self;
        Ok(())
    }
}

/// Whole numbers of some widths.
macro_rules! whole {
    ($($Type:ty)*) => {
        $(
            impl ToTree for $Type {
                fn to_tree(&self) -> Tree {
                    Tree::Whole(i64::from(*self))
                }
            }

            impl FromTree for $Type {
                fn take_tree(&mut self, tree: Tree) -> Result<(), Mismatch> {
                    let found = match tree {
                        Tree::Whole(n) => Self::try_from(n).ok(),
                        _ => None,
                    };
                    *self = found.ok_or_else(|| Mismatch::new("a whole number in its range", &tree))?;
                    Ok(())
                }
            }
        )*
    };
}

whole!(u8 u32 i64);

impl<T: ToTree> ToTree for Vec<T> {
    fn to_tree(&self) -> Tree {
        Tree::List(self.iter().map(ToTree::to_tree).collect())
    }
}

impl<T: FromTree + Default> FromTree for Vec<T> {
    fn take_tree(&mut self, tree: Tree) -> Result<(), Mismatch> {
        let Tree::List(list) = tree else { return Err(Mismatch::new("a list", &tree)) };
        self.clear();
        for (i, one) in list.into_iter().enumerate() {
            self.push(from_tree(one).map_err(|m| m.below(&i.to_string()))?);
        }
        Ok(())
    }
}

impl<T: ToTree> ToTree for Option<T> {
    fn to_tree(&self) -> Tree {
        self.as_ref().map_or(Tree::Null, ToTree::to_tree)
    }
}

impl<T: FromTree + Default> FromTree for Option<T> {
    fn take_tree(&mut self, tree: Tree) -> Result<(), Mismatch> {
        *self = match tree {
            Tree::Null => None,
            some => Some(from_tree(some)?),
        };
        Ok(())
    }
}

impl<A: ToTree, B: ToTree> ToTree for (A, B) {
    fn to_tree(&self) -> Tree {
        Tree::List(vec![self.0.to_tree(), self.1.to_tree()])
    }
}

impl<A: FromTree, B: FromTree> FromTree for (A, B) {
    fn take_tree(&mut self, tree: Tree) -> Result<(), Mismatch> {
        match tree {
            Tree::List(list) if list.len() == 2 => {
                let mut list = list.into_iter();
                self.0.take_tree(list.next().unwrap_or(Tree::Null))?;
                self.1.take_tree(list.next().unwrap_or(Tree::Null))
            }
            other => Err(Mismatch::new("a pair", &other)),
        }
    }
}

impl<const N: usize> ToTree for [f64; N] {
    fn to_tree(&self) -> Tree {
        Tree::List(self.iter().map(ToTree::to_tree).collect())
    }
}

impl<const N: usize> FromTree for [f64; N] {
    fn take_tree(&mut self, tree: Tree) -> Result<(), Mismatch> {
        match tree {
            Tree::List(list) if list.len() == N => {
                self.iter_mut().zip(list).try_for_each(|(x, one)| x.take_tree(one))
            }
            other => Err(Mismatch::new("so many numbers", &other)),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[derive(Clone, Copy, Debug, Default, PartialEq)]
    enum Side {
        #[default]
        Left,
        Right,
    }

    words!(Side: Left "left", Right "right");

    #[derive(Clone, Debug, Default, PartialEq)]
    struct Row {
        text: String,
        on: bool,
    }

    fields!(Row: text, on);

    #[derive(Clone, Debug, Default, PartialEq)]
    struct All {
        side: Side,
        rows: Vec<Row>,
        pairs: Vec<(String, String)>,
        crop: Option<[f64; 4]>,
        count: u32,
        at: i64,
        size: f64,
    }

    fields!(All: side, rows, pairs, crop, count, at, size);

    fn full() -> All {
        All {
            side: Side::Right,
            rows: vec![Row { text: "a".into(), on: true }, Row::default()],
            pairs: vec![("x".into(), "y".into())],
            crop: Some([0.0, 0.25, 0.5, 1.0]),
            count: 7,
            at: -1,
            size: 2.5,
        }
    }

    #[test]
    fn data_comes_back_as_it_was() {
        for data in [full(), All::default()] {
            assert_eq!(from_tree::<All>(data.to_tree()), Ok(data.clone()));
            let json = serde_json::to_string(&data).unwrap();
            assert_eq!(serde_json::from_str::<All>(&json).unwrap(), data);
        }
    }

    #[test]
    fn what_is_missing_stays_and_what_is_unknown_is_passed_over() {
        let tree = Tree::Map(vec![("count".into(), Tree::Whole(9)), ("later".into(), Tree::Null)]);
        let mut data = full();
        data.take_tree(tree).unwrap();
        assert_eq!(data, All { count: 9, ..full() });
    }

    #[test]
    fn a_mismatch_says_where_it_is() {
        let wrong = [
            (r#"{"rows":[{"text":"a"},{"text":3}]}"#, "rows.1.text: a whole number instead of a text"),
            (r#"{"side":"up"}"#, "side: another instead of a word that is known"),
            (r#"{"crop":[1,2,3]}"#, "crop: a list instead of so many numbers"),
            (r#"{"count":-1}"#, "count: a whole number instead of a whole number in its range"),
            (r#"{"size":"2"}"#, "size: a text instead of a number"),
            (r#"{"pairs":[["a"]]}"#, "pairs.0: a list instead of a pair"),
            ("[]", "a list instead of named values"),
        ];
        for (json, says) in wrong {
            let tree: Tree = serde_json::from_str(json).unwrap();
            assert_eq!(from_tree::<All>(tree).unwrap_err().to_string(), says);
        }
    }
}

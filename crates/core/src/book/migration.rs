//! Lifting what older builds wrote to the schema of today.
//!
//! Schema 1 is the first, so there is nothing to lift yet. The next schema adds one function here that turns a
//! tree of schema 1 into one of schema 2, a frozen sample in `tests/books/`, and an arm in [`lift`]; the samples
//! open for ever. New fields need no new schema: every struct is defaulted field by field.

use super::SCHEMA;
use super::import_error::ImportError;
use crate::tree::Tree;

/// The document as the schema of today would have it.
///
/// # Errors
/// The schema is newer than this build, or is none.
pub(super) fn lift(document: Tree, schema: i64) -> Result<Tree, ImportError> {
    match schema {
        1 => Ok(document),
        newer if newer > i64::from(SCHEMA) => Err(ImportError::Newer { schema: newer }),
        other => Err(ImportError::NoSchema { schema: other }),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn todays_schema_is_left_alone_and_others_are_refused() {
        let tree = Tree::Map(vec![("schema".into(), Tree::Whole(1))]);
        assert_eq!(lift(tree.clone(), 1), Ok(tree));
        assert_eq!(lift(Tree::Null, 7), Err(ImportError::Newer { schema: 7 }));
        assert_eq!(lift(Tree::Null, 0), Err(ImportError::NoSchema { schema: 0 }));
    }
}

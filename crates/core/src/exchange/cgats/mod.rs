//! CGATS text, ISO 28178: tables of measurements with named columns. The reader is lenient, the writer strict.
//!
//! Grammar: a kind in the first line, keywords with values, names of columns between BEGIN_DATA_FORMAT and
//! END_DATA_FORMAT, sets between BEGIN_DATA and END_DATA; blanks or tabs part, quotes hold together, `#` begins a comment
//! (keywords and rules as Little CMS 2.14 takes them, tested in `tests/reference/cgats`).

mod measured;
mod table;
mod write;

pub use measured::{Codes, readings};
pub use table::{Cgats, Set, Table, looks_like, read};
pub use write::{Head, write};

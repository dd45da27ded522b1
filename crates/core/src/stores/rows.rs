//! Objects of the stores as rows of the page: the same texts, with the object's identity beside them.

use crate::book::{Book, Bottle, Change, FilmStock, Ink, Key, Kind, Lamp, Object, Paper, Powder};
use crate::fields;

/// A row type for a kind of object: fields by the same names, and the ways between the two.
macro_rules! row {
    ($Row:ident, $Type:ident, $Kind:ident, $one:ident, $what:literal, { $($field:ident)* }) => {
        #[doc = concat!("A row for ", $what, ": its identity and its texts as typed.")]
        #[derive(Clone, Debug, Default, PartialEq, Eq)]
        pub struct $Row {
            /// Identity in the book.
            pub id: String,
            $(
                #[doc = concat!("As `", stringify!($field), "` of the object.")]
                pub $field: String,
            )*
        }

        fields!($Row: id, $($field),*);

        impl $Row {
            /// The row of an object.
            #[must_use]
            pub fn of(id: &str, object: &$Type) -> Self {
                Self { id: id.into(), $($field: object.$field.clone(),)* }
            }

            /// The change that puts the row's texts into its object; nothing if the object is gone.
            #[must_use]
            pub fn keep(&self, book: &Book) -> Change {
                let Some(object) = book.$one(&self.id) else { return Change::None };
                let mut object = object.clone();
                $(object.$field.clone_from(&self.$field);)*
                Change::put(Key::new(Kind::$Kind, self.id.clone()), Object::$Kind(Box::new(object)))
            }
        }
    };
}

row!(BottleRow, Bottle, Bottle, bottle, "a bottle", {
    name content strength basis salt chlorate lot size price left opened drops count_drops count_ml count_g density keeps remarks
});
row!(PowderRow, Powder, Powder, powder, "a powder", { name salt purity lot size price left opened remarks });
row!(PaperRow, Paper, Paper, paper, "a paper", { name lot size price left remarks });
row!(StockRow, FilmStock, Stock, stock, "a film stock", { name lot price left touch_dry full_dry remarks });
row!(InkRow, Ink, Ink, ink, "an ink", { name remarks });
row!(LampRow, Lamp, Lamp, lamp, "a lamp", { name kind distance hours remarks });

impl BottleRow {
    /// The bottle as it is typed now, without its tests.
    #[must_use]
    pub fn bottle(&self) -> Bottle {
        let row = self.clone();
        Bottle {
            name: row.name,
            content: row.content,
            strength: row.strength,
            basis: row.basis,
            salt: row.salt,
            chlorate: row.chlorate,
            lot: row.lot,
            size: row.size,
            price: row.price,
            left: row.left,
            opened: row.opened,
            drops: row.drops,
            count_drops: row.count_drops,
            count_ml: row.count_ml,
            count_g: row.count_g,
            density: row.density,
            keeps: row.keeps,
            tests: vec![],
            remarks: row.remarks,
        }
    }
}

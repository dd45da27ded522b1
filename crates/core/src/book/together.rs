//! What two tabs made of the same object at the same time.

use super::Object;
use crate::tree::{ToTree, Tree, merge};

impl Object {
    /// Lays two changes of `from` together, field by field. `false` where both changed the same field, or one of them
    /// the units that the texts are written in: there ours stands.
    #[must_use]
    pub fn laid_together(from: &Self, ours: &Self, theirs: &Self) -> (Self, bool) {
        let word = ours.kind().word();
        let (from, our, their) = (from.to_tree(), ours.to_tree(), theirs.to_tree());
        let units = |tree: &Tree| tree.get(word).and_then(|inside| inside.get("units")).cloned();
        if units(&from) != units(&our) || units(&from) != units(&their) {
            return (ours.clone(), false);
        }
        let (both, clash) = merge(&from, our, their);
        match Self::from_tree(both) {
            Ok(both) => (both, !clash),
            Err(_) => (ours.clone(), false),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::Ticket;
    use crate::show::{LengthUnit, Units};
    use crate::testing::test; // the compiler's own #[test] natively, the wasm runner's as wasm

    fn ticket(width: &str, height: &str, length: LengthUnit) -> Object {
        let mut ticket = Ticket { units: Units { length, ..Units::default() }, ..Ticket::default() };
        ticket.asks.negative.width = width.into();
        ticket.asks.negative.height = height.into();
        Object::Ticket(Box::new(ticket))
    }

    #[test]
    fn two_fields_of_one_ticket_both_stand() {
        use LengthUnit::Mm;
        let (from, ours, theirs) =
            (ticket("254", "203", Mm), ticket("190", "203", Mm), ticket("254", "240", Mm));
        assert_eq!(Object::laid_together(&from, &ours, &theirs), (ticket("190", "240", Mm), true));
    }

    #[test]
    fn a_length_is_never_read_in_the_other_tabs_unit() {
        use LengthUnit::{Inch, Mm};
        let from = ticket("254", "203.2", Mm);
        let (inches, typed) = (ticket("10", "8", Inch), ticket("190", "203.2", Mm));
        assert_eq!(Object::laid_together(&from, &typed, &inches), (typed.clone(), false));
        assert_eq!(Object::laid_together(&from, &inches, &typed), (inches, false));
    }
}

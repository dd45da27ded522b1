//! Changing the units of a whole book: texts are as typed, so they are rewritten once, together.

use super::{Asks, Book, Change, Key, Kind, Object, Presets};
use crate::show::Units;
use crate::station::Station;
use crate::{baths, coat, light, make, negative, tone};

impl Book {
    /// The change that brings every setup and ticket, and the desk, to the given units. Records stay as they were
    /// written; a text with its own unit behind it stays too.
    #[must_use]
    pub fn in_units(&self, to: Units) -> Change {
        let mut change = Change::None;
        for (id, setup) in self.setups().filter(|(_, s)| s.units != to) {
            let mut setup = setup.clone();
            convert_presets(&mut setup.presets, setup.units, to);
            let mut light = light::Ask { known: core::mem::take(&mut setup.light), ..light::Ask::default() };
            light::Light::convert(&mut light, setup.units, to);
            setup.light = light.known;
            tone::Tone::convert(&mut setup.tone, setup.units, to);
            setup.units = to;
            change = change.and(Change::put(Key::new(Kind::Setup, id), Object::Setup(Box::new(setup))));
        }
        for (id, ticket) in self.tickets().filter(|(_, t)| t.units != to) {
            let mut ticket = ticket.clone();
            convert_asks(&mut ticket.asks, ticket.units, to);
            ticket.units = to;
            change = change.and(Change::put(Key::new(Kind::Ticket, id), Object::Ticket(Box::new(ticket))));
        }
        if self.desk().units != to {
            change = change.and(self.on_desk(|desk| {
                let from = core::mem::replace(&mut desk.units, to);
                make::Make::convert(&mut desk.make, from, to);
                desk.air.convert(from, to);
            }));
        }
        change
    }
}

fn convert_asks(asks: &mut Asks, from: Units, to: Units) {
    negative::Negative::convert(&mut asks.negative, from, to);
    coat::Coat::convert(&mut asks.coat, from, to);
    light::Light::convert(&mut asks.light, from, to);
    baths::Baths::convert(&mut asks.baths, from, to);
}

fn convert_presets(presets: &mut Presets, from: Units, to: Units) {
    let mut asks = Asks::default();
    asks.negative.setup = core::mem::take(&mut presets.negative);
    asks.coat.setup = core::mem::take(&mut presets.coat);
    asks.light.setup = core::mem::take(&mut presets.light);
    asks.baths.setup = core::mem::take(&mut presets.baths);
    convert_asks(&mut asks, from, to);
    *presets = Presets {
        negative: asks.negative.setup,
        coat: asks.coat.setup,
        light: asks.light.setup,
        baths: asks.baths.setup,
    };
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::book::CorrectionVersion;
    use crate::show::{DecimalMark, LengthUnit};
    use crate::testing::test;

    #[test]
    fn a_new_ticket_is_whole_in_either_unit() {
        let mut book = Book::fresh(1, 2);
        let mm = book.desk().units;
        let sides = |book: &Book| {
            let ask = &book.ticket().asks.negative;
            [ask.width.clone(), ask.height.clone()]
        };
        assert_eq!(sides(&book), ["203.2", "254"]);
        book.apply(book.in_units(Units { length: LengthUnit::Inch, ..mm }), 2, "units");
        assert_eq!(sides(&book), ["8", "10"]);
    }

    #[test]
    fn what_lies_on_the_desk_keeps_its_warmth() {
        use crate::show::TemperatureUnit;
        let mut book = Book::fresh(1, 2);
        let c = book.desk().units;
        let change = book.on_desk(|desk| {
            desk.make.room = "20".into();
            desk.air.temperature = "25".into();
            desk.air.other = "59 °F".into();
        });
        book.apply(change, 1, "type");
        book.apply(book.in_units(Units { temperature: TemperatureUnit::F, ..c }), 2, "units");
        let desk = book.desk();
        let texts = [&desk.make.room, &desk.air.temperature, &desk.air.other];
        assert_eq!(texts, ["68", "77", "59 °F"]);
    }

    #[test]
    fn a_chart_keeps_its_coat_and_a_correction_its_number() {
        let mut book = Book::fresh(1, 2);
        let mm = book.desk().units;
        let change = book.on_setup(|setup| {
            setup.tone.chart.width = "203.2".into();
            setup.tone.chart.height = "6 in".into();
            setup.tone.readings = "0 1.4".into();
            setup.corrections =
                vec![CorrectionVersion { version: 3, tone: setup.tone.clone(), ..Default::default() }];
        });
        book.apply(change, 1, "type");
        book.apply(book.in_units(Units { length: LengthUnit::Inch, ..mm }), 2, "units");
        let chart = &book.setup().tone.chart;
        assert_eq!([&chart.width, &chart.height], ["8", "6 in"]);
        assert_eq!(negative::correction_version(book.setup()), 3, "the same correction");
        book.apply(book.on_setup(|setup| setup.tone.readings.push_str("\n100 0.1")), 3, "type");
        assert_eq!(negative::correction_version(book.setup()), 4, "another");
    }

    #[test]
    fn a_new_book_in_inches_shares_nothing_that_was_not_typed() {
        let mut book = Book::fresh(1, 2);
        let mm = book.desk().units;
        let before = (book.setup().clone(), crate::link::encode(book.setup()).fragment);
        book.apply(book.in_units(Units { length: LengthUnit::Inch, ..mm }), 1, "units");
        assert_eq!(book.setup().presets.negative.sheet_width, "8.268");
        assert_eq!(crate::link::encode(book.setup()).fragment, before.1);
        book.apply(book.in_units(mm), 2, "units");
        assert_eq!(*book.setup(), before.0);
    }

    #[test]
    fn lengths_come_back_as_they_were_typed() {
        let inch = Units { length: LengthUnit::Inch, ..Units::default() };
        for (typed, there, from, to) in [
            ("0.375", "9.52", inch, Units::default()),
            ("8.25", "209.55", inch, Units::default()),
            ("8", "203.2", inch, Units::default()),
            ("6", "0.236", Units::default(), inch),
            ("297", "11.693", Units::default(), inch),
            ("13.1", "0.516", Units::default(), inch),
            ("130", "5.118", Units::default(), inch),
        ] {
            let mut text = typed.to_owned();
            negative::convert_length(&mut text, from, to);
            assert_eq!(text, there);
            negative::convert_length(&mut text, to, from);
            assert_eq!(text, typed);
        }
    }

    #[test]
    fn a_rewritten_length_follows_the_decimal_mark() {
        let comma = Units { mark: DecimalMark::Comma, ..Units::default() };
        let mut text = String::from("10");
        negative::convert_length(&mut text, Units::default(), Units { length: LengthUnit::Inch, ..comma });
        assert_eq!(text, "0,394");
        negative::convert_length(
            &mut text,
            Units { length: LengthUnit::Inch, ..comma },
            Units { length: LengthUnit::Inch, ..Units::default() },
        );
        assert_eq!(text, "0.394");
    }

    #[test]
    fn there_and_back_keeps_what_was_typed() {
        let mut book = Book::fresh(1, 2);
        let mm = book.desk().units;
        let inch = Units { length: LengthUnit::Inch, ..mm };
        let change = book.on_ticket(|t| {
            t.asks.negative.width = "203.2".into();
            t.asks.negative.height = "10 in".into();
        });
        book.apply(change, 1, "type");
        book.apply(book.in_units(inch), 2, "units");
        assert_eq!(book.ticket().asks.negative.width, "8");
        assert_eq!(book.ticket().asks.negative.height, "10 in");
        assert_eq!(book.ticket().units, inch);
        book.apply(book.in_units(mm), 3, "units");
        assert_eq!(book.ticket().asks.negative.width, "203.2");
        assert_eq!(book.in_units(mm), Change::None);
    }
}

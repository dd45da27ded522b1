//! Links out and in again, hostile links, the frozen ones, and the table's own drift.

use expect_test::expect;
use proptest::prelude::*;

use super::*;
use crate::book::Setup;
use crate::show::{LengthUnit, Units};

/// A setup as a printer might have it.
fn typical() -> Setup {
    let mut setup = decode("v=1").setup;
    setup.name = "Warm".into();
    setup.presets.negative.ppi = "720".into();
    setup.presets.negative.stock = "clear film A4, lot 22".into();
    setup.presets.negative.ink = "pigment set, eight channels".into();
    setup.presets.negative.strip = false;
    setup.tone.readings = WARM.into();
    setup
}

/// The readings of the demo's setup "warm": 31 ink codes, first read, as the tone station has them.
const WARM: &str = "ink %;density
0;1.43
3.3;1.41
6.7;1.35
10;1.29
13.3;1.21
16.7;1.08
20;0.97
23.3;0.85
26.7;0.75
30;0.66
33.3;0.57
36.7;0.52
40;0.45
43.3;0.37
46.7;0.33
50;0.26
53.3;0.24
56.7;0.19
60;0.2
63.3;0.16
66.7;0.15
70;0.15
73.3;0.15
76.7;0.13
80;0.12
83.3;0.11
86.7;0.11
90;0.11
93.3;0.08
96.7;0.1
100;0.1";

fn said(linked: &Linked) -> String {
    let all: String =
        linked.notes.iter().map(|n| format!("  {:?}: {} {}\n", n.severity, n.text, n.mend)).collect();
    format!("usable {}\n{all}", linked.usable)
}

#[test]
fn a_setup_goes_out_and_comes_in_again() {
    let setup = typical();
    let out = encode(&setup);
    expect!["v=1&name=Warm&ppi=720&strip=0&film=clear+film+A4,+lot+22&ink=pigment+set,+eight+channels&tone=d143,141,135,129,121,108,97,85,75,66,57,52,45,37,33,26,24,19,20,16,15,15,15,13,12,11,11,11,8,10,10&z=7"].assert_eq(&out.fragment);
    assert_eq!(out.notes, []);
    let linked = decode(&out.fragment);
    assert!(linked.usable);
    assert_eq!(linked.setup, setup);
    assert_eq!(linked.setup.presets.light.time, "");
    expect![[r#"
        usable true
          Warning: This setup came with a link: a starting point, not measured in your room. Find your own exposure time at the light station; it is left empty. Read a chart of your own before you trust the curve.
    "#]].assert_eq(&said(&linked));
}

#[test]
fn the_exposure_time_stays_at_home() {
    let mut setup = typical();
    setup.presets.light.time = "6:00".into();
    let out = encode(&setup);
    assert_eq!(out.fragment, encode(&typical()).fragment);
    assert_eq!(decode("v=1&time=360&ppi=720&z=3").setup.presets.light.time, "");
}

#[test]
fn inches_travel_as_millimetres() {
    let mut setup = typical();
    setup.units = Units { length: LengthUnit::Inch, ..Units::default() };
    setup.presets.negative.border = "1/4".into();
    setup.presets.negative.sheet_width = "8 1/2".into();
    setup.presets.negative.sheet_height = "279,4 mm".into();
    let linked = decode(&encode(&setup).fragment);
    let film = linked.setup.presets.negative;
    assert_eq!((film.border.as_str(), film.sheet_width.as_str()), ("6.35", "215.9"));
    assert_eq!(film.sheet_height, "279.4");
    assert_eq!(linked.setup.units, Units::default());
}

#[test]
fn what_does_not_fit_stays_at_home_and_is_named() {
    let mut setup = typical();
    setup.presets.negative.ppi = "many".into();
    setup.presets.negative.border = "-3".into();
    setup.presets.negative.ink = "x".repeat(200);
    setup.presets.negative.printer = "bell\u{7}".into();
    let out = encode(&setup);
    assert!(!out.fragment.contains("many") && !out.fragment.contains("xxx"));
    let said: String = out.notes.iter().map(|n| format!("{}\n", n.text)).collect();
    expect![[r#"
        The resolution cannot travel in the link, because it is not what it should be.
        The border of film cannot travel in the link, because it is not what it should be.
        The ink cannot travel in the link, because it is not what it should be.
        The printer cannot travel in the link, because it is not what it should be.
    "#]]
    .assert_eq(&said);
}

#[test]
fn hostile_links_do_no_harm() {
    let long = format!("v=1&name={}", "a".repeat(LONGEST));
    let many: String = (0..200).map(|i| format!("&k{i}=1")).collect();
    let many = format!("v=1{many}");
    let mut all = String::new();
    for link in [
        "",
        "coat",
        "v=",
        "v=2&ppi=720&z=2",
        "v=-1",
        "v=1",
        "v=1&z=1",
        "v=1&ppi=NaN&edge=inf&td=1e9&fd=-1&z=5",
        "v=1&ppi=720&ppi=360&z=3",
        "v=1&name=%3Cscript%3Ealert(1)%3C/script%3E&z=2",
        "v=1&name=a%00b&ink=%E2%80%AEgpj&drv=%ff&film=%&z=5",
        "v=1&name=Warm&ppi=7",
        "v=1&name=Warm&ppi=720&z=",
        "v=1&name=Warm&z=2&ppi=720",
        "v=1&strip=yes&file=exe&mask=1&z=4",
        "v=1&__proto__=1&=x&&constructor&name=A&z=6",
        "v=1&ppi=720 dpi&z=2",
        &long,
        &many,
    ] {
        let linked = decode(link);
        let shown: String = link.chars().take(64).collect();
        all.push_str(&format!("{shown} -> {}", said(&linked)));
        let mut plain = linked.setup.clone();
        plain.presets.light.time.clear();
        assert_eq!(plain, linked.setup, "no exposure time from {link}");
    }
    expect![[r#"
         -> usable false
          Error: This is not a share link of Sorrel. Ask for it again; a link made here contains #v=1.
        coat -> usable false
          Error: This is not a share link of Sorrel. Ask for it again; a link made here contains #v=1.
        v= -> usable false
          Error: This is not a share link of Sorrel. Ask for it again; a link made here contains #v=1.
        v=2&ppi=720&z=2 -> usable false
          Error: This link has version 2; this page reads version 1. Bring Sorrel up to date on this device, then open the link again.
        v=-1 -> usable false
          Error: This is not a share link of Sorrel. Ask for it again; a link made here contains #v=1.
        v=1 -> usable false
          Error: This link holds nothing that can be used. Ask for it again, or for the setup as a book file.
          Warning: The end of this link is missing or does not fit: it was cut or changed on its way. Ask for it again, or compare the values with the sender.
        v=1&z=1 -> usable false
          Error: This link holds nothing that can be used. Ask for it again, or for the setup as a book file.
        v=1&ppi=NaN&edge=inf&td=1e9&fd=-1&z=5 -> usable false
          Error: This link holds nothing that can be used. Ask for it again, or for the setup as a book file.
          Warning: The resolution in the link is not what it should be; the usual value is taken. Compare with the sender.
          Warning: The border of film in the link is not what it should be; the usual value is taken. Compare with the sender.
          Warning: The time until touch-dry in the link is not what it should be; the usual value is taken. Compare with the sender.
          Warning: The time until fully dry in the link is not what it should be; the usual value is taken. Compare with the sender.
        v=1&ppi=720&ppi=360&z=3 -> usable true
          Warning: This setup came with a link: a starting point, not measured in your room. Find your own exposure time at the light station; it is left empty. Read a chart of your own before you trust the curve.
          Warning: The resolution stands in the link twice; the first is taken. Compare with the sender.
        v=1&name=%3Cscript%3Ealert(1)%3C/script%3E&z=2 -> usable true
          Warning: This setup came with a link: a starting point, not measured in your room. Find your own exposure time at the light station; it is left empty. Read a chart of your own before you trust the curve.
        v=1&name=a%00b&ink=%E2%80%AEgpj&drv=%ff&film=%&z=5 -> usable false
          Error: This link holds nothing that can be used. Ask for it again, or for the setup as a book file.
          Warning: The name in the link is not what it should be; the usual value is taken. Compare with the sender.
          Warning: The ink in the link is not what it should be; the usual value is taken. Compare with the sender.
          Warning: The printer in the link is not what it should be; the usual value is taken. Compare with the sender.
          Warning: The film stock in the link is not what it should be; the usual value is taken. Compare with the sender.
        v=1&name=Warm&ppi=7 -> usable true
          Warning: This setup came with a link: a starting point, not measured in your room. Find your own exposure time at the light station; it is left empty. Read a chart of your own before you trust the curve.
          Warning: The end of this link is missing or does not fit: it was cut or changed on its way. Ask for it again, or compare the values with the sender.
          Warning: The resolution in the link is not what it should be; the usual value is taken. Compare with the sender.
        v=1&name=Warm&ppi=720&z= -> usable true
          Warning: This setup came with a link: a starting point, not measured in your room. Find your own exposure time at the light station; it is left empty. Read a chart of your own before you trust the curve.
          Warning: The end of this link is missing or does not fit: it was cut or changed on its way. Ask for it again, or compare the values with the sender.
        v=1&name=Warm&z=2&ppi=720 -> usable true
          Warning: This setup came with a link: a starting point, not measured in your room. Find your own exposure time at the light station; it is left empty. Read a chart of your own before you trust the curve.
          Hint: There is more behind the end of the link; it is passed over. 
        v=1&strip=yes&file=exe&mask=1&z=4 -> usable true
          Warning: This setup came with a link: a starting point, not measured in your room. Find your own exposure time at the light station; it is left empty. Read a chart of your own before you trust the curve.
          Warning: The margin strip in the link is not what it should be; the usual value is taken. Compare with the sender.
          Warning: The film's file in the link is not what it should be; the usual value is taken. Compare with the sender.
        v=1&__proto__=1&=x&&constructor&name=A&z=6 -> usable true
          Warning: This setup came with a link: a starting point, not measured in your room. Find your own exposure time at the light station; it is left empty. Read a chart of your own before you trust the curve.
          Hint: The link has “__proto__”, which is not known here; it is passed over. 
          Hint: The link has “”, which is not known here; it is passed over. 
          Warning: “” stands in the link twice; the first is taken. Compare with the sender.
          Hint: The link has “constructor”, which is not known here; it is passed over. 
        v=1&ppi=720 dpi&z=2 -> usable false
          Error: This link holds nothing that can be used. Ask for it again, or for the setup as a book file.
          Warning: The resolution in the link is not what it should be; the usual value is taken. Compare with the sender.
        v=1&name=aaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaaa -> usable false
          Error: This link is 8009 characters long; a share link has at most 8000. Ask for it again, or for the setup as a book file.
        v=1&k0=1&k1=1&k2=1&k3=1&k4=1&k5=1&k6=1&k7=1&k8=1&k9=1&k10=1&k11= -> usable false
          Error: This link holds nothing that can be used. Ask for it again, or for the setup as a book file.
          Warning: The end of this link is missing or does not fit: it was cut or changed on its way. Ask for it again, or compare the values with the sender.
          Hint: The link has “k0”, which is not known here; it is passed over. 
          Hint: The link has “k1”, which is not known here; it is passed over. 
          Hint: The link has “k2”, which is not known here; it is passed over. 
          Hint: The link has “k3”, which is not known here; it is passed over. 
          Hint: The link has “k4”, which is not known here; it is passed over. 
          Hint: The link has “k5”, which is not known here; it is passed over. 
          Hint: 194 more things in the link could not be taken. 
    "#]].assert_eq(&all);
    let script = decode("v=1&name=%3Cscript%3Ealert(1)%3C/script%3E&z=2");
    assert_eq!(script.setup.name, "<script>alert(1)</script>", "text is text");
}

#[test]
fn every_key_can_be_reached_and_has_a_sound_default() {
    let mut keys: Vec<&str> = TABLE.iter().map(|f| f.key).collect();
    assert!(
        keys.iter().all(|k| !k.is_empty() && k.chars().all(|c| c.is_ascii_lowercase() || c.is_ascii_digit()))
    );
    assert!(!keys.contains(&"v") && !keys.contains(&"z") && !keys.contains(&"time"));
    keys.sort_unstable();
    keys.dedup();
    assert_eq!(keys.len(), TABLE.len(), "a key stands twice");
    for field in TABLE {
        let mut escaped = String::new();
        percent::escape(field.default, &mut escaped);
        let linked = decode(&format!("v=1&{}={escaped}&z=2", field.key));
        assert!(linked.usable, "the default of {} does not read: {}", field.key, said(&linked));
        assert_eq!(linked.setup, decode("v=1").setup, "the default of {} is not what is left out", field.key);
    }
    // What stands in two slots at once would travel twice.
    for field in TABLE {
        let other = match field.form {
            Form::Number { low, high, .. } | Form::Length { low, high } | Form::Temperature { low, high } => {
                crate::show::significant(low + (high - low) * 0.375, 4)
            }
            Form::Text { .. } => "other".into(),
            Form::Word { of } => (*of.iter().find(|w| **w != field.default).unwrap()).into(),
            Form::Tick => if field.default == "1" { "0" } else { "1" }.into(),
            Form::List { .. } => continue,
        };
        let link = format!("v=1&{}={other}&z=2", field.key);
        assert_eq!(encode(&decode(&link).setup).fragment, link);
    }
}

/// What a link brought, key by key, without what is at its default; and what was said about it.
fn opened(link: &str) -> String {
    let mut linked = decode(link.trim_end());
    let mut text = String::new();
    for field in TABLE {
        let value = match field.slot {
            table::Slot::Text(place) => place(&mut linked.setup).clone(),
            table::Slot::Tick(place) => if *place(&mut linked.setup) { "1" } else { "0" }.into(),
            table::Slot::List { write, .. } => write(&linked.setup),
        };
        if value != field.default {
            text.push_str(&format!("{} = {value}\n", field.key));
        }
    }
    let severities = linked.notes.iter().map(|n| format!("{:?}", n.severity)).collect::<Vec<_>>().join(", ");
    format!("{text}notes: {severities}\n")
}

/// Links that were once sent must open for ever, to the same values.
#[test]
fn frozen_links_open() {
    macro_rules! frozen {
        ($($name:literal)*) => { [$((
            $name,
            include_str!(concat!("../../../../tests/links/", $name, ".txt")),
            include_str!(concat!("../../../../tests/links/", $name, ".expected")),
        )),*] };
    }
    for (name, link, expected) in frozen!["warm" "inch" "neutral" "hostile" "cut" "later" "aim" "parts"] {
        assert_eq!(opened(link), expected, "{name}");
    }
}

#[test]
fn the_table_is_the_one_written_down() {
    let written = include_str!("../../../../DEVELOPERS.md");
    let hash = format!("{:016x}", table_hash());
    assert!(
        written.contains(&hash),
        "The keys of share links changed. Rows are only ever added at the end; if that is all, write {hash} into \
         DEVELOPERS.md and add a link to tests/links."
    );
}

proptest! {
    #[test]
    fn no_link_panics(link in "(#?v=1)?[&=%a-z0-9.,:+\\PC]{0,200}") {
        let linked = decode(&link);
        prop_assert_eq!(&linked.setup.presets.light.time, "");
        // What was taken travels on unchanged.
        let again = decode(&encode(&linked.setup).fragment);
        prop_assert_eq!(again.setup, linked.setup);
    }

    #[test]
    fn what_travels_arrives(
        name in "[^\\p{C}\\p{Z}]{0,60}",
        stock in "[a-zA-Z0-9 ,.äöü&=#%+]{0,80}",
        ppi in 240..=1440_u32,
        border in 0.0..100.0f64,
        width in 10.0..5000.0f64,
        strip in any::<bool>(),
        png in any::<bool>(),
    ) {
        let mut setup = typical();
        setup.name = name;
        let film = &mut setup.presets.negative;
        film.stock = stock.trim().into();
        film.ppi = ppi.to_string();
        film.border = crate::show::significant(border, 4);
        film.sheet_width = crate::show::significant(width, 6);
        film.strip = strip;
        film.format = if png { "png" } else { "tiff" }.into();
        let out = encode(&setup);
        prop_assert_eq!(&out.notes, &vec![]);
        prop_assert_eq!(decode(&out.fragment).setup, setup);
    }

    #[test]
    fn any_typed_text_gives_a_link_that_opens(text in any::<String>(), which in any::<prop::sample::Index>()) {
        let mut setup = typical();
        let texts: Vec<_> = TABLE.iter().filter_map(|f| match f.slot {
            table::Slot::Text(place) => Some(place),
            _ => None,
        }).collect();
        *texts[which.index(texts.len())](&mut setup) = text;
        let linked = decode(&encode(&setup).fragment);
        prop_assert!(linked.notes.len() == 1, "only that it was not measured here: {:?}", linked.notes);
    }
}

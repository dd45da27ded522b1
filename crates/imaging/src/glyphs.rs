//! A small stroke font of our own, for the label on the film.
//!
//! Each letter is a few polylines on a grid 4 wide and 6 high (descenders reach 8), drawn with a round pen. Strokes
//! survive printing on film better than thin shapes, and need no font file.

/// Part of the capital height that the pen is wide: bold enough for a coarse printer, open enough for small letters.
const PEN: f64 = 0.14;
/// From letter to letter, in grid units: the letter's 4 and 2 of space.
const STEP: f64 = 6.0;

/// The polylines of a letter: points are pairs of digits (x, y), `|` lifts the pen.
fn strokes(letter: char) -> &'static str {
    match letter {
        ' ' | '\u{a0}' => "",
        'A' => "06 20 46|14 34",
        'B' => "00 06 36 45 44 33 03|33 42 41 30 00",
        'C' => "41 30 10 01 05 16 36 45",
        'D' => "00 06 26 45 41 20 00",
        'E' => "40 00 06 46|03 33",
        'F' => "40 00 06|03 33",
        'G' => "41 30 10 01 05 16 36 45 43 23",
        'H' => "00 06|40 46|03 43",
        'I' => "10 30|20 26|16 36",
        'J' => "40 45 36 16 05",
        'K' => "00 06|40 03 46",
        'L' => "00 06 46",
        'M' => "06 00 23 40 46",
        'N' => "06 00 46 40",
        'O' => "10 30 41 45 36 16 05 01 10",
        'P' => "06 00 30 41 42 33 03",
        'Q' => "10 30 41 45 36 16 05 01 10|24 46",
        'R' => "06 00 30 41 42 33 03|23 46",
        'S' => "41 30 10 01 02 13 33 44 45 36 16 05",
        'T' => "00 40|20 26",
        'U' => "00 05 16 36 45 40",
        'V' => "00 26 40",
        'W' => "00 16 23 36 40",
        'X' => "00 46|40 06",
        'Y' => "00 23 40|23 26",
        'Z' => "00 40 06 46",
        'a' => "12 32 43 46|44 14 05 16 36 45",
        'b' => "00 06|03 12 32 43 45 36 16 05",
        'c' => "43 32 12 03 05 16 36 45",
        'd' => "40 46|43 32 12 03 05 16 36 45",
        'e' => "04 44 43 32 12 03 05 16 36 45",
        'f' => "40 30 21 26|12 32",
        'g' => "42 47 38 18 07|43 32 12 03 05 16 36 45",
        'h' => "00 06|03 12 32 43 46",
        'i' => "22 26|20 20",
        'j' => "32 37 28 18|30 30",
        'k' => "00 06|32 04 36",
        'l' => "10 20 25 36",
        'm' => "02 06|03 12 23 26|23 32 43 46",
        'n' => "02 06|03 12 32 43 46",
        'o' => "12 32 43 45 36 16 05 03 12",
        'p' => "02 08|03 12 32 43 45 36 16 05",
        'q' => "42 48|43 32 12 03 05 16 36 45",
        'r' => "02 06|04 22 42",
        's' => "43 32 12 03 14 34 45 36 16 05",
        't' => "20 25 36|12 32",
        'u' => "02 05 16 36 45|42 46",
        'v' => "02 26 42",
        'w' => "02 16 23 36 42",
        'x' => "02 46|42 06",
        'y' => "02 05 16 36 45|42 47 38 18",
        'z' => "02 42 06 46",
        '0' => "10 30 41 45 36 16 05 01 10|14 32",
        '1' => "11 20 26|16 36",
        '2' => "01 10 30 41 42 06 46",
        '3' => "01 10 30 41 42 33 23|33 44 45 36 16 05",
        '4' => "36 30 04 44",
        '5' => "40 00 03 33 44 45 36 16 05",
        '6' => "40 20 02 05 16 36 45 44 33 13 04",
        '7' => "00 40 16",
        '8' => "13 02 01 10 30 41 42 33 13 04 05 16 36 45 44 33",
        '9' => "06 26 44 41 30 10 01 02 13 33 42",
        '.' | '…' => "26 26",
        ',' => "26 17",
        ':' => "22 22|26 26",
        ';' => "22 22|26 17",
        '-' | '\u{2010}' | '\u{2011}' | '−' => "13 33",
        '–' | '—' => "03 43",
        '+' => "03 43|21 25",
        '±' => "02 42|20 24|06 46",
        '=' => "02 42|04 44",
        '/' => "06 40",
        '\\' => "00 46",
        '|' => "20 26",
        '(' | '[' | '{' => "30 21 25 36",
        ')' | ']' | '}' => "10 21 25 16",
        '%' => "06 40|00 10 11 01 00|35 45 46 36 35",
        '#' => "10 16|30 36|02 42|04 44",
        '\'' | '’' | '‘' => "20 21",
        '"' | '“' | '”' => "10 11|30 31",
        '!' => "20 24|26 26",
        '?' => "01 10 30 41 42 23 24|26 26",
        '×' => "12 34|32 14",
        '·' | '•' => "23 23",
        '°' => "10 20 21 11 10",
        '_' => "06 46",
        '*' => "21 25|12 34|32 14",
        '<' => "41 03 45",
        '>' => "01 43 05",
        '→' => "03 43|31 43 35",
        '&' => "46 11 20 31 04 05 16 26 44",
        'µ' | 'μ' => "02 08|05 16 36 45|42 46",
        // A box says that something stood here.
        _ => "00 40 46 06 00",
    }
}

/// Accents are dropped rather than drawn: a readable name on the film is worth more than its accents.
fn plain(letter: char) -> char {
    match letter {
        'À'..='Å' | 'Ā' | 'Ă' | 'Ą' => 'A',
        'à'..='å' | 'ā' | 'ă' | 'ą' => 'a',
        'Ç' | 'Ć' | 'Č' => 'C',
        'ç' | 'ć' | 'č' => 'c',
        'È'..='Ë' | 'Ē' | 'Ę' | 'Ě' => 'E',
        'è'..='ë' | 'ē' | 'ę' | 'ě' => 'e',
        'Ì'..='Ï' | 'İ' => 'I',
        'ì'..='ï' | 'ı' => 'i',
        'Ł' => 'L',
        'ł' => 'l',
        'Ñ' | 'Ń' | 'Ň' => 'N',
        'ñ' | 'ń' | 'ň' => 'n',
        'Ò'..='Ö' | 'Ø' | 'Ő' => 'O',
        'ò'..='ö' | 'ø' | 'ő' => 'o',
        'Ś' | 'Š' | 'Ş' => 'S',
        'ś' | 'š' | 'ş' | 'ß' => 's',
        'Ù'..='Ü' | 'Ů' | 'Ű' => 'U',
        'ù'..='ü' | 'ů' | 'ű' => 'u',
        'Ý' => 'Y',
        'ý' | 'ÿ' => 'y',
        'Ź' | 'Ž' | 'Ż' => 'Z',
        'ź' | 'ž' | 'ż' => 'z',
        other => other,
    }
}

/// A text in ASCII alone, for file formats that allow nothing else.
pub fn ascii(text: &str) -> String {
    text.chars()
        .map(|c| match plain(c) {
            '·' | '•' | '–' | '—' | '−' => '-',
            '×' => 'x',
            '’' | '‘' => '\'',
            '“' | '”' => '"',
            c if c.is_ascii() && !c.is_ascii_control() => c,
            '\n' => '\n',
            _ => '?',
        })
        .collect()
}

/// Pen width and size of a grid unit for a capital height in pixels.
fn scale(capital: u32) -> (f64, f64) {
    let pen = (f64::from(capital) * PEN).max(1.0);
    (pen, (f64::from(capital) - pen).max(1.0) / 6.0)
}

/// Width of a line of text, pixels.
pub fn text_width(text: &str, capital: u32) -> u32 {
    let letters = u32::try_from(text.chars().count()).unwrap_or(u32::MAX >> 8);
    if letters == 0 {
        return 0;
    }
    let (pen, unit) = scale(capital);
    let width = (f64::from(letters) * STEP - 2.0) * unit + pen;
    #[allow(clippy::cast_possible_truncation, reason = "clamped just here")]
    let width = width.ceil().clamp(0.0, f64::from(u32::MAX >> 4)) as u32;
    width
}

/// Rows a line of text takes from the upper edge of its capitals, descenders included.
pub fn text_rows(capital: u32) -> u32 {
    capital + capital / 2
}

/// Calls `ink(from, to)` for every run of pixels that the pen covers in one row of a line of text.
///
/// `row` counts from the upper edge of the capitals, columns from the line's left edge; runs may overlap.
pub fn ink_runs(text: &str, capital: u32, row: u32, ink: &mut dyn FnMut(u32, u32)) {
    if row >= text_rows(capital) {
        return;
    }
    let (pen, unit) = scale(capital);
    let radius = pen / 2.0;
    let y = f64::from(row) + 0.5;
    let mut left = 0.0;
    for letter in text.chars() {
        for line in strokes(plain(letter)).split('|') {
            let mut last = None;
            for point in line.split(' ') {
                let digit =
                    |i: usize| point.as_bytes().get(i).map_or(0.0, |b| f64::from(b.wrapping_sub(b'0')));
                let here = (left + radius + digit(0) * unit, radius + digit(1) * unit);
                if let Some((a, b)) = last.and_then(|from| capsule(from, here, radius, y)) {
                    #[allow(
                        clippy::cast_possible_truncation,
                        clippy::cast_sign_loss,
                        reason = "never negative"
                    )]
                    let (a, b) = ((a - 0.5).ceil().max(0.0) as u32, (b - 0.5).floor().max(-1.0) + 1.0);
                    #[allow(clippy::cast_possible_truncation, reason = "at least 0")]
                    let b = b as u32;
                    if b > a {
                        ink(a, b);
                    }
                }
                last = Some(here);
            }
        }
        left += STEP * unit;
    }
}

/// Where the row `y` crosses a line from `a` to `b` drawn with a round pen; a convex shape, so one run.
fn capsule(a: (f64, f64), b: (f64, f64), radius: f64, y: f64) -> Option<(f64, f64)> {
    let mut run: Option<(f64, f64)> = None;
    let mut add = |from: f64, to: f64| {
        run = Some(run.map_or((from, to), |(f, t)| (f.min(from), t.max(to))));
    };
    for end in [a, b] {
        let d = radius * radius - (y - end.1) * (y - end.1);
        if d >= 0.0 {
            add(end.0 - d.sqrt(), end.0 + d.sqrt());
        }
    }
    let (dx, dy) = (b.0 - a.0, b.1 - a.1);
    let length = (dx * dx + dy * dy).sqrt();
    if length > 0.0 {
        // The straight part: the four corners of a rectangle around the line.
        let (nx, ny) = (-dy / length * radius, dx / length * radius);
        let corners =
            [(a.0 + nx, a.1 + ny), (b.0 + nx, b.1 + ny), (b.0 - nx, b.1 - ny), (a.0 - nx, a.1 - ny)];
        for i in 0..4 {
            let (p, q) = (corners[i], corners[(i + 1) % 4]);
            let (low, high) = (p.1.min(q.1), p.1.max(q.1));
            if low <= y && y <= high {
                if high - low < 1e-12 {
                    add(p.0.min(q.0), p.0.max(q.0));
                } else {
                    let x = p.0 + (q.0 - p.0) * (y - p.1) / (q.1 - p.1);
                    add(x, x);
                }
            }
        }
    }
    run
}

#[cfg(test)]
mod tests {
    use super::*;

    fn draw(text: &str, capital: u32) -> Vec<String> {
        let width = text_width(text, capital) as usize;
        (0..text_rows(capital))
            .map(|row| {
                let mut line = vec![b'.'; width];
                ink_runs(text, capital, row, &mut |a, b| {
                    line[a as usize..(b as usize).min(width)].fill(b'#');
                });
                String::from_utf8(line).unwrap()
            })
            .collect()
    }

    #[test]
    fn letters_are_the_right_way_round() {
        // F has its arms at the right of its stem, upper half heavier than the lower.
        let f = draw("F", 24);
        let count = |rows: &[String]| rows.iter().map(|r| r.matches('#').count()).sum::<usize>();
        assert!(count(&f[..12]) > 2 * count(&f[14..24]));
        assert!(f[20].starts_with("##") && !f[20].ends_with('#'));
        assert!(f[1].matches('#').count() * 5 > f[1].len() * 4);
    }

    #[test]
    fn all_letters_differ_and_stay_in_their_box() {
        let letters = "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789.,:;-+/()%#'!?=×·°_";
        let mut seen = std::collections::BTreeMap::new();
        for c in letters.chars() {
            let picture = draw(&c.to_string(), 30);
            assert!(picture.iter().any(|r| r.contains('#')), "{c} is blank");
            if let Some(other) = seen.insert(picture, c) {
                panic!("{c} looks like {other}");
            }
        }
    }

    #[test]
    fn width_grows_by_one_step_a_letter() {
        let step = text_width("AAA", 30) - text_width("AA", 30);
        assert!((25..=26).contains(&step), "{step}");
        assert_eq!(text_width("", 30), 0);
    }

    #[test]
    fn unknown_letters_become_boxes_and_accents_fall_away() {
        assert_eq!(draw("é", 20), draw("e", 20));
        assert_eq!(draw("漢", 20), draw("\u{1F980}", 20));
    }
}

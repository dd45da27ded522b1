//! A small writer for the drawings core makes: escaped text, short numbers, classes instead of styles.
//!
//! The page forbids inline styles, so a drawing carries classes only and takes its colours from the page's
//! stylesheet. Every drawing has a title and a description for those who cannot see it.

use crate::decimal;

/// Where a text hangs on its point.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Anchor {
    /// The point is its left end.
    Start,
    /// The point is its middle.
    Middle,
    /// The point is its right end.
    End,
}

/// A drawing that is being written. Lengths are in units of its view box; y grows downwards.
#[derive(Clone, Debug)]
pub struct Svg {
    text: String,
    groups: usize,
}

impl Svg {
    /// Begins a drawing with the view box `left, top, width, height`. `id` must be unique on the page; it names
    /// the title and the description for screen readers.
    #[must_use]
    pub fn new(id: &str, view: [f64; 4], title: &str, description: &str) -> Self {
        let id = escape(id);
        let [left, top, width, height] = view.map(number);
        let text = format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"{left} {top} {width} {height}\" role=\"img\" \
             aria-labelledby=\"{id}-title {id}-desc\">\n<title id=\"{id}-title\">{}</title>\n\
             <desc id=\"{id}-desc\">{}</desc>\n",
            escape(title),
            escape(description),
        );
        Self { text, groups: 0 }
    }

    fn element(&mut self, name: &str, class: &str, attributes: &[(&str, String)]) {
        self.opening(name, class, attributes);
        self.text.push_str("/>\n");
    }

    fn opening(&mut self, name: &str, class: &str, attributes: &[(&str, String)]) {
        self.text.push('<');
        self.text.push_str(name);
        if !class.is_empty() {
            self.text.push_str(&format!(" class=\"{}\"", escape(class)));
        }
        for (key, value) in attributes {
            self.text.push_str(&format!(" {key}=\"{value}\""));
        }
    }

    /// Opens a group whose class holds for what follows, until [`Svg::end`].
    pub fn group(&mut self, class: &str) {
        self.opening("g", class, &[]);
        self.text.push_str(">\n");
        self.groups += 1;
    }

    /// Closes the innermost group; nothing if none is open.
    pub fn end(&mut self) {
        if self.groups > 0 {
            self.groups -= 1;
            self.text.push_str("</g>\n");
        }
    }

    /// A rectangle from its left upper corner. Negative sides are drawn as none.
    pub fn rect(&mut self, x: f64, y: f64, width: f64, height: f64, class: &str) {
        let all = [("x", x), ("y", y), ("width", width.max(0.0)), ("height", height.max(0.0))];
        self.element("rect", class, &all.map(|(k, v)| (k, number(v))));
    }

    /// A straight line.
    pub fn line(&mut self, x1: f64, y1: f64, x2: f64, y2: f64, class: &str) {
        let all = [("x1", x1), ("y1", y1), ("x2", x2), ("y2", y2)];
        self.element("line", class, &all.map(|(k, v)| (k, number(v))));
    }

    /// A circle.
    pub fn circle(&mut self, x: f64, y: f64, radius: f64, class: &str) {
        let all = [("cx", x), ("cy", y), ("r", radius.max(0.0))];
        self.element("circle", class, &all.map(|(k, v)| (k, number(v))));
    }

    /// A line through points; nothing for fewer than two.
    pub fn polyline(&mut self, points: &[(f64, f64)], class: &str) {
        if points.len() > 1 {
            self.element("polyline", class, &[("points", pairs(points))]);
        }
    }

    /// A closed area between points, such as a band; nothing for fewer than three.
    pub fn polygon(&mut self, points: &[(f64, f64)], class: &str) {
        if points.len() > 2 {
            self.element("polygon", class, &[("points", pairs(points))]);
        }
    }

    /// A path from the commands of SVG, which must come from code, never from a text typed.
    pub fn path(&mut self, commands: &str, class: &str) {
        self.element("path", class, &[("d", escape(commands))]);
    }

    /// A line of text.
    pub fn label(&mut self, x: f64, y: f64, anchor: Anchor, class: &str, words: &str) {
        self.words(x, y, anchor, class, words, &[]);
    }

    /// A line of text that reads upwards.
    pub fn label_upwards(&mut self, x: f64, y: f64, anchor: Anchor, class: &str, words: &str) {
        let turn = format!("rotate(-90 {} {})", number(x), number(y));
        self.words(x, y, anchor, class, words, &[("transform", turn)]);
    }

    fn words(&mut self, x: f64, y: f64, anchor: Anchor, class: &str, words: &str, more: &[(&str, String)]) {
        let anchor = match anchor {
            Anchor::Start => "start",
            Anchor::Middle => "middle",
            Anchor::End => "end",
        };
        let mut all = vec![("x", number(x)), ("y", number(y)), ("text-anchor", anchor.to_owned())];
        all.extend_from_slice(more);
        self.opening("text", class, &all);
        self.text.push_str(&format!(">{}</text>\n", escape(words)));
    }

    /// The finished drawing.
    #[must_use]
    pub fn finish(mut self) -> String {
        while self.groups > 0 {
            self.end();
        }
        self.text.push_str("</svg>\n");
        self.text
    }
}

/// A coordinate: two decimals at most, and no number that a drawing cannot hold.
fn number(x: f64) -> String {
    let mut out = String::new();
    push(&mut out, x);
    out
}

/// Writes a coordinate, see [`number`].
fn push(out: &mut String, x: f64) {
    /// Far beyond any drawing.
    const MOST: f64 = 1e12;
    decimal::push_short(out, if x.is_finite() { x.clamp(-MOST, MOST) } else { 0.0 }, 2);
}

fn pairs(points: &[(f64, f64)]) -> String {
    let mut out = String::with_capacity(points.len() * 14);
    for &(x, y) in points {
        if !out.is_empty() {
            out.push(' ');
        }
        push(&mut out, x);
        out.push(',');
        push(&mut out, y);
    }
    out
}

/// Text that can stand between tags and in attributes. Signs XML cannot hold are left out.
fn escape(text: &str) -> String {
    let mut out = String::with_capacity(text.len());
    for c in text.chars() {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' => out.push(' '),
            c if c.is_control() || matches!(c, '\u{fffe}' | '\u{ffff}') => {}
            c => out.push(c),
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::testing::test;

    #[test]
    fn a_coordinate_is_the_nearest_hundredth_without_idle_digits() {
        for i in -40_000..40_000 {
            let x = f64::from(i) * 0.013_7;
            let text = number(x);
            let read: f64 = text.parse().unwrap_or(f64::NAN);
            assert!((read - x).abs() < 0.005 + 1e-9 && text != "-0", "{x}: {text}");
            assert!(!text.contains('.') || !text.ends_with(['0', '.']), "{x}: {text}");
        }
        for (x, text) in
            [(1e9, "1000000000"), (-0.004, "0"), (0.1, "0.1"), (-7.05, "-7.05"), (f64::INFINITY, "0")]
        {
            assert_eq!(number(x), text);
        }
    }

    #[test]
    fn a_whole_drawing() {
        let mut svg = Svg::new("x", [0.0, -1.5, 10.0, 20.0], "A & B", "<none>");
        svg.group("ink");
        svg.rect(0.0, 1.0 / 3.0, 2.0, -1.0, "");
        svg.line(0.0, 0.0, -0.001, f64::NAN, "hair");
        svg.polyline(&[(0.0, 0.0)], "lost");
        svg.polyline(&[(0.0, 0.0), (1.25, 2.0)], "curve");
        svg.label(1.0, 2.0, Anchor::Middle, "small", "8\u{7} × 10\"");
        svg.label_upwards(1.0, 2.0, Anchor::End, "", "up");
        let expected = "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 -1.5 10 20\" role=\"img\" \
             aria-labelledby=\"x-title x-desc\">\n\
             <title id=\"x-title\">A &amp; B</title>\n<desc id=\"x-desc\">&lt;none&gt;</desc>\n\
             <g class=\"ink\">\n\
             <rect x=\"0\" y=\"0.33\" width=\"2\" height=\"0\"/>\n\
             <line class=\"hair\" x1=\"0\" y1=\"0\" x2=\"0\" y2=\"0\"/>\n\
             <polyline class=\"curve\" points=\"0,0 1.25,2\"/>\n\
             <text class=\"small\" x=\"1\" y=\"2\" text-anchor=\"middle\">8 × 10&quot;</text>\n\
             <text x=\"1\" y=\"2\" text-anchor=\"end\" transform=\"rotate(-90 1 2)\">up</text>\n\
             </g>\n</svg>\n";
        assert_eq!(svg.finish(), expected);
    }
}

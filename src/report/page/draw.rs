//! Drawing: pictures as wide as the page gives them, with text of one size. Positions across are
//! per cent of the width, positions down are pixels, so that nothing shrinks on a narrow screen.

use super::words::{esc, num};
use std::fmt::Write;

/// A picture in the making.
#[derive(Clone, Debug)]
pub(super) struct Picture {
    body: String,
    height: f64,
}

/// Shapes of marks: colour is never the only thing that tells two apart.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Shape {
    /// a filled circle
    Dot,
    /// a diamond
    Diamond,
    /// an open triangle that points to lower values
    Lower,
    /// an upright bar
    Bar,
    /// an arrow to the left: it goes on beyond the axis
    Left,
    /// an arrow to the right
    Right,
}

impl Shape {
    fn path(self) -> &'static str {
        match self {
            Shape::Dot => "M-5,0a5,5 0 1,0 10,0a5,5 0 1,0 -10,0z",
            Shape::Diamond => "M0,-6.5L6.5,0L0,6.5L-6.5,0z",
            Shape::Lower => "M-8,0L4,-6V6z",
            Shape::Bar => "M-1,-5H1V5H-1z",
            Shape::Left => "M-1,0L7,-5.5V5.5z",
            Shape::Right => "M1,0L-7,-5.5V5.5z",
        }
    }
}

/// Where a text stands to its position.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Side {
    /// it begins there
    Start,
    /// its middle is there
    Middle,
    /// it ends there
    End,
}

impl Picture {
    /// An empty picture of a height in pixels.
    pub fn new(height: f64) -> Picture {
        Picture { body: String::new(), height }
    }

    /// A line.
    pub fn line(&mut self, from: (f64, f64), to: (f64, f64), class: &str) {
        let _ = write!(
            self.body,
            r#"<line x1="{}%" y1="{}" x2="{}%" y2="{}" class="{class}"/>"#,
            short(from.0),
            short(from.1),
            short(to.0),
            short(to.1)
        );
    }

    /// A rectangle: left edge and width in per cent, top and height in pixels.
    pub fn rect(&mut self, across: (f64, f64), down: (f64, f64), class: &str) {
        let _ = write!(
            self.body,
            r#"<rect x="{}%" y="{}" width="{}%" height="{}" class="{class}"/>"#,
            short(across.0),
            short(down.0),
            short(across.1.max(0.0)),
            short(down.1.max(0.0))
        );
    }

    /// A band between two lines over the same positions across: (across, upper, lower).
    pub fn band(&mut self, points: &[(f64, f64, f64)], class: &str) {
        let at = |x: f64, y: f64| format!("{},{}", short(x), short(y));
        let upper = points.iter().map(|p| at(p.0, p.1));
        let lower = points.iter().rev().map(|p| at(p.0, p.2));
        let all = upper.chain(lower).collect::<Vec<_>>().join(" ");
        let h = short(self.height);
        let _ = write!(
            self.body,
            r#"<svg x="0" y="0" width="100%" height="{h}" viewBox="0 0 100 {h}" preserveAspectRatio="none"><polygon points="{all}" class="{class}"/></svg>"#
        );
    }

    /// Text.
    pub fn text(&mut self, at: (f64, f64), side: Side, class: &str, text: &str) {
        let anchor = match side {
            Side::Start => "start",
            Side::Middle => "middle",
            Side::End => "end",
        };
        let _ = write!(
            self.body,
            r#"<text x="{}%" y="{}" text-anchor="{anchor}" class="{class}">{}</text>"#,
            short(at.0),
            short(at.1),
            esc(text)
        );
    }

    /// A mark.
    pub fn mark(&mut self, at: (f64, f64), shape: Shape, class: &str) {
        let _ = write!(
            self.body,
            r#"<svg x="{}%" y="{}" class="mark"><path d="{}" class="{class}"/></svg>"#,
            short(at.0),
            short(at.1),
            shape.path()
        );
    }

    /// A whisker from one number to another: ends inside the scale in small bars, ends beyond it in
    /// arrows.
    pub fn whisker(&mut self, scale: &Scale, (low, high): (f64, f64), y: f64, class: &str) {
        let (from, to) = (scale.at(low), scale.at(high));
        self.line((from, y), (to, y), class);
        for (x, at, arrow) in [(low, from, Shape::Left), (high, to, Shape::Right)] {
            let shape = if scale.holds(x) { Shape::Bar } else { arrow };
            self.mark((at, y), shape, "tip");
        }
    }

    /// The letter of an architecture in its disc.
    pub fn letter(&mut self, at: (f64, f64), arm: usize) {
        let _ = write!(
            self.body,
            r#"<svg x="{}%" y="{}" class="mark"><circle r="10" class="disc {}"/><text y="4.5" text-anchor="middle" class="disc-letter">{}</text></svg>"#,
            short(at.0),
            short(at.1),
            hue(arm),
            letter(arm)
        );
    }

    /// The picture with its title and description for those who do not see it.
    pub fn finish(self, id: &str, title: &str, description: &str) -> String {
        format!(
            r#"<svg class="chart" role="img" aria-labelledby="{id}-t {id}-d" height="{}"><title id="{id}-t">{}</title><desc id="{id}-d">{}</desc>{}</svg>"#,
            short(self.height),
            esc(title),
            esc(description),
            self.body
        )
    }

    /// The picture as a strip of a plot, which says for all its strips what they show.
    pub fn strip(self, class: &str) -> String {
        let (height, body) = (short(self.height), self.body);
        format!(
            r#"<svg class="chart strip {class}" aria-hidden="true" height="{height}">{body}</svg>"#
        )
    }
}

/// At most two decimals.
fn short(x: f64) -> String {
    let text = format!("{x:.2}");
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".into() } else { text.into() }
}

/// Class of the colour of an architecture.
pub(super) fn hue(arm: usize) -> String {
    format!("a{}", arm % 8)
}

/// Letter of an architecture: A to Z, then A1 and so on.
pub(super) fn letter(arm: usize) -> String {
    let letter = char::from(b'A' + (arm % 26) as u8);
    if arm < 26 { letter.to_string() } else { format!("{letter}{}", arm / 26) }
}

/// Heights of the letters of lines that end at these heights: beside the ends, but never on top of each
/// other.
pub(super) fn apart(ends: &[f64], top: f64) -> Vec<f64> {
    const APART: f64 = 23.0;
    let mut order: Vec<(usize, f64)> = ends.iter().copied().enumerate().collect();
    order.sort_by(|x, y| y.1.total_cmp(&x.1));
    let mut places = vec![0.0; ends.len()];
    let mut last = f64::INFINITY;
    for (a, y) in order {
        last = y.min(last - APART);
        places[a] = last;
    }
    // What has been pushed beyond the top comes down again, all together.
    let least = places.iter().copied().fold(f64::INFINITY, f64::min);
    let back = (top - 10.0 - least).max(0.0);
    places.iter().map(|y| y + back).collect()
}

/// A scale: numbers to per cent of the width.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Scale {
    low: f64,
    high: f64,
    log: bool,
}

impl Scale {
    /// From `low` to at least `high`, ending at a tick; made wider if both are the same.
    pub fn linear(low: f64, high: f64) -> Scale {
        let high = if high > low { high } else { low + 1.0 };
        let step = Scale::step(low, high);
        let floor = (low / step + 1e-9).floor() * step;
        Scale { low: floor, high: (high / step - 1e-9).ceil() * step, log: false }
    }

    /// Whole powers of ten around the numbers, which must be above 0.
    pub fn log(low: f64, high: f64) -> Scale {
        let low = low.max(1e-12).log10().floor();
        let high = (high.max(1e-12).log10() - 1e-9).ceil().max(low + 1.0);
        Scale { low, high, log: true }
    }

    /// The least of 1, 2, 5 times a power of ten that gives no more than five steps, so that the
    /// numbers of ticks fit a narrow screen.
    fn step(low: f64, high: f64) -> f64 {
        let rough = (high - low) / 5.0 * (1.0 - 1e-9);
        let power = 10f64.powi(rough.log10().floor() as i32);
        let step = [1.0, 2.0, 5.0].into_iter().map(|m| m * power).find(|s| *s >= rough);
        step.unwrap_or(10.0 * power)
    }

    /// Does it reach as far as this number?
    pub fn holds(&self, x: f64) -> bool {
        let x = if self.log { x.max(1e-300).log10() } else { x };
        let slack = 1e-9 * (self.high - self.low);
        x >= self.low - slack && x <= self.high + slack
    }

    /// Where 0 stands, if it is a place on this scale.
    pub fn zero(&self) -> Option<f64> {
        (!self.log && self.holds(0.0)).then(|| self.at(0.0))
    }

    /// Do the numbers of its axis stand too close for a unit? Those of a scale of powers of ten do.
    pub fn crowded(&self) -> bool {
        self.log
    }

    /// Both ends, as a number.
    pub fn ends(&self) -> (f64, f64) {
        match self.log {
            true => (10f64.powf(self.low), 10f64.powf(self.high)),
            false => (self.low, self.high),
        }
    }

    /// Per cent of the width; what lies beyond is drawn at the edge.
    pub fn at(&self, x: f64) -> f64 {
        let x = if self.log { x.max(1e-300).log10() } else { x };
        (100.0 * (x - self.low) / (self.high - self.low)).clamp(0.0, 100.0)
    }

    /// Ticks with their numbers.
    pub fn ticks(&self) -> Vec<(f64, String)> {
        if self.log {
            let every = (((self.high - self.low) / 6.0).ceil() as i32).max(1);
            let powers = (self.low as i32..=self.high as i32).step_by(every as usize);
            return powers.map(|p| (10f64.powi(p), power(p))).collect();
        }
        let step = Scale::step(self.low, self.high);
        let n = ((self.high - self.low) / step).round() as usize;
        (0..=n).map(|i| self.low + i as f64 * step).map(|x| (x, tick(x, step))).collect()
    }
}

/// A power of ten in words that stay short.
fn power(p: i32) -> String {
    match p {
        -3..=5 => format!("{}", 10f64.powi(p)),
        _ => num(10f64.powi(p)).replace("1.0\u{a0}\u{d7}\u{a0}", ""),
    }
}

fn tick(x: f64, step: f64) -> String {
    let decimals = (-step.log10().floor()).clamp(0.0, 9.0) as usize;
    let text = format!("{x:.decimals$}");
    let zero = text.trim_matches(['-', '0', '.']).is_empty();
    if zero { "0".into() } else { text.replace('-', "\u{2212}") }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn scales_end_at_ticks_and_hold_their_numbers() {
        let s = Scale::linear(0.0, 217.0);
        assert_eq!((s.at(0.0), s.at(250.0)), (0.0, 100.0));
        assert!(s.ticks().len() <= 7, "{:?}", s.ticks());
        let log = Scale::log(3e-4, 0.7);
        assert_eq!((log.at(1e-4), log.at(1e-2), log.at(1.0)), (0.0, 50.0, 100.0));
        assert_eq!(log.ticks()[3].1, "0.1");
    }

    #[test]
    fn numbers_in_pictures_are_short() {
        assert_eq!([short(1.0), short(-0.001), short(2.345)], ["1", "0", "2.35"].map(String::from));
    }

    #[test]
    fn text_in_pictures_is_escaped() {
        let mut p = Picture::new(10.0);
        p.text((0.0, 5.0), Side::Start, "tick", "<a&b>");
        let svg = p.strip("");
        assert!(svg.contains("&lt;a&amp;b&gt;") && svg.contains("aria-hidden"), "{svg}");
    }
}

//! A plot: lines one below the other on one scale, each with a name that is text of the page (it
//! breaks where the page is narrow, and is never cut) and a strip with its marks.

use super::draw::{Picture, Scale, Side};
use super::words::esc;
use std::fmt::Write;

/// Longest unit that stands at the first number of an axis, characters.
const SHORT: usize = 6;

/// A plot in the making.
pub(super) struct Plot {
    id: String,
    title: String,
    scale: Scale,
    unit: String,
    limits: Vec<f64>,
    rows: String,
    told: Vec<String>,
    beside: bool,
}

impl Plot {
    /// An empty plot on a scale; its unit stands at the first number of the axis, or beside it.
    pub fn new(id: &str, title: &str, scale: Scale, unit: &str) -> Plot {
        Plot {
            id: id.into(),
            title: title.into(),
            scale,
            unit: unit.into(),
            limits: Vec::new(),
            rows: String::new(),
            told: Vec::new(),
            beside: false,
        }
    }

    /// The same with the unit beside the axis: the plot is one of several in a line.
    pub fn narrow(self) -> Plot {
        Plot { beside: true, ..self }
    }

    /// A dashed line through all lines that follow.
    pub fn limit(&mut self, x: f64) {
        self.limits.push(x);
    }

    /// A line: `name` is HTML, `told` says in words what is drawn, `draw` puts the marks into a strip of
    /// `height` pixels.
    pub fn row(
        &mut self,
        name: &str,
        told: String,
        height: f64,
        draw: impl FnOnce(&mut Picture, &Scale),
    ) {
        let mut strip = Picture::new(height);
        for (x, _) in self.scale.ticks() {
            let at = self.scale.at(x);
            strip.line((at, 0.0), (at, height), "grid");
        }
        if let Some(at) = self.scale.zero() {
            strip.line((at, 0.0), (at, height), "zero");
        }
        draw(&mut strip, &self.scale);
        for at in self.limits.iter().filter(|x| self.scale.holds(**x)).map(|x| self.scale.at(*x)) {
            strip.line((at, 0.0), (at, height), "limit");
        }
        let strip = strip.strip("");
        let _ = write!(
            self.rows,
            r#"<div class="row"><div class="row-name">{name}</div>{strip}</div>"#
        );
        self.told.push(told);
    }

    /// Does the unit stand beside the axis, because its numbers leave no room?
    fn beside(&self) -> bool {
        self.beside || self.scale.crowded() || self.unit.chars().count() > SHORT
    }

    /// The plot with its axis; `how` says in words what its marks are.
    pub fn finish(self, how: &str) -> String {
        let (id, told) = (&self.id, self.told.join("; "));
        format!(
            r#"<div class="plot" role="img" aria-labelledby="{id}-t" aria-describedby="{id}-d"><span class="unseen-text" id="{id}-t">{}</span><span class="unseen-text" id="{id}-d">{} {}.</span>{}<div class="row axis"><div class="row-name">{}</div>{}</div></div>"#,
            esc(&self.title),
            esc(how),
            esc(&told),
            self.rows,
            if self.beside() { esc(&self.unit) } else { String::new() },
            axis(&self.scale, if self.beside() { "" } else { &self.unit })
        )
    }
}

/// The axis: a number below each tick, the unit at the first where there is room.
fn axis(scale: &Scale, unit: &str) -> String {
    let mut foot = Picture::new(18.0);
    for (i, (x, text)) in scale.ticks().into_iter().enumerate() {
        let at = scale.at(x);
        let text = if i == 0 && !unit.is_empty() { format!("{text} {unit}") } else { text };
        let side = match at {
            at if at < 3.0 => Side::Start,
            at if at > 97.0 => Side::End,
            _ => Side::Middle,
        };
        foot.text((at, 13.0), side, "tick", &text);
    }
    foot.strip("foot")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_break_and_whiskers_beyond_the_axis_end_in_arrows() {
        let mut plot = Plot::new("p", "t", Scale::linear(-5.0, 10.0), "min");
        plot.limit(4.0);
        let name = "a-name-that-is-much-longer-than-any-strip-would-hold-at-four-hundred-pixels";
        plot.row(name, "told".into(), 20.0, |p, scale| {
            p.whisker(scale, (-7.0, 3.0), 10.0, "whisker");
        });
        let html = plot.finish("Whiskers:");
        assert!(html.contains(name) && html.contains("told"), "{html}");
        // one arrow, one small bar
        assert_eq!(html.matches("L7,-5.5").count(), 1, "{html}");
        assert_eq!(html.matches("M-1,-5H1").count(), 1, "{html}");
        // 0 is a place on the axis and has its number
        assert!(html.contains(">0</text>") && html.contains("class=\"zero\""), "{html}");
        assert!(
            html.contains(">\u{2212}5 min</text>") && html.contains("class=\"limit\""),
            "{html}"
        );
    }
}

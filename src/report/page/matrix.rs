//! A matrix: what is asked down, architectures across, and in each cell what was found with a small bar on
//! the scale of its row. On a narrow page each row becomes a block with a line for each architecture.

use super::draw::{Picture, Scale, Shape, hue};
use super::part::tag;
use super::words::esc;
use std::fmt::Write;

/// Architectures beside each other, at most; more stand below each other.
const ACROSS: usize = 8;

/// The bar of a cell.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Bar {
    /// from 0 to a value, with the limits of its interval
    Value(f64, Option<(f64, f64)>),
    /// limits of an interval alone: too few events for a bar
    Interval(f64, f64),
    /// none seen: somewhere below
    Below(f64),
}

impl Bar {
    /// The largest number it needs.
    pub fn most(&self) -> f64 {
        match *self {
            Bar::Value(x, limits) => limits.map_or(x, |l| x.max(l.1)),
            Bar::Interval(_, high) | Bar::Below(high) => high,
        }
    }
}

/// A cell.
#[derive(Clone, Debug, Default)]
pub(super) struct Cell {
    /// what it says, HTML
    pub said: String,
    /// its bar
    pub bar: Option<Bar>,
    /// the best of its row, or what else is to be seen first
    pub first: bool,
}

/// A row.
#[derive(Clone, Debug, Default)]
pub(super) struct Line {
    /// what is asked, HTML
    pub title: String,
    /// more on it, smaller, HTML
    pub sub: String,
    /// scale of the bars
    pub scale: Option<Scale>,
    /// where the best stands: a fine line in every cell
    pub best: Option<f64>,
    /// a limit: a dashed line in every cell
    pub limit: Option<f64>,
    /// a cell for each architecture
    pub cells: Vec<Cell>,
}

impl Line {
    /// A scale from 0 that holds all bars, and the limit where that is not far beyond them.
    pub fn scaled(mut self) -> Line {
        const FAR: f64 = 2.0;
        let most = self.cells.iter().filter_map(|c| c.bar).map(|b| b.most()).fold(0.0, f64::max);
        if most > 0.0 {
            let near = self.limit.filter(|l| *l <= FAR * most);
            self.scale = Some(Scale::linear(0.0, near.map_or(most, |l| l.max(most))));
            self.limit = near;
        }
        self
    }
}

/// The matrix.
#[derive(Clone, Debug)]
pub(super) struct Matrix<'a> {
    /// what it holds
    pub caption: &'a str,
    /// heading of the first column
    pub corner: &'a str,
    /// architectures
    pub arms: &'a [String],
    /// groups of rows, each with a heading of its own but the first
    pub groups: Vec<(String, Vec<Line>)>,
}

impl Matrix<'_> {
    /// As HTML. Roles are said, because a narrow page lays the cells out as blocks.
    pub fn html(&self) -> String {
        let many = if self.arms.len() > ACROSS { " many" } else { "" };
        let mut out = format!(
            r#"<table class="matrix{many}" role="table"><caption>{}</caption><thead role="rowgroup"><tr role="row"><th role="columnheader" scope="col" class="corner">{}</th>"#,
            esc(self.caption),
            esc(self.corner)
        );
        for (a, arm) in self.arms.iter().enumerate() {
            let _ = write!(out, r#"<th role="columnheader" scope="col">{}</th>"#, tag(a, arm));
        }
        out.push_str("</tr></thead>");
        for (heading, lines) in self.groups.iter().filter(|g| !g.1.is_empty()) {
            out.push_str(r#"<tbody role="rowgroup">"#);
            if !heading.is_empty() {
                let _ = write!(
                    out,
                    r#"<tr role="row" class="group"><th role="rowheader" scope="rowgroup" colspan="{}">{heading}</th></tr>"#,
                    self.arms.len() + 1
                );
            }
            for line in lines {
                out.push_str(&self.row(line));
            }
            out.push_str("</tbody>");
        }
        out + "</table>"
    }

    fn row(&self, line: &Line) -> String {
        let sub = match line.sub.as_str() {
            "" => String::new(),
            sub => format!(r#"<span class="sub">{sub}</span>"#),
        };
        let mut out =
            format!(r#"<tr role="row"><th role="rowheader" scope="row">{}{sub}</th>"#, line.title);
        for (a, cell) in line.cells.iter().enumerate() {
            let who = tag(a, &self.arms[a]);
            let first = if cell.first { " class=\"first\"" } else { "" };
            let bar = match (cell.bar, line.scale) {
                (Some(bar), Some(scale)) => drawn(&bar, &scale, line, a),
                _ => String::new(),
            };
            let _ = write!(
                out,
                r#"<td role="cell"{first}><span class="who">{who}</span><span class="said">{}</span>{bar}</td>"#,
                cell.said
            );
        }
        out + "</tr>"
    }
}

/// The bar of a cell.
fn drawn(bar: &Bar, scale: &Scale, line: &Line, arm: usize) -> String {
    const TALL: f64 = 13.0;
    const MIDDLE: f64 = 6.5;
    let mut p = Picture::new(TALL);
    p.rect((0.0, 100.0), (MIDDLE - 5.0, 10.0), "track");
    let band = |p: &mut Picture, low: f64, high: f64| {
        let class = format!("band {}", hue(arm));
        p.line((scale.at(low), MIDDLE), (scale.at(high), MIDDLE), &class);
        for (x, shape) in [(low, Shape::Left), (high, Shape::Right)] {
            if !scale.holds(x) {
                p.mark((scale.at(x), MIDDLE), shape, "tip");
            }
        }
    };
    match *bar {
        Bar::Value(x, limits) => {
            p.rect((0.0, scale.at(x)), (MIDDLE - 5.0, 10.0), &format!("amount {}", hue(arm)));
            if let Some((low, high)) = limits {
                band(&mut p, low, high);
            }
            p.mark((scale.at(x), MIDDLE), Shape::Bar, "tip");
        }
        Bar::Interval(low, high) => band(&mut p, low, high),
        Bar::Below(high) => {
            p.line((0.0, MIDDLE), (scale.at(high), MIDDLE), "unseen");
            p.mark((scale.at(high), MIDDLE), Shape::Lower, &format!("open {}", hue(arm)));
        }
    }
    if let Some(at) = line.best.map(|x| scale.at(x)) {
        p.line((at, 0.0), (at, TALL), "at-best");
    }
    if let Some(at) = line.limit.filter(|x| scale.holds(*x)).map(|x| scale.at(x)) {
        p.line((at, 0.0), (at, TALL), "limit");
    }
    p.strip("mini")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_row_has_one_scale_and_what_was_never_seen_is_no_bar() {
        let cell = |bar| Cell { said: "x".into(), bar: Some(bar), first: false };
        let cells = vec![
            cell(Bar::Value(3.0, Some((2.0, 4.5)))),
            cell(Bar::Below(1.0)),
            cell(Bar::Interval(0.5, 2.0)),
        ];
        let line = Line { cells, limit: Some(100.0), ..Line::default() }.scaled();
        assert_eq!(line.scale.map(|s| s.ends()), Some((0.0, 5.0)));
        assert_eq!(line.limit, None);
        let arms = ["a".to_string(), "b".into(), "<c>".into()];
        let groups = vec![(String::new(), vec![line])];
        let html = Matrix { caption: "t", corner: "m", arms: &arms, groups }.html();
        assert_eq!(html.matches("class=\"amount").count(), 1, "{html}");
        assert_eq!(html.matches("class=\"unseen\"").count(), 1);
        assert_eq!(html.matches("class=\"band").count(), 2);
        assert!(html.contains("&lt;c&gt;") && !html.contains("<c>"));
    }
}

//! Stacked bars: one for each architecture, its parts in one order for all.

use super::draw::{Picture, Scale, Side};
use super::part::{Figure, Grid, absent, legend, lined, shade, tag};
use super::plot::Plot;
use super::words::{esc, name, num, rounded, unit_words};
use crate::report::book::Book;

/// Most parts that are told apart; the others are one part.
pub(super) const PARTS: usize = 9;
/// Height of a row, pixels.
const ROW: f64 = 28.0;
/// Narrowest segment that carries its number, per cent of the width.
const NUMBERED: f64 = 5.0;

/// What is stacked.
pub(super) struct Stacked {
    /// unit
    pub unit: String,
    /// names of the parts, in the order of the bars
    pub parts: Vec<String>,
    /// the measure that is broken down; empty where it is none
    pub measure: String,
    /// of each architecture: amount of each part
    pub amounts: Vec<Vec<f64>>,
}

impl Stacked {
    /// The causes of a quantity, the greatest (of all architectures together) first unless
    /// `in_order`; causes never seen are left out and those beyond `most` put together.
    pub fn of(book: &Book, quantity: &str, unit: &str, in_order: bool, most: usize) -> Stacked {
        let all: Vec<Vec<(&str, f64)>> =
            book.arms().iter().map(|a| book.causes(a, quantity)).collect();
        Stacked { measure: quantity.into(), ..Stacked::from_rows(&all, unit, in_order, most) }
    }

    /// The same from rows of (part, amount) of each architecture.
    pub fn from_rows(all: &[Vec<(&str, f64)>], unit: &str, in_order: bool, most: usize) -> Stacked {
        let mut totals: Vec<(&str, f64)> = Vec::new();
        for (part, x) in all.iter().flatten() {
            match totals.iter_mut().find(|(p, _)| p == part) {
                Some((_, sum)) => *sum += x,
                None => totals.push((*part, *x)),
            }
        }
        totals.retain(|(_, x)| *x > 0.0);
        let mut by_size = totals.clone();
        by_size.sort_by(|x, y| y.1.total_cmp(&x.1));
        let own = if by_size.len() > most + 1 { most } else { by_size.len() };
        by_size.truncate(own);
        let kept: Vec<&str> = if in_order {
            let large = |p: &&str| by_size.iter().any(|(q, _)| q == p);
            totals.iter().map(|(p, _)| *p).filter(large).collect()
        } else {
            by_size.iter().map(|(p, _)| *p).collect()
        };
        let amounts = all
            .iter()
            .map(|rows| {
                let sum = |wanted: &dyn Fn(&str) -> bool| -> f64 {
                    rows.iter().filter(|(p, _)| wanted(p)).map(|(_, x)| x).sum()
                };
                let mut own: Vec<f64> = kept.iter().map(|k| sum(&|p| p == *k)).collect();
                if totals.len() > kept.len() {
                    own.push(sum(&|p| !kept.contains(&p)));
                }
                own
            })
            .collect();
        let mut parts: Vec<String> = kept.iter().map(|k| k.to_string()).collect();
        if totals.len() > kept.len() {
            parts.push(format!("{} smaller ones", totals.len() - kept.len()));
        }
        Stacked { unit: unit.into(), parts, measure: String::new(), amounts }
    }

    /// Sum of an architecture.
    pub fn total(&self, arm: usize) -> f64 {
        self.amounts[arm].iter().sum()
    }

    /// Sum of an architecture in words, to the first digit of the half-width of its measure.
    fn total_words(&self, book: &Book, arm: usize) -> String {
        let e = book.estimate(&book.arms()[arm], &self.measure);
        let half = e.and_then(|e| Some(0.5 * (e.high? - e.low?)));
        format!("{}\u{a0}{}", rounded(self.total(arm), half), unit_words(&self.unit))
    }

    /// The figure; `how` says how to read it.
    pub fn figure(&self, book: &Book, id: &str, title: &str, how: &str) -> String {
        if self.parts.is_empty() {
            return absent(id, title, "None was seen, or this folder does not have its table.");
        }
        let (picture, numbers) = self.shown(book, id, title);
        let lead = self.sight(book);
        Figure { id, title, lead: &lead, picture, numbers: vec![numbers] }.explained(how)
    }

    /// The picture with its legend, and its numbers.
    pub fn shown(&self, book: &Book, id: &str, title: &str) -> (String, Grid) {
        let picture = self.picture(book, id, title) + &legend(&self.parts);
        (picture, self.grid(book, title))
    }

    /// What to see: who has the most and who the least, and what makes most of the difference.
    pub fn sight(&self, book: &Book) -> String {
        let arms = book.arms();
        let amount = |x: f64| format!("{}\u{a0}{}", num(x), unit_words(&self.unit));
        let by_total = |x: &usize, y: &usize| self.total(*x).total_cmp(&self.total(*y));
        let most = (0..arms.len()).max_by(by_total).unwrap_or(0);
        let least = (0..arms.len()).min_by(by_total).unwrap_or(0);
        let greatest = |of: &dyn Fn(usize) -> f64| {
            (0..self.parts.len()).max_by(|x, y| of(*x).total_cmp(&of(*y))).unwrap_or(0)
        };
        let part = |i: usize| format!("<i>{}</i>", esc(&self.parts[i]));
        if self.total(most) <= self.total(least) {
            let first = greatest(&|i| self.amounts[most][i]);
            let share = amount(self.amounts[most][first]);
            let all = self.total_words(book, most);
            return format!("The largest part is {}: {share} of {all}.", part(first));
        }
        let gap = |i: usize| self.amounts[most][i] - self.amounts[least][i];
        let first = greatest(&gap);
        format!(
            "{} has the most ({}) and {} the least ({}); {} makes most of the difference \
             (+{}).",
            name(&arms[most]),
            self.total_words(book, most),
            name(&arms[least]),
            self.total_words(book, least),
            part(first),
            amount(gap(first))
        )
    }

    fn picture(&self, book: &Book, id: &str, title: &str) -> String {
        let arms = book.arms();
        let most = (0..arms.len()).map(|a| self.total(a)).fold(0.0, f64::max);
        let unit = unit_words(&self.unit);
        let mut plot = Plot::new(&format!("{id}-plot"), title, Scale::linear(0.0, most), &unit);
        for (a, arm) in arms.iter().enumerate() {
            let total = self.total_words(book, a);
            let told = format!("{arm} {total}");
            plot.row(&lined(a, arm, &total), told, ROW, |p, scale| self.segments(p, scale, a));
        }
        plot.finish(&format!(
            "Stacked bars, one for each architecture, parts in order: {}. Totals:",
            self.parts.join(", ")
        ))
    }

    fn segments(&self, p: &mut Picture, scale: &Scale, arm: usize) {
        let mut sum = 0.0;
        for (i, x) in self.amounts[arm].iter().enumerate().filter(|(_, x)| **x > 0.0) {
            let (from, to) = (scale.at(sum), scale.at(sum + x));
            p.rect((from, to - from), (4.0, 20.0), &format!("seg {}", shade(i)));
            if to - from >= NUMBERED {
                let middle = (0.5 * (from + to), 18.5);
                p.text(middle, Side::Middle, "seg-number", &(i + 1).to_string());
            }
            sum += x;
        }
    }

    /// Parts down, architectures across.
    pub fn grid(&self, book: &Book, title: &str) -> Grid {
        let mut grid = Grid::new(&format!("{title}, {}", unit_words(&self.unit)), &["part"]);
        grid.header.extend(book.arms().iter().enumerate().map(|(a, arm)| tag(a, arm)));
        for (i, part) in self.parts.iter().enumerate() {
            let cells = self.amounts.iter().map(|amounts| match amounts[i] {
                0.0 => "none seen".to_string(),
                x => num(x),
            });
            grid.rows.push([format!("{} {}", i + 1, esc(part))].into_iter().chain(cells).collect());
        }
        let totals = (0..book.arms().len()).map(|a| num(self.total(a)));
        grid.rows.push(["all".to_string()].into_iter().chain(totals).collect());
        grid
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn small_parts_are_put_together_and_nothing_is_lost() {
        let names: Vec<String> = (0..14).map(|i| format!("c{i}")).collect();
        let rows: Vec<(&str, f64)> =
            names.iter().enumerate().map(|(i, n)| (n.as_str(), i as f64)).collect();
        let s = Stacked::from_rows(&[rows, vec![("c0", 0.0), ("c13", 2.0)]], "h", false, PARTS);
        assert_eq!(s.parts.len(), PARTS + 1);
        assert_eq!((s.parts[0].as_str(), s.parts[PARTS].as_str()), ("c13", "4 smaller ones"));
        assert_eq!((s.total(0), s.total(1)), (91.0, 2.0));
    }
}

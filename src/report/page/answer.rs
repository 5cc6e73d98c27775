//! The answer first: who is best at what, in one matrix and one sentence for each architecture.

use super::limits;
use super::matrix::{Bar, Cell, Line, Matrix};
use super::part::{tag, unfold};
use super::standing::{Place, Standing};
use super::told;
use super::words::{
    FEW, MISSED, esc, figures_of, interval, num, percent, plain, sentence_case, unit_words,
};
use crate::report::book::Book;
use std::fmt::Write;

/// The section.
pub(super) fn answer(book: &Book, standings: &[Standing]) -> String {
    let mut out = format!(r#"<p class="headline">{}</p>"#, told::headline(book, standings));
    let mut groups = vec![(String::new(), lines(book, standings))];
    groups.extend(limits::group(book));
    let (caption, corner) = ("Who is best at what", "measure");
    out.push_str(&Matrix { caption, corner, arms: book.arms(), groups }.html());
    out.push_str(r#"<ul class="sentences">"#);
    for (a, arm) in book.arms().iter().enumerate() {
        let titles = book.manifest.setting.as_ref().map(|s| s.titles.as_slice()).unwrap_or(&[]);
        let title = titles.get(a).filter(|t| !t.is_empty());
        let title =
            title.map_or(String::new(), |t| format!(r#" <span class="sub">{}</span>"#, esc(t)));
        let _ = write!(
            out,
            "<li><h3>{}</h3><p>{}{title}</p></li>",
            tag(a, arm),
            told::sentence(book, standings, a)
        );
    }
    out.push_str("</ul>");
    out.push_str(&told::rankings(book));
    out.push_str(&unfold("How to read the matrix", &reading(book, standings)));
    out
}

/// How the matrix is to be read.
fn reading(book: &Book, standings: &[Standing]) -> String {
    let looked = standings.len() * book.arms().len().saturating_sub(1);
    let mut out = String::from(
        "<p>Each cell gives the mean over campaigns, half the width of its 95 % interval (or both \
        limits, where they are uneven), and a bar from 0 on the scale of its row: the pale part \
        reaches to the mean, the dark part spans the interval. Digits end at the first digit of \
        half the width. ",
    );
    if looked > 0 {
        let _ = write!(
            out,
            "The fine line marks the best, a dashed line a limit. \u{25cf} best: the best mean, and \
             at least one other is behind it; \u{25cb} level: not distinguishable from the best; a \
             number with its sign: how far behind the best. An architecture is behind where the \
             95 % interval of its paired difference to the best, on common random numbers, excludes \
             0; that is much sharper than the intervals of single columns. {looked} differences \
             to the best were looked at, so that chance alone puts some {} of them there. ",
            num(0.05 * looked as f64)
        );
    }
    let _ = write!(
        out,
        "A share from fewer than {FEW} events has no bar, only its interval; of what was never \
         seen an upper bound is drawn. Of limits, p95 is what 95 % of campaigns keep, and \
         \u{201c}needs\u{201d} the number of campaigns that would decide. The intervals say how \
         far simulation noise and uncertain \
         parameters go, not whether assumed numbers are right.</p>"
    );
    out
}

/// A row for each measure.
fn lines(book: &Book, standings: &[Standing]) -> Vec<Line> {
    let known = |s: &&Standing| (0..book.arms().len()).any(|a| s.mean(a).is_some());
    standings.iter().filter(known).map(|s| line(book, s)).collect()
}

fn line(book: &Book, s: &Standing) -> Line {
    let line = Line {
        title: sentence_case(s.spoken.words()),
        best: s.best.and_then(|b| s.mean(b)),
        limit: limits::of_mean(book, s.spoken.name),
        cells: (0..book.arms().len()).map(|a| cell(book, s, a)).collect(),
        ..Line::default()
    };
    let line = line.scaled();
    let share = s.spoken.share;
    let unit = if share { "% of campaigns".into() } else { unit_words(&s.unit) };
    let times = if share { 100.0 } else { 1.0 };
    let end = line.scale.map(|scale| format!(", 0 to {}", plain(times * scale.ends().1)));
    Line { sub: unit + &end.unwrap_or_default(), ..line }
}

fn cell(book: &Book, s: &Standing, arm: usize) -> Cell {
    let alone = book.arms().len() < 2;
    let estimate = s.estimates[arm].as_ref();
    let Some((e, mean)) = estimate.and_then(|e| Some((e, e.mean?))) else {
        return Cell { said: "not estimable".into(), ..Cell::default() };
    };
    let badge = match s.places[arm] {
        // Where no difference is clear nobody is marked.
        _ if alone || s.best.is_none() => String::new(),
        Place::Best => r#"<span class="best">&#9679; best</span>"#.into(),
        Place::Even => r#"<span class="even">&#9675; level</span>"#.into(),
        Place::Behind(_) => {
            let size = s.behind(arm).unwrap_or_default();
            format!(r#"<span class="behind">{size}</span>"#)
        }
        Place::Unknown => String::new(),
    };
    let first = !alone && s.places[arm] == Place::Best;
    let (value, range, bar) = shown(book, s, e, mean);
    let range =
        if range.is_empty() { range } else { format!(r#" <span class="ci">{range}</span>"#) };
    let said = format!(r#"<span><span class="x">{value}</span>{range}</span>{badge}"#);
    Cell { said, bar, first }
}

/// Value, interval and bar of a cell.
fn shown(
    book: &Book,
    s: &Standing,
    e: &crate::report::book::Estimate,
    mean: f64,
) -> (String, String, Option<Bar>) {
    if mean == 0.0 {
        let below = e.high.filter(|h| *h > 0.0);
        let range = below.map_or(String::new(), |h| match s.spoken.share {
            true => format!("&lt;\u{a0}{}", percent(h, Some(0.1 * h))),
            false => format!("&lt;\u{a0}{}", num(h)),
        });
        let value = match s.spoken.name {
            MISSED => format!("0 of {}", book.manifest.campaigns),
            _ => "none seen".into(),
        };
        return (value, range, below.map(Bar::Below));
    }
    let limits = e.low.zip(e.high);
    let events = mean * book.manifest.campaigns as f64;
    if s.spoken.name == MISSED && events < FEW {
        let value = format!("{events:.0} of {}", book.manifest.campaigns);
        let range = format!("{}\u{a0}%", interval(e, s.spoken));
        return (value, range, limits.map(|(l, h)| Bar::Interval(l, h)));
    }
    (figures_of(e, s.spoken), interval(e, s.spoken), Some(Bar::Value(mean, limits)))
}

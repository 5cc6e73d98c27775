//! `sensitivity.csv`: what the outputs of a sweep depend on.

use super::columns;
use super::table::{Cell, Table};
use crate::study::sensitivity::found::{Found, found};
use crate::study::sweep::Answers;

/// `sensitivity.csv`; `seed` is that of the resamples.
pub fn sensitivity(answers: &Answers, seed: u64) -> Table {
    let mut t = Table::new(columns::SENSITIVITY);
    for f in found(answers, seed) {
        t.push(row(answers, &f));
    }
    t
}

fn row(answers: &Answers, f: &Found) -> Vec<Cell> {
    let factor = f.factor.map_or("", |i| answers.factors[i].name.as_str());
    let reference = f.reference.map_or("", |i| answers.architectures[i].as_str());
    let measure = &answers.measures[f.measure];
    let unit = match (f.in_units, f.scale.word()) {
        (false, _) => "",
        (true, "plain") => measure.unit.as_str(),
        (true, _) => "decades",
    };
    let index = &f.index;
    vec![
        Cell::text(f.analysis),
        Cell::text(factor),
        Cell::text(&answers.architectures[f.architecture]),
        Cell::text(reference),
        Cell::text(&measure.name),
        Cell::text(f.scale.word()),
        Cell::text(f.name),
        Cell::text(unit),
        Cell::maybe(index.value),
        Cell::maybe(index.low),
        Cell::maybe(index.high),
        Cell::maybe(index.floor),
        f.rank.map_or(Cell::Empty, Cell::Whole),
        Cell::Whole(index.n),
        Cell::text(index.method),
        Cell::text(&index.note),
    ]
}

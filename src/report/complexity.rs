//! `complexity.csv`: parts, steps, single-point failures and upkeep, counted.

use super::columns;
use super::table::{Cell, Table};
use crate::measure::MEASURES;
use crate::model::Model;
use crate::plan::NONE;
use crate::stats::Results;

/// `complexity.csv`: each port, then the architecture as a whole.
pub fn complexity(model: &Model, results: &Results) -> Table {
    let mut t = Table::new(columns::COMPLEXITY);
    let upkeep = MEASURES.iter().position(|m| m.name == "upkeep_h");
    for (a, arm) in model.arms.iter().enumerate() {
        for c in &arm.complexity {
            let port = match c.port {
                NONE => "all",
                p => &arm.layout.ports[p as usize].name,
            };
            t.push(vec![
                Cell::text(&arm.name),
                Cell::text(port),
                Cell::text(c.item),
                Cell::maybe(c.count),
                Cell::text(c.unit),
                Cell::Whole(0),
                Cell::text("counted in the files"),
                Cell::text(&c.note),
            ]);
        }
        if let Some(c) = upkeep {
            let e = results.estimate(a, c);
            t.push(vec![
                Cell::text(&arm.name),
                Cell::text("all"),
                Cell::text("upkeep hours"),
                Cell::maybe(e.mean),
                Cell::text("h"),
                Cell::Whole(e.n_used),
                Cell::text("mean over campaigns; its interval stands in summary.csv"),
                Cell::text(&e.note),
            ]);
        }
    }
    t
}

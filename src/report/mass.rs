//! `mass.csv` and `breakeven.csv`: equivalent system mass by part, and the campaign length at which
//! two architectures have the same.

use super::columns;
use super::table::{Cell, Table};
use crate::model::{FIXED_PARTS, Hardware, MASS_PARTS, MassFactors, MassPart, Model};
use crate::stats::Results;
use crate::stats::beta::student_t;
use crate::stats::interval::OUTSIDE;
use crate::study::standing::{BreakEven, Standing, break_even};

/// What the note says behind the name of the lighter one where there is no break-even.
pub(super) const LIGHTER: &str = " is lighter at any length";

/// What follows where the means say so and the intervals do not.
const NOT_CLEAR: &str = " by the means, but the 95 % interval of a difference includes 0";

/// How each part was had, in the order of [`MASS_PARTS`].
const HAD: [&str; MASS_PARTS.len()] = [
    "masses of access systems, openings of elements and suits as given",
    "outfitting volume of access systems and suits times `volume`",
    "peak power of pumps times `duty_share` times `power`",
    "oxygen used times 1 + `tank_oxygen`",
    "nitrogen used times 1 + `tank_nitrogen`",
    "water used times 1 + `tank_water`",
    "spares used times their masses, and their volume times `volume`",
    "overhead and maintenance hours times `crew_time`",
];

/// `mass.csv`; `None` where the file gives no factors.
pub fn mass(model: &Model, results: &Results) -> Option<Table> {
    let factors = model.mass.as_ref()?;
    let mut t = Table::new(columns::MASS);
    let column = crate::measure::MEASURES.iter().position(|m| m.name == "system_mass_kg");
    for (a, arm) in model.arms.iter().enumerate() {
        let (block, sizes) = (arm.blocks.mass?, arm.blocks.volume?);
        let size = |i: usize| results.estimate_extra(a, sizes + i).mean;
        let volume = |part: usize| match part {
            _ if part == MassPart::Volume as usize => size(0),
            _ if part == MassPart::Spares as usize => size(1),
            _ => None,
        };
        let all = size(0).zip(size(1)).map(|(x, y)| x + y);
        for (i, part) in MASS_PARTS.iter().enumerate() {
            let e = results.estimate_extra(a, block + i);
            // What is there from the first day is as the file gives it, also where that is nothing.
            let mut notes = if i < FIXED_PARTS { Vec::new() } else { vec![e.note.clone()] };
            notes.extend(unweighed(i, &arm.hardware, factors, model));
            notes.extend(no_volume(i).map(str::to_string));
            notes.retain(|n| !n.is_empty());
            let basis = match i {
                _ if [MassPart::Hardware as usize, MassPart::Spares as usize].contains(&i) => {
                    HAD[i].to_string()
                }
                _ => format!("{} ({})", HAD[i], factors.basis),
            };
            t.push(vec![
                Cell::text(&arm.name),
                Cell::text(*part),
                Cell::maybe(e.mean),
                Cell::maybe(volume(i)),
                Cell::text(basis),
                Cell::Whole(e.n_used),
                Cell::text("mean over campaigns; intervals stand in breakdown.csv"),
                Cell::text(notes.join("; ")),
            ]);
        }
        let e = results.estimate(a, column?);
        t.push(vec![
            Cell::text(&arm.name),
            Cell::text("all"),
            Cell::maybe(e.mean),
            Cell::maybe(all),
            Cell::text("sum of the parts"),
            Cell::Whole(e.n_used),
            Cell::text("mean over campaigns; its interval stands in summary.csv"),
            Cell::text(""),
        ]);
    }
    Some(t)
}

/// Says which parts give no mass and count as nothing: a mass that is left out is not 0.
fn unweighed(
    part: usize,
    hardware: &Hardware,
    factors: &MassFactors,
    model: &Model,
) -> Option<String> {
    let is = |p: MassPart| part == p as usize;
    let without: Vec<String> = match () {
        () if is(MassPart::Hardware) => parts(hardware.unweighed),
        () if is(MassPart::Volume) => parts(hardware.unsized_parts),
        () if is(MassPart::Spares) => {
            let kinds = model.spares.iter().zip(&factors.spares);
            kinds.filter(|(_, m)| m.is_none()).map(|((name, _), _)| name.clone()).collect()
        }
        () => Vec::new(),
    };
    let what = if is(MassPart::Volume) { "envelope" } else { "mass" };
    (!without.is_empty()).then(|| format!("no {what} is given for: {}", without.join(", ")))
}

/// Kinds of parts with how many there are, those of which there is none left out.
fn parts(counts: [u32; 5]) -> Vec<String> {
    let kinds = ["volumes", "openings", "pumps", "stages", "suits"].iter();
    let some = kinds.zip(counts).filter(|(_, n)| *n > 0);
    some.map(|(kind, n)| format!("{n} {kind}")).collect()
}

/// Why a part of the mass has no volume beside it.
fn no_volume(part: usize) -> Option<&'static str> {
    let is = |parts: &[MassPart]| parts.iter().any(|p| part == *p as usize);
    match () {
        () if is(&[MassPart::Hardware]) => Some("its volume stands in the row volume"),
        () if is(&[MassPart::Oxygen, MassPart::Nitrogen, MassPart::Water]) => {
            Some("the volume of tanks is not counted")
        }
        () if is(&[MassPart::Power, MassPart::CrewTime]) => Some("has no volume of its own"),
        () => None,
    }
}

/// `breakeven.csv`: every unordered pair; the reference is the one earlier in the file.
pub fn breakeven(model: &Model, standing: &Standing) -> Option<Table> {
    model.mass.as_ref()?;
    let mut t = Table::new(columns::BREAKEVEN);
    let mut pair = 0;
    for r in 0..model.arms.len() {
        for a in r + 1..model.arms.len() {
            t.push(row(model, (r, a), standing, pair));
            pair += 1;
        }
    }
    Some(t)
}

fn row(model: &Model, (r, a): (usize, usize), standing: &Standing, pair: usize) -> Vec<Cell> {
    let m = standing.masses(pair);
    let factor = if m.n > 1 { student_t((m.n - 1) as f64, OUTSIDE) } else { f64::NAN };
    let names = [&model.arms[a].name, &model.arms[r].name];
    let lighter = |other: bool| if other { names[0] } else { names[1] };
    let found = break_even(&m, factor);
    let (at, low, high, note) = match found {
        BreakEven::At(at, low, high) => {
            let first = format!(
                "{} is lighter before, {} after",
                lighter(m.mean[0] < 0.0),
                lighter(m.mean[1] < 0.0)
            );
            let ends = match (low, high) {
                (Some(_), Some(_)) => "",
                (None, Some(_)) => "; no lower limit above 0",
                _ => "; no interval: that of the difference per day includes 0",
            };
            (Some(at), low, high, format!("{first}{ends}"))
        }
        BreakEven::Never(other, clear) => {
            let end = if clear { "" } else { NOT_CLEAR };
            (None, None, None, format!("{}{LIGHTER}{end}", lighter(other)))
        }
        BreakEven::Unknown => (None, None, None, "no difference was estimable".into()),
    };
    let per_day = spread(&m, factor);
    let mut row = vec![Cell::text(names[0]), Cell::text(names[1])];
    row.extend([at, low, high].map(Cell::maybe));
    row.push(Cell::maybe(Some(m.mean[0])));
    row.extend(per_day.map(Cell::maybe));
    row.extend([
        Cell::Whole(m.n),
        Cell::text("Fieller, paired; the first parts stay, the others grow evenly per planned day"),
        Cell::text(note),
    ]);
    row
}

/// The difference per day with its interval.
fn spread(m: &crate::stats::moments::CoMoments<2>, factor: f64) -> [Option<f64>; 3] {
    let error = m.variance_of([0.0, 1.0]).map(|v| (v / m.n as f64).sqrt());
    let half = error.map(|e| e * factor);
    let y = m.mean[1];
    [Some(y), half.map(|h| y - h), half.map(|h| y + h)]
}

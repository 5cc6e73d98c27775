//! From a model to results: which columns are tallied, and the player that fills their rows.

use super::drivers::{Sample, Watch};
use super::replicate::{self, Halt, NoRows, Order, Replication, Sink};
use crate::campaign;
use crate::measure::{FACTS, Fact, Kind, MEASURES, Read};
use crate::model::{DOOR_TO_DOOR, Model};
use crate::outcome::Outcome;
use crate::stats::{self, CampaignRows, Column, Extra, Extreme, Part, Plan, Side};
use std::ops::Range;

/// Index of the extreme that holds the smallest margin of a way back (a miss below all).
pub const WORST_WAY_BACK: usize = 0;
/// Index of the extreme that holds the smallest margin of planned ingress.
pub const WORST_PLANNED: usize = 1;

/// What is tallied of a model: every measure in the order of [`MEASURES`]; beside them, per
/// architecture, the rows of the breakdown and then the outcomes of demands.
pub fn plan(model: &Model) -> Plan {
    let columns = MEASURES.iter().map(column).collect();
    let extras = model
        .arms
        .iter()
        .map(|a| {
            let sorties = Some(Fact::SortiesDone as usize);
            let over = |quantity: &str| if quantity == DOOR_TO_DOOR { sorties } else { None };
            let causes = a.breakdown.iter().map(|(q, ..)| Extra { over: over(q) });
            let demands = Some(Fact::HavenDemands as usize);
            causes.chain(a.outcomes.iter().map(|_| Extra { over: demands })).collect()
        })
        .collect();
    let index = |name: &str| {
        let at = MEASURES.iter().position(|m| m.name == name);
        at.expect("the two margins are in the registry of measures")
    };
    let least = |name: &str| Extreme { column: index(name), side: Side::Least };
    let plan = Plan::new(model.arms.len(), FACTS, columns, extras).and_then(|p| {
        p.with_extremes(vec![least("haven_margin_contingency_min"), least("haven_margin_min")])
    });
    match plan {
        Ok(p) => p.with_sets(model.inner),
        // The registry of measures is constant and a model has at least one architecture.
        Err(e) => unreachable!("the plan of the measures is not valid: {e}"),
    }
}

fn column(m: &crate::measure::Measure) -> Column {
    let kind = match m.kind {
        Kind::Sum | Kind::Ratio => stats::Kind::Amount,
        Kind::Count => stats::Kind::Count,
        Kind::Flag => stats::Kind::Flag,
        Kind::Worst => stats::Kind::Worst,
    };
    match m.read {
        Read::Of(f) => Column::Plain { value: f as usize, kind },
        Read::Ratio(n, d) => Column::Ratio {
            numerator: n as usize,
            denominator: d as usize,
            share: m.name.ends_with("_fraction"),
        },
    }
}

/// Fills rows from campaigns, which somebody may watch.
struct Filler<'m> {
    player: campaign::Player<'m>,
    watch: Option<Watch>,
}

impl<'m> Filler<'m> {
    fn new(model: &'m Model, sample: Option<Sample>) -> Filler<'m> {
        let watch = sample.map(|s| Watch::new(model, s));
        Filler { player: campaign::Player::new(model), watch }
    }
}

impl replicate::Player for Filler<'_> {
    fn play(&mut self, campaign: u64, rows: &mut CampaignRows) {
        for (arm, outcome) in self.player.play(campaign).enumerate() {
            fill(outcome, rows, arm);
            if let Some(watch) = &mut self.watch {
                watch.look(arm, campaign, outcome);
            }
        }
    }
}

fn fill(outcome: &Outcome, rows: &mut CampaignRows, arm: usize) {
    let row = rows.row_mut(arm);
    row.values.copy_from_slice(&outcome.facts.value);
    *row.absent = outcome.facts.absent;
    let n = outcome.breakdown.len();
    row.extras[..n].copy_from_slice(&outcome.breakdown);
    row.extras[n..].copy_from_slice(&outcome.havens);
    *row.weight = outcome.weight;
}

/// A player of a model that nobody watches.
pub fn player(model: &Model) -> impl replicate::Player {
    Filler { player: campaign::Player::new(model), watch: None }
}

/// What a worker leaves beside its tallies.
#[derive(Debug)]
pub struct Beside {
    /// By parameter: how often it was capped ([`campaign::Player::capped`]).
    pub capped: Vec<u64>,
    /// What was watched for the drivers.
    pub watch: Option<Watch>,
}

impl Beside {
    fn of(f: Filler) -> Beside {
        Beside { capped: f.player.capped().to_vec(), watch: f.watch }
    }

    /// By parameter: how often it was capped by all of them.
    pub fn capped(all: &[Beside], model: &Model) -> Vec<u64> {
        let mut sums = vec![0; model.params.len()];
        for b in all {
            sums.iter_mut().zip(&b.capped).for_each(|(sum, n)| *sum += n);
        }
        sums
    }
}

/// Plays a model. `rows`, if given, receives every campaign in order; campaigns of `sample`
/// are watched for the drivers.
///
/// # Errors
/// When it was stopped, the rows could not be taken, or threads could not be started.
pub fn run<S: Sink>(
    model: &Model,
    order: Order,
    rows: Option<S>,
    sample: Option<Sample>,
) -> Result<Replication<Beside>, Halt<S::Error>> {
    let plan = plan(model);
    let player = || Filler::new(model, sample);
    let done = match rows {
        Some(sink) => replicate::replicate_with_rows(&plan, order, player, sink)?,
        None => replicate::replicate(&plan, order, player).map_err(without_rows::<S::Error>)?,
    };
    let players = done.players.into_iter().map(Beside::of).collect();
    Ok(Replication { results: done.results, players })
}

/// Plays some of the blocks of what [`run`] plays; `rows` receives their campaigns in order. See
/// [`replicate::replicate_part`].
///
/// # Errors
/// As [`run`].
pub fn run_part<S: Sink>(
    model: &Model,
    order: Order,
    blocks: Range<u64>,
    rows: Option<S>,
) -> Result<(Part, Vec<Beside>), Halt<S::Error>> {
    let player = || Filler::new(model, None);
    let (part, players) = replicate::replicate_part(&plan(model), order, blocks, player, rows)?;
    Ok((part, players.into_iter().map(Beside::of).collect()))
}

/// Nothing took rows, so that nothing refused them.
fn without_rows<E>(halt: Halt<<NoRows as Sink>::Error>) -> Halt<E> {
    match halt {
        Halt::Stopped { played } => Halt::Stopped { played },
        Halt::Threads { threads, source } => Halt::Threads { threads, source },
        Halt::Sink { source, .. } => match source {},
    }
}

/// Facts of one row as they were filled in, for tables of campaigns.
pub fn facts(rows: &CampaignRows, arm: usize) -> crate::measure::Facts {
    let row = rows.row(arm);
    let mut facts = crate::measure::Facts::default();
    facts.value.copy_from_slice(row.values);
    facts.absent = row.absent;
    facts
}

//! The points of a sweep: what each factor is there, the campaign that follows, and whether it holds
//! together.

use super::answers::{self, Design, Point};
use super::design;
use crate::base::stream::{Luck, fnv1a64};
use crate::check::{self, Checked};
use crate::model::{self, Model};
use crate::scenario::{
    Base, DesignKind, Finding, Named, PointLuck, SWEEP_LARGE, Setting, Sources, SweepSpec, Taken,
};
use rayon::prelude::*;

/// Most points of a sweep.
const MOST_POINTS: usize = 1_000_000;
/// Most factors: twice as many dimensions are needed for Saltelli's design.
const MOST_FACTORS: usize = design::MOST_DIMENSIONS / 2;
/// The address of the seeds of points that have one of their own.
const SEEDS: u64 = fnv1a64("sweep: seed of a point");

/// One point.
#[derive(Clone, Debug)]
pub struct Planned {
    /// where it lies
    pub point: Point,
    /// what each factor is, as text; empty where it is as in the base
    pub names: Vec<String>,
    /// seed of its luck
    pub seed: u64,
    settings: Vec<Setting>,
}

/// A sweep laid out: nothing was checked or played yet.
#[derive(Debug)]
pub struct Sweep {
    /// what was written
    pub spec: SweepSpec,
    /// places of findings
    pub sources: Sources,
    /// how the points lie
    pub design: Design,
    /// the points, in the order of the design
    pub points: Vec<Planned>,
    base: Base,
}

/// A point that does not hold together.
#[derive(Debug)]
pub struct Refused {
    /// which
    pub point: usize,
    /// its findings
    pub findings: Vec<Finding>,
    /// their places
    pub sources: Sources,
}

/// What checking all points found.
#[derive(Debug)]
pub struct Accepted {
    /// the campaign of the first point, as it holds for all: architectures, setting
    pub first: Checked,
    /// findings of the first point (no errors), with their places
    pub findings: (Vec<Finding>, Sources),
    /// points with warnings
    pub warned: usize,
}

impl Sweep {
    /// Lays the points out.
    ///
    /// # Errors
    /// A finding where there are too many points or factors.
    pub fn new(spec: SweepSpec, base: Base, sources: Sources) -> Result<Sweep, Box<Finding>> {
        let k = spec.factors.len();
        let large = |what: String| Box::new(Finding::new(&SWEEP_LARGE, spec.at, what));
        if k > MOST_FACTORS {
            return Err(large(format!("{k} factors")));
        }
        let design = design_of(&spec);
        let count = design.points(k).unwrap_or_else(|| spec.points.map_or(0, |p| p.it as usize));
        if count > MOST_POINTS {
            return Err(large(format!("{count} points")));
        }
        let unit = unit_points(&spec, &design, count);
        let points = unit.into_iter().enumerate().map(|(i, u)| planned(&spec, i, u)).collect();
        Ok(Sweep { spec, sources, design, points, base })
    }

    /// Reads and checks the campaign of a point.
    ///
    /// # Errors
    /// Its findings where it does not hold together.
    fn checked(&self, point: usize) -> Result<(Checked, Vec<Finding>, Sources), Refused> {
        let reading = self.base.at(&self.points[point].settings, &self.sources);
        let (mut findings, sources) = (reading.findings, reading.sources);
        let accepted = reading.scenario.and_then(|scenario| {
            let (accepted, more) = check::check(scenario);
            findings.extend(more);
            accepted
        });
        match accepted {
            Some(checked) => Ok((checked, findings, sources)),
            None => Err(Refused { point, findings, sources }),
        }
    }

    /// Checks every point.
    ///
    /// # Errors
    /// Every point that does not hold together, in their order.
    pub fn check(&self) -> Result<Accepted, Vec<Refused>> {
        let one = |point: usize| {
            let (checked, findings, sources) = self.checked(point)?;
            let names: Vec<String> =
                checked.scenario.architectures.iter().map(|a| a.name.clone()).collect();
            let kept = (point == 0).then_some((checked, (findings.clone(), sources)));
            let warns = findings.iter().any(|f| f.severity == check::Level::Warning);
            Ok((names, warns, kept))
        };
        let all: Vec<Result<_, Refused>> =
            (0..self.points.len()).into_par_iter().map(one).collect();
        let mut refused = Vec::new();
        let (mut first, mut warned, mut names) = (None, 0, None);
        for (point, found) in all.into_iter().enumerate() {
            match found {
                Ok((arms, warns, kept)) => {
                    warned += usize::from(warns);
                    first = first.or(kept);
                    let before = names.get_or_insert_with(|| arms.clone());
                    if *before != arms {
                        refused.push(self.other_arms(point, before, &arms));
                    }
                }
                Err(r) => refused.push(r),
            }
        }
        match first {
            Some((first, findings)) if refused.is_empty() => {
                Ok(Accepted { first, findings, warned })
            }
            _ => Err(refused),
        }
    }

    fn other_arms(&self, point: usize, before: &[String], arms: &[String]) -> Refused {
        let what = format!("it compares {}, and others {}", arms.join(", "), before.join(", "));
        let finding = Finding::new(&crate::scenario::SWEEP_ARCHITECTURES, self.spec.at, what);
        Refused { point, findings: vec![finding], sources: self.sources.clone() }
    }

    /// The model of a point, with its seed.
    ///
    /// # Panics
    /// If the point does not hold together: [`Sweep::check`] comes first.
    pub fn model(&self, point: usize) -> Model {
        let (checked, ..) = self.checked(point).expect("every point was checked");
        let mut model = model::compile(&checked);
        model.seed = self.points[point].seed;
        // Every campaign draws what is not known anew: with sets the mean would be the same.
        model.inner = None;
        model
    }

    /// Luck of the points.
    pub fn luck(&self) -> answers::Luck {
        match self.spec.luck {
            PointLuck::Common => answers::Luck::Common,
            PointLuck::Own => answers::Luck::Own,
        }
    }
}

fn design_of(spec: &SweepSpec) -> Design {
    let number = |n: Option<crate::scenario::Spot<u32>>| n.map_or(0, |n| n.it as usize);
    let levels = |usual| spec.factors.iter().map(|f| f.it.count(usual)).collect();
    match spec.design.it {
        DesignKind::Grid => Design::Grid { levels: levels(3) },
        DesignKind::OneAtATime => Design::OneAtATime { levels: levels(2) },
        DesignKind::LatinHypercube => Design::LatinHypercube,
        DesignKind::Sequence => Design::Sequence,
        DesignKind::Trajectories => {
            let levels = number(spec.levels);
            let (count, step) = (number(spec.trajectories), design::step(levels));
            Design::Trajectories { count, levels, step }
        }
        DesignKind::Saltelli => {
            Design::Saltelli { rows: number(spec.rows), second_order: spec.second_order.it }
        }
    }
}

/// Positions of the points, factor by factor.
fn unit_points(spec: &SweepSpec, design: &Design, count: usize) -> Vec<Vec<Option<f64>>> {
    let (k, seed) = (spec.factors.len(), spec.seed);
    let rows = |unit: Vec<f64>| -> Vec<Vec<Option<f64>>> {
        unit.chunks_exact(k.max(1)).map(|row| row.iter().copied().map(Some).collect()).collect()
    };
    let level = |j: usize, i: usize, n: usize| Some(spec.factors[j].it.position(i, n));
    match design {
        Design::Grid { levels } => {
            let point = |at: Vec<usize>| -> Vec<Option<f64>> {
                at.iter().enumerate().map(|(j, &i)| level(j, i, levels[j])).collect()
            };
            design::grid(levels).into_iter().map(point).collect()
        }
        Design::OneAtATime { levels } => {
            let mut all = vec![vec![None; k]];
            for (j, &n) in levels.iter().enumerate() {
                for i in 0..n {
                    let mut point = vec![None; k];
                    point[j] = level(j, i, n);
                    all.push(point);
                }
            }
            all
        }
        Design::LatinHypercube => rows(design::latin_hypercube(count, k, seed)),
        Design::Sequence => rows(design::sequence(count, k, seed)),
        Design::Trajectories { count, levels, .. } => {
            rows(design::trajectories(*count, k, *levels, seed))
        }
        Design::Saltelli { rows: n, second_order } => {
            rows(design::saltelli(*n, k, *second_order, seed))
        }
    }
}

/// Are positions of a design levels, which do not reach the far ends of a law?
fn of_levels(design: DesignKind) -> bool {
    matches!(design, DesignKind::Grid | DesignKind::OneAtATime | DesignKind::Trajectories)
}

fn planned(spec: &SweepSpec, number: usize, unit: Vec<Option<f64>>) -> Planned {
    let levels = of_levels(spec.design.it);
    let of =
        |f: &Named<crate::scenario::FactorSpec>, u: &Option<f64>| u.map(|u| f.it.at(u, levels));
    let taken: Vec<Option<Taken>> = spec.factors.iter().zip(&unit).map(|(f, u)| of(f, u)).collect();
    let name = |t: &Option<Taken>| t.as_ref().map_or(String::new(), |t| t.name.clone());
    let value = |t: &Option<Taken>| t.as_ref().and_then(|t| t.number);
    let own = Luck::new(spec.seed).block(number as u64, SEEDS, 0, 0, 0)[0] >> 1;
    Planned {
        names: taken.iter().map(name).collect(),
        point: Point { unit, value: taken.iter().map(value).collect() },
        seed: if spec.luck == PointLuck::Own { own } else { spec.seed },
        settings: taken.into_iter().flatten().flat_map(|t| t.settings).collect(),
    }
}

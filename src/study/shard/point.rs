//! What a shard leaves of one point, and how the parts of all shards are joined.

use crate::model::Model;
use crate::stats::{JoinError, Joined, Node, Part, Plan, Reader, Results, Tree, Wire, WireError};
use crate::study::experiment::{self, Beside};
use crate::study::standing::Sums;
use crate::study::value::Books;
use thiserror::Error;

/// What some blocks of one point leave.
#[derive(Clone, Debug)]
pub struct PointPart {
    /// The tallies.
    pub part: Part,
    /// How architectures stand, as subtrees; none where nobody asks.
    pub standing: Vec<Node<Sums>>,
    /// By parameter: how often it was capped.
    pub capped: Vec<u64>,
    /// What the decision goes by, of every parameter set ([`Books::numbers`]); none without one.
    pub decision: Vec<f64>,
}

impl PointPart {
    /// From what was played.
    pub fn new(model: &Model, (part, played): (Part, Vec<Beside>)) -> PointPart {
        let capped = Beside::capped(&played, model);
        PointPart { part, standing: Vec::new(), capped, decision: Vec::new() }
    }

    /// As bytes.
    pub fn bytes(&self) -> Vec<u8> {
        let mut out = Vec::new();
        self.part.put(&mut out);
        self.standing.put(&mut out);
        self.capped.put(&mut out);
        self.decision.put(&mut out);
        out
    }

    /// From bytes.
    ///
    /// # Errors
    /// [`WireError`], also where they do not suit the model.
    pub fn of(model: &Model, plan: &Plan, bytes: &[u8]) -> Result<PointPart, WireError> {
        let mut from = Reader::new(bytes);
        let part = Part::get(plan, &mut from)?;
        let n = from.length()?;
        let standing: Result<Vec<_>, WireError> =
            (0..n).map(|_| Sums::get_for(model, &mut from)).collect();
        let (capped, decision) = (Vec::get(&mut from)?, Vec::get(&mut from)?);
        let found = PointPart { part, standing: standing?, capped, decision };
        from.end()?;
        match found.capped.len() == model.params.len() {
            true => Ok(found),
            false => Err(WireError::Wrong("counts of other parameters")),
        }
    }
}

/// Why the parts of a point do not make a whole.
#[derive(Clone, Debug, Error, PartialEq, Eq)]
pub enum PointError {
    /// Bytes that are not what they should be.
    #[error(transparent)]
    Wire(#[from] WireError),
    /// Parts that do not follow each other.
    #[error(transparent)]
    Join(#[from] JoinError),
    /// Fewer blocks than the study has.
    #[error("{found} of {wanted} blocks are there")]
    Short {
        /// Blocks joined.
        found: u64,
        /// Blocks of the study.
        wanted: u64,
    },
    /// Sets that are no whole ones, or of another decision.
    #[error("what the decision goes by does not suit the campaign")]
    Decision,
    /// Standing over other campaigns than were tallied.
    #[error("architectures were counted over other campaigns than were tallied")]
    Standing,
}

/// Parts of one point, joined from its first block on.
#[derive(Debug)]
pub struct Joining<'m> {
    model: &'m Model,
    plan: Plan,
    joined: Joined,
    standing: Tree<Sums>,
    capped: Vec<u64>,
    decision: Option<Books>,
}

/// What all parts of a point make.
#[derive(Debug)]
pub struct Whole {
    /// The tallies.
    pub results: Results,
    /// How architectures stand.
    pub standing: Sums,
    /// By parameter: how often it was capped.
    pub capped: Vec<u64>,
    /// What the decision goes by, of every parameter set.
    pub decision: Option<Books>,
}

impl<'m> Joining<'m> {
    /// Nothing yet.
    pub fn new(model: &'m Model) -> Joining<'m> {
        let plan = experiment::plan(model);
        Joining {
            joined: Joined::new(&plan),
            standing: Tree::of(Sums::new(model)),
            capped: vec![0; model.params.len()],
            decision: Books::new(model),
            plan,
            model,
        }
    }

    /// Adds the part that comes next.
    ///
    /// # Errors
    /// [`PointError`].
    pub fn add(&mut self, bytes: &[u8]) -> Result<(), PointError> {
        let found = PointPart::of(self.model, &self.plan, bytes)?;
        let PointPart { part, standing, capped, decision } = found;
        self.joined.add(part)?;
        standing.into_iter().for_each(|node| self.standing.insert_node(node));
        self.capped.iter_mut().zip(capped).for_each(|(sum, n)| *sum += n);
        let taken = self.decision.as_mut().map_or(decision.is_empty(), |d| d.extend(&decision));
        if taken { Ok(()) } else { Err(PointError::Decision) }
    }

    /// The whole.
    ///
    /// # Errors
    /// [`PointError`] if blocks are missing.
    pub fn finish(self, campaigns: u64) -> Result<Whole, PointError> {
        let (found, wanted) = (self.joined.blocks(), self.plan.blocks(campaigns));
        if found != wanted {
            return Err(PointError::Short { found, wanted });
        }
        let standing = self.standing.finish();
        if ![0, self.model.set_of(campaigns)].contains(&standing.units()) {
            return Err(PointError::Standing);
        }
        let (results, capped) = (self.joined.finish(), self.capped);
        Ok(Whole { results, standing, capped, decision: self.decision })
    }
}

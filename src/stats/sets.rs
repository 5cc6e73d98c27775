//! Books of parameter sets: what an outer loop is estimated from.
//!
//! With an outer loop several campaigns share a parameter set. They are not independent, so that
//! every interval takes the set as its unit: campaigns of a set are added up, and the sums of the
//! sets go through blocks and a tree of their own, as rows of campaigns do in plain play. The
//! share of campaigns with a flag is kept for every set; memory does not grow with the campaigns
//! of a set.

mod books;
mod part;

pub use books::{SetBooks, SetSums};
pub use part::SetsPart;

use super::difference::{self, Difference, NONE_SEEN, NONE_SEEN_BOUND};
use super::estimate::{Estimate, Mean, add_note};
use super::interval::{OUTSIDE, none_seen_upper};
use super::plan::{Column, Kind};
use super::quotient::Quotient;
use super::results::Results;
use super::share;
use super::tally::{Pair, Tally};

/// Why quantiles of campaigns have no interval.
const NO_RANKS: &str =
    "no intervals of quantiles: campaigns of a parameter set are not independent";
/// Why a difference has none.
const NOT_BOTH: &str = "no interval: not every campaign has both values";
/// Below this many campaigns in which two flags differ, the interval is called rough.
const FEW_DISCORDANT: u64 = 10;

/// What the outer loop left: the sums of every set as if each were one campaign.
#[derive(Clone, Debug, PartialEq)]
pub struct Sets {
    inner: u64,
    flags: Vec<usize>,
    seen: Vec<Vec<u64>>,
    results: Results,
}

impl Sets {
    /// Campaigns of each set.
    pub fn inner(&self) -> u64 {
        self.inner
    }

    /// Number of sets.
    pub fn sets(&self) -> u64 {
        self.results.campaigns()
    }

    /// Sums and moments over the sets.
    pub fn tally(&self) -> &Tally {
        &self.results.tally
    }

    /// Campaigns with the flag of a column, set by set; `None` if the column is no flag.
    pub fn seen(&self, arm: usize, column: usize) -> Option<&[u64]> {
        let flag = self.flags.iter().position(|f| *f == column)?;
        self.seen.get(arm * self.flags.len() + flag).map(Vec::as_slice)
    }

    /// The estimate of a column with the interval of its mean from the sets; `of_campaigns` is
    /// what all campaigns say.
    pub(super) fn estimate(
        &self,
        arm: usize,
        column: usize,
        of_campaigns: Estimate,
        ratio: bool,
        weighted: bool,
    ) -> Estimate {
        let mut quantiles = of_campaigns.quantiles;
        let mut cut = false;
        for q in &mut quantiles {
            cut |= q.low.is_some() || q.high.is_some();
            (q.low, q.high) = (None, None);
            q.note = if q.value.is_none() { q.note.clone() } else { String::new() };
        }
        let spoiled = of_campaigns.mean.is_none();
        let mean = match spoiled {
            true => Mean::unknown(&of_campaigns.note),
            false => self.mean(arm, column, ratio, weighted),
        };
        let mut note = mean.note;
        if cut {
            add_note(&mut note, NO_RANKS);
        }
        quantiles.iter().for_each(|q| add_note(&mut note, &q.note));
        Estimate {
            mean: mean.mean,
            low: mean.low,
            high: mean.high,
            method: mean.method,
            n_used: self.results.tally.ratios[self.results.ratio_at(arm, column)].used,
            quantiles,
            note,
            ..of_campaigns
        }
    }

    fn mean(&self, arm: usize, column: usize, ratio: bool, weighted: bool) -> Mean {
        let Column::Ratio { share, .. } = self.results.plan.columns()[column] else {
            return Mean::unknown("no sums of sets");
        };
        let sums = &self.results.tally.ratios[self.results.ratio_at(arm, column)];
        of_sets(share::ratio(sums, share, weighted), ratio)
    }

    /// Estimate of the mean of an extra per campaign.
    pub(super) fn extra(&self, arm: usize, extra: usize, of_campaigns: Estimate) -> Estimate {
        let sums = self.results.estimate_extra(arm, extra);
        let scaled = |x: Option<f64>| x.map(|x| x / self.inner as f64);
        let mean = Mean {
            mean: scaled(sums.mean),
            low: scaled(sums.low),
            high: scaled(sums.high),
            method: sums.method,
            note: sums.note,
        };
        let n_used = sums.n_used;
        let Mean { mean, low, high, method, note } = of_sets(mean, false);
        Estimate { mean, low, high, method, note, n_used, ..of_campaigns }
    }

    /// Estimate of the share of an extra.
    pub(super) fn extra_over(&self, arm: usize, extra: usize, share: bool) -> Option<Estimate> {
        let found = match share {
            true => self.results.estimate_extra_share(arm, extra)?,
            false => self.results.estimate_extra_ratio(arm, extra)?,
        };
        let Estimate { mean, low, high, method, note, .. } = found;
        let of = of_sets(Mean { mean, low, high, method, note }, true);
        Some(Estimate { method: of.method, note: of.note, ..found })
    }

    /// Difference of a column with its interval from the sets.
    /// `all`: every campaign has both values; `kind`: of a plain column.
    #[allow(clippy::too_many_arguments)] // one call site; a record would only rename them
    pub(super) fn compare(
        &self,
        [reference, other]: [usize; 2],
        column: usize,
        of_campaigns: Difference,
        pair: &Pair,
        all: bool,
        weighted: bool,
        kind: Option<Kind>,
    ) -> Difference {
        let found = match of_campaigns.difference {
            Some(difference) => difference,
            None => return of_campaigns,
        };
        let set_pair = self.results.plan.pair_index(reference, other);
        let co = &self.results.tally.pair_ratios[self.results.ratio_at(set_pair, column)];
        if kind.is_some() && !all {
            let Mean { low, high, method, note, .. } = Mean::point(found, NOT_BOTH);
            let ratio = Quotient::unknown("not every campaign has both values");
            return Difference { low, high, method, note, ratio, n_used: co.n, ..of_campaigns };
        }
        let ratios = [reference, other].map(|arm| self.results.ratio_at(arm, column));
        let ratios = ratios.map(|at| &self.results.tally.ratios[at]);
        let mut of = difference::of_ratio(co, pair, ratios, weighted);
        let mean = Mean {
            mean: of.difference,
            low: of.low,
            high: of.high,
            method: of.method,
            note: of.note,
        };
        let mean = of_sets(mean, kind.is_none());
        (of.method, of.note, of.n_used) = (mean.method, mean.note, co.n);
        of.ratio.note = of.ratio.note.replace("campaign", "parameter set");
        if of_campaigns.ratio.value.is_none() {
            of.ratio = of_campaigns.ratio;
        }
        let differ = pair.both - pair.equal;
        if differ == 0 && of.method == NONE_SEEN {
            of.note = of.note.replace("parameter set", "campaign");
        }
        if kind == Some(Kind::Flag) && !weighted && differ < FEW_DISCORDANT {
            few_differ(&mut of, differ, co.n);
        }
        of
    }
}

/// Two flags that differ in few campaigns: no symmetric interval is to be trusted.
fn few_differ(of: &mut Difference, differ: u64, sets: u64) {
    if differ > 0 {
        let note = format!("rough: different in {differ} campaigns only");
        add_note(&mut of.note, &note);
        return;
    }
    // With nothing seen the least favourable case is a set in which all campaigns are alike.
    let bound = none_seen_upper(sets as f64, OUTSIDE);
    (of.low, of.high, of.method) = (Some(-bound), Some(bound), NONE_SEEN_BOUND);
}

/// The words of an estimate whose unit is the parameter set.
fn of_sets(mean: Mean, ratio: bool) -> Mean {
    let method = match mean.method {
        "linearised ratio" if !ratio => "Student t of parameter sets",
        "Student t" => "Student t of parameter sets",
        "linearised ratio" => "linearised ratio of parameter sets",
        "paired linearised ratio" if !ratio => "paired Student t of parameter sets",
        "paired linearised ratio" => "paired linearised ratio of parameter sets",
        "cluster Clopper-Pearson" => "Clopper-Pearson, parameter sets as clusters",
        other => other,
    };
    let note = mean.note.replace("campaign", "parameter set");
    Mean { method, note, ..mean }
}

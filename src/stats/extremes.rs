//! Example campaigns: for every arm the campaign where a column is least or greatest.

use super::plan::Plan;
use super::wire::{Reader, Wire, WireError};

/// Which end of a column is looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// lowest value
    Least,
    /// highest value
    Greatest,
}

/// A column and the end of it that is looked for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Extreme {
    /// index in the columns of the plan
    pub column: usize,
    /// which end
    pub side: Side,
}

/// Per arm and extreme the campaign found so far. A tie goes to the lower campaign, so that the
/// result does not depend on the order in which campaigns are seen.
#[derive(Clone, Debug, PartialEq)]
pub struct Extremes {
    wanted: Vec<Extreme>,
    /// arm by arm: campaign and value
    found: Vec<Option<(u64, f64)>>,
}

impl Extremes {
    /// Nothing found yet.
    pub fn new(plan: &Plan) -> Extremes {
        let wanted = plan.extremes().to_vec();
        Extremes { found: vec![None; plan.arms() * wanted.len()], wanted }
    }

    /// Looks at the columns of one arm in one campaign; absent values are not-a-number.
    pub(crate) fn record(&mut self, campaign: u64, arm: usize, columns: &[f64]) {
        for (k, extreme) in self.wanted.iter().enumerate() {
            let value = columns[extreme.column];
            if !value.is_nan() {
                let kept = &mut self.found[arm * self.wanted.len() + k];
                keep(kept, extreme.side, (campaign, value));
            }
        }
    }

    /// Adds what another worker found.
    pub fn merge(&mut self, other: &Extremes) {
        let sides = self.wanted.iter().map(|e| e.side).cycle();
        for ((kept, new), side) in self.found.iter_mut().zip(&other.found).zip(sides) {
            if let Some(new) = *new {
                keep(kept, side, new);
            }
        }
    }

    /// Campaign and value of the k-th extreme of the plan for an arm; `None` if the column was
    /// absent in every campaign.
    pub fn get(&self, arm: usize, k: usize) -> Option<(u64, f64)> {
        self.found[arm * self.wanted.len() + k]
    }

    /// Appends them.
    pub fn put(&self, to: &mut Vec<u8>) {
        self.found.put(to);
    }

    /// Reads what [`Extremes::put`] wrote of an experiment with this plan.
    ///
    /// # Errors
    /// [`WireError`], also where it does not suit the plan.
    pub fn get_from(plan: &Plan, from: &mut Reader) -> Result<Extremes, WireError> {
        let (found, empty) = (Vec::<Option<(u64, f64)>>::get(from)?, Extremes::new(plan));
        if found.len() != empty.found.len() || found.iter().flatten().any(|(_, x)| x.is_nan()) {
            return Err(WireError::Wrong("extremes that do not suit the study"));
        }
        Ok(Extremes { found, ..empty })
    }
}

fn keep(kept: &mut Option<(u64, f64)>, side: Side, new: (u64, f64)) {
    let better = kept.is_none_or(|(campaign, value)| {
        let beats = match side {
            Side::Least => new.1 < value,
            Side::Greatest => new.1 > value,
        };
        beats || (new.1 == value && new.0 < campaign)
    });
    if better {
        *kept = Some(new);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::stats::plan::{Column, Kind};

    #[test]
    fn order_does_not_matter_and_ties_go_to_the_lower_campaign() {
        let column = Column::Plain { value: 0, kind: Kind::Worst };
        let wanted = [Side::Least, Side::Greatest].map(|side| Extreme { column: 0, side });
        let plan = Plan::new(1, 1, vec![column], vec![vec![]]).unwrap();
        let plan = plan.with_extremes(wanted.to_vec()).unwrap();
        let values = [3.0, f64::NAN, -1.0, 8.0, -1.0, 8.0];
        let mut forth = Extremes::new(&plan);
        let mut back = Extremes::new(&plan);
        let mut parts = [Extremes::new(&plan), Extremes::new(&plan)];
        for i in 0..6 {
            forth.record(i as u64, 0, &values[i..=i]);
            back.record(5 - i as u64, 0, &values[5 - i..=5 - i]);
            parts[i % 2].record(i as u64, 0, &values[i..=i]);
        }
        let [mut odd, even] = parts;
        odd.merge(&even);
        assert_eq!((forth.get(0, 0), forth.get(0, 1)), (Some((2, -1.0)), Some((3, 8.0))));
        assert_eq!(forth, back);
        assert_eq!(forth, odd);
        assert_eq!(Extremes::new(&plan).get(0, 0), None);
    }
}

//! Histograms as bytes: cells that are not empty, with their counts.

use super::{Bins, Half, Histogram, Histograms, UNIT_CELLS};
use crate::stats::plan::Plan;
use crate::stats::wire::{Reader, Wire, WireError};

impl Bins {
    /// No number lies in a cell from here on.
    fn end(self) -> u32 {
        let binary = Bins::Binary.cell(f64::MAX) + 1;
        match self {
            Bins::Binary => binary,
            Bins::Unit => UNIT_CELLS + binary - Bins::unit_end(),
        }
    }
}

impl Half {
    fn put(&self, to: &mut Vec<u8>) {
        (self.cells().count() as u64).put(to);
        self.cells().for_each(|cell| cell.put(to));
    }

    fn get(bins: Bins, from: &mut Reader) -> Result<Half, WireError> {
        let mut half = Half::default();
        for _ in 0..from.length()? {
            let (cell, count) = <(u32, u64)>::get(from)?;
            if cell >= bins.end() || count == 0 {
                return Err(WireError::Wrong("a cell of a histogram that cannot be"));
            }
            half.add(cell, count);
        }
        Ok(half)
    }

    fn sum(&self) -> Option<u64> {
        self.cells().try_fold(0_u64, |sum, (_, count)| sum.checked_add(count))
    }
}

impl Histogram {
    fn put(&self, to: &mut Vec<u8>) {
        [self.below, self.zero, self.above].put(to);
        self.negative.put(to);
        self.positive.put(to);
    }

    fn get(bins: Bins, from: &mut Reader) -> Result<Histogram, WireError> {
        let [below, zero, above] = <[u64; 3]>::get(from)?;
        let (negative, positive) = (Half::get(bins, from)?, Half::get(bins, from)?);
        let sums = [Some(below), Some(zero), Some(above), negative.sum(), positive.sum()];
        let total = sums.into_iter().try_fold(0_u64, |sum, x| sum.checked_add(x?));
        let total = total.ok_or(WireError::Wrong("counts beyond all numbers"))?;
        Ok(Histogram { bins, below, negative, zero, positive, above, total })
    }
}

impl Histograms {
    /// Appends them.
    pub fn put(&self, to: &mut Vec<u8>) {
        (self.sets.len() as u64).put(to);
        self.sets.iter().for_each(|h| h.put(to));
    }

    /// Reads what [`Histograms::put`] wrote of an experiment with this plan.
    ///
    /// # Errors
    /// [`WireError`], also where it does not suit the plan.
    pub fn get_from(plan: &Plan, from: &mut Reader) -> Result<Histograms, WireError> {
        let mut all = Histograms::new(plan);
        if from.length()? != all.sets.len() {
            return Err(WireError::Wrong("histograms that do not suit the study"));
        }
        for h in &mut all.sets {
            *h = Histogram::get(h.bins, from)?;
        }
        Ok(all)
    }
}

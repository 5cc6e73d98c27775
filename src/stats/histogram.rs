//! Histograms of integer counts: flat memory, exact addition in any order.
//!
//! A cell of an amount is given by the top bits of the number itself (sign, exponent and 8 bits of
//! the mantissa): 256 cells per power of two, at most 1/256 = 0.4 % wide, edges exact, no
//! logarithm. Whole numbers have a cell each. Exactly 0, misses below and misses above have cells
//! of their own. Cells come in pages of 64 that are given out at first touch.

mod stored;

use super::plan::{Column, Kind, Plan};

/// Bits of an `f64` below the 8 leading bits of its mantissa.
const FINE_BITS: u32 = 44;
/// Whole numbers below this have a cell each; above, the cells of amounts go on.
const UNIT_CELLS: u32 = 1 << 16;
const PAGE_BITS: u32 = 6;
const PAGE: usize = 1 << PAGE_BITS;

/// How numbers are put into cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bins {
    /// by the bit pattern
    Binary,
    /// a cell for each whole number below 65 536, by the bit pattern from there
    Unit,
}

impl Bins {
    /// Cell of a size above zero.
    fn cell(self, size: f64) -> u32 {
        let binary = (size.to_bits() >> FINE_BITS) as u32;
        match self {
            Bins::Binary => binary,
            Bins::Unit if size < f64::from(UNIT_CELLS) => size as u32,
            Bins::Unit => UNIT_CELLS + binary - Bins::unit_end(),
        }
    }

    /// Binary cell of the first number that has no unit cell.
    fn unit_end() -> u32 {
        (f64::from(UNIT_CELLS).to_bits() >> FINE_BITS) as u32
    }

    /// Least and greatest size of a cell (the greatest belongs to the next cell, unless both are
    /// the same number).
    fn edges(self, cell: u32) -> (f64, f64) {
        let binary = match self {
            Bins::Binary => cell,
            Bins::Unit if cell < UNIT_CELLS => return (f64::from(cell), f64::from(cell)),
            Bins::Unit => cell - UNIT_CELLS + Bins::unit_end(),
        };
        let edge = |b: u32| f64::from_bits(u64::from(b) << FINE_BITS);
        // the cell behind the last is infinity: no number lies there
        (edge(binary), edge(binary + 1).min(f64::MAX))
    }
}

/// Counts of the sizes on one side of zero.
#[derive(Clone, Debug, Default)]
struct Half {
    /// page number of the first entry of `pages`
    first: u32,
    /// 1 + index in `counts` / PAGE; 0 where no page was given out
    pages: Vec<u32>,
    counts: Vec<u64>,
}

impl Half {
    #[inline]
    fn add(&mut self, cell: u32, times: u64) {
        let page = cell >> PAGE_BITS;
        let at = page.wrapping_sub(self.first) as usize;
        let given = match self.pages.get(at) {
            Some(&given) if given > 0 => given,
            _ => self.give_page(page),
        };
        self.counts[(given as usize - 1) * PAGE + (cell as usize & (PAGE - 1))] += times;
    }

    #[cold]
    fn give_page(&mut self, page: u32) -> u32 {
        if self.pages.is_empty() {
            self.first = page;
        }
        if page < self.first {
            let missing = (self.first - page) as usize;
            self.pages.splice(0..0, std::iter::repeat_n(0, missing));
            self.first = page;
        }
        let at = (page - self.first) as usize;
        if at >= self.pages.len() {
            self.pages.resize(at + 1, 0);
        }
        self.counts.resize(self.counts.len() + PAGE, 0);
        let given = (self.counts.len() / PAGE) as u32;
        self.pages[at] = given;
        given
    }

    /// Cells with their counts, by growing size; empty ones left out.
    fn cells(&self) -> impl DoubleEndedIterator<Item = (u32, u64)> + '_ {
        self.pages.iter().enumerate().filter(|(_, given)| **given > 0).flat_map(|(at, given)| {
            let start = (*given as usize - 1) * PAGE;
            let cell = (self.first + at as u32) << PAGE_BITS;
            let counts = self.counts[start..start + PAGE].iter().enumerate();
            counts.filter(|(_, c)| **c > 0).map(move |(i, c)| (cell + i as u32, *c))
        })
    }
}

/// A cell of a histogram.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Cell {
    /// a miss that ranks below every number
    Below,
    /// numbers from low to high (both the same for a whole number and for exactly 0)
    Numbers {
        /// least number of the cell
        low: f64,
        /// greatest number of the cell
        high: f64,
    },
    /// a miss that ranks above every number
    Above,
}

/// Counts of values by cell.
#[derive(Clone, Debug)]
pub struct Histogram {
    bins: Bins,
    below: u64,
    negative: Half,
    zero: u64,
    positive: Half,
    above: u64,
    total: u64,
}

impl Histogram {
    /// An empty histogram.
    pub fn new(bins: Bins) -> Histogram {
        let half = Half::default;
        Histogram {
            bins,
            below: 0,
            negative: half(),
            zero: 0,
            positive: half(),
            above: 0,
            total: 0,
        }
    }

    /// Counts a value; infinities are misses. A value that is not a number must not come here.
    #[inline]
    pub fn add(&mut self, value: f64) {
        debug_assert!(!value.is_nan());
        self.total += 1;
        if value == 0.0 {
            self.zero += 1;
        } else if value.is_infinite() {
            *(if value < 0.0 { &mut self.below } else { &mut self.above }) += 1;
        } else if value > 0.0 {
            self.positive.add(self.bins.cell(value), 1);
        } else {
            self.negative.add(self.bins.cell(-value), 1);
        }
    }

    /// Adds the counts of another histogram of the same bins.
    pub fn merge(&mut self, other: &Histogram) {
        debug_assert_eq!(self.bins, other.bins);
        self.below += other.below;
        self.zero += other.zero;
        self.above += other.above;
        self.total += other.total;
        other.negative.cells().for_each(|(cell, count)| self.negative.add(cell, count));
        other.positive.cells().for_each(|(cell, count)| self.positive.add(cell, count));
    }

    /// Number of values counted, misses included.
    pub fn total(&self) -> u64 {
        self.total
    }

    /// Number of misses below and above every number.
    pub fn misses(&self) -> (u64, u64) {
        (self.below, self.above)
    }

    /// Cells from the lowest to the highest with their counts; empty ones left out.
    pub fn cells(&self) -> impl Iterator<Item = (Cell, u64)> + '_ {
        let numbers = |low, high| Cell::Numbers { low, high };
        let negative = self.negative.cells().rev().map(move |(cell, count)| {
            let (near, far) = self.bins.edges(cell);
            (numbers(-far, -near), count)
        });
        let positive = self.positive.cells().map(move |(cell, count)| {
            let (near, far) = self.bins.edges(cell);
            (numbers(near, far), count)
        });
        std::iter::once((Cell::Below, self.below))
            .chain(negative)
            .chain([(numbers(0.0, 0.0), self.zero)])
            .chain(positive)
            .chain([(Cell::Above, self.above)])
            .filter(|(_, count)| *count > 0)
    }

    /// The cell that holds the value of a rank (1 is the lowest); `None` beyond the last.
    pub fn cell_of_rank(&self, rank: u64) -> Option<Cell> {
        let mut passed = 0;
        self.cells()
            .find(|(_, count)| {
                passed += count;
                passed >= rank
            })
            .map(|(cell, _)| cell)
    }
}

impl PartialEq for Histogram {
    /// Equal counts in equal cells, wherever the pages lie.
    fn eq(&self, other: &Histogram) -> bool {
        self.bins == other.bins && self.cells().eq(other.cells())
    }
}

/// The histograms of all columns of all arms: one set per worker, added at the end.
#[derive(Clone, Debug, PartialEq)]
pub struct Histograms {
    columns: usize,
    sets: Vec<Histogram>,
}

impl Histograms {
    /// Empty histograms of the shape of a plan.
    pub fn new(plan: &Plan) -> Histograms {
        let bins = |column: &Column| match column {
            Column::Plain { kind: Kind::Count | Kind::Flag, .. } => Bins::Unit,
            _ => Bins::Binary,
        };
        let all = (0..plan.arms()).flat_map(|_| plan.columns());
        let sets = all.map(|column| Histogram::new(bins(column))).collect();
        Histograms { columns: plan.columns().len(), sets }
    }

    /// Counts the columns of one arm in one campaign; absent values are not-a-number.
    pub(crate) fn record(&mut self, arm: usize, columns: &[f64]) {
        let sets = &mut self.sets[arm * self.columns..(arm + 1) * self.columns];
        for (histogram, &value) in sets.iter_mut().zip(columns) {
            if !value.is_nan() {
                histogram.add(value);
            }
        }
    }

    /// Adds the counts of another worker.
    pub fn merge(&mut self, other: &Histograms) {
        self.sets.iter_mut().zip(&other.sets).for_each(|(a, b)| a.merge(b));
    }

    /// The histogram of a column of an arm.
    pub fn get(&self, arm: usize, column: usize) -> &Histogram {
        &self.sets[arm * self.columns + column]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn of(bins: Bins, values: &[f64]) -> Histogram {
        let mut histogram = Histogram::new(bins);
        values.iter().for_each(|&v| histogram.add(v));
        histogram
    }

    #[test]
    fn cells_are_ordered_and_zero_and_misses_have_their_own() {
        let values = [f64::INFINITY, 3.0, -2.0, 0.0, -0.0, 1e-9, f64::NEG_INFINITY, -700.0, 3.0];
        let histogram = of(Bins::Binary, &values);
        let cells: Vec<_> = histogram.cells().collect();
        assert_eq!(cells.first(), Some(&(Cell::Below, 1)));
        assert_eq!(cells.last(), Some(&(Cell::Above, 1)));
        assert!(cells.contains(&(Cell::Numbers { low: 0.0, high: 0.0 }, 2)));
        let mut last = f64::NEG_INFINITY;
        for (cell, _) in &cells[1..cells.len() - 1] {
            let Cell::Numbers { low, high } = *cell else { panic!("a miss among numbers") };
            assert!(last <= low && low <= high);
            last = high;
        }
        assert_eq!(histogram.total(), 9);
        assert_eq!(histogram.cell_of_rank(10), None);
    }

    #[test]
    fn whole_numbers_are_exact_and_large_ones_go_on() {
        let values = [1.0, 511.0, 1023.0, 1024.0, 65_535.0, 65_536.0, 1e9];
        let histogram = of(Bins::Unit, &values);
        for (rank, value) in (1..).zip(values) {
            let Some(Cell::Numbers { low, high }) = histogram.cell_of_rank(rank) else { panic!() };
            assert!(low <= value && value <= high && high - low <= value / 256.0);
            assert!(value > 65_535.0 || low == high);
        }
    }

    #[test]
    fn the_greatest_numbers_have_finite_edges() {
        let cell = of(Bins::Binary, &[f64::MAX]).cell_of_rank(1);
        assert!(matches!(cell, Some(Cell::Numbers { high: f64::MAX, .. })));
        of(Bins::Binary, &[f64::MIN_POSITIVE, 5e-324, -5e-324]);
    }

    proptest! {
        /// The cell of every rank holds the value of that rank, and is narrow.
        #[test]
        fn every_rank_lies_in_its_cell(mut values in prop::collection::vec(-1e6..1e6_f64, 1..200)) {
            let histogram = of(Bins::Binary, &values);
            values.sort_by(f64::total_cmp);
            for (rank, value) in (1..).zip(values) {
                let cell = histogram.cell_of_rank(rank);
                let Some(Cell::Numbers { low, high }) = cell else { panic!("no cell") };
                prop_assert!(low <= value && value <= high);
                prop_assert!(high - low <= value.abs() / 256.0);
            }
        }

        /// Any split of the values adds up to the whole, in any order.
        #[test]
        fn merging_is_exact(
            values in prop::collection::vec((-50..2000_i32).prop_map(f64::from), 0..200),
            split in 0..200_usize,
        ) {
            let split = split.min(values.len());
            let whole = of(Bins::Unit, &values);
            let left = of(Bins::Unit, &values[..split]);
            let right = of(Bins::Unit, &values[split..]);
            let (mut forth, mut back) = (left.clone(), right.clone());
            forth.merge(&right);
            back.merge(&left);
            prop_assert_eq!(&forth, &whole);
            prop_assert_eq!(&back, &whole);
        }
    }
}

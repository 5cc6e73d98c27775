//! Mergeable moments: count, mean and sum of squared deviations, and co-moments of K values.
//!
//! Formula of merging, with d = mean_B - mean_A and n = n_A + n_B:
//! mean = mean_A + d n_B / n, M2 = M2_A + M2_B + d^2 n_A n_B / n.
//! Source: T. Chan, G. Golub, R. LeVeque, The American Statistician 37, 1983 (from memory).
//! Sums of raw squares are never kept: they lose all digits when the mean is large.

/// Count, mean and sum of squared deviations of some values.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Moments {
    /// number of values
    pub n: u64,
    /// mean of the values, 0 while there are none
    pub mean: f64,
    /// sum of squared deviations from the mean
    pub m2: f64,
}

impl Moments {
    /// Moments of a single value.
    pub fn one(value: f64) -> Moments {
        Moments { n: 1, mean: value, m2: 0.0 }
    }

    /// Moments from sums of (value - origin) and of its square over n values.
    pub fn from_sums(n: u64, origin: f64, sum: f64, squares: f64) -> Moments {
        if n == 0 {
            return Moments::default();
        }
        let count = n as f64;
        // rounding may leave a tiny negative number where all values are nearly equal
        let m2 = (squares - sum * sum / count).max(0.0);
        Moments { n, mean: origin + sum / count, m2 }
    }

    /// Adds the values behind `right`.
    pub fn merge(&mut self, right: &Moments) {
        if right.n == 0 {
            return;
        }
        if self.n == 0 {
            *self = *right;
            return;
        }
        let (left_n, right_n) = (self.n as f64, right.n as f64);
        let n = left_n + right_n;
        let gap = right.mean - self.mean;
        self.mean += gap * right_n / n;
        self.m2 += right.m2 + gap * gap * (left_n * right_n / n);
        self.n += right.n;
    }

    /// Sample variance, M2 / (n - 1); `None` below two values.
    pub fn variance(&self) -> Option<f64> {
        (self.n >= 2).then(|| self.m2 / (self.n - 1) as f64)
    }

    /// Sample standard deviation; `None` below two values.
    pub fn sd(&self) -> Option<f64> {
        self.variance().map(f64::sqrt)
    }

    /// Standard error of the mean of independent values; `None` below two values.
    pub fn standard_error(&self) -> Option<f64> {
        self.variance().map(|v| (v / self.n as f64).sqrt())
    }
}

impl FromIterator<f64> for Moments {
    fn from_iter<I: IntoIterator<Item = f64>>(values: I) -> Moments {
        let mut all = Moments::default();
        for value in values {
            all.merge(&Moments::one(value));
        }
        all
    }
}

/// Shifted sums of K values and of all their products, for one block.
#[derive(Clone, Copy, Debug)]
pub struct CoSums<const K: usize> {
    n: u64,
    origin: [f64; K],
    sum: [f64; K],
    product: [[f64; K]; K],
}

impl<const K: usize> CoSums<K> {
    /// No value yet.
    pub const EMPTY: CoSums<K> =
        CoSums { n: 0, origin: [0.0; K], sum: [0.0; K], product: [[0.0; K]; K] };

    /// Adds one set of values; the first becomes the origin of the sums.
    #[inline]
    pub fn add(&mut self, values: [f64; K]) {
        if self.n == 0 {
            self.origin = values;
        }
        self.n += 1;
        let shifted: [f64; K] = std::array::from_fn(|i| values[i] - self.origin[i]);
        for i in 0..K {
            self.sum[i] += shifted[i];
            for j in 0..K {
                self.product[i][j] += shifted[i] * shifted[j];
            }
        }
    }

    /// The same as means and co-moments.
    pub fn close(&self) -> CoMoments<K> {
        let mut closed = CoMoments::EMPTY;
        if self.n == 0 {
            return closed;
        }
        let count = self.n as f64;
        closed.n = self.n;
        for i in 0..K {
            closed.mean[i] = self.origin[i] + self.sum[i] / count;
            for j in 0..K {
                closed.c[i][j] = self.product[i][j] - self.sum[i] * self.sum[j] / count;
            }
            closed.c[i][i] = closed.c[i][i].max(0.0);
        }
        closed
    }
}

/// Count, means and co-moments (sums of products of deviations) of K values.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CoMoments<const K: usize> {
    /// number of sets of values
    pub n: u64,
    /// mean of each value
    pub mean: [f64; K],
    /// symmetric matrix of co-moments
    pub c: [[f64; K]; K],
}

impl<const K: usize> CoMoments<K> {
    /// No value yet.
    pub const EMPTY: CoMoments<K> = CoMoments { n: 0, mean: [0.0; K], c: [[0.0; K]; K] };

    /// Adds the values behind `right`.
    pub fn merge(&mut self, right: &CoMoments<K>) {
        if right.n == 0 {
            return;
        }
        if self.n == 0 {
            *self = *right;
            return;
        }
        let (left_n, right_n) = (self.n as f64, right.n as f64);
        let n = left_n + right_n;
        let (part, both) = (right_n / n, left_n * right_n / n);
        let gap: [f64; K] = std::array::from_fn(|i| right.mean[i] - self.mean[i]);
        for i in 0..K {
            self.mean[i] += gap[i] * part;
            for j in 0..K {
                self.c[i][j] += right.c[i][j] + gap[i] * gap[j] * both;
            }
        }
        self.n += right.n;
    }

    /// Sample variance of the sum of `factors` times the values; `None` below two sets.
    /// Exactly 0 where the factors pick only values that never varied.
    pub fn variance_of(&self, factors: [f64; K]) -> Option<f64> {
        let mut sum = 0.0;
        for (i, a) in factors.iter().enumerate() {
            for (j, b) in factors.iter().enumerate() {
                sum += a * b * self.c[i][j];
            }
        }
        (self.n >= 2).then(|| sum.max(0.0) / (self.n - 1) as f64)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn close(found: f64, expected: f64, relative: f64) {
        let gap = (found - expected).abs();
        assert!(gap <= relative * expected.abs(), "{found} is not {expected}");
    }

    fn of(values: &[f64]) -> Moments {
        let origin = values.first().copied().unwrap_or(0.0);
        let sum = values.iter().map(|x| x - origin).sum();
        let squares = values.iter().map(|x| (x - origin) * (x - origin)).sum();
        Moments::from_sums(values.len() as u64, origin, sum, squares)
    }

    /// Source: worked by hand; the second pair is the first plus 1e9, where raw squares fail.
    #[test]
    fn merging_two_pairs() {
        for shift in [0.0, 1e9] {
            let mut all = of(&[4.0 + shift, 7.0 + shift]);
            all.merge(&of(&[13.0 + shift, 16.0 + shift]));
            assert_eq!(all.n, 4);
            close(all.mean, 10.0 + shift, 1e-15);
            close(all.m2, 90.0, 1e-9);
            close(all.variance().unwrap(), 30.0, 1e-9);
        }
    }

    /// Source: recomputed in exact arithmetic.
    #[test]
    fn merging_unequal_parts() {
        let mut left = of(&[1.0, 2.0, 3.0, 4.0, 100.0]);
        let right = of(&[5.0, 6.0, -7.5]);
        close(left.m2, 7610.0, 1e-12);
        close(right.mean, 3.5 / 3.0, 1e-12);
        close(right.m2, 113.166_666_666_666_67, 1e-12);
        left.merge(&right);
        assert_eq!(left.n, 8);
        close(left.mean, 14.1875, 1e-15);
        close(left.m2, 8536.96875, 1e-12);
    }

    /// Source: data sets NumAcc1 to 4 of the NIST Statistical Reference Datasets.
    #[test]
    fn certified_accuracy_sets() {
        let one = of(&[10_000_001.0, 10_000_003.0, 10_000_002.0]);
        assert_eq!((one.mean, one.sd()), (10_000_002.0, Some(1.0)));
        for (first, tolerance) in [(1.2, 1e-12), (1_000_000.2, 1e-9), (10_000_000.2, 1e-8)] {
            let mut values = vec![first];
            for _ in 0..500 {
                values.extend([first - 0.1, first + 0.1]);
            }
            let mut blocks = Moments::default();
            values.chunks(64).for_each(|b| blocks.merge(&of(b)));
            for found in [blocks, of(&values), values.iter().copied().collect()] {
                close(found.mean, first, 1e-15);
                close(found.sd().unwrap(), 0.1, tolerance);
            }
        }
    }

    #[test]
    fn merging_obeys_its_laws_at_every_split() {
        let values: Vec<f64> = (0..97).map(|i| 1e6 + (f64::from(i) * 0.7).sin()).collect();
        let whole = of(&values);
        for split in 0..=values.len() {
            let (left, right) = (of(&values[..split]), of(&values[split..]));
            let (mut forth, mut back) = (left, right);
            forth.merge(&right);
            back.merge(&left);
            for found in [forth, back] {
                assert_eq!(found.n, whole.n);
                close(found.mean, whole.mean, 1e-15);
                close(found.m2, whole.m2, 1e-10);
            }
        }
        let mut kept = whole;
        kept.merge(&Moments::default());
        assert_eq!(kept, whole);
    }

    #[test]
    fn comoments_agree_with_the_moments_of_any_combination() {
        let rows: Vec<[f64; 3]> = (0..150)
            .map(|i| f64::from(i) * 0.37)
            .map(|t| [100.0 + t.sin(), 5.0 * t.cos(), t])
            .collect();
        let factors = [2.0, -0.5, 0.01];
        let direct = rows.iter().map(|r| r.iter().zip(factors).map(|(x, f)| x * f).sum::<f64>());
        let direct: Moments = direct.collect();
        for split in [0, 1, 64, 149, 150] {
            let mut all = CoMoments::EMPTY;
            for part in [&rows[..split], &rows[split..]] {
                let mut sums = CoSums::<3>::EMPTY;
                part.iter().for_each(|&r| sums.add(r));
                all.merge(&sums.close());
            }
            close(all.variance_of(factors).unwrap(), direct.variance().unwrap(), 1e-11);
        }
    }
}

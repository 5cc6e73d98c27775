//! What the losses of a choice say of some parameters: least squares on terms of the parameters,
//! picked one after the other while a term explains more than chance would with 5 %.
//!
//! Terms of a parameter are itself and Legendre polynomials of its rank up to the fourth; of several
//! also products of those that were picked. The first term is always taken, so that what a weak
//! dependence could be worth has a limit.

use crate::stats::beta::normal_z;
use crate::study::sensitivity::regression::ranks;

/// Chance that a term is taken though no parameter has an effect, over all candidates.
const BY_CHANCE: f64 = 0.05;
/// Highest polynomial of a rank.
const DEGREE: usize = 4;
/// Most terms.
const MOST: usize = 20;
/// Rows for each term at least.
const ROWS_A_TERM: usize = 10;
/// A term whose part of its own is less is one that is there already.
const OWN: f64 = 1e-8;

/// A column with mean 0, and its parameter (of a product the first).
struct Term {
    column: Vec<f64>,
    parameter: usize,
}

/// A fit of several responses on the same terms.
#[derive(Clone, Debug)]
pub struct Fit {
    /// orthogonal columns with mean 0 and mean square 1
    pub terms: Vec<Vec<f64>>,
    /// coefficients by term, then response
    pub coefficients: Vec<Vec<f64>>,
    /// residuals by response
    pub residuals: Vec<Vec<f64>>,
}

impl Fit {
    /// Fits centred responses, each as long as the parameters; `None` if no parameter varies or
    /// there are too few rows.
    pub fn of(responses: &[Vec<f64>], parameters: &[&[f64]]) -> Option<Fit> {
        let rows = responses.first()?.len();
        let mut fit = Fit { terms: vec![], coefficients: vec![], residuals: responses.to_vec() };
        let mut candidates: Vec<Term> = Vec::new();
        let mut lines = Vec::new();
        for (i, p) in parameters.iter().enumerate() {
            let columns = columns(p);
            lines.push(columns.get(1).cloned());
            candidates.extend(columns.into_iter().map(|column| Term { column, parameter: i }));
        }
        if rows < 2 * ROWS_A_TERM || candidates.is_empty() {
            return None;
        }
        let mut tried = candidates.len();
        let picked = fit.pick(&mut candidates, tried, true);
        let mut pairs = pairs(&lines, picked);
        tried += pairs.len();
        fit.pick(&mut pairs, tried, false);
        Some(fit)
    }

    /// Takes candidates while one explains enough; the first whatever it explains if `first` says so.
    /// Gives the parameters of those taken.
    fn pick(&mut self, candidates: &mut Vec<Term>, tried: usize, mut first: bool) -> Vec<usize> {
        let rows = self.residuals[0].len();
        for c in candidates.iter_mut() {
            self.terms.iter().for_each(|t| take_away(&mut c.column, t));
        }
        let tests = (tried.max(1) * self.residuals.len()) as f64;
        let enough = normal_z(BY_CHANCE / tests).powi(2);
        let mut picked = Vec::new();
        while self.terms.len() < MOST.min(rows / ROWS_A_TERM) {
            candidates.retain_mut(|c| scale(&mut c.column));
            let freedom = (rows - self.terms.len() - 2) as f64;
            let best = |c: &Term| {
                self.residuals.iter().map(|r| f_ratio(r, &c.column, freedom)).fold(0.0, f64::max)
            };
            let found = candidates.iter().map(best).enumerate();
            let Some((at, ratio)) = found.max_by(|a, b| a.1.total_cmp(&b.1)) else { break };
            if ratio < enough && !first {
                break;
            }
            first = false;
            let term = candidates.swap_remove(at);
            picked.push(term.parameter);
            candidates.iter_mut().for_each(|c| take_away(&mut c.column, &term.column));
            self.add(term.column);
        }
        picked.sort_unstable();
        picked.dedup();
        picked
    }

    fn add(&mut self, term: Vec<f64>) {
        let coefficients: Vec<f64> = self.residuals.iter().map(|r| along(r, &term)).collect();
        for (r, b) in self.residuals.iter_mut().zip(&coefficients) {
            r.iter_mut().zip(&term).for_each(|(r, t)| *r -= b * t);
        }
        self.terms.push(term);
        self.coefficients.push(coefficients);
    }

    /// Fitted value of a response in a row, with these coefficients.
    pub fn fitted(&self, row: usize, response: usize, coefficients: &[Vec<f64>]) -> f64 {
        self.terms.iter().zip(coefficients).map(|(t, b)| t[row] * b[response]).sum()
    }
}

/// Mean of the products.
fn along(x: &[f64], term: &[f64]) -> f64 {
    x.iter().zip(term).map(|(x, t)| x * t).sum::<f64>() / x.len() as f64
}

fn take_away(x: &mut [f64], term: &[f64]) {
    let b = along(x, term);
    x.iter_mut().zip(term).for_each(|(x, t)| *x -= b * t);
}

/// Makes the mean square 1; false where next to nothing is left.
fn scale(x: &mut [f64]) -> bool {
    let size = along(x, x).sqrt();
    if size > OWN {
        x.iter_mut().for_each(|x| *x /= size);
    }
    size > OWN
}

/// Variance that a term explains over that of what is left then.
fn f_ratio(residual: &[f64], term: &[f64], freedom: f64) -> f64 {
    let (all, part) = (along(residual, residual), along(residual, term).powi(2));
    if all <= 0.0 { 0.0 } else { freedom * part / (all - part).max(f64::MIN_POSITIVE) }
}

/// The parameter itself and polynomials of its rank, scaled; empty if it does not vary.
fn columns(p: &[f64]) -> Vec<Vec<f64>> {
    let n = p.len() as f64;
    let place: Vec<f64> = ranks(p).iter().map(|r| 2.0 * (r - 0.5) / n - 1.0).collect();
    let mut all = vec![p.to_vec()];
    let (mut before, mut last) = (vec![1.0; p.len()], place.clone());
    for k in 1..=DEGREE {
        all.push(last.clone());
        // (k + 1) P_(k+1) = (2 k + 1) x P_k - k P_(k-1)
        let k = k as f64;
        let next = place.iter().zip(&last).zip(&before);
        let next = next.map(|((x, p), q)| ((2.0 * k + 1.0) * x * p - k * q) / (k + 1.0)).collect();
        (before, last) = (last, next);
    }
    if p.iter().all(|x| *x == p[0]) {
        return Vec::new();
    }
    all.iter_mut().for_each(|c| centre(c));
    all.retain_mut(|c| scale(c));
    all
}

fn centre(x: &mut [f64]) {
    let mean = x.iter().sum::<f64>() / x.len() as f64;
    x.iter_mut().for_each(|x| *x -= mean);
}

/// Products of the ranks of two parameters that were picked.
fn pairs(lines: &[Option<Vec<f64>>], picked: Vec<usize>) -> Vec<Term> {
    let mut all = Vec::new();
    for (k, i) in picked.iter().enumerate() {
        for j in &picked[k + 1..] {
            if let (Some(a), Some(b)) = (&lines[*i], &lines[*j]) {
                let mut column: Vec<f64> = a.iter().zip(b).map(|(a, b)| a * b).collect();
                centre(&mut column);
                all.push(Term { column, parameter: *i });
            }
        }
    }
    all
}

#[cfg(test)]
mod tests {
    use super::*;

    /// y = 2 x1 + x1 x2 on a lattice without noise: what is left is nothing, in a few terms.
    #[test]
    fn a_product_is_found() {
        let at = |i: usize| ((i % 20) as f64 / 19.0, (i / 20) as f64 / 19.0);
        let (a, b): (Vec<f64>, Vec<f64>) = (0..400).map(at).unzip();
        let idle: Vec<f64> = (0..400).map(|i| (i * 7919 % 400) as f64).collect();
        let mut y: Vec<f64> = a.iter().zip(&b).map(|(a, b)| 2.0 * a + a * b).collect();
        centre(&mut y);
        let fit = Fit::of(std::slice::from_ref(&y), &[&a, &b, &idle]).unwrap();
        assert!(along(&fit.residuals[0], &fit.residuals[0]) < 1e-12 * along(&y, &y));
        let back: f64 = fit.fitted(17, 0, &fit.coefficients);
        assert!((back - y[17]).abs() < 1e-6, "{back} is not {}", y[17]);
        for (i, t) in fit.terms.iter().enumerate() {
            assert!(fit.terms[..i].iter().all(|s| along(s, t).abs() < 1e-6));
        }
    }

    #[test]
    fn what_does_not_vary_has_no_fit() {
        let y = vec![(0..50).map(|i| f64::from(i) - 24.5).collect::<Vec<f64>>()];
        assert!(Fit::of(&y, &[&[1.0; 50]]).is_none());
        assert!(Fit::of(&[vec![-1.0, 1.0]], &[&[1.0, 2.0]]).is_none());
    }
}

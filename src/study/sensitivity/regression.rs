//! Standardised regression of an output on all factors, by values and by ranks, and partial rank
//! correlation. Least squares by Householder QR.
//!
//! b_i sd(x_i) / sd(y) is the coefficient of factor i; where factors are independent and the output
//! is linear its square is the first-order index. R2 says how much of the output the straight line
//! (or, by ranks, a monotone one) explains: a low one says not to read the coefficients.
//!
//! Sources: heteroscedasticity-robust errors HC3: J. G. MacKinnon, H. White, J. Econometrics 29,
//! 1985; partial rank correlation: R. L. Iman, W. J. Conover, Technometrics 21, 1979; interval of a
//! correlation: R. A. Fisher, 1921 (all from memory).

use super::{Index, Luck, Runs, two_sided};
use crate::stats::beta::student_t;
use crate::stats::interval::OUTSIDE;
use crate::stats::moments::Moments;
use nalgebra::{DMatrix, DVector};

/// Below this R2 the coefficients do not describe the output.
pub const POOR: f64 = 0.7;

/// Coefficients of all factors and how much they explain.
#[derive(Clone, Debug, PartialEq)]
pub struct Regression {
    /// per factor
    pub coefficients: Vec<Index>,
    /// share of the variance of the output that the regression explains, adjusted for its size
    pub r2: Index,
}

/// By values: one slice a factor, parallel to the runs.
pub fn standardised(factors: &[&[f64]], runs: Runs, luck: Luck) -> Regression {
    let data = match Data::of(factors, runs, false) {
        Ok(data) => data,
        Err(why) => return nothing(factors.len(), &why),
    };
    let noise = Some(data.noise / data.variance);
    match Fit::of(&data) {
        Ok(fit) => regression(&data, &fit, noise, luck),
        Err(why) => nothing(factors.len(), &why),
    }
}

/// By ranks of factors and output.
pub fn ranked(factors: &[&[f64]], runs: Runs) -> Regression {
    let data = match Data::of(factors, runs, true) {
        Ok(data) => data,
        Err(why) => return nothing(factors.len(), &why),
    };
    match Fit::of(&data) {
        Ok(fit) => regression(&data, &fit, None, Luck::Own),
        Err(why) => nothing(factors.len(), &why),
    }
}

/// Per factor: correlation of its ranks with those of the output, both less what the ranks of all
/// other factors explain.  With t of the regression by ranks and f degrees of freedom it is
/// t / (t^2 + f)^(1/2).
pub fn partial_ranks(factors: &[&[f64]], runs: Runs) -> Vec<Index> {
    let data = match Data::of(factors, runs, true) {
        Ok(data) => data,
        Err(why) => return nothing(factors.len(), &why).coefficients,
    };
    match Fit::of(&data) {
        Ok(fit) => (0..factors.len()).map(|i| partial(&data, &fit, i)).collect(),
        Err(why) => nothing(factors.len(), &why).coefficients,
    }
}

fn nothing(factors: usize, why: &str) -> Regression {
    let none = Index::unknown(0, why);
    Regression { coefficients: vec![none.clone(); factors], r2: none }
}

fn regression(data: &Data, fit: &Fit, noise: Option<f64>, luck: Luck) -> Regression {
    let n = data.rows();
    let adjusted = 1.0 - fit.residual * (n as f64 - 1.0) / (n as f64 * fit.freedom);
    let mut r2 = Index {
        value: Some(adjusted),
        floor: None,
        method: "adjusted for the number of factors",
        ..Index::unknown(n as u64, "no interval")
    };
    if let Some(noise) = noise.filter(|x| *x > 0.0) {
        r2.add_note(&format!("{:.3} % of the variance is simulation noise", 100.0 * noise));
    }
    let t = student_t(fit.freedom, OUTSIDE);
    let coefficient = |i: usize| {
        let (b, half) = (fit.slopes[i], t * fit.robust[i]);
        let mut index = Index {
            value: Some(b),
            low: Some(b - half),
            high: Some(b + half),
            floor: noise.map(|share| two_sided() * (share / n as f64).sqrt()),
            n: n as u64,
            method: "Student t, robust errors (HC3)",
            note: data.note.clone(),
        };
        if noise.is_none() {
            index.add_note("no noise floor for ranks");
        }
        if adjusted < POOR {
            index.add_note(&format!("R2 {adjusted:.2}: does not describe the output"));
        }
        index.judged(luck)
    };
    Regression { coefficients: (0..fit.slopes.len()).map(coefficient).collect(), r2 }
}

fn partial(data: &Data, fit: &Fit, i: usize) -> Index {
    let (n, t) = (data.rows() as f64, fit.slopes[i] / fit.plain[i]);
    let r = t / (t * t + fit.freedom).sqrt();
    // Fisher's z; each of the other factors takes a degree of freedom.
    let width = n - 3.0 - (fit.slopes.len() as f64 - 1.0);
    let half = (width > 0.0).then(|| two_sided() / width.sqrt());
    let limit = |sign: f64| half.map(|h| (r.atanh() + sign * h).tanh());
    let mut index = Index {
        value: Some(r),
        low: limit(-1.0),
        high: limit(1.0),
        floor: None,
        n: n as u64,
        method: "Fisher z",
        note: data.note.clone(),
    };
    if half.is_none() {
        index.add_note("no interval: too few runs");
    }
    index.add_note("no noise floor for ranks");
    index
}

/// Standardised columns (mean 0, mean square 1).
struct Data {
    x: DMatrix<f64>,
    y: DVector<f64>,
    /// variance of the output before it was standardised
    variance: f64,
    /// mean squared standard error of the output
    noise: f64,
    note: String,
}

impl Data {
    fn of(factors: &[&[f64]], runs: Runs, by_rank: bool) -> Result<Data, String> {
        let has = |run: &usize| runs.has(*run) && factors.iter().all(|f| f[*run].is_finite());
        let used: Vec<usize> = (0..runs.y.len()).filter(has).collect();
        let (n, k) = (used.len(), factors.len());
        if n < k + 3 {
            return Err(format!("{n} runs are too few for {k} factors"));
        }
        let column = |of: &[f64]| {
            let picked: Vec<f64> = used.iter().map(|r| of[*r]).collect();
            if by_rank { ranks(&picked) } else { picked }
        };
        let (y, variance) = unit(column(runs.y)).ok_or("the output is the same in all runs")?;
        let mut x = Vec::with_capacity(n * k);
        for (i, factor) in factors.iter().enumerate() {
            let constant = || format!("factor {} is the same in all runs", i + 1);
            x.extend(unit(column(factor)).ok_or_else(constant)?.0);
        }
        let noise = used.iter().map(|r| runs.noise(*r)).sum::<f64>() / n as f64;
        let note = match runs.y.len() - n {
            0 => String::new(),
            missing => format!("{missing} runs left out: no value"),
        };
        Ok(Data { x: DMatrix::from_vec(n, k, x), y: DVector::from_vec(y), variance, noise, note })
    }

    fn rows(&self) -> usize {
        self.y.len()
    }
}

/// Values less their mean over their standard deviation, and their variance; `None` without one.
fn unit(values: Vec<f64>) -> Option<(Vec<f64>, f64)> {
    let all: Moments = values.iter().copied().collect();
    let variance = all.m2 / all.n as f64;
    let sd = variance.sqrt();
    let scaled = |x: f64| (x - all.mean) / sd;
    (variance > 0.0).then(|| (values.into_iter().map(scaled).collect(), variance))
}

/// Ranks from 1 on; equal values share their mean rank.
pub(crate) fn ranks(values: &[f64]) -> Vec<f64> {
    let mut by_size: Vec<usize> = (0..values.len()).collect();
    by_size.sort_by(|a, b| values[*a].total_cmp(&values[*b]));
    let mut out = vec![0.0; values.len()];
    let mut from = 0;
    while from < by_size.len() {
        let value = values[by_size[from]];
        let equal = by_size[from..].iter().take_while(|i| values[**i] == value).count();
        let mean = from as f64 + 0.5 * (equal as f64 + 1.0);
        by_size[from..from + equal].iter().for_each(|i| out[*i] = mean);
        from += equal;
    }
    out
}

/// A least-squares fit without intercept of columns that are centred.
struct Fit {
    slopes: Vec<f64>,
    /// standard errors that hold where the spread of residuals differs from run to run
    robust: Vec<f64>,
    /// standard errors of equal spread
    plain: Vec<f64>,
    /// sum of squared residuals
    residual: f64,
    freedom: f64,
}

impl Fit {
    fn of(data: &Data) -> Result<Fit, String> {
        let (n, k) = data.x.shape();
        let parts = data.x.clone().qr();
        let (q, r) = (parts.q(), parts.r());
        let least = r.diagonal().iter().map(|d| d.abs()).fold(f64::INFINITY, f64::min);
        let inverse = r.solve_upper_triangular(&DMatrix::identity(k, k));
        let Some(inverse) = inverse.filter(|_| least > 1e-9 * (n as f64).sqrt()) else {
            return Err("factors follow from each other in this design".into());
        };
        let along = q.tr_mul(&data.y);
        let slopes = &inverse * &along;
        let residuals = &data.y - &q * &along;
        let freedom = (n - k - 1) as f64;
        let residual = residuals.norm_squared();
        let mut weighted = q.clone();
        for (i, e) in residuals.iter().enumerate() {
            let leverage = q.row(i).norm_squared() + 1.0 / n as f64;
            let scale = e / (1.0 - leverage).max(f64::EPSILON);
            weighted.row_mut(i).scale_mut(scale);
        }
        let spread = &weighted * inverse.transpose();
        let plain = |i: usize| (residual / freedom * inverse.row(i).norm_squared()).sqrt();
        Ok(Fit {
            robust: (0..k).map(|i| spread.column(i).norm()).collect(),
            plain: (0..k).map(plain).collect(),
            slopes: slopes.iter().copied().collect(),
            residual,
            freedom,
        })
    }
}

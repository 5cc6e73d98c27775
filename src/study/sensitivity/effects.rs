//! Elementary effects: the change of an output per step of one factor, from many places of the
//! design.  e = (y(x + step) - y(x)) / step, with factors on the unit cube.
//! mu is the mean of e, mu* the mean of its size, sigma its standard deviation.
//!
//! Sources: M. D. Morris, Technometrics 33, 1991; mu*: F. Campolongo, J. Cariboni, A. Saltelli,
//! Environ. Model. Softw. 22, 2007 (both from memory).

use super::{Index, Luck, one_sided, two_sided};
use crate::stats::beta::student_t;
use crate::stats::interval::{OUTSIDE, student};
use crate::stats::moments::Moments;
use statrs::distribution::{ChiSquared, ContinuousCDF};
use std::f64::consts::FRAC_2_PI;

/// One elementary effect.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Effect {
    /// change of the output per step; not finite: missing
    pub size: f64,
    /// its variance by simulation noise, were the luck of both runs independent
    pub noise: f64,
}

impl Effect {
    /// From the outputs before and after a step (with its sign) and their squared standard errors.
    pub fn of(before: (f64, f64), after: (f64, f64), step: f64) -> Effect {
        let size = (after.0 - before.0) / step;
        Effect { size, noise: (before.1 + after.1) / (step * step) }
    }
}

/// The three numbers of a factor.
#[derive(Clone, Debug, PartialEq)]
pub struct Elementary {
    /// mean effect
    pub mu: Index,
    /// mean size of the effect
    pub mu_star: Index,
    /// standard deviation of effects
    pub sigma: Index,
}

/// From the effects of one factor, one a trajectory.
pub fn elementary(effects: &[Effect], luck: Luck) -> Elementary {
    let known: Vec<Effect> =
        effects.iter().copied().filter(|e| e.size.is_finite() && e.noise.is_finite()).collect();
    let n = known.len() as u64;
    let missing = effects.len() - known.len();
    if n < 2 {
        let none = || Index::unknown(n, format!("{n} effects are too few"));
        return Elementary { mu: none(), mu_star: none(), sigma: none() };
    }
    let note = match missing {
        0 => String::new(),
        _ => format!("{missing} effects left out: a run has no value"),
    };
    let mean = |of: &dyn Fn(f64) -> f64, floor: f64| {
        let all: Moments = known.iter().map(|e| of(e.size)).collect();
        let limits = student(&all, OUTSIDE);
        let index = Index {
            value: Some(all.mean),
            low: limits.map(|l| l.0),
            high: limits.map(|l| l.1),
            floor: Some(floor),
            n,
            method: "Student t of trajectories",
            note: note.clone(),
        };
        index.judged(luck)
    };
    let floors = Floors::of(&known);
    Elementary {
        mu: mean(&|e| e, floors.mu),
        mu_star: mean(&f64::abs, floors.mu_star),
        sigma: sigma(&known, floors.sigma, note.clone()).judged(luck),
    }
}

/// Noise floors. Without an effect each e is normal about 0 with variance v; its size has mean
/// (2 v / pi)^(1/2) and variance v (1 - 2 / pi).
struct Floors {
    mu: f64,
    mu_star: f64,
    sigma: f64,
}

impl Floors {
    fn of(effects: &[Effect]) -> Floors {
        let n = effects.len() as f64;
        let variance: f64 = effects.iter().map(|e| e.noise).sum();
        let sizes: f64 = effects.iter().map(|e| (FRAC_2_PI * e.noise).sqrt()).sum();
        let freedom = n - 1.0;
        let law = ChiSquared::new(freedom).expect("two effects at least");
        Floors {
            mu: two_sided() * variance.sqrt() / n,
            mu_star: (sizes + one_sided() * (variance * (1.0 - FRAC_2_PI)).sqrt()) / n,
            sigma: (variance / n * law.inverse_cdf(1.0 - OUTSIDE) / freedom).sqrt(),
        }
    }
}

/// Standard deviation s, with  Var(s^2) = (m4 - s^4 (n - 3) / (n - 1)) / n  and limits on a log
/// scale, so that none is below 0.
fn sigma(effects: &[Effect], floor: f64, mut note: String) -> Index {
    let n = effects.len() as f64;
    let all: Moments = effects.iter().map(|e| e.size).collect();
    let variance = all.variance().unwrap_or(0.0);
    let s = variance.sqrt();
    let limits = if variance > 0.0 {
        let fourth = effects.iter().map(|e| (e.size - all.mean).powi(4)).sum::<f64>() / n;
        let of_variance = (fourth - variance * variance * (n - 3.0) / (n - 1.0)).max(0.0) / n;
        let error = of_variance.sqrt() / (2.0 * variance);
        let half = student_t(n - 1.0, OUTSIDE) * error;
        Some((s * (-half).exp(), s * half.exp()))
    } else {
        let same = format!("the same effect in all {} trajectories", effects.len());
        note = if note.is_empty() { same } else { format!("{note}; {same}") };
        Some((0.0, 0.0))
    };
    Index {
        value: Some(s),
        low: limits.map(|l| l.0),
        high: limits.map(|l| l.1),
        floor: Some(floor),
        n: effects.len() as u64,
        method: "delta method on a log scale",
        note,
    }
}

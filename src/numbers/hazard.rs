//! Hazards: how fast each part uses up its threshold, and what a mode does when it strikes.

use crate::model::{Arm, Hazard, Mode, Model, PartMode};
use crate::scenario::{During, Trigger};

/// How the own hazard of a part grows with its exposure.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Growth {
    /// In proportion.
    Even,
    /// In proportion, from an age on so many times as fast.
    Worn {
        /// Age from which it is worn.
        from: f64,
        /// So many times as fast then.
        factor: f64,
    },
    /// With age: cumulative hazard (age / life)^shape.
    Weibull {
        /// Characteristic life.
        life: f64,
        /// Shape.
        shape: f64,
    },
}

/// The share of a common-cause group that a member uses up.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Common {
    /// The group.
    pub group: u16,
    /// Hazard of one demand, or per unit of exposure.
    pub each: f64,
    /// It goes by demands, and then once per occasion (rule 30).
    pub demands: bool,
}

/// The hazard of one mode on one part.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Share {
    /// Own hazard of one demand, or per unit of exposure; a member of a group keeps 1 - beta. 0 where
    /// it grows with age alone.
    pub each: f64,
    /// How it grows.
    pub growth: Growth,
    /// Factors on a clean seal, at a dirty closing and on a dirty seal.
    pub dust: [f64; 3],
    /// Group that it shares in when it is used.
    pub common: Option<Common>,
    /// Restriction to part of a sortie.
    pub during: Option<During>,
    /// Can strike again while struck.
    pub adds_up: bool,
}

impl Share {
    pub(super) fn of(m: &Model, arm: &Arm, part: &PartMode, v: &[f64]) -> Share {
        let mode = &arm.modes[part.mode as usize];
        let keeps = mode.group.map_or(1.0, |(_, beta)| 1.0 - beta.of(v));
        let each = match part.hazard {
            Hazard::Demand(p) => of_chance(p.of(v).min(1.0) * keeps),
            Hazard::Rate(r) => r.of(v) * keeps,
            Hazard::Weibull { .. } => 0.0,
        };
        let growth = match (part.hazard, mode.worn) {
            (Hazard::Weibull { life, shape }, _) => {
                Growth::Weibull { life: life.of(v), shape: shape.of(v) }
            }
            (_, Some((from, factor))) => Growth::Worn { from: from.of(v), factor: factor.of(v) },
            (_, None) => Growth::Even,
        };
        let used = part.group != u16::MAX && mode.trigger != Trigger::Hour;
        let common = mode.group.filter(|_| used).map(|(_, beta)| Common {
            group: part.group,
            each: match mode.hazard {
                Hazard::Demand(p) => of_chance(p.of(v).min(1.0) * beta.of(v)),
                Hazard::Rate(r) => r.of(v) * beta.of(v),
                Hazard::Weibull { .. } => 0.0,
            },
            demands: matches!(mode.hazard, Hazard::Demand(_)),
        });
        let (during, adds_up) = (mode.during, mode.adds_up);
        let dust = dust_factors(mode, m.body.abrasion.of(v), v);
        Share { each, growth, dust, common, during, adds_up }
    }
}

/// What a mode does where it strikes, and how often those of people outside do.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Struck {
    /// Factor of `slower` and `leak`.
    pub factor: f64,
    /// Chance per demand or rate, as written; 0 for a life.
    pub hazard: f64,
    /// Rate of a common-cause group by calendar time, of whose modes this is the first to strike.
    pub common: Option<f64>,
}

impl Struck {
    pub(super) fn of(mode: &Mode, v: &[f64]) -> Struck {
        let (hazard, rate) = match mode.hazard {
            Hazard::Demand(p) => (p.of(v), false),
            Hazard::Rate(r) => (r.of(v), true),
            Hazard::Weibull { .. } => (0.0, false),
        };
        let by_time = rate && mode.trigger == Trigger::Hour;
        let common = mode.group.filter(|_| by_time).map(|(_, beta)| hazard * beta.of(v));
        Struck { factor: mode.factor.of(v), hazard, common }
    }
}

/// The hazard that one demand with a chance of failure uses up.
fn of_chance(p: f64) -> f64 {
    -(-p).ln_1p()
}

/// Factors of a mode on a clean seal, at a dirty closing and on a dirty seal. What dust adds is
/// scaled by the body's `abrasion`; a factor below 1 adds nothing and stays.
fn dust_factors(mode: &Mode, abrasion: f64, v: &[f64]) -> [f64; 3] {
    let dusty = mode.dusty.of(v);
    if mode.only_dusty {
        return [0.0, dusty * abrasion, dusty * abrasion];
    }
    let carried = if dusty > 1.0 { 1.0 + (dusty - 1.0) * abrasion } else { dusty };
    [1.0, 1.0, carried]
}

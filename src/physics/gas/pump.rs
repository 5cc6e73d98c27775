//! A pump of constant volume speed: how long it runs and where the gas goes.

use super::{GasMass, Mix, content};
use crate::physics::Relation;

/// Time to pump a tight volume down, s: `t = (V/S) ln(p0/pf)`, 0 if already there.
///
/// V free volume (m3), S pump speed (m3/s), p0, pf start and end pressure (Pa, above 0). Source:
/// constant-speed pump (common practice). Limits: a real pump slows as the pressure falls;
/// isothermal; no leak.
pub fn time(volume: f64, speed: f64, from: f64, to: f64) -> f64 {
    debug_assert!(volume > 0.0 && speed > 0.0 && to > 0.0);
    if from <= to {
        return 0.0;
    }
    volume / speed * (from / to).ln()
}

/// Where the gas of a pumped volume goes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Pumped {
    /// Given back, kg by species.
    pub recovered: GasMass,
    /// Pumped but not recovered, kg by species: lost outside.
    pub unrecovered: GasMass,
    /// Still in the volume when the pump stops, kg by species.
    pub rest: GasMass,
}

/// Splits the gas of a volume pumped from `pressure` down to `stop` (Pa):
/// recovered `e (p0 - pf) V M/(R T)`, unrecovered `(1 - e)` of it, rest `pf V M/(R T)`.
///
/// e recovery of the gas above the stop (0 to 1), V (m3), T (K); a volume at or below the stop is
/// all rest. Source: mass balance with the ideal gas law. Limits: the same recovery for both
/// species; isothermal.
pub fn split(
    pressure: f64,
    stop: f64,
    volume: f64,
    recovery: f64,
    mix: Mix,
    temperature: f64,
) -> Pumped {
    debug_assert!((0.0..=1.0).contains(&recovery));
    let end = stop.min(pressure);
    let pumped = content(pressure - end, volume, mix, temperature);
    let recovered = pumped * recovery;
    Pumped {
        recovered,
        // By difference, so that the three add up to the last bit the format can give.
        unrecovered: pumped - recovered,
        rest: content(end, volume, mix, temperature),
    }
}

/// Share of the gas taken out of a volume that is kept, by an evacuated reservoir first and the pump
/// after it: `(s m + e ((1 - s) m - m1))/(m - m1)`, `s = Vr/(V + Vr)`; 1 if the reservoir alone does.
///
/// m, m1 gas before and at the stop (kg), V volume, Vr reservoir (m3), e recovery of the pump. What is
/// in the reservoir is kept whole. Source: mass balance with [`super::reservoir_share`]. Limits:
/// isothermal; the reservoir is empty each time; nothing taken out: 1.
pub fn kept_share(before: f64, after: f64, volume: f64, reservoir: f64, recovery: f64) -> f64 {
    let out = before - after;
    let stored = (super::reservoir_share(volume, reservoir) * before).min(out);
    if out > 0.0 { (stored + recovery * (out - stored)) / out } else { 1.0 }
}

/// Pressure that an evacuated reservoir leaves, Pa: `p V/(V + Vr)`. Source and limits as
/// [`super::reservoir_share`].
pub fn after_reservoir(pressure: f64, volume: f64, reservoir: f64) -> f64 {
    pressure * volume / (volume + reservoir)
}

/// The relations of this module.
pub const RELATIONS: &[Relation] = &[
    Relation {
        name: "gas kept by a reservoir and a pump",
        functions: &["pump::kept_share", "pump::after_reservoir"],
        formula: "(s m + e ((1 - s) m - m1))/(m - m1); s = Vr/(V + Vr); p V/(V + Vr)",
        symbols: "m, m1 kg before and at the stop; V, Vr m3; e recovery of the pump; p Pa",
        source: "mass balance (definition)",
        limits: "isothermal; the reservoir starts empty and is kept whole",
    },
    Relation {
        name: "pump-down time",
        functions: &["pump::time"],
        formula: "t = (V/S) ln(p0/pf)",
        symbols: "t s; V m3 free volume; S m3/s pump speed; p0, pf Pa",
        source: "pump of constant volume speed (common practice)",
        limits: "a real pump slows as the pressure falls; isothermal; no leak",
    },
    Relation {
        name: "gas recovered by a pump",
        functions: &["pump::split"],
        formula: "recovered e (p0 - pf) V M/(R T); lost (1 - e) of it; rest pf V M/(R T)",
        symbols: "e recovery above the stop; p0 start, pf stop Pa; V m3; M kg/mol; T K",
        source: "mass balance (definition)",
        limits: "same recovery for both species; what stays is lost by the vent that follows",
    },
];

#[cfg(test)]
mod tests {
    use super::*;
    use crate::physics::{assert_near, properties};
    use proptest::prelude::*;

    const MIX: Mix = Mix { oxygen: 0.34 };

    #[test]
    fn one_folding_takes_one_time_constant() {
        let e = std::f64::consts::E;
        assert_near(time(4.0, 0.4, 1e4 * e, 1e4), 10.0, 1e-14);
        assert_eq!(time(4.0, 0.4, 1e4, 1e4), 0.0);
        assert_eq!(time(4.0, 0.4, 9e3, 1e4), 0.0);
    }

    #[test]
    fn below_the_stop_nothing_is_pumped() {
        let p = split(1e4, 1.3e4, 4.0, 0.95, MIX, 294.26);
        assert_eq!(p.recovered.total() + p.unrecovered.total(), 0.0);
        assert_eq!(p.rest, content(1e4, 4.0, MIX, 294.26));
    }

    proptest! {
        #![proptest_config(properties())]

        /// Nothing appears or vanishes, by species.
        #[test]
        fn split_closes(
            p in 1e3f64..1.1e5, stop in 1e2f64..3e4, v in 0.01f64..100.0, e in 0.0f64..=1.0,
            x in 0.0f64..=1.0,
        ) {
            let mix = Mix { oxygen: x };
            let parts = split(p, stop, v, e, mix, 294.26);
            let whole = content(p, v, mix, 294.26);
            let gap = parts.recovered + parts.unrecovered + parts.rest - whole;
            prop_assert!(gap.oxygen.abs().max(gap.nitrogen.abs()) <= 1e-14 * whole.total());
        }

        /// Loss falls with recovery and rises with the stop pressure and the free volume.
        #[test]
        fn loss_moves_the_right_way(
            p in 4e4f64..1.1e5, stop in 1e3f64..3e4, v in 0.1f64..100.0, e in 0.0f64..0.99,
        ) {
            let lost = |stop, v, e| {
                let parts = split(p, stop, v, e, MIX, 294.26);
                (parts.unrecovered + parts.rest).total()
            };
            prop_assert!(lost(stop, v, e + 0.01) < lost(stop, v, e));
            prop_assert!(lost(stop * 1.1, v, e + 0.01) > lost(stop, v, e + 0.01));
            prop_assert!(lost(stop, v * 1.1, e) > lost(stop, v, e));
            // No pump is never better.
            prop_assert!(lost(stop, v, e) <= content(p, v, MIX, 294.26).total() * (1.0 + 1e-14));
        }
    }
}

//! How dust moves in one volume at one pressure: the constants worked out before play.

use crate::physics::dust::{self, Air, DIAMETERS, FINE, Grain};
use crate::physics::mixed::{Coefficients, Curve, Mixed, Rates, SERIES, Stock, series};

/// What the law of one volume at one pressure is made from.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct RoomConditions {
    /// Gas volume, m3, above zero.
    pub volume: f64,
    /// Volume over floor area, m, above zero.
    pub height: f64,
    /// Multiplier on the settling area (1 for a plain room).
    pub deposition: f64,
    /// Filtered flow, m3/s.
    pub filter_flow: f64,
    /// Filter efficiency, bypass included.
    pub filter_efficiency: f64,
    /// Return from the floor, 1/s, the same for both fine bins.
    pub resuspension: f64,
    /// Gravity, m/s2.
    pub gravity: f64,
    /// Density and shape of the dust.
    pub grain: Grain,
    /// Temperature and pressure of the air.
    pub air: Air,
}

/// Fine dust of one volume, kg per fine bin. Bins side by side, so that both are worked on at once.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Fine {
    /// In the air.
    pub air: [f64; FINE],
    /// On surfaces.
    pub floor: [f64; FINE],
}

impl Fine {
    /// Nothing at all.
    #[inline]
    pub(in crate::campaign) fn is_none(&self) -> bool {
        self.air[0] + self.air[1] + self.floor[0] + self.floor[1] == 0.0
    }

    /// One bin by itself.
    pub(in crate::campaign) fn bin(&self, i: usize) -> Stock {
        Stock { air: self.air[i], floor: self.floor[i] }
    }
}

/// How the dust of one volume moves at one pressure. Worked out before play, once per parameter
/// set.
#[derive(Clone, Copy, Debug)]
pub struct RoomLaw {
    per_volume: f64,
    together: Together,
    bins: [Mixed; FINE],
}

impl RoomLaw {
    /// Prepares the law. Each fine bin settles as its diameter of [`DIAMETERS`].
    pub fn new(c: &RoomConditions) -> Self {
        let filter = dust::filter_rate(c.filter_efficiency, c.filter_flow, c.volume);
        let bin = |i: usize| {
            let speed = dust::settling_speed(c.grain, DIAMETERS[i], c.gravity, c.air);
            let deposit = dust::deposition_rate(speed, c.height, c.deposition);
            Mixed::new(Rates { filter, deposit, resuspend: c.resuspension, clean: 0.0 })
        };
        Self::from_bins(c.volume, [bin(0), bin(1)])
    }

    /// Law with given rates, in a volume of `volume` m3. Continuous cleaning has no book here, so
    /// that its rate must be zero.
    pub fn from_bins(volume: f64, bins: [Mixed; FINE]) -> Self {
        assert!(bins.iter().all(|b| b.rates().clean == 0.0), "continuous cleaning is not booked");
        Self { per_volume: 1.0 / volume, together: Together::new(&bins), bins }
    }

    /// The two fine bins.
    pub fn bins(&self) -> &[Mixed; FINE] {
        &self.bins
    }

    /// 1/V, 1/m3.
    #[inline]
    pub fn per_volume(&self) -> f64 {
        self.per_volume
    }

    /// Both fine bins after `dt` s, and the integral of their airborne mass over this time, kg s.
    #[inline]
    pub(in crate::campaign) fn after(&self, start: &Fine, dt: f64) -> (Fine, [f64; FINE]) {
        if self.together.serves(dt) {
            self.together.after(start, dt)
        } else {
            self.apart(start, dt)
        }
    }

    /// The general case, one bin after the other.
    #[cold]
    fn apart(&self, start: &Fine, dt: f64) -> (Fine, [f64; FINE]) {
        let steps = [0, 1].map(|i| self.bins[i].after(start.bin(i), dt));
        let fine = Fine {
            air: steps.map(|step| step.stock.air),
            floor: steps.map(|step| step.stock.floor),
        };
        (fine, steps.map(|step| step.airborne))
    }

    /// Dust taken by the filter, kg per fine bin, from the integral of the airborne mass.
    #[inline]
    pub(in crate::campaign) fn filtered(&self, airborne: [f64; FINE]) -> [f64; FINE] {
        both(|i| self.together.filter[i] * airborne[i])
    }

    /// No concentration above this, kg/m3, can follow from `start` without an arrival.
    #[inline]
    pub(in crate::campaign) fn most(&self, start: &Fine) -> f64 {
        let bound = &self.together.lift_bound;
        let most = both(|i| start.air[i].max(bound[i] * (start.air[i] + start.floor[i])));
        self.per_volume * (most[0] + most[1])
    }

    /// Concentration over time that follows from `start`.
    pub(in crate::campaign) fn curve(&self, start: &Fine) -> Curve {
        let [a, b] = &self.bins;
        Curve::new([a, b], [start.bin(0), start.bin(1)], self.per_volume)
    }
}

/// The closed form of both bins at once: [`Mixed::after`] with the bins in the two lanes of a
/// register.
///
/// Nearly every step between two events is long for the fast root and short for the slow one; only
/// such steps are served here. Dust is over a third of the cost of a campaign, and this halves it.
#[derive(Clone, Copy, Debug)]
struct Together {
    /// Longest and shortest step served, s.
    longest: f64,
    shortest: f64,
    slow: [f64; FINE],
    fast: [f64; FINE],
    per_fast: [f64; FINE],
    air_slow: [f64; FINE],
    air_fast: [f64; FINE],
    lift: [f64; FINE],
    settle: [f64; FINE],
    filter: [f64; FINE],
    lift_bound: [f64; FINE],
}

impl Together {
    fn new(bins: &[Mixed; FINE]) -> Self {
        let [slow, fast] = [both(|i| bins[i].roots().0), both(|i| bins[i].roots().1)];
        let part = |part: fn(&Coefficients) -> f64| both(|i| part(bins[i].coefficients()));
        Self {
            longest: SERIES / slow[0].min(slow[1]).abs(),
            shortest: SERIES / fast[0].max(fast[1]).abs(),
            slow,
            fast,
            per_fast: both(|i| 1.0 / fast[i]),
            air_slow: part(|c| c.air_slow),
            air_fast: part(|c| c.air_fast),
            lift: part(|c| c.lift),
            settle: part(|c| c.settle),
            filter: both(|i| bins[i].rates().filter),
            lift_bound: both(|i| bins[i].lift_bound()),
        }
    }

    #[inline]
    fn serves(&self, dt: f64) -> bool {
        // Written so that a rate of zero (a bound of infinity) needs no case of its own.
        dt < self.longest && dt > self.shortest
    }

    #[inline]
    fn after(&self, start: &Fine, dt: f64) -> (Fine, [f64; FINE]) {
        let e2 = both(|i| (self.fast[i] * dt).exp());
        let whole2 = both(|i| (e2[i] - 1.0) * self.per_fast[i]);
        let x = both(|i| self.slow[i] * dt);
        let mean = both(|i| series(x[i]));
        let e1 = both(|i| 1.0 + x[i] * mean[i]);
        let whole1 = both(|i| dt * mean[i]);
        let fall = both(|i| e1[i] - e2[i]);
        let Fine { air, floor } = start;
        let fine = Fine {
            air: both(|i| {
                (self.air_slow[i] * e1[i] + self.air_fast[i] * e2[i]) * air[i]
                    + self.lift[i] * fall[i] * floor[i]
            }),
            floor: both(|i| {
                self.settle[i] * fall[i] * air[i]
                    + (self.air_fast[i] * e1[i] + self.air_slow[i] * e2[i]) * floor[i]
            }),
        };
        let airborne = both(|i| {
            (self.air_slow[i] * whole1[i] + self.air_fast[i] * whole2[i]) * air[i]
                + self.lift[i] * (whole1[i] - whole2[i]) * floor[i]
        });
        (fine, airborne)
    }
}

/// The same for both fine bins.
#[inline(always)]
fn both(f: impl Fn(usize) -> f64) -> [f64; FINE] {
    [f(0), f(1)]
}

/// All laws of one parameter set, with where each volume begins.
#[derive(Clone, Debug, Default)]
pub struct RoomTable {
    /// Laws by index; a volume has one for each pressure it is brought to.
    pub laws: Vec<RoomLaw>,
    /// Per volume: its law at the start, `None` for vacuum.
    pub start: Vec<Option<u16>>,
    /// Limit on the concentration, kg/m3, above zero: time above it is counted where somebody is.
    pub limit: f64,
}

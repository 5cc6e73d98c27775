//! Fine dust on suits at the doors of an element, as if all of it came in (rule 28): the worst 24-hour
//! average of somebody who stays in the cabin. The break-even share is the limit over it.
//!
//! Each return is a puff of the airborne share; filter and settling take it away, bin by bin. Windows end
//! 24 h after a return, as those of the average that is reported ([`crate::campaign::owner::exposure`]): the average over
//! the last 24 h falls only after a window has left a return behind (with two bins that decay unequally
//! the greatest may lie a little before; at a return it only begins to rise). Windows run on past the end
//! of the campaign, so that neither idle days nor its length matter.

use crate::campaign::owner::exposure::WINDOW;
use crate::physics::dust::{FINE, puff};
use std::collections::VecDeque;

/// The doors of one element.
#[derive(Clone, Debug, Default)]
pub struct Doorstep {
    /// Time up to which everything below stands, s.
    at: f64,
    /// In the air of the cabin if all came in, kg per fine bin.
    air: [f64; FINE],
    /// Removal rates of the cabin, 1/s.
    rate: [f64; FINE],
    /// Integral of the airborne mass since the start, kg s.
    breathed: f64,
    /// Returns whose 24 hours are not over: time, integral then.
    open: VecDeque<(f64, f64)>,
    /// Greatest integral over 24 h so far, kg s.
    most: f64,
}

impl Doorstep {
    /// A campaign begins; `rate` is what the cabin's air loses by filter and settling.
    pub fn reset(&mut self, rate: [f64; FINE]) {
        self.open.clear();
        (self.at, self.air, self.rate, self.breathed, self.most) =
            (0.0, [0.0; FINE], rate, 0.0, 0.0);
    }

    /// A suit comes to the door; `airborne` kg per fine bin of what is on it would go to the air.
    pub fn comes(&mut self, t: f64, airborne: [f64; FINE]) {
        self.close_until(t);
        self.advance(t);
        self.open.push_back((t, self.breathed));
        for (air, mass) in self.air.iter_mut().zip(airborne) {
            *air += mass;
        }
    }

    /// Worst 24-hour average of the airborne mass, kg.
    pub fn worst(&mut self) -> f64 {
        self.close_until(f64::INFINITY);
        self.most / WINDOW
    }

    fn close_until(&mut self, t: f64) {
        while let Some((since, before)) = self.open.front().copied() {
            if since + WINDOW > t {
                return;
            }
            self.open.pop_front();
            self.advance(since + WINDOW);
            self.most = self.most.max(self.breathed - before);
        }
    }

    fn advance(&mut self, t: f64) {
        let dt = t - self.at;
        if dt <= 0.0 {
            return;
        }
        self.at = t;
        for (air, rate) in self.air.iter_mut().zip(self.rate) {
            let (left, integral) = puff(*air, rate, dt);
            *air = left;
            self.breathed += integral;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Puffs at irregular times, hours, against sums over a fine grid of window ends.
    #[test]
    fn the_worst_day_against_a_grid() {
        let times = [3.0, 3.0, 20.0, 26.0, 80.0, 81.0, 95.0].map(|h| h * 3600.0);
        let rate = [2e-5, 6e-5];
        let mut door = Doorstep::default();
        door.reset(rate);
        let mass = |i: usize| [1.0 + i as f64, 0.5];
        times.iter().enumerate().for_each(|(i, t)| door.comes(*t, mass(i)));
        let up_to = |t: f64| -> f64 {
            let of = |i: usize, b: usize| puff(mass(i)[b], rate[b], (t - times[i]).max(0.0)).1;
            (0..times.len()).map(|i| of(i, 0) + of(i, 1)).sum()
        };
        let day = |t: f64| (up_to(t) - up_to(t - WINDOW)) / WINDOW;
        let grid = (0..20_000).map(|i| day(f64::from(i) * 30.0)).fold(0.0, f64::max);
        let worst = door.worst();
        assert!(worst <= grid * (1.0 + 1e-9) && worst > 0.999 * grid, "{worst} of {grid}");
        door.reset(rate);
        assert_eq!(door.worst(), 0.0);
    }
}

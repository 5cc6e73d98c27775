//! How long rows take: the arithmetic that play and planned means share. Play gives what was drawn and
//! how things stand, means give means and how a dry walk of the lists finds them.

use crate::physics::gas;
use crate::plan::{On, Row};
use crate::scenario::Each;

/// How many can do a row side by side: one for each instance of what it acts on.
pub fn instances(row: &Row) -> usize {
    match row.on {
        On::Opening(_, n) | On::BerthVolume(_, n) => n.max(1) as usize,
        _ => usize::MAX,
    }
}

/// Once for the team, person after person, or side by side in waves where there are fewer instances;
/// `one` gives the time of the whole (`None`) or of a person by rank, s.
#[inline]
pub fn shared(
    each: Each,
    mut ranks: impl Iterator<Item = usize>,
    instances: usize,
    mut one: impl FnMut(Option<usize>) -> f64,
) -> f64 {
    // In turn is side by side at one instance; the team is one without a rank.
    let instances = if each == Each::AtOnce { instances } else { 1 };
    let mut team = Some(None);
    let mut next = || if each == Each::Team { team.take() } else { ranks.next().map(Some) };
    let (mut sum, mut wave, mut left) = (0.0, 0.0, instances);
    while let Some(rank) = next() {
        if left == 0 {
            sum += wave;
            (wave, left) = (0.0, instances);
        }
        left -= 1;
        let takes = one(rank);
        wave = if takes > wave { takes } else { wave };
    }
    sum + wave
}

/// A pump brings a volume from one pressure to a lower one, s.
pub fn pumped(volume: f64, speed: f64, reservoir: f64, (from, to): (f64, f64)) -> f64 {
    if from <= to {
        return 0.0;
    }
    let start = gas::pump::after_reservoir(from, volume, reservoir);
    gas::pump::time(volume, speed, start, to)
}

/// A volume or suit is filled from one pressure to a higher one at the limit on the rate, s.
pub fn filled((from, to): (f64, f64), rate: f64) -> f64 {
    if to > from { gas::repress_time(from, to, rate) } else { 0.0 }
}

/// Through a valve to outside, choked then subsonic, s; 0 where the pressure is there.
pub fn vented(
    volume: f64,
    orifice: gas::vent::Orifice,
    (from, to): (f64, f64),
    ambient: f64,
    mix: gas::Mix,
    temperature: f64,
) -> Option<f64> {
    if from <= to {
        return Some(0.0);
    }
    gas::vent::time(volume, orifice, (from, to), ambient, mix, temperature)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn three_at_two_instances_take_two_waves() {
        let times = [3.0, 5.0, 2.0];
        let one = |rank: Option<usize>| rank.map_or(7.0, |r| times[r]);
        assert_eq!(shared(Each::Team, 0..3, 2, one), 7.0);
        assert_eq!(shared(Each::InTurn, 0..3, 2, one), 10.0);
        assert_eq!(shared(Each::AtOnce, 0..3, 2, one), 7.0);
        assert_eq!(shared(Each::AtOnce, 0..3, usize::MAX, one), 5.0);
        assert_eq!(shared(Each::AtOnce, 0..0, 1, one), 0.0);
    }
}

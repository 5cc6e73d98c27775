//! What is kept of each suit beside where it hangs: its dust, its sorties and services, its recharge,
//! the team it is out with, what left it astray; and who maintains suits until when.

use crate::base::ids::Table;
use crate::plan::{MAX_CREW, SuitId};

/// Bins of dust.
const BINS: usize = 4;
/// No team.
const NOBODY: u8 = u8::MAX;

/// The books of one suit.
#[derive(Clone, Copy, Debug)]
struct Suit {
    /// Dust on it, kg per bin.
    dust: [f64; BINS],
    /// Sorties since it was maintained.
    sorties: u32,
    /// Times it was maintained.
    services: u32,
    /// Times it was outside.
    trips: u32,
    /// When its recharge is over, s.
    ready: f64,
    /// Trouble that took it away from where it belongs.
    astray: Option<u16>,
    /// Team that it is out with.
    out: u8,
}

impl Suit {
    const FRESH: Suit = Suit {
        dust: [0.0; BINS],
        sorties: 0,
        services: 0,
        trips: 0,
        ready: 0.0,
        astray: None,
        out: NOBODY,
    };
}

/// Somebody's work on suits: since when and until when, s.
#[derive(Clone, Copy, Debug)]
struct Work {
    since: f64,
    until: f64,
}

impl Work {
    const NONE: Work = Work { since: 0.0, until: 0.0 };
}

/// All suits of an architecture.
#[derive(Clone, Debug)]
pub struct Suits {
    of: Table<SuitId, Suit>,
    work: [Work; MAX_CREW],
    /// The next time that a recharge which is not over yet ends, s.
    next_ready: f64,
}

impl Suits {
    /// So many suits, clean and new.
    pub fn new(n: usize) -> Suits {
        Suits {
            of: vec![Suit::FRESH; n].into(),
            work: [Work::NONE; MAX_CREW],
            next_ready: f64::INFINITY,
        }
    }

    /// All of them clean and new again, nobody at work.
    pub fn clear(&mut self) {
        self.of.fill(Suit::FRESH);
        self.work.fill(Work::NONE);
        self.next_ready = f64::INFINITY;
    }

    /// Dust on a suit, kg per bin.
    pub fn dust(&self, s: SuitId) -> [f64; BINS] {
        self.of[s].dust
    }

    /// Dust of all suits, in order.
    pub(in crate::campaign) fn all_dust(&self) -> impl Iterator<Item = &[f64; BINS]> {
        self.of.iter().map(|s| &s.dust)
    }

    /// Dust settles on a suit.
    pub fn settles(&mut self, s: SuitId, bin: usize, mass: f64) {
        self.of[s].dust[bin] += mass;
    }

    /// A share of a bin is taken off: how much that was, kg.
    pub(in crate::campaign) fn cleaned(&mut self, s: SuitId, bin: usize, share: f64) -> f64 {
        let removed = self.of[s].dust[bin] * share;
        self.of[s].dust[bin] -= removed;
        removed
    }

    /// A share of all dust falls off, if there is any: kg per bin.
    pub fn sheds(&mut self, s: SuitId, share: f64) -> Option<[f64; BINS]> {
        let dust = &mut self.of[s].dust;
        if share <= 0.0 || dust.iter().sum::<f64>() <= 0.0 {
            return None;
        }
        let mass = dust.map(|m| m * share);
        dust.iter_mut().zip(mass).for_each(|(have, m)| *have -= m);
        Some(mass)
    }

    /// A suit goes out with a team.
    pub(in crate::campaign) fn go_out(&mut self, s: SuitId, team: usize) {
        self.of[s].out = team as u8;
    }

    /// A suit comes in from outside, if it was out with this team.
    pub(in crate::campaign) fn come_in(&mut self, s: SuitId, team: usize) -> bool {
        let with = self.out_with(s, team);
        if with {
            self.of[s].out = NOBODY;
        }
        with
    }

    /// Is a suit out with this team?
    fn out_with(&self, s: SuitId, team: usize) -> bool {
        self.of[s].out == team as u8
    }

    /// Suits, each with the team that it is out with.
    pub(in crate::campaign) fn out(&self) -> impl Iterator<Item = (SuitId, usize)> + '_ {
        let all = self.of.each().filter(|(_, s)| s.out != NOBODY);
        all.map(|(s, suit)| (s, usize::from(suit.out)))
    }

    /// How often a suit was outside.
    pub(in crate::campaign) fn trips(&self, s: SuitId) -> u32 {
        self.of[s].trips
    }

    /// A suit is back from outside and recharges from now on for so long; true while it does.
    pub(in crate::campaign) fn recharges(&mut self, s: SuitId, now: f64, takes: f64) -> bool {
        let suit = &mut self.of[s];
        suit.trips += 1;
        suit.ready = now + takes;
        if takes > 0.0 {
            self.next_ready = self.next_ready.min(suit.ready);
        }
        takes > 0.0
    }

    /// A recharge has come to its end since this was asked last.
    pub(in crate::campaign) fn recharge_over(&mut self, now: f64) -> bool {
        if now < self.next_ready {
            return false;
        }
        let later = self.of.iter().map(|s| s.ready).filter(|t| *t > now);
        self.next_ready = later.fold(f64::INFINITY, f64::min);
        true
    }

    /// Does a suit still recharge?
    pub(in crate::campaign) fn charging(&self, s: SuitId, now: f64) -> bool {
        self.of[s].ready > now
    }

    /// A sortie counts for the maintenance of a suit.
    pub(in crate::campaign) fn count_sortie(&mut self, s: SuitId) {
        self.of[s].sorties += 1;
    }

    /// Sorties since its last maintenance.
    pub(in crate::campaign) fn sorties(&self, s: SuitId) -> u32 {
        self.of[s].sorties
    }

    /// How often it was maintained.
    pub(in crate::campaign) fn services(&self, s: SuitId) -> u32 {
        self.of[s].services
    }

    /// A suit is maintained: its sorties count from none again.
    pub(in crate::campaign) fn maintained(&mut self, s: SuitId) {
        self.of[s].sorties = 0;
        self.of[s].services += 1;
    }

    /// The trouble that took a suit away from where it belongs.
    pub(in crate::campaign) fn astray_by(&self, s: SuitId) -> Option<u16> {
        self.of[s].astray
    }

    /// A suit is where it belongs, or on its way there.
    pub(in crate::campaign) fn back(&mut self, s: SuitId) {
        self.of[s].astray = None;
    }

    /// A suit is not where it belongs: the first trouble that is known for it stays.
    pub(in crate::campaign) fn left(&mut self, s: SuitId, why: Option<u16>) {
        let astray = &mut self.of[s].astray;
        *astray = astray.or(why);
    }

    /// Somebody begins to maintain a suit.
    pub(in crate::campaign) fn begin_work(&mut self, p: usize, since: f64, until: f64) {
        self.work[p] = Work { since, until };
    }

    /// Somebody's work on suits is over by now.
    pub(in crate::campaign) fn work_over(&self, p: usize, now: f64) -> bool {
        self.work[p].until <= now
    }

    /// How long somebody has worked on suits, s: not beyond the end of it.
    pub(in crate::campaign) fn worked_up_to_end(&self, p: usize, now: f64) -> f64 {
        now.min(self.work[p].until) - self.work[p].since
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const ONE: SuitId = SuitId::new(0);
    const OTHER: SuitId = SuitId::new(1);

    #[test]
    fn dust_settles_and_falls_off_by_shares() {
        let mut s = Suits::new(2);
        assert_eq!(s.sheds(ONE, 0.5), None);
        s.settles(ONE, 1, 4.0);
        assert_eq!(s.sheds(ONE, 0.0), None);
        assert_eq!(s.cleaned(ONE, 1, 0.5), 2.0);
        assert_eq!(s.sheds(ONE, 0.25), Some([0.0, 0.5, 0.0, 0.0]));
        assert_eq!(s.dust(ONE), [0.0, 1.5, 0.0, 0.0]);
        assert_eq!(s.all_dust().flatten().sum::<f64>(), 1.5);
        s.clear();
        assert_eq!(s.dust(ONE), [0.0; 4]);
    }

    #[test]
    fn a_recharge_is_over_once() {
        let mut s = Suits::new(2);
        assert!(!s.recharges(ONE, 10.0, 0.0) && !s.recharge_over(20.0));
        assert!(s.recharges(ONE, 10.0, 5.0) && s.recharges(OTHER, 11.0, 9.0));
        assert!(!s.recharge_over(14.0) && s.charging(ONE, 14.0));
        assert!(s.recharge_over(15.0) && !s.charging(ONE, 15.0) && s.charging(OTHER, 15.0));
        assert!(!s.recharge_over(19.0) && s.recharge_over(30.0) && !s.recharge_over(31.0));
        assert_eq!((s.trips(ONE), s.trips(OTHER)), (2, 1));
    }

    #[test]
    fn a_suit_comes_in_with_the_team_it_went_out_with() {
        let mut s = Suits::new(2);
        s.go_out(OTHER, 3);
        assert_eq!(s.out().collect::<Vec<_>>(), [(OTHER, 3)]);
        assert!(!s.come_in(OTHER, 2) && s.come_in(OTHER, 3) && !s.come_in(OTHER, 3));
    }

    #[test]
    fn sorties_count_up_to_a_maintenance_and_the_first_trouble_stays() {
        let mut s = Suits::new(1);
        s.count_sortie(ONE);
        s.count_sortie(ONE);
        assert_eq!((s.sorties(ONE), s.services(ONE)), (2, 0));
        s.maintained(ONE);
        assert_eq!((s.sorties(ONE), s.services(ONE)), (0, 1));
        s.left(ONE, None);
        s.left(ONE, Some(7));
        s.left(ONE, Some(8));
        assert_eq!(s.astray_by(ONE), Some(7));
        s.back(ONE);
        assert_eq!(s.astray_by(ONE), None);
        s.begin_work(2, 5.0, 9.0);
        assert!(!s.work_over(2, 8.0) && s.work_over(2, 9.0));
        assert_eq!(s.worked_up_to_end(2, 12.0), 4.0);
    }
}

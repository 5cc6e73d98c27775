//! The books of ports: who uses each, which stand down and why, what may have been left astray unseen,
//! and before when nothing is tried again.

/// Nobody.
const NOBODY: u8 = u8::MAX;

/// The books of one port.
#[derive(Clone, Copy, Debug)]
struct Port {
    /// Team that uses it.
    user: u8,
    /// It is not at rest, and no sortie leaves by it.
    stands_down: bool,
    /// Why it stands down, or stood down last.
    why: u16,
    /// What a team may have left astray while others used it: why.
    unseen: Option<u16>,
    /// One that a restore list did not put at rest is not tried again before this, s.
    restore_after: f64,
    /// An errand out by it that was given up is not begun again before this, s.
    errand_after: f64,
}

impl Port {
    const FRESH: Port = Port {
        user: NOBODY,
        stands_down: false,
        why: 0,
        unseen: None,
        restore_after: 0.0,
        errand_after: 0.0,
    };
}

/// All ports of an architecture.
#[derive(Clone, Debug)]
pub(in crate::campaign) struct Ports {
    of: Vec<Port>,
    /// When the next look around is due that is waited for because nobody was free, s.
    next_look: f64,
}

impl Ports {
    /// So many ports, at rest and free.
    pub(in crate::campaign) fn new(n: usize) -> Ports {
        Ports { of: vec![Port::FRESH; n], next_look: 0.0 }
    }

    /// All of them at rest and free again.
    pub(in crate::campaign) fn clear(&mut self) {
        self.of.fill(Port::FRESH);
        self.next_look = 0.0;
    }

    fn at(&self, port: u16) -> &Port {
        &self.of[usize::from(port)]
    }

    fn at_mut(&mut self, port: u16) -> &mut Port {
        &mut self.of[usize::from(port)]
    }

    /// A team uses a port from now on.
    pub(in crate::campaign) fn hold(&mut self, port: u16, team: usize) {
        self.at_mut(port).user = team as u8;
    }

    /// A team does not use a port any more, if it did.
    pub(in crate::campaign) fn let_go(&mut self, port: u16, team: usize) {
        if self.user(port) == Some(team) {
            self.at_mut(port).user = NOBODY;
        }
    }

    /// The team that uses a port.
    pub(in crate::campaign) fn user(&self, port: u16) -> Option<usize> {
        let user = self.at(port).user;
        (user != NOBODY).then_some(usize::from(user))
    }

    /// Does nobody use it?
    pub(in crate::campaign) fn free(&self, port: u16) -> bool {
        self.at(port).user == NOBODY
    }

    /// Does a team other than this one use it?
    pub(in crate::campaign) fn used_by_other(&self, port: u16, team: usize) -> bool {
        self.user(port).is_some_and(|k| k != team)
    }

    /// A port has been looked at: it stands down for what is not at rest, or no longer. True if it does
    /// from now on; it keeps why it does so already.
    pub(in crate::campaign) fn look(&mut self, port: u16, off: bool, why: u16) -> bool {
        let p = self.at_mut(port);
        let news = off && !p.stands_down;
        if news {
            p.why = why;
        }
        p.stands_down = off;
        news
    }

    /// It was put at rest, or was to be: does it still stand down?
    pub(in crate::campaign) fn set_down(&mut self, port: u16, off: bool) {
        self.at_mut(port).stands_down = off;
    }

    /// Is it not at rest?
    pub(in crate::campaign) fn stands_down(&self, port: u16) -> bool {
        self.at(port).stands_down
    }

    /// Why it stands down, if it does.
    pub(in crate::campaign) fn down_why(&self, port: u16) -> Option<u16> {
        let p = self.at(port);
        p.stands_down.then_some(p.why)
    }

    /// Why it stands down, or stood down last; `None` if there is no such port.
    pub(in crate::campaign) fn last_why(&self, port: u16) -> Option<u16> {
        self.of.get(usize::from(port)).map(|p| p.why)
    }

    /// It could not be looked at because others used it; why a look is due.
    pub(in crate::campaign) fn set_unseen(&mut self, port: u16, why: u16) {
        self.at_mut(port).unseen = Some(why);
    }

    /// It can be looked at now.
    pub(in crate::campaign) fn seen(&mut self, port: u16) {
        self.at_mut(port).unseen = None;
    }

    /// Why a look is due that could not be had before.
    pub(in crate::campaign) fn unseen(&self, port: u16) -> Option<u16> {
        self.at(port).unseen
    }

    /// It is not put at rest before a time.
    pub(in crate::campaign) fn restore_later(&mut self, port: u16, after: f64) {
        self.at_mut(port).restore_after = after;
    }

    /// May it be put at rest now?
    pub(in crate::campaign) fn may_restore(&self, port: u16, now: f64) -> bool {
        self.at(port).restore_after <= now
    }

    /// No errand leaves by it before a time.
    pub(in crate::campaign) fn errand_later(&mut self, port: u16, after: f64) {
        self.at_mut(port).errand_after = after;
    }

    /// May an errand leave by it now?
    pub(in crate::campaign) fn may_leave_on_errand(&self, port: u16, now: f64) -> bool {
        self.at(port).errand_after <= now
    }

    /// Something was mended: everything may be tried again.
    pub(in crate::campaign) fn try_all_again(&mut self) {
        for p in &mut self.of {
            (p.restore_after, p.errand_after) = (0.0, 0.0);
        }
    }

    /// A look around is wanted at a time: true unless one is due by then that is not over.
    pub(in crate::campaign) fn wants_look(&mut self, now: f64, at: f64) -> bool {
        let wanted = self.next_look <= now || at + 1.0 < self.next_look;
        if wanted {
            self.next_look = at;
        }
        wanted
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_port_is_let_go_by_the_team_that_holds_it() {
        let mut p = Ports::new(2);
        p.hold(1, 4);
        assert!(p.free(0) && !p.free(1) && p.user(1) == Some(4));
        assert!(p.used_by_other(1, 3) && !p.used_by_other(1, 4) && !p.used_by_other(0, 3));
        p.let_go(1, 3);
        assert!(!p.free(1));
        p.let_go(1, 4);
        assert!(p.free(1));
    }

    #[test]
    fn a_port_stands_down_for_what_was_seen_first() {
        let mut p = Ports::new(1);
        assert!(p.look(0, true, 7) && !p.look(0, true, 8));
        assert_eq!((p.down_why(0), p.last_why(0), p.last_why(1)), (Some(7), Some(7), None));
        assert!(!p.look(0, false, 9) && !p.stands_down(0));
        assert_eq!((p.down_why(0), p.last_why(0)), (None, Some(7)));
        p.set_unseen(0, 5);
        assert_eq!(p.unseen(0), Some(5));
        p.seen(0);
        assert_eq!(p.unseen(0), None);
    }

    #[test]
    fn what_failed_waits_until_its_time_or_until_something_is_mended() {
        let mut p = Ports::new(1);
        p.restore_later(0, 10.0);
        p.errand_later(0, 20.0);
        assert!(!p.may_restore(0, 9.0) && p.may_restore(0, 10.0));
        assert!(!p.may_leave_on_errand(0, 19.0));
        p.try_all_again();
        assert!(p.may_leave_on_errand(0, 0.0) && p.may_restore(0, 0.0));
    }

    #[test]
    fn one_look_is_planned_until_it_is_over_or_an_earlier_one_is_wanted() {
        let mut p = Ports::new(1);
        assert!(p.wants_look(5.0, 10.0) && !p.wants_look(6.0, 11.0) && !p.wants_look(6.0, 9.5));
        assert!(p.wants_look(6.0, 8.0) && p.wants_look(8.0, 20.0));
    }
}

//! A row failed: why, what is done next, and to which cause lost hours are booked.

use crate::campaign::owner::team::{Errand, Phase};
use crate::campaign::world::World;
use crate::plan::{Broken, Crew, NONE, On, OpeningId, Row, each_of};
use crate::scenario::{Action, IfFails};

/// Why a row failed.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::campaign) enum Failure {
    /// An interlock or a stuck part.
    Broken(Broken),
    /// A leak check alarmed falsely.
    FalseAlarm,
    /// The store does not hold the gas.
    Store,
    /// The volume does not hold its pressure check.
    NotHolding(u16),
    /// The seal of an opening leaks more than its pressure check allows.
    Leaking(OpeningId),
    /// A casualty could not be brought through.
    Casualty,
    /// A condition to wait for did not come, or a stage or valve that is needed is lost.
    Lost(u16),
    /// The pump has failed in its run and moved nothing: all is vented instead.
    PumpDied(u16),
    /// The campaign is ending.
    Ending,
    /// Called back: the cause.
    Recalled(u16),
}

impl World<'_> {
    /// A row failed.
    pub(in crate::campaign) fn row_failed(&mut self, k: usize, row: &Row, f: Failure) {
        let list = &self.arm.layout.lists[self.teams[k].leg.list as usize];
        let vented = self.arm.layout.vented_next(list, self.teams[k].leg.row);
        if let (Failure::PumpDied(_), true) = (f, vented) {
            // The run has cost its time; what it did not move is left to the vent that follows.
            self.teams[k].leg.t = self.teams[k].leg.end;
            self.teams[k].phase = Phase::Begin;
            return;
        }
        if self.some_go_in(k, row, f) {
            return;
        }
        match row.if_fails {
            IfFails::GoOn => {
                let cause = self.cause_of(f, row, self.teams[k].leg.who);
                self.teams[k].troubled_by(cause);
                self.teams[k].back.went_on = true;
                return self.next_row(k);
            }
            // At an occupied berth nothing is tried at all.
            IfFails::Retry(n)
                if u32::from(self.teams[k].leg.tries) < n
                    && f != Failure::Ending
                    && f != Failure::Broken(Broken::NoBerth)
                    && !self.last_moment(k) =>
            {
                return self.try_again(k);
            }
            _ => {}
        }
        if row.action == Action::Open {
            self.did_not_move(self.teams[k].members);
        }
        let cause = self.cause_of(f, row, self.teams[k].leg.who);
        if self.teams[k].out.door_at < 0.0 {
            self.teams[k].blame(cause);
            self.teams[k].out.cut = true;
        }
        self.teams[k].troubled_by(cause);
        self.teams[k].leg.t = self.teams[k].leg.end;
        let kind = self.arm.layout.lists[self.teams[k].leg.list as usize].kind;
        if kind.goes_out() && self.teams[k].leg.then == NONE {
            return self.abort(k);
        }
        if self.teams[k].errand == Errand::Restore {
            return self.restore_failed(k);
        }
        self.stranded_at_row(k, row, f);
    }

    /// The cause of lost hours behind a failure.
    pub(in crate::campaign) fn cause_of(&self, f: Failure, row: &Row, who: Crew) -> u16 {
        use crate::model::cause;
        let of_part =
            |pm: u16| self.arm.modes[self.arm.part_modes[pm as usize].mode as usize].cause;
        match f {
            Failure::NotHolding(pm) | Failure::Lost(pm) | Failure::PumpDied(pm) => of_part(pm),
            Failure::Leaking(_) => cause::SEAL,
            Failure::FalseAlarm => cause::FALSE_ALARM,
            Failure::Store => cause::STORE,
            Failure::Casualty => self.hurt_cause(who).unwrap_or(cause::HURT),
            Failure::Recalled(c) => c,
            Failure::Ending => self.course.ending.map_or(cause::HORIZON, |e| e.cause),
            Failure::Broken(Broken::NoSuit) => cause::NO_SUIT,
            Failure::Broken(_) => {
                if let On::Opening(o, n) = row.on {
                    for p in each_of(who) {
                        let id = self.places.opening_for(&self.arm.layout, o, n, p);
                        if let Some(pm) = self.faults.stuck_by(id) {
                            return of_part(pm);
                        }
                    }
                }
                cause::INTERLOCK
            }
        }
    }

    /// Called back on the way out: in again, at the end of the row.
    pub(in crate::campaign) fn turn_round(&mut self, k: usize, row: &Row) {
        let cause = self.teams[k].back.recall;
        self.teams[k].blame(cause);
        self.teams[k].out.cut = true;
        self.teams[k].troubled_by(cause);
        self.tell_row(k, row, self.teams[k].leg.who, Some(Failure::Recalled(cause)));
        self.teams[k].leg.t = self.teams[k].leg.end;
        self.abort(k);
    }
}

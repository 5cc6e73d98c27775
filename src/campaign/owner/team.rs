//! Teams: who is on the way, in which list and row, and what became of their slot.

use crate::model::{ACTIONS, LEG_DRAWS, cause};
use crate::plan::{Crew, MAX_CREW, NONE, OpeningId};

/// Most teams at once: nobody is in two.
pub const TEAMS: usize = MAX_CREW;

/// What a team is about.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Errand {
    /// A planned sortie.
    Sortie,
    /// Going home from a haven elsewhere (rule 24).
    Return,
    /// Putting a port at rest.
    Restore,
    /// A repair that needs a team outside: index of the job.
    Repair(u16),
    /// Crossing into an element that then leaves: index of the traverse.
    Undock(u16),
    /// Crossing from an element into the one it docks with.
    Dock,
}

/// Where a team stands in what it does.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Phase {
    /// Not in use.
    Idle,
    /// Waits for a port in use, before egress.
    WaitPort,
    /// Between rows.
    Begin,
    /// In a row until `end`.
    InRow,
    /// At the door, outside: a suit that was left there is hung up or taken along.
    Fetch,
    /// Outside, at work or on the way there.
    Outside,
    /// On the way back to the door.
    Walking,
    /// Cannot get in for now: waits for a port, a repair or the end.
    Stranded,
}

/// Something that strikes a person of a team at a known moment outside.
#[derive(Clone, Copy, Debug)]
pub struct Hit {
    /// When, s.
    pub at: f64,
    /// Failure mode.
    pub mode: u16,
    /// Person.
    pub person: u8,
}

/// The list a team walks and where it stands in it.
#[derive(Clone, Debug)]
pub struct Leg {
    /// List.
    pub list: u16,
    /// Row.
    pub row: usize,
    /// Only the rows that make a port ready are played; then this list.
    pub then: u16,
    /// Before that list somebody shuts this opening; [`OpeningId::NONE`] if there is none to shut.
    pub shuts: OpeningId,
    /// A `restore` that is played as far as its pressure rows (rule 31).
    pub fill_only: bool,
    /// Those rows bring the port back for the next batch out, not for people outside.
    pub refill: bool,
    /// Tries of the row so far.
    pub tries: u8,
    /// A check that failed and goes back to the cleaning row before it; `usize::MAX` if none.
    pub check_row: usize,
    /// Its tries so far.
    pub check_tries: u8,
    /// Time, s: start of the row, or now.
    pub t: f64,
    /// End of the row, s.
    pub end: f64,
    /// Who does the row.
    pub who: Crew,
    /// The row's result held already.
    pub skip: bool,
    /// Luck of its lists: path of the errand.
    pub path: u64,
    /// Occasion.
    pub occasion: u64,
    /// Uniforms of the leg, up to [`LEG_DRAWS`].
    pub draws: Vec<f64>,
}

/// A time outside: its work, its clock times, what strikes in it.
#[derive(Clone, Debug)]
pub struct Outing {
    /// Start of the first egress row, s.
    pub started: f64,
    /// Elapsed s in egress and ingress rows.
    pub elapsed: f64,
    /// The same by action, in the order of the vocabulary.
    pub by_action: [f64; ACTIONS],
    /// A suit that was left outside is seen to; what has no berth comes in with them.
    pub fetches: bool,
    /// End of egress, s; negative before.
    pub out_at: f64,
    /// Start of the first ingress row, s; negative before.
    pub door_at: f64,
    /// Planned end of work, s.
    pub work_end: f64,
    /// Dust picked up already.
    pub dusted: bool,
    /// Hours outside whose dust is on the suits, s.
    pub dusty_for: f64,
    /// Hits of this time outside, in order.
    pub hits: Vec<Hit>,
    /// Next one.
    pub hit_next: usize,
    /// Work was ended by an event.
    pub cut: bool,
    /// The stay as decided at the end of egress, s.
    pub stay: f64,
    /// Cause of planned hours beyond the stay.
    pub limit: u16,
    /// The stay is less than the task wants.
    pub limited: bool,
    /// Seconds outside so far per person, filled when the door is reached.
    pub done: f64,
}

/// The way to the place of work and back.
#[derive(Clone, Debug)]
pub struct Trip {
    /// Rover that fetched it; [`NONE`] if it walks.
    pub rides: u16,
    /// One way, m.
    pub distance: f64,
    /// Speed outbound, m/s.
    pub speed: f64,
    /// Metres from the door and when that was so (walking back).
    pub far: f64,
    /// Metres from the door where a team lies of which nobody can walk; 0 at the door.
    pub lies: f64,
    /// Speed back, m/s.
    pub back_speed: f64,
    /// When the team reaches the place of work, s; infinite once there or on the way back.
    pub site_at: f64,
    /// Casualties that have been lifted for the way back.
    pub lifted: Crew,
}

/// Getting back in: what was tried, by which way, and what began the trouble.
#[derive(Clone, Debug)]
pub struct Back {
    /// Called back while the last of it are still on the way out: the cause; [`NONE`] if not.
    pub recall: u16,
    /// Ways back tried: bits of the architecture's order.
    pub tried: u64,
    /// Way in use: index in the order; [`NONE`] for the planned list.
    pub way: u16,
    /// The way's own rows were tried again from a `repress`.
    pub again: bool,
    /// The planned list was tried and failed.
    pub planned_tried: bool,
    /// Something was mended since.
    pub mended: bool,
    /// Losses are contingency.
    pub contingency: bool,
    /// A row failed and was left behind: the port may not be at rest.
    pub went_on: bool,
    /// Aborted egress.
    pub aborted: bool,
    /// Earliest cause of lost hours; [`cause::LEFT`] stands for none so far.
    pub cause: u16,
    /// Has a cause.
    pub has_cause: bool,
    /// What opened its trouble: the first failure on the way in or first hurt; [`cause::LEFT`] if none.
    pub trouble: u16,
}

/// One team.
#[derive(Clone, Debug)]
pub struct Team {
    /// Where it stands.
    pub phase: Phase,
    /// Counts events of this team, so that old ones are known.
    pub ticket: u32,
    /// What it is about.
    pub errand: Errand,
    /// Those now with it.
    pub members: Crew,
    /// Those of them who walk the list now: all, or a batch (rule 14).
    pub batch: Crew,
    /// It goes in batches, one after the other.
    pub parted: bool,
    /// Number of the batch that walks: later ones have luck of their own.
    pub wave: u64,
    /// Crew seconds outside, capped at the plan, and of overhead, of batches that are in.
    pub came: [f64; 2],
    /// Those who came out to help.
    pub rescuers: Crew,
    /// Slot it came from (index); `u32::MAX` if none.
    pub slot: u32,
    /// It keeps the books of the slot (a part that split off does not).
    pub books: bool,
    /// Port of the list it is in.
    pub port: u16,
    /// Port it means to come in by.
    pub home_port: u16,
    /// Holds `port`.
    pub holds: bool,
    /// Its list and row.
    pub leg: Leg,
    /// Its time outside.
    pub out: Outing,
    /// Its way to the place of work.
    pub trip: Trip,
    /// Its way back in.
    pub back: Back,
}

impl Leg {
    const fn none() -> Leg {
        Leg {
            list: NONE,
            row: 0,
            then: NONE,
            shuts: OpeningId::NONE,
            fill_only: false,
            refill: false,
            tries: 0,
            check_row: usize::MAX,
            check_tries: 0,
            t: 0.0,
            end: 0.0,
            who: 0,
            skip: false,
            path: 0,
            occasion: 0,
            draws: Vec::new(),
        }
    }
}

impl Outing {
    const fn none() -> Outing {
        Outing {
            started: 0.0,
            elapsed: 0.0,
            by_action: [0.0; ACTIONS],
            fetches: false,
            out_at: -1.0,
            door_at: -1.0,
            work_end: 0.0,
            dusted: false,
            dusty_for: 0.0,
            hits: Vec::new(),
            hit_next: 0,
            cut: false,
            stay: 0.0,
            limit: cause::SHORTER,
            limited: false,
            done: 0.0,
        }
    }

    /// The next thing that strikes somebody of it.
    #[inline]
    pub fn next_hit(&self) -> Option<Hit> {
        self.hits.get(self.hit_next).copied()
    }
}

impl Trip {
    const fn none() -> Trip {
        Trip {
            rides: NONE,
            distance: 0.0,
            speed: 1.0,
            far: 0.0,
            lies: 0.0,
            back_speed: 1.0,
            site_at: f64::INFINITY,
            lifted: 0,
        }
    }
}

impl Back {
    const fn none() -> Back {
        Back {
            recall: NONE,
            tried: 0,
            way: NONE,
            again: false,
            planned_tried: false,
            mended: false,
            contingency: false,
            went_on: false,
            aborted: false,
            cause: cause::LEFT,
            has_cause: false,
            trouble: cause::LEFT,
        }
    }
}

impl Team {
    /// A team not in use, with room for the uniforms of a leg.
    pub fn idle() -> Team {
        let mut team = Team::none();
        team.leg.draws = vec![0.5; LEG_DRAWS];
        team
    }

    const fn none() -> Team {
        Team {
            phase: Phase::Idle,
            ticket: 0,
            errand: Errand::Sortie,
            members: 0,
            batch: 0,
            parted: false,
            wave: 0,
            came: [0.0; 2],
            rescuers: 0,
            slot: u32::MAX,
            books: false,
            port: NONE,
            home_port: NONE,
            holds: false,
            leg: Leg::none(),
            out: Outing::none(),
            trip: Trip::none(),
            back: Back::none(),
        }
    }

    /// Back to idle, keeping the ticket so that old events stay old, and the memory. The uniforms need no
    /// reset: a list fills what it reads.
    pub fn clear(&mut self) {
        let ticket = self.ticket + 1;
        let (draws, mut hits) = self.memory();
        hits.clear();
        *self = Team::none();
        (self.leg.draws, self.out.hits) = (draws, hits);
        self.ticket = ticket;
    }

    /// Becomes what another team is, in its own memory and with a new ticket of its own.
    pub fn copy(&mut self, other: &mut Team) {
        let ticket = self.ticket + 1;
        let mine = self.memory();
        let others = other.memory();
        *self = Team { ticket, ..other.clone() };
        (self.leg.draws, self.out.hits) = mine;
        self.leg.draws.clone_from(&others.0);
        self.out.hits.clone_from(&others.1);
        (other.leg.draws, other.out.hits) = others;
    }

    /// Uniforms and hits, lent until they are put back: what a team has allocated.
    fn memory(&mut self) -> (Vec<f64>, Vec<Hit>) {
        (std::mem::take(&mut self.leg.draws), std::mem::take(&mut self.out.hits))
    }

    /// Takes the luck of another batch: batch 0 has the errand's own.
    pub fn set_wave(&mut self, to: u64) {
        const STEP: u64 = 0x9e37_79b9_7f4a_7c15;
        self.leg.path ^= self.wave.wrapping_mul(STEP) ^ to.wrapping_mul(STEP);
        self.wave = to;
    }

    /// Notes a cause, if it is the first.
    pub fn blame(&mut self, cause: u16) {
        if !self.back.has_cause {
            self.back.cause = cause;
            self.back.has_cause = true;
        }
    }

    /// Notes what opened the trouble, if it is the first.
    pub fn troubled_by(&mut self, cause: u16) {
        if self.back.trouble == cause::LEFT {
            self.back.trouble = cause;
        }
    }

    /// Adds a hit, keeping them in order of time (and of file for ties).
    pub fn add_hit(&mut self, hit: Hit) {
        let later =
            self.out.hits[self.out.hit_next..].iter().rev().take_while(|h| h.at > hit.at).count();
        self.out.hits.insert(self.out.hits.len() - later, hit);
    }
}

#[cfg(test)]
mod tests;

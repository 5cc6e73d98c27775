//! Thresholds that hazards use up (rule 29) and common cause (rule 30): the owner of what parts have
//! left. A hazard grows in [`Parts::ask`] and nowhere else: there `multiplier` acts on what is compared
//! with the threshold (1 in plain play), while natural hazard and events are booked (rule 34).

use crate::numbers::{Common, Growth, Share};
use crate::scenario::During;

/// State of every mode on every part, and of every common-cause group.
#[derive(Clone, Debug)]
pub struct Parts {
    modes: Vec<State>,
    groups: Vec<Group>,
}

/// One mode on one part.
#[derive(Clone, Copy, Debug)]
struct State {
    /// What is left of the threshold.
    left: f64,
    /// Age: cycles, demands or time.
    age: f64,
    /// Cumulative hazard at this age, where a life goes by age.
    used: f64,
    /// What acts on the threshold beside nature: 1 in plain play.
    multiplier: f64,
    /// Renewals so far.
    renewal: u32,
    /// Strikes since it was last mended.
    strikes: u32,
    /// Struck and not mended.
    struck: bool,
    /// The strike is known.
    known: bool,
    /// It never strikes, and has no part in its group.
    exempt: bool,
}

impl State {
    const FRESH: State = State {
        left: 0.0,
        age: 0.0,
        used: 0.0,
        multiplier: 1.0,
        renewal: 0,
        strikes: 0,
        struck: false,
        known: false,
        exempt: false,
    };
}

/// One common-cause group.
#[derive(Clone, Copy, Debug, Default)]
struct Group {
    /// What is left of the threshold.
    left: f64,
    /// The last occasion.
    seen: u64,
    /// Renewals so far.
    renewal: u32,
}

/// What a demand meets on the seal of its part.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub enum Dust {
    /// No dust that matters.
    None,
    /// Dust gets on it at this closing.
    Added,
    /// It carries dust.
    Carried,
}

/// In which part of a sortie a demand is made.
#[derive(Clone, Copy, Debug)]
pub struct Occasion {
    /// Identifies egress, ingress with ways back, or service cycle of a slot (rule 30); 0: none.
    pub id: u64,
    /// Which part.
    pub during: During,
}

/// What is asked of a part: how much of its hazard it meets, when, and how dusty.
#[derive(Clone, Copy, Debug)]
pub struct Demand {
    /// Demands, cycles, s or m.
    pub exposure: f64,
    /// In which part of a sortie.
    pub occasion: Occasion,
    /// What is on the seal.
    pub dust: Dust,
}

/// What comes of a demand.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Answer {
    /// Nothing.
    Holds,
    /// The common-cause group of the part crosses; the part's own share is asked after that.
    Common(u16),
    /// The part crosses its own threshold.
    Strikes,
}

impl Parts {
    /// So many modes on parts, and common-cause groups.
    pub fn new(modes: usize, groups: usize) -> Parts {
        Parts { modes: vec![State::FRESH; modes], groups: vec![Group::default(); groups] }
    }

    /// All new; thresholds are drawn afterwards.
    pub fn reset(&mut self) {
        self.modes.fill(State::FRESH);
        self.groups.fill(Group::default());
    }

    /// A mode that never strikes has no part in its group either.
    pub(in crate::campaign) fn exempt(&mut self, pm: usize) {
        self.modes[pm].exempt = true;
    }

    /// Asks one mode of a part. The one place where hazards grow, with [`Parts::ask_own`], which it ends
    /// in unless the group crosses.
    #[inline(always)]
    pub fn ask(&mut self, pm: usize, share: &Share, d: Demand) -> Answer {
        let s = &self.modes[pm];
        if s.struck && !share.adds_up || share.during.is_some_and(|x| x != d.occasion.during) {
            return Answer::Holds;
        }
        if let Some(common) = &share.common
            && !s.exempt
            && self.ask_common(common, d)
        {
            return Answer::Common(common.group);
        }
        self.ask_own(pm, share, d)
    }

    /// The part's own share, also after its group has crossed in this demand.
    #[inline(always)]
    pub fn ask_own(&mut self, pm: usize, share: &Share, d: Demand) -> Answer {
        let s = &mut self.modes[pm];
        if s.struck && !share.adds_up {
            return Answer::Holds;
        }
        let natural = match share.growth {
            Growth::Even => share.each * d.exposure,
            Growth::Worn { from, factor } => {
                let age = s.age;
                s.age = age + d.exposure;
                // What comes after the age at which the part is worn counts as often as it says.
                let worn = (age + d.exposure - from.max(age)).max(0.0);
                share.each * (d.exposure + worn * (factor - 1.0))
            }
            Growth::Weibull { life, shape } => {
                let before = s.used;
                s.age += d.exposure;
                s.used = (s.age / life).powf(shape);
                s.used - before
            }
        };
        let factor = share.dust[d.dust as usize];
        if factor == 0.0 {
            // A certain demand is an infinite hazard: nothing of it counts here.
            return Answer::Holds;
        }
        s.left -= natural * factor * s.multiplier;
        if s.left <= 0.0 { Answer::Strikes } else { Answer::Holds }
    }

    /// A member is used: true if its group crosses. By demands it is asked once per occasion (rule 30).
    fn ask_common(&mut self, common: &Common, d: Demand) -> bool {
        let g = &mut self.groups[common.group as usize];
        let id = d.occasion.id;
        if id != 0 && g.seen == id && common.demands {
            return false;
        }
        g.seen = id;
        g.left -= if common.demands { common.each } else { common.each * d.exposure };
        g.left <= 0.0
    }

    /// A new threshold.
    pub fn set_left(&mut self, pm: usize, left: f64) {
        self.modes[pm].left = left;
    }

    /// What is left of the threshold.
    #[inline]
    pub(in crate::campaign) fn left(&self, pm: usize) -> f64 {
        self.modes[pm].left
    }

    /// Rate at which time alone uses up the threshold where `scale` of it counts, 1/s.
    pub(in crate::campaign) fn rate(&self, pm: usize, share: &Share, scale: f64) -> f64 {
        share.each * scale * self.modes[pm].multiplier
    }

    /// Exposure until the threshold is used up.
    pub(in crate::campaign) fn wait(&self, pm: usize, share: &Share) -> f64 {
        match self.crosses_at(pm, share) {
            Some(age) => age - self.modes[pm].age,
            None => self.modes[pm].left / share.each,
        }
    }

    /// Age at which a part that ages will have used up its threshold; `None` if it does not age.
    fn crosses_at(&self, pm: usize, share: &Share) -> Option<f64> {
        let State { age, left, .. } = self.modes[pm];
        match share.growth {
            Growth::Even => None,
            Growth::Worn { from, factor } => {
                let before = (from - age).max(0.0) * share.each;
                Some(match left <= before {
                    true => age + left / share.each,
                    false => age.max(from) + (left - before) / (share.each * factor),
                })
            }
            Growth::Weibull { life, shape } => {
                Some(life * ((age / life).powf(shape) + left).powf(1.0 / shape))
            }
        }
    }

    /// The threshold is crossed by calendar time: the part has that age, and a repair as bad as old goes
    /// on from it (rule 29).
    pub(in crate::campaign) fn cross(&mut self, pm: usize, share: &Share) {
        if let Some(age) = self.crosses_at(pm, share) {
            self.modes[pm].age = age;
            if let Growth::Weibull { life, shape } = share.growth {
                self.modes[pm].used = (age / life).powf(shape);
            }
        }
    }

    /// The part is as new: it begins its life again.
    pub(in crate::campaign) fn rejuvenate(&mut self, pm: usize) {
        (self.modes[pm].age, self.modes[pm].used) = (0.0, 0.0);
    }

    /// Another threshold is due.
    pub(in crate::campaign) fn renew(&mut self, pm: usize) {
        self.modes[pm].renewal += 1;
    }

    /// How often a mode has been renewed.
    #[inline]
    pub(in crate::campaign) fn renewal(&self, pm: usize) -> u32 {
        self.modes[pm].renewal
    }

    /// A mode has struck, with a lasting effect.
    pub(in crate::campaign) fn strike(&mut self, pm: usize) {
        self.modes[pm].struck = true;
        self.modes[pm].strikes += 1;
    }

    /// Struck and not mended?
    #[inline]
    pub(in crate::campaign) fn struck(&self, pm: usize) -> bool {
        self.modes[pm].struck
    }

    /// The strike is known from now on; false if it was.
    pub(in crate::campaign) fn find(&mut self, pm: usize) -> bool {
        !std::mem::replace(&mut self.modes[pm].known, true)
    }

    /// Is its strike known?
    #[inline]
    pub(in crate::campaign) fn known(&self, pm: usize) -> bool {
        self.modes[pm].known
    }

    /// Mended: neither struck nor known; how often it had struck.
    pub(in crate::campaign) fn mend(&mut self, pm: usize) -> u32 {
        let s = &mut self.modes[pm];
        (s.struck, s.known) = (false, false);
        std::mem::take(&mut s.strikes)
    }

    /// A new threshold of a group.
    pub fn set_group(&mut self, g: usize, left: f64) {
        self.groups[g].left = left;
    }

    /// Another threshold of a group is due.
    pub(in crate::campaign) fn renew_group(&mut self, g: usize) {
        self.groups[g].renewal += 1;
    }

    /// How often a group has been renewed.
    pub(in crate::campaign) fn group_renewal(&self, g: usize) -> u32 {
        self.groups[g].renewal
    }
}

#[cfg(test)]
mod tests;

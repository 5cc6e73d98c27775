//! Interlocks (rule 2): why a row cannot be done.

use super::places::{ACROSS, habitable};
use super::*;
use crate::scenario::{Action, By, OpeningKind};

impl Places {
    /// Why `who` cannot do the row now, or `None`. A row whose result already holds is never broken.
    pub fn broken(&self, l: &Layout, row: &Row, who: Crew, g: &Spread) -> Option<Broken> {
        use Action::*;
        match row.action {
            Prepare | Wait | Purge | Prebreathe => None,
            Travel => match row.on {
                On::Element(e) if row.by == By::Ascent => {
                    let most = u32::from(l.elements[e as usize].haven_people);
                    (who.count_ones() > most).then_some(Broken::NoSupply)
                }
                _ => None,
            },
            Open => self
                .each_opening(l, row, who, |s, o| s.cannot_open(l, o))
                .or_else(|| self.nobody_opens(l, row, who, g)),
            Close => self.each_opening(l, row, who, |s, o| s.cannot_close(o)),
            Pass => self.cannot_pass(l, row, who),
            Depress | Vent => self.cannot_empty(l, row, who, g),
            Repress => self.cannot_fill(l, row, who, g),
            Mate => each_of(who).find_map(|p| self.cannot_mate(l, row, p, g)),
            Unmate => each_of(who).find_map(|p| self.cannot_unmate(l, row, p, g)),
            Don | SuitUp => each_of(who).find_map(|p| self.cannot_don(l, row, p)),
            Doff => each_of(who).find_map(|p| self.cannot_doff(l, row, p)),
            LeakCheck => match row.on {
                On::Suit => {
                    each_of(who).find(|p| self.person[*p].suit == NONE).map(|_| Broken::NoSuit)
                }
                _ => None,
            },
            Clean => match row.on {
                On::Opening(..) => self.cannot_reach(l, row, who),
                _ => self.cannot_use(l, row, who),
            },
            Recharge => match row.on {
                On::Stage(_) => self.cannot_use(l, row, who),
                _ => None,
            },
        }
    }

    pub(super) fn cannot_use(&self, l: &Layout, row: &Row, who: Crew) -> Option<Broken> {
        let On::Stage(s) = row.on else { return None };
        let within = l.stages[s as usize].within;
        let there = |p: usize| match self.person[p].at {
            Where::Volume(v) => v == within || within != OUTSIDE && self.joined(l, v, within),
            Where::Berth(b) => l.berths[b as usize].outer == within || within != OUTSIDE,
            Where::Gone => false,
        };
        each_of(who).find(|p| !there(*p)).map(|_| Broken::NotThere)
    }

    /// A seal is cleaned from a volume that the opening borders, or one that is joined to it.
    fn cannot_reach(&self, l: &Layout, row: &Row, who: Crew) -> Option<Broken> {
        let On::Opening(o, n) = row.on else { return None };
        let near = |p: usize, v: VolumeId| match self.person[p].at {
            Where::Volume(w) => w == v || w != OUTSIDE && v != OUTSIDE && self.joined(l, w, v),
            Where::Berth(_) | Where::Gone => false,
        };
        let there = |p: usize| {
            let o = self.opening_for(l, o, n, p) as usize;
            l.openings[o].sides.iter().any(|s| matches!(s, Side::Volume(v) if near(p, *v)))
        };
        each_of(who).find(|p| !there(*p)).map(|_| Broken::NotThere)
    }

    pub(super) fn each_opening(
        &self,
        l: &Layout,
        row: &Row,
        who: Crew,
        test: impl Fn(&Self, OpeningId) -> Option<Broken>,
    ) -> Option<Broken> {
        let On::Opening(o, n) = row.on else {
            return None;
        };
        if n < 2 {
            return test(self, o);
        }
        each_of(who).find_map(|p| test(self, self.opening_for(l, o, n, p)))
    }

    /// Who is incapacitated in a suit at a berth cannot open its hatches: somebody able in the cabin
    /// behind it has to, be it the partner who has come in by another berth.
    fn nobody_opens(&self, l: &Layout, row: &Row, who: Crew, g: &Spread) -> Option<Broken> {
        let On::Opening(o, n) = row.on else { return None };
        let alone = |p: usize| {
            let Where::Berth(b) = self.person[p].at else { return false };
            let o = self.opening_for(l, o, n, p);
            let hatch = [l.berths[b as usize].port_hatch, l.berths[b as usize].suit_hatch];
            let shut = hatch.contains(&o) && !self.opening[o as usize].open;
            shut && !self.anybody_able(l, l.berths[b as usize].cabin, g.hurt)
        };
        each_of(who & g.hurt).find(|p| alone(*p)).map(|_| Broken::NobodyInside)
    }

    /// Can somebody who is not hurt get to a habitable cabin, doors opened on the way?
    pub fn anybody_able(&self, l: &Layout, cabin: VolumeId, hurt: Crew) -> bool {
        self.is_habitable(l, cabin)
            && (0..l.crew).filter(|p| hurt & 1 << p == 0).any(|p| match self.person[p].at {
                Where::Volume(v) => v != OUTSIDE && self.can_get(l, cabin, v),
                Where::Berth(_) | Where::Gone => false,
            })
    }

    pub(super) fn cannot_open(&self, l: &Layout, o: OpeningId) -> Option<Broken> {
        let state = &self.opening[o as usize];
        if state.open {
            return None;
        }
        if state.stuck == Stuck::Shut {
            return Some(Broken::StuckShut);
        }
        if l.openings[o as usize].kind == OpeningKind::DustDoor {
            return None;
        }
        let [a, b] = l.openings[o as usize].sides;
        match (self.side(a), self.side(b)) {
            (Some(x), Some(y)) if (x - y).abs() <= ACROSS => None,
            (Some(_), Some(_)) => Some(Broken::PressureAcross),
            _ => Some(Broken::NoSuit),
        }
    }

    pub(super) fn cannot_close(&self, o: OpeningId) -> Option<Broken> {
        let state = &self.opening[o as usize];
        (state.open && state.stuck == Stuck::Open).then_some(Broken::StuckOpen)
    }

    pub(super) fn cannot_pass(&self, l: &Layout, row: &Row, who: Crew) -> Option<Broken> {
        let On::Opening(o, n) = row.on else {
            return None;
        };
        for p in each_of(who) {
            let o = self.opening_for(l, o, n, p);
            let (near, far) = ends(l, o, row.direction)?;
            match self.person[p].at {
                Where::Volume(v) if v == near => {}
                Where::Volume(v) if v == far => return Some(Broken::FarSide),
                _ => return Some(Broken::NotThere),
            }
            if !self.opening[o as usize].open {
                return Some(Broken::Shut);
            }
            if self.person[p].suit == NONE && !self.is_habitable(l, far) {
                return Some(Broken::Unsuited);
            }
            let there = (self.persons_in(l, far) | who & self.persons_in(l, near)).count_ones();
            if there > u32::from(l.volumes[far as usize].holds) {
                return Some(Broken::Full);
            }
        }
        None
    }

    pub(super) fn cannot_empty(
        &self,
        l: &Layout,
        row: &Row,
        who: Crew,
        g: &Spread,
    ) -> Option<Broken> {
        if row.on == On::Suit {
            return self.cannot_change_suit(l, row, who, g);
        }
        let (vols, n) = self.volumes_of(l, row, who);
        for v in &vols[..n] {
            let target = self.level(l, row, *v);
            if self.pressure[*v as usize] <= target {
                continue;
            }
            for o in &l.volumes[*v as usize].openings {
                if !self.opening[*o as usize].open {
                    continue;
                }
                let [a, b] = l.openings[*o as usize].sides;
                let other = if a == Side::Volume(*v) { b } else { a };
                let inside = matches!(other, Side::Volume(w) if vols[..n].contains(&w));
                if !inside && self.side(other).is_some_and(|p| p > target + ACROSS) {
                    return Some(Broken::OpenToPressure);
                }
            }
            if !habitable(target, l.volumes[*v as usize].oxygen) && self.anybody_unsuited(l, *v) {
                return Some(Broken::Unsuited);
            }
        }
        None
    }

    pub(super) fn anybody_unsuited(&self, l: &Layout, v: VolumeId) -> bool {
        each_of(self.persons_in(l, v)).any(|p| {
            let s = self.person[p].suit;
            s == NONE || !self.suit[s as usize].checked
        })
    }

    pub(super) fn cannot_change_suit(
        &self,
        l: &Layout,
        row: &Row,
        who: Crew,
        g: &Spread,
    ) -> Option<Broken> {
        for p in each_of(who) {
            let Some(s) = self.handled(l, row, p, g) else {
                return Some(Broken::NoSuit);
            };
            let berth = match self.suit[s].kept {
                Kept::Berth(b) => Some(b),
                Kept::Worn(q) => match self.person[q as usize].at {
                    Where::Berth(b) => Some(b),
                    _ => None,
                },
                Kept::Volume(_) => return Some(Broken::NotThere),
            };
            let hatch = berth.map(|b| l.berths[b as usize].suit_hatch as usize);
            if hatch.is_some_and(|h| self.opening[h].open) {
                return Some(Broken::BerthHatch);
            }
            if berth.is_none() && row.action == Action::Repress {
                return Some(Broken::NotThere);
            }
        }
        None
    }

    pub(super) fn cannot_fill(
        &self,
        l: &Layout,
        row: &Row,
        who: Crew,
        g: &Spread,
    ) -> Option<Broken> {
        if row.on == On::Suit {
            return self.cannot_change_suit(l, row, who, g);
        }
        let (vols, n) = self.volumes_of(l, row, who);
        for v in &vols[..n] {
            let target = self.level(l, row, *v);
            if self.pressure[*v as usize] >= target {
                continue;
            }
            for o in &l.volumes[*v as usize].openings {
                let across = l.across(*o, *v).filter(|w| !vols[..n].contains(w));
                let low = across.is_some_and(|w| self.pressure[w as usize] < target - ACROSS);
                if low && self.opening[*o as usize].open {
                    return Some(Broken::OpenToVacuum);
                }
                let back = l.openings[*o as usize].kind == OpeningKind::SuitInterface
                    && l.openings[*o as usize].sides[0] == Side::Volume(*v);
                if low && back && !self.opening[*o as usize].mated {
                    return Some(Broken::OpenToVacuum);
                }
            }
        }
        None
    }

    pub(super) fn cannot_mate(
        &self,
        l: &Layout,
        row: &Row,
        p: usize,
        g: &Spread,
    ) -> Option<Broken> {
        let b = self.person[p].berth;
        if b == NONE {
            return Some(Broken::NoBerth);
        }
        if self.person[p].at == Where::Berth(b) {
            return None;
        }
        let berth = &l.berths[b as usize];
        if self.handled(l, row, p, g).is_none() {
            return Some(Broken::NoSuit);
        }
        let o = &self.opening[berth.interface as usize];
        if o.stuck == Stuck::Open {
            return Some(Broken::StuckOpen);
        }
        if self.person[p].at != Where::Volume(berth.outer) {
            return Some(Broken::NotThere);
        }
        if o.mated {
            return Some(Broken::NoBerth);
        }
        self.opening[berth.port_hatch as usize].open.then_some(Broken::BerthHatch)
    }

    pub(super) fn cannot_unmate(
        &self,
        l: &Layout,
        row: &Row,
        p: usize,
        g: &Spread,
    ) -> Option<Broken> {
        let Some(s) = self.handled(l, row, p, g) else {
            return Some(Broken::NoSuit);
        };
        let b = match (self.suit[s].kept, self.person[p].at) {
            (Kept::Berth(b), _) => b,
            (Kept::Worn(_), Where::Berth(b)) => b,
            _ => return None,
        };
        let berth = &l.berths[b as usize];
        if self.opening[berth.interface as usize].stuck == Stuck::Shut {
            return Some(Broken::StuckShut);
        }
        let open = |o: OpeningId| self.opening[o as usize].open;
        if open(berth.port_hatch) || open(berth.suit_hatch) {
            return Some(Broken::BerthHatch);
        }
        let outside = self.pressure[berth.outer as usize];
        if (self.pressure[berth.gap as usize] - outside).abs() > ACROSS {
            return Some(Broken::BerthPressure);
        }
        let wrong = (self.suit[s].pressure - l.suits[s].working).abs() > ACROSS;
        wrong.then_some(Broken::BerthPressure)
    }

    pub(super) fn cannot_don(&self, l: &Layout, row: &Row, p: usize) -> Option<Broken> {
        if self.person[p].suit != NONE {
            return None;
        }
        let Where::Volume(v) = self.person[p].at else {
            return Some(Broken::NotThere);
        };
        if !self.is_habitable(l, v) {
            return Some(Broken::NotHabitable);
        }
        match row.on {
            On::Opening(..) => {
                let b = self.person[p].berth;
                if b == NONE || self.suit_at(b).is_none_or(|s| !self.suit[s].usable) {
                    return Some(Broken::NoSuit);
                }
                self.through_the_back(l, b, v)
            }
            _ => self.choice(l, row, p, v).is_none().then_some(Broken::NoSuit),
        }
    }

    /// Both hatches of the berth open and the person on its cabin side.
    pub(super) fn through_the_back(&self, l: &Layout, b: BerthId, v: VolumeId) -> Option<Broken> {
        let berth = &l.berths[b as usize];
        let open = |o: OpeningId| self.opening[o as usize].open;
        if !open(berth.port_hatch) || !open(berth.suit_hatch) {
            return Some(Broken::BerthHatch);
        }
        (v != berth.cabin).then_some(Broken::NotThere)
    }

    pub(super) fn cannot_doff(&self, l: &Layout, row: &Row, p: usize) -> Option<Broken> {
        if self.person[p].suit == NONE {
            return None;
        }
        match (row.on, self.person[p].at) {
            (On::Opening(..), Where::Berth(b)) => {
                let cabin = l.berths[b as usize].cabin;
                if !self.is_habitable(l, cabin) {
                    return Some(Broken::NotHabitable);
                }
                self.through_the_back(l, b, cabin)
            }
            (On::Opening(..), _) => Some(Broken::NotThere),
            (_, Where::Volume(v)) if self.is_habitable(l, v) => None,
            (_, Where::Volume(_)) => Some(Broken::NotHabitable),
            _ => Some(Broken::NotThere),
        }
    }
}

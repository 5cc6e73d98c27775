//! A state of a layout: who is where, which suit is where, pressures,
//! openings. What rows make of it stands in [`super::step`].

mod changes;

use super::*;
use crate::base::set::Set;
use crate::scenario::{OpeningRest, Who};

/// Largest pressure difference across which an opening is opened, Pa (rule 2), and how far above
/// ambient a vent ends (rule 25).
pub const ACROSS: f64 = 1000.0;

/// Water vapour in the lungs at 37 C, Pa, rounded as in rule 2.
const LUNG_WATER: f64 = 6300.0;
/// Least inspired O2 pressure of a habitable volume, Pa (rule 2, assumed).
const INSPIRED: f64 = 13_300.0;

/// Can people live there without a suit: inspired O2, (P - 6.3 kPa) x O2 fraction, of at least
/// 13.3 kPa (rule 2).
pub fn habitable(pressure: f64, oxygen: f64) -> bool {
    (pressure - LUNG_WATER) * oxygen >= INSPIRED
}

/// A stuck state.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Stuck {
    /// Moves.
    #[default]
    Free,
    /// Cannot be opened.
    Shut,
    /// Cannot be closed.
    Open,
}

/// Where a person is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Where {
    /// In a volume (0: outside).
    Volume(VolumeId),
    /// In a suit mated at a berth.
    Berth(BerthId),
    /// Away for good: left on the ascent vehicle, or lost.
    Gone,
}

/// One person's place.
#[derive(Clone, Copy, Debug)]
pub struct Person {
    /// Where: only [`Places::stand`] changes it.
    at: Where,
    /// Suit worn; [`SuitId::NONE`] if none.
    pub suit: SuitId,
    /// Berth kept through a list; [`BerthId::NONE`] if none.
    pub berth: BerthId,
    /// Kind of suit that their activity asks for; [`NONE`]: any of the port's.
    pub kind: u16,
}

impl Person {
    /// Where they are.
    #[inline]
    pub fn at(&self) -> Where {
        self.at
    }
}

/// One suit's place and state.
#[derive(Clone, Copy, Debug)]
pub struct SuitState {
    /// Where it is: only [`Places::keep`] changes it.
    kept: Kept,
    /// Pressure inside, Pa: only [`Places::press_suit`] changes it.
    pressure: f64,
    /// Leak-checked since it was donned.
    pub checked: bool,
    /// Not known unusable.
    pub usable: bool,
    /// Its elapsed recharge is not over: another one is taken first.
    pub charging: bool,
    /// How often it was put on.
    pub worn: u32,
}

impl SuitState {
    /// Where it is.
    #[inline]
    pub fn kept(&self) -> Kept {
        self.kept
    }

    /// Pressure inside, Pa.
    #[inline]
    pub fn pressure(&self) -> f64 {
        self.pressure
    }
}

/// One opening's state.
#[derive(Clone, Copy, Debug)]
pub struct OpeningState {
    /// Open (an interface is never open: see `mated`).
    pub open: bool,
    /// A suit hangs on it.
    pub mated: bool,
    /// Stuck.
    pub stuck: Stuck,
    /// The stuck state is known.
    pub known: bool,
}

/// Persons of a set, lowest bit first.
pub fn each_of(mut crew: Crew) -> impl Iterator<Item = usize> {
    std::iter::from_fn(move || {
        (crew != 0).then(|| {
            let i = crew.trailing_zeros() as usize;
            crew &= crew - 1;
            i
        })
    })
}

/// Who is in a volume.
#[derive(Clone, Copy, Debug)]
struct Inside {
    /// They, of the crew that there is.
    crew: Crew,
    /// That, or the pressure of the volume, has changed since somebody looked.
    stirred: bool,
}

/// A state of a layout.
#[derive(Debug)]
pub struct Places {
    /// Persons; where one is changes by [`Places::stand`] alone.
    pub person: [Person; MAX_CREW],
    /// Who is in each volume.
    inside: Table<VolumeId, Inside>,
    /// The crew that there is.
    crew: Crew,
    /// Those who are in a suit at a berth.
    at_berths: Crew,
    /// Those whose suit or surroundings have changed since somebody looked.
    touched: Crew,
    /// Suits; where one is kept and at what pressure changes by [`Places::keep`] and
    /// [`Places::press_suit`] alone.
    pub suit: Table<SuitId, SuitState>,
    /// Suits whose place, or a pressure that they see, has changed since somebody looked.
    moved: Set<SuitId>,
    /// The suit that hangs at each berth, worn or empty; [`SuitId::NONE`] where none does.
    hanging: Table<BerthId, SuitId>,
    /// The volume in front of each berth.
    outer: Table<BerthId, VolumeId>,
    /// Pressure of each volume, Pa: only [`Places::press`] changes it.
    pressure: Table<VolumeId, f64>,
    /// Openings.
    pub opening: Table<OpeningId, OpeningState>,
}

impl Clone for Places {
    fn clone(&self) -> Self {
        Places {
            person: self.person,
            inside: self.inside.clone(),
            crew: self.crew,
            at_berths: self.at_berths,
            touched: self.touched,
            suit: self.suit.clone(),
            moved: self.moved.clone(),
            hanging: self.hanging.clone(),
            outer: self.outer.clone(),
            pressure: self.pressure.clone(),
            opening: self.opening.clone(),
        }
    }

    /// Without asking for memory: play copies one state over another.
    fn clone_from(&mut self, other: &Self) {
        self.person = other.person;
        self.inside.clone_from(&other.inside);
        self.crew = other.crew;
        self.at_berths = other.at_berths;
        self.touched = other.touched;
        self.suit.clone_from(&other.suit);
        self.moved.clone_from(&other.moved);
        self.hanging.clone_from(&other.hanging);
        self.outer.clone_from(&other.outer);
        self.pressure.clone_from(&other.pressure);
        self.opening.clone_from(&other.opening);
    }
}

impl Places {
    /// Everything at rest, everybody where they live.
    pub fn rest(l: &Layout) -> Places {
        let person = Person {
            at: Where::Volume(OUTSIDE),
            suit: SuitId::NONE,
            berth: BerthId::NONE,
            kind: NONE,
        };
        let mut p = Places {
            person: [person; MAX_CREW],
            inside: vec![Inside { crew: 0, stirred: true }; l.volumes.len()].into(),
            crew: (1 << l.crew) - 1,
            at_berths: 0,
            touched: Crew::MAX,
            suit: Table::default(),
            moved: Set::none_of(l.suits.len()),
            hanging: vec![SuitId::NONE; l.berths.len()].into(),
            outer: l.berths.iter().map(|b| b.outer).collect(),
            pressure: l.volumes.iter().map(|v| v.rest).collect(),
            opening: Table::default(),
        };
        for (i, home) in l.homes.iter().enumerate().take(MAX_CREW) {
            let cabin = l.elements.get(*home as usize).map_or(OUTSIDE, |e| e.cabin);
            p.stand(i, Where::Volume(cabin));
        }
        p.opening.refill(l.openings.iter().map(|o| OpeningState {
            open: o.rest == OpeningRest::Open,
            mated: false,
            stuck: Stuck::Free,
            known: false,
        }));
        for (i, s) in l.suits.each() {
            let pressure = match s.home {
                Kept::Berth(b) => {
                    let berth = &l.berths[b];
                    p.hanging[b] = i;
                    p.opening[berth.interface].mated = true;
                    p.pressure(berth.gap)
                }
                Kept::Volume(v) => p.pressure(v),
                Kept::Worn(_) => s.working,
            };
            p.suit.push(SuitState {
                kept: s.home,
                pressure,
                checked: false,
                usable: true,
                charging: false,
                worn: 0,
            });
            p.moved.put(i, true);
        }
        for (b, berth) in l.berths.each() {
            if p.suit_at(b).is_none() {
                p.press(berth.gap, p.pressure(berth.outer));
            }
        }
        p
    }

    /// Pressure of a volume, Pa.
    #[inline]
    pub fn pressure(&self, volume: VolumeId) -> f64 {
        self.pressure[volume]
    }

    /// Pressure of each volume, Pa.
    #[inline]
    pub fn pressures(&self) -> &Table<VolumeId, f64> {
        &self.pressure
    }

    /// Persons in a volume.
    #[inline]
    pub fn persons_in(&self, volume: VolumeId) -> Crew {
        self.inside.get(volume).map_or(0, |inside| inside.crew)
    }

    /// Is the volume habitable as it is?
    pub fn is_habitable(&self, l: &Layout, v: VolumeId) -> bool {
        v != OUTSIDE && habitable(self.pressure(v), l.volumes[v].oxygen)
    }

    /// Is every opening of the volume to lower pressure shut?
    pub fn closed(&self, l: &Layout, v: VolumeId) -> bool {
        let p = self.pressure(v);
        l.volumes[v].openings.iter().all(|o| {
            let lower = l.across(*o, v).is_some_and(|w| self.pressure(w) < p - ACROSS);
            !lower || !self.opening[*o].open
        })
    }

    /// Rule 19: in, or open to, a closed habitable volume.
    pub fn safe(&self, l: &Layout, person: usize) -> bool {
        match self.person[person].at {
            Where::Volume(v) => self.is_habitable(l, v) && self.closed(l, v),
            Where::Berth(b) => {
                let berth = &l.berths[b];
                self.opening[berth.port_hatch].open
                    && self.opening[berth.suit_hatch].open
                    && self.is_habitable(l, berth.cabin)
                    && self.closed(l, berth.cabin)
            }
            Where::Gone => false,
        }
    }

    /// The opening of a row for one person: that of their berth where there are several.
    pub fn opening_for(&self, l: &Layout, base: OpeningId, count: u8, person: usize) -> OpeningId {
        base.nth(self.ordinal(l, count, person))
    }

    /// The berth volume of a row for one person.
    pub fn volume_for(&self, l: &Layout, base: VolumeId, count: u8, person: usize) -> VolumeId {
        base.nth(self.ordinal(l, count, person))
    }

    pub(super) fn ordinal(&self, l: &Layout, count: u8, person: usize) -> u16 {
        if count < 2 {
            return 0;
        }
        match self.person[person].berth {
            BerthId::NONE => 0,
            b => l.berths[b].rank.min(u16::from(count) - 1),
        }
    }

    pub(super) fn side(&self, s: Side) -> Option<f64> {
        match s {
            Side::Volume(v) => Some(self.pressure(v)),
            Side::Suit(b) => self.suit_at(b).map(|s| self.suit[s].pressure),
        }
    }

    /// The suit a row handles for a person: their own, or with `suit` the empty one of another.
    #[inline]
    pub(super) fn handled(&self, row: &Row, person: usize, g: &Spread) -> Option<SuitId> {
        match row.suit {
            None => self.person[person].suit.some(),
            Some(who) => self.empty_suit_of(who, g),
        }
    }

    /// The suit that hangs at the berth of one of a team.
    fn empty_suit_of(&self, who: Who, g: &Spread) -> Option<SuitId> {
        let owner = each_of(match who {
            Who::First => g.first(),
            Who::Last => g.last(),
            Who::Casualty => g.team & g.hurt,
            Who::Partner => g.team & !g.hurt,
            _ => g.team,
        })
        .next()?;
        let berth = self.person[owner].berth;
        self.suit.find(|s| s.kept == Kept::Berth(berth))
    }

    /// The suits a row acts on (`vent suit`, `repress suit`, `purge suit`).
    pub fn row_suits(&self, row: &Row, who: Crew, g: &Spread) -> ([SuitId; 16], usize) {
        let mut out = [SuitId::NONE; 16];
        let mut n = 0;
        for p in each_of(who) {
            if let Some(s) = self.handled(row, p, g)
                && !out[..n].contains(&s)
            {
                out[n] = s;
                n += 1;
            }
        }
        (out, n)
    }
}

/// Near and far side of a `pass` in the given direction; `None` for the back of a suit.
pub fn ends(l: &Layout, o: OpeningId, d: Direction) -> Option<(VolumeId, VolumeId)> {
    match (l.openings[o].sides, d) {
        ([Side::Volume(a), Side::Volume(b)], Direction::Outward) => Some((a, b)),
        ([Side::Volume(a), Side::Volume(b)], Direction::Inward) => Some((b, a)),
        _ => None,
    }
}

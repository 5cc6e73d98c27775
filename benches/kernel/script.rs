//! The effects of a campaign of one architecture in the order in which they are played: written
//! down once, with the places, openings, parts and suits they act on. Nothing is worked out from
//! the rows of lists: effects are spread over the legs by their counts.

use crate::effects::{BLOCKS, Effect, Kind, LEG_DRAWS, Legs, METERS, Meter, SORTIES};
use vestibule::model::{Arm, Demands, Model, TRIGGERS, Vary};
use vestibule::plan::{NONE, OUTSIDE, OpeningId, SuitId, VolumeId};
use vestibule::scenario::Trigger;

/// A campaign of one architecture, written down.
pub struct Script {
    /// What is played.
    pub effects: Vec<Effect>,
    /// Laws of the durations of rows.
    pub rows: Vec<Vary>,
    /// Laws of what is drawn by itself.
    pub singles: Vec<Vary>,
}

/// Where a sortie goes and who goes.
struct Site {
    element: u16,
    /// Volumes of the port and the cabin behind it, which comes first.
    volumes: Vec<VolumeId>,
    /// A volume that is emptied: of the port, or else none.
    lock: VolumeId,
    /// Rooms of the cabin and of the lock; where a port has none, of another volume.
    rooms: [u16; 2],
    team: [u16; 2],
}

/// What the writer goes round in, and how far it has come.
struct Writer<'a> {
    arm: &'a Arm,
    skip: Option<Kind>,
    /// Part modes asked together, one after the other.
    asks: Vec<(u16, u16)>,
    next: [usize; METERS.len()],
    /// Room of each person; `NONE` in a suit.
    at: Vec<u16>,
    script: Script,
}

/// Dust moves where people do: at so many moments of a leg.
const MOMENTS: f64 = 2.0;

/// What happens at the same moments of a leg, so that rooms are brought to these times alone.
fn together(kind: Kind) -> bool {
    matches!(kind, Kind::Exchange | Kind::Track | Kind::Arrive | Kind::Move | Kind::Return)
}

/// How many of a kind a row has at once: all openings of a volume are read, all volumes of a move
/// are settled, everybody on a clock is looked at.
fn burst(kind: Kind) -> usize {
    match kind {
        Kind::Uniform | Kind::Seal => 8,
        Kind::Settle | Kind::Draw | Kind::Parked | Kind::Over | Kind::Stay => 4,
        Kind::Demand | Kind::Power | Kind::Tissue | Kind::Ratio | Kind::SuitGas => 2,
        _ => 1,
    }
}

/// How many of `total` fall to the `k`-th of `of`.
fn share(total: f64, k: usize, of: usize) -> usize {
    let up_to = |k: usize| (total * k as f64 / of as f64).round() as usize;
    up_to(k + 1) - up_to(k)
}

/// Modes that rows ask together: those of one part that listen to one trigger.
fn asks(arm: &Arm) -> Vec<(u16, u16)> {
    let all: [&[Demands]; 4] = [&arm.on_opening, &arm.on_pump, &arm.on_stage, &arm.on_suit];
    let hourly = Trigger::Hour as usize;
    let of_part = |d: &Demands| d.of;
    all.into_iter()
        .flatten()
        .flat_map(|d| of_part(d).into_iter().enumerate().take(TRIGGERS))
        .filter(|(trigger, (first, end))| *trigger != hourly && first < end)
        .map(|(_, range)| range)
        .collect()
}

fn laws<'a>(all: impl Iterator<Item = &'a Vary>) -> Vec<Vary> {
    all.filter(|law| law.draws()).cloned().collect()
}

/// Writes down the effects of an architecture, without those of one kind if need be.
pub fn script(model: &Model, arm: &Arm, skip: Option<Kind>) -> Script {
    let crew = &model.crew;
    let people = [&crew.walk, &crew.rest, &crew.walk_speed];
    let tasks = model.activities.iter().flat_map(|a| [&a.work, &a.hours, &a.distance]);
    let rows = arm.lists.iter().flat_map(|l| &l.rows).filter_map(|r| r.takes.as_ref());
    let script = Script {
        effects: Vec::new(),
        rows: laws(rows),
        singles: laws(people.into_iter().chain(tasks)),
    };
    let at = (0..arm.layout.crew).map(|p| home(arm, p)).collect();
    let next = [0; METERS.len()];
    let mut writer = Writer { arm, skip, asks: asks(arm), next, at, script };
    (0..SORTIES).for_each(|s| writer.sortie(s));
    writer.script
}

/// Room of the cabin that a person lives in.
pub fn home(arm: &Arm, person: usize) -> u16 {
    let e = usize::from(arm.layout.homes[person]);
    arm.volumes[arm.layout.elements[e].cabin].room
}

impl Writer<'_> {
    fn site(&self, s: usize) -> Site {
        let l = &self.arm.layout;
        let ports: Vec<_> = l.ports.iter().filter(|p| p.egress != NONE).collect();
        let port = ports[s % ports.len()];
        let cabin = l.elements[usize::from(port.element)].cabin;
        let room = |v: VolumeId| self.arm.volumes[v].room;
        let others = port.volumes.iter().copied().filter(|v| *v != cabin && *v != OUTSIDE);
        let volumes: Vec<VolumeId> = std::iter::once(cabin).chain(others).collect();
        let lock = volumes[1..].iter().copied().find(|v| room(*v) != NONE).unwrap_or(cabin);
        let other = || l.volumes.ids().skip(1).map(room).find(|r| *r != NONE && *r != room(cabin));
        let second = if lock == cabin { other().unwrap_or(room(cabin)) } else { room(lock) };
        let first = 2 * s % l.crew;
        let team = [first as u16, ((first + 1) % l.crew) as u16];
        Site { element: port.element, volumes, lock, rooms: [room(cabin), second], team }
    }

    fn sortie(&mut self, s: usize) {
        let site = self.site(s);
        self.script.effects.push(Effect::Sortie { number: s as u32 });
        self.leg(s, &site, Legs::Out);
        self.script.effects.push(Effect::Outside);
        self.leg(s, &site, Legs::In);
    }

    /// A leg: rows, and what falls to each of them.
    fn leg(&mut self, s: usize, site: &Site, leg: Legs) {
        let both = 2 * s + usize::from(leg == Legs::In);
        let due = |m: &Meter| match m.legs {
            Legs::Both => share(m.count, both, 2 * SORTIES),
            legs if legs == leg => share(m.count, s, SORTIES),
            _ => 0,
        };
        let rows = METERS.iter().find(|m| m.kind == Kind::Row).map_or(1, due);
        let mut of_rows: Vec<Vec<Effect>> = vec![vec![Effect::Row]; rows];
        for (i, m) in METERS.iter().enumerate() {
            if m.kind == Kind::Row || self.skip == Some(m.kind) {
                continue;
            }
            let n = due(m);
            let mut done = 0;
            while done < n {
                let first = done - done % burst(m.kind);
                let part = m.span.0 + (m.span.1 - m.span.0) * (first as f64 + 0.5) / n as f64;
                let part = if together(m.kind) { (part * MOMENTS).round() / MOMENTS } else { part };
                let row = ((part * rows as f64) as usize).min(rows - 1);
                let j = self.next[i];
                let (effect, many) = self.effect(m.kind, j, (both, n - done), site);
                self.next[i] += many;
                done += many;
                match m.kind {
                    Kind::Leg => of_rows[row].insert(0, effect),
                    _ => of_rows[row].push(effect),
                }
            }
        }
        self.script.effects.extend(of_rows.into_iter().flatten());
    }

    /// The `j`-th effect of a kind, and for how many it counts, of those `left`.
    fn effect(
        &mut self,
        kind: Kind,
        j: usize,
        (leg, left): (usize, usize),
        site: &Site,
    ) -> (Effect, usize) {
        let person = site.team[j % 2];
        let suit = SuitId::new(usize::from(person) % self.arm.layout.suits.len());
        let volume = site.volumes[j % site.volumes.len()];
        let [cabin, lock] = site.rooms;
        let one = match kind {
            Kind::Demand => return self.demand(j, (leg, left)),
            Kind::Leg => self.uniforms(j, leg),
            Kind::Law => self.law(j),
            Kind::Draw | Kind::Uniform => self.single(kind, j),
            Kind::Row => Effect::Row,
            Kind::Event => Effect::Event,
            Kind::Pump => Effect::Pump { volume },
            Kind::Vent => Effect::Vent { volume },
            Kind::Exchange => Effect::Exchange { a: cabin, b: lock, share: 0.08 },
            Kind::Arrive => Effect::Arrive { suit, room: [lock, lock, lock, cabin][j % 4] },
            Kind::Track => Effect::Track { from: lock, to: cabin },
            Kind::Evacuate => Effect::Evacuate { volume: site.lock, room: lock },
            Kind::Fill => Effect::Fill { volume: site.lock, room: lock },
            Kind::Clean => Effect::Clean { room: cabin },
            Kind::Thin => Effect::Thin { room: lock },
            Kind::Door => Effect::Door { element: site.element, suit },
            Kind::Move | Kind::Return => self.moves(kind, (j, left), site),
            Kind::Stay => Effect::Move { person, room: self.at[usize::from(person)] },
            Kind::Mark => Effect::Mark,
            Kind::Settle => {
                Effect::Settle { volume, people: (j / 3 % 3) as u8, fate: (j % 10) as u8 }
            }
            Kind::SuitGas => Effect::SuitGas { suit, volume: site.volumes[0], full: j % 4 < 2 },
            Kind::SuitVent => Effect::SuitVent { suit },
            Kind::Oxygen => Effect::Oxygen { volume },
            Kind::Parked => {
                Effect::Parked { suit, volume: site.volumes[0], dusty: !j.is_multiple_of(8) }
            }
            Kind::Seal => {
                Effect::Seal { opening: self.opening(volume, j), shut: !j.is_multiple_of(5) }
            }
            Kind::Dirty => Effect::Dirty { opening: self.opening(volume, j), step: (j % 4) as u8 },
            Kind::Leaks => Effect::Leaks,
            Kind::ClockStarts => Effect::ClockStarts { person, suit },
            Kind::Power => Effect::Power { person, watts: [230, 310, 390][j % 3] },
            Kind::ClockEnds => Effect::ClockEnds { person, suit, volume: site.volumes[0] },
            Kind::Over => Effect::Over { person },
            Kind::Tissue => Effect::Tissue { person, step: (j / 2 % 4) as u8 },
            Kind::Ratio => Effect::Ratio { person },
        };
        (one, 1)
    }

    /// Modes of one part and trigger, no more than are left.
    fn demand(&mut self, j: usize, (leg, left): (usize, usize)) -> (Effect, usize) {
        let (first, end) = self.asks[j * 7 % self.asks.len()];
        let end = end.min(first + left as u16);
        (Effect::Demand { first, end, occasion: leg as u32 + 1 }, usize::from(end - first))
    }

    fn uniforms(&self, j: usize, leg: usize) -> Effect {
        let list = (j % self.arm.lists.len()) as u16;
        let legs = METERS.iter().find(|m| m.kind == Kind::Leg).map_or(1.0, |m| m.count);
        let draws = share(LEG_DRAWS, j, legs.round() as usize) as u16;
        Effect::Leg { list, occasion: leg as u32, draws }
    }

    fn law(&self, j: usize) -> Effect {
        Effect::Law { law: (j % self.script.rows.len()) as u16, draw: (j % 12) as u16 }
    }

    /// Single numbers: so many of them share a block as blocks are opened.
    fn single(&self, kind: Kind, j: usize) -> Effect {
        let of = |k: Kind| METERS.iter().find(|m| m.kind == k).map_or(0.0, |m| m.count);
        let all = of(Kind::Draw) + of(Kind::Uniform);
        let family = u32::from(kind == Kind::Uniform) << 24;
        let number = (j as f64 * BLOCKS / all) as u32;
        let block = number | family;
        let word = (j % 4) as u8;
        if kind == Kind::Uniform {
            return Effect::Uniform { block, word };
        }
        Effect::Draw { block, word, law: (j % self.script.singles.len()) as u16 }
    }

    /// Out: into the suit. In: into the cabin; where there are three moves, the first person by the
    /// lock.
    fn moves(&mut self, kind: Kind, (j, left): (usize, usize), site: &Site) -> Effect {
        let [cabin, lock] = site.rooms;
        let (person, room) = match (kind, left) {
            (Kind::Move, _) => (site.team[j % 2], NONE),
            (_, 3) => (site.team[0], lock),
            (_, 2) => (site.team[1], cabin),
            _ => (site.team[0], cabin),
        };
        self.at[usize::from(person)] = room;
        Effect::Move { person, room }
    }

    fn opening(&self, volume: VolumeId, j: usize) -> OpeningId {
        let of = &self.arm.layout.volumes[volume].openings;
        let seals = |o: &OpeningId| self.arm.openings[*o].seals;
        let seals: Vec<OpeningId> = of.iter().copied().filter(seals).collect();
        seals.get(j / 2 % seals.len().max(1)).copied().unwrap_or(OpeningId::new(0))
    }
}

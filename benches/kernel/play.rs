//! The kernel: plays what is written down, and nothing around it.

use crate::effects::Effect;
use crate::owners::Owners;
use crate::script;
use vestibule::base::stream::{Kept, Luck};
use vestibule::campaign::owner::gas::{Entry, Fate};
use vestibule::campaign::owner::leaks::Wear;
use vestibule::campaign::owner::parts::{Answer, Demand, Dust, Occasion};
use vestibule::model::{GasCause, Model, Purpose, row_time};
use vestibule::physics::gas::{GasMass, Mix, content};
use vestibule::physics::suit;
use vestibule::plan::{NONE, OpeningId, SuitId, VolumeId};
use vestibule::scenario::During;

/// Time outside, s.
const OUTSIDE: f64 = 6.0 * 3600.0;
/// Share of an activity's dust that settles on a suit here, so that rooms are above their limit
/// about as often as those of the engine.
const SETTLES: f64 = 0.15;
/// How a loss is booked.
const ENTRY: Entry = Entry { port: 0, contingency: false, planned: true };

/// All architectures, on the same luck.
pub struct Kernel<'m> {
    model: &'m Model,
    luck: Luck,
    kept: Kept,
    values: Vec<f64>,
    arms: Vec<Owners<'m>>,
}

impl<'m> Kernel<'m> {
    /// Everything written down and allocated; without the effects of one kind if need be.
    pub fn new(model: &'m Model, skip: Option<crate::effects::Kind>) -> Kernel<'m> {
        let luck = Luck::new(model.seed);
        let mut values = Vec::new();
        model.params.prepare(luck, &mut values);
        let of = |arm| Owners::new(model, arm, script::script(model, arm, skip));
        let arms = model.arms.iter().map(of).collect();
        Kernel { model, luck, kept: Kept::new(luck), values, arms }
    }

    /// Plays a campaign of every architecture.
    pub fn play(&mut self, campaign: u64) -> f64 {
        self.model.params.draw(self.luck, campaign, &mut self.values, |_| ());
        let mut sum = 0.0;
        for owners in &mut self.arms {
            owners.begin(campaign, &self.values, &self.kept);
            let effects = std::mem::take(&mut owners.script.effects);
            let mut at = At { campaign, t: 0.0, kept: &self.kept };
            effects.iter().for_each(|e| owners.play(&mut at, *e));
            owners.script.effects = effects;
            sum += owners.finish(at.t.max(self.model.horizon));
        }
        sum
    }

    /// Volume updates of all campaigns so far.
    pub fn updates(&self) -> u64 {
        self.arms.iter().map(|o| o.updates).sum()
    }

    /// Effects of a campaign, all architectures, by what is asked.
    pub fn count(&self, of: impl Fn(&Effect) -> usize) -> usize {
        self.arms.iter().flat_map(|o| &o.script.effects).map(of).sum()
    }
}

/// Where a campaign has come to.
struct At<'a> {
    campaign: u64,
    t: f64,
    kept: &'a Kept,
}

impl At<'_> {
    /// A single number, with a path for each block.
    fn single(&self, path: u64, block: u32, word: u8) -> f64 {
        let path = path ^ u64::from(block).wrapping_mul(0xd6e8_feb8_6659_fd93);
        let what = Purpose::Rate { doing: word };
        what.draw_kept(self.kept, self.campaign, path, u64::from(block))
    }
}

impl Owners<'_> {
    #[inline]
    fn play(&mut self, at: &mut At, effect: Effect) {
        use Effect::*;
        let t = at.t;
        match effect {
            Leg { list, occasion, draws } => {
                let path = self.arm.lists[usize::from(list)].hash;
                let out = &mut self.uniforms[..usize::from(draws)];
                Purpose::Leg.fill_kept(at.kept, at.campaign, path, u64::from(occasion), out);
            }
            Row => at.t += self.row(t),
            Law { law, draw } => {
                let u = self.uniforms[usize::from(draw)];
                at.t += self.script.rows[usize::from(law)].value(&self.values, || u).min(1800.0);
            }
            Draw { block, word, law } => {
                let u = at.single(self.path, block, word);
                self.sum += self.script.singles[usize::from(law)].value(&self.values, || u);
            }
            Uniform { block, word } => self.sum += at.single(self.path, block, word),
            Event => self.event(),
            Demand { first, end, occasion } => self.demand((first, end), u64::from(occasion)),
            Outside => at.t += OUTSIDE,
            Sortie { number } => {
                let share = (f64::from(number) + 0.3) / crate::effects::SORTIES as f64;
                at.t = t.max(share * self.model.horizon);
            }
            Pump { volume } => self.pump(volume),
            Vent { volume } => self.vent(volume),
            Exchange { .. } | Arrive { .. } | Track { .. } | Evacuate { .. } | Fill { .. } => {
                self.dust(t, effect);
            }
            Clean { .. } | Thin { .. } | Door { .. } => self.dust(t, effect),
            Move { person, room } => {
                let place = (room != NONE).then_some(room);
                self.exposure.enter(&mut self.rooms, person, place, t);
            }
            Mark => self.exposure.mark(&mut self.rooms, t),
            Settle { .. } | SuitGas { .. } | SuitVent { .. } => self.gas(effect),
            Parked { .. } | Oxygen { .. } => self.gas(effect),
            Seal { opening, shut } => self.seal(t, opening, shut),
            Dirty { opening, step } => {
                self.seals.carry(opening, 4e-4 * f64::from(step));
                self.seal(t, opening, true);
            }
            Leaks => self.all_leaks(t),
            ClockStarts { .. } | Power { .. } | ClockEnds { .. } | Over { .. } => {
                self.clock(t, effect);
            }
            Tissue { person, step } => {
                let n2 = [0.0, 2.6e4, 0.0, 4.3e4][usize::from(step)];
                self.people[usize::from(person)].breathe(t, n2);
            }
            Ratio { person } => self.sum += self.people[usize::from(person)].tissue_now(t),
        }
    }

    /// A row ends; is something else due before that?
    fn row(&mut self, t: f64) -> f64 {
        let due = self.calendar.peek().is_some_and(|next| next < t);
        self.sum += f64::from(u8::from(due));
        1.0
    }

    fn event(&mut self) {
        if let Some((t, e)) = self.calendar.pop() {
            self.calendar.schedule(t + 7e4 + f64::from(e) * 3e3, (e % 4) as u8, e);
        }
    }

    fn demand(&mut self, (first, end): (u16, u16), id: u64) {
        let occasion = Occasion { id, during: During::Egress };
        let demand = Demand { exposure: 1.0, occasion, dust: Dust::None };
        for pm in usize::from(first)..usize::from(end) {
            let share = &self.numbers.hazards[pm];
            if self.parts.ask(pm, share, demand) != Answer::Holds {
                self.sum += 1.0;
            }
        }
    }

    fn pump(&mut self, v: VolumeId) {
        let Some(pump) = self.numbers.pumps.first() else { return };
        let volume = self.gas.room(v, 2);
        self.sum += row_time::pumped(volume, pump.speed, pump.reservoir, (5.6e4, 1.4e4));
    }

    fn vent(&mut self, v: VolumeId) {
        let Some(orifice) = self.numbers.openings.iter().find_map(|o| o.orifice) else { return };
        let (mix, t) = (self.gas.mix(v), self.gas.temperature(v));
        let (volume, ambient) = (self.gas.room(v, 2), self.arm.layout.ambient);
        let time = row_time::vented(volume, orifice, (1.4e4, 1e3), ambient, mix, t);
        self.sum += time.unwrap_or(0.0);
    }

    fn dust(&mut self, t: f64, effect: Effect) {
        match effect {
            Effect::Exchange { a, b, share } if a != b => {
                self.rooms.exchange(a, b, t, f64::from(share));
            }
            Effect::Arrive { suit, room } => {
                if let Some(mass) = self.suits.sheds(suit, 0.2) {
                    self.rooms.arrive(room, t, mass, self.numbers.body.dust_airborne);
                }
            }
            Effect::Track { from, to } if from != to => {
                self.rooms.track_in(from, to, t, 0.02);
            }
            Effect::Evacuate { volume, room } => {
                self.pressure[volume] = self.arm.layout.ambient;
                self.gone(|rooms| rooms.evacuate(room, t, 0.95));
            }
            Effect::Fill { volume, room } => {
                let cabin = self.arm.layout.elements[0].cabin;
                self.pressure[volume] = self.rest[cabin];
                self.rooms.pressurise(room, t, room);
            }
            Effect::Clean { room } => {
                self.rooms.clean_floor(room, t, 0.7);
            }
            Effect::Thin { room } => self.gone(|rooms| rooms.thin(room, t, 0.5)),
            Effect::Door { element, suit } => self.door(t, usize::from(element), suit),
            _ => {}
        }
    }

    /// Dust goes outside with gas.
    fn gone(&mut self, by: impl FnOnce(&mut vestibule::campaign::owner::rooms::Rooms) -> [f64; 4]) {
        let mass = by(&mut self.rooms);
        self.outside.iter_mut().zip(mass).for_each(|(book, m)| *book += m);
    }

    fn door(&mut self, t: f64, element: usize, suit: SuitId) {
        let body = self.numbers.body;
        let luck = self.uniforms[suit.at() % 8];
        let kg = SETTLES * self.model.activities[0].dust.value(&self.values, || luck);
        for (bin, share) in body.dust_bins.iter().enumerate() {
            self.suits.settles(suit, bin, kg * share);
        }
        let dust = self.suits.dust(suit);
        let airborne = [body.dust_airborne * dust[0], body.dust_airborne * dust[1]];
        self.doors[element].comes(t, airborne);
    }

    fn gas(&mut self, effect: Effect) {
        match effect {
            Effect::Settle { volume, people, fate } => {
                let holds = self.gas.content_at(volume, self.pressure[volume], people.into());
                let fate = match fate {
                    0 => Fate::Pumped(0.9),
                    1 | 2 => Fate::Lost(GasCause::Vent),
                    _ => Fate::Transfer,
                };
                self.gas.settle(volume, holds, fate, ENTRY);
            }
            Effect::SuitGas { suit, volume, full } => {
                let mix = self.gas.mix(volume);
                let holds = if full { self.of_suit(suit, 5.6e4, mix) } else { GasMass::NONE };
                let more = self.gas.suit_holds(suit, holds);
                self.gas.draw(volume, more);
            }
            Effect::SuitVent { suit } => {
                let mix = self.gas.suit(suit).mix().unwrap_or(Mix::OXYGEN);
                let gas = self.of_suit(suit, 100.0, mix);
                self.gas.suit_holds(suit, self.gas.suit(suit) - gas);
                self.gas.lose(GasCause::SuitVent, gas, ENTRY);
            }
            Effect::Oxygen { volume } => self.gas.breathe(volume, 1e-3),
            Effect::Parked { suit, volume, dusty } => {
                self.gas.suit_leak(volume, 0, 1e-5);
                if !dusty {
                    return;
                }
                for (bin, share) in self.numbers.body.dust_bins.iter().enumerate() {
                    self.suits.settles(suit, bin, 1e-6 * share);
                    self.outside[bin] += 1e-6 * share;
                }
            }
            _ => {}
        }
    }

    fn of_suit(&self, s: SuitId, pressure: f64, mix: Mix) -> GasMass {
        content(
            pressure,
            self.numbers.suits[s].gas_volume,
            mix,
            self.gas.temperature(self.arm.layout.elements[0].cabin),
        )
    }

    fn seal(&mut self, t: f64, o: OpeningId, shut: bool) {
        let dust = self.seals.factor(o);
        let as_it_is = || (shut, Wear { damage: 1.0, dust });
        self.leaks.read(o, as_it_is, &self.pressure, &mut self.gas, t);
    }

    fn all_leaks(&mut self, t: f64) {
        self.leaks.book_all(&mut self.gas, t);
        for s in 0..self.gas.stores() {
            let left = self.leaks.lasts(s, &self.gas);
            self.sum += f64::from(u8::from(left < 1e3));
        }
    }

    fn clock(&mut self, t: f64, effect: Effect) {
        match effect {
            Effect::ClockStarts { person, suit } => {
                let support = self.numbers.suits[suit].recharged();
                let clock = &mut self.people[usize::from(person)].clock;
                (clock.open, clock.paused, clock.support) = (true, false, support);
                (clock.power, clock.since, clock.started) = (300.0, t, t);
                (clock.spent, clock.ran) = (0.0, 0.0);
            }
            Effect::Power { person, watts } => {
                self.people[usize::from(person)].clock.set_power(t, watts.into());
            }
            Effect::Over { person } => {
                let over = self.people[usize::from(person)].clock.over(t);
                self.sum += f64::from(u8::from(over));
            }
            Effect::ClockEnds { person, suit, volume } => {
                self.clock_ends(t, person.into(), suit, volume);
            }
            _ => {}
        }
    }

    fn clock_ends(&mut self, t: f64, p: usize, s: SuitId, v: VolumeId) {
        let kind = self.numbers.suits[s];
        let clock = &mut self.people[p].clock;
        clock.advance(t);
        self.sum += clock.support.left(clock.power);
        let oxygen = suit::oxygen_flow(clock.spent, kind.per_oxygen);
        let water = suit::cooling_water_flow(clock.spent + kind.equipment * clock.ran);
        let leak = GasMass::of_oxygen(kind.leak * (t - clock.started));
        clock.open = false;
        self.gas.breathe(v, oxygen);
        self.gas.draw(v, leak);
        self.gas.lose(GasCause::SuitLeak, leak, ENTRY);
        self.gas.draw_water(v, water);
    }
}

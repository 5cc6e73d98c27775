//! The end of a campaign: books are closed and facts filled in.

use super::play::Play;
use super::trace::Level;
use crate::layout::NONE;
use crate::measure::Fact;
use crate::model::GAS_CAUSES;

impl Play<'_> {
    pub(super) fn finish(&mut self) {
        self.now = self.end_time();
        self.cancel_rest();
        self.settle_all_leaks();
        self.exposure.finish(&mut self.rooms, self.now);
        self.counts.volume_updates += self.rooms.updates();
        let (sorties, seconds) = self.m.planned;
        let f = &mut self.out.facts;
        f.value[Fact::SortiesPlanned as usize] = f64::from(sorties);
        f.value[Fact::EvaPlanned as usize] = seconds / 3600.0;
        f.value[Fact::CampaignLength as usize] = self.now.min(self.m.horizon) / 86_400.0;
        self.gas_facts();
        self.dust_facts();
        self.absences();
    }

    /// The planned end, or when the trouble that ended the campaign was over.
    fn end_time(&self) -> f64 {
        if self.ending.is_some() { self.now } else { self.now.max(self.m.horizon) }
    }

    /// Slots that never came because the campaign ended early.
    fn cancel_rest(&mut self) {
        let Some(e) = self.ending else { return };
        let cut = self.now;
        self.now = e.at;
        let first = self.last_slot.map_or(0, |l| l as usize + 1);
        let rest = self.m.slots.len() - first;
        self.say(Level::Event, None, |s| {
            format!("{rest} sorties still planned are cancelled: {}", s.m.causes[e.cause as usize])
        });
        // One line for all of them: the story is told up to here.
        let story = self.story.take();
        for i in first..self.m.slots.len() {
            self.cancel(i as u32, e.cause);
        }
        self.story = story;
        self.now = cut;
    }

    fn gas_facts(&mut self) {
        let total = self.gas.lost_total();
        let [vented, vented_planned] = self.gas.vented;
        let cabin = self.arm.layout.elements[0].cabin as usize;
        let t = self.arm.volumes[cabin].temperature.of(&self.v);
        let density = crate::physics::gas::density(
            self.arm.layout.volumes[cabin].rest,
            self.gas.mix[cabin],
            t,
        );
        let burden = self.m.rules.bioburden.map(|b| b.of(&self.v) / density);
        let f = &mut self.out.facts;
        let mut set = |fact: Fact, x: f64| f.value[fact as usize] = x;
        set(Fact::GasLost, total.total());
        set(Fact::OxygenUsed, total.oxygen + self.gas.breathed);
        set(Fact::NitrogenUsed, total.nitrogen);
        set(Fact::GasLostPlanned, self.gas.planned);
        set(Fact::AirVented, vented);
        set(Fact::AirVentedPlanned, vented_planned);
        set(Fact::Bioburden, burden.map_or(0.0, |b| b * vented));
        set(Fact::BioburdenPlanned, burden.map_or(0.0, |b| b * vented_planned));
        if burden.is_none() {
            f.absent |= 1 << Fact::Bioburden as u32 | 1 << Fact::BioburdenPlanned as u32;
        }
        let way_back = crate::model::GasCause::WayBack as usize;
        let mut contingency = 0.0;
        let blocks = self.arm.blocks;
        for (port, lost) in self.gas.lost.iter().enumerate() {
            contingency += lost[way_back].total();
            for (c, g) in lost.iter().enumerate() {
                let row = port * GAS_CAUSES.len() + c;
                self.out.breakdown[blocks.gas + row] += g.total();
                self.out.breakdown[blocks.oxygen + row] += g.oxygen;
                self.out.breakdown[blocks.nitrogen + row] += g.nitrogen;
            }
        }
        self.out.facts.value[Fact::GasVentedContingency as usize] = contingency;
    }

    fn dust_facts(&mut self) {
        let mut filter = 0.0;
        for v in 1..self.arm.volumes.len() {
            let room = self.arm.volumes[v].room;
            if room != NONE {
                filter += self.rooms.books(room).filter.iter().sum::<f64>();
            }
        }
        let worst = self.exposure.worst();
        let f = &mut self.out.facts;
        f.value[Fact::DustFilter as usize] = filter * 1e3;
        match worst {
            Some(w) => {
                f.value[Fact::DustAverageMax as usize] = w.average * 1e6;
                f.value[Fact::DustPeak as usize] = w.peak * 1e6;
                f.value[Fact::DustOverLimit as usize] = w.over_limit / 3600.0;
            }
            None => {
                for fact in [Fact::DustAverageMax, Fact::DustPeak, Fact::DustOverLimit] {
                    f.absent |= 1 << fact as u32;
                }
            }
        }
        self.break_even();
    }

    /// Break-even fraction (rule 28): of all fine dust on suits at the door, the share that could
    /// come in, at the file's airborne share and spread evenly over the days played, before the
    /// 24-hour limit is met in the first cabin.
    fn break_even(&mut self) {
        let cabin = self.arm.layout.elements[0].cabin as usize;
        let play = &self.arm.volumes[cabin];
        let door = self.dust_books.at_door;
        let days = self.now / 86_400.0;
        let airborne = self.m.body.dust_airborne.of(&self.v);
        if door <= 0.0 || airborne <= 0.0 || days <= 0.0 {
            self.out.facts.absent |= 1 << Fact::DustBreakEven as u32;
            return;
        }
        let law = &self.room_table.laws[play.room as usize];
        let rate = law.bins().iter().map(|b| b.rates().filter + b.rates().deposit).sum::<f64>()
            / law.bins().len() as f64;
        let release = crate::physics::dust::largest_release(
            self.m.body.dust_limit,
            play.gas.of(&self.v),
            rate,
            86_400.0,
        );
        let per_day = door / days * airborne;
        self.out.facts.value[Fact::DustBreakEven as usize] = release / per_day;
    }

    /// Facts that have no value in this campaign.
    fn absences(&mut self) {
        let f = &mut self.out.facts;
        for fact in [Fact::Margin, Fact::MarginContingency] {
            if f.value[fact as usize] == f64::INFINITY {
                f.value[fact as usize] = 0.0;
                f.absent |= 1 << fact as u32;
            }
        }
        if f.value[Fact::PrebreatheRatioMax as usize] == 0.0 {
            f.absent |= 1 << Fact::PrebreatheRatioMax as u32;
        }
        debug_assert!(self.balanced(), "planned = done + lost");
    }

    /// Planned = done + lost; sorties planned = done + cancelled (rule 12).
    pub fn balanced(&self) -> bool {
        let v = |f: Fact| self.out.facts.value[f as usize];
        let hours = v(Fact::EvaPlanned) - v(Fact::EvaDone) - v(Fact::EvaLost);
        let sorties = v(Fact::SortiesPlanned) - v(Fact::SortiesDone) - v(Fact::SortiesCancelled);
        hours.abs() <= 1e-9 * v(Fact::EvaPlanned).max(1.0) && sorties == 0.0
    }

    /// Relative error of the gas books per species (O2, N2): what was there at the start and came by
    /// resupply, against everything that is known to be somewhere now, lost and breathed included.
    pub fn gas_error(&self) -> [f64; 2] {
        let then = self.start_gas + self.resupplied;
        let now = self.gas.everything();
        let rel = |a: f64, b: f64| (a - b).abs() / a.abs().max(1.0);
        [rel(then.oxygen, now.oxygen), rel(then.nitrogen, now.nitrogen)]
    }

    /// Relative error of the dust books per bin: picked up, against outside, stages, rooms (air, floor,
    /// filter, cleaned) and suits.
    pub fn dust_error(&self) -> [f64; 4] {
        let mut found = [0.0; 4];
        for b in 0..4 {
            found[b] = self.dust_books.outside[b] + self.dust_books.stages[b];
            found[b] += self.suit_dust.iter().map(|s| s[b]).sum::<f64>();
        }
        for v in 1..self.arm.volumes.len() {
            let room = self.arm.volumes[v].room;
            if room != NONE {
                let balance = self.rooms.balance(room);
                let books = self.rooms.books(room);
                let pairs = balance.found.iter().zip(&books.lost);
                // What was evacuated stands among `outside` already.
                found.iter_mut().zip(pairs).for_each(|(f, (in_room, lost))| *f += in_room - lost);
            }
        }
        let mut error = [0.0; 4];
        for b in 0..4 {
            let picked = self.dust_books.picked[b];
            error[b] = (picked - found[b]).abs() / picked.max(1e-9);
        }
        error
    }
}

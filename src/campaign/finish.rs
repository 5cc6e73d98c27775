//! The end of a campaign: books are closed and facts filled in.

use crate::campaign::trace::Level;
use crate::campaign::weight;
use crate::campaign::world::World;
use crate::measure::Fact;
use crate::model::{DUST_ENDS, DustEnd, GAS_CAUSES};
use crate::physics::dust::{BINS, break_even_fraction};
use crate::plan::NONE;

impl World<'_> {
    pub(in crate::campaign) fn finish(&mut self) {
        self.now = self.end_time();
        if self.books.books_closed {
            self.back_to_closed_books();
        } else {
            self.cancel_rest();
            self.close_books();
        }
        self.absences();
    }

    /// Everything is settled up to now, and facts are read.
    pub(in crate::campaign) fn close_books(&mut self) {
        self.book_services();
        if self.sky.shelter_asked() {
            self.look_at_shelter();
        }
        self.settle_all_leaks();
        self.settle_all_parked();
        self.dust.exposure.finish(&mut self.dust.rooms, self.now);
        self.books.counts.volume_updates += self.dust.rooms.updates();
        let (sorties, seconds) = self.m.planned;
        let f = &mut self.books.out.facts;
        f.value[Fact::SortiesPlanned as usize] = f64::from(sorties);
        f.value[Fact::EvaPlanned as usize] = seconds / 3600.0;
        f.value[Fact::EvaLost as usize] =
            f.value[Fact::EvaLimited as usize] + f.value[Fact::EvaFailed as usize];
        f.value[Fact::CampaignLength as usize] = self.now.min(self.m.horizon) / 86_400.0;
        self.gas_facts();
        self.dust_facts();
        weight::mass_facts(self.m, self.arm, &self.v, &mut self.books.out);
    }

    /// The planned end, or when the trouble that ended the campaign was over.
    fn end_time(&self) -> f64 {
        if self.course.ending.is_some() { self.now } else { self.now.max(self.m.horizon) }
    }

    /// Slots that never came because the campaign ended early.
    pub(in crate::campaign) fn cancel_rest(&mut self) {
        let Some(e) = self.course.ending else { return };
        let cut = self.now;
        self.now = e.at;
        let first = self.course.last_slot.map_or(0, |l| l as usize + 1);
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
        let total = self.air.gas.lost_total();
        let vented = self.air.gas.vented().iter().map(|v| v.all).sum();
        let vented_planned = self.air.gas.vented().iter().map(|v| v.planned).sum();
        self.bioburden_facts();
        let f = &mut self.books.out.facts;
        let mut set = |fact: Fact, x: f64| f.value[fact as usize] = x;
        set(Fact::GasLost, total.total());
        set(Fact::OxygenUsed, total.oxygen + self.air.gas.breathed());
        set(Fact::NitrogenUsed, total.nitrogen);
        set(Fact::GasLostPlanned, self.air.gas.planned());
        set(Fact::AirVented, vented);
        set(Fact::AirVentedPlanned, vented_planned);
        let way_back = crate::model::GasCause::WayBack as usize;
        let mut contingency = 0.0;
        let blocks = self.arm.blocks;
        for (port, lost) in self.air.gas.lost().iter().enumerate() {
            contingency += lost[way_back].total();
            for (c, g) in lost.iter().enumerate() {
                let row = port * GAS_CAUSES.len() + c;
                self.books.out.breakdown[blocks.gas + row] += g.total();
                self.books.out.breakdown[blocks.oxygen + row] += g.oxygen;
                self.books.out.breakdown[blocks.nitrogen + row] += g.nitrogen;
            }
        }
        self.books.out.facts.value[Fact::GasVentedContingency as usize] = contingency;
    }

    /// Outward contamination (rule 25): vented air and suit gas, as volume of the air of the host
    /// cabin, times its bioburden; pumps and valves let a share pass their filters.
    fn bioburden_facts(&mut self) {
        let passes = self.m.rules.bioburden_passes.of(&self.v);
        let (mut all, mut planned) = (0.0, 0.0);
        for (port, v) in self.air.gas.vented().iter().enumerate() {
            let element = self.arm.layout.ports.get(port).map_or(0, |p| p.element);
            let density = self.air_density(element);
            all += (v.all - v.filtered + passes * v.filtered) / density;
            planned += (v.planned - v.filtered_planned + passes * v.filtered_planned) / density;
        }
        let f = &mut self.books.out.facts;
        let Some(burden) = self.m.rules.bioburden.map(|b| b.of(&self.v)) else {
            for fact in [Fact::Bioburden, Fact::BioburdenPlanned, Fact::BioburdenOver] {
                f.absent |= 1 << fact as u32;
            }
            return;
        };
        f.value[Fact::Bioburden as usize] = burden * all;
        f.value[Fact::BioburdenPlanned as usize] = burden * planned;
        match self.m.body.bioburden_limit {
            Some(limit) => {
                f.value[Fact::BioburdenOver as usize] = f64::from(u8::from(burden * all > limit));
            }
            None => f.absent |= 1 << Fact::BioburdenOver as u32,
        }
    }

    /// Density of the air of a cabin at rest, kg/m3.
    fn air_density(&self, element: u16) -> f64 {
        let cabin = self.arm.layout.elements[element as usize].cabin;
        let t = self.numbers.volumes[cabin].temperature;
        let rest = self.arm.layout.volumes[cabin].rest;
        crate::physics::gas::density(rest, self.air.gas.mix(cabin), t)
    }

    fn dust_facts(&mut self) {
        for v in self.arm.volumes.ids().skip(1) {
            let room = self.arm.volumes[v].room;
            if room != NONE {
                self.dust.rooms.advance(room, self.now);
            }
        }
        let ends = self.dust_at_end();
        let rows = &mut self.books.out.breakdown[self.arm.blocks.dust_book..][..=ends.len()];
        rows[0] += self.dust.dust_books.picked.iter().sum::<f64>() * 1e3;
        for (row, end) in rows[1..].iter_mut().zip(ends) {
            *row += end.iter().sum::<f64>() * 1e3;
        }
        let filter: f64 = ends[DustEnd::Filter as usize].iter().sum();
        let worst = self.dust.exposure.worst();
        let f = &mut self.books.out.facts;
        f.value[Fact::DustFilter as usize] = filter * 1e3;
        match worst {
            Some(w) => {
                f.value[Fact::DustAverageMax as usize] = w.average * 1e6;
                f.value[Fact::DustPeak as usize] = w.peak * 1e6;
                f.value[Fact::DustOverLimit as usize] = w.over_limit / 3600.0;
                match self.m.body.dust_peak_limit {
                    Some(limit) => {
                        let over = f64::from(u8::from(w.peak > limit));
                        f.value[Fact::DustOverPeak as usize] = over;
                    }
                    None => f.absent |= 1 << Fact::DustOverPeak as u32,
                }
            }
            None => {
                let all = [Fact::DustAverageMax, Fact::DustPeak];
                for fact in all.into_iter().chain([Fact::DustOverPeak, Fact::DustOverLimit]) {
                    f.absent |= 1 << fact as u32;
                }
            }
        }
        self.break_even();
    }

    /// Break-even fraction (rule 28): of the fine dust on suits at the doors of an element, the share that
    /// may come in each time, at the file's airborne share, so that the worst 24-hour average of who
    /// stays in its cabin just meets the limit. The least of all elements.
    fn break_even(&mut self) {
        let mut least = f64::INFINITY;
        for e in 0..self.dust.doorsteps.len() {
            let cabin = self.arm.layout.elements[e].cabin;
            let volume = self.numbers.volumes[cabin].gas;
            let worst = self.dust.doorsteps[e].worst() / volume;
            let share = break_even_fraction(self.m.body.dust_limit, worst);
            least = share.map_or(least, |s| s.min(least));
        }
        if least.is_finite() {
            self.books.out.facts.value[Fact::DustBreakEven as usize] = least;
        } else {
            self.books.out.facts.absent |= 1 << Fact::DustBreakEven as u32;
        }
    }

    /// Facts that have no value in this campaign.
    fn absences(&mut self) {
        let f = &mut self.books.out.facts;
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
        debug_assert!(self.demands_closed(), "demands = planned + ways + late + missed");
    }

    /// Planned = done + lost; sorties planned = done + cancelled (rule 12).
    pub fn balanced(&self) -> bool {
        let v = |f: Fact| self.books.out.facts.value[f as usize];
        let hours = v(Fact::EvaPlanned) - v(Fact::EvaDone) - v(Fact::EvaLost);
        let sorties = v(Fact::SortiesPlanned) - v(Fact::SortiesDone) - v(Fact::SortiesCancelled);
        hours.abs() <= 1e-9 * v(Fact::EvaPlanned).max(1.0) && sorties == 0.0
    }

    /// Relative error of the gas books per species (O2, N2): what was there at the start and came by
    /// resupply, against everything that is known to be somewhere now, lost and breathed included.
    pub fn gas_error(&self) -> [f64; 2] {
        self.air.gas.error()
    }

    /// What each suit holds in the books now, kg.
    pub fn suit_gas_kg(&self) -> Vec<f64> {
        self.air.gas.suits().iter().map(|g| g.total()).collect()
    }

    /// The lesser of O2 and N2 that each store holds now, kg.
    pub fn store_kg(&self) -> Vec<f64> {
        let all = (0..self.air.gas.stores()).map(|s| self.air.gas.store(s));
        all.map(|g| g.oxygen.min(g.nitrogen)).collect()
    }

    /// Where the dust is that was picked up, kg per bin.
    fn dust_at_end(&self) -> [[f64; BINS]; DUST_ENDS.len()] {
        let mut ends = [[0.0; BINS]; DUST_ENDS.len()];
        let mut add = |end: DustEnd, mass: &[f64]| {
            ends[end as usize].iter_mut().zip(mass).for_each(|(sum, m)| *sum += m);
        };
        add(DustEnd::Outside, &self.dust.dust_books.outside);
        add(DustEnd::Stages, &self.dust.dust_books.stages);
        self.suits.all_dust().for_each(|s| add(DustEnd::Suits, s));
        for v in self.arm.volumes.ids().skip(1) {
            let room = self.arm.volumes[v].room;
            if room != NONE {
                // What was evacuated stands among `outside` already.
                add(DustEnd::Air, &self.dust.rooms.air(room));
                add(DustEnd::Surface, &self.dust.rooms.floor(room));
                add(DustEnd::Filter, &self.dust.rooms.books(room).filter);
                add(DustEnd::Cleaned, &self.dust.rooms.books(room).cleaned);
            }
        }
        ends
    }

    /// Relative error of the dust books per bin: picked up, against where it is.
    pub fn dust_error(&self) -> [f64; BINS] {
        let ends = self.dust_at_end();
        let mut error = [0.0; BINS];
        for (b, error) in error.iter_mut().enumerate() {
            let picked = self.dust.dust_books.picked[b];
            let found: f64 = ends.iter().map(|end| end[b]).sum();
            *error = (picked - found).abs() / picked.max(1e-9);
        }
        error
    }
}

//! What a story is told of: life support left, suits, ways that were not open, decisions. Nothing here
//! changes the campaign, and nothing is done unless somebody listens.

use crate::campaign::owner::team::{Phase, Team};
use crate::campaign::trace::{Decision, End, Level, Line, Said};
use crate::campaign::way_back::openness::Why;
use crate::campaign::world::World;
use crate::model::cause::LEFT;
use crate::plan::{Crew, Kept, NONE, OUTSIDE, VolumeId, each_of};

impl World<'_> {
    /// Adds a line to the story, if one is told.
    pub(in crate::campaign) fn say<S: Into<Said>>(
        &mut self,
        level: Level,
        slot: Option<u32>,
        text: impl FnOnce(&Self) -> S,
    ) {
        self.add_line(level, slot, false, text);
    }

    /// The same for a strike, a row that fails, a way that is tried: links of what leads to an end.
    pub(in crate::campaign) fn say_link<S: Into<Said>>(
        &mut self,
        slot: Option<u32>,
        text: impl FnOnce(&Self) -> S,
    ) {
        self.add_line(Level::Event, slot, true, text);
    }

    fn add_line<S: Into<Said>>(
        &mut self,
        level: Level,
        slot: Option<u32>,
        link: bool,
        text: impl FnOnce(&Self) -> S,
    ) {
        if self.story.is_none() {
            return;
        }
        let Said { text, who, row } = text(self).into();
        let team = self.people_of(slot);
        let name = |p: usize| self.m.crew.names[p].clone();
        let who = if who.is_empty() { each_of(team).map(name).collect() } else { who };
        let (left, clocks) = (self.supply_left(), self.clocks_of(team));
        let line = Line { time: self.now, slot, level, link, left, clocks, who, row, text };
        if let Some(s) = &mut self.story {
            s.lines.push(line);
        }
    }

    /// Everybody who is out for a slot, as rescuer too.
    fn people_of(&self, slot: Option<u32>) -> Crew {
        let Some(slot) = slot else { return 0 };
        let of = |t: &&Team| t.phase != Phase::Idle && t.slot == slot;
        self.teams.iter().filter(of).fold(0, |c: Crew, t| c | t.members | t.rescuers)
    }

    /// Life support left of those of them whose clock runs, min.
    fn clocks_of(&self, crew: Crew) -> Vec<(String, f64)> {
        each_of(crew)
            .filter(|p| self.people.crew[*p].clock.open)
            .map(|p| (self.m.crew.names[p].clone(), self.minutes_left(p)))
            .collect()
    }

    /// Life support left of everybody in a team in trouble, min.
    fn supply_left(&self) -> Vec<(String, f64)> {
        let trouble = |t: &&Team| {
            t.phase != Phase::Idle
                && (t.phase == Phase::Stranded || t.back.way != NONE || t.back.trouble != LEFT)
        };
        let teams = self.teams.iter().filter(trouble);
        let crew = teams.fold(0, |c: Crew, t| c | t.members | t.rescuers);
        self.clocks_of(crew)
    }

    fn minutes_left(&self, p: usize) -> f64 {
        if self.people.crew[p].clock.paused { f64::INFINITY } else { self.worth(p) / 60.0 }
    }

    /// Which suits people wear, in words.
    pub(in crate::campaign) fn worn_words(&self, crew: Crew) -> String {
        let worn = |p: usize| {
            let s = self.places.person[p].suit.some()?;
            Some(self.arm.layout.suits[s].path.as_str())
        };
        let suits: Vec<&str> = each_of(crew).filter_map(worn).collect();
        if suits.is_empty() { String::new() } else { format!(" (in {})", suits.join(" and ")) }
    }

    /// The suits that the people of a slot were out in.
    pub(in crate::campaign) fn suits_of_slot(&self, slot: u32) -> String {
        let out = self.suits.out().filter(|(_, k)| self.teams[*k].slot == slot);
        let suits: Vec<&str> = out.map(|(s, _)| self.arm.layout.suits[s].path.as_str()).collect();
        if suits.is_empty() { String::new() } else { format!(" (in {})", suits.join(" and ")) }
    }

    /// Suits that are not where they are kept, each said once while it stays there.
    pub(in crate::campaign) fn tell_suits_left(&mut self) {
        let Some(mut story) = self.story.take() else { return };
        let l = &self.arm.layout;
        story.suits.resize(l.suits.len(), Kept::Volume(VolumeId::NONE));
        let mut left = Vec::new();
        for (i, (suit, state)) in l.suits.iter().zip(&self.places.suit).enumerate() {
            let (kept, was) = (state.kept(), std::mem::replace(&mut story.suits[i], state.kept()));
            if kept == suit.home || kept == was {
                continue;
            }
            match kept {
                Kept::Volume(OUTSIDE) => left.push(format!("{} outside", suit.path)),
                Kept::Volume(v) => {
                    left.push(format!("{} in {}", suit.path, l.volumes[v].path));
                }
                Kept::Berth(b) => {
                    let port = &l.ports[l.berths[b].port as usize];
                    left.push(format!("{} at a berth of {}", suit.path, port.path));
                }
                Kept::Worn(_) => {}
            }
        }
        self.story = Some(story);
        if !left.is_empty() {
            self.say(Level::Event, None, |_| {
                format!("suits not where they are kept: {}", left.join(", "))
            });
        }
    }

    /// A way back is taken.
    pub(in crate::campaign) fn tell_try(&mut self, k: usize, id: u16) {
        if self.story.is_none() {
            return;
        }
        let path = &self.arm.layout.lists[id as usize].path;
        let (takes, after) = (self.mean_time(k, id, true) / 60.0, self.least_after(k, id) / 60.0);
        let lacks = (after <= 0.0).then(|| (path.clone(), -after));
        self.decide(k, format!("try {path}, {takes:.0} min to safety on the mean"), lacks);
        // It was said that it is not in time: why it is taken nevertheless.
        let although = match after {
            after if after < 0.0 => format!(
                ", {:.1} min more than are left; of those that lack only time it is the quickest",
                -after
            ),
            _ => String::new(),
        };
        self.say_link(self.slot_of(k), |_| {
            format!("way back tried: {path}, {takes:.0} min to safety on the mean{although}")
        });
    }

    /// A way back is not open: why, unless that was said of it before.
    pub(in crate::campaign) fn tell_shut(&mut self, k: usize, i: usize, why: Why) {
        if self.story.is_none() {
            return;
        }
        let list = &self.arm.layout.lists[self.arm.layout.ways_back[i] as usize];
        let text = match why {
            Why::Hands => {
                // The same of every way: one line for all.
                let words = "no way back is open: nobody able is there to act";
                return self.tell_way(k, usize::MAX, words.into(), |_, why| why.into());
            }
            Why::Rescuers => "too few inside could come out and leave a helper".into(),
            Why::Far => "the suits of those who would come do not last for it".into(),
            Why::Place => {
                // The same of many ways: one line for all.
                let words = "ways back that start elsewhere are not open from here";
                return self.tell_way(k, usize::MAX - 1, words.into(), |_, why| why.into());
            }
            Why::Gas => "the store does not cover what it fills".into(),
            Why::Ready => "nobody can empty its chamber for them".into(),
            Why::Ajar(o) => {
                let path = &self.arm.layout.openings[o].path;
                format!("{path} stands open and nobody can shut it")
            }
            Why::Driving => "its element is on its way here and arrives too late".into(),
            Why::Lost => "its element is lost".into(),
            Why::Over => "the days of its element are over".into(),
            Why::Need(n) => format!("`{}` does not hold", list.written[n]),
            Why::Dead(v) => {
                let path = &self.arm.layout.volumes[v].path;
                format!("nobody can live behind its berths: {path} is empty")
            }
            Why::Used => "its port is in use for too long".into(),
        };
        self.tell_way(k, i, text, |path, text| format!("not open: {path}: {text}"));
    }

    /// A way back lacks only time.
    pub(in crate::campaign) fn tell_slow(&mut self, k: usize, i: usize, takes: f64) {
        if self.story.is_none() {
            return;
        }
        let (takes, least) = (takes / 60.0, self.least_worth(k) / 60.0);
        let id = self.arm.layout.ways_back[i];
        let far = match self.margin_of_walk(k, id) {
            more if more > 0.0 => format!(" for a walk that is to fit {more} of it longer"),
            _ => String::new(),
        };
        let text = format!("`in time` does not hold: {takes:.0} min, {least:.0} min are left{far}");
        // It stays too slow while the supply runs down: said once.
        self.tell_way(k, i, "in time".into(), |path, _| format!("not open: {path}: {text}"));
    }

    fn tell_way(
        &mut self,
        k: usize,
        i: usize,
        why: String,
        words: impl FnOnce(&str, &str) -> String,
    ) {
        let (members, slot) = (self.teams[k].members, self.slot_of(k));
        let Some(story) = &mut self.story else { return };
        let told = story.shut.iter_mut().find(|(crew, way, _)| (*crew, *way) == (members, i));
        match told {
            Some((_, _, before)) if *before == why => return,
            Some((_, _, before)) => before.clone_from(&why),
            None => story.shut.push((members, i, why.clone())),
        }
        let l = &self.arm.layout;
        let path = l.ways_back.get(i).map_or("", |w| l.lists[*w as usize].path.as_str());
        self.say(Level::Event, slot, |_| words(path, &why));
    }

    /// What a team decides when no way back meets every condition.
    pub(in crate::campaign) fn tell_decision(
        &mut self,
        k: usize,
        slow: Option<(f64, usize)>,
        waits: bool,
    ) {
        if self.story.is_none() {
            return;
        }
        let lacks = slow.map(|(_, i)| {
            let id = self.arm.layout.ways_back[i];
            let path = self.arm.layout.lists[id as usize].path.clone();
            (path, -self.least_after(k, id) / 60.0)
        });
        let text = match (slow.is_some(), waits) {
            (true, true) => "wait for a repair that may be done in time",
            (true, false) => return, // told when it is taken
            (false, _) => "wait for help: no way back is open",
        };
        self.decide(k, text.into(), lacks);
    }

    fn decide(&mut self, k: usize, text: String, lacks: Option<(String, f64)>) {
        let time = self.now;
        let Some(story) = &mut self.story else { return };
        // Waiting on is no new decision.
        let same = |d: &(usize, Decision)| d.0 == k && d.1.text == text;
        if story.decisions.iter().any(same) {
            return;
        }
        story.decisions.retain(|d| d.0 != k);
        story.decisions.push((k, Decision { time, text, lacks }));
    }

    /// Somebody was late or missed.
    pub(in crate::campaign) fn tell_end(&mut self, k: usize, p: usize, late: Option<f64>) {
        let (time, slot) = (self.now, self.slot_of(k));
        let name = self.m.crew.names[p].clone();
        let Some(story) = &mut self.story else { return };
        let decision = story.decisions.iter().find(|d| d.0 == k).map(|d| d.1.clone());
        story.ends.push(End { time, slot, name, late, decision });
    }
}

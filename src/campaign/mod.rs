//! One history: a campaign of one architecture, event by event.
//!
//! [`Player`] plays all architectures of a campaign on the same luck. The owners stand side by
//! side in `world`, what can come due in `agenda`; teams walk rows in `walk`,
//! a verb of the rows is a file of `verb`, what a team is for one of `errand`, how people get back in
//! stands in `way_back`. Nothing here allocates once the first campaigns are played.

mod agenda;
mod audit;
mod begin;
mod errand;
mod finish;
mod forced;
pub mod owner;
mod planned_end;
mod told;
pub mod trace;
mod verb;
mod walk;
mod way_back;
mod weather;
mod weight;
mod words;
pub mod world;

use crate::base::stream::{Kept, Luck};
use crate::model::Model;
use crate::outcome::Outcome;
pub use forced::{Certain, Forced, Without};
pub use world::Counts;
use world::World;

/// Plays campaigns of every architecture on the same luck.
#[derive(Debug)]
pub struct Player<'m> {
    model: &'m Model,
    luck: Luck,
    /// Blocks of luck drawn last: lent to each architecture in turn, which draws much the same.
    kept: Kept,
    values: Vec<f64>,
    /// The parameter set that `values` hold.
    set: Option<u64>,
    /// By parameter: how often a probability was drawn above 1.
    capped: Vec<u64>,
    plays: Vec<World<'m>>,
}

impl<'m> Player<'m> {
    /// A player with everything it needs allocated.
    pub fn new(model: &'m Model) -> Self {
        let luck = Luck::new(model.seed);
        let mut values = Vec::new();
        model.params.prepare(luck, &mut values);
        let plays = model.arms.iter().map(|a| World::new(model, a)).collect();
        let capped = vec![0; model.params.len()];
        let kept = Kept::new(luck);
        Player { model, luck, kept, values, set: None, capped, plays }
    }

    /// Draws the parameter set of a campaign, unless it is the one of the last campaign. Several
    /// players may draw a set; the one that plays its first campaign counts what was capped.
    fn draw_set(&mut self, campaign: u64) {
        let set = self.model.set_of(campaign);
        let first = campaign.is_multiple_of(self.model.inner.unwrap_or(1));
        if self.set != Some(set) || first {
            let capped = &mut self.capped;
            let count = |i: usize| capped[i] += u64::from(first);
            self.model.params.draw(self.luck, set, &mut self.values, count);
            self.set = Some(set);
        }
    }

    /// Plays one architecture with the set as drawn.
    fn campaign(&mut self, arm: usize, index: u64) {
        let play = &mut self.plays[arm];
        std::mem::swap(&mut self.kept, &mut play.draws.kept);
        play.campaign(index, &self.values);
        std::mem::swap(&mut self.kept, &mut play.draws.kept);
    }

    /// By parameter: how often a probability was drawn above 1 and counts as 1, over the parameter
    /// sets of which this player has played the first campaign. Sums over players.
    pub fn capped(&self) -> &[u64] {
        &self.capped
    }

    /// Plays campaign `index` of every architecture; outcomes are parallel to [`Model::arms`].
    pub fn play(&mut self, index: u64) -> impl Iterator<Item = &Outcome> {
        self.draw_set(index);
        for arm in 0..self.plays.len() {
            self.campaign(arm, index);
        }
        self.plays.iter().map(|p| p.outcome())
    }

    /// Work done by all campaigns of all architectures so far.
    pub fn counts(&self) -> Counts {
        self.plays.iter().fold(Counts::default(), |mut sum, p| {
            let c = p.counts();
            sum.rows += c.rows;
            sum.draws += c.draws;
            sum.demands += c.demands;
            sum.volume_updates += c.volume_updates;
            sum.events += c.events;
            sum
        })
    }

    /// Plays one architecture only.
    pub fn play_one(&mut self, arm: usize, index: u64) -> &Outcome {
        self.draw_set(index);
        self.campaign(arm, index);
        self.plays[arm].outcome()
    }

    /// Plays one architecture on the same luck with something made perfect or certain.
    pub fn play_forced(&mut self, arm: usize, index: u64, forced: Forced) -> &Outcome {
        self.draw_set(index);
        self.plays[arm].forced = forced;
        self.campaign(arm, index);
        self.plays[arm].forced = Forced::default();
        self.plays[arm].outcome()
    }

    /// The world of an architecture as the last campaign left it, for tests of conservation.
    pub fn world(&self, arm: usize) -> &World<'m> {
        &self.plays[arm]
    }
}

/// Plays one campaign of one architecture and keeps its story.
pub fn tell(model: &Model, arm: usize, index: u64) -> (trace::Story, Outcome) {
    let mut player = Player::new(model);
    player.plays[arm].listen();
    let outcome = player.play_one(arm, index).clone();
    (player.plays[arm].told(), outcome)
}

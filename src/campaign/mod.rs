//! One history: a campaign of one architecture, event by event.
//!
//! [`Player`] plays all architectures of a campaign on the same luck. The world is in [`play`], the
//! interpreter of step rows in `walk`, sorties in `sortie`, getting back in in `trouble`; the other
//! modules each keep one kind of book. Nothing here allocates once the first campaigns are played.

mod batch;
mod begin;
mod books;
mod conditions;
mod demand;
mod dusty;
pub mod exposure;
mod finish;
pub mod gas;
mod hazard;
mod home;
pub mod person;
pub mod play;
mod repair;
pub mod room_law;
pub mod rooms;
mod row_act;
mod row_demands;
mod row_time;
mod slots;
mod sortie;
mod strike;
pub mod team;
mod together;
pub mod trace;
mod traverse;
mod trouble;
mod walk;
mod weather;
mod words;

use crate::model::Model;
use crate::outcome::Outcome;
use crate::stream::Luck;
pub use play::Counts;
use play::Play;

/// Plays campaigns of every architecture on the same luck.
#[derive(Debug)]
pub struct Player<'m> {
    model: &'m Model,
    luck: Luck,
    values: Vec<f64>,
    plays: Vec<Play<'m>>,
}

impl<'m> Player<'m> {
    /// A player with everything it needs allocated.
    pub fn new(model: &'m Model) -> Self {
        let luck = Luck::new(model.seed);
        let mut values = Vec::new();
        model.params.prepare(luck, &mut values);
        let plays = model.arms.iter().map(|a| Play::new(model, a)).collect();
        Player { model, luck, values, plays }
    }

    /// Plays campaign `index` of every architecture; outcomes are parallel to [`Model::arms`].
    pub fn play(&mut self, index: u64) -> impl Iterator<Item = &Outcome> {
        self.model.params.draw(self.luck, index, &mut self.values);
        for p in &mut self.plays {
            p.campaign(index, &self.values);
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
        self.model.params.draw(self.luck, index, &mut self.values);
        self.plays[arm].campaign(index, &self.values)
    }

    /// The world of an architecture as the last campaign left it, for tests of conservation.
    pub fn world(&self, arm: usize) -> &Play<'m> {
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

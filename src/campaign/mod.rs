//! One history.

pub mod exposure;
pub mod room_law;
pub mod rooms;
pub mod trace;

use crate::model::Model;
use crate::outcome::Outcome;

/// Plays campaigns of every architecture on the same luck.
#[derive(Debug)]
pub struct Player<'m> {
    model: &'m Model,
}

impl<'m> Player<'m> {
    /// A player with everything it needs allocated.
    pub fn new(model: &'m Model) -> Self {
        Player { model }
    }

    /// Plays campaign `index` of every architecture into `out`, parallel to [`Model::arms`].
    pub fn play(&mut self, index: u64, out: &mut [Outcome]) {
        let _ = (self.model, index);
        out.iter_mut().for_each(Outcome::clear);
    }
}

/// Plays one campaign of one architecture and keeps its story.
pub fn tell(model: &Model, arm: usize, index: u64) -> (trace::Story, Outcome) {
    let _ = index;
    (trace::Story::default(), Outcome::of(&model.arms[arm]))
}

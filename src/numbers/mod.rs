//! The model realised: one parameter set as plain numbers by part of one architecture. Made when a
//! set is new, read all through its campaigns; nothing here knows a law or a parameter.

mod hazard;
mod machine;
mod place;
mod rules;
mod suit;

pub use hazard::{Common, Growth, Share, Struck};
pub use machine::{Pump, Stage};
pub use place::{Element, Opening, Volume};
pub use rules::{Body, Rules};
pub use suit::{Full, Suit};

use crate::base::ids::Table;
use crate::model::{Arm, Model};
use crate::plan::{OUTSIDE, OpeningId, SuitId, VolumeId};

/// What play reads of one parameter set in one architecture.
#[derive(Clone, Debug, Default)]
pub struct Numbers {
    /// Rules of the campaign.
    pub rules: Rules,
    /// The body.
    pub body: Body,
    /// Elements, parallel to [`Arm::elements`].
    pub elements: Vec<Element>,
    /// Volumes, parallel to [`Arm::volumes`].
    pub volumes: Table<VolumeId, Volume>,
    /// Openings, parallel to [`Arm::openings`].
    pub openings: Table<OpeningId, Opening>,
    /// Pumps, parallel to [`Arm::pumps`].
    pub pumps: Vec<Pump>,
    /// Stages, parallel to [`Arm::stages`].
    pub stages: Vec<Stage>,
    /// Suits, parallel to [`crate::plan::Layout::suits`].
    pub suits: Table<SuitId, Suit>,
    /// Heat of the electronics of the suit that gives off most, W.
    pub suit_heat: f64,
    /// How the hazard of each part mode grows, parallel to [`Arm::part_modes`].
    pub hazards: Vec<Share>,
    /// What a mode does and how often, parallel to [`Arm::modes`].
    pub modes: Vec<Struck>,
    /// The values they were made of.
    values: Vec<f64>,
}

impl Numbers {
    /// Works out the numbers of a parameter set; nothing where they are of this set already.
    pub fn realise(&mut self, m: &Model, arm: &Arm, values: &[f64]) {
        if self.values == values && !values.is_empty() {
            return;
        }
        self.values.clear();
        self.values.extend_from_slice(values);
        self.rules = Rules::of(m, values);
        self.body = Body::of(m, values);
        anew(&mut self.elements, &arm.elements, |x| Element::of(x, values));
        self.volumes.refill(arm.volumes.iter().map(|x| Volume::of(m, x, values)));
        self.volumes[OUTSIDE] = Volume::default();
        self.openings.refill(arm.openings.iter().map(|x| Opening::of(x, values)));
        anew(&mut self.pumps, &arm.pumps, |x| Pump::of(x, values));
        anew(&mut self.stages, &arm.stages, |x| Stage::of(x, values));
        let suits = arm.layout.suits.iter();
        self.suits.refill(suits.map(|x| Suit::of(&m.suits[x.kind as usize], values)));
        self.suit_heat = self.suits.iter().fold(0.0, |most, x| most.max(x.equipment));
        anew(&mut self.hazards, &arm.part_modes, |x| Share::of(m, arm, x, values));
        anew(&mut self.modes, &arm.modes, |x| Struck::of(x, values));
    }
}

/// Fills a table with the numbers of what was meant.
fn anew<T, X>(table: &mut Vec<X>, meant: &[T], of: impl Fn(&T) -> X) {
    table.clear();
    table.extend(meant.iter().map(of));
}

//! The model realised: one parameter set as plain numbers by part of one architecture. Made when a
//! set is new, read all through its campaigns; nothing here knows a law or a parameter.

mod hazard;

pub use hazard::{Common, Growth, Share, Struck};

use crate::model::{Arm, Model};

/// What play reads of one parameter set in one architecture.
#[derive(Clone, Debug, Default)]
pub struct Numbers {
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
        self.hazards.clear();
        self.hazards.extend((0..arm.part_modes.len()).map(|pm| Share::of(m, arm, pm, values)));
        self.modes.clear();
        self.modes.extend(arm.modes.iter().map(|mode| Struck::of(mode, values)));
    }
}

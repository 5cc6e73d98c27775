//! Campaigns as they are played: small ones against formulas and hand arithmetic, the demos and shaken
//! ones against what must add up, one golden row per measure.

#[path = "../support/mod.rs"]
mod support;

mod alone;
mod analytic;
mod closed_forms;
mod conservation;
mod golden;
mod leaving;
mod numbers;
mod places;
mod properties;
mod queues;
mod shaken;

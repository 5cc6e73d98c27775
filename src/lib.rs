//! `vestibule` plays a surface campaign sortie by sortie, thousands to millions of times, and says
//! what each way of getting crew out of and back into a pressurised element costs and risks.
//!
//! The modules stand in the order data flows; each imports only from those above it
//! (`tests/layering.rs` checks). The first five know nothing of the domain.
//!
//! ```text
//! TOML -> Scenario -> Checked -> Model --> campaign(i) -> Outcome -> Tally =merge=> Estimate -> tables
//!                                  ^            ^
//!                           study chooses   luck(seed, i, path, occasion, purpose)
//! ```
#![forbid(unsafe_code)]
#![deny(missing_docs)]

pub mod engine;
pub mod law;
pub mod stats;
pub mod stream;
pub mod units;

pub mod campaign;
pub mod check;
pub mod cli;
pub mod layout;
pub mod measure;
pub mod model;
pub mod outcome;
pub mod physics;
pub mod report;
pub mod scenario;
pub mod study;

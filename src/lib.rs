//! `vestibule` plays a surface campaign sortie by sortie, thousands to millions of times, and says
//! what each way of getting crew out of and back into a pressurised element costs and risks.
//!
//! How a campaign is played stands in [`rules`]; code cites it by number.
//!
//! The modules stand in the order data flows; each imports only from those above it
//! (`tests/files/layering.rs` checks). The first group knows nothing of the domain.
//!
//! ```text
//! TOML -> Scenario -> Checked -> Model --> campaign(i) -> Outcome -> Tally =merge=> Estimate -> tables
//!                                  ^            ^
//!                           study chooses   luck(seed, i, path, occasion, purpose)
//! ```
#![forbid(unsafe_code)]
#![deny(missing_docs)]

// Groups in the order data flows; within a group none imports from another.
pub mod base;
pub mod stats;

pub mod measure;
pub mod physics;
pub mod scenario;

pub mod plan;

pub mod check;
pub mod model;
pub mod numbers;
pub mod outcome;

pub mod campaign;
pub mod study;

pub mod report;

pub mod cli;

/// The rules of play as text, as `vestibule list model` prints them.
pub const RULES: &str = include_str!("RULES.md");

#[doc = include_str!("RULES.md")]
pub mod rules {}

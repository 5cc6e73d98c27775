//! `manifest.json`: what the numbers depend on; and, under `run`, what may differ between equal runs.

use serde::{Deserialize, Serialize};

/// The manifest.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Manifest {
    /// What wrote it.
    pub program: String,
    /// Its version.
    pub version: String,
    /// Scheme of luck: same scheme, same seed, same numbers.
    pub luck: String,
    /// Seed, as text: spreadsheets lose digits of long numbers.
    pub seed: String,
    /// Campaigns played.
    pub campaigns: u64,
    /// Campaigns of each parameter set, in a study with an outer loop.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inner: Option<u64>,
    /// Campaigns played again for drivers and paths, at most; 0: none.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drivers: Option<u64>,
    /// Fingerprint of all input files.
    pub fingerprint: String,
    /// Input files in reading order, the campaign file first.
    pub files: Vec<String>,
    /// Architectures in file order.
    pub architectures: Vec<String>,
    /// What a reader of the tables has to know of the campaign.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub setting: Option<Setting>,
    /// What was swept, in the results of a sweep.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sweep: Option<SweepFacts>,
    /// What was written beside this file.
    pub tables: Vec<String>,
    /// What is not modelled.
    pub not_modelled: Vec<String>,
    /// The caution.
    pub caution: String,
    /// What may differ between equal runs.
    pub run: RunFacts,
}

/// What a reader of the tables has to know of the campaign.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct Setting {
    /// Planned length, d.
    pub length_d: f64,
    /// Crew.
    pub crew: usize,
    /// Titles of the architectures, in file order; empty where one has none.
    pub titles: Vec<String>,
    /// Limit of the 24-hour average of dust below 10 um, mg/m3.
    pub dust_limit_mg_m3: f64,
    /// Limit of its peak, mg/m3, if the body has one.
    pub dust_peak_limit_mg_m3: Option<f64>,
}

/// What a reader of the tables of a sweep has to know of it.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct SweepFacts {
    /// How the points lie, in the words of the sweep file.
    pub design: String,
    /// Points.
    pub points: usize,
    /// `common` or `own`.
    pub luck: String,
    /// What that means for simulation noise.
    pub noise: String,
    /// Factors in the order of the file.
    pub factors: Vec<FactorFacts>,
    /// Measures of interest.
    pub measures: Vec<String>,
}

/// One factor of a sweep.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct FactorFacts {
    /// Its name, which heads its column.
    pub name: String,
    /// Unit of its numbers; empty where it has none.
    pub unit: String,
    /// Whether all its values are numbers.
    pub number: bool,
    /// Key paths that it sets.
    pub keys: Vec<String>,
    /// Levels of a list or choice, in their order; empty for numbers.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub levels: Vec<String>,
}

/// What may differ between equal runs.
#[derive(Clone, Debug, Serialize, Deserialize)]
pub struct RunFacts {
    /// As it was started.
    pub command: Vec<String>,
    /// Threads.
    pub threads: usize,
    /// Wall time, s.
    pub wall_seconds: f64,
    /// Machine.
    pub host: String,
    /// Seconds since 1970-01-01 UTC.
    pub finished_unix: u64,
}

/// Scheme tag of the manifest.
pub const LUCK: &str = "philox4x64-10 by address, 1";

/// What is not modelled.
pub const NOT_MODELLED: &[&str] = &[
    "decompression sickness as an outcome (only the prebreathe that protocol asks for)",
    "crew skill and learning",
    "thermal state of the site",
    "structural failure of a cabin",
    "fire",
    "micrometeoroids",
    "electrical and data systems except as a failure row gives them",
];

impl Manifest {
    /// As text.
    pub fn text(&self) -> String {
        // A record of strings and numbers always serialises.
        serde_json::to_string_pretty(self).map_or_else(|e| e.to_string(), |s| s + "\n")
    }
}

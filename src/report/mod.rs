//! What the reader sees: tables of numbers, the files they stand in, the summary for a terminal, the
//! story of one campaign.

mod assumptions;
mod columns;
mod distribution;
mod drivers;
mod figures;
mod folder;
mod manifest;
mod page;
mod risk;
mod sentences;
mod story;
mod table;
mod tables;
mod terminal;

pub use assumptions::assumptions;
pub use columns::{Column, Holds};
pub use distribution::distribution;
pub use drivers::{drivers, paths};
pub use figures::quoted;
pub use folder::{Draft, WriteError};
pub use manifest::{LUCK, Manifest, NOT_MODELLED, RunFacts, Setting};
pub use page::{PAGE, PageError, page};
pub use risk::risk_curve;
pub use story::story;
pub use table::{Cell, Table};
pub use tables::{breakdown, campaign_header, campaign_row, compare, findings, havens, summary};
pub use terminal::{Asked, summary_text};

/// The caution that every output ends with.
pub const CAUTION: &str = "Informs trade studies; no flight rule, no medical device. The \
programme's own standards, flight rules and licensed practice decide.";

//! What the reader sees: tables of numbers, the files they stand in, the summary for a terminal, the
//! story of one campaign.

mod answer_json;
mod assumptions;
mod book;
mod changes;
mod columns;
mod complexity;
mod contributors;
mod crossings;
mod digits;
mod distribution;
mod drivers;
mod figures;
mod files;
mod folded;
mod folder;
mod manifest;
mod mass;
mod package;
mod page;
mod parquet;
mod places;
mod ranking;
mod readme;
mod requirements;
mod risk;
mod screen;
mod sensitivity;
mod sentences;
mod story;
mod sweep;
mod table;
mod tables;
mod terminal;
mod value;
mod workbook;

pub use answer_json::answer_json;
pub use assumptions::assumptions;
pub use book::PageError;
pub use changes::{Changes, ChangesError, changes};
pub use columns::{Column, Holds};
pub use complexity::complexity;
pub use crossings::crossings;
pub use digits::{Digits, scaled};
pub use distribution::distribution;
pub use drivers::{drivers, paths};
pub use figures::{quoted, wrapped};
pub use files::{CAMPAIGNS, FILES, ResultFile, optional};
pub use folded::{Answer, architectures, fold_answers, fold_findings};
pub use folder::{Draft, WriteError};
pub use manifest::{FactorFacts, LUCK, Manifest, NOT_MODELLED, RunFacts, Setting, SweepFacts};
pub use mass::{breakeven, mass};
pub use package::PACKAGE;
pub use page::PAGE;
pub use parquet::{COLUMNAR, ColumnarError};
pub use ranking::ranking;
pub use readme::README;
pub use requirements::{Judged, Verdict, broken_limits, judged, requirements};
pub use risk::risk_curve;
pub use screen::{Screen, Tone};
pub use sensitivity::sensitivity;
pub use story::{Told, story, story_json};
pub use sweep::{SweepRows, sweep, sweep_facts};
pub use table::{Cell, Table};
pub use tables::{breakdown, campaign_header, campaign_row, compare, findings, havens, summary};
pub use terminal::{Asked, closing_text, summary_text};
pub use value::{value, value_lines};
pub use workbook::WORKBOOK;

/// Writes into a draft what is made from the files of a results folder and from nothing else (but for
/// what changed since another, if the page is to say that): the page,
/// the workbook, the description of the tables, the text that says which to open.
///
/// # Errors
/// When the folder cannot be read or the draft not written to.
pub fn made_from_files(
    folder: &std::path::Path,
    draft: &mut Draft,
    changes: Option<&Changes>,
) -> Result<(), MadeError> {
    let book = book::Book::read(folder)?;
    let there = COLUMNAR.iter().map(|(_, name)| *name).filter(|name| folder.join(name).is_file());
    draft.text(README, &readme::readme(&book, &there.collect::<Vec<_>>()))?;
    draft.text(PACKAGE, &package::package(&book))?;
    draft.bytes(WORKBOOK, &workbook::workbook(&book)?)?;
    Ok(draft.text(PAGE, &page::page(&book, changes))?)
}

/// What is made from the files of a folder could not be made.
#[derive(Debug, thiserror::Error)]
pub enum MadeError {
    /// The folder could not be read.
    #[error(transparent)]
    Page(#[from] PageError),
    /// The files could not be written.
    #[error(transparent)]
    Write(#[from] WriteError),
}

/// The caution that every output ends with.
pub const CAUTION: &str = "Informs trade studies; no flight rule, no medical device. The \
programme's own standards, flight rules and licensed practice decide.";

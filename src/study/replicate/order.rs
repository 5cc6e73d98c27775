//! What an experiment is asked for, who plays, who takes rows, and how it can end.

use crate::stats::{CampaignRows, Results};
use std::num::NonZero;
use std::sync::atomic::{AtomicBool, AtomicU64};
use thiserror::Error;

/// Plays campaigns; one per worker.
pub trait Player: Send {
    /// Plays one campaign with every arm and fills its rows, which come cleared. Must depend on
    /// nothing but the number of the campaign.
    fn play(&mut self, campaign: u64, rows: &mut CampaignRows);
}

/// Receives the rows of every campaign in the order of campaigns.
pub trait Sink: Send {
    /// Why it could not take them.
    type Error: Send;

    /// Takes the rows of one campaign.
    ///
    /// # Errors
    /// What went wrong; the experiment ends with [`Halt::Sink`].
    fn take(&mut self, campaign: u64, rows: &CampaignRows) -> Result<(), Self::Error>;
}

/// Rows are not wanted.
#[derive(Clone, Copy, Debug)]
pub struct NoRows;

impl Sink for NoRows {
    type Error = std::convert::Infallible;

    fn take(&mut self, _: u64, _: &CampaignRows) -> Result<(), Self::Error> {
        Ok(())
    }
}

impl<F, E> Sink for F
where
    F: FnMut(u64, &CampaignRows) -> Result<(), E> + Send,
    E: Send,
{
    type Error = E;

    fn take(&mut self, campaign: u64, rows: &CampaignRows) -> Result<(), E> {
        self(campaign, rows)
    }
}

/// How an experiment is run. None of it changes a result but `campaigns`.
#[derive(Clone, Copy, Debug)]
pub struct Order<'a> {
    /// number of campaigns, from 0 on
    pub campaigns: u64,
    /// number of threads; no more are started than there are blocks
    pub threads: NonZero<usize>,
    /// set by somebody else: no further block is begun
    pub stop: &'a AtomicBool,
    /// campaigns played, raised once a block
    pub progress: &'a AtomicU64,
}

/// What an experiment leaves: its results, and the players with what they counted themselves (in
/// the order of workers: only what adds up in any order may be read from them).
#[derive(Debug)]
pub struct Replication<P> {
    /// the tallies
    pub results: Results,
    /// the players
    pub players: Vec<P>,
}

/// Why an experiment ended early.
#[derive(Debug, Error)]
pub enum Halt<E> {
    /// the stop flag was set; rows given out so far are complete blocks
    #[error("stopped after {played} campaigns")]
    Stopped {
        /// campaigns played
        played: u64,
    },
    /// the rows could not be given out
    #[error("campaign {campaign} could not be written")]
    Sink {
        /// whose rows were refused
        campaign: u64,
        /// why
        #[source]
        source: E,
    },
    /// threads could not be started
    #[error("could not start {threads} threads")]
    Threads {
        /// how many were wanted
        threads: usize,
        /// why
        #[source]
        source: rayon::ThreadPoolBuildError,
    },
}

//! What happened, for `replay`: structured lines that the report puts into words.

/// One line of a story.
#[derive(Clone, Debug)]
pub struct Line {
    /// Time, s from the start of the campaign.
    pub time: f64,
    /// Slot it belongs to (index into the model's slots); `None` for the campaign as a whole.
    pub slot: Option<u32>,
    /// How much it matters.
    pub level: Level,
    /// In words.
    pub text: String,
}

/// How much a line matters.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Level {
    /// One row of a list with the state: shown with `--sortie` only.
    Row,
    /// A sortie in a line.
    Sortie,
    /// Failures, ways back, consequences: always in full.
    Event,
}

/// The story of one campaign.
#[derive(Clone, Debug, Default)]
pub struct Story {
    /// Lines in order of time.
    pub lines: Vec<Line>,
}

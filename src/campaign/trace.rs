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
    /// It is a link of what leads to a missed or late haven: a strike, a row that fails, a way tried.
    pub link: bool,
    /// Life support left of each person of a team in trouble, min; infinite while a supply is paused.
    pub left: Vec<(String, f64)>,
    /// The same of everybody who is out on its sortie, in trouble or not.
    pub clocks: Vec<(String, f64)>,
    /// People of its sortie, or who did its row.
    pub who: Vec<String>,
    /// The row that was played, and the state it left.
    pub row: Option<RowState>,
    /// In words.
    pub text: String,
}

/// One row as it was played, and the state it left.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct RowState {
    /// The list: element, port, name.
    pub list: String,
    /// The row.
    pub label: String,
    /// How long it took, min.
    pub minutes: f64,
    /// It did not work.
    pub failed: bool,
    /// Where everybody of the team is.
    pub places: Vec<(String, String)>,
    /// What each of them wears; nobody who wears no suit.
    pub suits: Vec<(String, String)>,
    /// Pressure of each volume of the port, kPa.
    pub pressures: Vec<(String, f64)>,
}

/// What is said of a moment: words, and for a row the state it leaves.
#[derive(Clone, Debug, Default)]
pub(in crate::campaign) struct Said {
    /// In words.
    pub text: String,
    /// Who did it, if that is known better than by the sortie.
    pub who: Vec<String>,
    /// The row.
    pub row: Option<RowState>,
}

impl From<String> for Said {
    fn from(text: String) -> Said {
        Said { text, ..Said::default() }
    }
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

/// What a team in trouble decided last.
#[derive(Clone, Debug)]
pub struct Decision {
    /// When, s.
    pub time: f64,
    /// In words.
    pub text: String,
    /// The way that lacked only time and lacked least of it, and how much, min.
    pub lacks: Option<(String, f64)>,
}

/// Somebody who was late or missed.
#[derive(Clone, Debug)]
pub struct End {
    /// When, s.
    pub time: f64,
    /// Slot it belongs to.
    pub slot: Option<u32>,
    /// Who.
    pub name: String,
    /// Minutes late; `None` for somebody who was missed.
    pub late: Option<f64>,
    /// What was decided last.
    pub decision: Option<Decision>,
}

/// The story of one campaign.
#[derive(Clone, Debug, Default)]
pub struct Story {
    /// Lines in order of time.
    pub lines: Vec<Line>,
    /// Those who were late or missed, in order.
    pub ends: Vec<End>,
    /// Last decision by team.
    pub(in crate::campaign) decisions: Vec<(usize, Decision)>,
    /// What was said last of a way that is not open: people, way, why.
    pub(in crate::campaign) shut: Vec<(u16, usize, String)>,
    /// Where each suit was when that was told last.
    pub(in crate::campaign) suits: Vec<crate::plan::Kept>,
}

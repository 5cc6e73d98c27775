//! Whether a way back is open to a team, and what keeps it shut (rule 22).

/// Whether a way back is open to a team now.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Openness {
    Open,
    /// Only `in time` is lacking.
    TooSlow,
    /// Its port is in use.
    Busy,
    Shut(Why),
}

/// What keeps a way back shut.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Why {
    /// Nobody able is there to act.
    Hands,
    /// Too few people inside could come out.
    Rescuers,
    /// Those who would come out would not last for it themselves.
    Far,
    /// It starts somewhere else.
    Place,
    /// The store does not cover its fills.
    Gas,
    /// Nobody can empty the chamber for it.
    Ready,
    /// Its element is lost.
    Lost,
    /// This condition is not met: its number among those written.
    Need(usize),
    /// Its port is in use for too long.
    Used,
}

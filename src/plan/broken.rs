//! Why a row cannot be done (rule 2), in words.

/// Why a row cannot be done.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Broken {
    /// More than 1 kPa across the opening.
    PressureAcross,
    /// An opening to a volume that stays pressurised is open.
    OpenToPressure,
    /// An opening to lower pressure is open.
    OpenToVacuum,
    /// Somebody would be in vacuum without a checked suit.
    Unsuited,
    /// Not a habitable place.
    NotHabitable,
    /// Somebody who does the row is not where it is done.
    NotThere,
    /// Somebody is on the far side already.
    FarSide,
    /// The opening is shut.
    Shut,
    /// The part is stuck shut.
    StuckShut,
    /// The part is stuck open.
    StuckOpen,
    /// The volume is full.
    Full,
    /// No usable suit is within reach.
    NoSuit,
    /// No berth is free.
    NoBerth,
    /// A hatch of the berth is in the wrong state.
    BerthHatch,
    /// The gap or the suit is at the wrong pressure for unmating.
    BerthPressure,
    /// A casualty cannot open the hatches of a berth, and nobody able is in the cabin behind it.
    NobodyInside,
    /// The supply of the ascent vehicle covers fewer people than would be aboard.
    NoSupply,
}

impl Broken {
    /// The reason in words.
    pub fn words(self) -> &'static str {
        match self {
            Broken::PressureAcross => "more than 1 kPa across the opening",
            Broken::OpenToPressure => "an opening to a volume that stays pressurised stands open",
            Broken::OpenToVacuum => "an opening to lower pressure stands open",
            Broken::Unsuited => "somebody would be in vacuum without a leak-checked suit",
            Broken::NotHabitable => "not a habitable place",
            Broken::NotThere => "somebody who has to do it is not there",
            Broken::FarSide => "somebody is on the far side already",
            Broken::Shut => "the opening is shut",
            Broken::StuckShut => "stuck shut",
            Broken::StuckOpen => "stuck open or does not seal",
            Broken::Full => "the volume is full",
            Broken::NoSuit => "no usable suit within reach",
            Broken::NoBerth => "no berth is free",
            Broken::BerthHatch => "a hatch of the berth is in the wrong state",
            Broken::BerthPressure => "gap or suit at the wrong pressure",
            Broken::NobodyInside => "nobody inside can open the hatches for a casualty at a berth",
            Broken::NoSupply => "its supply is too small for everyone aboard",
        }
    }
}

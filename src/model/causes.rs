//! Why hours were lost and gas went out: indices into small tables of names.

/// A cause of lost hours; those below stand first in [`super::Model::causes`], then failure modes,
/// then environment events.
pub type Cause = u16;

/// Causes that are always there.
#[allow(missing_docs)] // the word beside each in `FIXED_CAUSES` is its meaning
pub mod cause {
    use super::Cause;
    pub const PORT_IN_USE: Cause = 0;
    pub const REST: Cause = 1;
    pub const AWAY: Cause = 2;
    pub const HURT: Cause = 3;
    pub const ILL: Cause = 4;
    pub const REPAIR_WORK: Cause = 5;
    pub const STORE: Cause = 6;
    pub const NOBODY_INSIDE: Cause = 7;
    pub const DUTY: Cause = 8;
    pub const SUPPLY: Cause = 9;
    pub const SHORTER: Cause = 10;
    pub const FALSE_ALARM: Cause = 11;
    pub const NO_SUIT: Cause = 12;
    pub const NOT_AT_REST: Cause = 13;
    pub const INTERLOCK: Cause = 14;
    pub const BUSY: Cause = 15;
    pub const LEFT: Cause = 16;
    pub const HORIZON: Cause = 17;
    pub const SUIT_OXYGEN: Cause = 18;
    pub const SUIT_WATER: Cause = 19;
    pub const SUIT_CARBON_DIOXIDE: Cause = 20;
    pub const SUIT_BATTERY: Cause = 21;
    pub const SEAL: Cause = 22;
    pub const RANGE: Cause = 23;
    pub const WEEK: Cause = 24;
    pub const RECHARGE: Cause = 25;
}

/// Words for the causes that are always there, in the order of [`cause`].
pub const FIXED_CAUSES: &[&str] = &[
    "port in use",
    "rest",
    "crew away",
    "crew hurt",
    "crew ill",
    "repair work",
    "store",
    "nobody inside",
    "duty limit",
    "suit supply",
    "task shorter",
    "false alarm",
    "no suit",
    "port not at rest",
    "interlock",
    "crew busy",
    "crew left",
    "campaign end",
    "suit oxygen",
    "suit water",
    "suit carbon dioxide",
    "suit battery",
    "leaking seal",
    "rover range",
    "week",
    "recharge",
];

/// Why gas went outside.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub enum GasCause {
    /// Share of pumped gas that is not recovered.
    Pump,
    /// Vented through a valve.
    Vent,
    /// What was left when the outer opening opened.
    Rest,
    /// Vented because the pump had failed.
    FailedPump,
    /// Suit purge.
    Purge,
    /// Suit vented to working pressure.
    SuitVent,
    /// Suit leak.
    SuitLeak,
    /// Seals and shells.
    Leak,
    /// Dust stages.
    Stage,
    /// Ways back, restoring, returning.
    WayBack,
}

/// Words for gas causes in the order of the enum.
pub const GAS_CAUSES: &[&str] = &[
    "pump",
    "vent",
    "rest at opening",
    "failed pump",
    "purge",
    "suit vent",
    "suit leak",
    "leak",
    "stage",
    "way back",
];

/// What upkeep hours went into.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub enum UpkeepCause {
    /// Repairs.
    Repair,
    /// Inspections.
    Inspection,
    /// Floor cleaning.
    Cleaning,
    /// Suit maintenance.
    Suit,
    /// Restoring ports.
    Restore,
    /// Stages.
    Stage,
    /// Filter changes.
    Filter,
    /// Docking, undocking and crossing.
    Docking,
    /// Suits carried to the element they belong to.
    SuitCarried,
}

/// Words for upkeep in the order of the enum.
pub const UPKEEP_CAUSES: &[&str] = &[
    "repair",
    "inspection",
    "cleaning",
    "suit maintenance",
    "restore",
    "stage",
    "filter",
    "docking",
    "suit carried",
];

/// How dust came into a cabin.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub enum DustPath {
    /// Shed at doffing.
    Doff,
    /// Passed by a suit interface.
    Interface,
    /// Crossed an opening in the air.
    Air,
    /// Tracked in.
    Tracked,
    /// Shed in suit maintenance.
    Maintenance,
    /// Left by a stage.
    Stage,
}

/// Words for dust paths in the order of the enum.
pub const DUST_PATHS: &[&str] = &["doffing", "interface", "air", "tracked", "maintenance", "stage"];

/// Where dust that was picked up is at the end of a campaign; in this order the rows of
/// `dust_at_end_g`, which add up to `dust_picked_up_g`.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[repr(u8)]
pub enum DustEnd {
    /// In the air of volumes.
    Air,
    /// On floors and other surfaces.
    Surface,
    /// In filters.
    Filter,
    /// Held by stages indoors.
    Stages,
    /// On suits.
    Suits,
    /// Brushed off or vented outside.
    Outside,
    /// Cleaned away.
    Cleaned,
}

/// Words for the ends of dust in the order of the enum.
pub const DUST_ENDS: &[&str] =
    &["air", "surface", "filter", "stages", "on suits", "outside", "cleaned"];

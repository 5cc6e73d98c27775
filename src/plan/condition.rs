//! The closed set of conditions (rule 8): what `needs`, `when` and `until` may say. Conditions see
//! what has been found, never hidden state.

use super::{OpeningId, VolumeId};

/// A condition as written: it must hold, or with `not` must not.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Asked {
    /// Written with `not` before it.
    pub not: bool,
    /// What is asked.
    pub condition: Condition,
}

/// One condition with its names resolved.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Condition {
    /// `X tolerates vacuum`
    ToleratesVacuum(u16),
    /// `X intact` for an opening.
    OpeningIntact(OpeningId, u8),
    /// `X intact` for a volume: every opening of it.
    VolumeIntact(VolumeId),
    /// `X intact` for an element: not lost.
    ElementIntact(u16),
    /// `X stuck` for an opening: known stuck, or known not to hold.
    OpeningStuck(OpeningId, u8),
    /// `X stuck` for a volume: any opening of it.
    VolumeStuck(VolumeId),
    /// `X opens` for an opening: nothing known keeps it shut; whether it seals is not asked.
    Opens(OpeningId, u8),
    /// `X leaks` for an opening: a pressure check has found it.
    Leaks(OpeningId, u8),
    /// `X dirty` for an opening: its seal carries dust that one sees.
    Dirty(OpeningId, u8),
    /// `nobody in X`
    NobodyIn(VolumeId),
    /// `anyone inside`
    AnyoneInside,
    /// `helper inside`
    HelperInside,
    /// `rescuers inside`: two able persons with suits.
    RescuersInside,
    /// `suit for everyone inside`
    SuitForEveryoneInside,
    /// `umbilical for everyone`
    UmbilicalForEveryone,
    /// `gas covers X` or `X and Y`
    GasCovers([VolumeId; 2], u8),
    /// `port free`
    PortFree,
    /// `berth free`: empty and intact.
    BerthFree,
    /// `berth empty`: no suit hangs there.
    BerthEmpty,
    /// `berth intact`: nothing of it known stuck.
    BerthIntact,
    /// `two berths free`
    TwoBerthsFree,
    /// `port fits suit`
    PortFitsSuit,
    /// `X clears suit`
    ClearsSuit(OpeningId),
    /// `X in reach`
    InReach(u16),
    /// `room at X`
    RoomAt(u16),
    /// `rover drives`
    RoverDrives,
    /// `rover manned`: somebody able is inside it.
    RoverManned,
    /// `rover remote`: it can be driven without crew (always true of a rover that drives).
    RoverRemote,
    /// `casualty`
    Casualty,
    /// `no casualty`
    NoCasualty,
    /// `daylight`
    Daylight,
    /// `ascent vehicle`
    AscentVehicle,
    /// `in time`
    InTime,
}

/// Spelling and meaning of every condition; X stands for a name. Before any of them `not` may stand.
pub const CONDITIONS: &[(&str, &str)] = &[
    ("X tolerates vacuum", "the element X may be vented with its equipment inside"),
    (
        "X intact",
        "nothing of X is known to be stuck or lost (a lost pump or stage and a leak do not count)",
    ),
    ("X stuck", "X (or an opening of the volume X) is known to be stuck or not to hold pressure"),
    ("X opens", "the opening X is not known to be stuck shut; whether it seals is not asked"),
    ("X leaks", "a pressure check has found that the opening X does not hold pressure"),
    ("X dirty", "the seal of the opening X carries 1 g/m2 of dust or more"),
    ("nobody in X", "no person is in volume X"),
    ("anyone inside", "somebody is inside the host element"),
    ("helper inside", "an able person is inside the host element"),
    ("rescuers inside", "two able persons inside the host element have usable suits"),
    ("suit for everyone inside", "every person inside can reach a usable suit"),
    ("umbilical for everyone", "the working umbilicals of the port are enough for the whole team"),
    ("gas covers X", "the store holds what fills X (or X and Y) from ambient, O2 and N2 apart"),
    ("port free", "no other team uses the port"),
    ("berth free", "a berth of the port is empty and intact"),
    ("berth empty", "a berth of the port at which no suit hangs"),
    ("berth intact", "a berth of the port of which nothing is known stuck"),
    ("two berths free", "two berths of the port are empty and intact"),
    ("port fits suit", "the port is compatible with these suits: pressure limit and width"),
    ("X clears suit", "the opening X is wide enough for these suits"),
    ("X in reach", "the element X is there and can be walked or driven to"),
    ("room at X", "of the safe haven places of X at least one is free"),
    ("rover drives", "no rover failure is known that keeps it from driving"),
    ("rover manned", "an able person is inside the rover"),
    ("rover remote", "the rover drives and may come without crew"),
    ("casualty", "somebody of the team is incapacitated"),
    ("no casualty", "nobody of the team is incapacitated"),
    ("daylight", "the site is lit"),
    ("ascent vehicle", "there is an ascent vehicle and it is intact"),
    ("in time", "the mean time to safety is less than the least consumables remaining"),
    ("not CONDITION", "any condition may be negated: it must not hold"),
];

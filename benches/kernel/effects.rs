//! The effects of rows, and how many of each one architecture-campaign of larkspur has.

use vestibule::plan::{OpeningId, SuitId, VolumeId};

/// In which legs of a sortie an effect stands.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Legs {
    /// On the way out.
    Out,
    /// On the way in.
    In,
    /// In both.
    Both,
}

/// What is done; a row has any number of them.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// A list is begun: the uniforms of its rows.
    Leg,
    /// A row: the clock goes on, the calendar is looked at.
    Row,
    /// What the law of a row says it takes, from a uniform of the leg.
    Law,
    /// A number drawn by itself, through its law.
    Draw,
    /// A chance or threshold drawn by itself.
    Uniform,
    /// Something on the calendar comes due, and its successor is planned.
    Event,
    /// A mode on a part is asked.
    Demand,
    /// A pump runs: how long.
    Pump,
    /// A valve vents: how long.
    Vent,
    /// Air crosses an opening.
    Exchange,
    /// Dust falls off a suit.
    Arrive,
    /// Dust of the floor is tracked in.
    Track,
    /// A volume is emptied.
    Evacuate,
    /// It is filled again.
    Fill,
    /// A floor is cleaned.
    Clean,
    /// A part of the dust leaves with gas.
    Thin,
    /// Dust settles on a suit, which comes to the door.
    Door,
    /// A person breathes the air of a suit from now on.
    Move,
    /// A person breathes in a room again.
    Return,
    /// A person is found to breathe where they did.
    Stay,
    /// The 24-hour windows are looked at.
    Mark,
    /// The gas of a volume is settled.
    Settle,
    /// A suit takes gas from around, or gives it back.
    SuitGas,
    /// Gas of a suit goes outside.
    SuitVent,
    /// Oxygen of a store is breathed in a prebreathe.
    Oxygen,
    /// What a suit at a berth leaks and gathers is booked.
    Parked,
    /// The seal of an opening is read and booked.
    Seal,
    /// Dust gets on a seal.
    Dirty,
    /// All leaks are booked, and how long stores last.
    Leaks,
    /// A life-support clock starts.
    ClockStarts,
    /// It goes on at another power.
    Power,
    /// It ends, and what was used is booked.
    ClockEnds,
    /// Is it over?
    Over,
    /// A tissue goes on with other gas.
    Tissue,
    /// A tissue is read.
    Ratio,
}

/// How many there are of a kind, and where they stand.
#[derive(Clone, Copy, Debug)]
pub struct Meter {
    /// The kind.
    pub kind: Kind,
    /// In words.
    pub name: &'static str,
    /// Per architecture-campaign.
    pub count: f64,
    /// Legs.
    pub legs: Legs,
    /// Part of the leg, 0 to 1.
    pub span: (f64, f64),
}

const fn meter(kind: Kind, name: &'static str, count: f64, legs: Legs, span: (f64, f64)) -> Meter {
    Meter { kind, name, count, legs, span }
}

/// Sorties of an architecture-campaign: a leg out and one in each, two people.
pub const SORTIES: usize = 128;

/// Means over 8 campaigns of the six architectures of larkspur: calls of the owners' verbs as
/// callgrind counts them (`engine 12` less `engine 4`) in a build that inlines little. Legs beyond
/// two a sortie are in `Leg` alone. Rows, uniforms of legs, demands, events and volume updates are
/// compared with a play of today whenever the bench runs.
pub const METERS: &[Meter] = &{
    use Kind::*;
    use Legs::{Both, In, Out};
    const ALL: (f64, f64) = (0.0, 1.0);
    [
        meter(Leg, "legs drawn", 265.7, Both, (0.0, 0.0)),
        meter(Row, "rows", 3881.0, Both, ALL),
        meter(Law, "laws of rows", 2623.0, Both, ALL),
        meter(Event, "events of the calendar", 1225.0, Both, ALL),
        meter(Draw, "numbers drawn singly, through a law", 1186.5, Both, ALL),
        meter(Uniform, "chances and crossings drawn singly", 986.0, Both, ALL),
        meter(Demand, "demands of failure modes", 4887.0, Both, ALL),
        meter(Pump, "times of pumps", 45.3, Out, (0.4, 0.4)),
        meter(Vent, "times of valves", 91.6, Out, (0.5, 0.5)),
        meter(Exchange, "exchanges through openings", 450.6, Both, (0.1, 1.0)),
        meter(Door, "suits at the door", 246.5, In, (0.0, 0.1)),
        meter(Arrive, "arrivals of dust", 439.9, In, (0.1, 0.8)),
        meter(Track, "dust tracked in", 178.3, In, (0.4, 0.9)),
        meter(Thin, "dust thinned with gas", 45.3, Out, (0.5, 0.5)),
        meter(Evacuate, "volumes emptied", 99.6, Out, (0.5, 0.5)),
        meter(Fill, "volumes filled", 101.2, In, (0.5, 0.5)),
        meter(Clean, "floors cleaned", 45.0, In, (1.0, 1.0)),
        meter(Move, "people who breathe in suits", 256.0, Out, (0.3, 0.6)),
        meter(Return, "people who breathe in rooms again", 290.0, In, (0.5, 0.9)),
        meter(Stay, "people who breathe where they did", 1260.0, Both, ALL),
        meter(Mark, "looks at the 24 h windows", 125.8, In, (1.0, 1.0)),
        meter(Settle, "gas of volumes settled", 1703.0, Both, ALL),
        meter(SuitGas, "gas of suits put on and off", 805.0, Both, ALL),
        meter(SuitVent, "suits let down and purged", 476.0, Both, ALL),
        meter(Oxygen, "oxygen breathed of stores", 247.0, Out, ALL),
        meter(Parked, "books of suits at berths", 1098.0, Both, ALL),
        meter(Seal, "seal lines read and booked", 1091.0, Both, ALL),
        meter(Dirty, "seals dirtied and wiped", 298.4, Both, ALL),
        meter(Leaks, "all leaks booked", 141.2, Both, ALL),
        meter(ClockStarts, "clocks started", 251.0, Out, (0.6, 0.7)),
        meter(Power, "clocks at another power", 988.0, In, (0.0, 0.65)),
        meter(Over, "clocks looked at", 2713.0, In, (0.0, 0.65)),
        meter(ClockEnds, "clocks ended and booked", 250.8, In, (0.7, 0.8)),
        meter(Tissue, "tissues with other gas", 843.0, Both, ALL),
        meter(Ratio, "tissues read", 494.0, Both, ALL),
    ]
};

/// Uniforms of legs per architecture-campaign.
pub const LEG_DRAWS: f64 = 4122.0;

/// Blocks of luck that single numbers open, per architecture-campaign, beside those of thresholds.
pub const BLOCKS: f64 = 431.0;

/// One effect with what it acts on.
#[derive(Clone, Copy, Debug)]
#[allow(missing_docs)]
pub enum Effect {
    Leg {
        list: u16,
        occasion: u32,
        draws: u16,
    },
    Row,
    Law {
        law: u16,
        draw: u16,
    },
    Draw {
        block: u32,
        word: u8,
        law: u16,
    },
    Uniform {
        block: u32,
        word: u8,
    },
    Event,
    Demand {
        first: u16,
        end: u16,
        occasion: u32,
    },
    Pump {
        volume: VolumeId,
    },
    Vent {
        volume: VolumeId,
    },
    Exchange {
        a: u16,
        b: u16,
        share: f32,
    },
    Arrive {
        suit: SuitId,
        room: u16,
    },
    Track {
        from: u16,
        to: u16,
    },
    Evacuate {
        volume: VolumeId,
        room: u16,
    },
    Fill {
        volume: VolumeId,
        room: u16,
    },
    Clean {
        room: u16,
    },
    Thin {
        room: u16,
    },
    Door {
        element: u16,
        suit: SuitId,
    },
    Move {
        person: u16,
        room: u16,
    },
    Mark,
    Settle {
        volume: VolumeId,
        people: u8,
        fate: u8,
    },
    SuitGas {
        suit: SuitId,
        volume: VolumeId,
        full: bool,
    },
    SuitVent {
        suit: SuitId,
    },
    Oxygen {
        volume: VolumeId,
    },
    Parked {
        suit: SuitId,
        volume: VolumeId,
        dusty: bool,
    },
    Seal {
        opening: OpeningId,
        shut: bool,
    },
    Dirty {
        opening: OpeningId,
        step: u8,
    },
    Leaks,
    ClockStarts {
        person: u16,
        suit: SuitId,
    },
    Power {
        person: u16,
        watts: u16,
    },
    ClockEnds {
        person: u16,
        suit: SuitId,
        volume: VolumeId,
    },
    Over {
        person: u16,
    },
    Tissue {
        person: u16,
        step: u8,
    },
    Ratio {
        person: u16,
    },
    /// Between the legs.
    Outside,
    /// When a sortie begins, at the earliest.
    Sortie {
        number: u32,
    },
}

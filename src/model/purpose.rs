//! What a random number is for: the last word of an address (rule 33).
//!
//! A path and an occasion say whose draw it is; [`Purpose`] says what for, and no two purposes meet:
//! each has a family of its own or a range of indices of its own within one.

use crate::base::stream::{Kept, Luck};

/// Roles, rows, tries: what tells apart the draws of one purpose at one path and occasion.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
#[allow(missing_docs)] // the fields are row of the list, try of it, role in the team, draw in a leg
pub enum Purpose {
    /// Durations and checks of a list, drawn together.
    Leg,
    /// A duration of a row tried again: draw of the leg and tries.
    Again {
        draw: u16,
        tries: u8,
    },
    /// Yes or no: does a row with a casualty work?
    CasualtyWorks {
        row: u16,
        tries: u8,
    },
    /// Yes or no: does a try free the part?
    Frees {
        row: u16,
        tries: u8,
    },
    /// Time of a row with a casualty, by their rank in it.
    CasualtyTime {
        row: u16,
        tries: u8,
        rank: u8,
    },
    /// A check that is repeated: does it miss, does it alarm falsely?
    CheckMisses {
        row: u16,
        tries: u8,
        rank: u8,
    },
    CheckAlarms {
        row: u16,
        tries: u8,
        rank: u8,
    },
    /// Gas and crew time of a stage in a row.
    StageGas {
        row: u16,
        tries: u8,
        rank: u8,
    },
    StageUpkeep {
        row: u16,
        tries: u8,
    },
    /// Hours wanted of a slot.
    Hours,
    /// Distance of a slot.
    Distance,
    /// Dust on the suit of a role.
    Dust {
        role: u8,
    },
    /// Overhead of a role.
    Overhead {
        role: u8,
    },
    /// Crossing of a hazard per hour outside, for a role; the path holds the mode.
    HourOutside {
        role: u8,
    },
    /// A hazard per sortie: does it strike, when, whom; the path holds the mode.
    SortieStrikes,
    SortieMoment,
    SortieWhom,
    /// Crossing of a hazard per hour of somebody who came out to help; the path holds the mode.
    Rescuer,
    /// Threshold of a part.
    Life,
    /// Threshold of a common-cause group.
    Group,
    /// Value of a number that is not known.
    Parameter,
    /// An environment event: the wait for it, its warning, how long it lasts.
    WeatherWait,
    WeatherWarning,
    WeatherLasts,
    /// An illness: the wait for it, how long it lasts.
    IllnessWait,
    IllnessLasts,
    /// A repair: how long it takes, whether it works.
    RepairTakes,
    RepairWorks,
    /// A replacement by plan: how long it takes.
    ReplaceTakes,
    /// A flight: when, whether late, by how much.
    FlightAt,
    FlightLate,
    FlightSlip,
    /// A casualty: treatment limit, time off duty, severity.
    TreatBy,
    OffDuty,
    Severity,
    /// Upkeep: of a suit, of a filter, of a floor, an inspection.
    SuitMaintenance,
    FilterChange,
    Cleaning,
    Inspection,
    /// Elapsed recharge of a suit.
    Recharge,
    /// Metabolic rate of a person by what they do.
    Rate {
        doing: u8,
    },
    /// Speed of a group: walking, helped, stretcher.
    Speed {
        kind: u8,
    },
    /// Getting a casualty onto a stretcher.
    Lift,
    /// Distance driven on a day of a traverse.
    Drive {
        day: u16,
    },
    /// Resamples of campaigns, and changed weights.
    Resample,
}

/// A row, its try and a rank in one index.
const fn of_row(row: u16, tries: u8, rank: u8) -> u32 {
    (row as u32) << 16 | (tries as u32) << 8 | rank as u32
}

impl Purpose {
    /// Family and index in it: the purpose word and the index of [`Luck`]. Always inline: where the purpose
    /// is written out, so is its address, and nothing has to be told apart.
    #[inline(always)]
    pub const fn address(self) -> (u32, u32) {
        use Purpose::*;
        match self {
            Leg => (1, 0),
            Hours => (2, 0),
            Distance => (2, 1),
            Dust { role } => (2, 3 + role as u32),
            Life => (3, 0),
            Parameter => (4, 0),
            WeatherWait => (5, 0),
            WeatherWarning => (5, 1),
            WeatherLasts => (5, 2),
            IllnessWait => (6, 0),
            IllnessLasts => (6, 1),
            RepairTakes => (7, 0),
            RepairWorks => (7, 1),
            ReplaceTakes => (7, 2),
            CasualtyWorks { row, tries } => (8, of_row(row, tries, 0)),
            Frees { row, tries } => (8, of_row(row, tries, 1)),
            FlightAt => (9, 0),
            FlightLate => (9, 1),
            FlightSlip => (9, 2),
            TreatBy => (10, 0),
            OffDuty => (10, 1),
            Severity => (10, 2),
            Rescuer => (10, 3),
            Group => (11, 0),
            SuitMaintenance => (12, 0),
            Cleaning => (12, 1),
            FilterChange => (12, 2),
            Inspection => (12, 3),
            Recharge => (12, 4),
            Rate { doing } => (13, doing as u32),
            Speed { kind } => (13, 256 + kind as u32),
            Lift => (13, 512),
            Drive { day } => (14, day as u32),
            Resample => (15, 0),
            Overhead { role } => (16, role as u32),
            HourOutside { role } => (17, 3 + role as u32),
            SortieStrikes => (17, 0),
            SortieMoment => (17, 1),
            SortieWhom => (17, 2),
            Again { draw, tries } => (18, of_row(draw, tries, 0)),
            CasualtyTime { row, tries, rank } => (19, of_row(row, tries, rank)),
            CheckMisses { row, tries, rank } => (20, of_row(row, tries, rank)),
            CheckAlarms { row, tries, rank } => (21, of_row(row, tries, rank)),
            StageGas { row, tries, rank } => (22, of_row(row, tries, rank)),
            StageUpkeep { row, tries } => (23, of_row(row, tries, 0)),
        }
    }

    /// The uniform number for this at a path and occasion.
    #[inline]
    pub fn draw(self, luck: Luck, campaign: u64, path: u64, occasion: u64) -> f64 {
        let (family, index) = self.address();
        luck.uniform(campaign, path, occasion, family, index)
    }

    /// The same where many are asked for again, or beside each other. Always inline, as the address is.
    #[inline(always)]
    pub fn draw_kept(self, kept: &Kept, campaign: u64, path: u64, occasion: u64) -> f64 {
        let (family, index) = self.address();
        kept.uniform(campaign, path, occasion, family, index)
    }

    /// The first uniform numbers for this at a path and occasion, where one purpose has many.
    #[inline]
    pub fn fill(self, luck: Luck, campaign: u64, path: u64, occasion: u64, out: &mut [f64]) {
        luck.fill(campaign, path, occasion, self.address().0, out);
    }

    /// The same where they are asked for again, by another architecture above all.
    #[inline]
    pub fn fill_kept(self, kept: &Kept, campaign: u64, path: u64, occasion: u64, out: &mut [f64]) {
        kept.fill(campaign, path, occasion, self.address().0, out);
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::collections::BTreeMap;

    /// Every purpose, those with fields over their ends and middles.
    fn all() -> Vec<Purpose> {
        use Purpose::*;
        let mut all = vec![
            Leg,
            Hours,
            Distance,
            SortieStrikes,
            SortieMoment,
            SortieWhom,
            Rescuer,
            Life,
            Group,
            Parameter,
            WeatherWait,
            WeatherWarning,
            WeatherLasts,
            IllnessWait,
            IllnessLasts,
            RepairTakes,
            RepairWorks,
            ReplaceTakes,
            FlightAt,
            FlightLate,
            FlightSlip,
            TreatBy,
            OffDuty,
            Severity,
            SuitMaintenance,
            FilterChange,
            Cleaning,
            Inspection,
            Recharge,
            Lift,
            Resample,
        ];
        for x in 0..=u8::MAX {
            all.extend([Dust { role: x }, Overhead { role: x }, HourOutside { role: x }]);
            all.extend([Rate { doing: x }, Speed { kind: x }]);
        }
        for row in [0, 1, 2, 3, 63, 64, 255, 256, 4_095, u16::MAX] {
            all.push(Drive { day: row });
            for tries in [0, 1, 2, 63, 64, 255] {
                all.extend([Again { draw: row, tries }, StageUpkeep { row, tries }]);
                all.extend([CasualtyWorks { row, tries }, Frees { row, tries }]);
                for rank in [0, 1, 2, 3, 7, 8, 11, 255] {
                    all.extend([CasualtyTime { row, tries, rank }, StageGas { row, tries, rank }]);
                    all.push(CheckMisses { row, tries, rank });
                    all.push(CheckAlarms { row, tries, rank });
                }
            }
        }
        all
    }

    /// Does every variant stand in [`all`]? A new one does not compile here until it is added.
    #[allow(dead_code)]
    fn complete(p: Purpose) {
        use Purpose::*;
        match p {
            Leg
            | Again { .. }
            | CasualtyWorks { .. }
            | Frees { .. }
            | CasualtyTime { .. }
            | CheckMisses { .. }
            | CheckAlarms { .. }
            | StageGas { .. }
            | StageUpkeep { .. } => {}
            Hours | Distance | Dust { .. } | Overhead { .. } | HourOutside { .. } => {}
            SortieStrikes | SortieMoment | SortieWhom | Rescuer | Life | Group | Parameter => {}
            WeatherWait | WeatherWarning | WeatherLasts | IllnessWait | IllnessLasts => {}
            RepairTakes | RepairWorks | ReplaceTakes | FlightAt | FlightLate | FlightSlip => {}
            TreatBy | OffDuty | Severity | SuitMaintenance | FilterChange | Cleaning => {}
            Inspection | Recharge | Rate { .. } | Speed { .. } | Lift | Drive { .. } => {}
            Resample => {}
        }
    }

    #[test]
    fn no_two_addresses_meet() {
        let mut seen: BTreeMap<(u32, u32), Purpose> = BTreeMap::new();
        // A leg and a resample have a family to themselves, whatever the index.
        for p in all() {
            if let Some(q) = seen.insert(p.address(), p) {
                panic!("{p:?} and {q:?} draw at {:?}", p.address());
            }
        }
        for whole in [Purpose::Leg, Purpose::Resample] {
            let family = whole.address().0;
            assert_eq!(seen.range((family, 0)..(family + 1, 0)).count(), 1, "{whole:?}");
        }
    }
}

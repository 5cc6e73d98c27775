//! What the engine counts in one campaign, and its values.

use super::{Measure, Read};

macro_rules! facts {
    ($($name:ident),+ $(,)?) => {
        /// What the engine counts in one campaign; the unit is part of each doc.
        #[allow(missing_docs)] // each fact is documented by the measure that reads it
        #[derive(Clone, Copy, Debug, PartialEq, Eq)]
        #[repr(u8)]
        pub enum Fact { $($name),+ }

        /// Number of facts.
        pub const FACTS: usize = [$(Fact::$name),+].len();
    };
}

facts!(
    GasLost,
    OxygenUsed,
    NitrogenUsed,
    WaterUsed,
    GasLostPlanned,
    GasVentedContingency,
    AirVented,
    AirVentedPlanned,
    Bioburden,
    BioburdenPlanned,
    BioburdenOver,
    PrebreatheRatioMax,
    DustToCabin,
    DustInLock,
    DustFilter,
    DustAverageMax,
    DustPeak,
    DustOverPeak,
    DustOverLimit,
    DustBreakEven,
    SortiesPlanned,
    SortiesDone,
    SortiesCancelled,
    SortiesCutShort,
    SortiesLimited,
    EvaPlanned,
    EvaDone,
    EvaLost,
    EvaLimited,
    EvaFailed,
    Overhead,
    OverheadMinutes,
    DoorToDoor,
    Upkeep,
    SparesUsed,
    HatchFailures,
    SealFailures,
    PumpFailures,
    SuitFailures,
    Incapacitations,
    RescueMinutes,
    Rescues,
    RescueLate,
    HavenDemands,
    HavenPlanned,
    HavenWayBack,
    HavenLate,
    HavenMissed,
    ShutIn,
    HavenReached,
    Margin,
    MarginContingency,
    CampaignHavenMissed,
    CampaignCutShort,
    CampaignLength,
    SparesMass,
    SparesVolume,
    SystemMass,
);

// Absent facts are bits.
const _: () = assert!(FACTS <= 128);

/// Facts of one campaign; absent ones are flagged.
#[derive(Clone, Debug)]
pub struct Facts {
    /// Values in the unit of the measure that reads them.
    pub value: [f64; FACTS],
    /// Bit f set: fact f has no value in this campaign.
    pub absent: u128,
}

impl Default for Facts {
    fn default() -> Self {
        Facts { value: [0.0; FACTS], absent: 0 }
    }
}

impl Facts {
    /// Adds to a fact.
    #[inline]
    pub fn add(&mut self, f: Fact, x: f64) {
        self.value[f as usize] += x;
    }
    /// Value of a fact, `None` if absent.
    pub fn get(&self, f: Fact) -> Option<f64> {
        (self.absent >> f as u32 & 1 == 0).then(|| self.value[f as usize])
    }
    /// Value of a measure in this campaign, `None` if absent or the denominator is 0.
    pub fn read(&self, m: &Measure) -> Option<f64> {
        match m.read {
            Read::Of(f) => self.get(f),
            Read::Ratio(n, d) => {
                let (n, d) = (self.get(n)?, self.get(d)?);
                (d > 0.0).then(|| n / d)
            }
        }
    }
}

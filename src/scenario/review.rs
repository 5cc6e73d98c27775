//! Records of what a review board reads: limits, equivalent system mass, rankings.

use super::spec::{At, Num, Provenance, Spot};
use super::vocabulary::Statistic;

/// `[spare.NAME]`
#[derive(Clone, Debug)]
pub struct SpareSpec {
    /// `count` at the start.
    pub count: Spot<u32>,
    /// `mass`, kg of one, optional.
    pub mass: Option<Num>,
    /// `envelope`, m3 of one, optional.
    pub envelope: Option<Num>,
}

/// `[limit.NAME]`: what a review board asks for.
#[derive(Clone, Debug)]
pub struct LimitSpec {
    /// `measure`
    pub measure: Spot<String>,
    /// `statistic` of it (default mean).
    pub statistic: Spot<Statistic>,
    /// `below` or `above`: is it the greatest value, in the unit of the measure, or the least?
    pub below: bool,
    /// The value, in the unit of the measure.
    pub bound: Spot<f64>,
    /// As written.
    pub written: String,
    /// `architectures` it holds for; empty: all.
    pub architectures: Vec<Spot<String>>,
}

/// `[mass]`: what turns volume, power, gas and crew time into mass.
#[derive(Clone, Debug)]
pub struct MassSpec {
    /// `volume`, kg/m3 of pressurised volume of the access systems.
    pub volume: Num,
    /// `power`, kg/W
    pub power: Num,
    /// `duty_share`: share of the peak power of pumps that counts.
    pub duty_share: Num,
    /// `crew_time`, kg/s of one person.
    pub crew_time: Num,
    /// `tank_oxygen`, kg of tank per kg of oxygen.
    pub tank_oxygen: Num,
    /// `tank_nitrogen`, kg of tank per kg of nitrogen.
    pub tank_nitrogen: Num,
    /// `tank_water`, kg of tank per kg of water.
    pub tank_water: Num,
    /// Standing of the factors.
    pub provenance: Provenance,
    /// Where the section stands.
    pub at: At,
}

/// `[ranking.NAME]`: measures by which architectures are compared as a whole.
#[derive(Clone, Debug)]
pub struct RankingSpec {
    /// `measures`
    pub measures: Vec<Spot<String>>,
    /// `weights`: what one unit of each measure counts; empty: nothing is added up.
    pub weights: Vec<(Spot<String>, Num)>,
}

/// Name of the ranking that every run has; no ranking of a file can have it.
pub const USUAL: &str = "usual";

/// `[decision]`: what has to be chosen between the architectures, of which `value.csv` says what it is
/// worth to know before.
#[derive(Clone, Debug)]
pub struct DecisionSpec {
    /// `ranking`: the weighted total of this ranking is to be small.
    pub ranking: Option<Spot<String>>,
    /// `limit`: this limit is to be met.
    pub limit: Option<Spot<String>>,
    /// `architectures` to choose from; empty: all, or those that the limit holds for.
    pub architectures: Vec<Spot<String>>,
    /// `unit` of the weighted total, as it is to be called.
    pub unit: Option<Spot<String>>,
    /// `groups`: parameters that one would come to know together, by key paths or their beginnings.
    pub groups: Vec<(Spot<String>, Vec<Spot<String>>)>,
    /// Where the section stands.
    pub at: At,
}

/// Does an entry of a group stand for a parameter (`file:key.path`, of one part `... of PART`)? It is the
/// key path or a beginning of it, with the file or without.
pub fn stands_for(entry: &str, parameter: &str) -> bool {
    let begins = |whole: &str| {
        let rest = whole.strip_prefix(entry);
        rest.is_some_and(|r| r.is_empty() || r.starts_with('.') || r.starts_with(" of "))
    };
    let path = parameter.split_once(':').map_or(parameter, |(_, path)| path);
    begins(parameter) || begins(path)
}

#[cfg(test)]
mod tests {
    use super::stands_for;

    #[test]
    fn a_group_goes_by_key_paths_and_their_beginnings() {
        let parameter = "larkspur:failure.hatch jams.probability";
        for entry in ["failure", "failure.hatch jams", "larkspur:failure", parameter] {
            assert!(stands_for(entry, parameter), "{entry}");
        }
        for entry in ["failure.hatch", "fail", "ochre:failure", "probability", ""] {
            assert!(!stands_for(entry, parameter), "{entry}");
        }
        assert!(stands_for("suit.soft.leak", "base:suit.soft.leak of suit 2"));
    }
}

//! Registry of measures: name, unit, meaning, how read from the facts of a campaign. CSV headers,
//! `vestibule list measures` and the documentation come from [`MEASURES`].

mod facts;

pub use facts::{FACTS, Fact, Facts};

use crate::base::units::Dimension;

/// How a measure is read from the facts.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Read {
    /// The fact itself.
    Of(Fact),
    /// A ratio of sums (rule 35): numerator, denominator, and the factor of the unit.
    Ratio(Fact, Fact),
}

/// What kind of number a measure is; decides its interval and its histogram.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// Sum over the campaign, continuous.
    Sum,
    /// Count.
    Count,
    /// 0 or 1 per campaign.
    Flag,
    /// Ratio of sums.
    Ratio,
    /// Largest or smallest of the campaign; may be absent.
    Worst,
}

/// Which way is better.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Better {
    /// Less is better.
    Low,
    /// More is better.
    High,
    /// Neither.
    Neither,
}

/// One measure.
#[derive(Clone, Copy, Debug)]
pub struct Measure {
    /// Fixed name: others read the files.
    pub name: &'static str,
    /// Unit; empty for counts, shares and flags.
    pub unit: &'static str,
    /// One line of meaning.
    pub doc: &'static str,
    /// How it is read.
    pub read: Read,
    /// Kind.
    pub kind: Kind,
    /// Which way is better.
    pub better: Better,
    /// Rare: needs many campaigns (or weighted play).
    pub rare: bool,
}

use Better::{High, Low, Neither};
use Fact as F;
use Kind::{Count, Flag, Ratio, Sum, Worst};

const fn m(
    name: &'static str,
    unit: &'static str,
    kind: Kind,
    better: Better,
    read: Read,
    doc: &'static str,
) -> Measure {
    Measure { name, unit, doc, read, kind, better, rare: false }
}

const fn rare(base: Measure) -> Measure {
    Measure { rare: true, ..base }
}

const fn of(f: Fact) -> Read {
    Read::Of(f)
}

/// Every measure in the order of the files.
pub const MEASURES: &[Measure] = &[
    m(
        "gas_lost_kg",
        "kg",
        Sum,
        Low,
        of(F::GasLost),
        "gas that went outside, all causes, breathed gas excluded",
    ),
    m("oxygen_used_kg", "kg", Sum, Low, of(F::OxygenUsed), "oxygen lost and breathed in suits"),
    m("nitrogen_used_kg", "kg", Sum, Low, of(F::NitrogenUsed), "nitrogen lost"),
    m("water_used_kg", "kg", Sum, Low, of(F::WaterUsed), "cooling water evaporated by suits"),
    m(
        "gas_lost_per_sortie_kg",
        "kg",
        Ratio,
        Low,
        Read::Ratio(F::GasLostPlanned, F::SortiesDone),
        "losses of planned cycles and planned service cycles over sorties done",
    ),
    m(
        "gas_lost_per_eva_hour_kg",
        "kg",
        Ratio,
        Low,
        Read::Ratio(F::GasLost, F::EvaDone),
        "gas that went outside, all causes, over crew-hours outside done: a crew that is lost makes \
         no architecture look light",
    ),
    m(
        "gas_vented_contingency_kg",
        "kg",
        Sum,
        Low,
        of(F::GasVentedContingency),
        "gas lost in ways back, restoring and returning",
    ),
    m(
        "air_vented_outside_kg",
        "kg",
        Sum,
        Low,
        of(F::AirVented),
        "vented cabin air and suit gas, seal leaks excluded",
    ),
    m(
        "air_vented_outside_per_sortie_kg",
        "kg",
        Ratio,
        Low,
        Read::Ratio(F::AirVentedPlanned, F::SortiesDone),
        "the same for planned cycles over sorties done",
    ),
    m(
        "bioburden_vented_cfu",
        "cfu",
        Sum,
        Low,
        of(F::Bioburden),
        "vented cabin air by volume times the bioburden of cabin air",
    ),
    m(
        "bioburden_vented_per_sortie_cfu",
        "cfu",
        Ratio,
        Low,
        Read::Ratio(F::BioburdenPlanned, F::SortiesDone),
        "the same for planned cycles over sorties done",
    ),
    m(
        "bioburden_over_limit",
        "",
        Flag,
        Low,
        of(F::BioburdenOver),
        "1 if the campaign let out more living cells than the limit of the body",
    ),
    m(
        "prebreathe_ratio_max",
        "",
        Worst,
        Low,
        of(F::PrebreatheRatioMax),
        "highest tissue N2 / suit pressure at the start of any sortie",
    ),
    m("dust_to_cabin_g", "g", Sum, Low, of(F::DustToCabin), "dust that came into any cabin"),
    m("dust_in_lock_g", "g", Sum, Neither, of(F::DustInLock), "dust that came into lock volumes"),
    m(
        "dust_filter_load_g",
        "g",
        Sum,
        Low,
        of(F::DustFilter),
        "fine dust held by cabin and lock filters",
    ),
    m(
        "dust_average_max_mg_m3",
        "mg/m3",
        Worst,
        Low,
        of(F::DustAverageMax),
        "highest 24-hour average below 10 um of any crew member (window ends by definition, rule 28)",
    ),
    m(
        "dust_peak_mg_m3",
        "mg/m3",
        Worst,
        Low,
        of(F::DustPeak),
        "highest concentration below 10 um breathed by any crew member",
    ),
    m(
        "dust_over_peak_limit",
        "",
        Flag,
        Low,
        of(F::DustOverPeak),
        "1 if any crew member breathed more than the peak limit of the body",
    ),
    m(
        "dust_over_limit_h",
        "h",
        Sum,
        Low,
        of(F::DustOverLimit),
        "hours above the limit of the worst crew member",
    ),
    m(
        "dust_break_even_fraction",
        "",
        Worst,
        High,
        of(F::DustBreakEven),
        "share of the fine dust on suits at the door that may come in each time so that the worst \
         24 h in a cabin just meet the limit",
    ),
    m("sorties_planned", "", Count, Neither, of(F::SortiesPlanned), "sorties planned"),
    m("sorties_done", "", Count, High, of(F::SortiesDone), "sorties done, cut short ones included"),
    m("sorties_cancelled", "", Count, Low, of(F::SortiesCancelled), "sorties cancelled"),
    m(
        "sorties_cut_short",
        "",
        Count,
        Low,
        of(F::SortiesCutShort),
        "sorties done whose work was ended by an event",
    ),
    m(
        "sorties_limited",
        "",
        Count,
        Low,
        of(F::SortiesLimited),
        "sorties done whose stay was limited by suit supply, duty day, daylight or week",
    ),
    m("eva_planned_h", "h", Sum, Neither, of(F::EvaPlanned), "crew-hours outside planned"),
    m("eva_done_h", "h", Sum, High, of(F::EvaDone), "crew-hours outside done, at most planned"),
    m("eva_lost_h", "h", Sum, Low, of(F::EvaLost), "crew-hours outside planned and not done"),
    m(
        "eva_limited_h",
        "h",
        Sum,
        Low,
        of(F::EvaLimited),
        "of these: planned less stay, where the plan asks more than suit, day, daylight or task give",
    ),
    m(
        "eva_failed_h",
        "h",
        Sum,
        Low,
        of(F::EvaFailed),
        "of these: the rest, by events, failures and slots that did not take place",
    ),
    m(
        "eva_done_fraction",
        "",
        Ratio,
        High,
        Read::Ratio(F::EvaDone, F::EvaPlanned),
        "crew-hours outside done over planned",
    ),
    m(
        "overhead_h",
        "h",
        Sum,
        Low,
        of(F::Overhead),
        "crew time from first egress row to last ingress row less hours outside",
    ),
    m(
        "overhead_per_sortie_min",
        "min",
        Ratio,
        Low,
        Read::Ratio(F::OverheadMinutes, F::SortiesDone),
        "crew-minutes of overhead per sortie done",
    ),
    m(
        "door_to_door_min",
        "min",
        Ratio,
        Low,
        Read::Ratio(F::DoorToDoor, F::SortiesDone),
        "elapsed minutes of all egress and ingress rows per sortie done",
    ),
    m(
        "upkeep_h",
        "h",
        Sum,
        Low,
        of(F::Upkeep),
        "crew hours for repair, inspection, cleaning and suit maintenance",
    ),
    m("spares_used", "", Count, Low, of(F::SparesUsed), "parts used"),
    m(
        "hatch_failures",
        "",
        Count,
        Low,
        of(F::HatchFailures),
        "failures of hatches, doors, valves and interfaces that struck, found or not",
    ),
    m("seal_failures", "", Count, Low, of(F::SealFailures), "seal leaks that struck, found or not"),
    m(
        "pump_failures",
        "",
        Count,
        Low,
        of(F::PumpFailures),
        "pump failures that struck, found or not",
    ),
    m(
        "suit_failures",
        "",
        Count,
        Low,
        of(F::SuitFailures),
        "suit failures that struck, found or not",
    ),
    m("incapacitations", "", Count, Low, of(F::Incapacitations), "persons incapacitated"),
    m(
        "rescue_min",
        "min",
        Ratio,
        Low,
        Read::Ratio(F::RescueMinutes, F::Rescues),
        "minutes from incapacitation to safe, per rescue",
    ),
    m(
        "rescue_late",
        "",
        Count,
        Low,
        of(F::RescueLate),
        "persons doffed after their treatment limit",
    ),
    m(
        "haven_demands",
        "",
        Count,
        Neither,
        of(F::HavenDemands),
        "times a person lived on suit supply and needed a haven",
    ),
    m("haven_planned", "", Count, High, of(F::HavenPlanned), "demands met by planned ingress"),
    m("haven_way_back", "", Count, Neither, of(F::HavenWayBack), "demands met by a way back"),
    rare(m(
        "haven_late",
        "",
        Count,
        Low,
        of(F::HavenLate),
        "demands met after life support had ended",
    )),
    rare(m("haven_missed", "", Count, Low, of(F::HavenMissed), "demands never met")),
    rare(m(
        "shut_in_h",
        "h",
        Sum,
        Low,
        of(F::ShutIn),
        "person hours in a filled chamber whose opening towards a cabin did not move",
    )),
    m(
        "haven_reached_fraction",
        "",
        Ratio,
        High,
        Read::Ratio(F::HavenReached, F::HavenDemands),
        "demands met in time over demands",
    ),
    m(
        "haven_margin_min",
        "min",
        Worst,
        High,
        of(F::Margin),
        "smallest life support left when safe, planned ingress",
    ),
    m(
        "haven_margin_contingency_min",
        "min",
        Worst,
        High,
        of(F::MarginContingency),
        "smallest life support left when safe by a way back; a miss ranks below every number",
    ),
    rare(m(
        "campaign_haven_missed",
        "",
        Flag,
        Low,
        of(F::CampaignHavenMissed),
        "1 if anybody was late or missed; its mean is the campaign probability",
    )),
    m(
        "campaign_cut_short",
        "",
        Flag,
        Low,
        of(F::CampaignCutShort),
        "1 if the campaign ended before its planned day",
    ),
    m("campaign_length_d", "d", Sum, High, of(F::CampaignLength), "days played"),
    m(
        "system_mass_kg",
        "kg",
        Sum,
        Low,
        of(F::SystemMass),
        "equivalent system mass: hardware, volume, power, gas and water with tanks, spares, crew time",
    ),
    m(
        "system_mass_per_eva_hour_kg",
        "kg",
        Ratio,
        Low,
        Read::Ratio(F::SystemMass, F::EvaDone),
        "equivalent system mass over crew-hours outside done",
    ),
];

impl Measure {
    /// Factor that makes less better: -1 where more is.
    pub fn sense(&self) -> f64 {
        if self.better == Better::High { -1.0 } else { 1.0 }
    }

    /// Dimension of its unit, and the unit in SI.
    pub fn dimension(&self) -> (Dimension, f64) {
        match self.unit {
            "kg" => (Dimension::Mass, 1.0),
            "g" => (Dimension::Mass, 1e-3),
            "h" => (Dimension::Time, 3600.0),
            "min" => (Dimension::Time, 60.0),
            "d" => (Dimension::Time, 86_400.0),
            "mg/m3" => (Dimension::Density, 1e-6),
            _ => (Dimension::Pure, 1.0),
        }
    }
}

/// A measure by name.
pub fn measure(name: &str) -> Option<&'static Measure> {
    MEASURES.iter().find(|m| m.name == name)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_unique_and_end_in_their_unit() {
        for (i, a) in MEASURES.iter().enumerate() {
            assert!(!a.doc.is_empty());
            assert!(MEASURES[..i].iter().all(|b| b.name != a.name), "{}", a.name);
            let unit = a.unit.replace('/', "_");
            assert!(a.unit.is_empty() || a.name.ends_with(&format!("_{unit}")), "{}", a.name);
            let pure = a.dimension().0 == Dimension::Pure;
            assert_eq!(pure, ["", "cfu"].contains(&a.unit), "{}: unit without dimension", a.name);
        }
    }

    #[test]
    fn absent_is_not_zero() {
        let mut f = Facts::default();
        f.absent |= 1 << Fact::Margin as u32;
        assert_eq!(f.get(Fact::Margin), None);
        assert_eq!(f.get(Fact::SortiesDone), Some(0.0));
        assert_eq!(f.read(measure("rescue_min").unwrap()), None);
    }
}

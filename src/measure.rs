//! Registry of measures: name, title, unit, meaning, how read from the facts of a campaign. CSV headers,
//! `vestibule list measures` and the documentation come from [`MEASURES`].

mod facts;
pub mod glossary;

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
    /// What people read in its place: a few words, without the unit.
    pub title: &'static str,
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
    title: &'static str,
    unit: &'static str,
    kind: Kind,
    better: Better,
    read: Read,
    doc: &'static str,
) -> Measure {
    Measure { name, title, unit, doc, read, kind, better, rare: false }
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
        "gas lost",
        "kg",
        Sum,
        Low,
        of(F::GasLost),
        "gas lost to outside, all causes, breathed gas excluded",
    ),
    m(
        "oxygen_used_kg",
        "oxygen used",
        "kg",
        Sum,
        Low,
        of(F::OxygenUsed),
        "oxygen lost and breathed in suits",
    ),
    m("nitrogen_used_kg", "nitrogen used", "kg", Sum, Low, of(F::NitrogenUsed), "nitrogen lost"),
    m(
        "water_used_kg",
        "cooling water used",
        "kg",
        Sum,
        Low,
        of(F::WaterUsed),
        "cooling water evaporated by suits",
    ),
    m(
        "gas_lost_per_sortie_kg",
        "gas lost per sortie",
        "kg",
        Ratio,
        Low,
        Read::Ratio(F::GasLostPlanned, F::SortiesDone),
        "gas lost in planned cycles and planned service cycles, divided by sorties done",
    ),
    m(
        "gas_lost_per_eva_hour_kg",
        "gas lost per EVA crew-hour",
        "kg",
        Ratio,
        Low,
        Read::Ratio(F::GasLost, F::EvaDone),
        "gas lost to outside, all causes, divided by EVA crew-hours done, so that sorties not \
        done do not make an architecture look economical",
    ),
    m(
        "gas_vented_contingency_kg",
        "gas vented by contingency ingress",
        "kg",
        Sum,
        Low,
        of(F::GasVentedContingency),
        "gas vented in contingency ingress, in restoring pressure after it and in returning home",
    ),
    m(
        "air_vented_outside_kg",
        "cabin air vented outside",
        "kg",
        Sum,
        Low,
        of(F::AirVented),
        "vented cabin air and suit gas, seal leaks excluded",
    ),
    m(
        "air_vented_outside_per_sortie_kg",
        "cabin air vented outside per sortie",
        "kg",
        Ratio,
        Low,
        Read::Ratio(F::AirVentedPlanned, F::SortiesDone),
        "the same for planned cycles, divided by sorties done",
    ),
    m(
        "bioburden_vented_cfu",
        "bioburden vented",
        "cfu",
        Sum,
        Low,
        of(F::Bioburden),
        "vented cabin air by volume times the bioburden of cabin air",
    ),
    m(
        "bioburden_vented_per_sortie_cfu",
        "bioburden vented per sortie",
        "cfu",
        Ratio,
        Low,
        Read::Ratio(F::BioburdenPlanned, F::SortiesDone),
        "the same for planned cycles, divided by sorties done",
    ),
    m(
        "bioburden_over_limit",
        "P(bioburden limit exceeded)",
        "",
        Flag,
        Low,
        of(F::BioburdenOver),
        "1 if the campaign vents more bioburden than the limit for the Moon or Mars",
    ),
    m(
        "prebreathe_ratio_max",
        "highest tissue N2 ratio at egress",
        "",
        Worst,
        Low,
        of(F::PrebreatheRatioMax),
        "highest tissue N2 / suit pressure at the start of any sortie",
    ),
    m(
        "dust_to_cabin_g",
        "dust into cabins",
        "g",
        Sum,
        Low,
        of(F::DustToCabin),
        "dust carried into cabins",
    ),
    m(
        "dust_in_lock_g",
        "dust into locks",
        "g",
        Sum,
        Neither,
        of(F::DustInLock),
        "dust carried into volumes of locks",
    ),
    m(
        "dust_filter_load_g",
        "dust held by filters",
        "g",
        Sum,
        Low,
        of(F::DustFilter),
        "fine dust held by cabin and lock filters",
    ),
    m(
        "dust_average_max_mg_m3",
        "highest 24 h dust average",
        "mg/m3",
        Worst,
        Low,
        of(F::DustAverageMax),
        "highest 24-hour average below 10 um of any crew member (rule 28 defines the windows)",
    ),
    m(
        "dust_peak_mg_m3",
        "peak dust concentration",
        "mg/m3",
        Worst,
        Low,
        of(F::DustPeak),
        "highest concentration below 10 um breathed by any crew member",
    ),
    m(
        "dust_over_peak_limit",
        "P(peak dust limit exceeded)",
        "",
        Flag,
        Low,
        of(F::DustOverPeak),
        "1 if any crew member breathed more than the peak limit for the Moon or Mars",
    ),
    m(
        "dust_over_limit_h",
        "time above the dust limit",
        "h",
        Sum,
        Low,
        of(F::DustOverLimit),
        "hours above the limit, for the most exposed crew member",
    ),
    m(
        "dust_break_even_fraction",
        "break-even dust transfer fraction",
        "",
        Worst,
        High,
        of(F::DustBreakEven),
        "share of the fine dust on suits at the door that may come in each time so that the worst \
         24 h in a cabin just meet the limit",
    ),
    m(
        "sorties_planned",
        "sorties planned",
        "",
        Count,
        Neither,
        of(F::SortiesPlanned),
        "sorties planned",
    ),
    m(
        "sorties_done",
        "sorties done",
        "",
        Count,
        High,
        of(F::SortiesDone),
        "sorties done, those cut short included",
    ),
    m(
        "sorties_cancelled",
        "sorties cancelled",
        "",
        Count,
        Low,
        of(F::SortiesCancelled),
        "sorties cancelled",
    ),
    m(
        "sorties_cut_short",
        "sorties cut short",
        "",
        Count,
        Low,
        of(F::SortiesCutShort),
        "sorties done in which an event ended work early",
    ),
    m(
        "sorties_limited",
        "sorties limited by the plan",
        "",
        Count,
        Low,
        of(F::SortiesLimited),
        "sorties done whose work time was limited by consumables, duty day, daylight or week",
    ),
    m(
        "eva_planned_h",
        "EVA crew-hours planned",
        "h",
        Sum,
        Neither,
        of(F::EvaPlanned),
        "EVA crew-hours planned",
    ),
    m(
        "eva_done_h",
        "EVA crew-hours done",
        "h",
        Sum,
        High,
        of(F::EvaDone),
        "EVA crew-hours done, at most those planned",
    ),
    m(
        "eva_lost_h",
        "EVA crew-hours lost",
        "h",
        Sum,
        Low,
        of(F::EvaLost),
        "EVA crew-hours planned and not done",
    ),
    m(
        "eva_limited_h",
        "EVA crew-hours lost to limits of the plan",
        "h",
        Sum,
        Low,
        of(F::EvaLimited),
        "EVA crew-hours lost because the plan asks more than suit, day, daylight or task allow",
    ),
    m(
        "eva_failed_h",
        "EVA crew-hours lost to events and failures",
        "h",
        Sum,
        Low,
        of(F::EvaFailed),
        "EVA crew-hours lost to events, failures and cancelled sorties",
    ),
    m(
        "eva_done_fraction",
        "share of EVA crew-hours done",
        "",
        Ratio,
        High,
        Read::Ratio(F::EvaDone, F::EvaPlanned),
        "EVA crew-hours done, divided by EVA crew-hours planned",
    ),
    m(
        "overhead_h",
        "EVA overhead (crew time)",
        "h",
        Sum,
        Low,
        of(F::Overhead),
        "crew time from the first egress step to the last ingress step, less EVA crew-hours",
    ),
    m(
        "overhead_per_sortie_min",
        "EVA overhead per sortie (crew time)",
        "min",
        Ratio,
        Low,
        Read::Ratio(F::OverheadMinutes, F::SortiesDone),
        "crew-minutes of overhead per sortie done",
    ),
    m(
        "door_to_door_min",
        "EVA overhead (elapsed)",
        "min",
        Ratio,
        Low,
        Read::Ratio(F::DoorToDoor, F::SortiesDone),
        "elapsed time of all egress and ingress steps per sortie done, work and travel excluded",
    ),
    m(
        "upkeep_h",
        "maintenance crew-hours",
        "h",
        Sum,
        Low,
        of(F::Upkeep),
        "crew-hours for repair, inspection, cleaning and suit maintenance",
    ),
    m("spares_used", "spares used", "", Count, Low, of(F::SparesUsed), "spare parts used"),
    m(
        "hatch_failures",
        "hatch failures",
        "",
        Count,
        Low,
        of(F::HatchFailures),
        "failures of hatches, doors, valves and suit interfaces, detected or not",
    ),
    m(
        "seal_failures",
        "seal failures",
        "",
        Count,
        Low,
        of(F::SealFailures),
        "seal leaks, detected or not",
    ),
    m(
        "pump_failures",
        "pump failures",
        "",
        Count,
        Low,
        of(F::PumpFailures),
        "pump failures, detected or not",
    ),
    m(
        "suit_failures",
        "suit failures",
        "",
        Count,
        Low,
        of(F::SuitFailures),
        "suit failures, detected or not",
    ),
    m(
        "incapacitations",
        "crew incapacitated",
        "",
        Count,
        Low,
        of(F::Incapacitations),
        "persons incapacitated",
    ),
    m(
        "rescue_min",
        "time to rescue",
        "min",
        Ratio,
        Low,
        Read::Ratio(F::RescueMinutes, F::Rescues),
        "time from incapacitation to a safe haven, per rescue",
    ),
    m(
        "rescue_late",
        "rescues after the treatment limit",
        "",
        Count,
        Low,
        of(F::RescueLate),
        "persons out of the suit only after their treatment limit",
    ),
    m(
        "haven_demands",
        "safe haven demands",
        "",
        Count,
        Neither,
        of(F::HavenDemands),
        "times a person outside depended on suit consumables and needed a safe haven",
    ),
    m(
        "haven_planned",
        "persons safe by planned ingress",
        "",
        Count,
        High,
        of(F::HavenPlanned),
        "safe haven demands met by planned ingress",
    ),
    m(
        "haven_way_back",
        "persons safe by contingency ingress",
        "",
        Count,
        Neither,
        of(F::HavenWayBack),
        "safe haven demands met by contingency ingress",
    ),
    rare(m(
        "haven_late",
        "safe haven reached after life support ended",
        "",
        Count,
        Low,
        of(F::HavenLate),
        "safe haven demands met after life support ended",
    )),
    rare(m(
        "haven_missed",
        "safe haven not reached",
        "",
        Count,
        Low,
        of(F::HavenMissed),
        "safe haven demands never met",
    )),
    rare(m(
        "shut_in_h",
        "crew-hours shut in",
        "h",
        Sum,
        Low,
        of(F::ShutIn),
        "crew-hours in a pressurised volume from which no hatch opens towards a cabin",
    )),
    m(
        "haven_reached_fraction",
        "share of safe havens reached in time",
        "",
        Ratio,
        High,
        Read::Ratio(F::HavenReached, F::HavenDemands),
        "safe haven demands met in time, divided by all demands",
    ),
    m(
        "haven_margin_min",
        "minimum consumables margin, planned ingress",
        "min",
        Worst,
        High,
        of(F::Margin),
        "least consumables remaining when safe by planned ingress, as time",
    ),
    m(
        "haven_margin_contingency_min",
        "minimum consumables margin, contingency ingress",
        "min",
        Worst,
        High,
        of(F::MarginContingency),
        "least consumables remaining when safe by contingency ingress, as time; a safe haven not \
         reached ranks below every number",
    ),
    rare(m(
        "campaign_haven_missed",
        "P(safe haven not reached in time)",
        "",
        Flag,
        Low,
        of(F::CampaignHavenMissed),
        "1 if anybody reached a safe haven after life support ended, or none at all; its mean is the \
         probability per campaign",
    )),
    m(
        "campaign_cut_short",
        "P(campaign cut short)",
        "",
        Flag,
        Low,
        of(F::CampaignCutShort),
        "1 if the campaign ended before its planned day",
    ),
    m("campaign_length_d", "campaign length", "d", Sum, High, of(F::CampaignLength), "days played"),
    m(
        "system_mass_kg",
        "equivalent system mass",
        "kg",
        Sum,
        Low,
        of(F::SystemMass),
        "equivalent system mass: hardware, volume, power, gas and water with tanks, spares, crew time",
    ),
    m(
        "system_mass_per_eva_hour_kg",
        "equivalent system mass per EVA crew-hour",
        "kg",
        Ratio,
        Low,
        Read::Ratio(F::SystemMass, F::EvaDone),
        "equivalent system mass, divided by EVA crew-hours done",
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

    /// Is it a share, which people read in per cent?
    pub fn is_share(&self) -> bool {
        self.kind == Kind::Flag || self.name.ends_with("_fraction")
    }

    /// Unit in which people read it: per cent for shares.
    pub fn shown_unit(&self) -> &'static str {
        if self.is_share() { "%" } else { self.unit }
    }

    /// Its title with the unit in which people read it: "gas lost, kg".
    pub fn heading(&self) -> String {
        match self.shown_unit() {
            "" => self.title.into(),
            unit => format!("{}, {unit}", self.title),
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

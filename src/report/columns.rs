//! Columns of every result file: name, type, unit and meaning. Headers come from here, and so can a
//! description of the files for other programs.

mod sweep;
mod value;

pub use sweep::{CROSSINGS, SENSITIVITY, SWEEP};
pub use value::VALUE;

use crate::measure::{Kind, MEASURES};

/// What the cells of a column hold.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Holds {
    /// Text.
    Text,
    /// A whole number.
    Whole,
    /// A number.
    Number,
}

/// One column. An empty cell means "not estimable" (or, in `campaigns.csv`, "no value").
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Column {
    /// Name in the header.
    pub name: &'static str,
    /// What its cells hold.
    pub holds: Holds,
    /// Unit; empty for text, counts and shares. `unit` stands for "the unit named in the row".
    pub unit: &'static str,
    /// What it means.
    pub meaning: &'static str,
}

const fn text(name: &'static str, meaning: &'static str) -> Column {
    Column { name, holds: Holds::Text, unit: "", meaning }
}

const fn whole(name: &'static str, meaning: &'static str) -> Column {
    Column { name, holds: Holds::Whole, unit: "", meaning }
}

/// A number in the unit that its row names.
const fn number(name: &'static str, meaning: &'static str) -> Column {
    Column { name, holds: Holds::Number, unit: "unit", meaning }
}

/// A number in the unit of the measure that its row names.
const fn of_measure(name: &'static str, meaning: &'static str) -> Column {
    Column { name, holds: Holds::Number, unit: "that of the measure", meaning }
}

/// A number without unit.
const fn pure(name: &'static str, meaning: &'static str) -> Column {
    Column { name, holds: Holds::Number, unit: "", meaning }
}

const fn days(name: &'static str, meaning: &'static str) -> Column {
    Column { name, holds: Holds::Number, unit: "d", meaning }
}

const fn kilograms(name: &'static str, meaning: &'static str) -> Column {
    Column { name, holds: Holds::Number, unit: "kg", meaning }
}

const ARCHITECTURE: Column = text("architecture", "name of the architecture");
const REFERENCE: Column = text("reference", "the architecture of the pair earlier in the file");
const MEASURE: Column = text("measure", "name of the measure");
const UNIT: Column = text("unit", "unit of the numbers of this row; empty for counts and shares");
const CAMPAIGNS: Column = whole("campaigns", "campaigns played");
const MEAN: Column = number("mean", "mean over campaigns, or ratio of sums");
const LOW: Column = number("mean_low95", "lower limit of the 95 % interval of the mean");
const HIGH: Column = number("mean_high95", "upper limit of the 95 % interval of the mean");
const N_USED: Column =
    whole("n_used", "campaigns that went into the estimate; with an outer loop: parameter sets");
const METHOD: Column = text("method", "how the interval was computed");
const NOTE: Column = text("note", "why a cell is empty, or what else the reader must know");

/// `summary.csv`
pub const SUMMARY: &[Column] = &[
    ARCHITECTURE,
    MEASURE,
    UNIT,
    CAMPAIGNS,
    MEAN,
    LOW,
    HIGH,
    number("sd", "standard deviation between campaigns"),
    number("p05", "5 % quantile of campaigns"),
    number("p50", "median of campaigns"),
    number("p95", "95 % quantile of campaigns"),
    number("p99", "99 % quantile of campaigns"),
    number("min", "smallest of any campaign"),
    number("max", "largest of any campaign"),
    number("p50_low95", "lower limit of the 95 % interval of the median"),
    number("p50_high95", "upper limit of the 95 % interval of the median"),
    number("p95_low95", "lower limit of the 95 % interval of the 95 % quantile"),
    number("p95_high95", "upper limit of the 95 % interval of the 95 % quantile"),
    number("p99_low95", "lower limit of the 95 % interval of the 99 % quantile"),
    number("p99_high95", "upper limit of the 95 % interval of the 99 % quantile"),
    N_USED,
    METHOD,
    NOTE,
];

/// `compare.csv`
pub const COMPARE: &[Column] = &[
    ARCHITECTURE,
    REFERENCE,
    MEASURE,
    UNIT,
    number("difference", "architecture less reference on common random numbers, mean"),
    number("difference_low95", "lower limit of the 95 % interval of the difference"),
    number("difference_high95", "upper limit of the 95 % interval of the difference"),
    pure("ratio", "mean of the architecture over that of the reference; empty where that may be 0"),
    pure("ratio_low95", "lower limit of the 95 % interval of the ratio"),
    pure("ratio_high95", "upper limit of the 95 % interval of the ratio"),
    pure(
        "probability_lower",
        "share of campaigns in which the architecture is below the reference",
    ),
    pure("probability_equal", "share of campaigns in which both are equal"),
    pure("variance_reduction", "variance without common random numbers over variance with them"),
    N_USED,
    METHOD,
    NOTE,
];

/// `havens.csv`
pub const HAVENS: &[Column] = &[
    ARCHITECTURE,
    text(
        "outcome",
        "how a demand for a safe haven ended: planned; the name of a contingency ingress path; \
        `late`: reached after life support ended; `missed`: not reached",
    ),
    CAMPAIGNS,
    pure("demands", "demands that ended this way, over all campaigns"),
    pure("per_campaign", "demands that ended this way, per campaign"),
    pure("share", "share of all demands, ratio of sums"),
    pure("share_low95", "lower limit of the 95 % interval of the share, campaigns as clusters"),
    pure("share_high95", "upper limit of the 95 % interval of the share, campaigns as clusters"),
    N_USED,
    METHOD,
    NOTE,
];

/// `breakdown.csv`
pub const BREAKDOWN: &[Column] = &[
    ARCHITECTURE,
    text("quantity", "measure that is broken down"),
    text("cause", "what it is booked to; the causes of a quantity add up to it"),
    UNIT,
    CAMPAIGNS,
    MEAN,
    LOW,
    HIGH,
    N_USED,
    METHOD,
    NOTE,
];

/// `risk-curve.csv`
pub const RISK_CURVE: &[Column] = &[
    ARCHITECTURE,
    MEASURE,
    text("statistic", "mean, p05, p50, p95 of the risk over parameter sets; at most: the curve"),
    pure("x", "a risk: share of campaigns"),
    pure("x_low95", "lower limit of the 95 % interval of x; of `at most`: x, a value that was met"),
    pure(
        "x_high95",
        "upper limit of the 95 % interval of x; of `at most`: x, a value that was met",
    ),
    pure("probability", "share of parameter sets with a risk of at most x"),
    pure("probability_low95", "lower limit of its 95 % interval; of a quantile: chosen"),
    pure("probability_high95", "upper limit of its 95 % interval; of a quantile: chosen"),
    pure("noise_share", "share of the variance between sets that is only simulation noise"),
    whole("n_used", "parameter sets that went into the estimate"),
    METHOD,
    NOTE,
];

/// `distribution.csv`
pub const DISTRIBUTION: &[Column] = &[
    ARCHITECTURE,
    MEASURE,
    UNIT,
    number("low", "least value of the bin; empty: a safe haven not reached, see the note"),
    number("high", "end of the bin, which belongs to the next"),
    whole("count", "campaigns with a value in the bin"),
    N_USED,
    METHOD,
    NOTE,
];

/// `assumptions.csv`
pub const ASSUMPTIONS: &[Column] = &[
    text("file", "file as the campaign names it"),
    whole("line", "line, from 1"),
    text("key_path", "path of the entry"),
    text("value", "value as written, shortened; of an entry its keys with their values"),
    text("basis", "published, common practice, assumed, or not stated"),
    text("source", "where it comes from, as written"),
];

/// `drivers.csv`
pub const DRIVERS: &[Column] = &[
    ARCHITECTURE,
    text(
        "measure",
        "measure that it contributes to; haven_late: campaigns in which somebody \
        reached a safe haven after life support ended",
    ),
    text("item", "failure mode, common cause, hazard, contingency ingress path or redundant part"),
    text("kind", "kind of the item"),
    pure(
        "participation",
        "share of the outcome to which it contributes: it was needed, or would have been enough \
        alone (Fussell-Vesely)",
    ),
    pure("participation_low95", "lower limit of its 95 % interval"),
    pure("participation_high95", "upper limit of its 95 % interval"),
    pure(
        "removal",
        "net share of the outcome that would not occur if it never failed (Fussell-Vesely); of a \
        redundant part: if it were stuck from the first day and never repaired (negative: so \
        much more would occur)",
    ),
    pure("removal_low95", "lower limit of its 95 % interval"),
    pure("removal_high95", "upper limit of its 95 % interval"),
    pure(
        "achievement_next_demand",
        "outcome with it certain at its next demand, divided by the \
        outcome",
    ),
    pure("achievement_next_demand_low95", "lower limit of its 95 % interval"),
    pure("achievement_next_demand_high95", "upper limit of its 95 % interval"),
    pure(
        "birnbaum",
        "outcome with it certain at its next demand, less the outcome if it never \
        failed",
    ),
    pure("birnbaum_low95", "lower limit of its 95 % interval"),
    pure("birnbaum_high95", "upper limit of its 95 % interval"),
    N_USED,
    METHOD,
    NOTE,
];

/// `paths.csv`
pub const PATHS: &[Column] = &[
    ARCHITECTURE,
    text("outcome", "outcome that the paths led to"),
    text(
        "path",
        "contributors -> contingency ingress paths tried -> outcome; last rows: other paths, not \
        seen",
    ),
    whole("order", "how many failures, common causes and hazards contribute"),
    whole("count", "campaigns that ended this way"),
    pure("share", "share of the campaigns with the outcome"),
    pure("cumulative_share", "share of this and all more frequent paths"),
    whole("example_campaign", "the first such campaign, for replay"),
    N_USED,
    METHOD,
    NOTE,
];

/// `requirements.csv`
pub const REQUIREMENTS: &[Column] = &[
    ARCHITECTURE,
    text("limit", "name of the limit in the campaign file"),
    MEASURE,
    text(
        "statistic",
        "what is compared with the bound: the mean or a quantile \
        over campaigns",
    ),
    text("bound", "below or above, with number and unit, as the limit states it"),
    of_measure("estimate", "the statistic as estimated"),
    of_measure("low95", "lower limit of its 95 % interval"),
    of_measure("high95", "upper limit of its 95 % interval"),
    text("verdict", "met, not met, or undecided: the interval holds the bound"),
    whole(
        "campaigns_to_decide",
        "if undecided: about how many campaigns would decide it, if the estimate stays the same",
    ),
    N_USED,
    METHOD,
    NOTE,
];

/// `ranking.csv`
pub const RANKING: &[Column] = &[
    text("ranking", "name of the ranking in the campaign file; usual: the one that every run has"),
    ARCHITECTURE,
    text("basis", "what was compared: means, campaigns, parameter sets, or weighted totals"),
    text(
        "measures",
        "measures it uses, separated by spaces; of weighted totals with their \
        weights",
    ),
    whole(
        "not_beaten",
        "1: no other architecture is at least as good on all of them and better \
        on one",
    ),
    pure(
        "share",
        "share of resamples, campaigns, sets or weights in which it is non-dominated (or first)",
    ),
    pure("share_low95", "lower limit of its 95 % interval"),
    pure("share_high95", "upper limit of its 95 % interval"),
    pure("total", "weighted total, less is better; empty where the file gives no weights"),
    N_USED,
    METHOD,
    NOTE,
];

/// `mass.csv`
pub const MASS: &[Column] = &[
    ARCHITECTURE,
    text("part", "part that the mass belongs to; all: the sum"),
    Column { name: "mass_kg", holds: Holds::Number, unit: "kg", meaning: "mean over campaigns" },
    Column {
        name: "volume_m3",
        holds: Holds::Number,
        unit: "m3",
        meaning: "outfitting volume behind it, mean over campaigns",
    },
    text("basis", "how it was computed: which factor, and its source"),
    N_USED,
    METHOD,
    NOTE,
];

/// `breakeven.csv`
pub const BREAKEVEN: &[Column] = &[
    ARCHITECTURE,
    REFERENCE,
    days("length_d", "campaign length at which both have the same equivalent system mass"),
    days("length_d_low95", "lower limit of its 95 % interval"),
    days("length_d_high95", "upper limit of its 95 % interval"),
    kilograms("at_start_kg", "difference before the first day: hardware, volume, power"),
    Column {
        name: "per_day_kg_d",
        holds: Holds::Number,
        unit: "kg/d",
        meaning: "difference of what each day adds: gas, spares, crew time",
    },
    Column {
        name: "per_day_kg_d_low95",
        holds: Holds::Number,
        unit: "kg/d",
        meaning: "lower limit of its 95 % interval",
    },
    Column {
        name: "per_day_kg_d_high95",
        holds: Holds::Number,
        unit: "kg/d",
        meaning: "upper limit of its 95 % interval",
    },
    N_USED,
    METHOD,
    NOTE,
];

/// `complexity.csv`
pub const COMPLEXITY: &[Column] = &[
    ARCHITECTURE,
    text("port", "port; all: the whole architecture"),
    text("item", "item that is counted"),
    number("count", "count or amount"),
    UNIT,
    N_USED,
    METHOD,
    NOTE,
];

/// `findings.csv`
pub const FINDINGS: &[Column] = &[
    text("architecture", "architecture that it applies to; empty: all"),
    text("severity", "error, warning or info"),
    text("rule", "name of the rule, see `vestibule list rules`"),
    text("file", "file as the campaign names it"),
    whole("line", "line, from 1; 0: the file as a whole"),
    whole("column", "column, from 1; 0: the file as a whole"),
    text("key_path", "path of the key"),
    text("value", "value found there"),
    text("what", "what was found"),
    text("why", "the rule that it breaks"),
    text("remedy", "what to do about it"),
];

/// `campaigns.csv`: one column for each measure, and why the margin of a way back is no number.
pub fn campaigns() -> Vec<Column> {
    let measures = MEASURES.iter().map(|m| {
        let whole = matches!(m.kind, Kind::Count | Kind::Flag);
        let holds = if whole { Holds::Whole } else { Holds::Number };
        Column { name: m.name, holds, unit: m.unit, meaning: m.doc }
    });
    let campaign = whole("campaign", "number of the campaign, from 0");
    let note = text(
        "haven_margin_contingency_note",
        "why that margin is no number: `missed` ranks below every number",
    );
    [ARCHITECTURE, campaign].into_iter().chain(measures).chain([note]).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn header(columns: &[Column]) -> String {
        columns.iter().map(|c| c.name).collect::<Vec<_>>().join(",")
    }

    /// Others read these files: the headers are fixed.
    #[test]
    fn headers_are_fixed() {
        assert_eq!(
            header(SUMMARY),
            "architecture,measure,unit,campaigns,mean,mean_low95,mean_high95,sd,p05,p50,p95,p99,\
             min,max,p50_low95,p50_high95,p95_low95,p95_high95,p99_low95,p99_high95,\
             n_used,method,note"
        );
        assert_eq!(
            header(COMPARE),
            "architecture,reference,measure,unit,difference,difference_low95,difference_high95,\
             ratio,ratio_low95,ratio_high95,probability_lower,probability_equal,\
             variance_reduction,n_used,method,note"
        );
        assert_eq!(
            header(HAVENS),
            "architecture,outcome,campaigns,demands,per_campaign,share,share_low95,share_high95,\
             n_used,method,note"
        );
        assert_eq!(
            header(BREAKDOWN),
            "architecture,quantity,cause,unit,campaigns,mean,mean_low95,mean_high95,\
             n_used,method,note"
        );
        assert_eq!(
            header(RISK_CURVE),
            "architecture,measure,statistic,x,x_low95,x_high95,probability,probability_low95,\
             probability_high95,noise_share,n_used,method,note"
        );
        assert_eq!(
            header(DISTRIBUTION),
            "architecture,measure,unit,low,high,count,n_used,method,note"
        );
        assert_eq!(header(ASSUMPTIONS), "file,line,key_path,value,basis,source");
        assert_eq!(
            header(FINDINGS),
            "architecture,severity,rule,file,line,column,key_path,value,what,why,remedy"
        );
        assert_eq!(
            header(REQUIREMENTS),
            "architecture,limit,measure,statistic,bound,estimate,low95,high95,verdict,\
             campaigns_to_decide,n_used,method,note"
        );
        assert_eq!(header(MASS), "architecture,part,mass_kg,volume_m3,basis,n_used,method,note");
        assert_eq!(header(COMPLEXITY), "architecture,port,item,count,unit,n_used,method,note");
        assert!(header(&campaigns()).starts_with("architecture,campaign,gas_lost_kg,"));
    }

    #[test]
    fn headers_of_studies_are_fixed() {
        assert_eq!(
            header(SENSITIVITY),
            "analysis,factor,architecture,reference,measure,scale,index,unit,value,low95,high95,\
             simulation_noise,rank,n_used,method,note"
        );
        assert_eq!(
            header(CROSSINGS),
            "architecture,reference,measure,factor,held,unit,crossing,low95,high95,below,above,\
             n_used,method,note"
        );
        assert_eq!(
            header(VALUE),
            "decision,known,item,parameters,chosen,instead,unit,value,low95,high95,\
             simulation_noise,share_of_perfect,changes,rank,verdict,n_used,method,note"
        );
    }

    #[test]
    fn every_column_has_its_own_name_and_a_meaning() {
        for columns in crate::report::files::FILES.iter().map(|f| f.columns()) {
            for (i, c) in columns.iter().enumerate() {
                assert!(!c.meaning.is_empty(), "{}", c.name);
                assert!(columns[..i].iter().all(|o| o.name != c.name), "{} twice", c.name);
            }
        }
    }
}

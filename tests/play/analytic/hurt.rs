//! Persons hurt outside and early returns, against formulas.

use super::played::*;
use crate::support::{Case, value};
use vestibule::outcome::Outcome;

/// Minutes to safety with a casualty: the base list skips brushing the one who is hurt.
const HURT_TO_SAFE: f64 = TO_SAFE - 5.0;

pub fn hurt(when: &str, law: &str, more: &str) -> String {
    let more = format!("severity = \"must be carried\"\n{more}");
    mode("hurt", "crew", when, law, "crew incapacitated", &more)
}

/// Two persons, each hurt at a rate per hour from the end of egress until safe. The first to be
/// hurt before the 4 h are over brings the team in at once; the other stays exposed on the way in.
struct TwoOut {
    rate: f64,
    work: f64,
}

impl TwoOut {
    /// The first is hurt within `end` h.
    fn first(&self, end: f64) -> f64 {
        1.0 - (-2.0 * self.rate * end).exp()
    }
    /// Both are hurt, where the exposure of the second ends `way` h after a first during work, and
    /// at `end` h if the first is hurt on the planned way in.
    fn both(&self, way: f64, end: f64) -> f64 {
        let e = |h: f64| (-self.rate * h).exp();
        let at_work = self.first(self.work) * (1.0 - e(way));
        let coming_in = e(2.0 * self.work) - e(2.0 * end) - 2.0 * e(end) * (e(self.work) - e(end));
        at_work + coming_in
    }
}

#[test]
fn hurt_per_hour_outside() {
    let (rate, n) = (0.1, 6000);
    let m =
        one_sortie().add(&hurt("per hour outside", &format!("rate = \"{rate} /h\""), "")).model();
    let out = TwoOut { rate, work: 4.0 };
    let h = 1.0 / 60.0;
    let end = 4.0 + TO_SAFE * h;
    let persons = out.first(end) + out.both(HURT_TO_SAFE * h, end);
    within(&sample(&m, 0, n, |o| value(o, "incapacitations")), persons, "incapacitations");
    // Nobody is able any more before the row `repress` begins: missed when the clocks end.
    let fill = 6.0;
    let risk = out.both((HURT_TO_SAFE - fill) * h, end - fill * h);
    share(&sample(&m, 0, n, |o| value(o, "campaign_haven_missed")), risk, "nobody able");
    within(&sample(&m, 0, n, |o| value(o, "haven_missed")), 2.0 * risk, "missed");
}

const PASS: &str = "{ action = \"pass\", on = \"outer\", each = \"in turn\", \
     takes = \"2 min\" },\n  { action = \"close\", on = \"outer\", takes = \"4 min\" }";

/// The base with a law for a casualty on the pass through the outer hatch, inward.
fn with_law(case: Case, law: &str) -> Case {
    let pass = PASS.replace("\"2 min\" }", &format!("\"2 min\", incapacitated = {law} }}"));
    case.patch_access(PASS, &pass)
}

/// Hurt at a moment uniform over the hours outside, 1 km from the door: the partner pulls the
/// casualty back from where they are by then.
#[test]
fn the_partner_brings_the_casualty_back() {
    let m = one_sortie()
        .patch("walk_speed = \"4 km/h\"", "walk_speed = \"4 km/h\"\nlift = \"5 min\"")
        .patch("dust = \"50 g\"", "dust = \"50 g\"\ndistance = \"1 km\"")
        .add(&hurt("per sortie", "probability = 1", ""))
        .model();
    // Walking out a quarter of an hour, at work 4 h at 1 km, walking back a quarter.
    let (way, work) = (0.25, 4.0);
    let far = 1.0 * (work + way) / (work + 2.0 * way);
    let want = 5.0 + far / 1.2 * 60.0 + HURT_TO_SAFE;
    let minutes = sample(&m, 0, 2000, |o| value(o, "rescue_min"));
    within(&minutes, want, "minutes to safety");
    assert!(minutes.iter().all(|x| *x >= HURT_TO_SAFE + 5.0 && *x <= 5.0 + 50.0 + HURT_TO_SAFE));
}

/// `takes` replaces the casualty's share of a row, `adds` adds to it, `times` multiplies it.
#[test]
fn laws_of_a_casualty_on_a_row() {
    let laws = [
        ("{ takes = \"10 min\" }", 10.0),
        ("{ adds = \"3 min\" }", 2.0 + 3.0),
        ("{ times = 4 }", 2.0 * 4.0),
        ("\"skip\"", 0.0),
    ];
    for (law, share) in laws {
        let m = with_law(one_sortie(), law).add(&hurt("per sortie", "probability = 1", "")).model();
        let o = first(&m);
        assert_eq!(value(&o, "incapacitations"), 1.0);
        near(value(&o, "rescue_min"), 5.0 + 2.0 + (2.0 + share) + 4.0 + 6.0, law);
        assert_eq!(value(&o, "haven_planned"), 2.0, "{law}");
    }
}

/// With chance 1 - P the casualty is not brought through: list and campaign end for both.
#[test]
fn a_casualty_who_is_not_brought_through() {
    let (p, through, n) = (0.3, 0.8, 4000);
    let law = format!("{{ takes = \"10 min\", probability = {through} }}");
    let m = with_law(Case::whole(), &law)
        .add(&hurt("per sortie", &format!("probability = {p}"), "off_duty = \"1 min\""))
        .model();
    let miss = p * (1.0 - through);
    let risk = 1.0 - (1.0f64 - miss).powi(SORTIES);
    share(&sample(&m, 0, n, |o| value(o, "campaign_haven_missed")), risk, "risk");
    let played: f64 = (0..SORTIES).map(|k| (1.0 - miss).powi(k)).sum();
    within(&sample(&m, 0, n, |o| value(o, "incapacitations")), p * played, "incapacitations");
    within(&sample(&m, 0, n, |o| value(o, "haven_missed")), 2.0 * miss * played, "missed");
    let rescue = |o: &Outcome| match vestibule::measure::measure("rescue_min") {
        Some(m) => o.facts.read(m).unwrap_or(29.0),
        None => unreachable!(),
    };
    let all = sample(&m, 0, 300, rescue);
    assert!(all.iter().all(|x| (x - 29.0).abs() < 1e-6), "5 + 2 + 12 + 4 + 6 min whenever met");
}

/// Treatment is counted from the moment to doffing, a quarter of an hour after safety.
#[test]
fn treated_in_time_or_late() {
    for (limit, late) in [(HURT_TO_SAFE + 16.0, 0.0), (HURT_TO_SAFE + 14.0, 1.0)] {
        let more = format!("treatment = \"{limit} min\"");
        let m = one_sortie().add(&hurt("per sortie", "probability = 1", &more)).model();
        assert_eq!(value(&first(&m), "rescue_late"), late, "limit {limit} min");
    }
}

/// 14 d off duty from the end of ingress: of the slots every 3.5 d the next four are cancelled.
#[test]
fn away_for_two_weeks() {
    let m = Case::whole().add(&hurt("per sortie", "probability = 1", "")).model();
    for i in 0..20 {
        let o = crate::support::play(&m, i);
        identities(&o, "away");
        assert_eq!(value(&o, "sorties_done"), 2.0);
        assert_eq!(value(&o, "sorties_cancelled"), 7.0);
        near(lost_to(&m, 0, &o, "hurt"), value(&o, "eva_lost_h"), "all lost to the accident");
    }
    let good = hurt("per sortie", "probability = 1", "off_duty = \"for good\"");
    let o = first(&Case::whole().add(&good).model());
    assert_eq!(value(&o, "sorties_done"), 1.0);
}

/// Called back at a moment uniform over 4 h of work and the walk, 1 km each way at 4 km/h. Outside
/// lasts twice the time so far while walking out, until now and a quarter of an hour while at
/// work, and as planned on the way back.
#[test]
fn called_back_at_a_uniform_moment() {
    let (p, way, work) = (0.4, 0.25, 4.0);
    let m = Case::whole()
        .patch("dust = \"50 g\"", "dust = \"50 g\"\ndistance = \"1 km\"")
        .add(&mode("fault", "suit", "per sortie", &format!("probability = {p}"), "return now", ""))
        .model();
    let all: f64 = work + 2.0 * way;
    let lost = (all * way - way * way + work * work / 2.0) / all;
    let n = f64::from(SORTIES);
    let lost_h = sample(&m, 0, 3000, |o| value(o, "eva_lost_h"));
    within(&lost_h, n * p * 2.0 * lost, "hours lost");
    // On the way back as planned there is no work left to end.
    let cut = n * p * (1.0 - way / all);
    within(&sample(&m, 0, 3000, |o| value(o, "sorties_cut_short")), cut, "cut short");
    within(&sample(&m, 0, 3000, |o| value(o, "suit_failures")), n * p, "suit faults");
    near(value(&first(&m), "eva_planned_h"), n * 2.0 * all, "planned with the walk");
    let named = |o: &Outcome| lost_to(&m, 0, o, "fault") - value(o, "eva_lost_h");
    assert!(sample(&m, 0, 300, named).iter().all(|x| x.abs() < 1e-9));
}

/// A fault that makes the suit unusable and is never repaired: back early, and no sortie after it.
#[test]
fn a_suit_that_cannot_be_used_again() {
    let fault = mode("torn", "suit", "per sortie", "probability = 1", "suit unusable", "");
    let m = Case::whole().add(&fault).model();
    let o = first(&m);
    assert_eq!(value(&o, "sorties_done"), 1.0);
    assert_eq!(value(&o, "suit_failures"), 1.0);
    assert_eq!(value(&o, "haven_planned"), 2.0);
    assert!(value(&o, "eva_done_h") < 8.0);
}

/// The partner hangs the casualty on a berth, comes in by the other and opens the casualty's hatches.
const FROM_INSIDE: &str = r#"
[list.way_back.from-inside]
from = "outside"
needs = ["casualty", "two berths free"]
rows = [
  { action = "mate", on = "interface", who = "casualty", takes = "20 min" },
  { action = "repress", on = "gap", who = "casualty", takes = "1 min" },
  { use = "ingress", who = "partner", until = "doff interface" },
  { action = "repress", on = "suit", who = "casualty", to = "cabin", takes = "1 min" },
  { action = "open", on = "port_hatch", who = "casualty", takes = "2 min" },
  { action = "open", on = "suit_hatch", who = "casualty", takes = "2 min" },
  { action = "doff", on = "interface", who = "casualty", takes = "12 min" },
]
after_rows = [
  { action = "close", on = "suit_hatch", each = "in turn", takes = "1 min" },
  { action = "close", on = "port_hatch", each = "in turn", takes = "1 min" },
]
"#;

/// Two of a team of two outside, nobody inside, one of them hurt at a pair of berths.
pub fn alone_at_the_berths() -> Case {
    berths()
        .patch("[\"Ada\", \"Ben\", \"Cleo\"]", "[\"Ada\", \"Ben\"]")
        .patch("height = \"2.2 m\"", "height = \"2.2 m\"\ninside_least = 0")
        .add(&hurt("per sortie", "probability = 1", ""))
}

/// Nobody opens the hatches of the berth for the casualty: the planned list never ends a demand, and
/// without rows of their own both are missed (rules I). With somebody inside it does.
#[test]
fn a_casualty_with_a_partner_alone_never_comes_in_as_planned() {
    let o = first(&alone_at_the_berths().model());
    assert_eq!((value(&o, "haven_planned"), value(&o, "haven_missed")), (0.0, 2.0));
    let o = first(&berths().add(&hurt("per sortie", "probability = 1", "")).model());
    assert_eq!((value(&o, "haven_planned"), value(&o, "haven_missed")), (2.0, 0.0));
}

/// Rows of their own: in minutes 20 + 1, the partner's 5 + 1 + 1 + 1 + 1 and doffing 4, then 1 + 2 + 2.
/// With one latch out of order there are no two berths, and both are missed.
#[test]
fn the_partner_opens_the_hatches_from_inside() {
    let bad = 0.5;
    let law = format!("probability = {bad}");
    let latch = mode("latch", "main.interface", "on mating", &law, "stuck open", "");
    let case = alone_at_the_berths()
        .patch("ways_back = []", "ways_back = [\"from-inside\"]")
        .add_access(FROM_INSIDE);
    let o = first(&case.model());
    assert_eq!(value(&o, "haven_way_back"), 2.0);
    near(value(&o, "rescue_min"), 21.0 + 9.0 + 4.0 + 5.0, "minutes to safety");
    let m = case.add(&latch).model();
    let missed = |o: &Outcome| {
        assert_eq!(value(o, "haven_planned"), 0.0);
        value(o, "campaign_haven_missed")
    };
    share(&sample(&m, 0, 1000, missed), 1.0 - (1.0 - bad) * (1.0 - bad), "either berth bad");
}

/// One suit torn by two modes as soon as it is out, with repairs of one law: the hours of one tell nothing of
/// the other's. The variance of their sum is twice that of one, 4 x 1/12 h2 each; within four standard errors sqrt(1.4 / n)
/// (2.4 is the kurtosis of a triangular law): false alarm 6.3e-5.
#[test]
fn repairs_of_two_modes_of_one_suit_do_not_share_luck() {
    let more = "repair = { takes = { low = \"1 h\", high = \"3 h\" }, crew = 1 }";
    let tear =
        |name| mode(name, "suit", "per hour outside", "rate = \"1e4 /h\"", "suit unusable", more);
    // A team of one: both modes strike the same suit.
    let m = one_sortie()
        .patch("team = 2", "team = 1")
        .patch("crew = [\"Ada\", \"Ben\"]", "crew = [\"Ada\"]")
        .patch("length = \"3 d\"", "length = \"5 d\"")
        .add(&tear("tear"))
        .add(&tear("crack"))
        .model();
    let n = 2000;
    let hours = sample(&m, 0, n, |o| value(o, "upkeep_h"));
    within(&hours, 4.0, "hours of two repairs");
    let mean = hours.iter().sum::<f64>() / n as f64;
    let variance = hours.iter().map(|x| (x - mean).powi(2)).sum::<f64>() / (n as f64 - 1.0);
    let want = 2.0 * 4.0 / 12.0;
    let z = (variance / want - 1.0) / (1.4 / n as f64).sqrt();
    assert!(z.abs() < 4.0, "variance {variance}, by law {want}, z {z:.2}");
}

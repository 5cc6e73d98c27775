//! Parts that fail, are found and repaired, against formulas of reliability: Weibull lives, hidden
//! failures, common cause, pumps, spares.

use super::played::*;
use crate::support::{Case, value};
use vestibule::outcome::Outcome;

fn failures(o: &Outcome) -> f64 {
    value(o, "hatch_failures")
}

/// Expected renewals in [0, t] of a Weibull life: m(t) = F(t) + integral of m(t - x) dF(x), by
/// sums over a fine grid (the two ends of each interval averaged).
fn renewals(life: f64, shape: f64, t: f64) -> f64 {
    const N: usize = 2000;
    let f = |i: usize| 1.0 - (-(t * i as f64 / N as f64 / life).powf(shape)).exp();
    let mut m = vec![0.0; N + 1];
    for k in 1..=N {
        let mut sum = f(k);
        // The first interval holds m(k) itself.
        for j in 2..=k {
            sum += (f(j) - f(j - 1)) * 0.5 * (m[k - j] + m[k - j + 1]);
        }
        let own = 0.5 * f(1);
        m[k] = (sum + own * m[k - 1]) / (1.0 - own);
    }
    m[N]
}

/// The inner hatch can always be mended from inside: a hatch to a chamber at vacuum would stay
/// struck, and what is struck does not age.
fn stiff(renews: &str) -> Case {
    let repair = format!("repair = {{ takes = \"1 s\", crew = 1, renews = \"{renews}\" }}");
    let law = "life = \"150 h\", shape = 2.2";
    Case::base().add(&mode("stiff", "main.inner", "per calendar hour", law, "slower", &repair))
}

/// Repaired as bad as old: a Poisson process with mean (T/life)^shape, so that its variance is the
/// same.
#[test]
fn weibull_by_the_calendar_as_bad_as_old() {
    let m = stiff("as bad as old").model();
    let mean = (720.0f64 / 150.0).powf(2.2);
    let counts = sample(&m, 0, 2000, failures);
    within(&counts, mean, "mean");
    let squares: Vec<f64> = counts.iter().map(|n| (n - mean) * (n - mean)).collect();
    within(&squares, mean, "variance");
}

/// Repaired as new: the renewal function.
#[test]
fn weibull_by_the_calendar_as_new() {
    let m = stiff("as new").model();
    let want = renewals(150.0, 2.2, 720.0);
    // Long-run check of the formula itself: t/mean - (1 - cv^2)/2 with Gamma(1 + 1/2.2) = 0.8856.
    let mean = 150.0 * 0.8856;
    assert!((want - (720.0 / mean - 0.5 * (1.0 - 0.2307))).abs() < 0.02, "{want}");
    within(&sample(&m, 0, 4000, failures), want, "renewals");
}

/// By cycles, one a sortie: the failing demand counts as a cycle (rule 29).
#[test]
fn weibull_by_cycles() {
    let (life, shape) = (20.0f64, 3.0);
    let case = |renews: &str| {
        let more = format!(
            "during = \"ingress\"\nrepair = {{ takes = \"1 min\", crew = 1, \
            renews = \"{renews}\" }}"
        );
        let law = format!("life = {life}, shape = {shape}");
        Case::base()
            .patch("length = \"30 d\"", "length = \"60 d\"")
            .patch("per_week = 2", "per_week = 7")
            .add(&mode("worn", "main.inner", "on opening", &law, "slower", &more))
            .model()
    };
    let n = 60;
    let hazard = |k: usize| (k as f64 / life).powf(shape);
    let minimal: f64 = (1..=n).map(|k| 1.0 - (hazard(k - 1) - hazard(k)).exp()).sum();
    within(&sample(&case("as bad as old"), 0, 1000, failures), minimal, "as bad as old");
    let first: Vec<f64> = (1..=n).map(|k| (-hazard(k - 1)).exp() - (-hazard(k)).exp()).collect();
    let mut m = vec![0.0; n + 1];
    for k in 1..=n {
        m[k] = (1..=k).map(|j| first[j - 1] * (1.0 + m[k - j])).sum();
    }
    within(&sample(&case("as new"), 0, 1000, failures), m[n], "as new");
}

const RATE: f64 = 0.02;

/// The outer hatch sticks by the calendar, hidden. Hours are from the start of the campaign.
fn hidden(noticed: &str) -> Case {
    let more = format!("noticed = \"{noticed}\"\nrepair = {{ takes = \"2 h\", crew = 1 }}");
    let law = format!("rate = \"{RATE} /h\"");
    let way = "[list.way_back.pry]\nfrom = \"outside\"\nrows = [\n  \
         { action = \"open\", on = \"outer\", takes = \"10 min\", frees = 1 },\n  \
         { use = \"ingress\", after = \"open outer\" },\n]\n";
    one_sortie().patch("ways_back = []", "ways_back = [\"pry\"]").add_access(way).add(&mode(
        "jams",
        "main.outer",
        "per calendar hour",
        &law,
        "stuck shut",
        &more,
    ))
}

/// Hour at which the outer hatch is opened outward (end of the row).
fn opened() -> f64 {
    24.0 + (TO_DEPRESS + pump() + 3.0 + 3.0) / 60.0
}

fn quiet(hours: f64) -> f64 {
    (-RATE * hours).exp()
}

/// Found by the first row that opens it: in egress the sortie is called off and crew inside mend
/// it; in ingress the way back is needed.
#[test]
fn a_hidden_failure_is_found_at_next_use() {
    let m = hidden("at next use").model();
    let off = 1.0 - quiet(opened());
    share(&sample(&m, 0, 4000, |o| value(o, "sorties_cancelled")), off, "called off");
    within(&sample(&m, 0, 4000, |o| value(o, "upkeep_h")), 2.0 * off, "hours of repair");
    let hours = |o: &Outcome| lost_to(&m, 0, o, "jams") - 8.0 * value(o, "sorties_cancelled");
    assert!(sample(&m, 0, 500, hours).iter().all(|x| x.abs() < 1e-9), "lost to the hatch");
    // From the end of that row to the end of the row that opens it inward: 5 min, 4 h, 12 min.
    let way = quiet(opened()) * (1.0 - quiet((5.0 + 240.0 + 12.0) / 60.0));
    within(&sample(&m, 0, 4000, |o| value(o, "haven_way_back")), 2.0 * way, "by the way back");
}

/// An inspection at 18 h finds what has struck by then; it is mended by 20 h.
#[test]
fn a_hidden_failure_is_found_at_inspection() {
    let m = hidden("at next inspection")
        .patch("reserve = \"30 min\"", "reserve = \"30 min\"\ninspection_every = \"18 h\"")
        .model();
    let fresh = quiet(18.0) * (1.0 - quiet(opened() - 18.0));
    let mended = (1.0 - quiet(18.0)) * (1.0 - quiet(opened() - 20.0));
    let off = |o: &Outcome| value(o, "sorties_cancelled");
    share(&sample(&m, 0, 4000, off), fresh + mended, "called off");
}

/// Both port hatches of a pair, asked once each in one ingress (rule 30): both fail with
/// beta p + (1 - beta p) ((1 - beta) p)^2. The one whose hatch opens goes in.
#[test]
fn two_berths_with_a_common_cause() {
    let (p, n) = (0.3, 4000);
    for beta in [0.0, 0.4, 1.0] {
        let more =
            format!("during = \"ingress\"\ncommon = {{ group = \"latches\", beta = {beta} }}");
        let law = format!("probability = {p}");
        let jam = mode("jam", "main.port_hatch", "on opening", &law, "stuck shut", &more);
        let m = berths().add(&jam).model();
        let own = (1.0 - beta) * p;
        let both = beta * p + (1.0 - beta * p) * own * own;
        let one = (1.0 - beta * p) * 2.0 * own * (1.0 - own);
        let missed = sample(&m, 0, n, |o| value(o, "haven_missed"));
        let is = |k: f64| missed.iter().map(|x| f64::from(u8::from(*x == k))).collect::<Vec<_>>();
        share(&is(2.0), both, &format!("both, beta {beta}"));
        if one > 0.0 {
            share(&is(1.0), one, &format!("one, beta {beta}"));
        } else {
            assert!(missed.iter().all(|x| *x != 1.0), "beta 1: never one alone");
        }
    }
}

/// Two berths with beta = 1 are no safer than one (rules I): both with p, campaign by campaign.
#[test]
fn beta_one_is_one_berth() {
    let p = 0.3;
    let jam = |common: &str| {
        let law = format!("probability = {p}");
        let more = format!("during = \"ingress\"\n{common}");
        mode("jam", "main.port_hatch", "on opening", &law, "stuck shut", &more)
    };
    let pair = berths().add(&jam("common = { group = \"latches\", beta = 1 }")).model();
    let single = berths()
        .patch_access("count = 2", "count = 1")
        .patch("count = 2, at = \"main\"", "count = 1, at = \"main\"")
        .patch("team = 2", "team = 1")
        .patch("crew = [\"Ada\", \"Ben\"]", "crew = [\"Ada\"]")
        .add(&jam(""))
        .model();
    let flag = |o: &Outcome| value(o, "campaign_haven_missed");
    share(&sample(&pair, 0, 4000, flag), p, "a pair, beta 1");
    share(&sample(&single, 0, 4000, flag), p, "a single berth");
}

/// One of two berths stays shut: the other person is safe when their own hatches are open, at the
/// same moment as if nothing had happened.
#[test]
fn one_berth_stays_shut() {
    let jam = mode(
        "jam",
        "main.suit_hatch",
        "on opening",
        "probability = 0.5",
        "stuck shut",
        "during = \"ingress\"",
    );
    let m = berths().add(&jam).model();
    let margin = 450.0 - (BERTH_CLOCK + 240.0 + BERTH_TO_SAFE);
    let mut seen = 0;
    let look = |o: &Outcome| {
        assert_eq!(value(o, "haven_demands"), 2.0);
        let missed = value(o, "haven_missed");
        assert_eq!(value(o, "haven_planned"), 2.0 - missed);
        if missed < 2.0 {
            near(value(o, "haven_margin_min"), margin, "margin of the one who came in");
        }
        missed
    };
    let missed = sample(&m, 0, 400, look);
    seen += missed.iter().filter(|x| **x == 1.0).count();
    assert!(seen > 100, "one alone in {seen} campaigns");
    within(&missed, 1.0, "missed of two");
}

/// The pump fails for good at its first start: from then on all that is in the chamber goes out by
/// the valve. Flow through it is choked towards vacuum: ln(p0/p1) V / (C A a*), with a* = sqrt(g R
/// T / M) (2/(g+1))^((g+1)/(2(g-1))), g = 1.4 (common practice).
#[test]
fn a_failed_pump_vents_the_chamber() {
    let valve = "vent = { kind = \"valve\", between = [\"lock\", \"outside\"], rest = \"shut\", \
         diameter = \"25 mm\", discharge = 0.8 }\n[pump]";
    let dead = mode("dead", "main.main", "on start", "probability = 1", "pump lost", "");
    let case = |at: &str| {
        Case::base()
            .patch("length = \"30 d\"", "length = \"5 d\"")
            .patch("per_week = 2", &format!("at = [{at}]"))
            .patch_access("[pump]", valve)
            .add(&dead)
            .model()
    };
    let (one, three) = (first(&case("\"1 d\"")), first(&case("\"1 d\", \"2 d\", \"3 d\"")));
    assert_eq!(value(&three, "pump_failures"), 1.0);
    let molar = 0.265 * O2 + 0.735 * N2;
    let volume = 4.25 - 2.0 * 0.15;
    let all = (70.3e3 * volume + let_down(2.0)) * molar / (R * 294.26);
    near(value(&one, "gas_lost_per_sortie_kg"), all, "gas of the first");
    near(value(&three, "gas_lost_per_sortie_kg"), all, "gas of each");
    let g: f64 = 1.4;
    let speed =
        (g * R * 294.26 / molar).sqrt() * (2.0 / (g + 1.0)).powf((g + 1.0) / (2.0 * (g - 1.0)));
    let area = std::f64::consts::PI * 0.0125 * 0.0125;
    let minutes = volume / (0.8 * area * speed) * (70.3e3 / (2.0 * PSI)).ln() / 60.0;
    let last = minutes / (70.3e3 / (2.0 * PSI)).ln() * (2.0 * PSI / 1e3).ln();
    // The pump is known to be lost: the `vent` row takes it all the way, longer than its own 3 min.
    assert!(minutes + last > 3.0, "{minutes} {last}");
    let rest = egress() - pump() - 3.0 + TO_SAFE + AFTER_SAFE;
    let total = |o: &Outcome, n: f64| n * value(o, "door_to_door_min");
    near(
        total(&three, 3.0) - total(&one, 1.0),
        2.0 * (rest + minutes + last),
        "time of the second and third",
    );
}

/// Four spares, then none until three more come on day 20. The inner hatch gets stiff at every
/// closing in egress (slots at 1.75, 5.25, .. d): struck at sorties 1 to 5, mended 1 to 4 at once
/// and 5 on day 20; 7 and 8 struck and mended; 9 struck, no spare left. Sortie 6 finds it stiff
/// already.
#[test]
fn spares_run_out_until_resupply() {
    let more = "factor = 2\nduring = \"egress\"\n\
         repair = { takes = \"3 h\", crew = 1, spare = \"hinge\" }\n[spare]\nhinge = 4";
    let stiff = mode("stiff", "main.inner", "on closing", "probability = 1", "slower", more);
    let flight = "nitrogen = \"120 kg\"\nresupply = [{ at = \"20 d\", on_time = 1, slip = \"1 d\", \
         oxygen = \"1 kg\", nitrogen = \"1 kg\", spares = { hinge = 3 } }]";
    let m = Case::whole().patch("nitrogen = \"120 kg\"", flight).add(&stiff).model();
    let o = first(&m);
    assert_eq!(value(&o, "hatch_failures"), 8.0);
    assert_eq!(value(&o, "spares_used"), 7.0);
    near(value(&o, "upkeep_h"), 7.0 * 3.0, "hours of repair");
    // Rows at the stiff hatch take twice as long: inward opening and passing (2 + 2 min) of
    // sorties 5 and 9, outward passing and closing (2 + 3 min) and inward again of sortie 6.
    let base = egress() + TO_SAFE + AFTER_SAFE;
    let slow = 4.0 + (2.0 + 3.0 + 4.0) + 4.0;
    near(9.0 * value(&o, "door_to_door_min"), 9.0 * base + slow, "door to door");
}

/// An attempt works with s and costs its hours and spare each time: 1/s attempts in the mean.
#[test]
fn repairs_that_do_not_work_at_once() {
    let s = 0.4;
    let more = format!(
        "during = \"egress\"\nrepair = {{ takes = \"10 min\", crew = 1, spare = \"hinge\", \
         success = {s} }}\n[spare]\nhinge = 1000"
    );
    let stiff = mode("stiff", "main.inner", "on closing", "probability = 1", "slower", &more);
    let m = one_sortie().add(&stiff).model();
    within(&sample(&m, 0, 3000, |o| value(o, "spares_used")), 1.0 / s, "attempts");
    within(&sample(&m, 0, 3000, |o| value(o, "upkeep_h")), 1.0 / s / 6.0, "hours");
}

/// A repair for two waits until the team is back in: the hatch is still stiff on the way in.
#[test]
fn a_repair_waits_for_its_crew() {
    for (crew, slow) in [(1, 0.0), (2, 4.0)] {
        let more = format!(
            "factor = 2\nduring = \"egress\"\nrepair = {{ takes = \"1 h\", crew = {crew} }}"
        );
        let stiff = mode("stiff", "main.inner", "on closing", "probability = 1", "slower", &more);
        let o = first(&one_sortie().add(&stiff).model());
        let base = egress() + TO_SAFE + AFTER_SAFE;
        near(value(&o, "door_to_door_min"), base + slow, "door to door");
        near(value(&o, "upkeep_h"), f64::from(crew), "crew hours");
    }
}

/// Hatches that people go through and hatches of berths are kinds of their own: with certain leaks at
/// every closing, a pair of berths has four that strike, and a lock none; all of them are pressure
/// hatches.
#[test]
fn hatches_of_berths_are_a_kind_of_their_own() {
    let mode = |on: &str| {
        format!(
            "\n[failure.worn]\non = \"{on}\"\nwhen = \"on closing\"\nlaw = {{ probability = 1.0 }}\n\
             effect = \"leak\"\n"
        )
    };
    let failures = |case: Case, on: &str| {
        let m = case.add(&mode(on)).model();
        value(&first(&m), "seal_failures")
    };
    assert_eq!(failures(berths(), "berth hatch"), 4.0);
    assert_eq!(failures(berths(), "pressure hatch"), 4.0);
    assert_eq!(failures(one_sortie(), "crew hatch"), 2.0);
    assert_eq!(failures(one_sortie(), "pressure hatch"), 2.0);
}

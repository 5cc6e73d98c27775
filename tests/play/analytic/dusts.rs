//! Dust through the whole program against hand arithmetic: what stages hold, floors of locks, filters
//! that load, the break-even share.

use super::played::{berths, first, near, one_sortie};
use super::seals::{exact, part};
use crate::support::{Case, value};
use vestibule::physics::dust::{Air, DIAMETERS, Grain, settling_speed};

/// 50 g on each of two suits; the brush outside takes half, a nozzle in the lock half of the rest and
/// holds 40 % of that; doffing sheds half of what is left.
#[test]
fn what_a_stage_does_not_hold_arrives_in_its_volume() {
    let m = one_sortie()
        .patch_access("[stage]", "[stage]\nnozzle = { in = \"lock\", removes = 0.5, captures = 0.4 }")
        .patch_access(
            "  { action = \"doff\"",
            "  { action = \"clean\", on = \"nozzle\", takes = \"5 min\", incapacitated = \"skip\" },\n  { action = \"doff\"",
        )
        .model();
    let lock = 2.0 * (0.6 * 12.5 + 0.5 * 12.5);
    exact(value(&first(&m), "dust_in_lock_g"), lock, "dust in the lock");
    assert_eq!(value(&first(&m), "dust_to_cabin_g"), 0.0, "the inner hatch passes nothing here");
}

/// A stage that a row uses once for all takes as much off each suit as one after the other; where one
/// of them is hurt it is skipped for all.
#[test]
fn a_stage_used_once_for_all_cleans_all_or_none() {
    let apart = "each = \"in turn\", takes = \"5 min\", incapacitated = \"skip\"";
    let once = "takes = \"5 min\", incapacitated = \"skip\"";
    let dust = |case: Case| value(&first(&case.model()), "dust_in_lock_g");
    let all = || one_sortie().patch_access(apart, once);
    exact(dust(one_sortie()), 2.0 * 12.5, "one after the other");
    exact(dust(all()), 2.0 * 12.5, "once for all");
    let fall = "\n[failure.fall]\non = \"crew\"\nwhen = \"per sortie\"\nlaw = 1.0\n\
                effect = \"crew incapacitated\"\nseverity = \"walks with help\"\n";
    // Work ends at the fall; what was picked up by then is shed, brushed before or not.
    let [parted, together] = [one_sortie(), all()].map(|case| dust(case.add(fall)));
    exact(together / parted, 50.0 / (25.0 + 12.5), "nobody is brushed, and one of two");
}

/// All dust stays in the lock, where the suits come off: behind a mask nobody breathes it.
#[test]
fn a_mask_keeps_the_dust_of_a_lock_away() {
    let open = first(&one_sortie().model());
    assert!(value(&open, "dust_average_max_mg_m3") > 0.0 && value(&open, "dust_peak_mg_m3") > 0.0);
    let masked = one_sortie().patch_access("holds = 2", "holds = 2, mask = true");
    let masked = first(&masked.model());
    assert_eq!(value(&masked, "dust_average_max_mg_m3"), 0.0);
    assert_eq!(value(&masked, "dust_peak_mg_m3"), 0.0);
    assert_eq!(value(&masked, "dust_in_lock_g"), value(&open, "dust_in_lock_g"));
}

/// The same at the end of the campaign: half is brushed off outside, of 12.5 g a suit the nozzle holds
/// 40 %, half of the other 12.5 g stays on. In the lock what lies and floats is the rest.
#[test]
fn the_book_of_dust_adds_up() {
    let m = one_sortie()
        .patch("[0.012, 0.088, 0.4, 0.5]", "[0, 0, 0.5, 0.5]")
        .patch_access("[stage]", "[stage]\nnozzle = { in = \"lock\", removes = 0.5, captures = 0.4 }")
        .patch_access(
            "  { action = \"doff\"",
            "  { action = \"clean\", on = \"nozzle\", takes = \"5 min\", incapacitated = \"skip\" },\n  { action = \"doff\"",
        )
        .model();
    let o = first(&m);
    let end = |cause: &str| part(&m, &o, "dust_at_end_g", cause);
    exact(part(&m, &o, "dust_picked_up_g", "all"), 100.0, "picked up");
    exact(end("outside"), 50.0, "brushed off");
    exact(end("stages"), 2.0 * 0.4 * 12.5, "in the nozzle");
    exact(end("on suits"), 2.0 * 6.25, "on suits");
    exact(end("surface"), 2.0 * (0.6 * 12.5 + 6.25), "on the floor of the lock");
    assert_eq!((end("air"), end("filter"), end("cleaned")), (0.0, 0.0, 0.0), "coarse dust lies");
}

/// Coarse dust only, so that all of it lies on the floor. Each of two persons tracks a tenth of the
/// lock's floor into the cabin. A suit keeps what it does not shed.
fn floors(cleaning: &str) -> Case {
    Case::base()
        .patch("length = \"30 d\"", "length = \"3 d\"")
        .patch("per_week = 2", "at = [\"0.5 d\", \"2 d\"]")
        .patch("[0.012, 0.088, 0.4, 0.5]", "[0, 0, 0.5, 0.5]")
        .patch_access("air_share = 0.0", "air_share = 0.0, floor_share = 0.1")
        .patch_access("holds = 2", &format!("holds = 2{cleaning}"))
}

#[test]
fn the_floor_of_a_lock_is_cleaned() {
    // 50 g, half brushed off, half of that shed; then 12.5 g kept + 50 g.
    let (first_shed, second_shed) = (25.0, 31.25);
    let tracked = 1.0 - 0.9 * 0.9;
    let dirty = floors("").model();
    let left = first_shed * (1.0 - tracked);
    let want = (first_shed + left + second_shed) * tracked;
    let o = first(&dirty);
    exact(value(&o, "dust_to_cabin_g"), want, "without cleaning");
    assert_eq!(value(&o, "upkeep_h"), 0.0);
    let cleaning =
        ", cleaning_every = \"1 d\", cleaning_removes = 0.75, cleaning_takes = \"10 min\"";
    let o = first(&floors(cleaning).model());
    // At one day, while the lock is at rest; at two days again, in the minute the sortie begins.
    let want = (first_shed + 0.25 * 0.25 * left + second_shed) * tracked;
    exact(value(&o, "dust_to_cabin_g"), want, "with cleaning");
    exact(value(&o, "upkeep_h"), 20.0 / 60.0, "upkeep");
}

/// Dust falls straight into the cabin when the back of a suit opens.
pub fn into_the_cabin(times: &str, flow: &str, life: &str) -> Case {
    berths()
        .patch("at = [\"1 d\"]", &format!("at = [{times}]"))
        .patch("filter_flow = \"300 m3/h\"", &format!("filter_flow = \"{flow}\"\n{life}"))
        .patch_access(
            "count = 2, rest = \"mated\"",
            "count = 2, rest = \"mated\", dust_share = 0.01",
        )
}

/// A filter that is full after the first sortie is changed at the next daily look, at two days; at one
/// day it is clean. Without a spare it stays.
#[test]
fn a_full_filter_is_changed_if_there_is_a_spare() {
    let life = "filter_life = { capacity = \"1 mg\", change = \"30 min\", spare = \"filter\" }";
    for (spares, changes) in [(3, 1.0), (0, 0.0)] {
        let case = into_the_cabin("\"1 d\"", "300 m3/h", life);
        let o = first(&case.add(&format!("\n[spare]\nfilter = {spares}\n")).model());
        assert_eq!(value(&o, "spares_used"), changes);
        exact(value(&o, "upkeep_h"), 0.5 * changes, "upkeep");
    }
}

/// A full filter passes half its flow: the second sortie meets the cabin of one with half the flow from
/// the start. What the first left in the air is gone by e^-60, and nothing comes up from the floor. The
/// larger of two 24-hour averages is the second one.
#[test]
fn a_loaded_filter_passes_less_air() {
    let times = "\"0.2 d\", \"2.2 d\"";
    let life = "filter_life = { capacity = \"1 mg\", flow_left = 0.5, spare = \"filter\" }";
    let none = "\n[spare]\nfilter = 0\n";
    let average = |case: Case| value(&first(&case.model()), "dust_average_max_mg_m3");
    let loaded = average(into_the_cabin(times, "300 m3/h", life).add(none));
    let half = average(into_the_cabin(times, "150 m3/h", ""));
    let clean = average(into_the_cabin(times, "300 m3/h", ""));
    assert!(loaded > 1.3 * clean, "the load is felt: {loaded} against {clean}");
    near(loaded, half, "average with a full filter");
}

/// The same for a filter that loses efficiency instead.
#[test]
fn a_loaded_filter_holds_less() {
    let times = "\"0.2 d\", \"2.2 d\"";
    let life = "filter_life = { capacity = \"1 mg\", efficiency_left = 0.5, spare = \"filter\" }";
    let none = "\n[spare]\nfilter = 0\n";
    let average = |case: Case| value(&first(&case.model()), "dust_average_max_mg_m3");
    let loaded = average(into_the_cabin(times, "300 m3/h", life).add(none));
    near(loaded, average(into_the_cabin(times, "150 m3/h", "")), "average with a full filter");
}

/// All dust of one bin falls into the cabin at once, a quarter of it to the air: the peak is
/// 2 x 50 g x 0.01 x 0.25 x 0.1 / 80 m3, whoever is inside, and one limit is above it, another below.
#[test]
fn the_peak_is_held_against_its_limit() {
    let case = |limit: f64| {
        into_the_cabin("\"1 d\"", "300 m3/h", "")
            .patch("abrasion = 1", &format!("abrasion = 1\ndust_peak_limit = \"{limit} mg/m3\""))
            .patch("[0.012, 0.088, 0.4, 0.5]", "[0, 0.1, 0.4, 0.5]")
            .model()
    };
    let want = 2.0 * 50e3 * 0.01 * 0.25 * 0.1 / 80.0;
    let o = first(&case(0.99 * want));
    exact(value(&o, "dust_peak_mg_m3"), want, "peak");
    assert_eq!(value(&o, "dust_over_peak_limit"), 1.0);
    assert_eq!(value(&first(&case(1.01 * want)), "dust_over_peak_limit"), 0.0);
}

/// Air crosses an open hatch at each pass and when it is closed, not when it is opened (rule 27). 25 g in
/// the air of the lock, a tenth crosses each time: in from the lock 0.1, then 0.1 of 0.9, then 0.1 of
/// 0.82 (0.9 x 0.9 + 0.1 x 0.1) of it. Settling and filters take less than 1 % within these minutes.
#[test]
fn air_crosses_at_passes_and_at_closing() {
    let case = || {
        one_sortie()
            .patch("[0.012, 0.088, 0.4, 0.5]", "[1, 0, 0, 0]")
            .patch("dust_airborne = 0.25", "dust_airborne = 1")
            .patch_access("air_share = 0.0", "air_share = 0.1")
    };
    let closed = "  { action = \"close\", on = \"inner\", takes = \"1 min\" },\n  \
                  { action = \"open\", on = \"inner\", takes = \"1 min\" },\n  \
                  { action = \"recharge\"";
    let crosses = |case: Case| value(&first(&case.model()), "dust_to_cabin_g");
    let within = |got: f64, want: f64| {
        assert!((got / want - 1.0).abs() < 0.01, "{got} g came in, {want} g by hand");
    };
    within(crosses(case()), 25.0 * (0.1 + 0.09));
    let again = case().patch_access("  { action = \"recharge\"", closed);
    within(crosses(again), 25.0 * (0.1 + 0.09 + 0.082));
}

/// Rates by which the cabin's air loses the two fine bins: filter and settling, 1/s.
fn cabin_rates(flow: f64) -> [f64; 2] {
    let grain = Grain { density: 3100.0, shape: 1.4 };
    let air = Air { temperature: 294.26, pressure: 70.3e3 };
    [0, 1].map(|i| {
        0.9997 * (flow / 3600.0) / 80.0 + 1.5 * settling_speed(grain, DIAMETERS[i], 1.62, air) / 2.2
    })
}

/// What one gram of fine dust at the door, all of it let in, adds to the worst 24-hour average in the
/// cabin, kg/m3: a quarter of it airborne, m (1 - exp(-k T))/(k V T) for each bin.
fn day_of(mass: [f64; 2], rates: [f64; 2]) -> f64 {
    let day = 86_400.0;
    let bin = |i: usize| 0.25 * mass[i] * (1.0 - (-rates[i] * day).exp()) / rates[i];
    (bin(0) + bin(1)) / (80.0 * day)
}

/// Break-even of one sortie: the share of 2 x 50 g that brings the 24 hours after it to the limit. Idle
/// days and the length of the campaign do not matter: 25 h and 241 h.
#[test]
fn break_even_share_bin_by_bin() {
    let want = 0.3e-6 / day_of([0.1 * 0.012, 0.1 * 0.088], cabin_rates(300.0));
    for hours in [25, 241] {
        let case = one_sortie()
            .patch("length = \"3 d\"", &format!("length = \"{hours} h\""))
            .patch("at = [\"1 d\"]", "at = [\"0.2 d\"]");
        let o = first(&case.model());
        exact(value(&o, "dust_break_even_fraction"), want, &format!("share in {hours} h"));
    }
}

/// Two sorties 16.8 h apart (door to door, every time the same): the worst 24 h are those after the first
/// one's return if the second adds to them, and what is left of the first in the 24 h after the second.
/// A filter that takes a day per change of air makes both matter.
#[test]
fn break_even_share_of_two_sorties_in_a_day() {
    let case = one_sortie()
        .patch("filter_flow = \"300 m3/h\"", "filter_flow = \"3 m3/h\"")
        .patch("[0.012, 0.088, 0.4, 0.5]", "[0, 0.1, 0.4, 0.5]")
        .patch("at = [\"1 d\"]", "at = [\"0.2 d\", \"0.9 d\"]")
        .patch("hours = \"4 h\"", "hours = \"1 h\"")
        .patch_access("removes = 0.5", "removes = 1");
    let m = case.model();
    let o = first(&m);
    assert_eq!(value(&o, "sorties_done"), 2.0);
    let (k, day, apart) = (cabin_rates(3.0)[1], 86_400.0, 0.7 * 86_400.0);
    let mass = 0.25 * 0.1 * 0.1;
    let held = |dt: f64| (1.0 - (-k * dt).exp()) / k;
    let after_first = held(day) + held(day - apart);
    let after_second = held(day) * (1.0 + (-k * apart).exp());
    let worst = mass * after_first.max(after_second) / (80.0 * day);
    exact(value(&o, "dust_break_even_fraction"), 0.3e-6 / worst, "share");
}

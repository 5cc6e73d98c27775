//! Prebreathe, suit supply and chamber gas through the whole program, against hand arithmetic to
//! 1e-12 relative; what is drawn is compared with its law within four standard errors.

use super::played::*;
use crate::support::{Case, play, value};
use vestibule::model::Model;
use vestibule::outcome::Outcome;
use vestibule::physics::suit;

/// N2 of the base cabin, Pa.
const CABIN: f64 = 70.3e3 * (1.0 - 0.265);
/// N2 in a suit of purity 0.95 at cabin pressure, Pa.
const SUIT: f64 = 70.3e3 * (1.0 - 0.95);
const SUIT_PRESSURE: f64 = 29.6e3;
/// Half-time of the tissue, min.
const HALF: f64 = 360.0;
/// Minutes of the ingress after `repress` until the suit is doffed.
const DOFF: f64 = 15.0;

fn close(got: f64, want: f64, what: &str) {
    let error = (got - want).abs() / want.abs().max(1e-300);
    assert!(error < 1e-12, "{what}: got {got:.17}, hand arithmetic {want:.17}, off by {error:e}");
}

/// Tissue after some minutes.
fn tissue(p: f64, breathed: f64, minutes: f64) -> f64 {
    breathed + (p - breathed) * (-minutes / HALF).exp2()
}

/// Minutes at N2 `breathed` until the tissue meets a ratio.
fn needed(p: f64, breathed: f64, ratio: f64) -> f64 {
    HALF * ((p - breathed) / (ratio * SUIT_PRESSURE - breathed)).log2()
}

/// Egress and ingress of the base without the prebreathe row.
fn rows() -> f64 {
    egress() - 40.0 + TO_SAFE + AFTER_SAFE
}

#[test]
fn tissue_ratio_at_the_start_of_a_sortie() {
    let o = play(&one_sortie().model(), 0);
    let before = tissue(CABIN, SUIT, 40.0);
    let out = tissue(before, 0.0, pump() + AFTER_DEPRESS);
    close(value(&o, "prebreathe_ratio_max"), out / SUIT_PRESSURE, "ratio");
}

#[test]
fn two_sorties_close_together_need_less_the_second_time() {
    let ratio = 1.5;
    let case = one_sortie()
        .patch("at = [\"1 d\"]", "at = [\"24 h\", \"48 h\"]")
        .patch("reserve = \"30 min\"", "reserve = \"30 min\"\nrest_least = \"0 h\"")
        .patch("prebreathe_ratio = 1.65", "prebreathe_ratio = 1.5")
        .patch_access(
            "{ action = \"prebreathe\", on = \"suit\", each = \"at once\", takes = \"40 min\" }",
            "{ action = \"prebreathe\", on = \"suit\" }",
        );
    let o = play(&case.model(), 0);
    assert_eq!(value(&o, "sorties_done"), 2.0);
    let first = needed(CABIN, SUIT, ratio);
    let mut p = tissue(CABIN, SUIT, first);
    // On suit supply from `depress` to the end of `repress`, in the suit's oxygen until doffed.
    p = tissue(p, 0.0, pump() + AFTER_DEPRESS + 240.0 + TO_SAFE);
    p = tissue(p, SUIT, DOFF);
    let doffed = TO_DEPRESS - 40.0 + first + pump() + AFTER_DEPRESS + 240.0 + TO_SAFE + DOFF;
    p = tissue(p, CABIN, 1440.0 - doffed + TO_DEPRESS - 40.0);
    let second = needed(p, SUIT, ratio);
    assert!(second > 0.0 && second < first - 10.0, "{first} then {second} min");
    let want = rows() + (first + second) / 2.0;
    close(value(&o, "door_to_door_min"), want, "door to door, mean of the two");
}

/// Half an hour on a mask, then 38 min without oxygen: don, close, leak check.
fn mask(penalty: &str) -> Case {
    let rules = format!(
        "prebreathe_ratio = 1.65\nprebreathe_least = \"60 min\"\nprebreathe_break = {penalty}"
    );
    one_sortie()
        .patch("prebreathe_ratio = 1.65", &rules)
        .patch_access(
            "  { action = \"don\",",
            "  { action = \"prebreathe\", on = \"mask\", takes = \"30 min\" },\n  \
             { action = \"don\",",
        )
        .patch_access("takes = \"40 min\"", "takes = \"1 min\"")
}

#[test]
fn a_break_in_prebreathe_costs_its_multiple_but_never_more_than_beginning_anew() {
    let door = |penalty: &str| value(&play(&mask(penalty).model(), 0), "door_to_door_min");
    // (60 - 30) + 0.5 x 38 = 49 min; (60 - 30) + 2 x 38 = 106 min, so that 60 min anew are less.
    close(door("0.5"), rows() + 30.0 + 49.0, "half the break");
    close(door("2"), rows() + 30.0 + 60.0, "anew");
    // Without a penalty 30 min of protocol are left, more than the tissue asks.
    let p = tissue(tissue(CABIN, 0.0, 30.0), CABIN, 38.0);
    assert!(needed(p, SUIT, 1.65) < 30.0);
    close(door("0"), rows() + 30.0 + 30.0, "no penalty");
}

/// Ten minutes more on a mask, or in the suit before it is on its own supply: two persons at rest, 290 W,
/// breathe that much more of the store's oxygen.
#[test]
fn oxygen_of_a_prebreathe_comes_from_the_store() {
    let used = |case: Case| value(&play(&case.model(), 0), "oxygen_used_kg");
    let flow = suit::oxygen_flow(290.0, suit::energy_per_oxygen(0.85));
    let want = 2.0 * flow * 600.0;
    let longer = |on: &str, minutes: &str, than: &str| {
        let of = |takes: &str| format!("on = \"{on}\", takes = \"{takes}\"");
        used(mask("2").patch_access(&of(minutes), &of(than))) - used(mask("2"))
    };
    assert!((longer("mask", "30 min", "40 min") / want - 1.0).abs() < 1e-9, "mask");
    let row = "each = \"at once\", takes = \"40 min\"";
    let long = one_sortie().patch_access(row, "each = \"at once\", takes = \"50 min\"");
    assert!(((used(long) - used(one_sortie())) / want - 1.0).abs() < 1e-9, "suit");
}

#[test]
fn a_mask_counts_for_the_tissue() {
    let o = play(&mask("2").model(), 0);
    let mut p = tissue(tissue(CABIN, 0.0, 30.0), CABIN, 38.0);
    p = tissue(tissue(p, SUIT, 60.0), 0.0, pump() + AFTER_DEPRESS);
    close(value(&o, "prebreathe_ratio_max"), p / SUIT_PRESSURE, "ratio");
}

/// Energy per oxygen at a quotient of 0.85, J/m3, and kg of oxygen per J.
fn oxygen_per_joule() -> f64 {
    let share = (0.85 - 0.707) / (1.0 - 0.707);
    let energy = 4.184e6 * (4.686 + (5.047 - 4.686) * share);
    1.429 / energy
}

/// The stay at the base power when the supply lasts so many minutes in all, h: what egress used,
/// the way to safety and the reserve come off.
fn stay(lasts: f64) -> f64 {
    (lasts - pump() - AFTER_DEPRESS - TO_SAFE - 30.0) / 60.0
}

fn limited(key: &str, lasts: f64, cause: &str) {
    let m = one_sortie().patch("leak = \"2 g/h\"", &format!("leak = \"2 g/h\"\n{key}")).model();
    let o = first(&m);
    let hours = stay(lasts);
    assert!(hours > 0.0 && hours < 4.0, "{cause}: {hours} h");
    close(value(&o, "eva_done_h"), 2.0 * hours, cause);
    close(lost_to(&m, 0, &o, cause), 2.0 * (4.0 - hours), cause);
}

#[test]
fn whichever_clock_of_the_suit_ends_first_limits_the_sortie() {
    let power = 290.0;
    let oxygen = oxygen_per_joule() * power;
    limited("oxygen = \"0.25 kg\"", 0.25 / (oxygen + 2e-3 / 3600.0) / 60.0, "suit oxygen");
    let water = (power + 50.0) / 2.5e6;
    limited("water = \"2 kg\"\nequipment = \"50 W\"", 2.0 / water / 60.0, "suit water");
    let dioxide = 0.85 * oxygen * 44.0095e-3 / O2;
    let canister = "carbon_dioxide = \"0.3 kg\"";
    limited(canister, 0.3 / dioxide / 60.0, "suit carbon dioxide");
    limited("battery = \"4 h\"", 240.0, "suit battery");
}

#[test]
fn water_carries_the_heat_of_the_electronics_too() {
    let case = one_sortie().patch("leak = \"2 g/h\"", "leak = \"2 g/h\"\nequipment = \"50 W\"");
    let o = play(&case.model(), 0);
    let minutes = pump() + AFTER_DEPRESS + 240.0 + TO_SAFE;
    close(value(&o, "water_used_kg"), 2.0 * 340.0 * minutes * 60.0 / 2.5e6, "water");
}

/// Walking there and back costs its own rate: with all the primary but the reserve used, reserve and
/// secondary are what is left at the moment of being safe.
#[test]
fn the_way_there_and_back_counts_at_the_rate_of_walking() {
    let case = one_sortie()
        .patch("walk = \"290 W\"", "walk = \"400 W\"")
        .patch("hours = \"4 h\"", "hours = \"8 h\"\ndistance = \"2 km\"");
    let m = case.model();
    let o = first(&m);
    let travel = 2.0 * 30.0;
    let energy = 290.0 * (420.0 - pump() - AFTER_DEPRESS - TO_SAFE - 30.0) - 400.0 * travel;
    let work = energy / 290.0;
    close(value(&o, "eva_done_h"), 2.0 * (work + travel) / 60.0, "hours");
    close(value(&o, "haven_margin_min"), 30.0 + 30.0, "margin");
    assert!(lost_to(&m, 0, &o, "suit supply") > 0.0);
}

#[test]
fn metabolic_rate_varies_by_person_and_sortie() {
    let (low, high) = (150.0, 350.0);
    let case =
        one_sortie().patch("work = \"290 W\"", "work = { low = \"150 W\", high = \"350 W\" }");
    let m = case.model();
    let seconds = 60.0 * (pump() + AFTER_DEPRESS + 240.0 + TO_SAFE);
    let power = |o: &Outcome| value(o, "water_used_kg") * 2.5e6 / seconds;
    let sum = low + high;
    within(&sample(&m, 0, 4000, power), sum, "power of two persons");
    // Two independent uniforms; shared by the team it would be twice as much.
    let spread = 2.0 * (high - low) * (high - low) / 12.0;
    within(&sample(&m, 0, 4000, |o| (power(o) - sum).powi(2)), spread, "its variance");
}

/// kg per Pa in the base lock with two persons.
fn per_pa() -> f64 {
    (4.25 - 2.0 * 0.15) * (0.265 * O2 + 0.735 * N2) / (R * 294.26)
}

/// kg that the suits of two persons let out.
fn suits() -> f64 {
    let_down(2.0) * (0.265 * O2 + 0.735 * N2) / (R * 294.26)
}

#[test]
fn an_evacuated_reservoir_is_filled_before_the_pump_runs() {
    let with = |tank: &str| {
        let stop = format!("stop = \"2 psi\", reservoir = \"{tank}\"");
        play(&one_sortie().patch_access("stop = \"2 psi\"", &stop).model(), 0)
    };
    let (volume, stop) = (4.25 - 2.0 * 0.15, 2.0 * PSI);
    // The large one takes it below the stop alone: what is left there is all the loss.
    let large = with("36 m3");
    close(value(&large, "gas_lost_per_sortie_kg"), stop * per_pa() + suits(), "large reservoir");
    close(value(&large, "door_to_door_min"), rows() + 40.0 - pump(), "no pump");
    let small = with("4 m3");
    let level = 70.3e3 * volume / (volume + 4.0);
    let lost = (0.05 * (level - stop) + stop) * per_pa();
    close(value(&small, "gas_lost_per_sortie_kg"), lost + suits(), "small reservoir");
    let runs = volume / 0.40 * (level / stop).ln();
    close(value(&small, "door_to_door_min"), rows() + 40.0 - pump() + runs, "pump");
}

/// A pump that fails in its run: the run, then all through the valve, choked into vacuum.
#[test]
fn a_pump_that_fails_in_its_run_costs_the_run_and_the_vent() {
    let case = one_sortie()
        .patch_access(
            "[opening]\n",
            "[opening]\nvalve = { kind = \"valve\", between = [\"lock\", \"outside\"], \
             diameter = \"20 mm\", discharge = 0.8, rest = \"shut\" }\n",
        )
        .add(&mode("dies", "main.main", "on start", "probability = 1", "pump lost", ""));
    let m = case.model();
    let o = first(&m);
    let volume = 4.25 - 2.0 * 0.15;
    let gas = R / (0.265 * O2 + 0.735 * N2);
    let area = std::f64::consts::PI / 4.0 * 0.02 * 0.02 * 0.8;
    let flux = 1.4f64.sqrt() * (5.0f64 / 6.0).powi(3);
    let vent = |from: f64, to: f64| {
        volume / (area * (gas * 294.26).sqrt()) * (from / to).ln() / flux / 60.0
    };
    let stop = 2.0 * PSI;
    let (down, rest) = (vent(70.3e3, stop), vent(stop, 1000.0));
    assert!(rest > 3.0, "the valve and not the row's 3 min acts: {rest} min");
    close(value(&o, "door_to_door_min"), rows() + 40.0 + down + rest - 3.0, "door to door");
    close(value(&o, "gas_lost_per_sortie_kg"), 70.3e3 * per_pa() + suits(), "all of it");
    close(row(&m, &o, "gas_lost_kg", "main: failed pump"), (70.3e3 - stop) * per_pa(), "failed");
    close(value(&o, "pump_failures"), 1.0, "failures");
}

#[test]
fn a_slow_pump_and_a_slow_stage_take_longer_from_the_next_row_on() {
    let slow = |name: &str, on: &str| {
        mode(name, on, "on start", "probability = 1", "slower", "factor = 3")
    };
    let case = Case::whole().add(&slow("wears", "main.main")).add(&slow("clogs", "main.brush"));
    let o = first(&case.model());
    let later = f64::from(SORTIES - 1) / f64::from(SORTIES);
    let more = later * 2.0 * (pump() + 10.0);
    close(value(&o, "door_to_door_min"), rows() + 40.0 + more, "door to door");
}

fn row(m: &Model, o: &Outcome, quantity: &str, cause: &str) -> f64 {
    let i = m.arms[0].breakdown.iter().position(|b| b.0 == quantity && b.1 == cause);
    o.breakdown[i.unwrap_or_else(|| panic!("no {quantity}, {cause}"))]
}

#[test]
fn gas_is_booked_by_species_cause_and_port() {
    let m = Case::whole().model();
    let o = first(&m);
    let sum = |quantity: &str| -> f64 {
        let rows = m.arms[0].breakdown.iter().zip(&o.breakdown);
        rows.filter(|(b, _)| b.0 == quantity).map(|(_, x)| x).sum()
    };
    close(sum("gas_lost_kg"), value(&o, "gas_lost_kg"), "all ports and causes");
    close(sum("nitrogen_lost_kg"), value(&o, "nitrogen_used_kg"), "nitrogen");
    close(sum("oxygen_lost_kg") + sum("nitrogen_lost_kg"), sum("gas_lost_kg"), "species");
    let sorties = f64::from(SORTIES);
    let nitrogen = 0.735 * N2 / (0.265 * O2 + 0.735 * N2);
    let left = 2.0 * PSI * per_pa() * sorties;
    let at_opening = row(&m, &o, "nitrogen_lost_kg", "main: vent");
    close(
        at_opening + row(&m, &o, "nitrogen_lost_kg", "main: rest at opening"),
        left * nitrogen,
        "rest",
    );
    let hours = (pump() + AFTER_DEPRESS + 240.0 + TO_SAFE) / 60.0;
    close(row(&m, &o, "oxygen_lost_kg", "main: suit leak"), sorties * 2.0 * 0.002 * hours, "suits");
}

/// Without any way back a sortie still stands down when the store does not hold what it loses.
#[test]
fn nobody_goes_out_on_an_empty_store() {
    let all = (0.05 * (70.3e3 - 2.0 * PSI) + 2.0 * PSI) * per_pa() + suits();
    let sortie = all * 0.735 * N2 / (0.265 * O2 + 0.735 * N2);
    let case = Case::whole()
        .patch("tolerates_vacuum = true", "tolerates_vacuum = true\nstore = \"gas\"")
        .patch("nitrogen = \"120 kg\"", &format!("nitrogen = \"{} kg\"", 3.5 * sortie));
    let o = first(&case.model());
    assert_eq!(value(&o, "sorties_done"), 3.0);
    close(value(&o, "nitrogen_used_kg"), 3.0 * sortie, "nitrogen");
}

/// A shell leaks 2 kg/d; the nitrogen of the store lasts ten days. From then on cabin and lock, open to
/// each other, decay exponentially for the other twenty.
#[test]
fn a_store_that_runs_dry_lets_the_cabin_decay() {
    let molar = 0.265 * O2 + 0.735 * N2;
    let nitrogen = 10.0 * 2.0 * 0.735 * N2 / molar;
    let case = Case::base()
        .patch("per_week = 2", "at = [\"29 d\"]")
        .patch(
            "tolerates_vacuum = true",
            "tolerates_vacuum = true\nstore = \"gas\"\nleak = \"2 kg/d\"",
        )
        .patch("nitrogen = \"120 kg\"", &format!("nitrogen = \"{nitrogen} kg\""));
    let m = case.model();
    let mut player = vestibule::campaign::Player::new(&m);
    let o = player.play_one(0, 0).clone();
    assert_eq!(value(&o, "sorties_cancelled"), 1.0);
    // Persons displace their share of the cabin.
    let volume = 80.0 + 4.25 - 3.0 * 0.15;
    let content = 70.3e3 * volume * molar / (R * 294.26);
    let decay = content * (1.0 - (-2.0 * 20.0 / content).exp());
    let got = row(&m, &o, "gas_lost_kg", "elsewhere: leak");
    let error = (got / (20.0 + decay) - 1.0).abs();
    assert!(error < 1e-9, "leak {got} kg, by hand {} kg", 20.0 + decay);
}

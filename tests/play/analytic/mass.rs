//! Equivalent system mass by hand: M + V Veq + P Peq + CT CTeq (NASA/TM-2003-212278, from memory; without
//! cooling), gas and water with their tanks, and what break-even and ranking make of it.

use super::played::near;
use crate::support::{Case, play, value};
use std::num::NonZero;
use std::sync::atomic::{AtomicBool, AtomicU64};
use vestibule::model::{MASS_PARTS, Model};
use vestibule::stats::CampaignRows;
use vestibule::study::experiment;
use vestibule::study::replicate::Order;
use vestibule::study::standing::{BreakEven, Standing, StandingBooks, break_even};

const FACTORS: &str = "[mass]\nvolume = \"10 kg/m3\"\npower = \"100 kg/kW\"\nduty_share = 0.25\ncrew_time = \"2 kg/h\"\n\
    tank_oxygen = 0.5\ntank_nitrogen = 0.25\ntank_water = 0.1\n";

/// A lock of 200 kg with two hatches of 50 kg and a pump of 45 kg and 1 kW; two suits of 100 kg.
fn weighed() -> Case {
    Case::base()
        .patch("[suit.plain]", "[suit.plain]\nmass = \"100 kg\"")
        .patch_access("lock = { free", "lock = { mass = \"200 kg\", free")
        .patch_access("outer = { kind", "outer = { mass = \"50 kg\", kind")
        .patch_access("inner = { kind", "inner = { mass = \"50 kg\", kind")
        .patch_access("main = { on", "main = { mass = \"45 kg\", power = \"1 kW\", on")
        .add(FACTORS)
}

#[test]
fn mass_is_the_sum_of_its_parts() {
    let m = weighed().model();
    let o = play(&m, 0);
    // 200 + 2 x 50 + 45 + 2 x 100; 4.25 m3 x 10 kg/m3; a quarter of 1 kW x 100 kg/kW
    let fixed = 545.0 + 42.5 + 25.0;
    let gas = 1.5 * value(&o, "oxygen_used_kg") + 1.25 * value(&o, "nitrogen_used_kg");
    let water = 1.1 * value(&o, "water_used_kg");
    let hours = value(&o, "overhead_h") + value(&o, "upkeep_h");
    near(value(&o, "system_mass_kg"), fixed + gas + water + 2.0 * hours, "system mass");
    let block = m.arms[0].blocks.mass.unwrap();
    let parts = &o.breakdown[block..block + MASS_PARTS.len()];
    near(parts[0], 545.0, "hardware");
    near(parts[1], 42.5, "volume");
    near(parts[2], 25.0, "power");
    near(parts[7], 2.0 * hours, "crew time");
    near(parts.iter().sum(), value(&o, "system_mass_kg"), "parts");
    // The brush gives no mass; it is counted as a part without one.
    assert_eq!(m.arms[0].hardware.unweighed, [0, 0, 0, 1, 0]);
    // A volume without an envelope takes up what is free in it; nothing else gives one.
    assert_eq!(m.arms[0].hardware.unsized_parts, [0, 2, 1, 1, 2]);
    let sizes = m.arms[0].blocks.volume.unwrap();
    assert_eq!(o.breakdown[sizes..sizes + 2], [4.25, 0.0]);
}

/// Envelopes: the lock 12 m3 instead of the 4.25 m3 free in it, hatches 0.3 m3, the pump 0.2 m3, two
/// suits 1.5 m3, and a hatch of the habitat itself with its mass.
#[test]
fn what_takes_up_volume_counts() {
    let side = "[element.habitat.opening.side]\nkind = \"pressure hatch\"\nrest = \"shut\"\n\
                between = [\"cabin\", \"outside\"]\nmass = \"60 kg\"\nenvelope = \"0.5 m3\"\n";
    let m = weighed()
        .patch("mass = \"100 kg\"", "mass = \"100 kg\"\nenvelope = \"1.5 m3\"")
        .patch_access("lock = { mass", "lock = { envelope = \"12 m3\", mass")
        .patch_access("mass = \"50 kg\"", "envelope = \"0.3 m3\", mass = \"50 kg\"")
        .patch_access("main = { mass", "main = { envelope = \"0.2 m3\", mass")
        .add(side)
        .model();
    let o = play(&m, 0);
    let (block, sizes) = (m.arms[0].blocks.mass.unwrap(), m.arms[0].blocks.volume.unwrap());
    let volume = 12.0 + 2.0 * 0.3 + 0.2 + 2.0 * 1.5 + 0.5;
    near(o.breakdown[sizes], volume, "volume");
    near(o.breakdown[block], 545.0 + 60.0, "hardware");
    near(o.breakdown[block + 1], 10.0 * volume, "mass of the volume");
    assert_eq!(m.arms[0].hardware.unsized_parts, [0, 0, 0, 1, 0]);
}

/// All of the peak counts where the file says that nothing else can be shed; the peak itself stands in
/// the table of complexity.
#[test]
fn peak_power_counts_by_its_share() {
    let m = weighed().patch("duty_share = 0.25", "duty_share = 1").model();
    let o = play(&m, 0);
    near(o.breakdown[m.arms[0].blocks.mass.unwrap() + 2], 100.0, "power");
    let peak = m.arms[0].complexity.iter().find(|c| c.item == "peak power").unwrap();
    assert_eq!((peak.count, peak.unit), (Some(1.0), "kW"));
}

/// Half an hour for each opening with a seal, an hour for the outer hatch, ten minutes for the whole:
/// four inspections in 30 d (7, 14, 21, 28).
#[test]
fn inspections_take_their_time_by_opening() {
    let more = "inspection_every = \"7 d\"\ninspection_hours = \"10 min\"\n\
                inspection_takes = \"30 min\"\n[crew]";
    let each = Case::base().patch("[crew]", more);
    let hours = |case: Case| value(&play(&case.model(), 0), "upkeep_h");
    let none = hours(Case::base());
    near(hours(each.clone()) - none, 4.0 * (1.0 / 6.0 + 2.0 * 0.5), "two hatches");
    let outer = each.patch_access("outer = { kind", "outer = { inspection_takes = \"1 h\", kind");
    near(hours(outer) - none, 4.0 * (1.0 / 6.0 + 1.5), "the outer hatch by itself");
}

/// What an opening takes is drawn at every inspection: the spread of the sum is that of 29 draws, not of
/// one (a uniform law of 0 to 2 h; sample variance within 4 standard errors, 6.3e-5).
#[test]
fn inspection_times_of_an_opening_are_drawn_each_time() {
    let more = "inspection_every = \"1 d\"\n[crew]";
    let case = Case::base().patch("[crew]", more).patch_access(
        "outer = { kind",
        "outer = { inspection_takes = { low = \"0 h\", high = \"2 h\" }, kind",
    );
    let m = case.model();
    let hours = super::played::sample(&m, 0, 2000, |o| value(o, "upkeep_h"));
    let mean = hours.iter().sum::<f64>() / hours.len() as f64;
    let squares: Vec<f64> = hours.iter().map(|h| (h - mean) * (h - mean)).collect();
    super::played::within(&squares, 29.0 * 4.0 / 12.0, "variance of 29 draws");
}

/// Spares of 3 kg: the pump is replaced after 10 and 20 d, and at 30 if that is within.
#[test]
fn spares_used_weigh() {
    let law = "life = \"1e9 d\", shape = 3";
    let more = "repair = { takes = \"0 h\", crew = 0, replace_every = \"10 d\", spare = \"kit\" }";
    let mode = super::played::mode("ages", "pump", "per calendar hour", law, "pump lost", more);
    let m = weighed()
        .add(&mode)
        .add("[spare]\nkit = { count = 9, mass = \"3 kg\", envelope = \"0.02 m3\" }\n")
        .model();
    let o = play(&m, 0);
    let block = m.arms[0].blocks.mass.unwrap();
    assert!(value(&o, "spares_used") >= 2.0);
    near(o.breakdown[block + 6], 3.2 * value(&o, "spares_used"), "spares");
}

#[test]
fn without_factors_there_is_no_mass() {
    let m = Case::base().model();
    let o = play(&m, 0);
    assert!(o.facts.read(vestibule::measure::measure("system_mass_kg").unwrap()).is_none());
    assert!(m.arms[0].blocks.mass.is_none());
}

/// Two locks that differ in mass and in what a sortie costs.
fn two() -> Model {
    let light = weighed().access[0]
        .1
        .replace("200 kg", "150 kg")
        .replace("recovery = 0.95", "recovery = 0.5");
    weighed()
        .include("light-lock.toml", &light)
        .add(
            "[architecture.light]\ntitle = \"light\"\nways_back = []\nsuits = [{ suit = \"plain\", \
             count = 2, at = \"main.lock\" }]\n[architecture.light.port.main]\nelement = \"habitat\"\n\
             access = \"light-lock\"\n[ranking.mass-and-gas]\nmeasures = [\"system_mass_kg\", \
             \"gas_lost_kg\"]\nweights = { system_mass_kg = 1, gas_lost_kg = 1000 }\n",
        )
        .model()
}

fn stood(m: &Model) -> Standing<'_> {
    let mut books = StandingBooks::new(m);
    let (stop, progress) = (AtomicBool::new(false), AtomicU64::new(0));
    let order =
        Order { campaigns: 8, threads: NonZero::new(2).unwrap(), stop: &stop, progress: &progress };
    let take = |campaign: u64, rows: &CampaignRows| -> Result<(), std::convert::Infallible> {
        books.take(campaign, rows);
        Ok(())
    };
    experiment::run(m, order, Some(take), None).unwrap();
    books.finish()
}

/// 50 kg lighter at the start and so much heavier a day, nothing by chance.
#[test]
fn break_even_of_two_locks_by_hand() {
    let m = two();
    let standing = stood(&m);
    let of = |arm: usize| {
        let mut player = vestibule::campaign::Player::new(&m);
        value(player.play_one(arm, 0), "system_mass_kg")
    };
    let per_day = (of(1) - of(0) + 50.0) / 30.0;
    assert!(per_day > 0.0);
    let BreakEven::At(at, Some(low), Some(high)) = break_even(&standing.masses(0), 2.0) else {
        panic!("a break-even");
    };
    near(at, 50.0 / per_day, "break-even");
    near(low, at, "nothing varies");
    near(high, at, "nothing varies");
}

#[test]
fn what_is_best_on_one_and_worst_on_another_is_not_beaten() {
    let m = two();
    let standing = stood(&m);
    let own = m.review.rankings.iter().position(|r| r.name == "mass-and-gas").unwrap();
    let counts = standing.counts(own);
    // Nothing varies: the first loses less gas in every campaign, the second weighs less only if its
    // 50 kg are not yet used up by then.
    let of = |arm: usize, measure: &str| {
        value(vestibule::campaign::Player::new(&m).play_one(arm, 0), measure)
    };
    assert!(of(0, "gas_lost_kg") < of(1, "gas_lost_kg"));
    let second = u64::from(of(1, "system_mass_kg") < of(0, "system_mass_kg"));
    assert_eq!((counts.of_campaigns, &counts.campaigns), (8, &vec![8, 8 * second]));
    assert_eq!(standing.resampled(own), (vec![200, 200 * second], 200));
    // Gas counts a thousandfold: the first has the least total, whatever the resample.
    assert_eq!(standing.resampled_first(own), (vec![200, 0], 200));
}

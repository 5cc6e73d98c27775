//! Docking by rows, topping up, kilometres and range, breakdowns: against hand arithmetic.

use super::played::*;
use crate::support::{Case, play, value};
use vestibule::campaign::Player;
use vestibule::model::Model;
use vestibule::outcome::Outcome;

/// Minutes of the undocking rows and of the docking rows below, per transfer.
const UNDOCK: f64 = 3.0 + 3.0 + 2.0 + 2.0 + 4.0 + 4.0 + 5.0;
const DOCK: f64 = 6.0 + 10.0 + 3.0 + 3.0 + 2.0 + 2.0 + 4.0 + 4.0;
/// Free volume of the space between the hatches, m3.
const TUNNEL: f64 = 0.8;

const SLEEVE: &str = r#"
[volume]
tunnel = { free = "0.8 m3", rest = "cabin" }
[opening]
near = { kind = "pressure hatch", between = ["cabin", "tunnel"], clear = "1 m", rest = "shut", docking = true }
far = { kind = "pressure hatch", between = ["tunnel", "habitat.cabin"], clear = "1 m", rest = "shut" }
[list]
undock = [
  { action = "open", on = "far", takes = "3 min" },
  { action = "open", on = "near", takes = "3 min" },
  { action = "pass", on = "far", takes = "2 min" },
  { action = "pass", on = "near", takes = "2 min" },
  { action = "close", on = "far", takes = "4 min" },
  { action = "close", on = "near", takes = "4 min" },
  { action = "vent", on = "tunnel", takes = "5 min" },
]
dock = [
  { action = "repress", on = "tunnel", takes = "6 min" },
  { action = "leak check", on = "tunnel", takes = "10 min" },
  { action = "open", on = "near", takes = "3 min" },
  { action = "open", on = "far", takes = "3 min" },
  { action = "pass", on = "near", takes = "2 min" },
  { action = "pass", on = "far", takes = "2 min" },
  { action = "close", on = "near", takes = "4 min" },
  { action = "close", on = "far", takes = "4 min" },
]
"#;

pub const ROVER: &str = r#"
[element.rover]
kind = "rover"
volume = "12 m3"
pressure = "70.3 kPa"
band = "0.34 kPa"
oxygen = 0.265
temperature = "294.26 K"
haven_people = 2
haven_days = "5 d"
tolerates_vacuum = true
tolerates_dust = true
filter_flow = "60 m3/h"
filter_efficiency = 0.9997
height = "1.8 m"
deposition = 1.5
resuspension = "0 /h"
inside_least = 0
store = "rover"
joined = "habitat"
speed = "10 km/h"
range = "100 km"
[store.rover]
oxygen = "10 kg"
nitrogen = "10 kg"
filled_from = "gas"
[activity.drive]
from = "rover"
ports = ["aft"]
team = 2
crew = ["Ada", "Ben"]
hours = "3 h"
dust = "20 g"
traverse = { first = "5 d", every = "10 d", count = 2, days = 3, per_day = 1, drive = "18 km" }
"#;

/// A habitat that sends out a rover, and nothing else.
pub fn rover() -> Case {
    let suits = "suits = [{ suit = \"plain\", count = 2, at = \"main.lock\" }, \
                 { suit = \"plain\", count = 2, at = \"aft.lock\" }]";
    let base = Case::base();
    let walks = base.campaign.find("[activity.survey]").unwrap();
    let stores = base.campaign.find("[store.gas]").unwrap();
    let survey = base.campaign[walks..stores].to_string();
    base.patch(&survey, "")
        .patch("suits = [{ suit = \"plain\", count = 2, at = \"main.lock\" }]", suits)
        .patch("tolerates_dust = true", "tolerates_dust = true\nstore = \"gas\"")
        .include("sleeve.toml", SLEEVE)
        .add(
            "\n[architecture.lock.port.aft]\nelement = \"rover\"\naccess = \"plain-lock\"\n\
             [architecture.lock.port.sleeve]\nelement = \"rover\"\naccess = \"sleeve\"\n",
        )
        .add(ROVER)
}

fn close(got: f64, want: f64, what: &str) {
    let error = (got - want).abs() / want.abs().max(1e-300);
    assert!(error < 1e-12, "{what}: got {got:.17}, hand arithmetic {want:.17}, off by {error:e}");
}

/// A quantity of `breakdown.csv` by cause, over all ports.
pub fn cause(m: &Model, o: &Outcome, quantity: &str, cause: &str) -> f64 {
    let rows = &m.arms[0].breakdown;
    let mine = rows.iter().zip(&o.breakdown);
    mine.filter(|(r, _)| r.0 == quantity && r.1.ends_with(cause)).map(|(_, x)| x).sum()
}

/// Kilograms of cabin gas in the space between the hatches.
fn tunnel() -> f64 {
    70.3e3 * TUNNEL / (R * 294.26) * (0.265 * O2 + 0.735 * N2)
}

#[test]
fn docking_costs_its_rows_time_and_the_gas_between_the_hatches() {
    let m = rover().model();
    let o = play(&m, 0);
    assert_eq!(value(&o, "sorties_done"), 6.0);
    // Two traverses, each undocked and docked by two persons.
    close(
        cause(&m, &o, "upkeep_h", "docking"),
        2.0 * 2.0 * (UNDOCK + DOCK) / 60.0,
        "docking hours",
    );
    // A vent ends at 1 kPa above ambient; what is left goes when the hatches part.
    let vent = cause(&m, &o, "gas_lost_kg", "sleeve: vent");
    close(vent, 2.0 * tunnel() * (70.3 - 1.0) / 70.3, "vented between the hatches");
    let rest = cause(&m, &o, "gas_lost_kg", "sleeve: rest at opening");
    close(rest, 2.0 * tunnel() / 70.3, "left between the hatches");
    // It belongs to no sortie.
    let lock = value(&o, "gas_lost_per_sortie_kg") * 6.0;
    let suits = cause(&m, &o, "gas_lost_kg", "suit leak");
    let all = lock + suits + 2.0 * tunnel();
    close(value(&o, "gas_lost_kg"), all, "gas of sorties, suits and docking");
}

#[test]
fn a_store_that_is_topped_up_holds_all_it_held_after_docking_and_takes_no_more_than_there_is() {
    // Six sorties lose more than the oxygen of one: without topping up the later ones stand down.
    let lean = |kg: &str, from: &str| {
        rover()
            .patch(
                "oxygen = \"10 kg\"\nnitrogen = \"10 kg\"\nfilled_from = \"gas\"",
                &format!("oxygen = \"{kg}\"\nnitrogen = \"10 kg\"{from}"),
            )
            .model()
    };
    let filled = play(&lean("3 kg", "\nfilled_from = \"gas\""), 0);
    let alone = play(&lean("3 kg", ""), 0);
    assert_eq!(value(&filled, "sorties_done"), 6.0);
    assert!(value(&alone, "sorties_done") < 6.0, "{} done", value(&alone, "sorties_done"));
    // A transfer is no loss: the same six sorties cost the same whoever holds the gas.
    let rich = play(&lean("60 kg", ""), 0);
    close(value(&filled, "gas_lost_kg"), value(&rich, "gas_lost_kg"), "lost with and without");
}

/// The store of the rover has leaked away when it is back: nothing of its own fills what lies between the hatches.
/// Whoever is at home opens the lines, and they come over.
#[test]
fn an_empty_store_does_not_keep_them_in_a_docked_rover() {
    let m = rover()
        .patch("nitrogen = \"10 kg\"\nfilled_from", "nitrogen = \"10.8 kg\"\nfilled_from")
        .patch(
            "height = \"1.8 m\"\ndeposition",
            "leak = \"2 kg/d\"\nheight = \"1.8 m\"\ndeposition",
        )
        .model();
    let (story, o) = vestibule::campaign::tell(&m, 0, 0);
    identities(&o, "an empty store");
    let said = |words: &str| story.lines.iter().filter(|l| l.text.contains(words)).count();
    assert!(said("store rover has run dry") >= 2, "on either traverse");
    assert_eq!(said("come over from rover"), 2);
}

#[test]
fn a_docking_hatch_that_sticks_keeps_the_traverse_at_home() {
    let stuck =
        mode("latch", "sleeve.near", "per docking transfer", "probability = 1.0", "stuck shut", "");
    let m = rover().add(&stuck).model();
    let o = play(&m, 0);
    assert_eq!(value(&o, "sorties_done"), 0.0);
    assert_eq!(value(&o, "sorties_cancelled"), 6.0);
    let lost = value(&o, "eva_lost_h");
    close(cause(&m, &o, "eva_lost_h", "latch"), lost, "hours lost to the latch");
    assert_eq!(value(&o, "haven_demands"), 0.0);
}

#[test]
fn days_on_the_move_use_up_the_range() {
    // 18 km out; 70 km of range leave 34 km less the way back: one day of 20 km, not two.
    let days = |range: &str| {
        let m = rover()
            .patch("drive = \"18 km\"", "drive = \"18 km\", each_day = \"20 km\"")
            .patch("range = \"100 km\"", &format!("range = \"{range}\""))
            .model();
        let o = play(&m, 0);
        (value(&o, "sorties_done"), cause(&m, &o, "eva_lost_h", "rover range"))
    };
    assert_eq!(days("100 km"), (6.0, 0.0));
    let (done, lost) = days("70 km");
    assert_eq!(done, 4.0);
    close(lost, 2.0 * 2.0 * 3.0, "hours of the third day, two traverses of two");
}

/// Every kilometre breaks the rover down.
fn breaks(more: &str) -> String {
    mode("wheel", "rover", "per km driven", "rate = \"100 /km\"", "cannot travel", more)
}

#[test]
fn who_can_walk_home_walks_when_the_time_to_mend_is_over() {
    let m = rover().add(&breaks("")).model();
    let o = play(&m, 0);
    // It breaks down in the first kilometre; a day later two walk one kilometre, 15 min, and come in.
    assert_eq!(value(&o, "haven_demands"), 2.0);
    assert_eq!(value(&o, "haven_planned"), 2.0);
    assert_eq!(value(&o, "sorties_done"), 0.0);
    // Nobody brings it home: the second traverse does not start.
    assert_eq!(value(&o, "sorties_cancelled"), 6.0);
    // Somebody inside makes the empty lock ready for them: inner hatch, pump, valve.
    let ready = 3.0 + 4.25 / 0.40 * (70.3e3 / (2.0 * PSI)).ln() + 3.0;
    let clock = pump() + AFTER_DEPRESS + 15.0 + ready + TO_SAFE;
    let margin = 7.0 * 60.0 + 30.0 - clock;
    close(value(&o, "haven_margin_min"), margin, "margin after the walk");
}

#[test]
fn too_far_to_walk_they_wait_for_the_last_day_and_then_set_out_all_the_same() {
    // 60 km at 4 km/h are 15 h on 7.5 h of supply.
    let m = rover()
        .patch("drive = \"18 km\"", "drive = \"60 km\"")
        .patch("range = \"100 km\"", "range = \"200 km\"")
        .add(&mode("wheel", "rover", "per km driven", "rate = \"0.0001 /km\"", "cannot travel", ""))
        .model();
    let mut player = Player::new(&m);
    let mut seen = 0;
    for i in 0..400 {
        let o = player.play_one(0, i).clone();
        identities(&o, "breakdown");
        if value(&o, "haven_late") > 0.0 {
            seen += 1;
            assert_eq!(value(&o, "haven_late"), 2.0, "campaign {i}");
        }
    }
    assert!(seen > 0, "no campaign broke down far from home");
}

#[test]
fn a_rover_without_a_crew_fetches_them() {
    let second = ROVER
        .split("[store.rover]")
        .next()
        .unwrap()
        .replace("element.rover", "element.cart")
        .replace("range = \"100 km\"", "range = \"200 km\"")
        .replace("joined = \"habitat\"", "picks_up = true");
    let far = rover()
        .patch("drive = \"18 km\"", "drive = \"60 km\"")
        .patch("range = \"100 km\"", "range = \"200 km\"");
    // Only the wagon breaks down.
    let wheel = mode("wheel", "wagon", "per km driven", "rate = \"0.02 /km\"", "cannot travel", "");
    let named = |mut c: Case| {
        for at in ["element.", "from = \"", "element = \""] {
            c.campaign = c.campaign.replace(&format!("{at}rover"), &format!("{at}wagon"));
        }
        c
    };
    let alone = named(far.clone()).add(&wheel).model();
    let fetched = named(far).add(&second).add(&wheel).model();
    let late = |m: &Model| -> f64 {
        let mut p = Player::new(m);
        (0..40).map(|i| value(p.play_one(0, i), "haven_late")).sum()
    };
    assert!(late(&alone) > 0.0);
    assert_eq!(late(&fetched), 0.0);
}

#[test]
fn who_cannot_leave_a_rover_is_missed_when_its_days_and_suits_are_used_up() {
    // The hatch of the rover's lock opens for nobody, and it breaks down in the first kilometre.
    let shut = mode("hinge", "aft.outer", "on opening", "probability = 1.0", "stuck shut", "");
    let m = rover().add(&breaks("")).add(&shut).model();
    let o = play(&m, 0);
    identities(&o, "shut in");
    assert_eq!(value(&o, "haven_missed"), 2.0);
    assert_eq!(value(&o, "campaign_haven_missed"), 1.0);
    // Five days of haven from the breakdown, a tenth of an hour after undocking on day 5.
    let days = value(&o, "campaign_length_d");
    assert!((10.0..10.5).contains(&days), "ended on day {days}");
}

/// The rover is no shelter. First sortie on day 5.5; the flare is announced on day 6.65 and begins on
/// day 6.9. Who turns round is home, 18 km at 10 km/h, before it begins; who stays is out there until the
/// traverse ends on day 8 and they have come over.
#[test]
fn a_warning_turns_the_rover_home() {
    let storm = |returns: bool| {
        let m = rover()
            .patch("tolerates_dust = true\nfilter_flow = \"60", "tolerates_dust = true\nshelter = false\nfilter_flow = \"60")
            .add(&format!(
                "\n[environment.flare]\nevery = \"100 d\"\nfirst = \"6.9 d\"\nwarning = \"6 h\"\n\
                 lasts = \"2 d\"\neffect = \"stand down\"\nshelter = true\nrovers_return = {returns}\n"
            ))
            .model();
        let o = play(&m, 0);
        let lost = cause(&m, &o, "eva_lost_h", "flare");
        (value(&o, "sorties_done"), lost, cause(&m, &o, "unsheltered_h", "flare"))
    };
    let (stays, lost, exposed) = storm(false);
    let (turns, more, sheltered) = storm(true);
    assert_eq!(stays, turns);
    close(lost, more, "hours lost to the flare");
    assert_eq!(sheltered, 0.0);
    // 1.8 h of driving, then the rows of docking up to both having passed the far hatch.
    let least = 2.0 * ((8.0 - 6.9) * 24.0 + 1.8);
    assert!((least..least + 2.0 * DOCK / 60.0).contains(&exposed), "{exposed} person-hours");
}

/// The latch gives at its second opening, which is the one on the way home, and nobody can mend it.
#[test]
fn who_comes_home_to_a_stuck_docking_hatch_goes_round_by_the_locks() {
    let latch = "\n[failure.latch]\non = \"sleeve.near\"\nwhen = \"on opening\"\n\
                 law = { life = 1.5, shape = 100 }\neffect = \"stuck shut\"\n";
    let m = rover().add(latch).model();
    let o = play(&m, 0);
    identities(&o, "stuck latch");
    assert_eq!(value(&o, "sorties_done"), 3.0);
    assert_eq!(value(&o, "sorties_cancelled"), 3.0);
    // Undocked once; coming home the tunnel was filled once, and checked before each try of the hatch.
    let (story, _) = vestibule::campaign::tell(&m, 0, 0);
    let tries = story.lines.iter().filter(|l| l.text.contains("`open near` fails")).count();
    assert!(tries > 0, "they tried the hatch");
    let docking = 2.0 * (UNDOCK + 6.0 + tries as f64 * (10.0 + 3.0)) / 60.0;
    close(cause(&m, &o, "upkeep_h", "docking"), docking, "docking hours");
    // Three sorties of two and one way home of two.
    assert_eq!(value(&o, "haven_demands"), 8.0);
    assert_eq!(value(&o, "haven_planned"), 8.0);
    assert_eq!(value(&o, "campaign_haven_missed"), 0.0);
}

/// Two rovers, the slow one first in the file: who rides from the other goes at its speed, as planned and
/// as played.
#[test]
fn a_ride_goes_at_the_speed_of_the_rover_that_is_used() {
    let case = rover();
    let start = case.campaign.find("[element.rover]").unwrap();
    let end = start + case.campaign[start..].find("[store.rover]").unwrap();
    let slow = case.campaign[start..end]
        .replace("element.rover", "element.cart")
        .replace("speed = \"10 km/h\"", "speed = \"1 km/h\"");
    let m = case
        .patch("[element.rover]", &format!("{slow}[element.rover]"))
        .patch(
            "hours = \"3 h\"\ndust",
            "hours = \"3 h\"\nby = \"rover outside\"\ndistance = \"1 km\"\ndust",
        )
        .model();
    let o = play(&m, 0);
    close(value(&o, "eva_planned_h"), 12.0 * 3.2, "planned: three hours and 2 km at 10 km/h");
    assert_eq!(value(&o, "eva_limited_h"), 0.0, "no task is shorter for a slower ride");
    close(value(&o, "eva_done_h"), 12.0 * 3.2, "done");
}

/// A rover whose lock is entered from outside as the way back `chamber`; its inner hatch rests shut. The
/// outer hatch of the habitat's lock does not open inward for two who work outside from `at`.
fn chamber(at: &str, crew: &str) -> Case {
    let way = "[list.way_back.chamber]\nfrom = \"outside\"\nrows = [\n  \
               { action = \"depress\", on = \"lock\", to = \"2 psi\" },\n  \
               { action = \"vent\", on = \"lock\", takes = \"3 min\" },\n  \
               { use = \"ingress\", until = \"doff suit\" },\n]\n";
    let during = "during = \"ingress\"";
    let base = rover();
    let lock = &base.access.iter().find(|a| a.0 == "plain-lock.toml").expect("the lock").1;
    // The inner hatch of the rover's lock rests shut.
    let open = "{ action = \"open\", on = \"inner\", takes = \"2 min\" },\n";
    let pass = "  { action = \"pass\", on = \"inner\", each = \"in turn\", takes = \"1 min\" },\n";
    let shut = "  { action = \"close\", on = \"inner\", takes = \"1 min\" },\n";
    let aft = lock
        .replace("rest = \"open\", air_share", "rest = \"shut\", air_share")
        .replace(
            &format!("{pass}  {{ action = \"don\""),
            &format!("  {open}{pass}  {{ action = \"don\""),
        )
        .replace(
            &format!("{pass}  {{ action = \"recharge\""),
            &format!("{pass}{shut}  {{ action = \"recharge\""),
        );
    base.include("aft-lock.toml", &(aft + way))
        .patch(
            "port.aft]\nelement = \"rover\"\naccess = \"plain-lock\"",
            "port.aft]\nelement = \"rover\"\naccess = \"aft-lock\"",
        )
        .patch("ways_back = []", "ways_back = [\"chamber\"]")
        .add(&format!(
            "\n[activity.survey]\nfrom = \"habitat\"\nports = [\"main\"]\nteam = 2\n\
             crew = [{crew}]\nat = [\"{at}\"]\nhours = \"4 h\"\ndust = \"50 g\"\n",
        ))
        .add(&mode("hinge", "main.outer", "on opening", "probability = 1.0", "stuck shut", during))
}

/// Kept out of the habitat, two come into the lock of the rover that stands docked, and its inner hatch is
/// shut. It moves: they go into the cabin and home across the docking hatch, and later out with the rover.
#[test]
fn who_waits_in_a_chamber_goes_into_the_cabin_and_home() {
    let m = chamber("1 d", "\"Ada\", \"Ben\"").model();
    let o = play(&m, 0);
    identities(&o, "home from a chamber");
    assert_eq!(value(&o, "haven_way_back"), 2.0);
    assert_eq!(value(&o, "campaign_haven_missed"), 0.0);
    assert!(value(&o, "sorties_done") > 1.0, "both are home and set out again");
}

/// The rover is on its way home when two are kept out of the habitat: it is waited for, and is entered when
/// it has come and not before. Too far away it is not waited for.
#[test]
fn a_rover_on_its_way_home_is_waited_for() {
    let case = |at: &str| {
        chamber(at, "\"Cleo\", \"Dora\"")
            .patch("\"Cleo\"]", "\"Cleo\", \"Dora\", \"Emil\"]")
            .patch("haven_people = 2", "haven_people = 4")
            .model()
    };
    let m = case("7.75 d");
    let (story, o) = vestibule::campaign::tell(&m, 0, 0);
    let at = |what: &str| {
        let line = story.lines.iter().find(|l| l.text.contains(what));
        line.unwrap_or_else(|| panic!("no {what}: {:#?}", story.lines)).time
    };
    // It sets out on the eighth day and drives 18 km at 10 km/h.
    let arrives = 8.0 * 86_400.0 + 1.8 * 3600.0;
    let wait = "Cleo and Dora wait for a rover on its way here, ";
    let line = story.lines.iter().find(|l| l.text.starts_with(wait)).expect("they wait");
    let minutes: f64 = line.text[wait.len()..].trim_end_matches(" min").parse().expect("minutes");
    assert!(line.time < arrives);
    assert!((line.time + minutes * 60.0 - arrives).abs() <= 30.0, "{} at {}", line.text, line.time);
    assert!((at("way back tried: rover/aft/chamber") - arrives).abs() < 1e-6);
    assert_eq!(value(&o, "haven_way_back"), 2.0);
    assert_eq!(value(&o, "campaign_haven_missed"), 0.0);
    // Kept out 157 minutes before it sets out, with 171 minutes left.
    let o = play(&case("7.61 d"), 0);
    assert_eq!(value(&o, "haven_missed"), 2.0);
}

/// On the traverse the partner does not get the casualty through the inner hatch of the rover's lock, at
/// cabin pressure: both are in and walk on, and home with the rover. Nobody stays in the lock.
#[test]
fn who_does_not_get_through_a_hatch_at_pressure_walks_on() {
    let pass = "{ action = \"pass\", on = \"inner\", each = \"in turn\", takes = \"1 min\" },\n  \
                { action = \"recharge\"";
    let hard = pass.replace(
        "\"1 min\" }",
        "\"1 min\", incapacitated = { takes = \"10 min\", probability = 0.0 } }",
    );
    let more = "severity = \"must be carried\"\noff_duty = \"1 d\"\n";
    let m = rover()
        .patch_in("plain-lock.toml", pass, &hard)
        .add(&mode("hurt", "crew", "per sortie", "probability = 1.0", "crew incapacitated", more))
        .model();
    let o = play(&m, 0);
    identities(&o, "through at last");
    assert_eq!(value(&o, "campaign_haven_missed"), 0.0);
    // The first and the last day of each traverse; a day off after each.
    assert_eq!(value(&o, "haven_planned"), 2.0 * 4.0);
    assert_eq!(cause(&m, &o, "eva_lost_h", "interlock"), 0.0);
    // Nobody lives in the lock: what is in its air is breathed on the way in and out alone, each time
    // for the rows between `repress` and the cabin, an hour at most.
    let most = 4.0 * (30.0 + 3.0 + 5.0 + 40.0 + 15.0 + 2.0 + 10.0) / 60.0;
    assert!(value(&o, "dust_over_limit_h") < most, "{} h", value(&o, "dust_over_limit_h"));
}

/// Sorties of a traverse begin at 8:00 of its five days; its crew drives out on the eve at 17:00, on in
/// the evenings and home after the fifth: no sortie lies before the drive out or after the one home.
#[test]
fn who_has_an_hour_drives_in_the_evenings() {
    let file = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("runs/larkspur/campaign.toml");
    let scenario = vestibule::scenario::read(&file).scenario.expect("larkspur reads");
    let m =
        vestibule::model::compile(&vestibule::check::check(scenario).0.expect("it holds together"));
    let (day, hour) = (86_400.0, 3600.0);
    assert_eq!(m.traverses.len(), 8);
    for (i, t) in m.traverses.iter().enumerate() {
        let first = (6.0 + 20.0 * i as f64) * day;
        assert_eq!((t.depart, t.end), (first - 7.0 * hour, first + 4.0 * day + 17.0 * hour));
        let slots = m.slots.iter().filter(|s| usize::from(s.traverse) == i);
        let begin: Vec<f64> = slots.map(|s| (s.time - first) / hour).collect();
        assert_eq!(begin, [8.0, 32.0, 56.0, 80.0, 104.0]);
    }
}

//! Plans and what keeps them from being done: a store that runs low, a port in use, weather; and
//! things that must change nothing.

use super::played::*;
use crate::support::{Case, value};
use vestibule::campaign::Player;
use vestibule::outcome::Outcome;

/// Each sortie loses the same nitrogen; a way back through a second lock holds a fill of it back.
/// The store holds the fill and four and a half sorties: five slots are stood down.
#[test]
fn a_store_that_runs_low() {
    let per_pa = 0.735 * N2 / (R * 294.26);
    let (volume, stop) = (4.25 - 2.0 * 0.15, 2.0 * PSI);
    let sortie = per_pa * (volume * (0.05 * (70.3e3 - stop) + stop) + let_down(2.0));
    let fill = per_pa * 4.25 * 70.3e3;
    let nitrogen = fill + 4.5 * sortie;
    let side = format!(
        "{}\n[list.way_back.come-in]\nfrom = \"outside\"\nrows = [{{ use = \"ingress\" }}]\n",
        Case::base().access[0].1
    );
    let case = Case::base()
        .include("side-lock.toml", &side)
        .patch("ways_back = []", "ways_back = [\"side.come-in\"]")
        .patch("tolerates_vacuum = true", "tolerates_vacuum = true\nstore = \"gas\"")
        .patch("nitrogen = \"120 kg\"", &format!("nitrogen = \"{nitrogen} kg\""))
        .add("[architecture.lock.port.side]\nelement = \"habitat\"\naccess = \"side-lock\"\n");
    let m = case.model();
    let o = first(&m);
    assert_eq!(value(&o, "sorties_done"), 4.0);
    assert_eq!(value(&o, "sorties_cancelled"), 5.0);
    near(lost_to(&m, 0, &o, "store"), 5.0 * 8.0, "hours lost to the store");
    near(value(&o, "nitrogen_used_kg"), 4.0 * sortie, "nitrogen lost");
}

/// A lock that is brought to rest before anybody goes out: `repress` and `open` of what holds
/// already cost nothing.
fn shared_lock(wait: &str) -> Case {
    let at_rest = "egress = [\n  { action = \"repress\", on = \"lock\", takes = \"6 min\", \
    who = \"inside\" },\n  \
         { action = \"open\", on = \"inner\", takes = \"2 min\" },\n";
    let second = "\n[activity.second]\nfrom = \"habitat\"\nports = [\"main\"]\nteam = 2\n\
         crew = [\"Cleo\", \"Dora\"]\nat = [\"1 d\"]\nhours = \"2 h\"\ndust = \"50 g\"\n";
    one_sortie()
        .patch("\"Cleo\"]", "\"Cleo\", \"Dora\", \"Eli\"]")
        .patch("haven_people = 3", "haven_people = 5")
        .patch("count = 2, at = \"main.lock\"", "count = 4, at = \"habitat.cabin\"")
        .patch("reserve = \"30 min\"", &format!("reserve = \"30 min\"\nwait_at_most = \"{wait}\""))
        .patch_access("egress = [\n", at_rest)
        .patch_access(
            "  { action = \"pass\", on = \"inner\", each = \"in turn\", takes = \"1 min\" },\n  \
             { action = \"don\", on = \"suit\", each = \"at once\", takes = \"30 min\" },\n",
            "  { action = \"don\", on = \"suit\", each = \"at once\", takes = \"30 min\" },\n  \
             { action = \"pass\", on = \"inner\", each = \"in turn\", takes = \"1 min\" },\n",
        )
        .patch_access(
            "  { action = \"doff\", on = \"suit\", each = \"at once\", takes = \"15 min\" },\n  \
             { action = \"open\", on = \"inner\", takes = \"2 min\" },\n  \
             { action = \"pass\", on = \"inner\", each = \"in turn\", takes = \"1 min\" },\n",
            "  { action = \"open\", on = \"inner\", takes = \"2 min\" },\n  \
             { action = \"pass\", on = \"inner\", each = \"in turn\", takes = \"1 min\" },\n  \
             { action = \"doff\", on = \"suit\", each = \"at once\", takes = \"15 min\" },\n",
        )
        .add(second)
}

/// Two teams want the port at the same moment. The second waits at most an hour, which is
/// overhead, and is then cancelled: `port in use`.
#[test]
fn a_port_in_use_for_too_long() {
    let m = shared_lock("60 min").model();
    let o = first(&m);
    assert_eq!(value(&o, "sorties_done"), 1.0);
    near(lost_to(&m, 0, &o, "port in use"), 2.0 * 2.0, "hours lost");
    let own = (egress() + TO_SAFE + AFTER_SAFE) / 60.0;
    near(value(&o, "overhead_h"), 2.0 * own + 2.0 * 1.0, "overhead with an hour of waiting");
}

/// It waits until the first team is outside and the port is free: the waiting is overhead, the
/// lock is brought back from vacuum first, nothing is lost.
#[test]
fn a_port_that_is_waited_for() {
    let m = shared_lock("4 h").model();
    let o = first(&m);
    assert_eq!(value(&o, "sorties_done"), 2.0);
    near(value(&o, "eva_done_h"), 2.0 * 4.0 + 2.0 * 2.0, "hours done");
    assert_eq!(value(&o, "haven_planned"), 4.0);
    let (out, back) = (egress() / 60.0, (TO_SAFE + AFTER_SAFE) / 60.0);
    let second = (6.0 + 2.0) / 60.0 + out + back;
    let first_team = out + back;
    // The first team is at the door 4 h after its egress, the second 2 h after its own, while the
    // first is still coming in: it waits, and then the lock at rest is emptied again with nobody
    // in it (rule 4: inner hatch, pump, `vent`).
    let done = out + 4.0 + back;
    let door = out + (6.0 + 2.0) / 60.0 + out + 2.0;
    assert!(door > out + 4.0 && door < done);
    let empty = 4.25 / 0.40 * (70.3e3 / (2.0 * PSI)).ln();
    let ready = (3.0 + empty + 3.0) / 60.0;
    let waits = out + (done - door) + ready;
    near(value(&o, "overhead_h"), 2.0 * (first_team + second + waits), "overhead");
}

/// A team that comes back while the port is in use waits at the door, and comes in as planned: its
/// demand runs on (rule 18).
#[test]
fn waiting_at_the_door() {
    // Out for a quarter of an hour only: back while the second team is on its way out.
    let m = shared_lock("4 h").patch("hours = \"4 h\"", "hours = \"15 min\"").model();
    let o = first(&m);
    assert_eq!(value(&o, "sorties_done"), 2.0);
    assert_eq!(value(&o, "haven_planned"), 4.0);
    let second = 6.0 + 2.0 + egress();
    let clock = pump() + AFTER_DEPRESS + second + TO_SAFE;
    near(value(&o, "haven_margin_min"), 450.0 - clock, "margin of those who waited");
}

/// Weather that stands sorties down and calls teams back, announced at a rate while none is in
/// force; one sortie at 24 h from a lock that takes next to no time.
#[test]
fn weather_calls_back() {
    let (rate, n) = (0.03, 6000);
    let storm = format!(
        "\n[environment.storm]\nrate = \"{rate} /h\"\nwarning = \"1 h\"\nlasts = \"99 h\"\n\
         effect = \"stand down\"\n"
    );
    let m = quick().add(&storm).model();
    let quiet = |h: f64| (-rate * h).exp();
    share(&sample(&m, 0, n, |o| value(o, "sorties_cancelled")), 1.0 - quiet(24.0), "cancelled");
    let back = quiet(24.0) * (1.0 - quiet(4.0));
    share(&sample(&m, 0, n, |o| value(o, "sorties_cut_short")), back, "cut short");
    // Hours lost outside after u h: 2 (4 - u), u with density rate exp(-rate u) on [0, 4].
    let short = quiet(24.0) * 2.0 * (4.0 - (1.0 - quiet(4.0)) / rate);
    let lost = 8.0 * (1.0 - quiet(24.0)) + short;
    within(&sample(&m, 0, n, |o| value(o, "eva_lost_h")), lost, "hours lost");
    let named = |o: &Outcome| value(o, "eva_lost_h") - lost_to(&m, 0, o, "storm");
    assert!(sample(&m, 0, 500, named).iter().all(|x| x.abs() < 1e-9), "all lost to the storm");
}

/// Weather that only keeps sorties from starting leaves those outside alone.
#[test]
fn weather_that_only_keeps_in() {
    let rate = 0.03;
    let fog = format!(
        "\n[environment.fog]\nrate = \"{rate} /h\"\nlasts = \"99 h\"\neffect = \"no start\"\n"
    );
    let m = quick().add(&fog).model();
    let lost = sample(&m, 0, 3000, |o| value(o, "eva_lost_h") / 8.0);
    share(&lost, 1.0 - (-rate * 24.0f64).exp(), "lost as a whole or not at all");
}

/// One sortie through a lock whose rows take a second each: the time between slot and outside does
/// not matter (30 s at 0.03 per hour: 2.5e-4 of a sortie, a tenth of a standard error).
fn quick() -> Case {
    let mut case = one_sortie();
    let text = case.access[0].1.clone();
    let (mut out, mut rest) = (String::new(), text.as_str());
    while let Some(i) = rest.find("takes = \"") {
        let end = i + 9 + rest[i + 9..].find('"').expect("a closing quote");
        out.push_str(&rest[..i]);
        out.push_str("takes = \"1 s");
        rest = &rest[end..];
    }
    out.push_str(rest);
    case.access[0].1 = out;
    case.patch_access("speed = \"0.40 m3/min\"", "speed = \"400 m3/min\"")
        .patch("prebreathe_ratio = 1.65", "prebreathe_ratio = 3")
        .patch("pressure_rate = \"13.5 psi/min\"", "pressure_rate = \"1000 psi/min\"")
}

/// Everything at once, in three architectures: the second differs by name only, the third has a
/// port more that nobody uses. Every fact, outcome and cause of every campaign has the same bits.
#[test]
fn a_name_and_an_unused_port_change_nothing() {
    let arm = |name: &str, more: &str| {
        format!(
            "\n[architecture.{name}]\ntitle = \"{name}\"\nways_back = [\"pry\"]\n\
             suits = [{{ suit = \"plain\", count = 2, at = \"main.lock\" }}]\n\
             [architecture.{name}.port.main]\nelement = \"habitat\"\n\
             access = \"plain-lock\"\n{more}"
        )
    };
    let idle = "[architecture.wider.port.idle]\nelement = \"habitat\"\naccess = \"idle-lock\"\n";
    let pry = "[list.way_back.pry]\nfrom = \"outside\"\nrows = [\n  \
         { action = \"open\", on = \"outer\", takes = { low = \"5 min\", high = \"60 min\" }, \
         frees = 0.6 },\n  \
         { use = \"ingress\", after = \"open outer\" },\n]\n";
    let lock = Case::base().access[0].1.clone();
    let m = Case::base()
        .include("idle-lock.toml", &lock)
        .patch("ways_back = []", "ways_back = [\"pry\"]")
        .patch_access("takes = \"45 min\"", "takes = { low = \"30 min\", high = \"75 min\" }")
        .add_access(pry)
        .add(&mode(
            "sticks",
            "main.outer",
            "on opening",
            "probability = 0.05",
            "stuck shut",
            "repair = { takes = \"5 h\", crew = 1, success = 0.7 }",
        ))
        .add(&mode("dead", "main.main", "on start", "probability = 0.05", "pump lost", ""))
        .add(&mode(
            "hurt",
            "crew",
            "per hour outside",
            "rate = \"0.004 /h\"",
            "crew incapacitated",
            "severity = \"must be carried\"",
        ))
        .add(
            "\n[environment.storm]\nrate = \"0.05 /d\"\nlasts = \"2 d\"\n\
             effect = \"stand down\"\n",
        )
        .add(&arm("twin", ""))
        .add(&arm("wider", idle))
        .model();
    let mut player = Player::new(&m);
    let mut eventful = 0;
    for i in 0..400 {
        let all: Vec<Outcome> = player.play(i).cloned().collect();
        all.iter().for_each(|o| identities(o, &format!("campaign {i}")));
        eventful += u32::from(value(&all[0], "eva_lost_h") > 0.0);
        for other in &all[1..] {
            for (f, (a, b)) in all[0].facts.value.iter().zip(&other.facts.value).enumerate() {
                assert_eq!(a.to_bits(), b.to_bits(), "campaign {i}, fact {f}");
            }
            assert_eq!(all[0].facts.absent, other.facts.absent);
            assert_eq!(all[0].havens, other.havens);
            assert_eq!(all[0].record, other.record);
        }
        assert_eq!(all[0].breakdown, all[1].breakdown);
    }
    assert!(eventful > 100, "something happened in {eventful} campaigns");
}

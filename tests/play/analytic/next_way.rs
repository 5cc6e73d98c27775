//! What is tried next (rules 22, 23, 31): another try only while the next way still fits; no berth before an
//! empty cabin; a way's own rows again when something was mended; whose hatch is mended first.

use super::havens::{port, way_in};
use super::played::*;
use crate::support::{Case, value};
use vestibule::campaign::tell;
use vestibule::outcome::Outcome;

/// Minutes on suit supply up to the end of the planned row that finds the outer hatch stuck: two brushed.
fn to_the_hatch() -> f64 {
    pump() + AFTER_DEPRESS + 240.0 + 10.0 + 2.0
}

/// Minutes of the ingress from `pass outer` to the end of `repress`.
const IN: f64 = 2.0 * 2.0 + 4.0 + 6.0;

/// The outer hatch is stuck. Pushing it never helps and may be tried six times; the saw takes an hour.
fn push_or_saw(push: &str) -> Case {
    let way = |name: &str, takes: &str, frees: &str| {
        format!(
            "[list.way_back.{name}]\nfrom = \"outside\"\nrows = [\n  {{ action = \"open\", on = \
             \"outer\", takes = \"{takes}\", {frees} }},\n  {{ use = \"ingress\", after = \"open \
             outer\" }},\n]\n"
        )
    };
    let during = "during = \"ingress\"";
    let law = "probability = 1";
    one_sortie()
        .patch("ways_back = []", "ways_back = [\"push\", \"saw\"]")
        .add_access(&way("push", push, "frees = 0.0, if_fails = \"retry 5\""))
        .add_access(&way("saw", "60 min", "frees = 1.0"))
        .add(&mode("sticks", "main.outer", "on opening", law, "stuck shut", during))
}

/// Pushing goes on as long as the saw still fits after another push, and no longer.
#[test]
fn another_try_only_while_the_next_way_still_fits() {
    let left = 450.0 - to_the_hatch();
    for takes in [40.0, 25.0] {
        let m = push_or_saw(&format!("{takes} min")).model();
        let o = first(&m);
        let tries = ((left - 60.0 - IN) / takes).floor();
        assert!(tries < 6.0, "else the tries end by themselves");
        assert_eq!(ended(&m, 0, &o, "saw"), 2.0, "pushes of {takes} min");
        let margin = value(&o, "haven_margin_contingency_min");
        near(margin, left - tries * takes - 60.0 - IN, "margin");
    }
}

/// The only other way opens the same hatch with no more than hands: no reason to spare time for it. Each push helps
/// with p: missed with p to the number of pushes that supply lasts for.
#[test]
fn the_same_hatch_by_hand_is_no_reason_to_stop_pushing() {
    let (p, takes) = (0.5_f64, 40.0);
    let way = |name: &str, rest: &str| {
        format!(
            "[list.way_back.{name}]\nfrom = \"outside\"\nneeds = [\"outer stuck\"]\nrows = [\n  {{ action = \
             \"open\", on = \"outer\", {rest} }},\n  {{ use = \"ingress\", after = \"open outer\" }},\n]\n"
        )
    };
    let during = "during = \"ingress\"";
    let m = one_sortie()
        .patch("ways_back = []", "ways_back = [\"push\", \"by-hand\"]")
        .add_access(&way("push", "takes = \"40 min\", frees = 0.5, if_fails = \"retry 9\""))
        .add_access(&way("by-hand", "takes = \"60 min\""))
        .add(&mode("sticks", "main.outer", "on opening", "probability = 1", "stuck shut", during))
        .model();
    let left = 450.0 - to_the_hatch();
    let pushes = ((left - IN) / takes).floor();
    let spared = ((left - 60.0 - IN) / takes).floor();
    assert!(spared < pushes && pushes < 9.0, "{spared} {pushes}");
    let missed = sample(&m, 0, 2000, |o| value(o, "campaign_haven_missed"));
    share(&missed, (1.0 - p).powf(pushes), "missed");
}

/// Two rooms: a hall between the lock and the cabin, which can be a lock too.
fn hall() -> Case {
    let way = r#"
[list.way_back.hall-as-lock]
from = "lock"
needs = ["outer stuck"]
rows = [
  { action = "close", on = "door", who = "inside", takes = "1 min" },
  { action = "vent", on = "hall", to = "outside", takes = "5 min" },
  { action = "open", on = "inner", takes = "2 min" },
  { action = "pass", on = "inner", each = "in turn", takes = "2 min" },
  { action = "close", on = "inner", takes = "4 min" },
  { action = "repress", on = "hall", takes = "6 min" },
  { action = "doff", on = "suit", each = "at once", takes = "15 min" },
  { action = "open", on = "door", takes = "2 min" },
  { action = "pass", on = "door", each = "in turn", takes = "1 min" },
]
"#;
    let door = "door = { kind = \"pressure hatch\", between = [\"cabin\", \"hall\"], clear = \
                \"0.91 m\", rest = \"open\", air_share = 0.0 }\n[pump]";
    let restore = r#"restore = [
  { action = "close", on = "outer", who = "inside", takes = "5 min" },
  { action = "repress", on = "lock", who = "inside", takes = "6 min" },
  { action = "open", on = "inner", who = "inside", takes = "2 min" },
]
ingress = ["#;
    one_sortie()
        .patch("ways_back = []", "ways_back = [\"hall-as-lock\"]")
        .patch_access("[volume]", "[volume]\nhall = { free = \"6 m3\", rest = \"cabin\" }")
        .patch_access("between = [\"cabin\", \"lock\"]", "between = [\"hall\", \"lock\"]")
        .patch_access("[pump]", door)
        .patch_access(
            "  { action = \"pass\", on = \"inner\", each = \"in turn\", takes = \"1 min\" },\n  { \
             action = \"don\"",
            "  { action = \"pass\", on = \"door\", each = \"in turn\", takes = \"1 min\" },\n  { \
             action = \"pass\", on = \"inner\", each = \"in turn\", takes = \"1 min\" },\n  { \
             action = \"don\"",
        )
        .patch_access(
            "  { action = \"pass\", on = \"inner\", each = \"in turn\", takes = \"1 min\" },\n  { \
             action = \"recharge\"",
            "  { action = \"pass\", on = \"inner\", each = \"in turn\", takes = \"1 min\" },\n  { \
             action = \"pass\", on = \"door\", each = \"in turn\", takes = \"1 min\" },\n  { \
             action = \"recharge\"",
        )
        .patch_access("ingress = [", restore)
        .add_access(way)
}

/// The lock does not seal, and neither does the hall behind them. Each time its hatch is mended the way goes on
/// from the row that failed, until supply is over: missed with p to the number of tries.
#[test]
fn mended_they_go_on_from_the_row_that_failed() {
    let p = 0.5_f64;
    let ajar = |name: &str, part: &str, p: f64, more: &str| {
        mode(name, part, "on closing", &format!("probability = {p}"), "stuck open", more)
    };
    let mends =
        "during = \"way back\"\nrepair = { takes = \"1 h\", crew = 1, from = \"anywhere\" }";
    let m = hall()
        .add(&ajar("outer-ajar", "main.outer", 1.0, "during = \"ingress\""))
        .add(&ajar("inner-ajar", "main.inner", p, mends))
        .model();
    // In the lock with the outer hatch open; the way up to `close inner`; each repair and another try.
    let begun = to_the_hatch() + 2.0 * 2.0 + 4.0 + 1.0 + 5.0 + 2.0 + 2.0 * 2.0 + 4.0;
    let tries = 1.0 + ((450.0 - begun) / (60.0 + 4.0)).floor();
    assert_eq!(tries, 3.0);
    let missed = sample(&m, 0, 2000, |o| value(o, "campaign_haven_missed"));
    share(&missed, p.powf(tries), "missed");
}

/// The outer hatch does not seal behind the two. The first way frees it for people whom it does not let in:
/// nobody steps out for that, it is closed again.
#[test]
fn nobody_steps_out_to_free_what_stands_open() {
    let wipe = "[list.way_back.wipe]\nfrom = \"lock\"\nneeds = [\"outer stuck\"]\nrows = [\n  { action = \
                \"close\", on = \"outer\", takes = \"10 min\", frees = 1.0 },\n  { use = \"ingress\", \
                after = \"close outer\" },\n]\n";
    let free = "[list.way_back.free]\nfrom = \"outside\"\nneeds = [\"outer stuck\"]\nrows = [\n  { action = \
                \"open\", on = \"outer\", takes = \"20 min\", frees = 1.0 },\n  { use = \"ingress\", after = \
                \"open outer\" },\n]\n";
    let during = "during = \"ingress\"";
    let m = one_sortie()
        .patch("ways_back = []", "ways_back = [\"free\", \"wipe\"]")
        .add_access(free)
        .add_access(wipe)
        .add(&mode("ajar", "main.outer", "on closing", "probability = 1", "stuck open", during))
        .model();
    assert_eq!(ended(&m, 0, &first(&m), "wipe"), 2.0);
}

/// One of the crew hangs at a berth behind a hatch that jams with p each time. It is mended from inside in an
/// hour, and the planned rows go on each time, though a gate of the port that they have no more need of
/// is known to be stuck: missed with p to the number of tries.
#[test]
fn mended_who_hangs_at_a_berth_goes_on() {
    let p = 0.5_f64;
    let gate = "gate = { kind = \"dust door\", between = [\"porch\", \"outside\"], rest = \
                \"shut\" }\n[list]";
    let by_the_gate = "ingress = [\n  { action = \"open\", on = \"gate\", takes = \"1 min\", \
                       if_fails = \"go on\" },\n  { action = \"close\", on = \"gate\", takes = \
                       \"1 min\" },";
    let mends = "during = \"ingress\"\nrepair = { takes = \"1 h\", crew = 1, from = \"anywhere\" }";
    let m = berths()
        .patch("team = 2\ncrew = [\"Ada\", \"Ben\"]", "team = 1\ncrew = [\"Ada\"]")
        .patch_access("[volume]", "[volume]\nporch = { free = \"2 m3\", rest = \"outside\" }")
        .patch_access("[list]", gate)
        .patch_access("ingress = [", by_the_gate)
        .add(&mode("gate-jams", "main.gate", "on opening", "probability = 1", "stuck shut", ""))
        .add(&mode(
            "hatch-jams",
            "main.port_hatch",
            "on opening",
            "probability = 0.5",
            "stuck shut",
            mends,
        ))
        .model();
    // Life support runs from 4 min before the end of egress; the gate costs one minute.
    let begun = BERTH_CLOCK + 240.0_f64 + 1.0 + 5.0 + 1.0 + 1.0 + 1.0;
    let tries = 1.0 + ((450.0 - begun) / (60.0 + 1.0)).floor();
    assert_eq!(tries, 4.0);
    let missed = sample(&m, 0, 2000, |o| value(o, "campaign_haven_missed"));
    share(&missed, p.powf(tries), "missed");
}

/// Neither suit mates, and the side hatch may not seal behind the two: they stand in an empty cabin. To mate
/// again would only take them to a berth before it; the side hatch is worked instead.
#[test]
fn nobody_mates_before_an_empty_cabin() {
    let ways = r#"
[list.way_back.cabin-as-lock]
from = "outside"
needs = ["interface stuck", "cabin tolerates vacuum", "not side stuck"]
rows = [
  { action = "vent", on = "cabin", to = "outside", takes = "10 min" },
  { action = "open", on = "side", takes = "2 min" },
  { action = "pass", on = "side", each = "in turn", takes = "2 min" },
  { action = "close", on = "side", takes = "4 min" },
  { action = "repress", on = "cabin", takes = "20 min" },
  { action = "doff", on = "suit", each = "at once", takes = "15 min" },
]
[list.way_back.mate-again]
from = "outside"
needs = ["interface stuck", "berth empty"]
rows = [
  { action = "mate", on = "interface", each = "in turn", takes = "5 min", frees = 1.0 },
  { use = "ingress", after = "mate interface" },
]
[list.way_back.wipe-the-side]
from = "cabin"
needs = ["side stuck"]
rows = [
  { action = "close", on = "side", takes = "10 min", frees = 1.0 },
  { action = "repress", on = "cabin", takes = "20 min" },
  { action = "doff", on = "suit", each = "at once", takes = "15 min" },
]
"#;
    let side = "side = { kind = \"pressure hatch\", between = [\"cabin\", \"outside\"], clear = \
                \"0.95 m\", rest = \"shut\" }\n[list]";
    let restore = r#"restore = [
  { action = "close", on = "suit_hatch", who = "inside", takes = "1 min" },
  { action = "close", on = "port_hatch", who = "inside", takes = "1 min" },
]
ingress = ["#;
    let order = "ways_back = [\"cabin-as-lock\", \"mate-again\", \"wipe-the-side\"]";
    let p = 0.5_f64;
    let fails = |name: &str, part: &str, when: &str, p: f64, during: &str| {
        let more = format!("during = \"{during}\"");
        mode(name, part, when, &format!("probability = {p}"), "stuck open", &more)
    };
    let m = berths()
        .patch("ways_back = []", order)
        .patch("names = [\"Ada\", \"Ben\", \"Cleo\"]", "names = [\"Ada\", \"Ben\"]")
        .patch("haven_people = 3", "haven_people = 2\ninside_least = 0")
        .patch_access("[list]", side)
        .patch_access("ingress = [", restore)
        .add_access(ways)
        .add(&fails("mates-not", "main.interface", "on mating", 1.0, "ingress"))
        .add(&fails("ajar", "main.side", "on closing", p, "way back"))
        .model();
    let missed = |o: &Outcome| {
        assert_eq!(o.record.ways & 0b10, 0, "nobody mates again");
        value(o, "campaign_haven_missed")
    };
    share(&sample(&m, 0, 1000, missed), p * p, "missed where it does not seal twice");
}

/// Whoever is inside has begun to mend the outer hatch, ten hours of work, when the inner one shuts the team in:
/// they leave that for the hatch that somebody stands behind, and take it up afterwards.
#[test]
fn a_crew_behind_the_hatch_comes_first() {
    let repair = |takes: &str| {
        format!(
            "during = \"ingress\"\nrepair = {{ takes = \"{takes}\", crew = 1, spare = \"kit\", \
             without_spare = 0.0, from = \"anywhere\" }}"
        )
    };
    let law = "probability = 1";
    let heavy = repair("10 h") + "\nfactor = 1.0001";
    let m = one_sortie()
        .add(&mode("heavy", "main.outer", "on opening", law, "slower", &heavy))
        .add(&mode("sticks", "main.inner", "on opening", law, "stuck shut", &repair("1 h")))
        .add("[spare]\nkit = 5\n")
        .model();
    let o = first(&m);
    // From the end of `repress`: doff, the hatch that does not move, an hour of repair.
    near(value(&o, "shut_in_h"), 2.0 * (15.0 + 2.0 + 60.0) / 60.0, "hours shut in");
    assert_eq!(value(&o, "spares_used"), 2.0, "both were mended");
}

/// Berths whose suits are serviced after every sortie: the cabin is emptied for it, and the third puts on
/// the suit that is kept there.
fn cabin_emptied() -> Case {
    let lists = r#"service-in = [
  { action = "suit up", on = "suit", who = "inside", each = "at once", takes = "10 min" },
  { action = "leak check", on = "suit", who = "inside", each = "at once", takes = "3 min" },
  { action = "vent", on = "cabin", to = "outside", takes = "10 min" },
  { action = "open", on = "side", takes = "2 min" },
  { action = "pass", on = "side", each = "in turn", takes = "2 min" },
  { action = "close", on = "side", takes = "4 min" },
  { action = "repress", on = "cabin", takes = "20 min" },
  { action = "doff", on = "suit", who = "all", each = "at once", takes = "15 min" },
]
service-out = [
  { action = "don", on = "suit", each = "at once", takes = "12 min" },
  { action = "suit up", on = "suit", who = "inside", each = "at once", takes = "10 min" },
  { action = "leak check", on = "suit", who = "all", each = "at once", takes = "3 min" },
  { action = "prebreathe", on = "suit", each = "at once", takes = "40 min" },
  { action = "vent", on = "cabin", to = "outside", takes = "10 min" },
  { action = "open", on = "side", takes = "2 min" },
  { action = "pass", on = "side", each = "in turn", takes = "2 min" },
  { action = "close", on = "side", takes = "4 min" },
  { action = "repress", on = "cabin", who = "inside", takes = "20 min" },
  { action = "doff", on = "suit", who = "inside", each = "at once", takes = "15 min" },
]
ingress = ["#;
    let side = "side = { kind = \"pressure hatch\", between = [\"cabin\", \"outside\"], clear = \
                \"0.95 m\", rest = \"shut\" }\n[list]";
    berths()
        .patch("at = [\"1 d\"]", "at = [\"1 d\", \"2 d\"]")
        .patch(
            "at = \"main\" }]",
            "at = \"main\" }, { suit = \"plain\", count = 1, at = \"habitat.cabin\" }]",
        )
        .patch("primary = ", "maintenance_every = 1\nmaintenance_takes = \"4 h\"\nprimary = ")
        .patch_access("[list]", side)
        .patch_access("ingress = [", lists)
}

/// Without failures it is emptied on the way in, out and in again: demands of two outside each
/// time, and of the third each of these three times.
#[test]
fn a_cabin_is_emptied_around_suits() {
    let store = "nitrogen = \"1200 kg\"";
    let o = first(&cabin_emptied().patch("nitrogen = \"120 kg\"", store).model());
    assert_eq!(value(&o, "sorties_done"), 2.0);
    assert_eq!(value(&o, "haven_demands"), 2.0 * 2.0 + 3.0);
    assert_eq!(value(&o, "haven_planned"), value(&o, "haven_demands"));
}

/// Suits go bad one by one. Where that of the third has, the cabin is not emptied around them: no list that
/// would is begun in vain.
#[test]
fn no_cabin_is_emptied_around_somebody_without_a_suit() {
    let bad = mode("bad", "suit", "per calendar hour", "rate = \"0.01 /h\"", "suit unusable", "");
    let m = cabin_emptied().add(&bad).model();
    let (mut bare, mut begun) = (0, Vec::new());
    for i in 0..100 {
        let (story, _) = tell(&m, 0, i);
        let said = |what: &str| story.lines.iter().filter(|l| l.text.contains(what)).count();
        bare += usize::from(said("bad strikes suit/plain/habitat.cabin") > 0);
        if said("`suit up suit` fails") + said("`vent cabin` fails") > 0 {
            begun.push(i);
        }
    }
    assert!(bare > 30, "their suit goes bad in {bare} of 100");
    assert!(begun.is_empty(), "begun in vain: {begun:?}");
}

/// The outer hatch does not seal behind the two, who are in a lock at vacuum: they step out again and come in
/// by the other port.
#[test]
fn who_cannot_shut_the_hatch_steps_out_to_another_port() {
    let during = "during = \"ingress\"";
    let ajar = mode("ajar", "main.outer", "on closing", "probability = 1", "stuck open", during);
    let case = one_sortie();
    let m = case
        .clone()
        .include("other-lock.toml", &way_in(&case, ""))
        .patch("ways_back = []", "ways_back = [\"other.come-in\"]")
        .add(&(port("other", "habitat", "other-lock") + &ajar))
        .model();
    let o = first(&m);
    assert_eq!(ended(&m, 0, &o, "come-in"), 2.0);
    assert_eq!(value(&o, "haven_missed"), 0.0);
}

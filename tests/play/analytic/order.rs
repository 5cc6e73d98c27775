//! Which way back is taken first, and who acts at berths (rules 22, 23).

use super::hurt::{alone_at_the_berths, hurt};
use super::played::*;
use super::seals::exact;
use crate::support::{Case, value};

/// A way that mates again at what is stuck, after so many minutes.
fn again(name: &str, minutes: u32) -> String {
    format!(
        "[list.way_back.{name}]\nfrom = \"outside\"\nrows = [\n  \
         {{ action = \"prepare\", on = \"cabin\", takes = \"{minutes} min\" }},\n  \
         {{ action = \"mate\", on = \"interface\", each = \"in turn\", takes = \"5 min\", \
         frees = 1.0 }},\n  {{ use = \"ingress\", after = \"mate interface\" }},\n]\n"
    )
}

/// A latch does not catch half the time; repaired from inside in so many minutes by one person.
fn latches(repair: &str) -> String {
    let more = format!(
        "repair = {{ takes = \"{repair}\", crew = 1, success = 1.0, from = \"inside\" }}\n\
         during = \"ingress\""
    );
    mode("latch", "main.interface", "on mating", "probability = 0.5", "stuck open", &more)
}

/// Both ways come too late: the quicker one is taken, whatever their order.
#[test]
fn of_ways_that_come_too_late_the_quickest_is_taken() {
    let margin = |order: &str| {
        let m = berths()
            .patch("ways_back = []", &format!("ways_back = [{order}]"))
            .add_access(&again("slow", 900))
            .add_access(&again("slower", 1100))
            .add(&sticks_once())
            .model();
        let o = first(&m);
        assert_eq!(value(&o, "haven_late"), 2.0, "{order}");
        value(&o, "haven_margin_contingency_min")
    };
    let (one, other) = (margin("\"slow\", \"slower\""), margin("\"slower\", \"slow\""));
    exact(one, other, "the order of ways that are too slow decides nothing");
}

/// Latches that do not catch in planned ingress and, once worked, do.
fn sticks_once() -> String {
    let during = "during = \"ingress\"";
    mode("latch", "main.interface", "on mating", "probability = 1.0", "stuck open", during)
}

/// What is repaired from inside in time comes before a way that comes too late; a repair that would be
/// too late itself does not keep them from it. Half of all latches do not catch, again after each
/// repair; 5 min for one leave room for dozens.
#[test]
fn a_repair_in_time_comes_before_a_way_that_is_too_late() {
    let count = |repair: &str, what: &str| {
        let m = berths()
            .patch("ways_back = []", "ways_back = [\"slow\"]")
            .add_access(&again("slow", 900))
            .add(&latches(repair))
            .model();
        sample(&m, 0, 64, |o| value(o, what)).iter().sum::<f64>()
    };
    assert_eq!(count("5 min", "haven_late"), 0.0);
    assert_eq!(count("5 min", "haven_planned"), 128.0);
    assert!(count("2000 min", "haven_late") > 32.0);
    assert_eq!(count("2000 min", "haven_missed"), 0.0);
}

/// No latch catches, and nothing is tried at a berth that cannot be had: a way that mates without
/// freeing costs no time, however long its row.
#[test]
fn nobody_mates_where_there_is_no_berth() {
    let vain = "[list.way_back.vain]\nfrom = \"outside\"\nrows = [\n  \
                { action = \"mate\", on = \"interface\", each = \"in turn\", takes = \"60 min\", \
                if_fails = \"retry 2\" },\n  { use = \"ingress\", after = \"mate interface\" },\n]\n";
    let margin = |order: &str| {
        let m = berths()
            .patch("ways_back = []", &format!("ways_back = [{order}]"))
            .add_access(&again("again", 10))
            .add_access(vain)
            .add(&sticks_once())
            .model();
        let o = first(&m);
        assert_eq!(value(&o, "haven_way_back"), 2.0, "{order}");
        value(&o, "haven_margin_contingency_min")
    };
    let (with, without) = (margin("\"vain\", \"again\""), margin("\"again\", \"vain\""));
    exact(with, without, "minutes at berths that cannot be had");
}

/// Both hang at their berths, the casualty cannot open, nobody is inside: the partner goes in by his own
/// berth and opens the casualty's hatches. In minutes: two mate in turn 10, gap 1, suit 1, his hatches
/// 1 + 1, doff 4; then the casualty's hatches 1 + 1.
#[test]
fn the_partner_goes_in_by_his_own_berth() {
    let way = "[list.way_back.hang]\nfrom = \"outside\"\nrows = [\n  { use = \"ingress\" },\n]\n";
    let m = alone_at_the_berths()
        .patch("ways_back = []", "ways_back = [\"hang\"]")
        .add_access(way)
        .model();
    let o = first(&m);
    assert_eq!((value(&o, "haven_way_back"), value(&o, "haven_missed")), (2.0, 0.0));
    assert_eq!(value(&o, "haven_planned"), 0.0);
    near(value(&o, "rescue_min"), 10.0 + 1.0 + 1.0 + 2.0 + 4.0 + 2.0, "minutes to safety");
}

/// The same whoever of the two is hurt: the hatches that are opened are those of the casualty's own berth.
#[test]
fn the_casualty_keeps_an_own_berth() {
    let way = "[list.way_back.hang]\nfrom = \"outside\"\nrows = [\n  { use = \"ingress\" },\n]\n";
    let m = alone_at_the_berths()
        .patch("length = \"3 d\"", "length = \"60 d\"")
        .patch("at = [\"1 d\"]", "at = [\"1 d\", \"20 d\", \"40 d\"]")
        .patch("ways_back = []", "ways_back = [\"hang\"]")
        .add_access(way)
        .model();
    let mut hurt = [0; 2];
    for i in 0..16 {
        let (story, o) = vestibule::campaign::tell(&m, 0, i);
        assert_eq!(value(&o, "haven_missed") + value(&o, "haven_late"), 0.0, "campaign {i}");
        for (n, name) in ["Ada", "Ben"].iter().enumerate() {
            hurt[n] +=
                story.lines.iter().filter(|l| l.text.ends_with(&format!("strikes {name}"))).count();
        }
    }
    assert!(hurt.iter().all(|n| *n > 0), "both are hurt at some time: {hurt:?}");
}

/// The helper has shut the dust door between the cabin and the suit backs behind the team: she opens it
/// again, and the casualty comes in as planned.
#[test]
fn a_helper_opens_dust_doors_on_the_way() {
    let case = |door: &str| -> Case {
        berths()
            .patch_access(
                "[opening]\n",
                "alcove = { free = \"3 m3\", rest = \"cabin\" }\n[opening]\n\
                 door = { kind = \"dust door\", between = [\"cabin\", \"alcove\"], rest = \"open\", \
                 clear = \"1 m\" }\n",
            )
            .patch_access("between = [\"cabin\", \"gap\"]", "between = [\"alcove\", \"gap\"]")
            .patch_access("egress = [\n", "egress = [\n  { action = \"pass\", on = \"door\", \
                 takes = \"1 min\" },\n")
            .patch_access(
                "  { action = \"leak check\", on = \"suit\", each = \"at once\", takes = \"3 min\" },\n",
                &format!("{door}  {{ action = \"leak check\", on = \"suit\", each = \"at once\", \
                 takes = \"3 min\" }},\n"),
            )
            .patch_access(
                "  { action = \"recharge\", on = \"suit\", takes = \"20 min\" },\n",
                "  { action = \"open\", on = \"door\", takes = \"1 min\" },\n  \
                 { action = \"pass\", on = \"door\", takes = \"1 min\" },\n",
            )
            .add(&hurt("per sortie", "probability = 1", ""))
    };
    let shuts = "  { action = \"close\", on = \"door\", who = \"inside\", takes = \"1 min\" },\n";
    for door in ["", shuts] {
        let o = first(&case(door).model());
        let seen = (value(&o, "haven_planned"), value(&o, "haven_missed"));
        assert_eq!(seen, (2.0, 0.0), "door: {door}");
    }
}

/// One of two latches is freed: who has least life support left goes in by it at once, the other one
/// tries again afterwards. How hard each works is drawn, so that the two have not the same left.
#[test]
fn who_has_least_left_takes_the_berth_that_works() {
    let way = "[list.way_back.again]\nfrom = \"outside\"\nrows = [\n  \
               { action = \"mate\", on = \"interface\", each = \"in turn\", takes = \"5 min\", \
               frees = 0.5, if_fails = \"retry 2\" },\n  \
               { use = \"ingress\", after = \"mate interface\" },\n]\n";
    let m = berths()
        .patch("\nwork = \"290 W\"", "\nwork = { low = \"200 W\", high = \"380 W\" }")
        .patch("ways_back = []", "ways_back = [\"again\"]")
        .add_access(way)
        .add(&sticks_once())
        .model();
    let (mut seen, mut swapped) = (0, 0);
    for i in 0..64 {
        let (story, _) = vestibule::campaign::tell(&m, 0, i);
        for line in story.lines.iter().filter(|l| l.text.contains("by the berth that takes")) {
            let least = line.left.iter().min_by(|a, b| a.1.total_cmp(&b.1)).expect("two outside");
            assert!(line.text.starts_with(&least.0), "campaign {i}: {} {:?}", line.text, line.left);
            seen += 1;
            swapped += i32::from(least.0 == "Ben");
        }
    }
    assert!(seen > 10 && swapped > 0 && swapped < seen, "{swapped} of {seen}");
}

/// One of two cannot mate and tries again once the hatches of the other are open: the other takes 4 or
/// 40 min out of the suit, which is then refilled for 20 or 60 min. Nobody on suit supply waits for that.
/// Half of all latches do not catch.
#[test]
fn nobody_on_supply_waits_for_a_recharge() {
    let margins = |recharge: &str, doff: &str| {
        let m = berths()
            .patch("ways_back = []", "ways_back = [\"again\"]")
            .patch_access(
                "{ action = \"recharge\", on = \"suit\", takes = \"20 min\" }",
                &format!("{{ action = \"recharge\", on = \"suit\", takes = \"{recharge}\" }}"),
            )
            .patch_access("takes = \"4 min\" }", &format!("takes = \"{doff}\" }}"))
            .add_access(&again("again", 10))
            .add(&latches("2000 min"))
            .model();
        let margin = vestibule::measure::measure("haven_margin_contingency_min").expect("named");
        sample(&m, 0, 64, |o| o.facts.read(margin).unwrap_or(-1.0))
    };
    let short = margins("20 min", "4 min");
    assert!(short.iter().filter(|x| **x > 0.0).count() > 32, "somebody had to try again");
    assert_eq!(short, margins("60 min", "4 min"));
    assert_eq!(short, margins("20 min", "40 min"));
}

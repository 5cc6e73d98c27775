//! Common causes (rules 30, 42): which members they join, what is known of a strike, and when.

use super::played::*;
use crate::support::{Case, value};

/// A second outer hatch and a way in by it.
const SIDE: &str = r#"
[list.way_back.side_door]
from = "outside"
rows = [
  { action = "open", on = "side", takes = "10 min" },
  { action = "pass", on = "side", each = "in turn", takes = "2 min" },
  { action = "close", on = "side", takes = "4 min" },
  { use = "ingress", after = "close outer" },
]
"#;

/// Outer and side hatch in one group by name, two rows: each with chance `p` at an opening on the way in.
fn two_hatches(p: f64, beta: f64, ways: &str, more: &str) -> Case {
    let hatch = |name: &str, during: &str| {
        let part = format!("main.{name}");
        let more = format!(
            "during = \"{during}\"\ncommon = {{ group = \"hatches\", beta = {beta} }}\n{more}"
        );
        let law = format!("probability = {p}");
        mode(&format!("{name}-sticks"), &part, "on opening", &law, "stuck shut", &more)
    };
    let side = "side = { kind = \"pressure hatch\", between = [\"lock\", \"outside\"], \
                clear = \"0.91 m\", rest = \"shut\" }\n";
    one_sortie()
        .patch("ways_back = []", &format!("ways_back = [{ways}]"))
        .patch_access("[opening]\n", &format!("[opening]\n{side}"))
        .add_access(if ways.is_empty() { "" } else { SIDE })
        .add(&(hatch("outer", "ingress") + &hatch("side", "way back")))
}

/// Two hatches, one of them the way back: nobody can come in with
/// beta p + (1 - beta p) ((1 - beta) p)^2, and the second hatch is always tried.
#[test]
fn two_hatches_one_of_them_the_way_back() {
    let (p, beta, n) = (0.3, 0.2, 8000);
    let m = two_hatches(p, beta, "\"side_door\"", "").model();
    let own = (1.0 - beta) * p;
    let both = beta * p + (1.0 - beta * p) * own * own;
    let missed = sample(&m, 0, n, |o| {
        let ways = o.record.ways;
        assert_eq!(ways != 0, value(o, "haven_planned") == 0.0, "the side door is tried");
        value(o, "campaign_haven_missed")
    });
    share(&missed, both, "both stick");
    let one = beta * p + (1.0 - beta * p) * own;
    let not_planned = sample(&m, 0, n, |o| f64::from(u8::from(value(o, "haven_planned") == 0.0)));
    share(&not_planned, one, "the outer one sticks");
}

/// Both hatches stick together and only the outer one has been touched. It is mended in an hour, the
/// team goes in, and nobody has mended the side hatch. Where the side door is tried first, it is known.
#[test]
fn who_was_not_asked_is_not_known() {
    let repair = "repair = { takes = \"1 h\", crew = 1, spare = \"hinge\", from = \"anywhere\" }";
    let case = |ways: &str| two_hatches(1.0, 1.0, ways, repair).add("[spare]\nhinge = 5\n").model();
    for (ways, spares) in [("", 1.0), ("\"side_door\"", 2.0)] {
        let o = first(&case(ways));
        assert_eq!(value(&o, "hatch_failures"), 2.0, "both struck");
        assert_eq!(value(&o, "haven_missed"), 0.0);
        assert_eq!(value(&o, "spares_used"), spares, "repairs with the ways back [{ways}]");
        assert_eq!(o.record.ways != 0, !ways.is_empty(), "the side door is tried");
    }
}

/// Two ports alike; sorties by the first. By kind a group is of one port: the first port's two hatches
/// fail. Named in two rows it joins those that the rows name, here the outer hatches of both ports.
#[test]
fn groups_by_kind_are_of_one_port() {
    let ports = || {
        one_sortie()
            .patch(
                "[architecture.lock.port.main]",
                "[architecture.lock.port.other]\nelement = \
                    \"habitat\"\naccess = \"plain-lock\"\n[architecture.lock.port.main]",
            )
            .patch(
                "at = \"main.lock\" }",
                "at = \"main.lock\" }, { suit = \"plain\", count = 2, \
                    at = \"other.lock\" }",
            )
    };
    let slow = |name: &str, on: &str| {
        let common = "common = { group = \"hatches\", beta = 1 }";
        mode(name, on, "on opening", "probability = 1", "slower", common)
    };
    let kind = ports().add(&slow("stiff", "pressure hatch"));
    assert_eq!(value(&first(&kind.model()), "hatch_failures"), 2.0);
    let named = ports().add(&(slow("one", "main.outer") + &slow("two", "other.outer")));
    assert_eq!(value(&first(&named.model()), "hatch_failures"), 2.0);
    // By kind in two rows: what both name is joined, four hatches in all.
    let doors = ports().add(&(slow("one", "main.inner") + &slow("two", "pressure hatch")));
    let o = first(&doors.model());
    assert_eq!(value(&o, "hatch_failures"), 5.0, "four hatches, and the inner one by both rows");
}

/// By kind only what is of one make is joined: of the two hatches of a port both while neither says of
/// which, the one in use alone once one of them does, both again once both say the same.
#[test]
fn groups_by_kind_are_of_one_make() {
    let common = "common = { group = \"hatches\", beta = 1 }";
    let stiff = mode("stiff", "pressure hatch", "on opening", "probability = 1", "slower", common);
    let at = |make: &str, o: &str| (format!("{o} = {{ "), format!("{o} = {{ make = \"{make}\", "));
    let lock = |makes: &[(&str, &str)]| {
        // The inner hatch rests open and is opened on the way in; the sortie ends before that.
        let case = one_sortie().add(&stiff);
        let case = makes.iter().fold(case, |c, (make, o)| {
            let (from, to) = at(make, o);
            c.patch_access(&from, &to)
        });
        let m = case.model();
        let mut members: Vec<usize> = m.arms[0].groups.iter().map(|g| g.members.len()).collect();
        members.sort_unstable();
        (members, value(&first(&m), "hatch_failures"))
    };
    assert_eq!(lock(&[]), (vec![2], 2.0));
    assert_eq!(lock(&[("wide", "outer")]).0, [1, 1]);
    assert_eq!(lock(&[("wide", "outer"), ("narrow", "inner")]).0, [1, 1]);
    assert_eq!(lock(&[("wide", "outer"), ("wide", "inner")]), (vec![2], 2.0));
}

/// One cause kills the pumps of both ports. The one in use is mended at once; the other when it is run,
/// one sortie later.
#[test]
fn a_pump_is_found_dead_when_it_is_run() {
    let dead = |name: &str, on: &str| {
        let more = "common = { group = \"pumps\", beta = 1 }\n\
                    repair = { takes = \"1 h\", crew = 1, spare = \"kit\", renews = \"as bad as old\" }";
        mode(name, on, "on start", "probability = 1", "pump lost", more)
    };
    let valve = "valve = { kind = \"valve\", between = [\"lock\", \"outside\"], rest = \"shut\", \
                 diameter = \"25 mm\" }\n";
    let case = |at: &str| {
        Case::base()
            .patch("length = \"30 d\"", "length = \"3 d\"")
            .patch("per_week = 2", at)
            .patch(
                "[architecture.lock.port.main]",
                "[architecture.lock.port.other]\nelement = \
                    \"habitat\"\naccess = \"plain-lock\"\n[architecture.lock.port.main]",
            )
            .patch(
                "at = \"main.lock\" }",
                "at = \"main.lock\" }, { suit = \"plain\", count = 2, \
                    at = \"other.lock\" }",
            )
            .add(
                "[activity.second]\nfrom = \"habitat\"\nports = [\"other\"]\nteam = 2\n\
                  crew = [\"Ada\", \"Ben\"]\nat = [\"2 d\"]\nhours = \"2 h\"\ndust = \"5 g\"\n",
            )
            .patch_access("[opening]\n", &format!("[opening]\n{valve}"))
            .add(&(dead("one", "main.main") + &dead("two", "other.main") + "[spare]\nkit = 9\n"))
            .model()
    };
    let o = first(&case("at = [\"1 d\"]"));
    assert!(value(&o, "pump_failures") >= 2.0);
    assert_eq!(value(&o, "spares_used"), 2.0);
}

/// With a rate by the calendar a group of two crosses by itself, nobody using a member: seen within three
/// days with 1 - exp(-rate x 72 h), and both have it then.
#[test]
fn a_group_crosses_by_the_calendar() {
    let rate = 0.01;
    let slow = |name: &str, on: &str| {
        let law = format!("rate = \"{rate} /h\"");
        let more = "common = { group = \"hatches\", beta = 1 }";
        mode(name, on, "per calendar hour", &law, "slower", more)
    };
    let m = one_sortie().add(&(slow("one", "main.outer") + &slow("two", "main.inner"))).model();
    let struck = sample(&m, 0, 2000, |o| {
        let hatches = value(o, "hatch_failures");
        assert_eq!(hatches % 2.0, 0.0, "both or none");
        f64::from(u8::from(hatches > 0.0))
    });
    share(&struck, 1.0 - (-rate * 72.0_f64).exp(), "struck within the campaign");
}

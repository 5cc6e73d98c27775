//! A way under way when the clock ends is finished; none starts afterwards (rule 20).

use super::played::*;
use crate::support::value;

/// Two ways at the stuck hatch, both longer than what is left. The first fails after the clocks have
/// ended: whoever would be freed by the second is missed by then, not late.
#[test]
fn no_way_starts_after_the_clock_has_ended() {
    let way = |name: &str, takes: &str, q: f64| {
        format!(
            "[list.way_back.{name}]\nfrom = \"outside\"\nrows = [\n  \
             {{ action = \"open\", on = \"outer\", takes = \"{takes}\", frees = {q} }},\n  \
             {{ use = \"ingress\", after = \"open outer\" }},\n]\n"
        )
    };
    let law = "probability = 1";
    let sticks =
        mode("sticks", "main.outer", "on opening", law, "stuck shut", "during = \"ingress\"");
    for (first_frees, missed) in [(0.0, 2.0), (1.0, 0.0)] {
        let m = one_sortie()
            .patch("ways_back = []", "ways_back = [\"pry\", \"hammer\"]")
            .add_access(&way("pry", "4 h", first_frees))
            .add_access(&way("hammer", "5 h", 1.0))
            .add(&sticks)
            .model();
        let o = first(&m);
        let [lost, late] = ["haven_missed", "haven_late"].map(|x| value(&o, x));
        assert_eq!((lost, late), (missed, 2.0 - missed), "the first way frees {first_frees}");
    }
}

/// A casualty is lifted for so long that both are at the door after their clocks have ended: the planned
/// ingress does not begin. With a short lift they come in by it.
#[test]
fn no_planned_ingress_starts_after_the_clock_has_ended() {
    let more = "severity = \"must be carried\"\n";
    for (lift, missed) in [("9 h", 2.0), ("5 min", 0.0)] {
        let m = one_sortie()
            .patch(
                "walk_speed = \"4 km/h\"",
                &format!("walk_speed = \"4 km/h\"\nlift = \"{lift}\""),
            )
            .patch("dust = \"50 g\"", "dust = \"50 g\"\ndistance = \"1 km\"")
            .add(&mode("hurt", "crew", "per sortie", "probability = 1", "crew incapacitated", more))
            .model();
        let o = first(&m);
        let [lost, late] = ["haven_missed", "haven_late"].map(|x| value(&o, x));
        assert_eq!((lost, late), (missed, 0.0), "lift {lift}");
        assert_eq!(value(&o, "haven_planned"), 2.0 - missed, "lift {lift}");
    }
}

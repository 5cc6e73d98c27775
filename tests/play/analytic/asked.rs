//! Conditions as they are asked: negated, of what is stuck, of berths; and which way `pass` rows go in a
//! list that takes them from another.

use super::played::*;
use crate::support::{Case, value};
use vestibule::plan::{Direction, ListKind};
use vestibule::scenario::Action;

const STICKS: (&str, &str, &str) = ("main.outer", "on opening", "stuck shut");

/// Two ways that free the outer hatch, each with a condition of its own, the first named first.
fn two_ways(first: &str, second: &str) -> Case {
    let way = |name: &str, needs: &str| {
        format!(
            "[list.way_back.{name}]\nfrom = \"outside\"\nneeds = [\"{needs}\"]\nrows = [\n  \
             {{ action = \"open\", on = \"outer\", takes = \"10 min\", frees = 1.0 }},\n  \
             {{ use = \"ingress\", after = \"open outer\" }},\n]\n"
        )
    };
    let (on, when, effect) = STICKS;
    one_sortie()
        .patch("ways_back = []", "ways_back = [\"one\", \"other\"]")
        .add_access(&way("one", first))
        .add_access(&way("other", second))
        .add(&mode("sticks", on, when, "probability = 1.0", effect, "during = \"ingress\""))
}

/// By which of the two ways both came in.
fn by(first_needs: &str, second_needs: &str) -> (f64, f64) {
    let m = two_ways(first_needs, second_needs).model();
    let o = first(&m);
    let outcome = |name: &str| {
        let all = m.arms[0].outcomes.iter().filter(|x| x.ends_with(name)).collect::<Vec<_>>();
        ended(&m, 0, &o, all.first().unwrap_or_else(|| panic!("no outcome {name}")))
    };
    (outcome("one"), outcome("other"))
}

/// The hatch that did not open is known stuck: `X stuck` holds and its negation does not, `not X intact`
/// likewise; a volume is stuck when an opening of it is.
#[test]
fn what_is_known_stuck_is_asked_for() {
    assert_eq!(by("outer stuck", "outer intact"), (2.0, 0.0));
    assert_eq!(by("not outer stuck", "outer stuck"), (0.0, 2.0));
    assert_eq!(by("outer intact", "not outer intact"), (0.0, 2.0));
    assert_eq!(by("inner stuck", "not inner stuck"), (0.0, 2.0));
    assert_eq!(by("lock stuck", "not casualty"), (2.0, 0.0));
    assert_eq!(by("cabin stuck", "not casualty"), (0.0, 2.0));
    assert_eq!(by("casualty", "not casualty"), (0.0, 2.0));
    assert_eq!(by("no casualty", "casualty"), (2.0, 0.0));
}

/// A hatch that does not hold its pressure check is stuck in this sense, too: known not to hold.
#[test]
fn what_is_known_not_to_hold_is_stuck() {
    let leaks = mode(
        "leaks",
        "main.outer",
        "on holding pressure",
        "probability = 1.0",
        "leak",
        "holds = false\nduring = \"ingress\"",
    );
    let way = |needs: &str| {
        format!(
            "[list.way_back.wipe]\nfrom = \"lock\"\nneeds = [\"{needs}\"]\nrows = [\n  \
             {{ action = \"close\", on = \"outer\", takes = \"4 min\" }},\n  \
             {{ action = \"repress\", on = \"lock\", takes = \"6 min\", frees = 1.0 }},\n  \
             {{ use = \"ingress\", after = \"repress lock\" }},\n]\n"
        )
    };
    for (needs, home) in [("outer stuck", 2.0), ("not outer stuck", 0.0)] {
        let m = one_sortie()
            .patch("ways_back = []", "ways_back = [\"wipe\"]")
            .add_access(&way(needs))
            .add(&leaks)
            .model();
        assert_eq!(value(&first(&m), "haven_way_back"), home, "{needs}");
    }
}

/// One of two latches does not catch. Its berth is empty and not intact, the other one is taken by the
/// partner, who went in: `berth empty` holds, `berth free` (both) does not, `berth intact` holds of
/// the taken one.
#[test]
fn a_berth_is_empty_intact_or_free() {
    let way = |needs: &str| {
        format!(
            "[list.way_back.again]\nfrom = \"outside\"\nneeds = [\"{needs}\"]\nrows = [\n  \
             {{ action = \"mate\", on = \"interface\", each = \"in turn\", takes = \"5 min\", \
             frees = 1.0 }},\n  {{ use = \"ingress\", after = \"mate interface\" }},\n]\n"
        )
    };
    let latch = mode("latch", "main.interface", "on mating", "probability = 0.5", "stuck open", "");
    for (needs, home) in [
        ("berth empty", true),
        ("not berth empty", false),
        ("berth free", false),
        ("not berth free", true),
        ("berth intact", true),
        ("interface stuck", true),
    ] {
        let case = berths().patch("ways_back = []", "ways_back = [\"again\"]");
        let m = case.add_access(&way(needs)).add(&latch).model();
        let one_bad = |i| {
            let o = crate::support::play(&m, i);
            (value(&o, "haven_planned") == 1.0).then(|| value(&o, "haven_way_back") == 1.0)
        };
        let seen: Vec<bool> = (0..64).filter_map(one_bad).collect();
        assert!(seen.len() > 5, "half of all campaigns have one bad latch");
        let as_asked = seen.iter().filter(|x| **x == home).count();
        // A latch that was freed may strike again at once (one in two).
        assert!(if home { as_asked > 0 } else { as_asked == seen.len() }, "{needs}: {seen:?}");
    }
}

/// A word that is no condition stays none with `not` before it; a condition with and without it never
/// holds.
#[test]
fn negation_is_checked() {
    let said = two_ways("not outer hammered", "casualty").try_model().err().unwrap_or_default();
    assert!(said.contains("not outer hammered"), "{said}");
    let case = two_ways("outer stuck\", \"not outer stuck", "casualty");
    let said = case.findings();
    assert!(said.contains("with and without `not`"), "{said}");
}

/// Rows of egress that a way back takes lead outward, rows of ingress inward: somebody in the lock leaves
/// it by its outer hatch and walks to where the next way begins.
#[test]
fn rows_that_are_used_keep_their_direction() {
    let way = "[list.way_back.out-and-in]\nfrom = \"lock\"\nneeds = [\"inner stuck\"]\nrows = [\n  \
        { use = \"egress\", after = \"prebreathe suit\", until = \"pass outer\" },\n  \
        { use = \"ingress\", after = \"clean brush\" },\n]\n";
    let m = one_sortie()
        .patch("ways_back = []", "ways_back = [\"out-and-in\"]")
        .add_access(way)
        .model();
    let l = &m.arms[0].layout;
    let list = l.lists.iter().find(|x| x.kind == ListKind::WayBack).expect("the way");
    let passes = list.rows.iter().filter(|r| r.action == Action::Pass);
    let ways: Vec<Direction> = passes.map(|r| r.direction).collect();
    assert_eq!(ways, [Direction::Outward, Direction::Inward, Direction::Inward]);
    assert!(list.rows.iter().all(|r| !r.egress), "nothing of it is planned egress");
}

//! Spares of repairs (rule 31): one is used when an attempt ends, none when the part came free before;
//! attempts without one have a chance of their own.

use super::played::*;
use super::rescue::{FOUR, alone};
use crate::support::{Case, value};

/// The outer hatch is found stuck on the way in; who is inside begins to mend it. Outside it is freed
/// within ten minutes.
fn freed_from_outside(repair: &str) -> Case {
    let hammer = r#"
[list.way_back.hammer]
from = "outside"
rows = [
  { action = "open", on = "outer", takes = "10 min", frees = 1 },
  { use = "ingress", after = "open outer" },
]
"#;
    let more = format!("during = \"ingress\"\n{repair}\n[spare]\nhinge = 1");
    let stuck = mode("stuck", "main.outer", "on opening", "probability = 1", "stuck shut", &more);
    one_sortie().patch("ways_back = []", "ways_back = [\"hammer\"]").add_access(hammer).add(&stuck)
}

/// The hours until it is freed are booked, the spare is not used.
#[test]
fn a_part_that_comes_free_uses_no_spare() {
    let repair = |takes: &str| {
        format!(
            "repair = {{ takes = \"{takes}\", crew = 1, spare = \"hinge\", from = \"anywhere\" }}"
        )
    };
    let o = first(&freed_from_outside(&repair("2 h")).model());
    assert_eq!(value(&o, "hatch_failures"), 1.0);
    assert_eq!(ended(&freed_from_outside(&repair("2 h")).model(), 0, &o, "hammer"), 2.0);
    assert_eq!(value(&o, "spares_used"), 0.0);
    near(value(&o, "upkeep_h"), 10.0 / 60.0, "hours of the attempt that was given up");
    // Mended before the hammer frees it.
    let o = first(&freed_from_outside(&repair("6 min")).model());
    assert_eq!(value(&o, "spares_used"), 1.0);
    near(value(&o, "upkeep_h"), 0.1, "hours of the attempt");
}

/// A stiff inner hatch: mended in one attempt with the spare (chance s), else without (chance w).
fn stiff(s: f64, without: &str, spares: u32) -> Case {
    let more = format!(
        "during = \"egress\"\nrepair = {{ takes = \"10 min\", crew = 1, spare = \"hinge\", \
         success = {s}{without} }}\n[spare]\nhinge = {spares}"
    );
    one_sortie().add(&mode("stiff", "main.inner", "on closing", "probability = 1", "slower", &more))
}

/// One spare: it is used in the first attempt, 1/w more follow where that did not work.
#[test]
fn attempts_without_a_spare() {
    let (s, w) = (0.4, 0.25);
    let m = stiff(s, ", without_spare = 0.25", 1).model();
    assert!(sample(&m, 0, 300, |o| value(o, "spares_used")).iter().all(|n| *n == 1.0));
    let hours = sample(&m, 0, 3000, |o| value(o, "upkeep_h"));
    within(&hours, (1.0 + (1.0 - s) / w) / 6.0, "hours");
    // Without the key there is no second attempt.
    let m = stiff(s, "", 1).model();
    assert!(sample(&m, 0, 300, |o| value(o, "upkeep_h")).iter().all(|h| *h == 1.0 / 6.0));
    // With none in stock all attempts go without.
    let m = stiff(s, ", without_spare = 0.25", 0).model();
    assert!(sample(&m, 0, 300, |o| value(o, "spares_used")).iter().all(|n| *n == 0.0));
    within(&sample(&m, 0, 3000, |o| value(o, "upkeep_h")), 1.0 / w / 6.0, "hours without any");
}

/// Two modes of one hatch are mended side by side, in one hour and in two. The first makes the hatch
/// new: the second attempt is over after that hour and uses no spare.
#[test]
fn what_another_repair_has_made_new_uses_no_spare() {
    let stiff = |name: &str, hours: u32| {
        let more = format!(
            "during = \"egress\"\n\
             repair = {{ takes = \"{hours} h\", crew = 1, spare = \"hinge\" }}"
        );
        mode(name, "main.inner", "on closing", "probability = 1", "slower", &more)
    };
    let case = one_sortie()
        .patch("[\"Ada\", \"Ben\", \"Cleo\"]", FOUR)
        .add(&(stiff("one", 1) + &stiff("two", 2) + "[spare]\nhinge = 2\n"));
    let o = first(&case.model());
    assert_eq!(value(&o, "hatch_failures"), 2.0);
    assert_eq!(value(&o, "spares_used"), 1.0);
    near(value(&o, "upkeep_h"), 2.0, "an hour of each");
}

/// One spare for two parts that fail together: one attempt has it in hand, the other waits for ever.
#[test]
fn a_spare_in_hand_is_not_in_stock() {
    let stiff = |name: &str, on: &str| {
        let more = "during = \"egress\"\nrepair = { takes = \"8 h\", crew = 1, spare = \"hinge\", \
                    from = \"anywhere\" }";
        mode(name, on, "on closing", "probability = 1", "slower", more)
    };
    let case = one_sortie()
        .patch("[\"Ada\", \"Ben\", \"Cleo\"]", FOUR)
        .add(&(stiff("one", "main.inner") + &stiff("two", "main.outer") + "[spare]\nhinge = 1\n"));
    let o = first(&case.model());
    assert_eq!(value(&o, "hatch_failures"), 2.0);
    assert_eq!(value(&o, "spares_used"), 1.0);
    near(value(&o, "upkeep_h"), 8.0, "one attempt");
}

/// Three mend a hatch for twenty hours and are called out to somebody who was hurt: the attempt is given
/// up, and the only spare is still there for the next one.
#[test]
fn a_crew_that_is_called_away_leaves_the_spare() {
    let more = "during = \"egress\"\nrepair = { takes = \"20 h\", crew = 3, spare = \"hinge\" }\n\
                [spare]\nhinge = 1";
    let stiff = mode("stiff", "main.inner", "on closing", "probability = 1", "slower", more);
    let m = alone(FOUR).add(&stiff).model();
    for o in [crate::support::play(&m, 0), crate::support::play(&m, 1)] {
        assert_eq!(ended(&m, 0, &o, "fetch"), 3.0);
        assert_eq!(value(&o, "spares_used"), 1.0);
        assert!(value(&o, "upkeep_h") > 60.0, "a part of an attempt, and a whole one");
    }
}

/// A planned replacement is never made without a spare, whatever attempts may do.
#[test]
fn no_replacement_without_a_spare() {
    let more = "repair = { takes = \"1 h\", crew = 1, replace_every = \"5 d\", spare = \"kit\", \
                without_spare = 1 }\n[spare]\nkit = 2";
    let law = "life = \"1e9 d\", shape = 1";
    let ages = mode("ages", "pump", "per calendar hour", law, "pump lost", more);
    let o = first(&Case::base().add(&ages).model());
    assert_eq!((value(&o, "spares_used"), value(&o, "upkeep_h")), (2.0, 2.0));
}

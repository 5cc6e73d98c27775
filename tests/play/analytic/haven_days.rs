//! The days of a haven elsewhere are over (rule 24): a demand for each who sits there, on the suits at hand.

use super::havens::{kept_shut, port, shelter, shut_out, way_in};
use super::played::*;
use crate::support::{Case, value};

/// A shelter that is no habitat: people may stay for so long and no longer.
fn module() -> String {
    shelter(2).replace("kind = \"habitat\"", "kind = \"lander\"")
}

/// The own hatch sticks for good; a shelter takes two in for so long. Each has a suit there, of its own.
fn sheltered(days: &str) -> Case {
    let case = one_sortie();
    let near = kept_shut(&way_in(&case, "needs = [\"room at shelter\"]"));
    let home = "rest = \"290 W\"";
    case.patch("length = \"3 d\"", "length = \"12 d\"")
        .include("near-lock.toml", &near)
        .patch("ways_back = []", "ways_back = [\"near.come-in\"]")
        .patch(
            "at = \"main.lock\" }",
            "at = \"main.lock\" }, { suit = \"plain\", count = 2, at = \"near.lock\" }",
        )
        .patch(home, &format!("{home}\nhome = \"habitat\""))
        .add(&port("near", "shelter", "near-lock"))
        .add(&module().replace("haven_days = \"30 d\"", &format!("haven_days = \"{days}\"")))
        .add(&shut_out())
}

/// Nowhere to go: both are missed when the suits that they came in are empty, as long after the end of the
/// days as those last, and not before.
#[test]
fn who_has_nowhere_to_go_lives_as_long_as_the_suits() {
    let ends = |days: &str, secondary: &str| {
        let m = sheltered(days)
            .patch("secondary = \"30 min\"", &format!("secondary = \"{secondary}\""))
            .model();
        let o = first(&m);
        assert_eq!(ended(&m, 0, &o, "come-in"), 2.0, "into the shelter");
        assert_eq!((value(&o, "haven_demands"), value(&o, "haven_missed")), (4.0, 2.0));
        value(&o, "campaign_length_d") * 1440.0
    };
    // Out, at the own hatch, the lock of the shelter emptied, in by it: then the days begin.
    let ready = 4.25 / 0.40 * (70.3e3 / (2.0 * PSI)).ln() + 3.0;
    let there = 1440.0 + egress() + 240.0 + 12.0 + ready + TO_SAFE + AFTER_SAFE + 3.0;
    near(ends("1 d", "30 min"), there + 1440.0 + 450.0, "suits of seven and a half hours");
    near(ends("1 d", "70 min"), there + 1440.0 + 490.0, "of 40 min more");
    near(ends("2 d", "30 min"), there + 2.0 * 1440.0 + 450.0, "a day later");
}

/// Another haven is 2 km away: both walk there on what the suits hold from the end of the days.
#[test]
fn who_can_walks_to_another_haven() {
    for (km, met) in [(2.0, true), (40.0, false)] {
        let far = module()
            .replace("element.shelter", "element.annex")
            .replace("haven_days", &format!("distance = \"{km} km\"\nhaven_days"));
        let m = sheltered("1 d")
            .include("far-lock.toml", &kept_shut(&one_sortie().access[0].1))
            .add(&port("far", "annex", "far-lock"))
            .add(&far)
            .model();
        let o = first(&m);
        assert_eq!(value(&o, "haven_demands"), 4.0);
        // Late is better than not reached: they set out all the same.
        let ends = [value(&o, "haven_planned"), value(&o, "haven_late")];
        assert_eq!(ends, if met { [2.0, 0.0] } else { [0.0, 2.0] }, "{km} km");
        if met {
            let ready = 4.25 / 0.40 * (70.3e3 / (2.0 * PSI)).ln() + 3.0;
            let clock = 2.0 + egress() + km / 4.0 * 60.0 + ready + TO_SAFE;
            near(value(&o, "haven_margin_min"), 450.0 - clock, "margin");
        }
    }
}

/// No door is known to open: they look every half hour until half of what a suit holds is gone, and then go home
/// all the same, where a way back starts that frees the hatch.
#[test]
fn who_has_half_left_goes_to_a_shut_door() {
    let hammer = "[list.way_back.hammer]\nfrom = \"outside\"\nrows = [\n  { action = \"open\", on = \"outer\", \
                  takes = \"10 min\", frees = 1.0 },\n  { use = \"ingress\", after = \"open outer\" },\n]\n";
    let m = sheltered("1 d")
        .patch("[\"near.come-in\"]", "[\"near.come-in\", \"main.hammer\"]")
        .add_access(hammer)
        .model();
    let o = first(&m);
    assert_eq!((value(&o, "haven_demands"), value(&o, "haven_missed")), (4.0, 0.0));
    assert_eq!(ended(&m, 0, &o, "hammer"), 2.0);
    // 225 min are half: seen after 240. Out, the inner hatch first, to the stuck one, then by the hammer to the
    // end of `repress`.
    let home = 2.0 + egress() + 10.0 + 2.0 + 10.0 + 4.0 + 4.0 + 6.0;
    near(value(&o, "haven_margin_contingency_min"), 450.0 - 240.0 - home, "margin");
}

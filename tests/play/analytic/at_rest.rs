//! Ports and suits that are not as their lists leave them (rules 3, 15, 31).

use super::havens::{kept_shut, port, shelter, way_in};
use super::played::*;
use crate::support::{Case, value};
use vestibule::campaign::tell;

/// Both are hurt on their way to work and nobody can come: they are lost, and the port that they left by
/// stands down, its lock being at vacuum.
#[test]
fn the_port_of_a_team_that_is_lost_stands_down() {
    let hurt = super::hurt::hurt("per hour outside", "rate = \"1000 /h\"", "");
    let (story, o) = tell(&one_sortie().add(&hurt).model(), 0, 0);
    assert_eq!((value(&o, "incapacitations"), value(&o, "haven_missed")), (2.0, 2.0));
    let down = story.lines.iter().find(|l| l.text.contains("port main stands down"));
    assert!(down.is_some_and(|l| l.text.contains("not at rest")), "{down:?}");
}

/// They come in by the other port. The lock of the first stands at vacuum on both sides of the hatch that stuck,
/// and no list puts it at rest: a repair from inside cannot begin.
#[test]
fn without_a_list_that_fills_it_a_lock_is_not_filled_for_a_repair() {
    let inside = "during = \"ingress\"\nrepair = { takes = \"1 h\", crew = 1, from = \"inside\" }";
    let (when, law) = ("on opening", "probability = 1");
    let case = one_sortie();
    let m = case
        .clone()
        .include("side-lock.toml", &way_in(&case, ""))
        .patch("ways_back = []", "ways_back = [\"side.come-in\"]")
        .add(&port("side", "habitat", "side-lock"))
        .add(&mode("sticks", "main.outer", when, law, "stuck shut", inside))
        .model();
    let o = first(&m);
    assert_eq!(ended(&m, 0, &o, "come-in"), 2.0);
    assert_eq!(value(&o, "upkeep_h"), 0.0);
}

/// They come into a shelter by its lock, in suits that belong on berths at home, and its inner hatch sticks. Once
/// it is mended they go into its cabin and take these suits along.
#[test]
fn who_leaves_a_chamber_takes_the_suits_of_berths_along() {
    let law = "probability = 1";
    let repair =
        "during = \"way back\"\nrepair = { takes = \"3 h\", crew = 1, from = \"anywhere\" }";
    let m = berths()
        .include("near-lock.toml", &kept_shut(&way_in(&Case::base(), "")))
        .include("side-lock.toml", &Case::base().access[0].1)
        .patch("ways_back = []", "ways_back = [\"near.come-in\"]")
        .patch("rest = \"290 W\"", "rest = \"290 W\"\nhome = \"habitat\"")
        .patch(
            "at = \"main\" }",
            "at = \"main\" }, { suit = \"plain\", count = 2, at = \"side.lock\" }, \
             { suit = \"plain\", count = 2, at = \"near.lock\" }",
        )
        .add(&(port("near", "shelter", "near-lock") + &port("side", "habitat", "side-lock")))
        .add(&shelter(2))
        .add(&mode(
            "jams",
            "main.interface",
            "on mating",
            law,
            "stuck open",
            "during = \"ingress\"",
        ))
        .add(&mode("sticks", "near.inner", "on opening", law, "stuck shut", repair))
        .model();
    let o = first(&m);
    assert_eq!(value(&o, "haven_missed"), 0.0);
    let (story, _) = tell(&m, 0, 0);
    for suit in ["main", "main#2"] {
        let there = format!("suit/plain/{suit} in shelter/cabin");
        assert!(story.lines.iter().any(|l| l.text.contains(&there)), "{there}");
    }
}

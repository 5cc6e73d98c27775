//! Whose suits are taken, and where they are afterwards (rule 15); what becomes of people who suited up
//! inside when the row that was to empty their cabin fails (rules 17, 20).

use super::havens::{ALL_NEEDS, SUIT, cabin_as_lock, kept_shut, way_in};
use super::people::{MENDED, two_kinds};
use super::played::*;
use super::traverses::{cause, rover};
use crate::support::{Case, value};
use vestibule::campaign::tell;

/// Short-lived suits that are kept at another lock of the same element stay there, whatever the order.
#[test]
fn the_suits_of_another_lock_stay_there() {
    for first_written in [true, false] {
        let m = two_kinds(first_written)
            .patch("at = \"habitat.cabin\"", "at = \"back.lock\"")
            .add("[architecture.lock.port.back]\nelement = \"habitat\"\naccess = \"plain-lock\"\n")
            .model();
        let o = first(&m);
        assert_eq!(value(&o, "eva_done_h"), f64::from(SORTIES) * 2.0 * 4.0, "in suits that last");
    }
}

/// What a story says of each sortie that took place: who, in which suits, for how long.
fn told_sorties(case: &Case) -> Vec<String> {
    let (story, _) = tell(&case.model(), 0, 0);
    let texts = story.lines.iter().map(|l| l.text.clone());
    texts.filter(|t| t.contains("h outside")).collect()
}

/// Suits of one kind lie in the cabin, written first, and in the lock where they are donned: those
/// of the lock are taken, and those of the cabin where the lock has none.
#[test]
fn suits_are_taken_where_they_are_donned() {
    let worn = |suits: &str| {
        let old = "suits = [{ suit = \"plain\", count = 2, at = \"main.lock\" }]";
        told_sorties(&one_sortie().patch(old, &format!("suits = [{suits}]"))).concat()
    };
    let cabin = "{ suit = \"plain\", count = 2, at = \"habitat.cabin\" }";
    let lock = "{ suit = \"plain\", count = 2, at = \"main.lock\" }";
    let both = worn(&format!("{cabin}, {lock}"));
    assert!(both.contains("main.lock") && !both.contains("cabin"), "{both}");
    assert!(worn(cabin).contains("habitat.cabin"), "{}", worn(cabin));
}

/// Two berths, a person at a time: the suit that came in last is on recharge for 20 h, and who goes
/// out 5 h later takes the other.
#[test]
fn the_suit_that_is_charged_is_taken_at_a_berth() {
    let case = berths()
        .patch("width = \"0.70 m\"", "width = \"0.70 m\"\nrecharge_elapsed = \"20 h\"")
        .patch("team = 2\ncrew = [\"Ada\", \"Ben\"]", "team = 1\ncrew = [\"Ada\"]")
        .add(
            "\n[activity.other]\nfrom = \"habitat\"\nports = [\"main\"]\nteam = 1\n\
             crew = [\"Ben\"]\nat = [\"1.4 d\"]\nhours = \"1 h\"\ndust = \"1 g\"\n",
        );
    let said = told_sorties(&case);
    assert_eq!(said.len(), 2, "{said:?}");
    assert!(said[0].contains("plain/main)") && said[1].contains("plain/main#2)"), "{said:?}");
}

/// A rover stands docked at home. The lock of the habitat does not open, they come in by the rover's and
/// walk over; the suits they left there are carried back for the next sortie, ten minutes each.
#[test]
fn suits_left_in_a_docked_rover_are_carried_home() {
    let survey = Case::base().campaign;
    let at = survey.find("[activity.survey]").expect("the sorties");
    let end = survey.find("[store.gas]").expect("the store");
    let survey = survey[at..end].replace("per_week = 2", "at = [\"1 d\", \"3 d\"]");
    let law = "probability = 1";
    let sticks =
        mode("sticks", "main.outer", "on opening", law, "stuck shut", "during = \"ingress\"");
    let restore = "restore = [\n  \
        { action = \"close\", on = \"outer\", who = \"inside\", takes = \"5 min\" },\n  \
        { action = \"repress\", on = \"lock\", who = \"inside\", takes = \"6 min\" },\n  \
        { action = \"open\", on = \"inner\", who = \"inside\", takes = \"2 min\" },\n]\n";
    let lock = kept_shut(&way_in(&Case::base(), ""));
    let m = rover()
        .patch("length = \"30 d\"", "length = \"5 d\"")
        .patch(
            "first = \"5 d\", every = \"10 d\", count = 2",
            "first = \"4 d\", every = \"10 d\", count = 1",
        )
        .patch("days = 3", "days = 1")
        .patch("[store.gas]", &format!("{survey}[store.gas]"))
        .patch("ways_back = []", "ways_back = [\"come-in\"]")
        .patch(
            "port.aft]\nelement = \"rover\"\naccess = \"plain-lock\"",
            "port.aft]\nelement = \"rover\"\naccess = \"aft-lock\"",
        )
        .include("aft-lock.toml", &lock)
        .add_access(restore)
        .add(&sticks)
        .add(MENDED)
        .model();
    let o = first(&m);
    assert_eq!(ended(&m, 0, &o, "come-in"), 4.0, "both times in by the rover");
    let carried = cause(&m, &o, "upkeep_h", "suit carried");
    assert!(carried >= 2.0 / 6.0 - 1e-9, "{carried} h of carrying");
    let (story, _) = tell(&m, 0, 0);
    let out = |l: &&vestibule::campaign::trace::Line| l.text.contains("cancelled");
    let none: Vec<_> = story.lines.iter().filter(out).map(|l| &l.text).collect();
    assert!(none.is_empty(), "{none:?}");
}

/// Both are in a lock that does not seal, the valve that was to empty the cabin is stuck: Cleo, who had
/// suited up, or was at a repair and suited up, is safe where she is; the two in the lock are missed.
#[test]
fn who_suited_up_for_a_row_that_fails_is_safe() {
    let valve = "\n[element.habitat.opening]\nrelief = { kind = \"valve\", between = [\"cabin\", \
                 \"outside\"], rest = \"shut\", diameter = \"100 mm\" }\n[suit.plain]";
    let law = "probability = 1";
    let jams = mode("jams", "habitat.relief", "on opening", law, "stuck shut", "");
    // The pump is mended all day by one person inside.
    let dies = mode(
        "dies",
        "main.main",
        "on start",
        law,
        "slower",
        "factor = 1.0001\nrepair = { takes = \"20 d\", crew = 1, from = \"inside\" }",
    );
    for busy in [false, true] {
        let mut case = cabin_as_lock(SUIT, ALL_NEEDS).patch("[suit.plain]", valve).add(&jams);
        if busy {
            case = case.add(&dies);
        }
        let m = case.model();
        let o = first(&m);
        assert_eq!(value(&o, "haven_missed"), 2.0, "at a repair: {busy}");
        assert_eq!(value(&o, "haven_late"), 0.0, "at a repair: {busy}");
        assert!(value(&o, "gas_vented_contingency_kg") < 1e-9, "the cabin is full");
    }
}

/// One of two suits fails 20 h after the start, four hours before the slot: it is seen that there are too few,
/// and nobody begins to go out.
#[test]
fn a_suit_that_is_broken_is_not_counted_on() {
    let law = "life = \"20 h\", shape = 200";
    let tears =
        mode("tears", "suit", "per calendar hour", law, "suit unusable", "noticed = \"at once\"");
    let o = first(&one_sortie().add(&tears).model());
    assert_eq!((value(&o, "sorties_done"), value(&o, "sorties_cancelled")), (0.0, 1.0));
    assert_eq!(value(&o, "overhead_h"), 0.0, "nobody prepares the lock");
    assert_eq!(value(&o, "suit_failures"), 2.0, "both at their age");
}

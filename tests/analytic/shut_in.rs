//! Shut in (rule 19): in a filled chamber whose opening towards the cabin does not move people are safe
//! for the time being. And demands that would end in nothing (rules 17, 20).

use crate::played::*;
use crate::support::{Case, play, value};

/// Minutes from the end of `repress` to the end of `open inner`, which does not move.
const TO_FIND: f64 = 15.0 + 2.0;

/// The inner hatch does not open on the way in.
fn shut(repair: &str) -> Case {
    let more = format!("during = \"ingress\"\n{repair}");
    one_sortie().add(&mode(
        "sticks",
        "main.inner",
        "on opening",
        "probability = 1",
        "stuck shut",
        &more,
    ))
}

fn repair(success: f64) -> String {
    format!("repair = {{ takes = \"3 h\", crew = 1, success = {success}, from = \"anywhere\" }}")
}

/// Whoever is inside mends the hatch in three hours: the demand ends as planned, with the margin it had
/// when the lock was filled; the time behind the hatch is counted for both.
#[test]
fn a_hatch_that_is_mended_sets_them_free() {
    let o = first(&shut(&repair(1.0)).model());
    let free = first(&one_sortie().model());
    assert_eq!(value(&free, "shut_in_h"), 0.0, "an ordinary ingress counts none");
    assert_eq!(value(&o, "haven_planned"), 2.0);
    assert_eq!(value(&o, "haven_margin_min"), value(&free, "haven_margin_min"));
    near(value(&o, "shut_in_h"), 2.0 * (TO_FIND + 180.0) / 60.0, "hours shut in");
}

/// Nobody is inside to work the hatch; those behind it do.
#[test]
fn they_work_the_hatch_from_their_side() {
    let alone = shut(&repair(1.0))
        .patch("names = [\"Ada\", \"Ben\", \"Cleo\"]", "names = [\"Ada\", \"Ben\"]")
        .patch("haven_people = 3", "haven_people = 2\ninside_least = 0");
    let o = first(&alone.model());
    assert_eq!(value(&o, "haven_planned"), 2.0);
    near(value(&o, "shut_in_h"), 2.0 * (TO_FIND + 180.0) / 60.0, "hours shut in");
    near(value(&o, "upkeep_h"), 2.0 * 3.0, "hours of the repair");
}

/// Nothing moves the hatch and no way starts in the lock: after `shut_in_at_most` they are missed, once;
/// also where that lies past the planned end.
#[test]
fn nothing_moves_it_and_no_way_starts_there() {
    for (at, limit, hours) in [("1 d", "", 24.0), ("1 d", "6 h", 6.0), ("2.5 d", "", 24.0)] {
        let key = match limit {
            "" => String::new(),
            x => format!("\nshut_in_at_most = \"{x}\""),
        };
        let m = shut(&repair(0.0))
            .patch("at = [\"1 d\"]", &format!("at = [\"{at}\"]"))
            .patch("reserve = \"30 min\"", &format!("reserve = \"30 min\"{key}"))
            .model();
        let o = first(&m);
        assert_eq!(ended(&m, 0, &o, "missed"), 2.0, "{at} {limit}");
        assert_eq!(value(&o, "haven_planned"), 0.0);
        near(value(&o, "shut_in_h"), 2.0 * hours, "hours shut in");
    }
}

/// A second door of the lock is named as a way back from it: it is taken when they have waited long
/// enough, and the demand, one for each, ends by that way.
#[test]
fn a_way_that_starts_in_the_lock_is_taken_then() {
    let door = "second = { kind = \"pressure hatch\", between = [\"cabin\", \"lock\"], \
                clear = \"0.91 m\", rest = \"shut\" }\n[pump]";
    let way = "[list.way_back.other-door]\nfrom = \"lock\"\nrows = [\n  \
               { action = \"close\", on = \"outer\", takes = \"4 min\" },\n  \
               { action = \"repress\", on = \"lock\", takes = \"6 min\" },\n  \
               { action = \"open\", on = \"second\", takes = \"5 min\" },\n  \
               { action = \"pass\", on = \"second\", each = \"in turn\", takes = \"1 min\" },\n  \
               { action = \"close\", on = \"second\", takes = \"5 min\" },\n  \
               { action = \"doff\", on = \"suit\", takes = \"15 min\" },\n]\n\
               [list]\nrestore = [\n  \
               { action = \"open\", on = \"inner\", who = \"inside\", takes = \"2 min\" },\n]\n";
    let m = shut(&repair(0.0))
        .patch_access("[pump]", door)
        .patch_access("[list]\n", &format!("{way}"))
        .patch("ways_back = []", "ways_back = [\"other-door\"]")
        .model();
    let o = first(&m);
    assert_eq!(value(&o, "haven_demands"), 2.0);
    assert_eq!(ended(&m, 0, &o, "other-door"), 2.0);
    near(value(&o, "shut_in_h"), 2.0 * 24.0, "hours shut in");
}

/// The cabin is emptied to let two people in, and the hatch between does not open: whoever sits in the
/// cabin fills it again and is safe; the two in the lock are missed.
#[test]
fn who_sits_in_the_emptied_cabin_fills_it_again() {
    let sticks = mode(
        "sticks",
        "main.inner",
        "on opening",
        "probability = 1",
        "stuck shut",
        "during = \"way back\"",
    );
    let m = crate::havens::cabin_as_lock(crate::havens::SUIT, crate::havens::ALL_NEEDS)
        .add(&sticks)
        .model();
    let o = play(&m, 0);
    identities(&o, "campaign 0");
    assert_eq!(value(&o, "haven_demands"), 3.0);
    assert_eq!(ended(&m, 0, &o, "through-the-cabin"), 1.0);
    assert_eq!(ended(&m, 0, &o, "missed"), 2.0);
}

//! Shut in (rule 19): in a filled chamber whose opening towards the cabin does not move people are safe
//! for the time being. And demands that would end in nothing (rules 17, 20).

use super::played::*;
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

/// There is no spare: a hatch that somebody stands behind is worked without, at the chance `success`
/// where the file gives no other.
#[test]
fn it_is_worked_without_a_spare() {
    let spare = "repair = { takes = \"3 h\", crew = 1, spare = \"latch\", from = \"anywhere\" }";
    let m = shut(spare).add("[spare]\nlatch = { count = 0 }\n").model();
    let o = first(&m);
    assert_eq!(value(&o, "haven_planned"), 2.0);
    assert_eq!(value(&o, "spares_used"), 0.0);
    near(value(&o, "shut_in_h"), 2.0 * (TO_FIND + 180.0) / 60.0, "hours shut in");
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

/// Shut in for good, with a way round that begins with a `row`.
fn way_round(row: &str) -> vestibule::model::Model {
    let crawl = "\n[element.habitat.opening]\ncrawl = { kind = \"pressure hatch\", between = \
                 [\"cabin\", \"outside\"], clear = \"0.91 m\", rest = \"shut\" }\n[suit.plain]";
    let way = format!(
        "restore = [\n  \
        {{ action = \"close\", on = \"outer\", who = \"inside\", takes = \"5 min\" }},\n  \
        {{ action = \"repress\", on = \"lock\", who = \"inside\", takes = \"6 min\" }},\n  \
        {{ action = \"open\", on = \"inner\", who = \"inside\", takes = \"2 min\" }},\n]\n\
        [list.way_back.round]\nfrom = \"lock\"\nneeds = [\"cabin tolerates vacuum\"]\nrows = [\n  {row}\
        {{ use = \"egress\", after = \"prebreathe suit\", until = \"pass outer\" }},\n  \
        {{ action = \"suit up\", on = \"suit\", who = \"inside\", takes = \"25 min\" }},\n  \
        {{ action = \"leak check\", on = \"suit\", who = \"inside\", takes = \"3 min\" }},\n  \
        {{ action = \"vent\", on = \"cabin\", takes = \"20 min\" }},\n  \
        {{ action = \"open\", on = \"crawl\", takes = \"2 min\" }},\n  \
        {{ action = \"pass\", on = \"crawl\", each = \"in turn\", takes = \"1 min\" }},\n  \
        {{ action = \"close\", on = \"crawl\", takes = \"3 min\" }},\n  \
        {{ action = \"repress\", on = \"cabin\", takes = \"30 min\" }},\n  \
        {{ action = \"doff\", on = \"suit\", who = \"all\", each = \"at once\", takes = \"15 min\" }},\n\
        ]\n"
    );
    let spare = format!("at = \"main.lock\" }}{}", super::havens::SUIT);
    shut(&repair(0.0))
        .add_access(&way)
        .patch("[suit.plain]", crawl)
        .patch("at = \"main.lock\" }", &spare)
        .patch("ways_back = []", "ways_back = [\"round\"]")
        .model()
}

/// A way leads from the lock to outside again and in by a hatch of the cabin, with everybody in suits. It
/// is taken when they have waited long enough, on what their suits held: the demand of each ends by that
/// way, and that of whoever sat in the cabin.
#[test]
fn a_way_that_starts_in_the_lock_is_taken_then() {
    let m = way_round("");
    let o = first(&m);
    assert_eq!(value(&o, "haven_demands"), 3.0);
    assert_eq!(ended(&m, 0, &o, "round"), 3.0);
    near(value(&o, "shut_in_h"), 2.0 * 24.0, "hours shut in");
    let first_out = pump() + AFTER_DEPRESS + 240.0 + TO_SAFE;
    let round = pump() + 3.0 + 3.0 + 4.0 + 25.0 + 3.0 + 20.0 + 2.0 + 2.0 + 3.0 + 30.0;
    near(value(&o, "haven_margin_contingency_min"), 450.0 - first_out - round, "margin");
}

/// The way round is given up in the lock, at pressure: they are shut in anew, that way is not tried a
/// second time, and they are missed when they have waited once more.
#[test]
fn a_way_that_fails_in_the_lock_leaves_them_shut_in() {
    let check =
        "{ action = \"leak check\", on = \"suit\", takes = \"3 min\", false_alarm = 1 },\n  ";
    let m = way_round(check);
    let o = first(&m);
    assert_eq!(ended(&m, 0, &o, "missed"), 2.0);
    assert_eq!(value(&o, "haven_demands"), 2.0);
    near(value(&o, "shut_in_h"), 2.0 * (24.0 + 24.0), "hours shut in");
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
    let m = super::havens::cabin_as_lock(super::havens::SUIT, super::havens::ALL_NEEDS)
        .add(&sticks)
        .model();
    let o = play(&m, 0);
    identities(&o, "campaign 0");
    assert_eq!(value(&o, "haven_demands"), 3.0);
    assert_eq!(ended(&m, 0, &o, "through-the-cabin"), 1.0);
    assert_eq!(ended(&m, 0, &o, "missed"), 2.0);
}

/// The same, and the hatch is tried twice: somebody looks round for who could mend it in between. Whoever sits in the
/// cabin belongs to the way under way, and knows how to fill it again.
#[test]
fn who_sits_in_the_emptied_cabin_waits_for_the_second_try() {
    let more = "during = \"way back\"\nrepair = { takes = \"9 h\", crew = 1, from = \"anywhere\" }";
    let sticks = mode("sticks", "main.inner", "on opening", "probability = 1", "stuck shut", more);
    let open = "takes = \"20 min\" },\n  { action = \"open\", on = \"inner\", takes = \"2 min\"";
    let m = super::havens::cabin_as_lock(super::havens::SUIT, super::havens::ALL_NEEDS)
        .patch_access(open, &format!("{open}, if_fails = \"retry 1\""))
        .add(&sticks)
        .model();
    let o = play(&m, 0);
    identities(&o, "campaign 0");
    assert_eq!(ended(&m, 0, &o, "through-the-cabin"), 1.0);
    assert_eq!(ended(&m, 0, &o, "missed"), 2.0);
}

/// The inner hatch jams on the way in and is mended by the one who is inside, in an hour: two are shut
/// in from the end of `repress`, through `doff` and a try of the hatch, until then. That she was at a
/// repair of the pump since egress, which takes for ever, makes no difference: she leaves it.
#[test]
fn a_repair_that_can_wait_is_left_for_those_who_are_shut_in() {
    let jams = || shut("repair = { takes = \"1 h\", crew = 1, from = \"inside\", success = 1.0 }");
    let more = "factor = 1.0001\nrepair = { takes = \"20 d\", crew = 1, from = \"inside\" }";
    let wears = mode("wears", "main.main", "on start", "probability = 1", "slower", more);
    let spent = [jams(), jams().add(&wears)].map(|case| {
        let o = first(&case.model());
        near(value(&o, "shut_in_h") * 60.0, 2.0 * (TO_FIND + 60.0), "minutes shut in");
        value(&o, "upkeep_h")
    });
    assert!(spent[1] > spent[0] + 4.0, "{spent:?}: the pump was worked on while they were out");
}

/// The cabin is emptied, the two come in to whoever sits there, and it does not hold when it is filled again: all
/// three share the trouble, and all three are missed.
#[test]
fn who_sits_beside_a_stranded_team_belongs_to_it() {
    let crawl = "\n[element.habitat.opening]\ncrawl = { kind = \"pressure hatch\", between = \
                 [\"cabin\", \"outside\"], clear = \"0.91 m\", rest = \"shut\" }\n[suit.plain]";
    let leaks = mode(
        "leaks",
        "habitat.crawl",
        "on holding pressure",
        "probability = 1",
        "leak",
        "holds = false\nduring = \"way back\"",
    );
    let m = super::havens::cabin_as_lock(super::havens::SUIT, super::havens::ALL_NEEDS)
        .patch("[suit.plain]", crawl)
        .add(&leaks)
        .model();
    let o = first(&m);
    assert_eq!((value(&o, "haven_demands"), value(&o, "haven_missed")), (3.0, 3.0));
    let (story, _) = vestibule::campaign::tell(&m, 0, 0);
    let together = "Ada and Ben and Cleo cannot go on as planned";
    assert!(story.lines.iter().any(|l| l.text.contains(together)), "one team of three");
}

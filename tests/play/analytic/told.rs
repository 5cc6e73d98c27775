//! What a story says of people in trouble: why ways back are not open, life support left, suits, the end.

use super::played::*;
use crate::support::Case;
use vestibule::campaign::{tell, trace::Story};

/// The outer hatch sticks on the way in; one way is for a casualty, the other takes too long.
fn stranded() -> Case {
    let way = |name: &str, needs: &str, takes: u32| {
        format!(
            "[list.way_back.{name}]\nfrom = \"outside\"\nneeds = [{needs}]\nrows = [\n  \
             {{ action = \"open\", on = \"outer\", takes = \"{takes} min\", frees = 1.0 }},\n  \
             {{ use = \"ingress\", after = \"open outer\" }},\n]\n"
        )
    };
    let during = "during = \"ingress\"";
    one_sortie()
        .patch("ways_back = []", "ways_back = [\"carry\", \"slow\"]")
        .add_access(&way("carry", "\"casualty\"", 10))
        .add_access(&way("slow", "\"in time\", \"outer stuck\"", 900))
        .add(&mode("sticks", "main.outer", "on opening", "probability = 1.0", "stuck shut", during))
}

fn said<'a>(story: &'a Story, what: &str) -> Vec<&'a str> {
    story.lines.iter().map(|l| l.text.as_str()).filter(|t| t.contains(what)).collect()
}

/// Each way that is not open is named once, with what it lacks; who is in trouble is named with the suit
/// they wear and what is left of its supply: 7 h 30 min less the minutes since `depress`.
#[test]
fn a_story_says_why_ways_are_not_open_and_what_is_left() {
    let (story, _) = tell(&stranded().model(), 0, 0);
    assert_eq!(said(&story, "carry"), ["not open: habitat/main/carry: `casualty` does not hold"]);
    let slow = said(&story, "not open: habitat/main/slow");
    assert_eq!(slow.len(), 1, "{slow:?}");
    assert!(slow[0].contains("`in time` does not hold: 9"), "{slow:?}");
    let planned = said(&story, "cannot go on as planned");
    assert!(planned[0].contains("in suit/plain/main.lock"), "{planned:?}");
    let first = story.lines.iter().find(|l| l.text.contains("cannot go on")).expect("trouble");
    let outside = 240.0; // 4 h of work
    let since = pump() + AFTER_DEPRESS + outside + 10.0 + 2.0;
    for (name, left) in &first.left {
        near(*left, 450.0 - since, &format!("minutes left of {name}"));
    }
    assert_eq!(first.left.len(), 2);
    let before = story.lines.iter().take_while(|l| !l.text.contains("`open outer` fails"));
    assert!(
        before.into_iter().all(|l| l.left.is_empty()),
        "nothing is told before there is trouble"
    );
}

/// The end of each: the hatch, the way that was taken although it lacked time, how long it lacked.
#[test]
fn a_story_ends_with_the_chain_the_last_decision_and_the_minutes_short() {
    let (story, _) = tell(&stranded().model(), 0, 0);
    assert_eq!(story.ends.len(), 2);
    let end = &story.ends[0];
    let decision = end.decision.as_ref().expect("a decision");
    assert!(decision.text.starts_with("try habitat/main/slow"), "{}", decision.text);
    let (way, short) = decision.lacks.as_ref().expect("what it lacks");
    assert_eq!(way, "habitat/main/slow");
    near(*short, end.late.expect("late, not missed"), "fixed times: the mean is what happens");
    let links: Vec<&str> = story.lines.iter().filter(|l| l.link).map(|l| l.text.as_str()).collect();
    assert!(links[0].starts_with("sticks strikes habitat/main/outer"), "{links:?}");
    assert!(links[1].contains("`open outer` fails: stuck shut"), "{links:?}");
    assert!(links[2].starts_with("way back tried: habitat/main/slow"), "{links:?}");
    // It was said that it is not in time: why it is taken nevertheless is said too.
    let late = format!("{:.1} min more than are left", *short);
    assert!(links[2].contains(&late), "{}", links[2]);
    assert!(links[2].ends_with("of those that lack only time it is the quickest"), "{links:?}");
    // Nobody is told of who comes in.
    let (story, _) = tell(&one_sortie().model(), 0, 0);
    assert!(story.ends.is_empty());
}

/// Both sit at their berths behind hatches that jam. The path that frees them takes 900 min and the rows
/// around it three; a repair of 2 h 20 min on the mean fits in what is left, so that they wait for it. In
/// the first campaign in which it outlasts supply the story says what the path lacked when they chose.
#[test]
fn a_story_says_what_the_path_lacked_when_a_repair_was_waited_for() {
    let takes = "{ low = \"1 h\", mode = \"1 h\", high = \"5 h\" }";
    let more = format!(
        "during = \"ingress\"\n\
         repair = {{ takes = {takes}, crew = 1, from = \"inside\", success = 1.0 }}"
    );
    let law = "probability = 1.0";
    let slow = "[list.way_back.slow]\nfrom = \"berth\"\nneeds = [\"in time\"]\nrows = [\n  \
        { action = \"repress\", on = \"gap\", takes = \"1 min\" },\n  \
        { action = \"repress\", on = \"suit\", to = \"cabin\", takes = \"1 min\" },\n  \
        { action = \"open\", on = \"port_hatch\", each = \"at once\", takes = \"900 min\", \
        frees = 1.0 },\n  { use = \"ingress\", after = \"open port_hatch\" },\n]\n";
    let m = berths()
        .patch("ways_back = []", "ways_back = [\"slow\"]")
        .add_access(slow)
        .add(&mode("jams", "main.port_hatch", "on opening", law, "stuck shut", &more))
        .model();
    let missed = |s: &Story| s.ends.first().is_some_and(|e| e.late.is_none());
    let mut stories = (0..64).map(|i| tell(&m, 0, i).0);
    let story = stories.find(missed).expect("a repair that outlasts supply, one in five");
    let decision = story.ends[0].decision.as_ref().expect("a decision");
    assert_eq!(decision.text, "wait for a repair that may be done in time");
    let (way, short) = decision.lacks.as_ref().expect("what the path lacked");
    assert_eq!(way, "habitat/main/slow");
    // 4 h of work, then mate, two fills and a try of the hatch.
    let left = 450.0 - (BERTH_CLOCK + 240.0 + 10.0 + 1.0 + 1.0 + 1.0);
    near(*short, 903.0 - left, "minutes short");
}

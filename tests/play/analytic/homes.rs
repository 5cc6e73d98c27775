//! Homes, rovers and errands: where people live whose home stays shut (rule 24), who drives a rover home
//! (rule 24), walks of kilometres (rule 22), errands with suits (rule 15).

use super::given_up::{serviced, shed};
use super::played::*;
use super::traverses::rover;
use crate::support::{Case, value};
use std::path::Path;
use vestibule::base::law::Law;
use vestibule::campaign::tell;
use vestibule::campaign::trace::Story;
use vestibule::{check, model, scenario};

/// Days of the lines of a story that hold some words.
fn days(story: &Story, words: &str) -> Vec<f64> {
    let lines = story.lines.iter().filter(|l| l.text.contains(words));
    lines.map(|l| l.time / 86_400.0).collect()
}

/// Goes to another lock on foot, or outside on the rover, and in by it.
const OVER: &str = r#"
[list.way_back.walk]
from = "outside"
needs = ["not outer stuck"]
rows = [
  { action = "travel", on = "cabin", by = "foot" },
  { use = "ingress" },
]
[list.way_back.ride]
from = "outside"
needs = ["not outer stuck", "rover drives"]
rows = [
  { action = "travel", on = "cabin", by = "rover outside" },
  { use = "ingress" },
]
"#;

/// Two habitats; the lock of the one that three live in sticks at the end of the second sortie.
fn two_homes(repair: &str) -> Case {
    let base = Case::base();
    let start = base.campaign.find("[element.habitat]").expect("a habitat");
    let end = base.campaign.find("[suit.plain]").expect("a suit");
    let annex = base.campaign[start..end].replace("element.habitat", "element.annex");
    let hinge = format!(
        "\n[failure.hinge]\non = \"second.outer\"\nwhen = \"on opening\"\n\
         law = {{ life = 3.5, shape = 100 }}\neffect = \"stuck shut\"\n{repair}\n"
    );
    base.patch("haven_days = \"30 d\"", "haven_days = \"2 d\"\ninside_least = 0")
        .patch("[suit.plain]", &format!("{annex}[suit.plain]"))
        .patch("names = [\"Ada\", \"Ben\", \"Cleo\"]", NAMES)
        .patch("from = \"habitat\"", "from = \"annex\"")
        .patch("ports = [\"main\"]", "ports = [\"second\"]")
        .patch("per_week = 2", "at = [\"1 d\", \"3 d\", \"12 d\"]")
        .patch("ways_back = []", "ways_back = [\"main.walk\", \"second.walk\"]")
        .patch(
            "at = \"main.lock\" }",
            "at = \"main.lock\" }, \
               { suit = \"plain\", count = 2, at = \"second.lock\" }",
        )
        .add_access(
            "restore = [\n  \
             { action = \"repress\", on = \"lock\", who = \"inside\", takes = \"6 min\" },\n  \
             { action = \"open\", on = \"inner\", who = \"inside\", takes = \"2 min\" },\n]\n",
        )
        .add_access(&OVER[..OVER.find("[list.way_back.ride]").expect("two ways")])
        .add("\n[architecture.lock.port.second]\nelement = \"annex\"\naccess = \"plain-lock\"\n")
        .add(
            "\n[activity.alone]\nfrom = \"habitat\"\nports = [\"main\"]\nteam = 1\n\
             crew = [\"Dan\"]\nat = [\"25 d\"]\nhours = \"1 h\"\ndust = \"0 g\"\n",
        )
        .add(&hinge)
}

const NAMES: &str = "names = [\"Ada\", \"Ben\", \"Cleo\", \"Dan\"]\nhome = \"annex\"";

/// Nobody goes home through a hatch that is known to be stuck, and nobody is missed who lives in another
/// habitat: after the two days for which it takes guests it is their home.
#[test]
fn whose_home_stays_shut_lives_in_the_other_habitat() {
    let (story, o) = tell(&two_homes("").model(), 0, 0);
    identities(&o, "their home stays shut");
    assert_eq!(value(&o, "campaign_haven_missed"), 0.0);
    assert_eq!(value(&o, "haven_way_back"), 2.0);
    assert_eq!(value(&o, "campaign_length_d"), 30.0);
    assert_eq!(value(&o, "sorties_done"), 3.0, "two from the annex, one by who lives here");
    let moved = days(&story, "live in habitat from now on");
    assert!(moved.len() == 1 && (5.0..5.6).contains(&moved[0]), "{moved:?}");
    assert!(days(&story, "set out for home").is_empty());
}

/// A way into a module of the other habitat.
const SHELTER: &str = r#"
[list.way_back.shelter]
from = "outside"
rows = [
  { action = "travel", on = "shed", by = "foot" },
  { action = "vent", on = "shed.cabin", to = "outside" },
  { action = "open", on = "shed.side", takes = "2 min" },
  { action = "pass", on = "shed.side", each = "in turn", takes = "1 min" },
  { action = "close", on = "shed.side", takes = "4 min" },
  { action = "repress", on = "shed.cabin", takes = "6 min" },
  { action = "doff", on = "suit", each = "at once", takes = "15 min" },
]
"#;

/// Kept out of the annex they come into a module of the other habitat, which takes them for five days;
/// its hatch moves, so that they go over into the habitat and live there.
#[test]
fn who_waits_in_a_module_goes_into_the_habitat() {
    let case = two_homes("")
        .patch(
            "ways_back = [\"main.walk\", \"second.walk\"]",
            "ways_back = [\"main.shelter\", \"second.shelter\", \"main.walk\", \"second.walk\"]",
        )
        .add(&shed())
        .add_access(SHELTER);
    let (story, o) = tell(&case.model(), 0, 0);
    identities(&o, "out of the module");
    assert_eq!(value(&o, "campaign_haven_missed"), 0.0);
    assert_eq!(value(&o, "haven_way_back"), 2.0);
    assert_eq!(days(&story, "go over into habitat").len(), 1);
    assert_eq!(days(&story, "live in habitat from now on").len(), 1);
}

/// Somebody inside mends the hatch in four days, after they have moved: they go home and out again.
#[test]
fn they_go_home_once_it_opens_again() {
    let repair = "repair = { takes = \"96 h\", crew = 1, from = \"inside\" }";
    let (story, o) = tell(&two_homes(repair).model(), 0, 0);
    identities(&o, "their home opens again");
    assert_eq!(value(&o, "campaign_haven_missed"), 0.0);
    assert_eq!(value(&o, "sorties_done"), 4.0);
    let (moved, opens) = (days(&story, "live in habitat"), days(&story, "annex opens again"));
    assert!(opens.len() == 2 && moved[0] < opens[0], "{moved:?} {opens:?}");
    // Mended is not enough: the lock is put at rest first.
    let rest = days(&story, "port second is at rest again");
    assert!(rest.len() == 1 && rest[0] <= opens[0], "{rest:?} {opens:?}");
    assert_eq!(days(&story, "set out for home").len(), 1);
}

/// The lock of the rover lets nobody in, 12 km from home: some 237 min are left, the walk takes 180 min
/// and the rows at its end some 45. That is in time, but not by a quarter of the walk; the ride is.
#[test]
fn a_walk_of_kilometres_needs_a_margin() {
    let walk = &OVER[..OVER.find("[list.way_back.ride]").expect("two ways")];
    let tried = |margin: &str, ways: &str| {
        let m = rover()
            .patch("drive = \"18 km\"", "drive = \"12 km\"")
            .patch("reserve = \"30 min\"", &format!("reserve = \"30 min\"\n{margin}"))
            .patch("ways_back = []", &format!("ways_back = [{ways}]"))
            .add_access(if ways.contains("ride") { OVER } else { walk })
            .add(&mode(
                "hinge",
                "aft.outer",
                "on opening",
                "probability = 1.0",
                "stuck shut",
                "during = \"ingress\"",
            ))
            .model();
        let (story, o) = tell(&m, 0, 0);
        identities(&o, ways);
        assert_eq!(value(&o, "campaign_haven_missed"), 0.0, "{margin} {ways}");
        let lines = story.lines.iter().map(|l| &l.text);
        let way = lines.clone().find(|t| t.contains("way back tried")).expect("a way back");
        way.split_once("habitat/main/").expect("to the habitat").1[..4].to_string()
    };
    let both = "\"main.walk\", \"main.ride\", \"aft.walk\", \"aft.ride\"";
    assert_eq!(tried("", both), "ride");
    assert_eq!(tried("walk_margin = 0", both), "walk");
    // With nothing else they walk all the same.
    assert_eq!(tried("", "\"main.walk\", \"aft.walk\""), "walk");
}

/// The rover breaks down on its way home and is mended in four hours: its crew drive on at once, 16 km
/// at most, and do not wait out the day after which they would have left it.
#[test]
fn a_rover_that_is_mended_comes_home_at_once() {
    let wheel = "\n[failure.wheel]\non = \"rover\"\nwhen = \"per km driven\"\n\
                 law = { life = \"20 km\", shape = 100 }\neffect = \"cannot travel\"\n\
                 repair = { takes = \"4 h\", crew = 1, from = \"inside\" }\n";
    let (story, _) = tell(&rover().add(wheel).model(), 0, 0);
    let (mended, back) = (days(&story, "(wheel): mended"), days(&story, "back from the traverse"));
    assert!(!mended.is_empty() && !back.is_empty(), "{mended:?} {back:?}");
    let hours = (back[0] - mended[0]) * 24.0;
    assert!((0.1..1.7).contains(&hours), "{hours} h");
}

/// Two are shut in in the chamber of their rover after each sortie and work its hatch for an hour: they
/// are its crew again, and the sorties of the other days take place.
#[test]
fn who_was_shut_in_in_a_rover_goes_on_with_the_traverse() {
    let more = "during = \"ingress\"\n\
                repair = { takes = \"1 h\", crew = 1, success = 1, from = \"anywhere\" }";
    let sticks = mode("sticks", "aft.inner", "on opening", "probability = 1", "stuck shut", more);
    let restore = "restore = [{ action = \"open\", on = \"inner\", who = \"inside\", \
                   takes = \"2 min\" }]\n";
    let (story, o) = tell(&rover().add_access(restore).add(&sticks).model(), 0, 0);
    identities(&o, "shut in in the rover");
    assert_eq!(value(&o, "sorties_done"), 6.0);
    assert_eq!(value(&o, "campaign_haven_missed"), 0.0);
    assert_eq!(days(&story, "back from the traverse").len(), 2);
}

/// A repair that three are needed for is not begun by the two on the traverse, but once the rover is
/// docked, with somebody of the habitat.
#[test]
fn those_at_home_help_to_mend_a_docked_rover() {
    let repair = "repair = { takes = \"2 h\", crew = 3, from = \"inside\" }";
    let dead = mode("dead", "aft.main", "on start", "probability = 1", "pump lost", repair);
    let (story, _) = tell(&rover().add(&dead).model(), 0, 0);
    let (docked, begun) = (days(&story, "come over from rover"), days(&story, "start to repair"));
    assert!(docked.len() == 2 && !begun.is_empty(), "{docked:?} {begun:?}");
    assert!(docked[0] <= begun[0] && begun[0] < docked[0] + 0.5, "{docked:?} {begun:?}");
}

/// Its crew walked home: the story says that the rover stays out, once.
#[test]
fn a_rover_without_a_driver_stays_out() {
    let wheel = mode("wheel", "rover", "per km driven", "rate = \"100 /km\"", "cannot travel", "");
    let (story, o) = tell(&rover().add(&wheel).model(), 0, 0);
    assert_eq!(value(&o, "haven_planned"), 2.0);
    assert_eq!(days(&story, "rover stays out, 1 km from home with 0 suits").len(), 1);
}

/// Three berths, two suits serviced indoors: one has to be hung back.
fn mixed() -> Case {
    let mut case = serviced()
        .patch("count = 2, at = \"main\"", "count = 3, at = \"main\"")
        .patch("at = [\"1 d\", \"2 d\"]", "at = [\"1 d\"]")
        .patch("length = \"3 d\"", "length = \"6 d\"");
    let access = &mut case.access[0].1;
    *access = access.replace("count = 2", "count = 3");
    case
}

/// Errands keep to the working day where activities name an hour: from the earliest of them, as long as
/// the duty day. Without an hour they are begun as soon as somebody is rested.
#[test]
fn nobody_runs_errands_by_night() {
    let hours = |case: Case| {
        let (story, _) = tell(&case.model(), 0, 0);
        let at = days(&story, "to hang it back on its berth");
        assert_eq!(at.len(), 2, "each of the two suits once");
        at.iter().map(|d| d.fract() * 24.0).collect::<Vec<_>>()
    };
    let by_night = |h: &f64| !(7.9..15.0).contains(h);
    let short = mixed().patch("duty_day = \"14 h\"", "duty_day = \"10 h\"");
    let free = hours(short.clone());
    assert!(free.iter().any(by_night), "{free:?}");
    let kept = hours(short.patch("hours = \"4 h\"", "hours = \"4 h\"\nhour = \"8 h\""));
    assert!(!kept.iter().any(by_night), "{kept:?}");
}

/// Suits of the rover's berths are hung back when it stands docked, by somebody who goes over, never on
/// a traverse: looked at in larkspur, where ports of the rover fail to mate one time in five.
#[test]
fn no_errands_on_a_traverse() {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("runs/larkspur/campaign.toml");
    let mut s = scenario::read(&file).scenario.expect("the demo reads");
    let arms = s.architectures.iter_mut().flat_map(|a| &mut a.it.failures);
    for f in s.failures.iter_mut().chain(arms).filter(|f| f.name == "port-does-not-mate") {
        f.it.law.law = Law::Fixed(0.2);
    }
    let arm = s.architectures.iter().position(|a| a.name == "suitports-on-both");
    let arm = arm.expect("both have suitports");
    let m = model::compile(&check::check(s).0.expect("it is accepted"));
    let (mut over, mut away) = (0, false);
    for i in 0..12 {
        let (story, _) = tell(&m, arm, i);
        for line in &story.lines {
            away |= line.text.contains("set out on traverse");
            away &= !line.text.contains("are back from the traverse");
            if line.text.contains("to hang it back on its berth") {
                let hour = (line.time / 86_400.0).fract() * 24.0;
                assert!((6.9..19.0).contains(&hour), "campaign {i}: {hour} h");
                let rovers = line.text.contains("goes over to rover");
                assert!(!rovers || !away, "campaign {i}: {}", line.text);
                let crew = line.text.starts_with("Dahlia") || line.text.starts_with("Elder");
                assert!(!away || !crew, "campaign {i}: {}", line.text);
                over += u32::from(rovers);
            }
        }
        away = false;
    }
    assert!(over > 0, "it is seen");
}

/// They come home without their rover, whose lock does not open, by the lock of the habitat. It stays out there
/// for that reason, and so does the next traverse.
#[test]
fn a_rover_that_was_left_behind_is_out_for_what_kept_its_crew_from_it() {
    let case = rover().patch("drive = \"18 km\"", "drive = \"2 km\"");
    let walk = "rows = [{ action = \"travel\", on = \"cabin\", by = \"foot\" }, { use";
    let lock = super::havens::way_in(&case, "").replace("rows = [{ use", walk);
    let sticks = mode(
        "sticks",
        "aft.outer",
        "on opening",
        "probability = 1",
        "stuck shut",
        "during = \"ingress\"",
    );
    let m = case
        .clone()
        .include("side-lock.toml", &lock)
        .patch("ways_back = []", "ways_back = [\"side.come-in\"]")
        .add("[architecture.lock.port.side]\nelement = \"habitat\"\naccess = \"side-lock\"\n")
        .add(&sticks)
        .model();
    let o = first(&m);
    assert_eq!(ended(&m, 0, &o, "come-in"), 2.0);
    assert_eq!(value(&o, "sorties_done"), 1.0);
    assert_eq!(lost_to(&m, 0, &o, "sticks"), value(&o, "eva_lost_h"));
    assert_eq!(value(&o, "eva_lost_h"), 5.0 * 2.0 * 3.0);
}

/// Kept out of the annex they come to the habitat, whose inner hatch may jam before them and is mended within hours; so
/// is that of their home. They set out when they have rested since (rule 24), not as soon as the hatch moves.
#[test]
fn whoever_was_shut_in_at_a_haven_rests_before_the_way_home() {
    let mended = |hours: u32| {
        format!(
            "repair = {{ takes = \"{hours} h\", crew = 1, success = 1.0, from = \"anywhere\" }}"
        )
    };
    let more = format!("during = \"way back\"\n{}", mended(3));
    let jams = mode("jams", "main.inner", "on opening", "probability = 0.5", "stuck shut", &more);
    let m = two_homes(&mended(1)).add(&jams).model();
    let rests: Vec<f64> = (0..40)
        .filter_map(|campaign| {
            let (story, _) = tell(&m, 0, campaign);
            let freed = *days(&story, "was shut in for").first()?;
            let left = days(&story, "set out for home").into_iter().find(|day| *day > freed)?;
            Some((left - freed) * 24.0)
        })
        .collect();
    assert!(rests.len() >= 5, "{} of 40 were shut in and went home", rests.len());
    assert!(rests.iter().all(|hours| *hours > 6.0), "hours after the hatch moved: {rests:?}");
}

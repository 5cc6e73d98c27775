//! A second team from inside, severities that are drawn, shared secondary supply: against hand
//! arithmetic and formulas.

use super::played::*;
use crate::support::{Case, value};

/// Two go out through the lock, fetch the one who lies there, and come in after them.
const FETCH: &str = r#"
[list.way_back.fetch]
from = "outside"
needs = ["casualty", "rescuers inside", "helper inside"]
rows = [
  { action = "suit up", on = "suit", who = "rescuers", each = "at once", takes = "20 min" },
  { action = "leak check", on = "suit", who = "rescuers", each = "at once", takes = "3 min" },
  { action = "repress", on = "lock", who = "helper", takes = "6 min" },
  { action = "open", on = "inner", who = "helper", takes = "2 min" },
  { use = "egress", who = "rescuers", after = "prepare lock", until = "close inner" },
  { use = "egress", who = "rescuers", after = "prebreathe suit" },
  { action = "travel", on = "cabin", by = "foot", who = "rescuers" },
  { action = "travel", on = "cabin", by = "stretcher" },
  { action = "open", on = "outer", takes = "2 min" },
  { action = "pass", on = "outer", each = "in turn", takes = "2 min", incapacitated = { takes = "10 min", probability = 1 } },
  { action = "close", on = "outer", takes = "4 min" },
  { action = "repress", on = "lock", takes = "6 min" },
  { action = "open", on = "inner", who = "helper", takes = "2 min" },
  { action = "pass", on = "inner", each = "in turn", takes = "1 min" },
  { action = "doff", on = "suit", each = "at once", takes = "15 min" },
  { action = "close", on = "inner", who = "helper", takes = "3 min" },
  { action = "depress", on = "lock", who = "rescuers", to = "2 psi" },
  { action = "vent", on = "lock", who = "rescuers", takes = "3 min" },
  { use = "ingress", who = "rescuers", after = "clean brush" },
]
"#;

/// Somebody goes out alone, 1 km far, and is hurt at a moment uniform over the time outside.
pub fn alone(crew: &str) -> Case {
    let hurt = mode(
        "hurt",
        "crew",
        "per sortie",
        "probability = 1",
        "crew incapacitated",
        "severity = \"must be carried\"",
    );
    one_sortie()
        .patch("[\"Ada\", \"Ben\", \"Cleo\"]", crew)
        .patch("team = 2\ncrew = [\"Ada\", \"Ben\"]", "team = 1\ncrew = [\"Ada\"]")
        .patch("walk_speed = \"4 km/h\"", "walk_speed = \"4 km/h\"\nlift = \"5 min\"")
        .patch("dust = \"50 g\"", "dust = \"50 g\"\ndistance = \"1 km\"")
        .patch("count = 2, at = \"main.lock\" }", "count = 1, at = \"main.lock\" }, { suit = \"plain\", count = 2, at = \"habitat.cabin\" }")
        .patch("ways_back = []", "ways_back = [\"fetch\"]")
        .add_access(FETCH)
        .add(&hurt)
}

/// A crew of four.
pub const FOUR: &str = "[\"Ada\", \"Ben\", \"Cleo\", \"Dan\"]";

/// Suits, the chamber filled and emptied, out on foot, back with a stretcher, the door.
#[test]
fn two_fetch_one() {
    let m = alone(FOUR).model();
    let (way, work) = (0.25, 4.0);
    let far = (work + way) / (work + 2.0 * way);
    let out = 20.0 + 3.0 + 6.0 + 2.0 + 2.0 + 3.0 + pump() + AFTER_DEPRESS;
    let door = 2.0 + 10.0 + 4.0 + 6.0;
    let want = |far: f64| out + far / 4.0 * 60.0 + 5.0 + far / 1.2 * 60.0 + door;
    let minutes = sample(&m, 0, 2000, |o| value(o, "rescue_min"));
    within(&minutes, want(far), "minutes to safety");
    let (least, most) = (want(0.0), want(1.0));
    assert!(minutes.iter().all(|x| *x >= least - 5.0 - 1e-6 && *x <= most + 1e-6));
    let o = first(&m);
    assert_eq!(value(&o, "haven_demands"), 3.0, "rescuers have demands of their own");
    assert_eq!(ended(&m, 0, &o, "fetch"), 3.0);
}

/// With chance 1 - P the casualty is not brought through the hatch: missed. Who came to help goes in by
/// the planned list.
#[test]
fn rescuers_come_home_alone() {
    let (through, n) = (0.7, 2000);
    let law = format!("probability = {through} }} }}");
    let m = alone(FOUR).patch_access("probability = 1 } }", &law).model();
    share(&sample(&m, 0, n, |o| value(o, "campaign_haven_missed")), 1.0 - through, "missed");
    let fate = |o: &_| {
        let (missed, planned) = (value(o, "haven_missed"), value(o, "haven_planned"));
        assert_eq!(planned, 2.0 * missed, "both rescuers are safe");
        assert_eq!(value(o, "haven_demands"), 3.0);
        missed
    };
    share(&sample(&m, 0, n, fate), 1.0 - through, "one missed");
}

/// Hazards per hour outside strike rescuers too: whoever sets out is hurt at once, and all three lie there.
#[test]
fn rescuers_are_hurt_as_others_are() {
    let faint = mode(
        "faint",
        "crew",
        "per hour outside",
        "rate = \"1000 /h\"",
        "crew incapacitated",
        "severity = \"must be carried\"",
    );
    let o = first(&alone(FOUR).add(&faint).model());
    assert_eq!(value(&o, "incapacitations"), 3.0);
    assert_eq!(value(&o, "haven_demands"), 3.0);
    assert_eq!(value(&o, "haven_missed"), 3.0);
}

/// Two different suits; a way back that takes `safe` minutes on suit supply.
fn two_suits(short: f64, long: f64, shares: bool) -> Case {
    let safe = pump() + AFTER_DEPRESS + 240.0 + (10.0 + 2.0) + 240.0 + (4.0 + 4.0 + 6.0);
    let hammer = "[list.way_back.hammer]\nfrom = \"outside\"\nrows = [\n  { action = \"open\", \
         on = \"outer\", takes = \"4 h\", frees = 1 },\n  { use = \"ingress\", after = \"open outer\" },\n]\n";
    let sticks = mode(
        "sticks",
        "main.outer",
        "on opening",
        "probability = 1",
        "stuck shut",
        "during = \"ingress\"",
    );
    let case = one_sortie()
        .patch("ways_back = []", "ways_back = [\"hammer\"]")
        .patch(
            "{ suit = \"plain\", count = 2, at = \"main.lock\" }",
            "{ suit = \"plain\", count = 1, at = \"main.lock\" }, \
             { suit = \"other\", count = 1, at = \"main.lock\" }",
        )
        .add_access(hammer)
        .add(&sticks);
    let from = case.campaign.find("[suit.plain]").expect("the suit");
    let to = case.campaign.find("[activity.survey]").expect("the activity");
    let suit = case.campaign[from..to].to_string();
    let of = |name: &str, spare: f64| {
        let secondary = safe - 7.0 * 60.0 + spare;
        let more = format!("secondary = \"{secondary} min\"\nshares_secondary = {shares}");
        let text = suit.replace("secondary = \"30 min\"", &more);
        text.replace("[suit.plain]", &format!("[suit.{name}]"))
    };
    case.patch(&suit, &(of("plain", short) + &of("other", long)))
}

/// One has a minute too little, the other two more than needed: alone one is late, sharing nobody, and
/// the margin of both is the mean. Half a minute too little for the two makes both late.
#[test]
fn partners_share_secondary_minutes() {
    let o = first(&two_suits(-1.0, 2.0, false).model());
    assert_eq!((value(&o, "haven_late"), value(&o, "haven_way_back")), (1.0, 1.0));
    for (short, long) in [(-1.0, 2.0), (2.0, -1.0)] {
        let o = first(&two_suits(short, long, true).model());
        assert_eq!((value(&o, "haven_late"), value(&o, "haven_way_back")), (0.0, 2.0));
        let margin = value(&o, "haven_margin_contingency_min");
        assert!((margin - 0.5).abs() < 1e-5, "margin {margin} min of both");
    }
    let o = first(&two_suits(-2.0, 1.0, true).model());
    assert_eq!(value(&o, "haven_late"), 2.0);
}

/// Severities drawn by their shares: who walks with help is not lifted and goes faster.
#[test]
fn severity_is_drawn() {
    let hurt = mode(
        "hurt",
        "crew",
        "per sortie",
        "probability = 1",
        "crew incapacitated",
        "severity = { \"walks with help\" = 0.6, \"must be carried\" = 0.3, \"time-critical\" = 0.1 }",
    );
    let m = one_sortie()
        .patch("walk_speed = \"4 km/h\"", "walk_speed = \"4 km/h\"\nlift = \"5 min\"")
        .patch("dust = \"50 g\"", "dust = \"50 g\"\ndistance = \"1 km\"")
        .add(&hurt)
        .model();
    let (way, work) = (0.25, 4.0);
    let far = (work + way) / (work + 2.0 * way) * 60.0;
    let want = 0.6 * far / 2.0 + 0.4 * (5.0 + far / 1.2) + TO_SAFE - 5.0;
    within(&sample(&m, 0, 3000, |o| value(o, "rescue_min")), want, "minutes to safety");
}

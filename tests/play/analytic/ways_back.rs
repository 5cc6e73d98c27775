//! Getting back in, against formulas: hatches that stick, ways that free them, late and missed,
//! room in a haven, a cabin used as the lock.

use super::played::*;
use crate::support::{Case, TOOLS, value};
use vestibule::campaign::Player;
use vestibule::outcome::Outcome;

/// One try with tools at the outer hatch; then in as planned.
fn hammer(q: f64, takes: &str) -> String {
    format!(
        "[list.way_back.hammer]\nfrom = \"outside\"\nrows = [\n  \
         {{ action = \"open\", on = \"outer\", takes = \"{takes}\", frees = {q} }},\n  \
         {{ use = \"ingress\", after = \"open outer\" }},\n]\n"
    )
}

/// The outer hatch sticks shut with p when it is opened in ingress.
fn sticks(p: f64) -> String {
    let law = format!("probability = {p}");
    mode("sticks", "main.outer", "on opening", &law, "stuck shut", "during = \"ingress\"")
}

fn with_hammer(case: Case, q: f64, takes: &str) -> Case {
    case.patch("ways_back = []", "ways_back = [\"hammer\"]").add_access(&hammer(q, takes))
}

/// Sortie k takes place if none before it was a miss; m = p (1 - q) per sortie; both of a team of
/// two share its fate.
#[test]
fn a_hatch_that_sticks_and_one_way_that_frees_it() {
    let (p, q, n) = (0.08, 0.6, 4000);
    let m = with_hammer(Case::whole(), q, "10 min").add(&sticks(p)).model();
    let miss = p * (1.0 - q);
    let played: f64 = (0..SORTIES).map(|k| (1.0 - miss).powi(k)).sum();
    let risk = 1.0 - (1.0 - miss).powi(SORTIES);
    let flag = |o: &_| value(o, "campaign_haven_missed");
    share(&sample(&m, 0, n, flag), risk, "campaign risk");
    let planned = f64::from(SORTIES) * 8.0;
    within(&sample(&m, 0, n, |o| value(o, "eva_lost_h")), planned - 8.0 * played, "hours lost");
    let all_of_it = |o: &_| value(o, "eva_lost_h") - lost_to(&m, 0, o, "sticks");
    assert!(sample(&m, 0, n, all_of_it).iter().all(|x| x.abs() < 1e-9), "all lost to the hatch");
    within(&sample(&m, 0, n, |o| value(o, "haven_demands")), 2.0 * played, "demands");
    within(&sample(&m, 0, n, |o| value(o, "haven_missed")), 2.0 * miss * played, "missed");
    within(&sample(&m, 0, n, |o| value(o, "haven_way_back")), 2.0 * p * q * played, "by hammer");
    within(&sample(&m, 0, n, |o| value(o, "haven_planned")), 2.0 * (1.0 - p) * played, "planned");
    within(&sample(&m, 0, n, |o| value(o, "hatch_failures")), p * played, "hatch failures");
}

/// Nothing can be done: the risk is that of the hatch alone.
#[test]
fn a_hatch_that_sticks_and_no_way_back() {
    let p = 0.03;
    let m = Case::whole().add(&sticks(p)).model();
    let risk = 1.0 - (1.0f64 - p).powi(SORTIES);
    share(&sample(&m, 0, 4000, |o| value(o, "campaign_haven_missed")), risk, "campaign risk");
}

/// The planned row is tried three times. A try frees the hatch with q, and opening it is then a
/// new demand that sticks with p: stuck after three tries with p (1 - q (1 - p))^2. No way back
/// was used.
#[test]
fn tries_again_at_the_planned_row() {
    let (p, q, n) = (0.3, 0.5, 4000);
    let m = one_sortie()
        .patch_access(
            "{ action = \"open\", on = \"outer\", takes = \"2 min\" }",
            &format!(
                "{{ action = \"open\", on = \"outer\", takes = \"2 min\", frees = {q}, \
                 if_fails = \"retry 2\" }}"
            ),
        )
        .add(&sticks(p))
        .model();
    let again = 1.0 - q * (1.0 - p);
    share(&sample(&m, 0, n, |o| value(o, "campaign_haven_missed")), p * again * again, "risk");
    assert!(sample(&m, 0, n, |o| value(o, "haven_way_back")).iter().all(|x| *x == 0.0));
    let met = sample(&m, 0, n, |o| value(o, "door_to_door_min"));
    // A sortie that misses ends at the door: only those that came in have all rows.
    let base = egress() + TO_SAFE + AFTER_SAFE;
    let in_time: Vec<f64> = met.into_iter().filter(|x| *x >= base - 1e-6).collect();
    let one = p * q * (1.0 - p);
    let two = p * again * q * (1.0 - p);
    let want = base + 2.0 * (one + 2.0 * two) / (1.0 - p * again * again);
    within(&in_time, want, "door to door of those who came in");
}

/// The way frees the hatch for certain but too slowly: late, not missed; the margin to the second;
/// the campaign ends, and everything after is lost to the hatch.
#[test]
fn late_is_not_missed() {
    let m = with_hammer(Case::whole(), 1.0, "4 h").add(&sticks(1.0)).model();
    let o = first(&m);
    assert_eq!(value(&o, "haven_demands"), 2.0);
    assert_eq!(value(&o, "haven_late"), 2.0);
    assert_eq!(value(&o, "haven_missed"), 0.0);
    assert_eq!(ended(&m, 0, &o, "late"), 2.0);
    assert_eq!(value(&o, "haven_reached_fraction"), 0.0);
    let safe = pump() + AFTER_DEPRESS + 240.0 + (10.0 + 2.0) + 240.0 + (4.0 + 4.0 + 6.0);
    near(value(&o, "haven_margin_contingency_min"), 7.5 * 60.0 - safe, "margin of the way back");
    assert_eq!(value(&o, "sorties_done"), 1.0);
    near(value(&o, "eva_done_h"), 8.0, "hours of the one sortie");
    near(lost_to(&m, 0, &o, "sticks"), 8.0 * f64::from(SORTIES - 1), "hours after it");
    // Played until the sortie's books are closed: 1.75 d and the time out of doors, not 30 d.
    assert!(value(&o, "campaign_length_d") < 2.5);
}

/// One minute more of secondary supply than the way needs, and one less.
#[test]
fn the_last_minute_decides() {
    let safe = pump() + AFTER_DEPRESS + 240.0 + (10.0 + 2.0) + 240.0 + (4.0 + 4.0 + 6.0);
    for (spare, late) in [(1.0, 0.0), (-1.0, 2.0)] {
        let secondary = safe - 7.0 * 60.0 + spare;
        let m = with_hammer(one_sortie(), 1.0, "4 h")
            .patch("secondary = \"30 min\"", &format!("secondary = \"{secondary} min\""))
            .add(&sticks(1.0))
            .model();
        let o = first(&m);
        assert_eq!(value(&o, "haven_late"), late, "spare {spare} min");
        assert_eq!(value(&o, "haven_way_back"), 2.0 - late, "spare {spare} min");
        let margin = value(&o, "haven_margin_contingency_min");
        assert!((margin - spare).abs() < 1e-6, "margin {margin}");
    }
}

/// Late by the planned list: no way back was tried, the margin is a planned one (rule 21).
#[test]
fn late_by_the_planned_list() {
    // From the strike on, rows at the outer hatch take 150 times as long.
    let slow = mode(
        "heavy",
        "main.outer",
        "on opening",
        "probability = 1",
        "slower",
        "factor = 150\nduring = \"ingress\"",
    );
    let m = one_sortie().add(&slow).model();
    let o = first(&m);
    assert_eq!(value(&o, "haven_late"), 2.0);
    // The opening that strikes has taken its time; passing and closing are slow.
    let safe = pump() + AFTER_DEPRESS + 240.0 + 12.0 + 150.0 * (4.0 + 4.0) + 6.0;
    near(value(&o, "haven_margin_min"), 450.0 - safe, "planned margin");
    let m = vestibule::measure::measure("haven_margin_contingency_min").unwrap();
    assert_eq!(o.facts.read(m), None, "nobody used a way back");
}

/// The lock is at cabin pressure when its inner hatch sticks: safe since the end of `repress`, shut in
/// until it is mended.
#[test]
fn an_inner_hatch_that_sticks_is_no_miss() {
    let inner = mode(
        "sticks",
        "main.inner",
        "on opening",
        "probability = 1",
        "stuck shut",
        "during = \"ingress\"\nrepair = { takes = \"3 h\", crew = 1, from = \"anywhere\" }",
    );
    let m = Case::whole().add(&inner).model();
    let o = first(&m);
    assert!(value(&o, "haven_demands") > 0.0);
    assert_eq!(value(&o, "haven_planned"), value(&o, "haven_demands"));
    assert_eq!(value(&o, "campaign_haven_missed"), 0.0);
    assert_eq!(value(&o, "campaign_cut_short"), 0.0);
    let safe = pump() + AFTER_DEPRESS + 240.0 + TO_SAFE;
    near(value(&o, "haven_margin_min"), 450.0 - safe, "margin");
}

/// More secondary supply never turns a met demand into a missed one: one way back, one team out,
/// same luck (rules I).
#[test]
fn more_supply_never_hurts() {
    let case = |secondary: &str| {
        with_hammer(Case::whole(), 0.7, "90 min")
            .patch_access("takes = \"90 min\"", "takes = { low = \"10 min\", high = \"6 h\" }")
            .patch("secondary = \"30 min\"", &format!("secondary = \"{secondary}\""))
            .add(&sticks(0.15))
            .model()
    };
    let lost = |m: &_| sample(m, 0, 1500, |o| value(o, "campaign_haven_missed"));
    let models = [case("10 min"), case("60 min"), case("180 min")];
    let all: Vec<Vec<f64>> = models.iter().map(lost).collect();
    for pair in all.windows(2) {
        assert!(pair[0].iter().zip(&pair[1]).all(|(less, more)| more <= less));
        assert!(pair[0].iter().sum::<f64>() > pair[1].iter().sum::<f64>(), "it makes a difference");
    }
}

/// A further way back in the last place never adds a miss on the same luck: no repair, no other
/// element, no store gas (rules I).
#[test]
fn a_way_more_in_the_last_place_never_hurts() {
    let pry = "[list.way_back.pry]\nfrom = \"outside\"\nrows = [\n  \
         { action = \"open\", on = \"outer\", takes = { low = \"5 min\", high = \"8 h\" }, \
         frees = 0.5 },\n  \
         { use = \"ingress\", after = \"open outer\" },\n]\n";
    let more = "\n[architecture.more]\ntitle = \"one way more\"\nways_back = [\"hammer\", \
    \"pry\"]\n\
         suits = [{ suit = \"plain\", count = 2, at = \"main.lock\" }]\n\
         [architecture.more.port.main]\nelement = \"habitat\"\naccess = \"bar-lock\"\n";
    let case = with_hammer(Case::whole(), 0.5, "30 min");
    let twin = format!("{}{pry}", case.access[0].1);
    let m = case.include("bar-lock.toml", &twin).add(&sticks(0.1)).add(more).model();
    let mut player = Player::new(&m);
    let (mut fewer, mut same) = (0, 0);
    for i in 0..1500 {
        let flag = |o: &Outcome| {
            identities(o, &format!("campaign {i}"));
            value(o, "campaign_haven_missed")
        };
        let flags: Vec<f64> = player.play(i).map(flag).collect();
        assert!(flags[1] <= flags[0], "campaign {i}: one way more, one miss more");
        if flags[1] < flags[0] {
            fewer += 1;
        } else if flags[0] == 1.0 {
            same += 1;
        }
    }
    assert!(fewer > 50 && same > 50, "both happen: {fewer} and {same}");
}

/// An umbilical for one does not serve a team of two (rule 8): the way is not open.
#[test]
fn umbilicals_serve_so_many() {
    let needs = "[list.way_back.hammer]\nfrom = \"outside\"\nneeds = [\"umbilical for everyone\"]";
    for (serves, home) in [("serves = 1", 0.0), ("serves = 2", 2.0)] {
        let cord = format!("cord = {{ kind = \"umbilical\", in = \"lock\", {serves} }}\n[list]\n");
        let m = with_hammer(one_sortie(), 1.0, "10 min")
            .patch_access("[list.way_back.hammer]\nfrom = \"outside\"", needs)
            .patch_access("[list]\n", &cord)
            .add(&sticks(1.0))
            .model();
        let o = first(&m);
        assert_eq!(value(&o, "haven_way_back"), home, "{serves}");
        assert_eq!(value(&o, "haven_missed"), 2.0 - home, "{serves}");
    }
}

/// Every opening is a demand (rule 29), also in the try that frees the hatch: `frees` clears what held it,
/// and then it has to move. The hatch moves on the way out with 1 - p, sticks on the way in with p, and the
/// one try with tools succeeds with frees (1 - p).
#[test]
fn a_hatch_that_was_freed_is_asked_again_in_the_same_try() {
    let (p, frees, n) = (0.5, 0.6, 4000);
    let law = format!("probability = {p}");
    let m = one_sortie()
        .patch("ways_back = []", "ways_back = [\"hammer\", \"wipe\"]")
        .add_access(TOOLS)
        .add(&mode("sticks", "main.outer", "on opening", &law, "stuck shut", ""))
        .model();
    let missed = (1.0 - p) * p * (1.0 - frees * (1.0 - p));
    let flags = sample(&m, 0, n, |o| value(o, "campaign_haven_missed"));
    share(&flags, missed, "freed, and moves");
}

//! Every effect of a failure mode is seen in what a campaign leaves, and is gone once it is mended. A
//! new effect does not compile until it stands here; one that play does not know changes nothing, and
//! one that is not undone stays.

use super::played::*;
use super::traverses;
use crate::support::{Case, value};
use vestibule::scenario::{Effect, Vocabulary};

/// A campaign, the part that is struck, the measure that moves, and whether it grows.
type Seen = (Case, &'static str, &'static str, bool);

/// Where an effect that lasts is seen; `None` for those that act once, on whoever is outside.
fn lasting(effect: Effect) -> Option<Seen> {
    let lock = |on, measure, grows| Some((one_sortie(), on, measure, grows));
    match effect {
        Effect::Slower => lock("main.outer", "door_to_door_min", true),
        Effect::Leak => {
            let rest = "clear = \"0.91 m\", rest = \"shut\"";
            let seal = format!("{rest}, leak = \"0.1 kg/d\", leak_at = \"70.3 kPa\"");
            Some((one_sortie().patch_access(rest, &seal), "main.outer", "gas_lost_kg", true))
        }
        Effect::StuckShut => lock("main.outer", "sorties_done", false),
        Effect::StuckOpen => lock("main.outer", "eva_done_h", false),
        Effect::PumpLost => lock("main.main", "gas_lost_kg", true),
        Effect::StageLost => lock("main.brush", "dust_in_lock_g", true),
        Effect::SuitUnusable => lock("suit", "sorties_done", false),
        // Docked and empty: a habitat takes its crew with it.
        Effect::CannotTravel | Effect::ElementLost => {
            Some((traverses::rover(), "rover", "sorties_done", false))
        }
        Effect::ReturnNow | Effect::CrewIncapacitated => None,
    }
}

/// Strikes once, about 20 h after the start: `Gamma(1 + 1/200)` is within 0.3 % of 1 and the spread is
/// 0.6 %, so that no campaign strikes before 18 h or twice within 36 h (e^-6e8 and less).
const LIFE: &str = "life = \"20 h\", shape = 200";

fn struck((case, on, ..): &Seen, effect: Effect, more: &str) -> Case {
    let more = format!("noticed = \"at once\"\n{more}");
    case.clone().add(&mode("one", on, "per calendar hour", LIFE, effect.word(), &more))
}

#[test]
fn what_lasts_is_seen_and_is_gone_once_it_is_mended() {
    let mut wrong = Vec::new();
    for (effect, word, _) in Effect::WORDS {
        let Some(seen) = lasting(*effect) else { continue };
        let (measure, grows) = (seen.2, seen.3);
        let of = |case: &Case| value(&first(&case.model()), measure);
        let plain = of(&seen.0);
        let ill = of(&struck(&seen, *effect, ""));
        if ill == plain || (ill > plain) != grows {
            wrong.push(format!("{word}: {measure} {plain} becomes {ill}"));
        }
        // A lost element is lost for good: no repair of it begins.
        let for_good = *effect == Effect::ElementLost;
        let repair = "repair = { takes = \"1 min\", crew = 1, from = \"anywhere\" }";
        let well = of(&struck(&seen, *effect, repair));
        let want = if for_good { ill } else { plain };
        if (well - want).abs() > 0.01 * (ill - plain).abs() {
            wrong.push(format!("{word}: {measure} {plain}, mended {well}, struck {ill}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

/// The two that act once strike people outside.
#[test]
fn what_acts_once_is_seen() {
    for (effect, word, _) in Effect::WORDS.iter().filter(|w| lasting(w.0).is_none()) {
        let hurt = *effect == Effect::CrewIncapacitated;
        let more = if hurt { "severity = \"walks with help\"" } else { "" };
        let law = "probability = 1";
        let case = one_sortie().add(&mode("one", "crew", "per sortie", law, word, more));
        let (plain, ill) = (first(&one_sortie().model()), first(&case.model()));
        assert!(value(&ill, "eva_done_h") < value(&plain, "eva_done_h"), "{word}");
    }
}

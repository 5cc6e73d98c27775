//! Seals, filters, covers and what leaves the site: keys that only mean something together.

use super::{Sayer, failures, rules};
use crate::base::law::Law;
use crate::scenario::*;

/// Whatever the architecture.
pub(super) fn whole(s: &Scenario, say: &mut Sayer) {
    failures::written(s).for_each(|f| mode(f, say));
    for a in &s.access {
        a.it.openings.iter().for_each(|o| opening(o, say));
        a.it.stages.iter().for_each(|x| stage(x, say));
    }
    s.elements.iter().flat_map(|e| &e.it.openings).for_each(|o| opening(o, say));
    if let (Some(limit), None) = (s.body.bioburden_limit, s.campaign.bioburden) {
        let what = "the file does not say how many cells are in cabin air".to_string();
        say.rule(&rules::BIOBURDEN_LIMIT, limit.at, what);
    }
}

fn mode(f: &Named<FailureSpec>, say: &mut Sayer) {
    let it = &f.it;
    if it.adds_up.it && !matches!(it.effect.it, Effect::Leak | Effect::Slower) {
        let what = format!("`{}` cannot add up", it.effect.it.word());
        say.rule(&rules::ADDS_UP, it.adds_up.at, what);
    }
    let asked = matches!(
        it.when.it,
        Trigger::Opening
            | Trigger::Closing
            | Trigger::Holding
            | Trigger::Mating
            | Trigger::Unmating
    );
    if it.only_dusty.it && !asked {
        let what = format!("no seal is met {}", it.when.it.word());
        say.rule(&rules::ONLY_DUSTY, it.only_dusty.at, what);
    }
    let hours = it.on.iter().all(|on| on.it == "suit") && it.when.it == Trigger::Hour;
    let simple = it.common.is_none() && !matches!(it.law.law, Law::Weibull { .. });
    if it.outdoors.it && !(hours && simple) {
        let what = format!("`{}` counts hours outdoors", f.name);
        say.rule(&rules::OUTDOORS, it.outdoors.at, what);
    }
}

fn opening(o: &Named<OpeningSpec>, say: &mut Sayer) {
    if let Some(cover) = o.it.cover.as_ref().filter(|_| o.it.kind.it != OpeningKind::SuitInterface)
    {
        let what = format!("no suit hangs at `{}`, a {}", o.name, o.it.kind.it.word());
        say.rule(&rules::COVER_PLACE, cover.at, what);
    }
    if let Some(allowed) = o.it.leak_allowed.filter(|n| n.law.mean() < o.it.leak.law.mean()) {
        let what = format!("`{}` does not pass its check even when it is clean", o.name);
        say.rule(&rules::LEAK_ALLOWED, allowed.at, what);
    }
}

fn stage(x: &Named<StageSpec>, say: &mut Sayer) {
    let part = x.it.captures.iter().any(|n| n.law.least() < 1.0);
    if part && x.it.within.it == "outside" {
        let what = format!("what stage `{}` removes outside is gone", x.name);
        say.rule(&rules::STAGE_CAPTURES, x.it.captures[0].at, what);
    }
}

//! Failure modes: parts that are there, triggers and effects that fit them, common cause, repair.

mod targets;

use targets::targets;
pub(super) use targets::{strikes, strikes_element, strikes_pump};

use super::ranges::per_demand;
use super::{CheckedArm, Sayer, rules};
use crate::base::law::Law;
use crate::plan::{Element, Layout, NONE, Opening, Pump};
use crate::scenario::*;

/// What a failure mode can strike.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Target {
    Opening(OpeningKind),
    /// An opening that counts docking transfers.
    Docking(OpeningKind),
    Seal,
    Pump,
    Stage(StageKind),
    Suit,
    Crew,
    Rover,
    Element,
}

/// Kinds of part as `on` spells them.
const KINDS: &[(&str, Target)] = &[
    ("pressure hatch", Target::Opening(OpeningKind::PressureHatch)),
    ("crew hatch", Target::Opening(OpeningKind::PressureHatch)),
    ("berth hatch", Target::Opening(OpeningKind::PressureHatch)),
    ("dust door", Target::Opening(OpeningKind::DustDoor)),
    ("suit interface", Target::Opening(OpeningKind::SuitInterface)),
    ("valve", Target::Opening(OpeningKind::Valve)),
    ("seal", Target::Seal),
    ("pump", Target::Pump),
    ("stage", Target::Stage(StageKind::Cleaning)),
    ("panel", Target::Stage(StageKind::Panel)),
    ("umbilical", Target::Stage(StageKind::Umbilical)),
    ("suit", Target::Suit),
    ("crew", Target::Crew),
    ("rover", Target::Rover),
    ("element", Target::Element),
];

impl Target {
    /// Is play ever going to ask for this?
    fn asks(self, when: Trigger) -> bool {
        use OpeningKind::*;
        use Trigger::*;
        match self {
            Target::Opening(PressureHatch) => matches!(when, Opening | Closing | Holding | Hour),
            Target::Opening(DustDoor) => matches!(when, Opening | Closing | Hour),
            Target::Opening(SuitInterface) => matches!(when, Mating | Unmating | Holding | Hour),
            Target::Opening(Valve) => matches!(when, Opening | Holding | Hour),
            Target::Docking(kind) => when == Transfer || Target::Opening(kind).asks(when),
            Target::Seal => {
                matches!(when, Opening | Closing | Holding | Mating | Unmating | Hour)
            }
            Target::Pump | Target::Stage(_) => matches!(when, Start | Running | Hour),
            Target::Suit => matches!(when, Sortie | HourOutside | Hour),
            Target::Crew => matches!(when, Sortie | HourOutside),
            Target::Rover => matches!(when, Km | Hour),
            Target::Element => when == Hour,
        }
    }

    /// Can it have this effect, struck at this time?
    fn has(self, effect: Effect, when: Trigger) -> bool {
        use Effect::*;
        let outside = matches!(when, Trigger::Sortie | Trigger::HourOutside);
        match self {
            Target::Opening(OpeningKind::DustDoor) => {
                matches!(effect, Slower | StuckShut | StuckOpen)
            }
            Target::Opening(_) | Target::Docking(_) => {
                matches!(effect, Slower | Leak | StuckShut | StuckOpen)
            }
            Target::Seal => matches!(effect, Leak | StuckOpen),
            Target::Pump => matches!(effect, PumpLost | Slower),
            Target::Stage(_) => matches!(effect, StageLost | Slower),
            Target::Suit => {
                effect == SuitUnusable || outside && matches!(effect, ReturnNow | CrewIncapacitated)
            }
            Target::Crew => matches!(effect, ReturnNow | CrewIncapacitated),
            Target::Rover => matches!(effect, CannotTravel | ElementLost),
            Target::Element => effect == ElementLost,
        }
    }
}

fn kind(on: &str) -> Option<Target> {
    KINDS.iter().find(|k| k.0 == on).map(|k| k.1)
}

/// Failure modes as written, then as each architecture changes them.
pub(super) fn written(s: &Scenario) -> impl Iterator<Item = &Named<FailureSpec>> {
    lists(s).flat_map(|(_, all)| all)
}

/// All modes of the file, then those of each architecture with its name.
fn lists(s: &Scenario) -> impl Iterator<Item = (Option<&str>, &[Named<FailureSpec>])> {
    let of = |a| -> (Option<&str>, &[Named<FailureSpec>]) {
        let a: &Named<ArchitectureSpec> = a;
        (Some(a.name.as_str()), &a.it.failures)
    };
    std::iter::once((None, s.failures.as_slice())).chain(s.architectures.iter().map(of))
}

/// Modes by themselves.
pub(super) fn whole(s: &Scenario, say: &mut Sayer) {
    for (architecture, all) in lists(s) {
        let mut say = match architecture {
            Some(name) => Sayer::of(say.out, name),
            None => Sayer::new(say.out),
        };
        all.iter().for_each(|f| mode(s, all, f, &mut say));
    }
}

fn mode(s: &Scenario, all: &[Named<FailureSpec>], f: &Named<FailureSpec>, say: &mut Sayer) {
    severity(&f.it, say);
    stuck(&f.it, say);
    common(all, f, say);
    worn(f, say);
    mixed(f, say);
    shared(f, say);
    repair(s, &f.it, say);
    often(s, f, say);
    let late = f.it.noticed.it == Noticed::NextInspection;
    if late && s.campaign.inspection_every.is_none() {
        let what = format!("`{}` waits for an inspection that never takes place", f.name);
        say.rule(&rules::INSPECTION, f.it.noticed.at, what);
    }
}

/// Most strikes by the calendar that one part can have in a campaign.
const MOST_STRIKES: f64 = 10_000.0;

/// What strikes by the calendar thousands of times in a campaign is no failure of a part.
fn often(s: &Scenario, f: &Named<FailureSpec>, say: &mut Sayer) {
    let life = matches!(f.it.law.law, Law::Weibull { .. });
    if f.it.when.it != Trigger::Hour || life {
        return;
    }
    let strikes = f.it.law.law.mean() * s.campaign.length.law.mean();
    if strikes > MOST_STRIKES {
        let most = MOST_STRIKES;
        let what = format!(
            "`{}` occurs {strikes:.0e} times in a campaign; at most {most} are allowed",
            f.name
        );
        say.rule(&rules::COUNT_MANY, f.it.law.at, what);
    }
}

/// Hazards of people or suits outside are counted by person, those of parts by part.
fn mixed(f: &Named<FailureSpec>, say: &mut Sayer) {
    let alone = |on: &&Spot<String>| matches!(on.it.as_str(), "crew" | "suit");
    if let (Some(on), true) = (f.it.on.iter().find(alone), f.it.on.len() > 1) {
        let what = format!("`{}` applies to `{}` and something else", f.name, on.it);
        say.rule(&rules::MODE_MIXED, on.at, what);
    }
}

/// What wears from an age on: a part with an age of its own.
fn worn(f: &Named<FailureSpec>, say: &mut Sayer) {
    let Some(w) = &f.it.worn else { return };
    let what = if f.it.ages.is_some() || matches!(f.it.law.law, Law::Weibull { .. }) {
        "has a life as well"
    } else if f.it.common.is_some() {
        "is in a common-cause group, which has no age"
    } else if matches!(f.it.when.it, Trigger::Sortie | Trigger::HourOutside) {
        "applies to people and suits outside, whose age is not counted"
    } else if f.it.outdoors.it {
        "counts hours outdoors"
    } else {
        return;
    };
    say.rule(&rules::WORN, w.at, format!("`{}` wears from an age on and {what}", f.name));
}

fn severity(f: &FailureSpec, say: &mut Sayer) {
    let hurt = f.effect.it == Effect::CrewIncapacitated;
    let what = match (hurt, &f.severity, &f.treatment) {
        (true, None, _) => "an incapacitation without `severity`",
        (false, Some(_), _) | (false, _, Some(_)) => {
            "`severity` or `treatment` without an incapacitation"
        }
        _ => return,
    };
    let given = f.severity.map(|x| x.at).or(f.treatment.map(|n| n.at));
    let at = given.filter(|_| !hurt).unwrap_or(f.effect.at);
    say.rule(&rules::SEVERITY, at, what.to_string());
}

fn stuck(f: &FailureSpec, say: &mut Sayer) {
    use Trigger::*;
    let odd = match f.effect.it {
        Effect::StuckShut => matches!(f.when.it, Closing | Mating),
        Effect::StuckOpen => matches!(f.when.it, Opening | Unmating),
        _ => false,
    };
    if odd {
        let what = format!("`{}` {}", f.effect.it.word(), f.when.it.word());
        say.rule(&rules::STUCK_TRIGGER, f.effect.at, what);
    }
}

/// Parts with values of their own: there must be a value to draw, and parts that keep it.
fn shared(f: &Named<FailureSpec>, say: &mut Sayer) {
    if f.it.shared.it {
        return;
    }
    let certain = f.it.ages.map_or(f.it.law.law.is_fixed(), |a| a.iter().all(|n| n.law.is_fixed()));
    let plain_life = f.it.ages.is_none() && matches!(f.it.law.law, Law::Weibull { .. });
    let what = if f.it.common.is_some() {
        "is in a common-cause group, which has one law for all"
    } else if matches!(f.it.when.it, Trigger::Sortie | Trigger::HourOutside) {
        "applies to people and suits outside, which have one law for all"
    } else if certain || plain_life {
        "has a law in which all is certain"
    } else {
        return;
    };
    say.rule(&rules::NOT_SHARED, f.it.shared.at, format!("`{}` {what}", f.name));
}

fn common(all: &[Named<FailureSpec>], f: &Named<FailureSpec>, say: &mut Sayer) {
    let Some((group, beta)) = &f.it.common else {
        return;
    };
    if matches!(f.it.law.law, Law::Weibull { .. }) {
        let what = format!("`{}` has a life and a beta", f.name);
        say.rule(&rules::BETA_LIFE, beta.at, what);
    }
    let of_group = |g: &&Named<FailureSpec>| {
        let other = g.it.common.as_ref();
        other.is_some_and(|(name, _)| name.it == group.it)
    };
    let Some(first) = all.iter().find(of_group) else {
        return;
    };
    let same = first.it.when.it == f.it.when.it
        && first.it.law.law == f.it.law.law
        && first.it.common.as_ref().is_some_and(|c| c.1.law == beta.law);
    if !same {
        let what = format!("`{}` differs from `{}` in group `{}`", f.name, first.name, group.it);
        say.rule(&rules::GROUP_DIFFERS, group.at, what);
    }
}

fn repair(s: &Scenario, f: &FailureSpec, say: &mut Sayer) {
    let Some(r) = &f.repair else { return };
    if r.from.it == RepairFrom::Outside && r.crew.it == 0 {
        say.rule(
            &rules::REPAIR_CREW,
            r.crew.at,
            "a repair from outside needs at least one person".to_string(),
        );
    }
    if r.crew.it as usize > s.crew.names.len() {
        let what = format!("a repair by {} of {}", r.crew.it, s.crew.names.len());
        say.rule(&rules::REPAIR_CREW, r.crew.at, what);
    }
    let never = |n: &Num| n.law.fixed() == Some(0.0);
    let endless = match &r.spare {
        Some(_) => r.without_spare.as_ref().is_some_and(never),
        None => never(&r.success),
    };
    if endless && never(&r.takes) {
        let what = "an attempt takes no time and never succeeds".to_string();
        say.rule(&rules::REPAIR_ENDLESS, r.takes.at, what);
    }
    let Some(name) = &r.spare else {
        if let Some(chance) = &r.without_spare {
            let what = "`without_spare` of a repair that names no spare".to_string();
            say.rule(&rules::WITHOUT_SPARE, chance.at, what);
        }
        return;
    };
    let Some(spare) = s.spares.iter().find(|x| x.name == name.it) else {
        return;
    };
    let mut flights = s.stores.iter().flat_map(|x| &x.it.resupply);
    let brought = flights.any(|x| x.spares.iter().any(|(n, k)| n.it == name.it && *k > 0));
    if spare.it.count.it == 0 && !brought && r.without_spare.is_none() {
        let what = format!("there is never a spare `{}`", name.it);
        say.rule(&rules::SPARE_NONE, name.at, what);
    }
}

/// What `on` stands for in the architectures, and whether trigger and effect fit it.
pub(super) fn on_parts(s: &Scenario, arms: &[CheckedArm], say: &mut Sayer) {
    for (i, f) in s.failures.iter().enumerate() {
        // An architecture may say otherwise: each is asked for its own.
        let own = || s.architectures.iter().map(move |a| &a.it.failures[i]).zip(arms);
        let mut seen: Vec<&str> = Vec::new();
        for on in std::iter::once(f).chain(own().map(|x| x.0)).flat_map(|f| &f.it.on) {
            if !seen.contains(&on.it.as_str()) {
                seen.push(&on.it);
                on_part(f, on, own().filter(|(f, _)| f.it.is_on(&on.it)), say);
            }
        }
    }
}

/// One kind or part, in the architectures that have the mode on it.
fn on_part<'a>(
    written: &Named<FailureSpec>,
    on: &Spot<String>,
    arms: impl Iterator<Item = (&'a Named<FailureSpec>, &'a CheckedArm)>,
    say: &mut Sayer,
) {
    let of = |(f, arm): (&'a Named<FailureSpec>, &CheckedArm)| (f, targets(&arm.layout, &on.it));
    let found: Vec<_> = arms.map(of).collect();
    let nowhere = found.iter().all(|(_, t)| t.is_empty());
    let docks = found.iter().any(|(_, t)| t.iter().any(|t| matches!(t, Target::Docking(_))));
    for (f, targets) in &found {
        match kind(&on.it) {
            Some(k) => fits(f, on, if docks { found_docking(k) } else { k }, say),
            None => targets.iter().for_each(|t| fits(f, on, *t, say)),
        }
    }
    match (kind(&on.it), nowhere) {
        (Some(_), true) => {
            let what = format!("no architecture has any {} for `{}`", on.it, written.name);
            say.rule(&rules::MODE_IDLE, on.at, what);
        }
        (None, true) => {
            let what = format!("no architecture has a part `{}`", on.it);
            let kinds: Vec<_> = KINDS.iter().map(|k| k.0).collect();
            let remedy = format!(
                "write `PORT.PART`, `ELEMENT.PART`, an element, or a kind: {}",
                kinds.join(", ")
            );
            say.with(&rules::UNKNOWN_NAME, on.at, what, remedy);
        }
        (_, false) => {}
    }
}

fn found_docking(k: Target) -> Target {
    match k {
        Target::Opening(kind) => Target::Docking(kind),
        other => other,
    }
}

fn fits(f: &Named<FailureSpec>, on: &Spot<String>, t: Target, say: &mut Sayer) {
    let (on, when, effect) = (&on.it, f.it.when, f.it.effect);
    if !t.asks(when.it) {
        let unit = if per_demand(when.it) { "asked" } else { "exposed" };
        let what = format!("`{on}` is never {unit} {}", when.it.word());
        say.rule(&rules::MODE_TRIGGER, when.at, what);
    } else if !t.has(effect.it, when.it) {
        let what =
            format!("`{on}` cannot have the effect `{}` {}", effect.it.word(), when.it.word());
        say.rule(&rules::MODE_EFFECT, effect.at, what);
    }
}

//! Names that stand for nothing, for two things, or that nothing uses. Names inside lists and ports
//! are resolved by [`crate::plan`], which complains itself.

use super::{CheckedArm, Sayer, causes, failures, repairs, rules};
use crate::scenario::*;

/// Words that rows use for something else, besides the reserved ones.
const ROW_WORDS: &[&str] = &["suit", "berth", "ascent"];

/// Names that need no layout.
pub(super) fn whole(s: &Scenario, say: &mut Sayer) {
    for a in &s.activities {
        for c in &a.it.crew {
            known(say, c, "nobody is called", s.crew.names.iter().map(|n| &n.it));
        }
        if let Some(kind) = &a.it.suit {
            known(say, kind, "there is no suit", s.suits.iter().map(|k| &k.name));
        }
    }
    let spares = || s.spares.iter().map(|x| &x.name);
    for f in failures::written(s) {
        if let Some(name) = f.it.repair.as_ref().and_then(|r| r.spare.as_ref()) {
            known(say, name, "there is no spare", spares());
        }
    }
    for name in filter_spares(s) {
        known(say, name, "there is no spare", spares());
    }
    for x in &s.stores {
        let others = s.stores.iter().map(|y| &y.name).filter(|n| **n != x.name);
        if let Some(from) = &x.it.filled_from {
            known(say, from, "there is no other store", others);
        }
    }
    for flight in s.stores.iter().flat_map(|x| &x.it.resupply) {
        for (name, _) in &flight.spares {
            known(say, name, "there is no spare", spares());
        }
    }
    s.access.iter().for_each(|a| access(&a.it, say));
    unused(s, say);
}

/// Reports a name that is not among those known.
pub(super) fn known<'a>(
    say: &mut Sayer,
    name: &Spot<String>,
    lack: &str,
    mut names: impl Iterator<Item = &'a String> + Clone,
) {
    let list = listed(names.clone());
    if !names.any(|n| *n == name.it) {
        let what = format!("{lack} `{}`", name.it);
        say.with(&rules::UNKNOWN_NAME, name.at, what, list);
    }
}

fn listed<'a>(names: impl Iterator<Item = &'a String>) -> String {
    let names: Vec<_> = names.map(String::as_str).collect();
    match names.is_empty() {
        true => "none is declared; declare it".into(),
        false => format!("known: {}", names.join(", ")),
    }
}

/// Rows and failure modes name parts by name alone, so that these must differ within a file.
fn access(a: &AccessSpec, say: &mut Sayer) {
    let volumes = a.volumes.iter().map(|v| (&v.name, v.at));
    let openings = a.openings.iter().map(|o| (&o.name, o.at));
    let stages = a.stages.iter().map(|x| (&x.name, x.at));
    let pumps = a.pumps.iter().map(|p| (&p.name, p.at));
    let parts: Vec<_> = volumes.chain(openings).chain(stages).chain(pumps).collect();
    for (i, (name, at)) in parts.iter().enumerate() {
        let twice = parts[..i].iter().any(|(n, _)| n == name);
        if twice || ROW_WORDS.contains(&name.as_str()) {
            let what = match twice {
                true => format!("`{name}` is the name of two parts of this file"),
                false => format!("rows would read `{name}` as a word of their own"),
            };
            let remedy = "rename this part".to_string();
            say.with(&rules::AMBIGUOUS_NAME, *at, what, remedy);
        }
    }
    for pump in &a.pumps {
        pump_to(a, &pump.it, say);
    }
}

/// Where a pump's gas goes: names of other elements are left to whoever installs it.
fn pump_to(a: &AccessSpec, pump: &PumpSpec, say: &mut Sayer) {
    let to = &pump.to;
    let own = a.volumes.iter().any(|v| v.name == to.it);
    if to.it == pump.on.it || to.it == "outside" {
        let what = format!("the gas of `{}` would go to `{}`", pump.on.it, to.it);
        say.rule(&rules::PUMP_TO, to.at, what);
    } else if !own && !to.it.contains('.') && to.it != "store" && to.it != "cabin" {
        let what = format!("no volume `{}` for the pump to fill", to.it);
        let names = listed(a.volumes.iter().map(|v| &v.name));
        let remedy = format!("write `store`, `cabin` or a volume; {names}");
        say.with(&rules::UNKNOWN_NAME, to.at, what, remedy);
    }
}

/// Entries that no other entry names.
fn unused(s: &Scenario, say: &mut Sayer) {
    let arms = || s.architectures.iter().map(|a| &a.it);
    for x in &s.suits {
        let used = arms().any(|a| a.suits.iter().any(|p| p.suit.it == x.name));
        idle(say, used, x.at, "no architecture keeps a suit", &x.name);
    }
    let misspelt = causes::access_unknown(s);
    for x in s.access.iter().filter(|_| !misspelt) {
        let uses = |p: &Named<PortSpec>| p.it.access.it == x.name || p.it.system() == x.name;
        let used = arms().any(|a| a.ports.iter().any(uses));
        idle(say, used, x.at, "no port has the access system", &x.name);
    }
    for x in &s.spares {
        let uses = |f: &Named<FailureSpec>| {
            let spare = f.it.repair.as_ref().and_then(|r| r.spare.as_ref());
            spare.is_some_and(|n| n.it == x.name)
        };
        let used = failures::written(s).any(uses) || filter_spares(s).any(|n| n.it == x.name);
        idle(say, used, x.at, "no repair uses the spare", &x.name);
    }
    for x in s.stores.iter().filter(|_| s.stores.len() > 1) {
        let feeds = |e: &Named<ElementSpec>| e.it.store.as_ref().is_some_and(|n| n.it == x.name);
        let used = arms().any(|a| a.elements.iter().any(feeds));
        idle(say, used, x.at, "no element is fed from the store", &x.name);
    }
}

/// Spares that filter changes use.
fn filter_spares(s: &Scenario) -> impl Iterator<Item = &Spot<String>> {
    let of_arms = s.architectures.iter().flat_map(|a| &a.it.elements);
    let elements = s.elements.iter().chain(of_arms).filter_map(|e| e.it.filter_life.as_ref());
    let volumes = s.access.iter().flat_map(|a| &a.it.volumes);
    let volumes = volumes.filter_map(|v| v.it.filter_life.as_ref());
    elements.chain(volumes).filter_map(|f| f.spare.as_ref())
}

fn idle(say: &mut Sayer, used: bool, at: At, what: &str, name: &str) {
    if !used {
        say.rule(&rules::UNUSED_ENTRY, at, format!("{what} `{name}`"));
    }
}

/// Names that may stand for a part in any architecture: ports of activities, parts of modes. Only
/// asked when every architecture was resolved, else each would be missed once more.
pub(super) fn unresolved(s: &Scenario, arms: &[CheckedArm], say: &mut Sayer) {
    if arms.len() < s.architectures.len() {
        return;
    }
    let ports = || arms.iter().flat_map(|a| a.layout.ports.iter().map(|p| &p.name));
    for p in s.activities.iter().flat_map(|a| &a.it.ports) {
        known(say, p, "no architecture has a port", ports());
    }
    let elements = || arms.iter().flat_map(|a| a.layout.elements.iter().map(|e| &e.name));
    for a in &s.activities {
        known(say, &a.it.from, "there is no played element", elements());
    }
    failures::on_parts(s, arms, say);
    repairs::can_begin(s, arms, say);
}

//! Who goes out when, through what: slots, teams, ports, who stays inside, and whether the hours
//! wanted can be had at all.

use super::{Arm, Sayer, rules};
use crate::plan::{Layout, NONE, On, Port};
use crate::scenario::*;

const DAY: f64 = 86_400.0;
/// Most slots of a campaign; plans are laid out before play.
const MOST_SLOTS: f64 = 20_000.0;

/// Plans, whatever the architecture.
pub(super) fn whole(s: &Scenario, say: &mut Sayer) {
    let mut slots = 0.0;
    for a in &s.activities {
        slots += slots_of(s, a, say);
        if slots > MOST_SLOTS {
            let what = format!("with `{}` the activities plan {slots:.0} sorties", a.name);
            say.rule(&rules::SLOTS_MANY, a.at, what);
            slots = f64::NEG_INFINITY; // said once
        }
        if let Some(hour) = a.it.hour.filter(|h| h.law.mean() >= s.campaign.day.law.mean()) {
            let (hour_h, day_h) = (hour.law.mean() / 3600.0, s.campaign.day.law.mean() / 3600.0);
            let what = format!("hour {hour_h:.1} of a day of {day_h:.1} h");
            say.rule(&rules::SLOT_HOUR, hour.at, what);
        }
        team(s, &a.it, say);
        if !matches!(a.it.by.it, By::Foot | By::RoverOutside) {
            let what = format!("work is reached by = \"{}\"", a.it.by.it.word());
            say.rule(&rules::ACTIVITY_BY, a.it.by.at, what);
        }
    }
    let c = &s.campaign;
    let (duty, rest) = (c.duty_day.law.mean(), c.rest_least.law.mean());
    if duty + rest > DAY {
        let what = format!("{:.1} h of duty and {:.1} h of rest", duty / 3600.0, rest / 3600.0);
        say.rule(&rules::DUTY_DAY, c.duty_day.at, what);
    }
}

/// Checks the slots of an activity and counts them.
fn slots_of(s: &Scenario, a: &Named<ActivitySpec>, say: &mut Sayer) -> f64 {
    let horizon = s.campaign.length.law.mean();
    for t in a.it.at_times.iter().filter(|t| t.it >= horizon) {
        let what = format!("day {:.1} of `{}` is not in the campaign", t.it / DAY, a.name);
        say.rule(&rules::SLOT_OUTSIDE, t.at, what);
    }
    if let Some(rate) = a.it.per_week {
        let count = (horizon / (7.0 * DAY) * rate.it + 0.5).floor();
        if count < 1.0 {
            let what = format!("the campaign ends before the first sortie of `{}`", a.name);
            say.rule(&rules::SLOT_OUTSIDE, rate.at, what);
        }
        return count;
    }
    match &a.it.traverse {
        Some(t) => traverse(t, horizon, say),
        None => a.it.at_times.len() as f64,
    }
}

fn traverse(t: &TraverseSpec, horizon: f64, say: &mut Sayer) -> f64 {
    let (count, days) = (f64::from(t.count.it), f64::from(t.days.it));
    let end = t.first.law.mean() + (count - 1.0) * t.every.law.mean() + days * DAY;
    if end > horizon {
        let what = format!("the last traverse would end on day {:.1}", end / DAY);
        say.rule(&rules::SLOT_OUTSIDE, t.at, what);
    }
    if t.count.it > 1 && t.every.law.mean() < days * DAY {
        let what = "the next traverse departs before this one is back".to_string();
        say.rule(&rules::TRAVERSE_OVERLAP, t.every.at, what);
    }
    count * days * f64::from(t.per_day.it)
}

fn team(s: &Scenario, a: &ActivitySpec, say: &mut Sayer) {
    let pool = match a.crew.len() {
        0 => s.crew.names.len(),
        n => n,
    };
    if a.team.it as usize > pool {
        let what = format!("a team of {} from {pool}", a.team.it);
        say.rule(&rules::TEAM_CREW, a.team.at, what);
    }
}

/// Activities in one architecture; the largest team that can be walked through its lists.
pub(super) fn arm(a: &Arm, say: &mut Sayer) -> u32 {
    let mut walked = 1;
    for activity in &a.s.activities {
        if a.l.element(&activity.it.from.it).is_none() {
            continue; // said for all architectures at once
        }
        host(a, &activity.it, say);
        hours(a, &activity.it, say);
        if ports(a, activity, say) {
            walked = walked.max(activity.it.team.it);
        }
    }
    walked
}

/// The element an activity starts from.
fn host(a: &Arm, x: &ActivitySpec, say: &mut Sayer) {
    let Some(e) = a.spec.elements.iter().find(|e| e.name == x.from.it) else {
        return;
    };
    // Everybody of a traverse is in the rover; at home the whole crew may be.
    let inside = match &x.traverse {
        Some(_) => x.team.it,
        None => a.s.crew.names.len() as u32,
    };
    let stay = inside.saturating_sub(x.team.it);
    if stay < e.it.inside_least.it && x.team.it <= inside {
        let least = e.it.inside_least.it;
        let what = format!("{stay} stay in `{}`, {least} must: it never starts", e.name);
        say.rule(&rules::INSIDE_LEAST, x.team.at, what);
    }
    let drives = |e: &ElementSpec| e.kind.it == ElementKind::Rover && e.speed.is_some();
    if x.by.it == By::RoverOutside && !a.spec.elements.iter().any(|e| drives(&e.it)) {
        let what = "no rover of this architecture drives".to_string();
        say.rule(&rules::ACTIVITY_BY, x.by.at, what);
    }
    let Some(t) = &x.traverse else { return };
    if !drives(&e.it) {
        let what = format!("`{}` is not a rover that drives", e.name);
        say.rule(&rules::TRAVERSE_ROVER, x.from.at, what);
    }
    let far = 2.0 * t.drive.law.mean();
    if let Some(range) = e.it.range.filter(|r| far > r.law.mean()) {
        let range = range.law.mean() / 1000.0;
        let what = format!("{:.1} km out and back with {range:.1} km of range", far / 1000.0);
        say.rule(&rules::TRAVERSE_RANGE, t.drive.at, what);
    }
}

/// Rule 13: what is wanted against the duty day and life support.
fn hours(a: &Arm, x: &ActivitySpec, say: &mut Sayer) {
    let crew = &a.s.crew;
    let walk = match x.by.it {
        By::RoverOutside => 0.0,
        _ => 2.0 * x.distance.law.mean() / crew.walk_speed.law.mean(),
    };
    let wanted = x.hours.law.mean() + walk;
    let watts = x.work.as_ref().unwrap_or(&crew.work).law.mean();
    let worn = x.ports.iter().filter_map(|p| a.l.port(&p.it));
    let kinds = worn.flat_map(|p| match kind(a.s, x) {
        Some(k) => vec![k],
        None => super::suits::kinds_at(a.l, p),
    });
    let life = kinds
        .map(|k| {
            let suit = &a.s.suits[k as usize].it;
            suit.primary.law.mean() * suit.primary_at.law.mean() / watts
        })
        .fold(f64::INFINITY, f64::min)
        - a.s.campaign.reserve.law.mean();
    let limit = life.min(a.s.campaign.duty_day.law.mean());
    if wanted > limit {
        let (w, most) = (wanted / 3600.0, limit / 3600.0);
        let what = format!(
            "{w:.1} h are asked for on average, and at most {most:.1} h are \
            possible"
        );
        say.rule(&rules::HOURS_WANTED, x.hours.at, what);
    }
}

/// The ports of an activity; can its team be walked through them?
fn ports(a: &Arm, x: &Named<ActivitySpec>, say: &mut Sayer) -> bool {
    let mine: Vec<(u16, At)> =
        x.it.ports.iter().filter_map(|p| Some((a.l.port(&p.it)?, p.at))).collect();
    let known = |p: &Spot<String>| {
        let mut all = a.s.architectures.iter().flat_map(|b| &b.it.ports);
        all.any(|q| q.name == p.it)
    };
    if mine.is_empty() && x.it.ports.iter().any(known) {
        let what = format!("no port of `{}` serves `{}`", a.l.name, x.name);
        say.rule(&rules::ACTIVITY_NO_PORT, a.at, what);
    }
    let mut fits = true;
    for (id, at) in mine {
        let p = &a.l.ports[id as usize];
        if a.l.elements[p.element as usize].name != x.it.from.it {
            let what = format!("port `{}` is not on `{}`", p.name, x.it.from.it);
            say.rule(&rules::PORT_ELEMENT, at, what);
        }
        if p.egress == NONE || p.ingress == NONE {
            let what = format!("port `{}` has no lists of its own", p.name);
            say.rule(&rules::PORT_NO_LISTS, at, what);
        }
        fits &= team_fits(a, &x.it, p, say);
    }
    fits && x.it.team.it as usize <= a.s.crew.names.len()
}

fn team_fits(a: &Arm, x: &ActivitySpec, p: &Port, say: &mut Sayer) -> bool {
    let team = x.team.it;
    if let Some(why) = impassable(a.l, p, team) {
        say.rule(&rules::TEAM_PORT, x.team.at, why);
        return false;
    }
    let id = a.l.ports.iter().position(|q| std::ptr::eq(p, q));
    let wanted = kind(a.s, x).unwrap_or(NONE);
    let suits = id.map_or(0, |i| super::suits::count_at(a.l, i as u16, wanted));
    if (suits as u32) < team {
        let of = x.suit.as_ref().map_or(String::new(), |k| format!("`{}` ", k.it));
        let what = format!("a team of {team} and {suits} {of}suits at port `{}`", p.name);
        say.rule(&rules::SUITS_SHORT, x.team.at, what);
        return false;
    }
    true
}

/// The kind of suit that an activity asks for.
pub(super) fn kind(s: &Scenario, x: &ActivitySpec) -> Option<u16> {
    let name = x.suit.as_ref()?;
    s.suits.iter().position(|k| k.name == name.it).map(|k| k as u16)
}

/// Why a team cannot go through a port, not even in batches: suits hang at the berths, where each is
/// out with its wearer.
fn impassable(l: &Layout, p: &Port, team: u32) -> Option<String> {
    let berths = p.berths.len();
    let few = suited_at_berths(l, p) && team > berths as u32;
    few.then(|| format!("a team of {team}, and the berths of port `{}` are {berths}", p.name))
}

/// Does the egress list of a port take people into suits at its berths?
pub(super) fn suited_at_berths(l: &Layout, p: &Port) -> bool {
    let rows = l.lists.get(p.egress as usize).map_or(&[][..], |x| &x.rows);
    rows.iter().any(|r| r.action == Action::Don && matches!(r.on, On::Opening(..)))
}

//! Slots and traverses, laid out before play (rule 11).

use super::*;

/// Planned sorties and person-seconds.
pub(super) fn planned(slots: &[Slot], activities: &[Activity]) -> (u32, f64) {
    let seconds = slots
        .iter()
        .map(|s| &activities[s.activity as usize])
        .map(|a| a.planned * f64::from(a.team))
        .sum();
    (slots.len() as u32, seconds)
}

/// Lays out slots and rosters (rule 11).
pub(super) fn slots_of(s: &Scenario, horizon: f64) -> (Vec<Slot>, Vec<Traverse>) {
    let mut slots = Vec::new();
    let mut traverses = Vec::new();
    for (i, a) in s.activities.iter().enumerate() {
        let crew = roster_of(s, &a.it);
        let team = a.it.team.it as usize;
        let pick = |turn: usize| -> u16 {
            (0..team).fold(0, |c, j| c | 1 << crew[(turn * team + j) % crew.len()])
        };
        let day = s.campaign.day.law.mean();
        let hour = a.it.hour.map(|h| h.law.mean());
        let mut push = |time: f64, number: u32, roster: u16, traverse: u16| {
            // Slots with an `hour` keep their local day.
            let time = hour.map_or(time, |h| (time / day).floor() * day + h);
            if time < horizon {
                slots.push(Slot { activity: i as u16, number, time, roster, traverse });
            }
        };
        if let Some(t) = &a.it.traverse {
            let eve = hour.map(|h| (day, h));
            lay_traverses(t, i as u16, (horizon, eve), &pick, &mut traverses, &mut push);
        } else if let Some(rate) = a.it.per_week {
            let gap = 7.0 * 86_400.0 / rate.it;
            let count = (horizon / gap + 0.5).floor() as u32;
            for k in 1..=count {
                push((f64::from(k) - 0.5) * gap, k, pick(k as usize - 1), u16::MAX);
            }
        } else {
            for (k, t) in a.it.at_times.iter().enumerate() {
                push(t.it, k as u32 + 1, pick(k), u16::MAX);
            }
        }
    }
    slots.sort_by(|a, b| a.time.total_cmp(&b.time).then(a.activity.cmp(&b.activity)));
    traverses.sort_by(|a: &Traverse, b| a.depart.total_cmp(&b.depart));
    for s in &mut slots {
        if s.traverse != u16::MAX {
            let found = traverses
                .iter()
                .position(|t| t.activity == s.activity && t.number == u32::from(s.traverse));
            s.traverse = found.map_or(u16::MAX, |t| t as u16);
        }
    }
    (slots, traverses)
}

pub(super) fn roster_of(s: &Scenario, a: &ActivitySpec) -> Vec<usize> {
    let index = |n: &str| s.crew.names.iter().position(|c| c.it == n);
    if a.crew.is_empty() {
        (0..s.crew.names.len()).collect()
    } else {
        let mut out: Vec<usize> = a.crew.iter().filter_map(|c| index(&c.it)).collect();
        out.sort_unstable();
        out
    }
}

/// How long after the hour at which its sorties begin the crew of a rover drives, s: then the day outside
/// is over (assumed).
const AFTER_WORK: f64 = 9.0 * 3600.0;

pub(super) fn lay_traverses(
    t: &TraverseSpec,
    activity: u16,
    (horizon, eve): (f64, Option<(f64, f64)>),
    pick: &dyn Fn(usize) -> u16,
    traverses: &mut Vec<Traverse>,
    push: &mut dyn FnMut(f64, u32, u16, u16),
) {
    const DAY: f64 = 86_400.0;
    let mut number = 0;
    for j in 0..t.count.it {
        let first = t.first.law.mean() + f64::from(j) * t.every.law.mean();
        // Who has an `hour` for sorties drives in the evenings: out, on, and home.
        let (begins, depart, local_day) = match eve {
            Some((day, hour)) => {
                let begins = (first / day).floor() * day;
                (begins, (begins - day + hour + AFTER_WORK).max(0.0), day)
            }
            None => (first, first, DAY),
        };
        let end = depart + f64::from(t.days.it) * local_day;
        if end > horizon {
            break;
        }
        let roster = pick(j as usize);
        traverses.push(Traverse { activity, depart, end, local_day, roster, number: j + 1 });
        for day in 0..t.days.it {
            for k in 1..=t.per_day.it {
                number += 1;
                let within = (f64::from(k) - 0.5) / f64::from(t.per_day.it);
                push(begins + (f64::from(day) + within) * DAY, number, roster, (j + 1) as u16);
            }
        }
    }
}

/// Largest team any activity sends through one list.
pub(in crate::model) fn team_most(s: &Scenario) -> usize {
    let most = s.activities.iter().map(|a| a.it.team.it as usize).max().unwrap_or(1);
    most.clamp(1, MAX_CREW)
}

//! Step rows one by one: keys that mean something for the action, and parts that can do it.

use super::{Arm, Sayer, rules};
use crate::plan::{Aim, Layout, OUTSIDE, On, Row, VolumeId};
use crate::scenario::*;

/// Rows as written, in every access file.
pub(super) fn whole(s: &Scenario, say: &mut Sayer) {
    for a in &s.access {
        for (outward, rows) in lists(&a.it) {
            for step in rows.iter().filter_map(step_of) {
                keys(step, say);
                times(step, say);
                outward.iter().for_each(|o| if_fails(step, *o, say));
            }
        }
    }
}

/// Every row of an access file.
pub(super) fn all(a: &AccessSpec) -> impl Iterator<Item = &RowSpec> {
    lists(a).into_iter().flat_map(|(_, rows)| rows)
}

/// Every list of an access file, and whether it goes outward; lists of docking go either way.
fn lists(a: &AccessSpec) -> Vec<(Option<bool>, &[RowSpec])> {
    let plain = [
        (Some(true), &a.egress),
        (Some(false), &a.ingress),
        (Some(false), &a.service_in),
        (Some(true), &a.service_out),
        (Some(false), &a.restore),
        (None, &a.dock),
        (None, &a.undock),
    ];
    let plain = plain.into_iter().filter_map(|(o, l)| Some((o, &l.as_ref()?.rows[..])));
    let ways = a.ways_back.iter().flat_map(|w| [&w.it.rows, &w.it.after_rows]);
    plain.chain(ways.map(|rows| (Some(false), &rows[..]))).collect()
}

fn step_of(row: &RowSpec) -> Option<&StepSpec> {
    match &row.it {
        RowBody::Step(step) => Some(step),
        RowBody::Use(_) => None,
    }
}

/// Every step that an access file writes.
pub(super) fn steps(a: &AccessSpec) -> Vec<&StepSpec> {
    let rows = lists(a).into_iter().flat_map(|(_, rows)| rows);
    rows.filter_map(step_of).collect()
}

/// Keys that mean something for some actions only.
fn keys(s: &StepSpec, say: &mut Sayer) {
    use Action::*;
    let action = s.action.it;
    let on_suit = s.on.iter().any(|n| n.it == "suit");
    let mut only = |key: &str, at: Option<At>, fits: bool| {
        if let (Some(at), false) = (at, fits) {
            let what = format!("`{key}` has no meaning on `{}`", action.word());
            say.rule(&rules::ROW_KEY, at, what);
        }
    };
    let checks = action == LeakCheck;
    only("misses", s.misses.map(|n| n.at), checks);
    only("false_alarm", s.false_alarm.map(|n| n.at), checks);
    only("by", s.by.map(|b| b.at), action == Travel);
    only("until", s.until.as_ref().map(|u| u.at), action == Wait);
    let moves = matches!(action, Open | Close | Mate | Unmate | Repress | LeakCheck | Clean);
    only("frees", s.frees.map(|n| n.at), moves);
    let fills = matches!(action, Depress | Vent | Repress);
    only("to", s.to.map(|t| t.at), fills);
    let gas = fills || action == Purge;
    only("gas", s.gas.as_ref().map(|g| g.at), gas);
    let empty = matches!(action, Mate | Unmate | Vent | Repress | Depress | Clean | Recharge);
    only("suit", s.suit.map(|w| w.at), empty);
    let Some(to) = s.to.filter(|_| fills) else {
        return;
    };
    let wrong = match to.it {
        Target::Working => !on_suit,
        Target::Outside => action == Repress,
        Target::Cabin | Target::Pascal(_) => false,
    };
    if wrong {
        let what = format!("`{}` cannot bring this part to that pressure", action.word());
        say.rule(&rules::ROW_TO, to.at, what);
    }
}

/// A row takes time, or physics says how long.
fn times(s: &StepSpec, say: &mut Sayer) {
    use Action::*;
    if s.takes.is_some() {
        return;
    }
    let on_suit = s.on.iter().any(|n| n.it == "suit");
    let on_mask = s.on.iter().any(|n| n.it == "mask");
    match s.action.it {
        // The target of the ratio belongs to the suit: a mask is worn as long as the row says.
        Prebreathe if on_mask => {
            let what = "`prebreathe` on a mask has no `takes`".to_string();
            say.rule(&rules::ROW_TIME, s.action.at, what);
        }
        Wait if s.until.is_none() => {
            let what = "this `wait` has neither `takes` nor `until`".to_string();
            say.rule(&rules::WAIT_END, s.action.at, what);
        }
        Wait | Prebreathe | Travel | Vent => {} // `vent` on a suit is told with the valves
        Depress | Repress if !on_suit => {}
        action => {
            let what = format!("`{}` has no `takes`", action.word());
            say.rule(&rules::ROW_TIME, s.action.at, what);
        }
    }
}

fn if_fails(s: &StepSpec, outward: bool, say: &mut Sayer) {
    let Some(f) = s.if_fails else { return };
    let wrong = match f.it {
        IfFails::Abort => !outward,
        IfFails::NextWayBack => outward,
        IfFails::Retry(_) | IfFails::GoOn => false,
    };
    if wrong {
        let what = match outward {
            true => "nobody is outside yet, so no contingency ingress path can be tried",
            false => "there is no egress to abort in this list",
        };
        say.rule(&rules::IF_FAILS, f.at, what.to_string());
    }
}

/// Rows of one architecture, with their parts.
pub(super) fn arm(a: &Arm, say: &mut Sayer) {
    for list in &a.l.lists {
        list.rows.iter().for_each(|r| row(a.l, r, say));
    }
}

fn row(l: &Layout, r: &Row, say: &mut Sayer) {
    match r.action {
        Action::Vent if r.written.takes.is_none() && !volumes(r).any(|v| has_valve(l, v)) => {
            let what = format!("`{}` has neither a valve nor `takes`", r.written.label);
            say.rule(&rules::VENT_VALVE, r.written.at, what);
        }
        Action::Depress if !volumes(r).any(|v| l.pump_of(v).is_some()) => {
            let what = format!("no pump empties `{}`", r.written.label);
            say.rule(&rules::DEPRESS_PUMP, r.written.at, what);
        }
        Action::Depress => level(l, r, say),
        Action::Clean | Action::Recharge => stage(l, r, say),
        Action::Travel => travel(l, r, say),
        _ => {}
    }
}

/// A pump brings a volume to a level between its stop and the pressure that was there before.
fn level(l: &Layout, r: &Row, say: &mut Sayer) {
    let Some((v, pump)) = volumes(r).find_map(|v| l.pump_of(v).map(|p| (v, &l.pumps[p]))) else {
        return;
    };
    let volume = &l.volumes[v];
    let cabin = l.elements[volume.element as usize].cabin;
    let high = volume.rest.max(l.volumes[cabin].rest);
    let level = l.level(r, v);
    // A stop that cannot be, and `working`, have findings of their own.
    if pump.stop >= high || r.to == Aim::Working {
        return;
    }
    let what = if level < pump.stop * (1.0 - 1e-9) {
        format!("its pump stops at {:.3} kPa", pump.stop / 1000.0)
    } else if level >= high {
        format!("nothing there is above {:.3} kPa", high / 1000.0)
    } else {
        return;
    };
    let what = format!("`{}` goes to {:.3} kPa, but {what}", r.written.label, level / 1000.0);
    say.rule(&rules::DEPRESS_LEVEL, r.written.at, what);
}

/// First instances of the volumes a row acts on.
pub(super) fn volumes(r: &Row) -> impl Iterator<Item = VolumeId> + use<> {
    let (ids, n) = match r.on {
        On::Volumes(v, n) => (v, n as usize),
        On::BerthVolume(v, _) => ([v; 3], 1),
        _ => ([OUTSIDE; 3], 0),
    };
    ids.into_iter().take(n)
}

fn has_valve(l: &Layout, v: VolumeId) -> bool {
    l.volumes[v].openings.iter().any(|o| {
        let valve = l.openings[*o].kind == OpeningKind::Valve;
        valve && l.across(*o, v) == Some(OUTSIDE)
    })
}

fn stage(l: &Layout, r: &Row, say: &mut Sayer) {
    let On::Stage(id) = r.on else { return };
    let x = &l.stages[id as usize];
    if (x.kind == StageKind::Cleaning) != (r.action == Action::Clean) {
        let what = format!("`{}` on `{}`, a {}", r.action.word(), x.name, x.kind.word());
        say.rule(&rules::STAGE_KIND, r.written.at, what);
    }
}

fn travel(l: &Layout, r: &Row, say: &mut Sayer) {
    let On::Element(e) = r.on else { return };
    let there = match r.by {
        By::Foot | By::Stretcher => true,
        By::Ascent => l.elements[e as usize].ascent,
        By::Rover | By::RoverOutside => l.elements.iter().any(|e| e.kind == ElementKind::Rover),
    };
    if !there {
        let what = format!("nothing in `{}` to travel by = \"{}\"", l.name, r.by.word());
        say.rule(&rules::TRAVEL_MEANS, r.written.at, what);
    }
}

//! What a reader knows already, so that only what changed is said: the suits of a crew, where people
//! are, the pressure of volumes, what is left.

use crate::campaign::trace::RowState;
use std::collections::HashMap;

/// Pressures closer than that are the same, kPa.
const SAME: f64 = 0.05;

/// What was said so far.
#[derive(Debug, Default)]
pub(super) struct Changes {
    suits: HashMap<String, String>,
    places: HashMap<String, String>,
    pressures: HashMap<String, f64>,
    list: String,
    left: String,
}

impl Changes {
    /// A sortie in a line: its people stand in their own column, and their suits are said when they
    /// are others than the last time.
    pub fn sortie(&mut self, text: &str, who: &[String]) -> String {
        let crew = crew(who);
        // A slot that is cancelled names nobody.
        let text =
            if crew.is_empty() { text.into() } else { text.replace(&format!(": {crew}"), "") };
        let Some((before, rest)) = text.split_once(" (in ") else { return text };
        let Some((suits, after)) = rest.split_once(')') else { return text };
        let suits = suits.replace("suit/", "");
        let known = self.suits.insert(crew, suits.clone());
        match known.as_deref() == Some(suits.as_str()) {
            true => format!("{before}{after}"),
            false => format!("{before}{after}; in suits {suits}"),
        }
    }

    /// A row: what was done, how long it took, and what it changed.
    pub fn row(&mut self, row: &RowState) -> String {
        let list = match self.list == row.list {
            true => String::new(),
            false => format!("{}: ", row.list),
        };
        self.list.clone_from(&row.list);
        let failed = if row.failed { ", FAILED" } else { "" };
        let mut said = vec![format!("{list}{}, {:.1} min{failed}", row.label, row.minutes)];
        said.extend(self.pressures(row));
        said.extend(moved(&mut self.places, &row.places, "in"));
        said.extend(moved(&mut self.suits, &row.suits, "wears"));
        // Who has taken a suit off wears none.
        let off = |(name, _): &&(String, String)| {
            self.suits.contains_key(name) && row.suits.iter().all(|s| s.0 != *name)
        };
        let off: Vec<String> = row.places.iter().filter(off).map(|p| p.0.clone()).collect();
        off.iter().for_each(|name| {
            self.suits.remove(name);
        });
        if !off.is_empty() {
            said.push(format!("{} out of the suit", crew(&off)));
        }
        said.join("; ")
    }

    fn pressures(&mut self, row: &RowState) -> Option<String> {
        let mut said = Vec::new();
        for (volume, now) in &row.pressures {
            // Before the first row there is nothing to compare with: the state is said once.
            let before = self.pressures.insert(volume.clone(), *now);
            match before {
                Some(x) if (x - now).abs() < SAME => {}
                Some(x) => said.push(format!("{volume} {x:.1} to {now:.1} kPa")),
                None => said.push(format!("{volume} {now:.1} kPa")),
            }
        }
        (!said.is_empty()).then(|| said.join(", "))
    }

    /// Consumables remaining, min, unless the same was said in the line before.
    pub fn left(&mut self, clocks: &[(String, f64)]) -> String {
        let one = |(name, minutes): &(String, f64)| match minutes {
            m if m.is_infinite() => format!("{name} on supply"),
            m if *m < 0.0 => format!("{name} ended {:.0} ago", -m),
            m => format!("{name} {m:.0}"),
        };
        let now = clocks.iter().map(one).collect::<Vec<_>>().join(", ");
        let told = std::mem::replace(&mut self.left, now.clone());
        if told == now { String::new() } else { now }
    }
}

/// What is another than was known, those of whom the same is said together.
fn moved(
    known: &mut HashMap<String, String>,
    now: &[(String, String)],
    word: &str,
) -> Option<String> {
    let mut said: Vec<(String, Vec<String>)> = Vec::new();
    for (name, what) in now {
        let what = what.strip_prefix("suit/").unwrap_or(what).to_string();
        if known.insert(name.clone(), what.clone()).as_ref() == Some(&what) {
            continue;
        }
        match said.iter_mut().find(|(w, _)| *w == what) {
            Some((_, names)) => names.push(name.clone()),
            None => said.push((what, vec![name.clone()])),
        }
    }
    let word = |what: &str| if what == "outside" { String::new() } else { format!("{word} ") };
    let one =
        |(what, names): &(String, Vec<String>)| format!("{} {}{what}", crew(names), word(what));
    (!said.is_empty()).then(|| said.iter().map(one).collect::<Vec<_>>().join(", "))
}

/// "Aster, Briar and Clover"
fn crew(names: &[String]) -> String {
    match names {
        [] => String::new(),
        [one] => one.clone(),
        [first @ .., last] => format!("{} and {last}", first.join(", ")),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn pair(a: &str, b: &str) -> (String, String) {
        (a.into(), b.into())
    }

    #[test]
    fn only_what_changed_is_said() {
        let mut row = RowState {
            list: "hut/main/egress".into(),
            label: "depress lock".into(),
            minutes: 12.04,
            failed: false,
            places: vec![pair("Aster", "hut/main/lock"), pair("Briar", "hut/main/lock")],
            suits: vec![pair("Aster", "suit/soft/a"), pair("Briar", "suit/soft/b")],
            pressures: vec![("lock".into(), 70.3)],
        };
        let mut changes = Changes::default();
        let first = changes.row(&row);
        assert_eq!(
            first,
            "hut/main/egress: depress lock, 12.0 min; lock 70.3 kPa; Aster and Briar in \
             hut/main/lock; Aster wears soft/a, Briar wears soft/b"
        );
        assert_eq!(changes.row(&row), "depress lock, 12.0 min");
        row.pressures[0].1 = 0.0;
        row.places[0].1 = "outside".into();
        assert_eq!(
            changes.row(&row),
            "depress lock, 12.0 min; lock 70.3 to 0.0 kPa; Aster outside"
        );
        row.suits.remove(0);
        assert_eq!(changes.row(&row), "depress lock, 12.0 min; Aster out of the suit");
    }

    #[test]
    fn suits_are_said_when_they_are_others() {
        let mut changes = Changes::default();
        let who = ["Aster".to_string(), "Briar".to_string()];
        let line = "site-work 3: Aster and Briar (in suit/soft/a and suit/soft/b), 4.20 h outside";
        assert_eq!(
            changes.sortie(line, &who),
            "site-work 3, 4.20 h outside; in suits soft/a and soft/b"
        );
        assert_eq!(changes.sortie(line, &who), "site-work 3, 4.20 h outside");
        assert_eq!(changes.sortie("cancelled: illness", &who), "cancelled: illness");
        assert_eq!(changes.sortie("cancelled: illness", &[]), "cancelled: illness");
    }

    #[test]
    fn the_clock_of_each_person() {
        let mut changes = Changes::default();
        let clocks = [("Aster".to_string(), 190.4), ("Briar".to_string(), f64::INFINITY)];
        assert_eq!(changes.left(&clocks), "Aster 190, Briar on supply");
        assert_eq!(changes.left(&clocks), "");
        assert_eq!(changes.left(&[("Aster".to_string(), -3.2)]), "Aster ended 3 ago");
    }
}

//! `assumptions.csv`: every entry of the files that says where it comes from.

use super::columns;
use super::table::{Cell, Table};
use super::tables::file_name;
use crate::scenario::{At, Provenance, Sources, Vocabulary};

/// Longest value that is made up of the keys of an entry, characters.
const LONGEST: usize = 160;

/// `assumptions.csv`, in reading order.
pub fn assumptions(assumptions: &[(At, Provenance)], sources: &Sources) -> Table {
    let mut t = Table::new(columns::ASSUMPTIONS);
    for (at, provenance) in assumptions {
        let place = sources.place(*at);
        t.push(vec![
            Cell::Free(file_name(sources, *at)),
            Cell::Whole(u64::from(place.line)),
            Cell::Free(place.path.clone()),
            Cell::Free(value(*at, sources)),
            Cell::text(provenance.basis.map_or("not stated", |b| b.word())),
            Cell::Free(provenance.source.clone().unwrap_or_default()),
        ]);
    }
    t
}

/// The value at a place as written; of a whole entry its keys with their values, as many as fit.
fn value(at: At, sources: &Sources) -> String {
    let place = sources.place(at);
    if !place.value.is_empty() {
        return place.value.clone();
    }
    let below = format!("{}.", place.path);
    let mut out = String::new();
    let mut last = "source";
    for p in &sources.places {
        let Some(key) = p.path.strip_prefix(&below).filter(|_| p.file == place.file) else {
            continue;
        };
        // Some places are kept twice, and parts of a list stand in the value of the list.
        let part = key.strip_prefix(last).is_some_and(|end| end.is_empty() || end.starts_with('['));
        if p.value.is_empty() || part || ["source", "basis"].contains(&key) {
            continue;
        }
        last = key;
        let joint = if out.is_empty() { "" } else { ", " };
        let next = format!("{joint}{key} = {}", p.value);
        if out.chars().count() + next.chars().count() > LONGEST {
            out.push_str(", ...");
            break;
        }
        out.push_str(&next);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::scenario::Place;

    #[test]
    fn the_value_of_an_entry_is_that_of_its_keys() {
        let place = |path: &str, value: &str| Place {
            path: path.into(),
            value: value.into(),
            ..Place::default()
        };
        let sources = Sources {
            files: vec!["a.toml".into()],
            places: vec![
                place("suit.s", ""),
                place("suit.s.leak", "1 kg/d"),
                place("suit.s.leak", "1 kg/d"),
                place("suit.s.source", "a book"),
                place("suit.shoe.leak", "2 kg/d"),
                place("suit.s.width", "0.8 m"),
                place("suit.s.names", "[\"a\"]"),
                place("suit.s.names[0]", "\"a\""),
            ],
        };
        assert_eq!(value(At(0), &sources), "leak = 1 kg/d, width = 0.8 m, names = [\"a\"]");
        assert_eq!(value(At(5), &sources), "0.8 m");
    }
}

//! What a state of places says, asked of it directly (rules 2, 3, 23): where one can get, where a row can
//! be done, what may be emptied. Nothing is played and nothing fails.

use crate::analytic::played::module;
use crate::support::Case;
use vestibule::plan::walk::{self, Group};
use vestibule::plan::{
    Broken, Layout, List, OUTSIDE, OpeningId, Places, Stuck, VolumeId, Where, build,
};

const BOTH: Group = Group { team: 0b11, hurt: 0, rescuers: 0 };

/// Laid out, whether its lists walk or not.
fn layout(case: &Case) -> Layout {
    build(&case.scenario(), 0).0
}

fn volume(l: &Layout, path: &str) -> VolumeId {
    let found = l.volumes.find(|v| v.path == path);
    found.unwrap_or_else(|| panic!("no {path} in {:?}", paths(l)))
}

fn opening(l: &Layout, path: &str) -> OpeningId {
    let found = l.openings.find(|o| o.path == path);
    found.unwrap_or_else(|| panic!("no opening {path}"))
}

fn paths(l: &Layout) -> Vec<&str> {
    l.volumes.iter().map(|v| v.path.as_str()).collect()
}

fn list<'a>(l: &'a Layout, name: &str) -> &'a List {
    l.lists.iter().find(|x| x.name == name).unwrap_or_else(|| panic!("no list {name}"))
}

/// Row of a list by its label.
fn row(list: &List, label: &str) -> usize {
    let found = list.rows.iter().position(|r| r.written.label == label);
    let labels: Vec<_> = list.rows.iter().map(|r| r.written.label.as_str()).collect();
    found.unwrap_or_else(|| panic!("no row {label} in {labels:?}"))
}

/// Both stand in a volume, suits on and checked.
fn suited(l: &Layout, v: VolumeId) -> Places {
    let mut p = Places::rest(l);
    let egress = list(l, "egress");
    walk::walk(l, &mut p, egress, 0, BOTH).expect("the egress walks");
    for i in 0..2 {
        p.stand(i, Where::Volume(v));
    }
    p
}

/// Two modules in a row: one gets from the habitat through the first into the second, by doors that are
/// shut, unless one of them is known to be stuck or there is a difference of pressure.
#[test]
fn one_gets_through_several_doors() {
    let second = module("attic", 0)
        .replace("joined = \"habitat\"", "joined = \"study\"")
        .replace("habitat.cabin", "study.cabin");
    let l = layout(&Case::base().add(&module("study", 0)).add(&second));
    let [home, attic] = ["habitat/cabin", "attic/cabin"].map(|v| volume(&l, v));
    let rest = Places::rest(&l);
    assert!(rest.can_get(&l, home, attic) && rest.can_get(&l, attic, home));
    assert!(rest.in_reach(&l, home).has(attic));

    let mut p = rest.clone();
    let tunnel = opening(&l, "attic/tunnel");
    (p.opening[tunnel].stuck, p.opening[tunnel].known) = (Stuck::Shut, true);
    assert!(!p.can_get(&l, home, attic) && !p.in_reach(&l, home).has(attic));

    let mut p = rest.clone();
    p.press(attic, 0.9 * rest.pressure(attic));
    assert!(!p.can_get(&l, home, attic), "no door opens against a tenth of the pressure");
}

/// A stage is used where it is, a seal is cleaned from either side of its opening.
#[test]
fn one_cleans_where_the_brush_is() {
    let wipe = "{ action = \"clean\", on = \"inner\", takes = \"5 min\" },\n  { action = \"doff\"";
    let l = layout(&Case::base().patch_access("{ action = \"doff\"", wipe));
    let ingress = list(&l, "ingress");
    let [cabin, lock] = ["habitat/cabin", "habitat/main/lock"].map(|v| volume(&l, v));
    let done = |label: &str, v: VolumeId| {
        let mut p = suited(&l, v);
        walk::step(&l, &mut p, ingress, row(ingress, label), BOTH).map_err(|e| e.1)
    };
    assert_eq!(done("clean brush", OUTSIDE), Ok(()));
    assert_eq!(done("clean brush", lock), Err(Broken::NotThere));
    assert_eq!(done("clean inner", lock), Ok(()));
    assert_eq!(done("clean inner", cabin), Ok(()));
    assert_eq!(done("clean inner", OUTSIDE), Err(Broken::NotThere));
}

/// A chamber is emptied unless it stands open to something that stays at pressure; open to vacuum it is.
#[test]
fn a_chamber_open_to_the_cabin_is_not_emptied() {
    let l = layout(&Case::base());
    let egress = list(&l, "egress");
    let depress = row(egress, "depress lock");
    let ready = |inner: bool, outer: bool| {
        let mut p = Places::rest(&l);
        for i in 0..depress {
            walk::step(&l, &mut p, egress, i, BOTH).expect("the egress walks");
        }
        p.opening[opening(&l, "habitat/main/inner")].open = inner;
        p.opening[opening(&l, "habitat/main/outer")].open = outer;
        walk::step(&l, &mut p, egress, depress, BOTH).map_err(|e| e.1)
    };
    assert_eq!(ready(false, false), Ok(()));
    assert_eq!(ready(true, false), Err(Broken::OpenToPressure));
    assert_eq!(ready(false, true), Ok(()));
}

/// In a dry walk a row for casualties alone is played with one, a row for the sound alone without.
#[test]
fn a_row_is_walked_with_a_casualty_or_without() {
    let doffs = |word: &str, hurt: u16| {
        let row_of = "{ action = \"doff\", on = \"suit\", each = \"at once\"";
        let when = format!("{row_of}, when = [\"{word}\"]");
        let l = layout(&Case::base().patch_access(row_of, &when));
        let ingress = list(&l, "ingress");
        let mut p = suited(&l, volume(&l, "habitat/main/lock"));
        let rest = Places::rest(&l);
        rest.pressures().each().for_each(|(v, pressure)| p.press(v, *pressure));
        let group = Group { hurt, ..BOTH };
        walk::step(&l, &mut p, ingress, row(ingress, "doff suit"), group).expect("it walks");
        p.person[0].suit.is_none()
    };
    for (word, sound, hurt) in [
        ("casualty", false, true),
        ("no casualty", true, false),
        ("not casualty", true, false),
        ("not no casualty", false, true),
    ] {
        assert_eq!((doffs(word, 0), doffs(word, 1)), (sound, hurt), "{word}");
    }
}

/// Who is under way gets to the end of a list although its last hatch does not shut, if they go on when that row
/// fails; a dry walk stops there either way.
#[test]
fn a_row_after_whose_failure_one_goes_on_stops_nobody() {
    for (goes_on, end) in [("", false), (", if_fails = \"go on\"", true)] {
        let shut = "{ action = \"close\", on = \"outer\", takes = \"1 min\"";
        let l = layout(&Case::base().patch_access(shut, &format!("{shut}{goes_on}")));
        let (egress, outer) = (list(&l, "egress"), opening(&l, "habitat/main/outer"));
        let last = row(egress, "close outer");
        let stuck = || {
            let mut p = Places::rest(&l);
            p.opening[outer].stuck = Stuck::Open;
            p
        };
        let walked = walk::walk(&l, &mut stuck(), egress, 0, BOTH);
        assert_eq!(walked, Err((last, Broken::StuckOpen)));
        let mut p = stuck();
        assert_eq!(walk::gets_through(&l, &mut p, egress, 0, BOTH), end, "{goes_on}");
        assert!(p.person[0].at() == Where::Volume(OUTSIDE) && p.opening[outer].open);
    }
}

//! Single failures that leave no way back, on small campaigns where one sees which they are.

use super::played::mode;
use crate::support::{Case, TOOLS};
use vestibule::scenario::Vocabulary;

/// Part, effect and whether freeing helps, of each single failure of the first architecture.
fn singles(case: &Case) -> Vec<(String, &'static str, bool)> {
    let checked = case.checked().unwrap_or_else(|e| panic!("{e}"));
    let of = checked.arms[0].singles.iter();
    of.map(|s| (s.part.clone(), s.effect.word(), s.freed)).collect()
}

/// The base with a mode, and a way back that works the outer hatch and its seal.
fn with(on: &str, when: &str, law: &str, effect: &str, more: &str) -> Case {
    Case::base()
        .patch("ways_back = []", "ways_back = [\"hammer\", \"wipe\"]")
        .add_access(TOOLS)
        .add(&mode("fails", on, when, law, effect, more))
}

#[test]
fn of_one_lock_the_outer_hatch_is_freed_or_lost() {
    let p = "probability = 0.01";
    let outer = || "habitat/main/outer".to_string();
    let shut = with("main.outer", "on opening", p, "stuck shut", "");
    assert_eq!(singles(&shut), [(outer(), "stuck shut", true)]);
    let open = with("main.outer", "on closing", p, "stuck open", "");
    assert_eq!(singles(&open), [(outer(), "stuck open", true)]);
    // A seal that does not hold lets the lock not be filled; wiping it may help.
    let leak = with("main.outer", "on holding pressure", p, "leak", "factor = 10\nholds = false");
    assert_eq!(singles(&leak), [(outer(), "leak", true)]);
    // One that holds is no reason to stay out.
    let holds = with("main.outer", "on holding pressure", p, "leak", "factor = 10");
    assert!(singles(&holds).is_empty(), "{:?}", singles(&holds));
}

/// The inner hatch is opened only when everybody is out of danger; the pump is not needed on the way in.
#[test]
fn what_is_not_needed_to_be_safe_is_none() {
    let p = "probability = 0.01";
    for (on, when, effect) in
        [("main.inner", "on opening", "stuck shut"), ("pump", "on start", "pump lost")]
    {
        let found = singles(&with(on, when, p, effect, ""));
        assert!(found.is_empty(), "{on}: {found:?}");
    }
}

/// The only habitat is lost: nothing leads in, and freeing does not help.
#[test]
fn the_only_element_is_a_single_point() {
    let lost = with("habitat", "per calendar hour", "rate = \"1e-6 /h\"", "element lost", "");
    assert_eq!(singles(&lost), [("habitat".to_string(), "element lost", false)]);
}

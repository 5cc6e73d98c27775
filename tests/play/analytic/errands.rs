//! An errand with a suit is a planned list: the store holds it and the largest way back, and what was
//! given up is not begun again at every look.

use super::given_up::serviced;
use super::played::*;
use crate::support::{Case, value};
use vestibule::campaign::tell;

/// Three berths with a suit each; the two that went out are serviced indoors, so that one has to be hung
/// back beside the one at its berth.
fn mixed() -> Case {
    let mut case = serviced()
        .patch("count = 2, at = \"main\"", "count = 3, at = \"main\"")
        .patch("at = [\"1 d\", \"2 d\"]", "at = [\"1 d\"]")
        .patch("length = \"3 d\"", "length = \"6 d\"");
    let access = &mut case.access[0].1;
    *access = access.replace("count = 2", "count = 3");
    case
}

/// Days at which somebody takes a suit out.
fn errands(case: &Case) -> Vec<f64> {
    let (story, o) = tell(&case.model(), 0, 0);
    assert_eq!(value(&o, "haven_planned"), value(&o, "haven_demands"));
    let out = story.lines.iter().filter(|l| l.text.contains("to hang it back on its berth"));
    out.map(|l| l.time / 86_400.0).collect()
}

#[test]
fn an_errand_that_was_given_up_waits_a_day() {
    assert_eq!(errands(&mixed()).len(), 2, "each of the two suits once");
    let law = "probability = 1.0";
    let stuck =
        mode("sticks", "shed.relief", "on opening", law, "stuck shut", "during = \"egress\"");
    let days = errands(&mixed().add(&stuck));
    assert!(days.len() > 1, "{days:?}");
    assert!(days.windows(2).all(|d| d[1] - d[0] >= 1.0), "{days:?}");
}

/// The sortie and its service cycle leave 14.5 kg of nitrogen; an errand fills the module with 9.5 kg,
/// and so does the way back, where there is one.
#[test]
fn an_errand_leaves_the_largest_way_back_in_the_store() {
    let scarce = mixed().patch("nitrogen = \"120 kg\"", "nitrogen = \"24 kg\"");
    assert!(!errands(&scarce).is_empty());
    let round = "[list.way_back.round]\nfrom = \"outside\"\nrows = [\n  \
                 { use = \"service-in\" },\n]\n";
    let held = scarce.patch("ways_back = []", "ways_back = [\"round\"]").add_access(round);
    assert!(errands(&held).is_empty(), "the way back is held back");
}

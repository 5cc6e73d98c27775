//! Ports that are not as their lists leave them (rule 3): what is looked at when a team is in, lost or gone.

use super::played::*;
use crate::support::value;
use vestibule::campaign::tell;

/// Both are hurt on their way to work and nobody can come: they are lost, and the port that they left by
/// stands down, its lock being at vacuum.
#[test]
fn the_port_of_a_team_that_is_lost_stands_down() {
    let hurt = super::hurt::hurt("per hour outside", "rate = \"1000 /h\"", "");
    let (story, o) = tell(&one_sortie().add(&hurt).model(), 0, 0);
    assert_eq!((value(&o, "incapacitations"), value(&o, "haven_missed")), (2.0, 2.0));
    let down = story.lines.iter().find(|l| l.text.contains("port main stands down"));
    assert!(down.is_some_and(|l| l.text.contains("not at rest")), "{down:?}");
}

//! Campaigns played again with something forced (rules 34, 41): a way back that is perfect, and no other.

use super::played::*;
use vestibule::campaign::{Forced, Player};

/// Two ways that work the stuck outer hatch, and neither ever moves it.
#[test]
fn one_perfect_way_does_not_make_the_others_work() {
    let way = |name: &str, takes: &str| {
        format!(
            "[list.way_back.{name}]\nfrom = \"outside\"\nrows = [\n  {{ action = \"open\", on = \"outer\", \
             takes = \"{takes}\", frees = 0.0 }},\n  {{ use = \"ingress\", after = \"open outer\" }},\n]\n"
        )
    };
    let during = "during = \"ingress\"";
    let m = one_sortie()
        .patch("ways_back = []", "ways_back = [\"push\", \"saw\"]")
        .add_access(&way("push", "10 min"))
        .add_access(&way("saw", "20 min"))
        .add(&mode("sticks", "main.outer", "on opening", "probability = 1", "stuck shut", during))
        .model();
    let mut player = Player::new(&m);
    for (ways, by) in [(0, "missed"), (0b01, "push"), (0b10, "saw"), (0b11, "push")] {
        let o = player.play_forced(0, 0, Forced { ways, ..Forced::default() });
        identities(o, by);
        assert_eq!(ended(&m, 0, o, by), 2.0, "perfect: {ways:b}");
    }
}

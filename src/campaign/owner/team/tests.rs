//! What a team has yet to meet.

use super::*;

#[test]
fn hits_wait_in_order_of_time_and_of_file_for_ties() {
    let mut team = Team::none();
    for (at, mode) in [(5.0, 0), (2.0, 1), (9.0, 2), (5.0, 3), (1.0, 4)] {
        team.add_hit(Hit { at, mode, person: 0 });
    }
    let order: Vec<_> = team.out.hits.iter().map(|h| h.mode).collect();
    assert_eq!(order, [4, 1, 0, 3, 2]);
    // What has struck stays before what is added, whenever that is.
    team.out.hit_next = 3;
    team.add_hit(Hit { at: 4.0, mode: 5, person: 0 });
    let order: Vec<_> = team.out.hits.iter().map(|h| h.mode).collect();
    assert_eq!(order, [4, 1, 0, 5, 3, 2]);
}

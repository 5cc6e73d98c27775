//! Books of the rooms.

use super::*;
use crate::campaign::owner::room_law::RoomConditions;
use crate::physics::dust::{Air, Grain};
use proptest::prelude::*;
use proptest::test_runner::{Config, RngSeed};

fn conditions(volume: f64) -> RoomConditions {
    RoomConditions {
        volume,
        height: 2.2,
        deposition: 1.5,
        filter_flow: 0.05,
        filter_efficiency: 0.9997,
        resuspension: 1e-3 / 3600.0,
        gravity: 1.62,
        grain: Grain { density: 3100.0, shape: 1.4 },
        air: Air { temperature: 293.15, pressure: 56_500.0 },
    }
}

/// Three volumes: a cabin, a lock, a chamber that begins in vacuum.
fn rooms() -> Rooms {
    let laws = [60.0, 10.0, 4.0].map(|v| RoomLaw::new(&conditions(v))).to_vec();
    let mut rooms = Rooms::new();
    rooms.reset(&RoomTable { laws, start: vec![Some(0), Some(1), None], limit: 3e-7 });
    rooms
}

const PUFF: [f64; BINS] = [1e-3, 4e-3, 2e-2, 2.5e-2];

fn close(a: [f64; BINS], b: [f64; BINS]) -> bool {
    a.iter().zip(&b).all(|(a, b)| (a - b).abs() <= 1e-12 * (a.abs() + b.abs()) + 1e-24)
}

proptest! {
    #![proptest_config(Config {
        cases: 300,
        rng_seed: RngSeed::Fixed(0x0d57_0003),
        failure_persistence: None,
        ..Config::default()
    })]

    /// Whatever happens, each volume's books close, moves cancel over all, and nothing is negative.
    #[test]
    fn books_close(
        ops in prop::collection::vec((0..8_u8, 0..3_u16, 1..3_u16, 0.0..1.0_f64), 1..200),
    ) {
        let mut rooms = rooms();
        let mut t = 0.0;
        for (op, v, step, share) in ops {
            let other = (v + step) % 3;
            t += 20_000.0 * share * share;
            match op {
                0 => rooms.arrive(v, t, PUFF.map(|m| share * m), share),
                1 => drop(rooms.exchange(v, other, t, share)),
                2 => drop(rooms.track_in(v, other, t, share)),
                3 => drop(rooms.evacuate(v, t, share)),
                4 => rooms.pressurise(v, t, v),
                5 => drop(rooms.clean_floor(v, t, share)),
                6 => drop(rooms.thin(v, t, share)),
                _ => rooms.advance(v, t),
            }
        }
        let mut moved = [0.0; BINS];
        let mut arrived = 0.0;
        for v in 0..3 {
            let balance = rooms.balance(v);
            let scale: f64 = rooms.books(v).arrived.iter().sum::<f64>() + 0.05;
            for (came, found) in balance.came.iter().zip(balance.found) {
                prop_assert!((came - found).abs() <= 1e-12 * scale, "{balance:?}");
            }
            add(&mut moved, rooms.books(v).moved, 1.0);
            arrived += rooms.books(v).arrived.iter().sum::<f64>();
            prop_assert!(rooms.floor(v).iter().chain(&rooms.air(v)).all(|m| *m >= 0.0));
        }
        prop_assert!(moved.iter().all(|m| m.abs() <= 1e-12 * (arrived + 0.05)));
    }
}

#[test]
fn coarse_dust_lies_where_it_fell() {
    let mut rooms = rooms();
    rooms.arrive(0, 10.0, PUFF, 0.25);
    assert_eq!(rooms.air(0), [0.25e-3, 1e-3]);
    assert_eq!(rooms.floor(0), [0.75e-3, 3e-3, 2e-2, 2.5e-2]);
    rooms.advance(0, 1e6);
    assert_eq!(rooms.floor(0)[2..], PUFF[2..]);
    assert!(rooms.books(0).filter[2..].iter().all(|m| *m == 0.0));
}

#[test]
fn in_vacuum_nothing_moves() {
    let mut rooms = rooms();
    rooms.arrive(2, 0.0, PUFF, 0.25);
    assert_eq!((rooms.air(2), rooms.floor(2)), ([0.0; FINE], PUFF));
    rooms.arrive(0, 0.0, PUFF, 0.25);
    assert_eq!(rooms.exchange(0, 2, 50.0, 0.5), Crossed::default());
    rooms.advance(2, 1e6);
    assert_eq!(rooms.floor(2), PUFF);
    assert_eq!(rooms.concentration(2), 0.0);
    rooms.pressurise(2, 1e6, 2);
    rooms.advance(2, 2e6);
    assert!(rooms.concentration(2) > 0.0, "the floor feeds the air again");
}

#[test]
fn evacuation_takes_the_share_of_the_gas() {
    let mut rooms = rooms();
    rooms.arrive(1, 0.0, PUFF, 1.0);
    let gone = rooms.evacuate(1, 0.0, 0.9);
    assert!(close(gone, [0.9e-3, 3.6e-3, 0.0, 0.0]));
    assert_eq!(rooms.books(1).lost, gone);
    assert_eq!(rooms.air(1), [0.0; FINE]);
    assert!(close(rooms.floor(1), [0.1e-3, 0.4e-3, 2e-2, 2.5e-2]));
}

#[test]
fn a_volume_that_keeps_some_gas_keeps_its_share_of_the_dust_in_the_air() {
    let mut rooms = rooms();
    rooms.arrive(1, 0.0, PUFF, 1.0);
    let gone = rooms.thin(1, 0.0, 0.75);
    assert_eq!(gone, [0.75e-3, 3e-3, 0.0, 0.0]);
    assert_eq!((rooms.air(1), rooms.books(1).lost), ([0.25e-3, 1e-3], gone));
    assert!(close(rooms.floor(1), [0.0, 0.0, 2e-2, 2.5e-2]));
}

#[test]
fn crossing_and_tracking_say_what_moved() {
    let mut rooms = rooms();
    rooms.arrive(1, 0.0, PUFF, 0.5);
    let crossed = rooms.exchange(1, 0, 0.0, 0.2);
    assert_eq!(crossed, Crossed { forth: [0.1e-3, 0.4e-3], back: [0.0; FINE] });
    assert_eq!(rooms.air(0), crossed.forth);
    let carried = rooms.track_in(1, 0, 0.0, 0.1);
    assert!(close(carried, [0.05e-3, 0.2e-3, 2e-3, 2.5e-3]));
    assert_eq!(rooms.floor(0), carried);
    let cleaned = rooms.clean_floor(0, 0.0, 1.0);
    assert_eq!((cleaned, rooms.floor(0)), (carried, [0.0; BINS]));
}

#[test]
fn puffs_at_one_time_may_come_in_any_order_and_doubling_doubles() {
    let play = |puffs: &[f64]| {
        let mut rooms = rooms();
        puffs.iter().for_each(|m| rooms.arrive(0, 5.0, PUFF.map(|p| m * p), 0.3));
        rooms.advance(0, 5000.0);
        rooms.concentration(0)
    };
    let (one, other, double) = (play(&[1.0, 3.0]), play(&[3.0, 1.0]), play(&[2.0, 6.0]));
    assert!((one / other - 1.0).abs() < 1e-14 && (double / one - 2.0).abs() < 1e-14);
}

#[test]
fn a_reset_leaves_no_trace() {
    let mut used = rooms();
    used.arrive(0, 10.0, PUFF, 0.3);
    used.set_people(0, 1);
    used.advance(0, 1e5);
    let laws = used.laws.clone();
    used.reset(&RoomTable { laws, start: vec![Some(0), Some(1), None], limit: 3e-7 });
    used.arrive(0, 3.0, PUFF, 0.3);
    let mut fresh = rooms();
    fresh.arrive(0, 3.0, PUFF, 0.3);
    assert_eq!(format!("{used:?}"), format!("{fresh:?}"));
}

#[test]
#[should_panic(expected = "volume 0 is at 10 s and was asked for 9 s")]
fn time_does_not_run_back() {
    let mut rooms = rooms();
    rooms.advance(0, 10.0);
    rooms.advance(0, 9.0);
}

#[test]
fn bringing_dust_to_a_later_time_is_counted() {
    let mut rooms = rooms();
    rooms.advance(0, 10.0);
    assert_eq!(rooms.updates(), 0, "nothing is there to be brought on");
    rooms.arrive(0, 10.0, PUFF, 0.25);
    rooms.advance(0, 20.0);
    rooms.advance(0, 20.0);
    assert_eq!(rooms.updates(), 1, "once for each later time");
    rooms.advance(0, 30.0);
    assert_eq!(rooms.updates(), 2);
}

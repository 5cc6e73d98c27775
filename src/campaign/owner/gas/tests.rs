//! Books of gas.

use super::*;

const AIR: Mix = Mix { oxygen: 0.34 };

fn space(gas: f64, store: u16) -> Space {
    let numbers = Volume { gas, gear: 1.0, person: 0.2, temperature: 295.0 };
    Space { mix: AIR, share: AIR.oxygen_share(), numbers, store, content: 0.0, held: 0.0 }
}

/// Outside, a cabin and a chamber on store 0 with 40 kg of each gas; two suits, one port.
pub(in crate::campaign) fn books() -> GasBooks {
    let gas = GasMass { oxygen: 40.0, nitrogen: 40.0 };
    GasBooks {
        spaces: vec![space(0.0, crate::plan::NONE), space(60.0, 0), space(10.0, 0)].into(),
        stores: vec![Store { gas, water: 9.0, dry: false, looked_at: f64::INFINITY }],
        suits: vec![GasMass::NONE; 2].into(),
        lost: vec![Default::default(); 2],
        breathed: 0.0,
        planned: 0.0,
        vented: vec![Vented::default(); 2],
        start: GasMass::NONE,
        came: GasMass::NONE,
    }
}

const CABIN: VolumeId = VolumeId::new(1);
const CHAMBER: VolumeId = VolumeId::new(2);
const PLANNED: Entry = Entry { port: 0, contingency: false, planned: true };

#[test]
fn persons_displace_gas() {
    let b = books();
    let full = b.content_at(CHAMBER, 50e3, 0);
    assert!((full - gas::density(50e3, AIR, 295.0) * 9.0).abs() < 1e-12);
    let with_two = b.content_at(CHAMBER, 50e3, 2);
    assert!((with_two / full - 8.6 / 9.0).abs() < 1e-12);
    assert_eq!(b.content_at(OUTSIDE, 50e3, 0), 0.0);
}

#[test]
fn nothing_is_lost_from_the_books() {
    let mut b = books();
    b.open();
    b.settle(CHAMBER, 8.0, Fate::Transfer, PLANNED);
    b.settle(CHAMBER, 3.0, Fate::Pumped(0.8), PLANNED);
    b.settle(CHAMBER, 0.0, Fate::Vented(0.25), PLANNED);
    b.breathe(CABIN, 0.5);
    b.leak(CABIN, crate::plan::NONE, 0.7);
    let more = b.suit_holds(SuitId::new(1), AIR.split(0.3));
    b.draw(CABIN, more);
    assert_eq!(b.suits(), [GasMass::NONE, AIR.split(0.3)]);
    b.comes(0, AIR.split(5.0), 2.0);
    assert!(b.error().iter().all(|e| *e < 1e-12), "{:?}", b.error());
    // One fifth of what was pumped, all that was vented, a quarter of it for the pump.
    assert!((b.planned() - 4.0).abs() < 1e-12);
    assert!((b.lost()[0][GasCause::FailedPump as usize].total() - 0.75).abs() < 1e-12);
    assert!((b.lost()[1][GasCause::Leak as usize].total() - 0.7).abs() < 1e-12);
    assert!((b.lost_total().total() - 4.7).abs() < 1e-12);
    assert_eq!(b.water(0), 11.0);
}

#[test]
fn a_store_holds_both_gases_or_it_does_not() {
    let mut b = books();
    assert!(b.holds(0, GasMass { oxygen: 40.0, nitrogen: 40.0 }));
    assert!(!b.holds(0, GasMass { oxygen: 40.0, nitrogen: 40.1 }));
    assert!(b.holds(crate::plan::NONE, GasMass { oxygen: 1e9, nitrogen: 1e9 }));
    b.make_up(0, GasMass { oxygen: 40.0, nitrogen: 41.0 });
    assert_eq!(b.store(0), GasMass { oxygen: 40.0, nitrogen: 41.0 });
}

//! Leaks as lines.

use super::*;
use crate::campaign::owner::gas::tests::books;

const NEW: Wear = Wear { damage: 1.0, dust: 1.0 };
const OUTER: OpeningId = OpeningId::new(0);
const CABIN: VolumeId = VolumeId::new(1);
const CHAMBER: VolumeId = VolumeId::new(2);

/// Pressures of outside, the cabin and the chamber, Pa.
fn out() -> Table<VolumeId, f64> {
    vec![0.0, 50e3, 50e3].into()
}

/// A hatch from the chamber to outside, one from the cabin to the chamber, a shell around the cabin.
fn leaks() -> Leaks {
    let hatch = |sides| Seal { leak: 2e-6, at: 100e3, gap: None, sides: Some(sides) };
    Leaks {
        seals: vec![hatch([CHAMBER, OUTSIDE]), hatch([CABIN, CHAMBER])].into(),
        shells: vec![Shell { cabin: CABIN, rate: 3e-6 }],
        lines: vec![Line { rate: 0.0, from: OUTSIDE, port: 0, since: 0.0 }; 2].into(),
        flowing: Set::none_of(1),
        pressure: out(),
        drain: vec![GasMass::NONE],
        changed: true,
        thin: 1000.0,
        ..Leaks::default()
    }
}

fn lost(gas: &GasBooks) -> f64 {
    gas.lost_total().total()
}

#[test]
fn a_line_is_the_same_in_pieces() {
    let (mut a, mut b, mut x, mut y) = (leaks(), leaks(), books(), books());
    for (l, gas) in [(&mut a, &mut x), (&mut b, &mut y)] {
        l.seals.ids().for_each(|o| l.read(o, || (true, NEW), &out(), gas, 0.0));
    }
    a.book_all(&mut x, 1e6);
    (1..=100).for_each(|i| b.book_all(&mut y, f64::from(i) * 1e4));
    // Half the leak through the hatch, nothing between volumes with gas, all of the shell's.
    assert!((lost(&x) - 4.0).abs() < 1e-12);
    assert!((lost(&x) - lost(&y)).abs() < 1e-12);
    assert!((x.store(0).total() - 76.0).abs() < 1e-12);
}

#[test]
fn a_seal_that_changes_is_booked_first() {
    let (mut l, mut gas) = (leaks(), books());
    l.read(OUTER, || (true, NEW), &out(), &mut gas, 0.0);
    l.read(OUTER, || (true, Wear { damage: 2.0, dust: 3.0 }), &out(), &mut gas, 10.0);
    l.read(OUTER, || (false, NEW), &out(), &mut gas, 20.0);
    l.set_unfed(1 << 1);
    l.book_all(&mut gas, 1e3);
    assert!((lost(&gas) - 1e-6 * (10.0 + 60.0)).abs() < 1e-18);
}

#[test]
fn a_store_lasts_as_long_as_its_lines_leave_it() {
    let (mut l, mut gas) = (leaks(), books());
    l.read(OUTER, || (true, NEW), &out(), &mut gas, 0.0);
    let of = crate::physics::gas::Mix { oxygen: 0.34 }.split(4e-6);
    let least = (40.0 / of.oxygen).min(40.0 / of.nitrogen);
    assert!((l.lasts(0, &gas) / least - 1.0).abs() < 1e-12);
    // A cabin that nothing feeds decays by itself; who reads the seals again sees it.
    l.set_unfed(1 << 1 | 1 << 2);
    l.read(OUTER, || (true, NEW), &out(), &mut gas, 5.0);
    assert_eq!(l.lasts(0, &gas), f64::INFINITY);
}

#[test]
fn a_store_that_is_sure_to_hold_holds_when_all_is_booked() {
    let (mut l, mut gas) = (leaks(), books());
    (l.most, l.all_booked) = (vec![GasMass::NONE], f64::INFINITY);
    let end = 2e6;
    let need = |kg: f64| GasMass { oxygen: kg, nitrogen: kg };
    assert!(!l.surely_holds(0, need(0.0), &gas, end), "nothing was booked yet");
    l.read(OUTER, || (true, NEW), &out(), &mut gas, 0.0);
    l.book_all(&mut gas, 0.0);
    l.note_booked(&gas, 0.0);
    // 4 mg/s for 2e6 s are 8 kg, 63 % of it nitrogen: of 40 kg of that 34 are left for sure, 35 are not.
    assert!(l.surely_holds(0, need(34.0), &gas, end) && !l.surely_holds(0, need(35.0), &gas, end));
    // The hatch leaks ten times as much and is mended: whatever it took by then is counted.
    l.read(OUTER, || (true, Wear { damage: 10.0, dust: 1.0 }), &out(), &mut gas, 10.0);
    l.read(OUTER, || (true, NEW), &out(), &mut gas, 20.0);
    assert!(!l.surely_holds(0, need(34.0), &gas, end) && l.surely_holds(0, need(15.0), &gas, end));
    l.book_all(&mut gas, end);
    assert!(gas.holds(0, need(34.0)));
}

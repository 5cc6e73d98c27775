//! Closed forms through the whole program, on small campaign files: failures off and every law
//! fixed, so that gas, minutes, hours and dust equal hand arithmetic to 1e-12 relative.

use crate::support::{Case, play, value};

const R: f64 = 8.314462618;
const O2: f64 = 31.998e-3;
const N2: f64 = 28.0134e-3;

fn close(got: f64, want: f64, what: &str) {
    let error = (got - want).abs() / want.abs().max(1e-300);
    assert!(error < 1e-12, "{what}: got {got:.17}, hand arithmetic {want:.17}, off by {error:e}");
}

/// Pa per psi, exact by definition of the pound and the inch.
const PSI: f64 = 0.45359237 * 9.80665 / (0.0254 * 0.0254);

/// 30 d at 2 a week: slots at 1.75, 5.25, .. d; (k - 1/2) 3.5 d < 30 d gives 9.
const SORTIES: f64 = 9.0;

#[test]
fn hours_and_minutes_by_hand() {
    let o = play(&Case::whole().model(), 0);
    close(value(&o, "sorties_planned"), SORTIES, "planned");
    close(value(&o, "sorties_done"), SORTIES, "done");
    close(value(&o, "eva_planned_h"), SORTIES * 2.0 * 4.0, "planned hours");
    close(value(&o, "eva_done_h"), SORTIES * 2.0 * 4.0, "hours done");
    assert_eq!(value(&o, "eva_lost_h"), 0.0);
    // Pump from 70.3 kPa to 2 psi with two persons in the lock: (V/S) ln(p0/pf).
    let volume = 4.25 - 2.0 * 0.15;
    let pump = volume / 0.40 * (70.3e3 / (2.0 * PSI)).ln();
    let egress = 45.0 + 2.0 + 30.0 + 3.0 + 5.0 + 40.0 + pump + 3.0 + 3.0 + 4.0 + 1.0;
    let ingress = 10.0 + 2.0 + 4.0 + 4.0 + 6.0 + 15.0 + 2.0 + 2.0 + 30.0;
    close(value(&o, "door_to_door_min"), egress + ingress, "door to door");
    close(value(&o, "overhead_per_sortie_min"), 2.0 * (egress + ingress), "overhead");
}

#[test]
fn gas_by_hand() {
    let o = play(&Case::whole().model(), 0);
    let molar = 0.265 * O2 + 0.735 * N2;
    let volume = 4.25 - 2.0 * 0.15;
    let per_pa = volume * molar / (R * 294.26);
    let pumped = (70.3e3 - 2.0 * PSI) * per_pa;
    // Two suits of 0.06 m3 let their cabin gas down to 29.6 kPa.
    let suits = 2.0 * 0.06 * (70.3e3 - 29.6e3) * molar / (R * 294.26);
    let lost = 0.05 * pumped + 2.0 * PSI * per_pa + suits;
    close(value(&o, "gas_lost_per_sortie_kg"), lost, "gas per sortie");
    // On suit supply from the start of depress to the end of repress.
    let pump = volume / 0.40 * (70.3e3 / (2.0 * PSI)).ln();
    let clock_h = (pump + 3.0 + 3.0 + 4.0 + 1.0 + 240.0 + 10.0 + 2.0 + 4.0 + 4.0 + 6.0) / 60.0;
    let suits = SORTIES * 2.0 * 0.002 * clock_h;
    close(value(&o, "gas_lost_kg"), SORTIES * lost + suits, "gas lost");
    let margin = 7.0 * 60.0 + 30.0 - clock_h * 60.0;
    close(value(&o, "haven_margin_min"), margin, "margin");
    close(value(&o, "haven_demands"), 2.0 * SORTIES, "demands");
    close(value(&o, "haven_planned"), 2.0 * SORTIES, "planned demands");
    close(value(&o, "water_used_kg"), SORTIES * 2.0 * 290.0 * clock_h * 3600.0 / 2.5e6, "water");
}

#[test]
fn dust_by_hand() {
    // 50 g per suit, half brushed off outside, half of the rest shed at doffing in the lock.
    let o = play(&Case::whole().model(), 0);
    let shed = 2.0 * SORTIES * 50.0 * 0.5;
    // What stays on a suit is brushed and shed again next time: m(n) = (m(n-1) + 50) / 4.
    let (mut on, mut arrived) = (0.0, 0.0);
    for _ in 0..SORTIES as u32 {
        let door: f64 = (on + 50.0) * 0.5;
        arrived += 2.0 * door * 0.5;
        on = door * 0.5;
    }
    assert!(arrived < shed);
    close(value(&o, "dust_in_lock_g"), arrived, "dust in lock");
}

#[test]
fn the_duty_limit_shortens_the_stay() {
    let case = Case::whole().patch("duty_day = \"14 h\"", "duty_day = \"6 h\"");
    let o = play(&case.model(), 0);
    let volume = 4.25 - 2.0 * 0.15;
    let pump = volume / 0.40 * (70.3e3 / (2.0 * PSI)).ln();
    let egress = 45.0 + 2.0 + 30.0 + 3.0 + 5.0 + 40.0 + pump + 3.0 + 3.0 + 4.0 + 1.0;
    let ingress = 10.0 + 2.0 + 4.0 + 4.0 + 6.0 + 15.0 + 2.0 + 2.0 + 30.0;
    let stay = (360.0 - egress - ingress) / 60.0;
    close(value(&o, "eva_done_h"), SORTIES * 2.0 * stay, "hours by the duty limit");
    close(value(&o, "sorties_limited"), SORTIES, "all limited");
    assert_eq!(value(&o, "sorties_cut_short"), 0.0);
    let lost = SORTIES * 2.0 * (4.0 - stay);
    close(value(&o, "eva_lost_h"), lost, "lost");
}

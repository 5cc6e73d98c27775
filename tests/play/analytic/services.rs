//! Service cycles through a module with their gas, the limit on repressurisation, and the ascent vehicle
//! as a way back: against hand arithmetic.

use super::given_up::serviced;
use super::havens::shelter;
use super::played::*;
use super::seals::part;
use crate::support::{Case, value};

/// kg of cabin gas per Pa m3.
fn per_pa() -> f64 {
    (0.265 * O2 + 0.735 * N2) / (R * 294.26)
}

/// One suit of berths goes out by the wall, comes in by the module, goes out by the module and in again:
/// three times the module is emptied, once with two suited persons in it whose suits let down into it.
/// The gaps are emptied once and filled no more.
#[test]
fn gas_of_service_cycles_by_hand() {
    let m = serviced().model();
    let o = first(&m);
    assert_eq!(value(&o, "sorties_done"), 2.0);
    let (rest, module) = (70.3e3, 16.0);
    let gaps = 2.0 * 0.03 * rest;
    let suits = let_down(2.0);
    let cycles = 2.0 * module * rest + (module - 2.0 * 0.15) * rest + suits;
    let want = (gaps + suits + cycles) * per_pa();
    near(value(&o, "gas_lost_per_sortie_kg"), want / 2.0, "gas of a sortie");
    let lost = |cause: &str| part(&m, &o, "gas_lost_kg", cause);
    // Venting ends at 1 kPa; what is left goes when the side hatch, or the interface, opens.
    let rest_at = (2.0 * 0.03 + 3.0 * module - 2.0 * 0.15) * 1e3 * per_pa();
    near(lost("main: rest at opening"), rest_at, "rest at opening");
}

/// Filling is no faster than the limit: the lock from vacuum, a gap from vacuum, a suit from its working
/// pressure. Where the row takes longer, the row counts.
#[test]
fn repressurisation_keeps_to_its_limit() {
    let margin = |case: Case, rate: f64| {
        let m = case.patch("\"13.5 psi/min\"", &format!("\"{rate} psi/min\"")).model();
        value(&first(&m), "haven_margin_min")
    };
    let minutes = |from: f64, rate: f64| (70.3e3 - from) / (rate * PSI);
    assert!(minutes(0.0, 1.8) < 6.0 && minutes(0.0, 1.6) > 6.0);
    let free = margin(one_sortie(), 13.5);
    near(free, margin(one_sortie(), 1.8), "the row takes longer");
    for rate in [1.6, 0.5] {
        let slow = margin(one_sortie(), rate);
        near(free - slow, minutes(0.0, rate) - 6.0, "the lock");
    }
    let berth = |rate: f64| margin(berths(), rate);
    for rate in [4.0, 0.5] {
        let slower = minutes(0.0, rate) - 1.0 + minutes(29.6e3, rate) - 1.0;
        near(berth(13.5) - berth(rate), slower, "gap and suit");
    }
}

/// The outer hatch is stuck; a ship stands beside the lock that takes so many people and so long.
fn ship(people: u32, takes: &str) -> Case {
    let leave = format!(
        "[list.way_back.leave]\nfrom = \"outside\"\nneeds = [\"ascent vehicle\"]\nrows = [\n  \
         {{ action = \"travel\", on = \"ascent\", by = \"ascent\", takes = \"{takes}\" }},\n]\n"
    );
    let ship = shelter(people).replace("element.shelter", "element.ship").replace(
        &format!("haven_people = {people}"),
        &format!("haven_people = {people}\nascent = true"),
    );
    let during = "during = \"ingress\"";
    let law = "probability = 1";
    one_sortie()
        .patch("at = [\"1 d\"]", "at = [\"1 d\", \"2 d\"]")
        .patch("ways_back = []", "ways_back = [\"leave\"]")
        .patch("rest = \"290 W\"", "rest = \"290 W\"\nhome = \"habitat\"")
        .add_access(&leave)
        .add(&ship)
        .add(&mode("sticks", "main.outer", "on opening", law, "stuck shut", during))
}

/// On the ascent vehicle people are safe at the end of the `travel` row, and the campaign ends for all:
/// nobody is lost, and the next sortie does not take place.
#[test]
fn the_ascent_vehicle_is_a_haven_and_the_end() {
    let m = ship(2, "60 min").model();
    let o = first(&m);
    assert_eq!(ended(&m, 0, &o, "leave"), 2.0);
    assert_eq!((value(&o, "haven_missed"), value(&o, "campaign_haven_missed")), (0.0, 0.0));
    assert_eq!(value(&o, "campaign_cut_short"), 1.0);
    assert_eq!((value(&o, "sorties_done"), value(&o, "sorties_cancelled")), (1.0, 1.0));
    near(lost_to(&m, 0, &o, "sticks"), 8.0, "the second sortie");
    let clock = pump() + AFTER_DEPRESS + 240.0 + 10.0 + 2.0 + 60.0;
    near(value(&o, "haven_margin_contingency_min"), 450.0 - clock, "margin");
    // Too slow it is late, not missed.
    let m = ship(2, "600 min").model();
    let o = first(&m);
    assert_eq!((value(&o, "haven_late"), value(&o, "haven_missed")), (2.0, 0.0));
}

/// Its supply covers so many: a way by which more would leave is refused. One that is lost is no haven.
#[test]
fn an_ascent_vehicle_that_does_not_cover_everyone_is_none() {
    let said = ship(1, "60 min").checked().expect_err("two by a vehicle for one");
    assert!(said.contains("its supply is too small for everyone aboard"), "{said}");
    let law = "rate = \"1 /h\"";
    let gone =
        mode("gone", "ship", "per calendar hour", law, "element lost", "noticed = \"at once\"");
    let o = first(&ship(2, "60 min").add(&gone).model());
    assert_eq!(value(&o, "haven_missed"), 2.0);
}

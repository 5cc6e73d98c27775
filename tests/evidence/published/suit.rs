//! What a suited person uses.

use super::record::Standing::{CommonPractice, FromMemory, Read, SecondHand};
use super::record::{Check, Group, between, check, missed, q, relative};
use vestibule::physics::suit;

/// C10 and its neighbours.
pub fn consumables() -> Group {
    let mut checks = oxygen();
    checks.extend(clocks());
    Group {
        title: "Suit consumables".into(),
        about: "Use at published metabolic design points: 1000 Btu/h for 7 h, or 850 Btu/h for 8 \
            h.",
        checks,
    }
}

const MISHAP: &str = "power: EVA-23 mishap report p. 40; 20.3 kJ/L of oxygen from memory";

fn oxygen() -> Vec<Check> {
    let power = q("1000 btu/h");
    let pound = q("1 lbm");
    let hourly = suit::oxygen_flow(power, 20.3e6) * 3600.0;
    // The same through the respiratory quotient, in the range usual for such work.
    let by_quotient = suit::oxygen_flow(power, suit::energy_per_oxygen(0.85)) * 3600.0;
    let of = &["suit::oxygen_flow"];
    let litre = suit::oxygen_flow(1e-3 / 60.0 * 20.3e6, 20.3e6) * 3600.0;
    let range = |kcal: &str| suit::oxygen_flow(q(kcal), suit::energy_per_oxygen(0.85)) * 3600.0;
    vec![
        check("C10 1000 Btu/h", "W", power, 293.1, relative(0.001))
            .from(Read, "EVA-23 mishap report p. 40 (293 W own arithmetic)"),
        check("850 Btu/h", "W", q("850 btu/h"), 249.0, relative(0.001))
            .from(Read, "EVA-23 mishap report p. 40 (249 W own arithmetic)"),
        check("500 kcal/h", "W", q("500 kcal/h"), 581.0, relative(0.002))
            .from(Read, "Waligora and Horrigan (581 W own arithmetic)"),
        check("C10 oxygen at 1000 Btu/h", "kg/h", hourly, 0.0743, relative(0.03))
            .from(FromMemory, MISHAP)
            .of(of),
        check("C10 oxygen in 7 h", "kg", 7.0 * hourly, 0.520, relative(0.03))
            .from(FromMemory, MISHAP)
            .of(of),
        check("C10 oxygen in 7 h", "lb", 7.0 * hourly / pound, 1.15, relative(0.03))
            .from(FromMemory, MISHAP)
            .of(of),
        between(
            "C10 and it fits the tank",
            "lb",
            (7.0 * hourly / pound, 7.0 * hourly / pound),
            (0.0, 1.2),
        )
        .from(FromMemory, "primary tank of about 1.2 lb, from memory")
        .of(of),
        check("C10 by a respiratory quotient of 0.85", "kg/h", by_quotient, 0.0743, relative(0.03))
            .from(FromMemory, MISHAP)
            .of(&["suit::oxygen_flow", "suit::energy_per_oxygen"]),
        check(
            "energy of a litre of oxygen at a quotient of 0.85",
            "kcal/L",
            suit::energy_per_oxygen(0.85) / 4.184e6,
            4.862,
            relative(1e-3),
        )
        .from(FromMemory, "Lusk's table, from memory")
        .of(&["suit::energy_per_oxygen"]),
        check("1.0 L(STPD)/min of oxygen in surface trials", "kg/h", litre, 0.086, relative(0.01))
            .from(Read, "Conkin et al. poster: \"about 1.0 L(STPD) / min\"; mass own arithmetic")
            .of(of),
        between(
            "oxygen at 0.7 to 1.5 of 1000 Btu/h",
            "kg/h",
            (range("176 kcal/h"), range("378 kcal/h")),
            (0.05, 0.12),
        )
        .from(SecondHand, "0.055 low, 0.08 nominal, 0.12 kg/h high: machine-written page")
        .note("a weak source, kept because the middle agrees with C10")
        .of(of),
        check(
            "carbon dioxide per oxygen at a quotient of 0.875",
            "kg/kg",
            suit::carbon_dioxide_flow(1.0, 0.875),
            1.2,
            relative(0.01),
        )
        .from(CommonPractice, "stoichiometry")
        .of(&["suit::carbon_dioxide_flow"]),
    ]
}

fn clocks() -> Vec<Check> {
    let power = q("1000 btu/h");
    let slower = suit::LifeSupport::full(q("7 h"), power, None, 0.0).left(q("850 btu/h")) / 3600.0;
    let design =
        "EVA-23 mishap report p. 40: \"1000 Btu/hr for 7 hours or 850 Btu/hr for 8 hours\"";
    let clock = suit::LifeSupport::full(q("7 h"), power, None, q("30 min"));
    let water = suit::cooling_water_flow(power) * 3600.0;
    let eight_hours = 8.0 * suit::cooling_water_flow(q("272 W")) * 3600.0;
    let (water_used, tank) = ((eight_hours, eight_hours), q("11.5 lbm"));
    vec![
        missed(
            "primary of 7 h at 1000 Btu/h, used at 850 \
            Btu/h",
            "h",
            slower,
            8.0,
            relative(0.01),
            7.0 * 1000.0 / 850.0,
        )
        .from(Read, design)
        .note(
            "2.9 % over: the law takes all consumables as going with power, but leak and \
                electronics go \
                   with time; the program is then optimistic below the design power and \
                   pessimistic above",
        )
        .of(&["suit::full", "suit::left"]),
        check(
            "primary and emergency oxygen together, at 1000 \
            Btu/h",
            "h",
            clock.left(power) / 3600.0,
            7.5,
            relative(1e-9),
        )
        .from(SecondHand, "7 h: EVA-23 mishap report p. 40; 30 min: strangeblue")
        .of(&["suit::full", "suit::left", "suit::primary_left"]),
        check(
            "7 h at 1000 Btu/h less an hour each at 500 and 1000 Btu/h, at 800 Btu/h",
            "h",
            clock.work_left(&[(power / 2.0, 3600.0), (power, 3600.0)], 0.8 * power).0 / 3600.0,
            5.5 / 0.8,
            relative(1e-9),
        )
        .formula()
        .of(&["suit::work_left"]),
        check(
            "left after 2 h at 1000 and 2 h at 500 Btu/h, at 1000 Btu/h",
            "h",
            {
                let later = clock.after(power, q("2 h")).after(0.5 * power, q("2 h"));
                later.left(power) / 3600.0
            },
            4.5,
            relative(1e-9),
        )
        .formula()
        .of(&["suit::after"]),
        check(
            "cooling water at 1000 Btu/h, metabolic heat \
            only",
            "kg/h",
            water,
            0.42,
            relative(0.01),
        )
        .from(CommonPractice, "heat of vaporisation 2.5 MJ/kg")
        .of(&["suit::cooling_water_flow"]),
        between("water for 8 h at 272 W, metabolic heat only", "kg", water_used, (0.0, tank))
            .from(FromMemory, "11.5 lb of feedwater for 8 h and a mean of 272 W, from memory")
            .note("the tank also carried the heat of equipment and surroundings: a bound, no value")
            .of(&["suit::cooling_water_flow"]),
    ]
}

//! The model realised: a parameter set as plain numbers by part, against hand arithmetic.

use crate::support::Case;
use vestibule::base::stream::Luck;
use vestibule::model::Model;
use vestibule::numbers::{Growth, Numbers};
use vestibule::plan::SuitId;

fn numbers(model: &Model, set: u64) -> Numbers {
    let luck = Luck::new(model.seed);
    let mut values = Vec::new();
    model.params.prepare(luck, &mut values);
    model.params.draw(luck, set, &mut values, |_| {});
    let mut numbers = Numbers::default();
    numbers.realise(model, &model.arms[0], &values);
    numbers
}

#[test]
fn parts_have_the_numbers_of_their_files() {
    let model = Case::base().model();
    let (n, arm) = (numbers(&model, 0), &model.arms[0]);
    let lock = arm.layout.volumes.find(|v| v.path.ends_with("lock")).unwrap();
    let free = [0, 2].map(|persons| n.volumes[lock].free(persons));
    assert_eq!(free, [4.25, 4.25 - 2.0 * 0.15]);
    assert_eq!(n.volumes[lock].temperature, 294.26);
    let pump = n.pumps[0];
    assert!((pump.speed - 0.4 / 60.0).abs() < 1e-15, "{pump:?}");
    assert_eq!((pump.recovery, n.stages[0].removes), (0.95, [0.5; 4]));
    assert_eq!(n.suits.len(), arm.layout.suits.len());
    let suit = SuitId::new(1);
    assert_eq!((n.suits[suit].doff_sheds, n.suits[suit].full.primary), (0.5, 7.0 * 3600.0));
    assert_eq!(n.rules.duty_day, 14.0 * 3600.0);
}

#[test]
fn a_chance_per_demand_becomes_a_hazard_and_each_set_its_own() {
    let stuck = "\n[failure.stuck]\non = \"main.outer\"\nwhen = \"on opening\"\n\
                 law = { low = 0.1, high = 0.3 }\neffect = \"stuck shut\"\ndusty = 3\n";
    let model = Case::base().add(stuck).model();
    let sets = [0, 0, 1].map(|set| numbers(&model, set));
    let each = sets.each_ref().map(|n| n.hazards[0].each);
    assert!(each[0] == each[1] && each[0] != each[2], "{each:?}");
    let chance = -(-each[0]).exp_m1();
    assert!((0.1..=0.3).contains(&chance), "{chance}");
    let share = &sets[0].hazards[0];
    assert_eq!((share.growth, share.dust), (Growth::Even, [1.0, 1.0, 3.0]));
    assert!(share.common.is_none() && share.during.is_none());
}

//! Plans that meet an obstacle with a known answer, through the whole program on small campaign
//! files: every law is fixed, so nothing here is statistical but the pairing of luck at the end,
//! and that is exact to the last bit.

use crate::support::{Case, play, value};
use vestibule::campaign::Player;
use vestibule::model::Model;
use vestibule::outcome::Outcome;

/// 30 d at 2 a week: (k - 1/2) 3.5 d < 30 d gives 9 sorties of two persons for 4 h.
pub const SORTIES: f64 = 9.0;
/// Planned crew-hours of one sortie.
pub const HOURS: f64 = 8.0;

/// What must add up in every campaign, whatever happened (rules 12, 20).
#[track_caller]
pub fn books_close(o: &Outcome) {
    let v = |name| value(o, name);
    let ends = v("haven_planned") + v("haven_way_back") + v("haven_late") + v("haven_missed");
    assert_eq!(v("haven_demands"), ends, "demands by outcome");
    let slots = v("sorties_done") + v("sorties_cancelled");
    assert_eq!(v("sorties_planned"), slots, "sorties");
    let hours = v("eva_done_h") + v("eva_lost_h");
    assert!((v("eva_planned_h") - hours).abs() < 1e-9, "hours: {hours}");
}

fn played(model: &Model) -> Outcome {
    let o = play(model, 0);
    books_close(&o);
    o
}

#[track_caller]
fn near(got: f64, want: f64) {
    assert!((got - want).abs() < 1e-9 * want.abs().max(1.0), "got {got}, hand arithmetic {want}");
}

/// Crew-hours lost to a cause.
fn lost_to(model: &Model, o: &Outcome, cause: &str) -> f64 {
    let rows = model.arms[0].breakdown.iter();
    let row = rows.zip(&o.breakdown).find(|(r, _)| r.0 == "eva_lost_h" && r.1.ends_with(cause));
    *row.unwrap_or_else(|| panic!("no cause {cause}")).1
}

/// Share of oxygen in the mass of cabin air.
fn oxygen_share() -> f64 {
    let (o, n) = (0.265 * 31.998, 0.735 * 28.0134);
    o / (o + n)
}

/// Oxygen that fills a volume from vacuum to the pressure of the cabin, kg.
fn oxygen_fill(volume: f64) -> f64 {
    0.265 * 31.998e-3 * 70.3e3 * volume / (8.314462618 * 294.26)
}

fn with_oxygen(kg: f64) -> impl Fn(Case) -> Case {
    move |case| case.patch("oxygen = \"200 kg\"", &format!("oxygen = \"{kg} kg\""))
}

/// Minutes of egress and of ingress of the plain lock (as in the closed forms).
fn minutes() -> (f64, f64) {
    let psi = 0.45359237 * 9.80665 / (0.0254 * 0.0254);
    let pump = (4.25 - 2.0 * 0.15) / 0.40 * (70.3e3f64 / (2.0 * psi)).ln();
    let egress = 45.0 + 2.0 + 30.0 + 3.0 + 5.0 + 40.0 + pump + 3.0 + 3.0 + 4.0 + 1.0;
    (egress, 10.0 + 2.0 + 4.0 + 4.0 + 6.0 + 15.0 + 2.0 + 2.0 + 30.0)
}

const WAIT_AND_OPEN: &str = "\n[list.way_back.wait-and-open]\nfrom = \"outside\"\nrows = [\n\
    { action = \"wait\", on = \"outer\", takes = \"5 min\" },\n\
    { action = \"open\", on = \"outer\", takes = \"10 min\", frees = 0.5 },\n\
    { use = \"ingress\", after = \"open outer\" },\n]\n";

/// A sortie goes while the store, less its own loss, holds what fills the lock in the way back.
#[test]
fn sorties_stand_down_when_the_store_runs_low() {
    let case = Case::whole()
        .patch("ways_back = []", "ways_back = [\"wait-and-open\"]")
        .add_access(WAIT_AND_OPEN);
    let full = played(&case.model());
    assert_eq!(value(&full, "sorties_done"), SORTIES);
    let used = value(&full, "oxygen_used_kg") / SORTIES;
    let own = value(&full, "gas_lost_per_sortie_kg") * oxygen_share();
    for sorties in [1.0, 5.0] {
        // Half a sortie's use is the room for what persons in the lock displace (0.07 kg).
        let start = oxygen_fill(4.25) + own + (sorties - 0.5) * used;
        let model = with_oxygen(start)(case.clone()).model();
        let o = played(&model);
        assert_eq!(value(&o, "sorties_done"), sorties);
        assert_eq!(value(&o, "sorties_cancelled"), SORTIES - sorties);
        near(lost_to(&model, &o, "store"), HOURS * (SORTIES - sorties));
        near(value(&o, "eva_lost_h"), HOURS * (SORTIES - sorties));
    }
}

/// A second team that wants the same lock at the same moment.
fn two_teams(wait: &str) -> Case {
    Case::whole()
        .patch("[\"Ada\", \"Ben\", \"Cleo\"]", "[\"Ada\", \"Ben\", \"Cleo\", \"Dan\", \"Eve\"]")
        .patch("duty_day = \"14 h\"", &format!("duty_day = \"14 h\"\nwait_at_most = \"{wait}\""))
        .patch("count = 2, at", "count = 4, at")
        .add(
            "\n[activity.second]\nfrom = \"habitat\"\nports = [\"main\"]\nteam = 2\n\
             crew = [\"Cleo\", \"Dan\"]\nat = [\"1.75 d\"]\nhours = \"4 h\"\ndust = \"50 g\"\n",
        )
}

#[test]
fn a_second_team_waits_for_the_lock() {
    let model = two_teams("12 h").model();
    let o = played(&model);
    assert_eq!(value(&o, "sorties_done"), SORTIES + 1.0);
    assert_eq!(value(&o, "eva_lost_h"), 0.0);
    // The lock stays at vacuum behind the first team: two persons wait until it is back in.
    let (egress, ingress) = minutes();
    let work = (SORTIES + 1.0) * 2.0 * (egress + ingress);
    near(value(&o, "overhead_h") * 60.0, work + 2.0 * (egress + 240.0 + ingress));
    near(value(&o, "door_to_door_min"), egress + ingress);
}

#[test]
fn a_team_that_has_waited_long_enough_stays_in() {
    let model = two_teams("1 h").model();
    let o = played(&model);
    assert_eq!(value(&o, "sorties_done"), SORTIES);
    assert_eq!(value(&o, "sorties_cancelled"), 1.0);
    near(lost_to(&model, &o, "port in use"), HOURS);
    near(value(&o, "eva_lost_h"), HOURS);
    let (egress, ingress) = minutes();
    near(value(&o, "overhead_h") * 60.0, SORTIES * 2.0 * (egress + ingress) + 2.0 * 60.0);
}

/// The outer hatch cannot be closed at the first ingress: the team sits in the lock at vacuum.
fn hatch_ajar() -> Case {
    Case::whole().add(
        "\n[failure.ajar]\non = \"main.outer\"\nwhen = \"on closing\"\nlaw = 1.0\n\
         effect = \"stuck open\"\nduring = \"ingress\"\n",
    )
}

/// The same with a way in through the emptied cabin.
fn cabin_as_lock(spare_suits: u32) -> Case {
    let spare = format!(
        "at = \"main.lock\" }}, {{ suit = \"plain\", count = {spare_suits}, \
                         at = \"habitat.cabin\" }}]"
    );
    let suits = if spare_suits == 0 { "at = \"main.lock\" }]".into() } else { spare };
    hatch_ajar()
        .patch("at = \"main.lock\" }]", &suits)
        .patch("ways_back = []", "ways_back = [\"cabin-as-lock\"]")
        .patch_access(
            "ingress = [",
            "restore = [\n\
             { action = \"close\", on = \"outer\", who = \"inside\", takes = \"5 min\" },\n\
             { action = \"close\", on = \"inner\", who = \"inside\", takes = \"4 min\" },\n\
             { action = \"repress\", on = \"lock\", who = \"inside\", takes = \"6 min\" },\n\
             { action = \"open\", on = \"inner\", who = \"inside\", takes = \"2 min\" },\n]\n\
             ingress = [",
        )
        .add_access(
            "\n[list.way_back.cabin-as-lock]\nfrom = \"lock\"\n\
             needs = [\"cabin tolerates vacuum\", \"suit for everyone inside\", \
             \"gas covers cabin\"]\nrows = [\n\
             { action = \"suit up\", on = \"suit\", who = \"inside\", each = \"at once\", \
             takes = \"25 min\" },\n\
             { action = \"leak check\", on = \"suit\", who = \"inside\", each = \"at once\", \
             takes = \"3 min\" },\n\
             { action = \"vent\", on = \"cabin\", to = \"outside\", gas = \"outside\", \
             takes = \"30 min\" },\n\
             { action = \"open\", on = \"inner\", takes = \"2 min\" },\n\
             { action = \"pass\", on = \"inner\", each = \"in turn\", takes = \"2 min\" },\n\
             { action = \"close\", on = \"inner\", takes = \"3 min\" },\n\
             { action = \"repress\", on = \"cabin\", gas = \"store\", takes = \"20 min\" },\n\
             { action = \"doff\", on = \"suit\", who = \"all\", each = \"at once\", \
             takes = \"15 min\" },\n]\n",
        )
}

#[test]
fn the_cabin_is_the_lock_when_gas_and_suits_allow() {
    let model = cabin_as_lock(1).model();
    let o = played(&model);
    // Two from outside and the one who sat in a suit in the emptied cabin.
    assert_eq!(value(&o, "haven_demands"), 3.0);
    assert_eq!(value(&o, "haven_way_back"), 3.0);
    assert_eq!(value(&o, "campaign_haven_missed"), 0.0);
    // Nobody mends the hatch: one sortie, eight are lost to it.
    assert_eq!(value(&o, "sorties_done"), 1.0);
    near(lost_to(&model, &o, "ajar"), HOURS * (SORTIES - 1.0));
    // The cabin's gas is gone, all of it; one suited person was in there.
    let molar = (0.265 * 31.998e-3 + 0.735 * 28.0134e-3) / (8.314462618 * 294.26);
    let lost = value(&o, "gas_vented_contingency_kg");
    near(lost, ((80.0 - 0.15) * 70.3e3 + 0.06 * (70.3e3 - 29.6e3)) * molar);
    // Supply runs from depress to the end of the repress of the cabin.
    let (egress, _) = minutes();
    let before = 45.0 + 2.0 + 30.0 + 3.0 + 5.0 + 40.0;
    let to_lock = egress - before + 240.0 + 10.0 + 2.0 + 4.0 + 4.0;
    let way = 25.0 + 3.0 + 30.0 + 2.0 + 4.0 + 3.0 + 20.0;
    near(value(&o, "haven_margin_contingency_min"), 450.0 - to_lock - way);
}

/// With somebody inside who has no suit that way could never be open: the file is refused.
#[test]
fn somebody_inside_needs_a_suit() {
    let (three, four) = ("\"Cleo\"]", "\"Cleo\", \"Dan\"]");
    for case in [cabin_as_lock(0), cabin_as_lock(1).patch(three, four)] {
        let refused = case.try_model().expect_err("somebody inside cannot suit up");
        assert!(refused.contains("no usable suit within reach"), "{refused}");
    }
    let o = played(&cabin_as_lock(2).patch(three, four).model());
    assert_eq!((value(&o, "haven_demands"), value(&o, "haven_way_back")), (4.0, 4.0));
}

#[test]
fn without_a_way_back_both_are_missed() {
    let o = played(&hatch_ajar().model());
    assert_eq!(value(&o, "haven_demands"), 2.0);
    assert_eq!(value(&o, "haven_missed"), 2.0);
    assert_eq!(value(&o, "campaign_haven_missed"), 1.0);
    assert_eq!(value(&o, "gas_vented_contingency_kg"), 0.0);
    near(value(&o, "eva_done_h"), HOURS);
    // Supply began 2 h 05 min after 1.75 d and lasts 7 h 30 min.
    near(value(&o, "campaign_length_d"), 1.75 + (125.0 / 60.0 + 7.5) / 24.0);
}

/// The store covers the cabin when the team leaves; by the time the hatch sticks, the leak of the
/// cabin has drawn it down too far.
#[test]
fn a_store_that_no_longer_fills_the_cabin_shuts_that_way() {
    let leaky = |kg: f64| {
        let case =
            cabin_as_lock(1).patch("haven_people = 3", "leak = \"1 kg/h\"\nhaven_people = 3");
        played(&with_oxygen(kg)(case).model())
    };
    let per_hour = oxygen_share();
    let molar = (0.265 * 31.998e-3 + 0.735 * 28.0134e-3) / (8.314462618 * 294.26);
    let psi = 0.45359237 * 9.80665 / (0.0254 * 0.0254);
    let lock = (4.25 - 0.3) * molar * (0.05 * (70.3e3 - 2.0 * psi) + 2.0 * psi) * per_hour;
    let (egress, _) = minutes();
    let to_close = (egress + 240.0 + 20.0) / 60.0;
    let at_start = oxygen_fill(80.0) + lock + 42.0 * per_hour;
    let o = leaky(at_start + to_close * per_hour + 0.5);
    assert_eq!((value(&o, "haven_way_back"), value(&o, "haven_missed")), (3.0, 0.0));
    let o = leaky(at_start + 0.5);
    assert_eq!((value(&o, "haven_way_back"), value(&o, "haven_missed")), (0.0, 2.0));
    // Not even enough at the start: nobody goes.
    let o = leaky(at_start - 0.5);
    assert_eq!((value(&o, "haven_demands"), value(&o, "sorties_done")), (0.0, 0.0));
}

/// Failures of many kinds on the port `main`, on suits and persons.
const TROUBLE: &str = "\n[failure.stuck]\non = \"main.outer\"\nwhen = \"on opening\"\nlaw = 0.05\n\
    effect = \"stuck shut\"\nrepair = { takes = \"6 h\", crew = 1, success = 0.7 }\n\
    [failure.seal]\non = \"main.outer\"\nwhen = \"on holding pressure\"\nlaw = 0.05\n\
    effect = \"leak\"\nholds = false\nrepair = { takes = \"6 h\", crew = 1, from = \"anywhere\" }\n\
    [failure.pump]\non = \"main.main\"\nwhen = \"on start\"\nlaw = 0.1\neffect = \"pump lost\"\n\
    repair = { takes = { low = \"2 h\", mode = \"4 h\", high = \"200 h\" }, crew = 1 }\n\
    [failure.hurt]\non = \"crew\"\nwhen = \"per hour outside\"\nlaw = \"1e-2 /h\"\n\
    effect = \"crew incapacitated\"\nseverity = \"walks with help\"\noff_duty = \"5 d\"\n\
    [failure.recall]\non = \"suit\"\nwhen = \"per sortie\"\nlaw = 0.1\neffect = \"return now\"\n";

fn troubled() -> Case {
    Case::whole()
        .patch("ways_back = []", "ways_back = [\"wait-and-open\"]")
        .patch("hours = \"4 h\"", "hours = { low = \"2 h\", mode = \"4 h\", high = \"5 h\" }")
        .add_access(WAIT_AND_OPEN)
}

/// Plays both architectures and holds every fact, breakdown row and outcome equal to the bit.
fn equal_to_the_bit(model: &Model) {
    assert_eq!(model.arms.len(), 2);
    let bits = |o: &Outcome| o.facts.value.map(f64::to_bits);
    let mut kinds = [false; 4];
    for i in 0..50 {
        let mut player = Player::new(model);
        let a = player.play_one(0, i).clone();
        let b = player.play_one(1, i).clone();
        books_close(&a);
        books_close(&b);
        assert_eq!(bits(&a), bits(&b), "facts of campaign {i}");
        assert_eq!(a.havens, b.havens, "outcomes of campaign {i}");
        let seen = ["hatch_failures", "pump_failures", "incapacitations", "haven_way_back"];
        for (kind, name) in kinds.iter_mut().zip(seen) {
            *kind |= value(&a, name) > 0.0;
        }
    }
    // Equal campaigns in which nothing happens would show nothing.
    assert_eq!(kinds, [true; 4], "something of each kind happened");
}

fn second_architecture(extra: &str) -> String {
    format!(
        "\n[architecture.other]\ntitle = \"the same by another name\"\n\
         ways_back = [\"wait-and-open\"]\n\
         suits = [{{ suit = \"plain\", count = 2, at = \"main.lock\" }}]\n\
         [architecture.other.port.main]\nelement = \"habitat\"\naccess = \"plain-lock\"\n{extra}"
    )
}

#[test]
fn the_name_of_an_architecture_changes_nothing() {
    equal_to_the_bit(&troubled().add(&second_architecture("")).add(TROUBLE).model());
}

/// A further lock, shut at rest, that no activity uses and on which nothing fails.
const UNUSED: &str = "[volume]\nporch = { free = \"3 m3\", rest = \"cabin\", holds = 2 }\n\
    [opening]\n\
    front = { kind = \"pressure hatch\", between = [\"porch\", \"outside\"], rest = \"shut\" }\n\
    back = { kind = \"pressure hatch\", between = [\"cabin\", \"porch\"], rest = \"shut\" }\n\
    [list]\negress = [\n\
    { action = \"open\", on = \"back\", takes = \"1 min\" },\n\
    { action = \"pass\", on = \"back\", takes = \"1 min\" },\n\
    { action = \"don\", on = \"suit\", takes = \"30 min\" },\n\
    { action = \"close\", on = \"back\", takes = \"1 min\" },\n\
    { action = \"leak check\", on = \"suit\", takes = \"5 min\" },\n\
    { action = \"prebreathe\", on = \"suit\", takes = \"40 min\" },\n\
    { action = \"vent\", on = \"porch\", takes = \"9 min\" },\n\
    { action = \"open\", on = \"front\", takes = \"1 min\" },\n\
    { action = \"pass\", on = \"front\", takes = \"1 min\" },\n\
    { action = \"close\", on = \"front\", takes = \"1 min\" },\n]\n\
    ingress = [\n\
    { action = \"open\", on = \"front\", takes = \"1 min\" },\n\
    { action = \"pass\", on = \"front\", takes = \"1 min\" },\n\
    { action = \"close\", on = \"front\", takes = \"1 min\" },\n\
    { action = \"repress\", on = \"porch\", takes = \"6 min\" },\n\
    { action = \"doff\", on = \"suit\", takes = \"9 min\" },\n\
    { action = \"open\", on = \"back\", takes = \"1 min\" },\n\
    { action = \"pass\", on = \"back\", takes = \"1 min\" },\n\
    { action = \"close\", on = \"back\", takes = \"1 min\" },\n\
    { action = \"recharge\", on = \"suit\", takes = \"9 min\" },\n]\n";

#[test]
fn an_unused_port_changes_nothing() {
    let port = "[architecture.other.port.annex]\nelement = \"habitat\"\naccess = \"annex-lock\"\n";
    let mut case = troubled().add(&second_architecture(port)).add(TROUBLE);
    case = case.include("annex-lock.toml", UNUSED);
    // `include` puts the new file first; the patched one stays the first of the list.
    equal_to_the_bit(&case.model());
}

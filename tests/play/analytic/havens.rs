//! Where one can come in when the own door does not open: other ports, other elements with little
//! room, the cabin used as the lock; gas that is there or not.

use super::played::*;
use crate::support::{Case, value};

/// A second lock of the same kind, entered as the way back `come-in`.
pub fn way_in(case: &Case, needs: &str) -> String {
    let lock = &case.access[0].1;
    format!(
        "{lock}\n[list.way_back.come-in]\nfrom = \"outside\"\n{needs}\n\
         rows = [{{ use = \"ingress\" }}]\n"
    )
}

/// The outer hatch of the port `main` never opens inward.
pub fn shut_out() -> String {
    let more = "during = \"ingress\"";
    mode("sticks", "main.outer", "on opening", "probability = 1", "stuck shut", more)
}

/// A further port with its own access file.
pub fn port(name: &str, element: &str, access: &str) -> String {
    format!("[architecture.lock.port.{name}]\nelement = \"{element}\"\naccess = \"{access}\"\n")
}

/// A module apart with room for `people`.
pub fn shelter(people: u32) -> String {
    let base = Case::base().campaign;
    let start = base.find("[element.habitat]").expect("the habitat");
    let end = start + base[start..].find("[suit.plain]").expect("the suit after it");
    base[start..end]
        .replace("element.habitat", "element.shelter")
        .replace("haven_people = 3", &format!("haven_people = {people}"))
}

/// Nobody is in the shelter: its inner hatch is kept shut, so that the lock can be emptied from
/// outside.
pub fn kept_shut(lock: &str) -> String {
    let pass = "{ action = \"pass\", on = \"inner\", each = \"in turn\", takes = \"1 min\" },\n";
    let outward = format!("{pass}  {{ action = \"don\"");
    let inward = format!("{pass}  {{ action = \"recharge\"");
    let shut = lock.replace("rest = \"open\"", "rest = \"shut\"");
    assert!(shut.contains(&outward) && shut.contains(&inward));
    let open = format!("{{ action = \"open\", on = \"inner\", takes = \"2 min\" }},\n  {outward}");
    let close = "{ action = \"close\", on = \"inner\", \
    takes = \"3 min\" },\n  { action = \"recharge\"";
    shut.replace(&outward, &open).replace(&inward, &format!("{pass}  {close}"))
}

pub fn two_havens(room: u32) -> Case {
    let case = one_sortie();
    let (near, home) = (way_in(&case, "needs = [\"room at shelter\"]"), way_in(&case, ""));
    let near = kept_shut(&near);
    case.include("near-lock.toml", &near)
        .include("home-lock.toml", &home)
        .patch("ways_back = []", "ways_back = [\"near.come-in\", \"side.come-in\"]")
        .patch(
            "at = \"main.lock\" }",
            "at = \"main.lock\" }, { suit = \"plain\", count = 2, at = \"near.lock\" }",
        )
        .add(&port("near", "shelter", "near-lock"))
        .add(&port("side", "habitat", "home-lock"))
        .patch("rest = \"290 W\"", "rest = \"290 W\"\nhome = \"habitat\"")
        .add(&shelter(room))
        .add(&shut_out())
}

/// Room for one of two: one goes in there, the other to the next way (rule 23).
#[test]
fn room_for_one_of_two() {
    for (room, there) in [(0, 0.0), (1, 1.0), (2, 2.0)] {
        let m = two_havens(room).model();
        let o = first(&m);
        // Whoever went to the shelter walks home when rested: a demand more, met by the side lock
        // as planned (rule 24).
        assert_eq!(value(&o, "haven_demands"), 2.0 + there);
        assert_eq!(value(&o, "haven_planned"), there);
        assert_eq!(ended(&m, 0, &o, "near.come-in"), there, "room {room}");
        assert_eq!(ended(&m, 0, &o, "side.come-in"), 2.0 - there, "room {room}");
        assert_eq!(value(&o, "campaign_haven_missed"), 0.0);
    }
}

/// The order in which the architecture names its ways is the policy: both would do here, the first is
/// taken.
#[test]
fn the_first_way_that_is_open_is_taken() {
    let order = "[\"near.come-in\", \"side.come-in\"]";
    let other = "[\"side.come-in\", \"near.come-in\"]";
    for (turned, near, side) in [(order, 2.0, 0.0), (other, 0.0, 2.0)] {
        let m = two_havens(2).patch(order, turned).model();
        let o = first(&m);
        assert_eq!(ended(&m, 0, &o, "near.come-in"), near, "{turned}");
        assert_eq!(ended(&m, 0, &o, "side.come-in"), side, "{turned}");
    }
}

/// The inner hatch of the shelter's lock stands open and nobody is there to close it: the way is
/// not open (rule 4), and no time is lost on it.
#[test]
fn nobody_inside_to_close_the_inner_hatch() {
    let mut open = two_havens(2);
    let i = open.access.iter().position(|a| a.0 == "near-lock.toml").expect("the near lock");
    open.access[i].1 = way_in(&one_sortie(), "needs = [\"room at shelter\"]");
    let m = open.model();
    let o = first(&m);
    assert_eq!(ended(&m, 0, &o, "side.come-in"), 2.0);
    // The hatch of the side lock is closed by who is inside, the lock emptied: 3 min, pump, 3 min.
    let ready = 3.0 + 4.25 / 0.40 * (70.3e3 / (2.0 * PSI)).ln() + 3.0;
    let clock = pump() + AFTER_DEPRESS + 240.0 + 12.0 + ready + TO_SAFE;
    near(value(&o, "haven_margin_contingency_min"), 450.0 - clock, "margin");
}

/// Without the second way the one for whom there is no room is missed.
#[test]
fn no_room_and_no_other_way() {
    let m = two_havens(1)
        .patch(", \"side.come-in\"", "")
        .patch(&port("side", "habitat", "home-lock"), "");
    let mut case = m.patch("\"access/home-lock.toml\", ", "");
    case.access.retain(|a| a.0 != "home-lock.toml");
    let m = case.model();
    let o = first(&m);
    assert_eq!(ended(&m, 0, &o, "come-in"), 1.0);
    assert_eq!(ended(&m, 0, &o, "missed"), 1.0);
}

/// The only way in is a ride of 4 km to the shelter; the rover breaks down on it with
/// 1 - exp(-rate 4 km), and then nobody comes in.
#[test]
fn a_ride_that_breaks_down_is_a_way_that_failed() {
    let (km, rate, n): (f64, f64, u64) = (4.0, 0.08, 2000);
    let case = one_sortie();
    let ride = "rows = [{ action = \"travel\", on = \"cabin\", by = \"rover outside\" }, ";
    let near = kept_shut(&way_in(&case, "needs = [\"rover drives\"]"))
        .replace("rows = [{ use", &format!("{ride}{{ use"));
    let cart = shelter(2)
        .replace("element.shelter", "element.cart")
        .replace("\"habitat\"", "\"rover\"\nspeed = \"10 km/h\"");
    let wheel = mode(
        "wheel",
        "cart",
        "per km driven",
        &format!("rate = \"{rate} /km\""),
        "cannot travel",
        "",
    );
    let m = case
        .include("near-lock.toml", &near)
        .patch("ways_back = []", "ways_back = [\"near.come-in\"]")
        .patch(
            "at = \"main.lock\" }",
            "at = \"main.lock\" }, { suit = \"plain\", count = 2, at = \"near.lock\" }",
        )
        .add(&port("near", "shelter", "near-lock"))
        .patch("rest = \"290 W\"", "rest = \"290 W\"\nhome = \"habitat\"")
        .add(&shelter(2).replace("haven_days", &format!("distance = \"{km} km\"\nhaven_days")))
        .add(&cart)
        .add(&shut_out())
        .add(&wheel)
        .model();
    let broke = 1.0 - (-rate * km).exp();
    share(&sample(&m, 0, n, |o| value(o, "campaign_haven_missed")), broke, "the ride");
}

/// A way fills a lock from the store. The store covers it when the sortie starts; then a relief
/// valve of the habitat lets `leak` out, and the way is open only if what is left still covers the
/// fill.
fn leaky(nitrogen: f64, leak: f64) -> Case {
    let case = one_sortie();
    let side = way_in(&case, "");
    let opening = format!(
        "\n[element.habitat.opening]\nrelief = {{ kind = \"valve\", between = [\"cabin\", \
        \"outside\"], \
         rest = \"shut\", diameter = \"10 mm\", leak = \"{leak} kg/h\" }}\n[suit.plain]"
    );
    case.include("side-lock.toml", &side)
        .patch("ways_back = []", "ways_back = [\"side.come-in\"]")
        .patch("[suit.plain]", &opening)
        .patch("tolerates_vacuum = true", "tolerates_vacuum = true\nstore = \"gas\"")
        .patch("nitrogen = \"120 kg\"", &format!("nitrogen = \"{nitrogen} kg\""))
        .add(&port("side", "habitat", "side-lock"))
        .add(&shut_out())
}

/// Mass share of nitrogen in the cabin gas.
fn share_n2() -> f64 {
    0.735 * N2 / (0.265 * O2 + 0.735 * N2)
}

/// kg of nitrogen that fill the side lock from vacuum, nobody in it.
fn fill_n2() -> f64 {
    70.3e3 * 4.25 * 0.735 * N2 / (R * 294.26)
}

/// The leak draws on the store from the start: 24 h to the slot, 2.5 h of egress, 4 h outside. At
/// the slot there are 5 kg more than the fill; at the door the leak has taken 13 kg since, or 0.1
/// kg.
#[test]
fn a_way_that_needs_gas_is_not_open_without_it() {
    for (leak, open) in [(2.0 / share_n2(), false), (0.02 / share_n2(), true)] {
        let at_slot = fill_n2() + 5.0;
        let m = leaky(at_slot + leak * share_n2() * 24.0, leak).model();
        let o = first(&m);
        assert_eq!(value(&o, "sorties_done"), 1.0, "the store covers it at the slot");
        let way = ended(&m, 0, &o, "come-in");
        assert_eq!(way, if open { 2.0 } else { 0.0 }, "leak {leak} kg/h");
        assert_eq!(value(&o, "haven_missed"), 2.0 - way);
    }
}

/// In the lock with an outer hatch that does not seal: the cabin is emptied, people walk in, the
/// cabin is filled again. Whoever is inside sits in a suit meanwhile and has a demand too (rule
/// 17).
pub fn cabin_as_lock(suits: &str, needs: &str) -> Case {
    let rows = format!(
        "restore = [\n  {{ action = \"close\", on = \"outer\", who = \"inside\", \
        takes = \"5 min\" }},\n  \
         {{ action = \"repress\", on = \"lock\", who = \"inside\", takes = \"6 min\" }},\n  \
         {{ action = \"open\", on = \"inner\", who = \"inside\", takes = \"2 min\" }},\n]\n\
         [list.way_back.through-the-cabin]\nfrom = \"lock\"\nneeds = [{needs}]\nrows = [\n  \
         {{ action = \"suit up\", on = \"suit\", who = \"inside\", each = \"at once\", \
         takes = \"25 min\" }},\n  \
         {{ action = \"leak check\", on = \"suit\", who = \"inside\", each = \"at once\", \
         takes = \"3 min\" }},\n  \
         {{ action = \"vent\", on = \"cabin\", takes = \"20 min\" }},\n  \
         {{ action = \"open\", on = \"inner\", takes = \"2 min\" }},\n  \
         {{ action = \"pass\", on = \"inner\", each = \"in turn\", takes = \"1 min\" }},\n  \
         {{ action = \"close\", on = \"inner\", takes = \"3 min\" }},\n  \
         {{ action = \"repress\", on = \"cabin\", takes = \"30 min\" }},\n  \
         {{ action = \"doff\", on = \"suit\", who = \"all\", each = \"at once\", \
         takes = \"15 min\" }},\n]\n"
    );
    let stuck = mode(
        "seal",
        "main.outer",
        "on closing",
        "probability = 1",
        "stuck open",
        "during = \"ingress\"",
    );
    one_sortie()
        .patch("ways_back = []", "ways_back = [\"through-the-cabin\"]")
        .patch("at = \"main.lock\" }", &format!("at = \"main.lock\" }}{suits}"))
        .add_access(&rows)
        .add(&stuck)
}

pub const SUIT: &str = ", { suit = \"plain\", count = 1, at = \"habitat.cabin\" }";
pub const ALL_NEEDS: &str =
    "\"cabin tolerates vacuum\", \"suit for everyone inside\", \"gas covers cabin\"";

/// The same beside a shed, whose tunnel is opened and shut on the way out, and shut on the way in.
pub fn beside_a_tunnel() -> Case {
    cabin_as_lock(SUIT, ALL_NEEDS)
        .add(&super::given_up::shed())
        .patch_access(
            "egress = [\n",
            "egress = [\n  { action = \"open\", on = \"shed.tunnel\", takes = \"2 min\" },\n  \
             { action = \"close\", on = \"shed.tunnel\", takes = \"4 min\", \
             if_fails = \"go on\" },\n",
        )
        .patch_access(
            "  { action = \"recharge\"",
            "  { action = \"close\", on = \"shed.tunnel\", takes = \"4 min\" },\n  \
             { action = \"recharge\"",
        )
}

/// The tunnel to a shed does not shut on the way out. It is mended an hour later and stands open when the
/// cabin is to be emptied: whoever is inside shuts it first, 4 min. Not mended, the way is not open.
#[test]
fn what_stands_open_is_shut_before_a_cabin_is_emptied() {
    let case = |success: f64| {
        let repair = format!(
            "during = \"egress\"\nrepair = {{ takes = \"1 h\", crew = 1, success = {success}, \
             from = \"anywhere\" }}"
        );
        let jams =
            mode("jams", "shed.tunnel", "on closing", "probability = 1.0", "stuck open", &repair);
        beside_a_tunnel().add(&jams).model()
    };
    let m = case(1.0);
    let o = first(&m);
    assert_eq!(ended(&m, 0, &o, "through-the-cabin"), 3.0);
    let clock = pump() + AFTER_DEPRESS + 240.0 + 10.0 + 2.0 + 4.0 + 4.0;
    let way = 4.0 + 25.0 + 3.0 + 20.0 + 2.0 + 2.0 + 3.0 + 30.0;
    near(value(&o, "haven_margin_contingency_min"), 450.0 - clock - way, "margin");
    let m = case(0.0);
    let (story, o) = vestibule::campaign::tell(&m, 0, 0);
    assert_eq!(ended(&m, 0, &o, "missed"), 2.0);
    let said = "through-the-cabin: shed/tunnel stands open and nobody can shut it";
    let lines: Vec<&str> = story.lines.iter().map(|l| l.text.as_str()).collect();
    assert!(lines.iter().any(|l| l.contains(said)), "{lines:#?}");
    assert_eq!(value(&o, "gas_vented_contingency_kg"), 0.0);
}

/// Three demands, all met when the cabin is full again; the cabin's gas is contingency.
#[test]
fn a_cabin_as_the_lock() {
    let m = cabin_as_lock(SUIT, ALL_NEEDS).model();
    let o = first(&m);
    assert_eq!(value(&o, "haven_demands"), 3.0);
    assert_eq!(ended(&m, 0, &o, "through-the-cabin"), 3.0);
    // From the start of `depress` to the failed closing, then to the end of `repress cabin`.
    let clock = pump() + AFTER_DEPRESS + 240.0 + 10.0 + 2.0 + 4.0 + 4.0;
    let way = 25.0 + 3.0 + 20.0 + 2.0 + 2.0 + 3.0 + 30.0;
    near(value(&o, "haven_margin_contingency_min"), 450.0 - clock - way, "margin");
    // The gas of 80 m3 with one suited person in it; the lock had been empty.
    let molar = 0.265 * O2 + 0.735 * N2;
    // Their suit lets its gas down too.
    let gas = (70.3e3 * (80.0 - 0.15) + let_down(1.0)) * molar / (R * 294.26);
    near(value(&o, "gas_vented_contingency_kg"), gas, "gas of the way back");
}

/// Nobody inside can be suited: the way is never open. `check` may refuse such a file; if it does
/// not, nobody comes in by it.
#[test]
fn nobody_sits_unsuited_in_a_cabin_at_vacuum() {
    match cabin_as_lock("", ALL_NEEDS).try_model() {
        Err(findings) => assert!(findings.contains("suit"), "{findings}"),
        Ok(m) => {
            let o = first(&m);
            assert_eq!(ended(&m, 0, &o, "through-the-cabin"), 0.0);
            assert_eq!(value(&o, "haven_missed"), 2.0);
            assert_eq!(value(&o, "gas_vented_contingency_kg"), 0.0);
        }
    }
}

/// Suits fail by the calendar; the sortie starts if two are left in the lock. With the one in the
/// cabin known to be unusable the way is not open: two are missed and the cabin stays full. Else
/// three come in by it. No suit is worn out on the way: all that strike later strike nobody.
#[test]
fn nobody_is_left_without_a_suit_in_play() {
    let worn = mode(
        "worn",
        "suit",
        "per calendar hour",
        "rate = \"0.01 /h\"",
        "suit unusable",
        "noticed = \"at once\"",
    );
    let m = cabin_as_lock(SUIT, ALL_NEEDS).add(&worn).model();
    let (mut met, mut missed) = (0, 0);
    let mut player = vestibule::campaign::Player::new(&m);
    for i in 0..600 {
        let o = player.play_one(0, i);
        identities(o, &format!("campaign {i}"));
        let vented = value(o, "gas_vented_contingency_kg");
        if value(o, "haven_missed") > 0.0 {
            assert_eq!(value(o, "haven_missed"), 2.0, "campaign {i}");
            assert_eq!(vented, 0.0, "campaign {i}: the cabin was emptied");
            missed += 1;
        } else if ended(&m, 0, o, "through-the-cabin") > 0.0 {
            assert_eq!(ended(&m, 0, o, "through-the-cabin"), 3.0, "campaign {i}");
            assert!(vented > 60.0, "campaign {i}");
            met += 1;
        } else {
            assert_eq!(value(o, "sorties_done"), 0.0, "campaign {i}: nothing else comes in");
        }
    }
    assert!(met > 50 && missed > 20, "both happen: {met} and {missed}");
}

/// The store does not cover the cabin: no sortie starts (rule 26).
#[test]
fn a_store_that_does_not_cover_the_cabin() {
    let cabin = 70.3e3 * 80.0 * 0.735 * N2 / (R * 294.26);
    for (nitrogen, done) in [(cabin - 1.0, 0.0), (cabin + 2.0, 1.0)] {
        let m = cabin_as_lock(SUIT, ALL_NEEDS)
            .patch("tolerates_vacuum = true", "tolerates_vacuum = true\nstore = \"gas\"")
            .patch("nitrogen = \"120 kg\"", &format!("nitrogen = \"{nitrogen} kg\""))
            .model();
        let o = first(&m);
        assert_eq!(value(&o, "sorties_done"), done, "{nitrogen} kg");
        near(lost_to(&m, 0, &o, "store"), 8.0 * (1.0 - done), "hours lost to the store");
    }
}

/// Two who live alone hang at their berths; the suit backs do not open and the hatches of the wall stand
/// open. They shut these themselves, as the way says for equal berths, leave the wall and come in by the
/// side hatch of the emptied cabin.
#[test]
fn the_team_shuts_the_hatches_of_its_own_berths() {
    let way = "\n[list.way_back.around]\nfrom = \"berth\"\nneeds = [\"nobody in cabin\"]\nrows = [\n  \
               { action = \"close\", on = \"port_hatch\", each = \"at once\", takes = \"1 min\" },\n  \
               { action = \"vent\", on = \"suit\", to = \"working\", takes = \"1 min\" },\n  \
               { action = \"vent\", on = \"gap\", to = \"outside\", takes = \"1 min\" },\n  \
               { action = \"unmate\", on = \"interface\", each = \"at once\", takes = \"2 min\" },\n  \
               { action = \"vent\", on = \"cabin\", to = \"outside\", takes = \"9 min\" },\n  \
               { action = \"open\", on = \"side\", takes = \"2 min\" },\n  \
               { action = \"pass\", on = \"side\", each = \"in turn\", takes = \"2 min\" },\n  \
               { action = \"close\", on = \"side\", takes = \"4 min\" },\n  \
               { action = \"repress\", on = \"cabin\", takes = \"30 min\" },\n  \
               { action = \"doff\", on = \"suit\", each = \"at once\", takes = \"4 min\" },\n]\n";
    let jams = mode(
        "jams",
        "main.suit_hatch",
        "on opening",
        "probability = 1",
        "stuck shut",
        "during = \"ingress\"",
    );
    let m = berths()
        .patch("\"Ben\", \"Cleo\"]", "\"Ben\"]")
        .patch("tolerates_vacuum = true", "tolerates_vacuum = true\ninside_least = 0")
        .patch(
            "[suit.plain]",
            "[element.habitat.opening]\nside = { kind = \"pressure hatch\", between = [\"cabin\", \
             \"outside\"], rest = \"shut\", clear = \"1.0 m\" }\n[suit.plain]",
        )
        .patch("ways_back = []", "ways_back = [\"around\"]")
        .add_access(way)
        .add(&jams)
        .model();
    let o = first(&m);
    assert_eq!(ended(&m, 0, &o, "around"), 2.0);
    // To the stuck suit back, then to the end of `repress cabin`.
    let clock = BERTH_CLOCK + 240.0 + BERTH_TO_SAFE;
    let around = 1.0 + 1.0 + 1.0 + 2.0 + 9.0 + 2.0 + 4.0 + 4.0 + 30.0;
    near(value(&o, "haven_margin_contingency_min"), 450.0 - clock - around, "margin");
}

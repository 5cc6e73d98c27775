//! Daylight and events that come by the calendar, against hand arithmetic.

use crate::support::{Case, play, value};
use vestibule::model::Model;
use vestibule::outcome::Outcome;

/// One sortie of two for 4 h at 42 h; nothing varies.
fn one() -> Case {
    Case::base().patch("per_week = 2", "at = [\"42 h\"]")
}

/// Minutes of egress and ingress of the plain lock.
fn minutes() -> (f64, f64) {
    let psi = 0.45359237 * 9.80665 / (0.0254 * 0.0254);
    let pump = (4.25 - 0.3) / 0.40 * (70.3e3f64 / (2.0 * psi)).ln();
    (125.0 + pump + 3.0 + 3.0 + 4.0 + 1.0, 75.0)
}

fn event(body: &str) -> String {
    format!("\n[environment.sky]\n{body}\n")
}

#[track_caller]
fn near(got: f64, want: f64) {
    assert!((got - want).abs() < 1e-9 * want.abs().max(1.0), "got {got}, hand arithmetic {want}");
}

#[track_caller]
fn lost(model: &Model, o: &Outcome, hours: f64) {
    let mut rows = model.arms[0].breakdown.iter().zip(&o.breakdown);
    let row = rows.find(|(r, _)| r.0 == "eva_lost_h" && r.1 == "sky").expect("the cause");
    near(*row.1, hours);
    near(value(o, "eva_lost_h"), hours);
}

/// Dark from 46 h on: the team leaves at 42 h and is back at the door when the sun goes.
#[test]
fn the_stay_ends_with_the_day() {
    let night = "every = \"24 h\"\nfirst = \"22 h\"\nlasts = \"12 h\"\neffect = \"dark\"";
    let model = one().add(&event(night)).model();
    let o = play(&model, 0);
    let outside = 4.0 - minutes().0 / 60.0;
    assert_eq!((value(&o, "sorties_limited"), value(&o, "sorties_cut_short")), (1.0, 0.0));
    near(value(&o, "eva_done_h"), 2.0 * outside);
    lost(&model, &o, 2.0 * (4.0 - outside));
}

/// Dark from 60 h on: a night that comes after the task is no reason to stay out until it falls.
#[test]
fn a_night_that_is_far_does_not_lengthen_the_stay() {
    let night = "every = \"48 h\"\nfirst = \"60 h\"\nlasts = \"12 h\"\neffect = \"dark\"";
    let [bright, dark] = [one(), one().add(&event(night))].map(|c| play(&c.model(), 0));
    assert_eq!(value(&dark, "sorties_limited"), 0.0);
    for what in ["eva_done_h", "door_to_door_min", "haven_margin_min"] {
        near(value(&dark, what), value(&bright, what));
    }
}

/// Dark from 44 h on: it falls while the team is on its way out, which turns round at the door.
#[test]
fn nobody_stays_out_in_the_dark_that_fell_during_egress() {
    let night = "every = \"24 h\"\nfirst = \"20 h\"\nlasts = \"12 h\"\neffect = \"dark\"";
    let model = one().add(&event(night)).model();
    assert!(minutes().0 > 120.0, "they are out after the onset");
    let o = play(&model, 0);
    near(value(&o, "eva_done_h"), 0.0);
    lost(&model, &o, 8.0);
}

/// Dark from 30 h to 42.5 h: the slot at 42 h is cancelled; a minute after dawn it is not.
#[test]
fn no_sortie_starts_in_the_dark() {
    for (lasts, cancelled) in [("12.5 h", 1.0), ("11.9 h", 0.0)] {
        let night =
            format!("every = \"24 h\"\nfirst = \"6 h\"\nlasts = \"{lasts}\"\neffect = \"dark\"");
        let model = one().add(&event(&night)).model();
        let o = play(&model, 0);
        assert_eq!(value(&o, "sorties_cancelled"), cancelled);
        lost(&model, &o, 8.0 * cancelled);
    }
}

/// Announced by the calendar during egress, an hour before its onset at 44 h: the team turns round
/// at the end of the row it is in (don, 48 to 78 min after the start) and never goes out.
#[test]
fn a_storm_announced_during_egress_recalls() {
    let storm = "every = \"900 h\"\nfirst = \"44 h\"\nwarning = \"1 h\"\nlasts = \"9 h\"\n\
                 effect = \"stand down\"";
    let model = one().add(&event(storm)).model();
    let o = play(&model, 0);
    assert_eq!((value(&o, "sorties_done"), value(&o, "sorties_cancelled")), (0.0, 1.0));
    assert_eq!(value(&o, "haven_demands"), 0.0);
    lost(&model, &o, 8.0);
}

/// The same storm announced while they are outside calls them back at that moment: 46 h less egress.
#[test]
fn a_storm_announced_outside_recalls() {
    let storm = "every = \"900 h\"\nfirst = \"47 h\"\nwarning = \"1 h\"\nlasts = \"9 h\"\n\
                 effect = \"stand down\"";
    let model = one().add(&event(storm)).model();
    let o = play(&model, 0);
    let outside = 4.0 - minutes().0 / 60.0;
    near(value(&o, "eva_done_h"), 2.0 * outside);
    lost(&model, &o, 2.0 * (4.0 - outside));
}

/// Called back with the first batch outside and the second on its way: nobody stays out.
#[test]
fn a_storm_recalls_both_batches() {
    let storm = "every = \"900 h\"\nfirst = \"46 h\"\nwarning = \"1 h\"\nlasts = \"9 h\"\n\
                 effect = \"stand down\"";
    let model = one()
        .patch("\"Cleo\"]", "\"Cleo\", \"Dan\"]")
        .patch("crew = [\"Ada\", \"Ben\"]", "crew = [\"Ada\", \"Ben\", \"Cleo\"]")
        .patch("team = 2", "team = 3")
        .patch("count = 2, at", "count = 3, at")
        .add(&event(storm))
        .model();
    let o = play(&model, 0);
    assert_eq!((value(&o, "sorties_done"), value(&o, "sorties_cancelled")), (0.0, 1.0));
    assert_eq!((value(&o, "haven_demands"), value(&o, "haven_planned")), (2.0, 2.0));
    lost(&model, &o, 12.0);
}

/// Called back half an hour before the onset, two are in the cabin 45 min after the door: a quarter of an
/// hour each out of a shelter. Where the habitat is none, all three for the ten hours that it lasts.
#[test]
fn hours_out_of_a_shelter_are_booked() {
    let flare = "every = \"100 d\"\nfirst = \"46 h\"\nwarning = \"30 min\"\nlasts = \"10 h\"\n\
                 effect = \"stand down\"\nshelter = true";
    let exposed = |case: Case| {
        let model = case.add(&event(flare)).model();
        let o = play(&model, 0);
        let rows = model.arms[0].breakdown.iter().zip(&o.breakdown);
        let row = rows.filter(|(r, _)| r.0 == "unsheltered_h" && r.1 == "sky");
        row.map(|(_, x)| *x).sum::<f64>()
    };
    near(exposed(one()), 2.0 * (45.0 - 30.0) / 60.0);
    let open = one().patch("haven_days = \"30 d\"", "haven_days = \"30 d\"\nshelter = false");
    near(exposed(open), 3.0 * 10.0);
}

/// Storms come at once in a season of a day that begins on day 10, and last 15 days: slots on days 12.25 to
/// 22.75 are lost, those before and after are not.
#[test]
fn an_event_with_a_season_comes_in_it_alone() {
    let storm = "rate = \"1000 /h\"\nlasts = \"15 d\"\neffect = \"stand down\"\n\
                 season = { first = \"10 d\", lasts = \"1 d\", every = \"100 d\" }";
    let model = Case::whole().add(&event(storm)).model();
    let o = play(&model, 0);
    assert_eq!((value(&o, "sorties_done"), value(&o, "sorties_cancelled")), (5.0, 4.0));
    lost(&model, &o, 4.0 * 8.0);
}

/// Slots keep their local day and begin at its hour: (k - 1/2) 3.5 d in days of 25 h.
#[test]
fn slots_begin_at_the_hour_of_a_local_day() {
    let model = Case::whole()
        .patch("duty_day", "day = \"25 h\"\nduty_day")
        .patch("per_week = 2", "per_week = 2\nhour = \"6 h\"")
        .model();
    let hours: Vec<f64> = model.slots.iter().map(|s| s.time / 3600.0).collect();
    let want = |k: f64| ((k - 0.5) * 84.0 / 25.0).floor() * 25.0 + 6.0;
    assert_eq!(hours.len(), 9);
    for (k, h) in hours.iter().enumerate() {
        near(*h, want(k as f64 + 1.0));
    }
}

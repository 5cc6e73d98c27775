//! Every key that `list keys` calls *varies* is drawn at every occasion (rule 32): the spread of a
//! campaign with n occasions is that of a mean of n draws, not that of one draw repeated.
//!
//! Each campaign is played three times on the same luck, with the least value, the largest and the law:
//! where the third lies between the first two is the mean of the n draws, as shares of the range. Mean and
//! variance are compared within four standard errors of the sample: false alarm 6.3e-5 each. A key of the
//! registry without a case here fails.

use super::played::*;
use super::{dusts, traverses};
use crate::support::{Case, value};
use std::collections::BTreeSet;
use vestibule::campaign::{Player, tell, trace::Story};
use vestibule::model::Model;
use vestibule::scenario::keys::{Draw, Kind, keys};

/// Campaigns per case.
const N: u64 = 400;

/// What is looked at.
enum Seen {
    /// A measure that is linear in the number.
    Sum(&'static str),
    /// A measure that is linear in its inverse, of speeds: least and largest, in the same unit.
    Inverse(&'static str, f64, f64),
    /// A count of occasions that come out with this probability.
    Count(&'static str, f64),
    /// The draws themselves, as shares of the range, as the story tells them.
    Told(fn(&Story) -> Vec<f64>),
}

struct Spread {
    key: (&'static str, &'static str),
    range: [&'static str; 2],
    case: fn(&str) -> Case,
    seen: Seen,
    /// Occasions in a campaign.
    n: u32,
}

fn spread(
    section: &'static str,
    key: &'static str,
    range: [&'static str; 2],
    n: u32,
    seen: Seen,
    case: fn(&str) -> Case,
) -> Spread {
    Spread { key: (section, key), range, case, seen, n }
}

/// A line more in the section that this line of the base stands in.
fn beside(line: &str, more: &str) -> Case {
    Case::whole().patch(line, &format!("{line}\n{more}"))
}

fn campaign(more: &str) -> Case {
    beside("reserve = \"30 min\"", more)
}

/// Each sortie somebody is hurt, walks with help (or is carried), and is well again at once.
fn casualty(severity: &str, more: &str) -> String {
    let more = format!("severity = \"{severity}\"\noff_duty = \"0 d\"\n{more}");
    mode("hurt", "crew", "per sortie", "probability = 1", "crew incapacitated", &more)
}

fn doffed(incapacitated: &str) -> Case {
    let row = "action = \"doff\", on = \"suit\", each = \"at once\", takes = \"15 min\"";
    Case::whole()
        .patch_access(row, &format!("{row}, incapacitated = {incapacitated}"))
        .add(&casualty("walks with help", ""))
}

/// A walk of 2 km each way.
fn far() -> Case {
    Case::whole().patch("hours = \"4 h\"", "hours = \"3 h\"\ndistance = \"2 km\"")
}

fn sky(body: &str) -> Case {
    let event = "every = \"3.5 d\"\neffect = \"stand down\"";
    Case::whole().add(&format!("\n[environment.sky]\n{event}\n{body}\n"))
}

fn drive(more: &str) -> Case {
    traverses::rover().patch(
        "hours = \"3 h\"\ndust = \"20 g\"",
        &format!(
            "hours = \"3 h\"\nby = \"rover outside\"\ndistance = \"2 km\"\ndust = \"20 g\"\n{more}"
        ),
    )
}

/// Numbers after a phrase in the lines of a story.
fn after(story: &Story, phrase: &str, low: f64, high: f64) -> Vec<f64> {
    let number = |text: &str| {
        let rest = text.split_once(phrase)?.1;
        rest.split_whitespace().next()?.parse::<f64>().ok()
    };
    let told = story.lines.iter().filter_map(|l| number(&l.text));
    told.map(|x| (x - low) / (high - low)).collect()
}

fn cases() -> Vec<Spread> {
    use Seen::*;
    let hour = ["0 h", "2 h"];
    let power = ["200 W", "300 W"];
    let water = "water_used_kg";
    vec![
        spread("campaign", "inspection_hours", hour, 29, Sum("upkeep_h"), |x| {
            campaign(&format!("inspection_every = \"1 d\"\ninspection_hours = {x}"))
        }),
        // Two hatches of the lock at 29 inspections.
        spread("campaign", "inspection_takes", hour, 58, Sum("upkeep_h"), |x| {
            campaign(&format!("inspection_every = \"1 d\"\ninspection_takes = {x}"))
        }),
        spread("opening.NAME", "inspection_takes", hour, 29, Sum("upkeep_h"), |x| {
            let outer = format!("outer = {{ inspection_takes = {x}, kind");
            campaign("inspection_every = \"1 d\"").patch_access("outer = { kind", &outer)
        }),
        spread("element.NAME", "cleaning_takes", hour, 29, Sum("upkeep_h"), |x| {
            beside("height = \"2.2 m\"", &format!("cleaning_every = \"1 d\"\ncleaning_takes = {x}"))
        }),
        spread("volume.NAME", "cleaning_takes", hour, 29, Sum("upkeep_h"), |x| {
            let more = format!("holds = 2, cleaning_every = \"1 d\", cleaning_takes = {x}");
            Case::whole().patch("per_week = 2", "at = [\"0.1 d\"]").patch_access("holds = 2", &more)
        }),
        spread("filter_life", "change", hour, 3, Sum("upkeep_h"), |x| {
            let life = format!("filter_life = {{ capacity = \"1 mg\", change = {x} }}");
            dusts::into_the_cabin("\"1 d\", \"4 d\", \"7 d\"", "300 m3/h", &life)
                .patch("length = \"3 d\"", "length = \"12 d\"")
        }),
        spread("activity.NAME", "hours", ["2 h", "4 h"], 9, Sum(water), |x| {
            Case::whole().patch("hours = \"4 h\"", &format!("hours = {x}"))
        }),
        spread("activity.NAME", "overhead", hour, 18, Sum("overhead_h"), |x| {
            beside("hours = \"4 h\"", &format!("overhead = {x}"))
        }),
        spread("activity.NAME", "distance", ["0 km", "2 km"], 9, Sum(water), |x| {
            beside("hours = \"4 h\"", &format!("distance = {x}"))
        }),
        spread("activity.NAME", "dust", ["20 g", "80 g"], 2, Sum("dust_in_lock_g"), |x| {
            one_sortie().patch("dust = \"50 g\"", &format!("dust = {x}"))
        }),
        spread("activity.NAME", "work", power, 18, Sum(water), |x| {
            beside("hours = \"4 h\"", &format!("work = {x}"))
        }),
        // Further than 30 km on two days of 0 to 20 km: 10^2 / (2 x 20^2), each of two traverses.
        spread(
            "activity.NAME.traverse",
            "each_day",
            ["0 km", "20 km"],
            2,
            Count("sorties_cancelled", 0.125),
            |x| {
                traverses::rover()
                    .patch("drive = \"18 km\"", &format!("drive = \"18 km\", each_day = {x}"))
                    .patch("range = \"100 km\"", "range = \"66 km\"")
            },
        ),
        // The way in takes 36 min to doffing.
        spread(
            "failure.NAME",
            "treatment",
            ["0 min", "72 min"],
            9,
            Count("rescue_late", (TO_SAFE - 5.0 + 15.0) / 72.0),
            |x| Case::whole().add(&casualty("walks with help", &format!("treatment = {x}"))),
        ),
        spread("failure.NAME.repair", "takes", hour, 9, Sum("upkeep_h"), |x| {
            let repair = format!("repair = {{ takes = {x}, crew = 1 }}");
            let law = "probability = 1";
            Case::whole().add(&mode("stiff", "main.inner", "on closing", law, "slower", &repair))
        }),
        // Announced half a day or more before the onset, or on the way out.
        spread(
            "environment.NAME",
            "warning",
            ["0 d", "1 d"],
            9,
            Count("sorties_cancelled", 0.5 + egress() / 1440.0),
            |x| sky(&format!("first = \"2.25 d\"\nlasts = \"1 h\"\nwarning = {x}")),
        ),
        spread(
            "environment.NAME",
            "lasts",
            ["0 d", "1 d"],
            9,
            Count("sorties_cancelled", 0.5),
            |x| sky(&format!("first = \"1.25 d\"\nlasts = {x}")),
        ),
        spread("crew", "rest", power, 18, Sum("oxygen_used_kg"), |x| {
            Case::whole().patch("rest = \"290 W\"", &format!("rest = {x}"))
        }),
        spread("crew", "work", power, 18, Sum(water), |x| {
            Case::whole().patch("work = \"290 W\"", &format!("work = {x}"))
        }),
        spread("crew", "walk", power, 18, Sum(water), |x| {
            far().patch("walk = \"290 W\"", &format!("walk = {x}"))
        }),
        spread("crew", "ride", power, 12, Sum(water), |x| {
            drive("")
                .patch("displaces = \"0.15 m3\"", &format!("displaces = \"0.15 m3\"\nride = {x}"))
        }),
        spread("crew", "with_casualty", power, 9, Sum(water), |x| {
            far()
                .patch("with_casualty = \"290 W\"", &format!("with_casualty = {x}"))
                .add(&casualty("walks with help", ""))
        }),
        spread("crew", "walk_speed", ["2 km/h", "4 km/h"], 9, Inverse(water, 2.0, 4.0), |x| {
            far().patch("walk_speed = \"4 km/h\"", &format!("walk_speed = {x}"))
        }),
        spread("crew", "helped_speed", ["2 km/h", "4 km/h"], 9, Inverse(water, 2.0, 4.0), |x| {
            far()
                .patch("helped_speed = \"2 km/h\"", &format!("helped_speed = {x}"))
                .add(&casualty("walks with help", ""))
        }),
        spread("crew", "stretcher_speed", ["2 km/h", "4 km/h"], 9, Inverse(water, 2.0, 4.0), |x| {
            far()
                .patch("stretcher_speed = \"1.2 km/h\"", &format!("stretcher_speed = {x}"))
                .add(&casualty("must be carried", ""))
        }),
        spread("crew", "lift", ["0 min", "40 min"], 9, Sum(water), |x| {
            far()
                .patch("displaces = \"0.15 m3\"", &format!("displaces = \"0.15 m3\"\nlift = {x}"))
                .add(&casualty("must be carried", ""))
        }),
        spread(
            "crew",
            "illness_lasts",
            ["0 d", "4 d"],
            4,
            Told(|s| after(s, "is ill for ", 0.0, 4.0)),
            |x| {
                let ill =
                    format!("displaces = \"0.15 m3\"\nillness = \"1 /d\"\nillness_lasts = {x}");
                Case::whole().patch("displaces = \"0.15 m3\"", &ill)
            },
        ),
        // Two suits of 0 to 2 h, both charged after one: 1/4, before each of three second slots.
        spread("suit.NAME", "recharge_elapsed", hour, 3, Count("sorties_cancelled", 0.75), relays),
        spread("suit.NAME", "maintenance_takes", hour, 18, Sum("upkeep_h"), |x| {
            beside(
                "purity = 0.95",
                &format!("maintenance_every = 1\nmaintenance_takes = {x}\nmaintenance_sheds = 0"),
            )
        }),
        spread("store.NAME.resupply", "slip", ["0 d", "4 d"], 2, Told(flights), |x| {
            let flight = |at: u32| format!("{{ at = \"{at} d\", on_time = 0, slip = {x} }}");
            beside("nitrogen = \"120 kg\"", &format!("resupply = [{}, {}]", flight(5), flight(15)))
        }),
        spread("stage.NAME", "gas", ["0 kg", "0.2 kg"], 18, Sum("gas_lost_kg"), |x| {
            Case::whole().patch_access("removes = 0.5", &format!("removes = 0.5, gas = {x}"))
        }),
        spread("stage.NAME", "upkeep", hour, 9, Sum("upkeep_h"), |x| {
            Case::whole().patch_access("removes = 0.5", &format!("removes = 0.5, upkeep = {x}"))
        }),
        spread("incapacitated", "takes", ["20 min", "60 min"], 9, Sum("door_to_door_min"), |x| {
            doffed(&format!("{{ takes = {x} }}"))
        }),
        spread("incapacitated", "adds", ["20 min", "60 min"], 9, Sum("door_to_door_min"), |x| {
            doffed(&format!("{{ adds = {x} }}"))
        }),
        // Not keys of a section: durations of rows, and what stands in the table of laws.
        spread("row", "takes", ["10 min", "60 min"], 9, Sum("door_to_door_min"), |x| {
            Case::whole().patch_access(
                "on = \"lock\", takes = \"45 min\"",
                &format!("on = \"lock\", takes = {x}"),
            )
        }),
    ]
}

/// Three pairs of slots, the second an hour after the first team is in, with the same two suits.
fn relays(x: &str) -> Case {
    let rows = egress() + TO_SAFE + AFTER_SAFE;
    let days = [1.0, 4.0, 7.0];
    let second = days.map(|d| format!("\"{} min\"", d * 1440.0 + rows + 240.0 + 60.0)).join(", ");
    beside("purity = 0.95", &format!("recharge_elapsed = {x}"))
        .patch("per_week = 2", "at = [\"1 d\", \"4 d\", \"7 d\"]")
        .patch("[\"Ada\", \"Ben\", \"Cleo\"]", "[\"Ada\", \"Ben\", \"Cleo\", \"Dora\"]")
        .patch(
            "[store.gas]",
            &format!(
                "[activity.relay]\nfrom = \"habitat\"\nports = [\"main\"]\nteam = 2\n\
                 crew = [\"Cleo\", \"Dora\"]\nat = [{second}]\nhours = \"4 h\"\ndust = \"50 g\"\n\
                 [store.gas]"
            ),
        )
}

/// How late two flights were, as shares of four days.
fn flights(story: &Story) -> Vec<f64> {
    let came = story.lines.iter().filter(|l| l.text.contains("resupply reaches"));
    came.zip([5.0, 15.0]).map(|(l, at)| (l.time / 86_400.0 - at) / 4.0).collect()
}

/// Values of a measure in every campaign.
fn values(m: &Model, name: &str) -> Vec<f64> {
    let mut player = Player::new(m);
    (0..N).map(|i| value(player.play_one(0, i), name)).collect()
}

fn law(range: [&str; 2]) -> String {
    format!("{{ low = \"{}\", high = \"{}\" }}", range[0], range[1])
}

/// Shares of the range, one a campaign, and mean and variance that they are to have.
fn look(s: &Spread) -> (Vec<f64>, f64, f64) {
    let model = |x: &str| (s.case)(x).model();
    let n = f64::from(s.n);
    let between = |name: &str| {
        let ends = s.range.map(|x| values(&model(&format!("\"{x}\"")), name));
        let all = values(&model(&law(s.range)), name);
        let share = |i: usize| (all[i] - ends[0][i]) / (ends[1][i] - ends[0][i]);
        // Where neither end tells a difference there was nothing to draw.
        let told = |i: &usize| (ends[1][*i] - ends[0][*i]).abs() > 1e-6;
        (0..all.len()).filter(told).map(share).collect::<Vec<f64>>()
    };
    match s.seen {
        Seen::Sum(name) => (between(name), 0.5, 1.0 / 12.0 / n),
        Seen::Inverse(name, low, high) => {
            // Of 1/v for v uniform: mean ln(h/l)/(h - l), mean square 1/(l h); as shares from l to h.
            let mean = (high / low).ln() / (high - low);
            let variance = 1.0 / (low * high) - mean * mean;
            let scale = 1.0 / low - 1.0 / high;
            let share = (1.0 / low - mean) / scale;
            (between(name), share, variance / (scale * scale) / n)
        }
        Seen::Count(name, p) => {
            let counts = values(&model(&law(s.range)), name);
            (counts.into_iter().map(|x| x / n).collect(), p, p * (1.0 - p) / n)
        }
        Seen::Told(read) => {
            let m = model(&law(s.range));
            let one = |i: u64| {
                let draws = read(&tell(&m, 0, i).0);
                assert!(draws.len() >= s.n as usize, "{:?}: {} draws are told", s.key, draws.len());
                draws[..s.n as usize].iter().sum::<f64>() / n
            };
            ((0..N).map(one).collect(), 0.5, 1.0 / 12.0 / n)
        }
    }
}

fn holds(s: &Spread) -> Result<(), String> {
    assert!(s.n >= 2, "{:?}: one occasion tells nothing", s.key);
    let (sample, mean, variance) = look(s);
    let n = sample.len() as f64;
    let m = sample.iter().sum::<f64>() / n;
    let moment = |k: i32| sample.iter().map(|x| (x - m).powi(k)).sum::<f64>() / n;
    let (second, fourth) = (moment(2), moment(4));
    let z = (m - mean) / (second / n).sqrt();
    let error = ((fourth - second * second) / n).sqrt();
    let w = (second - variance) / error;
    println!(
        "{:?}: n {n}, mean {m:.4} of {mean:.4}, z {z:.2}; sd {:.4} of {:.4}, z {w:.2}",
        s.key,
        second.sqrt(),
        variance.sqrt()
    );
    match n >= 0.9 * N as f64 && z.abs() <= 4.0 && w.abs() <= 4.0 {
        true => Ok(()),
        false => Err(format!(
            "{:?}: {n} campaigns, mean {m} by law {mean} (z {z:.2}), variance {second} by law {variance} \
             (z {w:.2})",
            s.key
        )),
    }
}

#[test]
fn what_varies_is_drawn_at_every_occasion() {
    let wrong: Vec<String> = cases().iter().filter_map(|s| holds(s).err()).collect();
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn every_key_that_varies_has_a_case() {
    let have: BTreeSet<_> = cases().iter().map(|s| s.key).collect();
    let all = keys().filter(|(_, k)| matches!(k.kind, Kind::Number(_, Draw::Varies, _)));
    let missing: Vec<_> =
        all.map(|(s, k)| (s.name, k.name)).filter(|k| !have.contains(k)).collect();
    assert!(missing.is_empty(), "no spread is looked at of {missing:?}");
}

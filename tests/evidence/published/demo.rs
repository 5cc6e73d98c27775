//! Numbers of the shipped demos against published values and ranges.

use super::demo_file::{DemoFile, file, runs};
use super::record::Standing::{CommonPractice, FromMemory, Read, SecondHand};
use super::record::{Check, Group, between, check, plain, q, relative};
use std::fs;
use std::path::Path;
use vestibule::physics::gas::{self, Mix, pump};

const LARKSPUR: &str = "larkspur/campaign.toml";
const OCHRE: &str = "ochre/campaign.toml";

/// Every comparison of a demo number.
pub fn numbers() -> Group {
    let mut checks = suits(&file("catalogue/suit/suits.toml"));
    checks.extend(cabins(&file(LARKSPUR), &file(OCHRE)));
    checks.extend(access());
    checks.extend(people(&file(LARKSPUR)));
    checks.extend(dust(&file(LARKSPUR), &file(OCHRE)));
    checks.extend(failures());
    Group {
        title: "Numbers of the demos".into(),
        about: "Where a published value or range exists for a number of `runs/`, the demo is \
            compared with it. \
                Most numbers of the demos have no published value: they are marked as assumed in \
                the files, and every report lists them first. A row here says that a demo is \
                plausible, not that it is right.",
        checks,
    }
}

fn suits(f: &DemoFile) -> Vec<Check> {
    let at = |key: &str| f.value(&format!("suit.rear-entry.{key}"));
    let purged = at("purge_flow") * (q("8 min") - q("2 min"));
    let leak = f.range("suit.rear-entry.leak");
    let gram_per_hour = q("1 g/h");
    let mishap = "EVA-23 mishap report p. 40: seven hours at 1000 Btu/h";
    vec![
        check("suit pressure", "kPa", at("pressure") / 1e3, 29.6, plain(0.05))
            .from(Read, "NTRS 20230015380: \"29.6 kPa (4.3 psi) spacesuit\""),
        check(
            "difference a suit takes at a port",
            "psi",
            at("port_limit") / q("1 psi"),
            8.3,
            plain(0.05),
        )
        .from(Read, "NTRS 20130013652: \"with an 8.3 psi pressure differential\""),
        check("primary life support", "h", at("primary") / 3600.0, 7.0, plain(0.0))
            .from(Read, mishap),
        check("power it is stated at", "W", at("primary_at"), 293.1, relative(1e-3))
            .from(Read, mishap),
        check("secondary oxygen", "min", at("secondary") / 60.0, 30.0, plain(0.0))
            .from(FromMemory, "30 min, from memory"),
        check(
            "gas a short purge saves (8 min against 2)",
            "lb",
            purged / q("1 lbm"),
            0.48,
            plain(0.005),
        )
        .from(Read, "NTRS 20090010093: \"0.48 lb of gas and 6 minutes per person\""),
        between(
            "2.3 g/h lies inside the range of the suit leak",
            "g/h",
            (2.3, 2.3),
            (leak.0 / gram_per_hour, leak.1 / gram_per_hour),
        )
        .from(FromMemory, "about 0.005 lb/h, from memory; no figure found"),
    ]
}

fn cabins(larkspur: &DemoFile, ochre: &DemoFile) -> Vec<Check> {
    let inspired = |f: &DemoFile| {
        let mix = Mix { oxygen: f.value("element.habitat.oxygen") };
        gas::inspired_oxygen(f.value("element.habitat.pressure"), mix) / q("1 mmHg")
    };
    let pressure = |f: &DemoFile| f.value("element.habitat.pressure") / 1e3;
    let leak = larkspur.range("element.habitat.leak");
    let volume = larkspur.value("element.habitat.volume");
    let held = gas::content(q("70.3 kPa"), volume, Mix { oxygen: 0.265 }, 294.26).total();
    let daily = |rate: f64| 100.0 * rate * q("1 d") / held;
    let wessel = "Wessel et al., Aerosp Med Hum Perform 2018;89(9):792";
    let moon = larkspur.value("body.gravity");
    vec![
        check("larkspur: cabin pressure", "kPa", pressure(larkspur), 70.3, plain(0.05))
            .from(Read, wessel),
        check("larkspur: inspired oxygen", "mmHg", inspired(larkspur), 127.0, plain(0.5))
            .from(Read, wessel)
            .of(&["gas::inspired_oxygen"]),
        check("ochre: cabin pressure", "kPa", pressure(ochre), 56.5, plain(0.05))
            .from(Read, "NTRS 20230015380"),
        check("ochre: inspired oxygen", "mmHg", inspired(ochre), 128.0, plain(0.5))
            .from(Read, "NTRS 20150021491")
            .of(&["gas::inspired_oxygen"]),
        between(
            "larkspur: leak of the habitat, of its gas",
            "%/d",
            (daily(leak.0), daily(leak.1)),
            (0.0095, 0.055),
        )
        .from(FromMemory, "0.01 to 0.05 % a day, from memory"),
        between(
            "ochre: ambient pressure",
            "kPa",
            (ochre.value("body.ambient") / 1e3, ochre.value("body.ambient") / 1e3),
            (0.6, 1.0),
        )
        .from(FromMemory, "0.6 to 1 kPa, from memory"),
        check("larkspur: gravity", "m/s2", moon, 1.62, plain(0.005))
            .from(CommonPractice, "general"),
        check("ochre: gravity", "m/s2", ochre.value("body.gravity"), 3.71, plain(0.005))
            .from(CommonPractice, "general"),
        check(
            "largest rate of pressure rise",
            "psi/min",
            larkspur.value("campaign.pressure_rate") / q("1 psi/min"),
            13.5,
            plain(0.05),
        )
        .from(FromMemory, "NASA-STD-3001 Vol 2, from memory, not confirmed"),
    ]
}

fn access() -> Vec<Check> {
    let lock = file("catalogue/access/single-chamber.toml");
    let port = file("catalogue/access/suitport-pair.toml");
    let both = |x: f64| (x, x);
    let free = lock.value("volume.lock.free");
    let stop = lock.value("pump.main.stop") / q("1 psi");
    let per_minute = lock.value("pump.main.speed") / free * 60.0;
    let down = pump::time(free, lock.value("pump.main.speed"), q("70.3 kPa"), q("2 psi")) / 60.0;
    let seal = |f: &DemoFile| f.value("opening.outer.leak") / q("1 kg/d");
    let minutes = |(low, high): (f64, f64)| (low / 60.0, high / 60.0);
    vec![
        check("volume of the single lock", "ft3", free / q("1 ft3"), 150.0, relative(0.005))
            .from(Read, "shuttle reference text"),
        between("pump stop", "psi", both(stop), (13.0 / 6.894757, 3.0))
            .from(FromMemory, "3 psi and 13 kPa, from memory; no primary source was found"),
        between("pump speed over lock volume", "1/min", both(per_minute), (0.0443, f64::INFINITY))
            .from(Read, "about 45 min (Trevino 2008, NTRS 20080013418) is the slow end"),
        between(
            "pump-down of the single lock from 70.3 kPa to 2 psi",
            "min",
            both(down),
            (0.0, 45.0),
        )
        .from(Read, "about 45 min: Trevino 2008, NTRS 20080013418")
        .of(&["pump::time"]),
        check("power of the pump", "kW", lock.value("pump.main.power") / 1e3, 1.0, plain(0.0))
            .from(Read, "Trevino 2008, NTRS 20080013418: about 1 kW"),
        check(
            "clear width of a hatch",
            "in",
            lock.value("opening.outer.clear") / q("1 in"),
            36.0,
            plain(0.2),
        )
        .from(Read, "shuttle reference text: 36 in across"),
        check("leak of a clean hatch seal", "kg/d", seal(&lock), 0.0011, plain(0.000_05))
            .from(Read, "Dunlap et al., NTRS 20100019164"),
        check(
            "purge in the lock",
            "min",
            lock.takes("egress", "purge", "suit").0 / 60.0,
            8.0,
            plain(0.0),
        )
        .from(Read, "NTRS 20090010093"),
        check(
            "purge at the port",
            "min",
            port.takes("egress", "purge", "suit").0 / 60.0,
            2.0,
            plain(0.0),
        )
        .from(Read, "NTRS 20090010093"),
        check(
            "prebreathe in the lock",
            "min",
            lock.takes("egress", "prebreathe", "suit").0 / 60.0,
            20.0,
            plain(0.0),
        )
        .from(Read, "NTRS 20230015380"),
        check(
            "prebreathe at the port",
            "min",
            port.takes("egress", "prebreathe", "suit").0 / 60.0,
            15.0,
            plain(0.0),
        )
        .from(Read, "NTRS 20140000417"),
        between(
            "leak check of a suit",
            "min",
            minutes(lock.takes("egress", "leak check", "suit")),
            (1.0, f64::INFINITY),
        )
        .from(Read, "ISS systems book p. 298: a pressure watch of 1 minute is part of it"),
        between(
            "getting ready at the port, before the suit is entered",
            "min",
            minutes(port.takes("egress", "prepare", "cabin")),
            (0.0, 30.0),
        )
        .from(Read, "NTRS 20110023556: \"from hours to less than thirty minutes\" in all"),
        between(
            "0.03 m3 lies inside the range of the gap",
            "m3",
            both(0.03),
            port.range("volume.gap.free"),
        )
        .from(FromMemory, "of the order of 0.03 m3, from memory; no published figure was found"),
    ]
}

fn people(f: &DemoFile) -> Vec<Check> {
    let both = |x: f64| (x, x);
    let watts = |key: &str| f.range(&format!("crew.{key}"));
    let field = (q("100 kcal/h"), q("500 kcal/h"));
    let waligora = "Waligora and Horrigan: \"range from 100 kcal/h to 500 kcal/h\"";
    let kmh = q("1 km/h");
    let (slow, fast) = f.range("crew.walk_speed");
    let radius = f.value("element.rover.speed") * q("20 min") / 1e3;
    let lift = f.range("crew.lift");
    let rover = "lunarscience.nasa.gov: two crew, four in an emergency, 10 km/h";
    let mean = 1243.0 * q("1 h") / 191.0 / q("1 h");
    let doctrine = "20 min: Gernhardt and Abercromby 2008, NTRS 20080014281; 10 km/h: \
        lunarscience.nasa.gov; product own arithmetic";
    let station = "ISS systems book p. 281: \"1243 EVA hours in 191 EVAs\"";
    let apollo = [(2, 31, 40), (7, 45, 18), (9, 22, 31), (18, 34, 46), (20, 14, 16), (22, 4, 0)];
    let hours = |(h, m, s): (i32, i32, i32)| {
        (f64::from(h) * q("1 h") + f64::from(m) * q("1 min") + f64::from(s)) / q("1 h")
    };
    let total: f64 = apollo.map(hours).iter().sum();
    let last = [(7, 12, 0), (7, 37, 0), (7, 15, 0)].map(hours).iter().sum();
    let surface = "tsgc.utexas.edu; public-domain caption";
    vec![
        between("metabolic rate of work outside", "W", watts("work"), field).from(Read, waligora),
        between("metabolic rate of walking", "W", watts("walk"), field).from(Read, waligora),
        between("metabolic rate with a casualty", "W", watts("with_casualty"), field)
            .from(Read, waligora),
        between(
            "6.3 km/h is the fastest walk",
            "km/h",
            both(6.3),
            (slow / kmh, fast / kmh * (1.0 + 1e-9)),
        )
        .from(FromMemory, "10 km walk-back test, NASA/TP-2009-214796, result from memory"),
        between(
            "10 min lies inside the range of lifting a casualty",
            "min",
            both(10.0),
            (lift.0 / 60.0, lift.1 / 60.0),
        )
        .from(
            SecondHand,
            "a university on NEEMO 23: \"in less than 10 minutes\", one rescuer, sea trial",
        )
        .note("the demo allows more: the trial was no failure of a real suit"),
        check("rover speed", "km/h", f.value("element.rover.speed") / kmh, 10.0, plain(0.0))
            .from(Read, rover),
        check(
            "people the rover holds in an emergency",
            "",
            f.value("element.rover.haven_people"),
            4.0,
            plain(0.0),
        )
        .from(Read, rover),
        check("C17 reach of a safe haven 20 min away by rover", "km", radius, 3.33, relative(0.01))
            .from(Read, doctrine),
        check(
            "C14 illness that costs work",
            "/a",
            f.value("crew.illness") * q("1 a"),
            0.1396,
            relative(0.005),
        )
        .from(Read, "IOM Safe Passage 2001 p. 82 (Tansey 1979)"),
        check(
            "C14 days it lasts",
            "d",
            f.value("crew.illness_lasts") / q("1 d"),
            6460.0 / 1685.0,
            relative(0.005),
        )
        .from(Read, "IOM Safe Passage 2001 p. 82 (Tansey 1979)"),
        check("C12 mean station sortie", "h", mean, 6.508, plain(0.01)).from(Read, station),
        check("C12 surface sorties of six landings, in all", "h", total, 80.54, plain(0.01))
            .from(Read, surface),
        check("C12 and per sortie, 14 of them", "h", total / 14.0, 5.753, plain(0.01)).formula(),
        check("C12 the last three: 7:12, 7:37, 7:15", "h", last, hours((22, 4, 0)), plain(0.01))
            .from(Read, surface),
        between(
            "larkspur: hours wanted outside",
            "h",
            both(f.value("activity.site-work.hours") / q("1 h")),
            (0.5 * total / 14.0, mean),
        )
        .from(Read, station)
        .note("below the means of surface and station sorties: supply holds it in nine of ten"),
    ]
}

fn dust(larkspur: &DemoFile, ochre: &DemoFile) -> Vec<Check> {
    let limit = |f: &DemoFile, key: &str| f.value(&format!("body.{key}")) / q("1 mg/m3");
    let density = larkspur.range("body.dust_density");
    let fine = |f: &DemoFile| 100.0 * (f.value("body.dust_bins.0") + f.value("body.dust_bins.1"));
    let roadmap =
        "Human Research Roadmap task 478: \"6-month episodic exposure limit ... of 0.3 mg/m3\"";
    let standard = "NASA-STD-3001 Vol 2 Rev F, V2 6253: 0.1 mg/m3 up to 30 days, peak 10 mg/m3";
    let hourly = q("1 /h");
    let lift = |f: &DemoFile| {
        let (low, high) = f.range("element.habitat.resuspension");
        (low / hourly, high / hourly)
    };
    let both = |x: f64| (x, x);
    let brush = file("catalogue/access/single-chamber.toml");
    let coarse = brush.range("stage.porch_brush.removes.3");
    let small = brush.range("stage.porch_brush.removes.1");
    vec![
        check("larkspur: dust limit", "mg/m3", limit(larkspur, "dust_limit"), 0.3, relative(1e-9))
            .from(Read, roadmap),
        check("ochre: dust limit", "mg/m3", limit(ochre, "dust_limit"), 0.1, relative(1e-9))
            .from(SecondHand, standard),
        check("ochre: peak limit", "mg/m3", limit(ochre, "dust_peak_limit"), 10.0, relative(1e-9))
            .from(SecondHand, standard),
        between("larkspur: density of grains", "kg/m3", density, (2900.0, 3240.0))
            .from(Read, "Carrier et al., ASCE J SMFD 99(10), 1973: 2.90 to 3.24"),
        between(
            "ochre: density of grains",
            "kg/m3",
            ochre.range("body.dust_density"),
            (2600.0, 3000.0),
        )
        .from(FromMemory, "from memory"),
        between("larkspur: mass below 10 um on a suit", "%", both(fine(larkspur)), (3.0, 30.0))
            .from(
                SecondHand,
                "bulk soil 2.3 to 9.6 %, derived from the Lunar Sourcebook; finer \
                on suits, from memory",
            )
            .note(
                "10 %: just above the bulk soil, since suits are said to hold finer dust; \
                assumed",
            ),
        check(
            "filter efficiency",
            "",
            larkspur.value("element.habitat.filter_efficiency"),
            0.9997,
            plain(0.0),
        )
        .from(SecondHand, "99.97 % at 0.3 um: rationale of NASA-STD-3001 V2 6059"),
        between(
            "area of furniture that dust settles on",
            "",
            larkspur.range("element.habitat.deposition"),
            (1.0, 2.6),
        )
        .from(Read, "Thatcher et al., Atmos. Environ. 36(11), 2002: up to 2.6"),
        between("ochre: resuspension", "1/h", lift(ochre), (0.999e-5, 1.001e-2))
            .from(Read, "Qian, Clarkson Univ. thesis, 2007: 1e-5 to 1e-2 /h"),
        between("larkspur: resuspension", "1/h", lift(larkspur), (0.999e-6, 1.001e-2))
            .from(Read, "Qian, Clarkson Univ. thesis, 2007: 1e-5 to 1e-2 /h, in Earth's gravity")
            .note("its low end is a tenth of the published one, for the Moon: assumed"),
        between("share of coarse dust a porch brush removes", "", coarse, (0.0, 0.9)).from(
            Read,
            "bench, rigid surfaces: above 0.9 (Gaier et al., AIAA 2011-5182); rover \
                radiators on the Moon: \"almost wholly ineffective\"",
        ),
        between(
            "share of 2.5 to 10 um dust a porch brush \
            removes",
            "",
            small,
            (0.0, 0.9),
        )
        .from(Read, "as above; weak below 10 um (Kawamoto and Hara 2011)"),
    ]
}

fn failures() -> Vec<Check> {
    let people = file("catalogue/failure/people.toml");
    let hatches = file("catalogue/failure/hatches.toml");
    let at = |f: &DemoFile, path: &str| f.value(path);
    let returns = at(&people, "failure.early-return.law.failures");
    let sorties = at(&people, "failure.early-return.law.demands");
    let jams = at(&hatches, "failure.hatch-stuck-shut.law.failures");
    let demands = at(&hatches, "failure.hatch-stuck-shut.law.demands");
    let sum = 9.0 + 5.0 + 21.0 + 10.0 + 41.0 + 0.8 * 191.0;
    let book = "parts: ISS systems book p. 281; sum own arithmetic";
    let chart = "Flight Safety Office chart JS-2018-031 (column order inferred)";
    vec![
        check("early returns", "", returns, 14.0, plain(0.0)).from(Read, chart),
        check("sorties they were seen in", "", sorties, sum, plain(0.5)).from(Read, book),
        check("early returns per sortie", "%", 100.0 * returns / sorties, 5.9, plain(0.05))
            .from(Read, chart),
        check("hatches that stayed shut", "", jams, 1.0, plain(0.0))
            .from(Read, "STS-80: MCC report 27: \"first time a hatch has jammed in 15 years\""),
        check("hatch demands they were seen in", "", demands, 4.0 * sum, relative(0.005))
            .from(Read, book)
            .note("four demands a sortie: assumed"),
    ]
}

/// Every table of a file that says it is published.
fn published(value: &toml::Value, path: String, found: &mut Vec<(String, bool)>) {
    match value {
        toml::Value::Table(table) => {
            if table.get("basis").and_then(toml::Value::as_str) == Some("published") {
                let source = table.get("source").and_then(toml::Value::as_str).unwrap_or("");
                found.push((path.clone(), !source.trim().is_empty()));
            }
            for (key, inner) in table {
                published(inner, format!("{path} {key}"), found);
            }
        }
        toml::Value::Array(items) => {
            for inner in items {
                published(inner, path.clone(), found);
            }
        }
        _ => {}
    }
}

fn toml_files(folder: &Path, out: &mut Vec<std::path::PathBuf>) {
    for path in fs::read_dir(folder).unwrap().map(|e| e.unwrap().path()) {
        if path.is_dir() {
            toml_files(&path, out);
        } else if path.extension().is_some_and(|x| x == "toml") {
            out.push(path);
        }
    }
}

/// What a shipped file calls published names its source, as `check` asks of everybody (rule
/// `published-unsourced`, a warning with its own fixture).
#[test]
fn what_the_demos_call_published_names_its_source() {
    let mut files = Vec::new();
    toml_files(&runs(), &mut files);
    let mut found = Vec::new();
    for path in &files {
        let table: toml::Table = fs::read_to_string(path).unwrap().parse().unwrap();
        published(&toml::Value::Table(table), path.display().to_string(), &mut found);
    }
    assert!(!found.is_empty(), "nothing is published any more: has the key another name?");
    let bare: Vec<_> = found.iter().filter(|(_, sourced)| !sourced).map(|(path, _)| path).collect();
    assert!(bare.is_empty(), "published without a source: {bare:?}");
    for campaign in [LARKSPUR, OCHRE] {
        let reading = vestibule::scenario::read(&runs().join(campaign));
        let warned: Vec<_> =
            reading.findings.iter().filter(|f| f.rule == "published-unsourced").collect();
        assert!(warned.is_empty(), "{campaign}: `check` warns of {} entries", warned.len());
    }
}

//! One campaign with every key, read and compared with what it says.

use super::*;
use crate::base::law::Law;
use crate::scenario::vocabulary::*;
use std::collections::BTreeSet;

fn folder() -> std::path::PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/reading")
}

/// Reads the campaign that has every key; also gives the keys that the reader asked for.
fn full() -> (Scenario, Vec<Finding>, BTreeSet<(&'static str, &'static str)>) {
    let ctx = Context::default();
    let reading = read_with(&ctx, &folder().join("campaign.toml"));
    let shown = |f: &Finding| f.show(&reading.sources).to_string();
    let text: Vec<_> = reading.findings.iter().map(shown).collect();
    let scenario = reading.scenario.unwrap_or_else(|| panic!("{}", text.join("\n")));
    (scenario, reading.findings, ctx.asked.into_inner())
}

#[test]
fn the_registry_has_every_key_that_is_read_and_no_other() {
    let (_, _, asked) = full();
    let mut registered: BTreeSet<_> = keys().map(|(s, k)| (s.name, k.name)).collect();
    // Taken out of the tree before any section is read.
    assert!(registered.remove(&("", "include")));
    // Tells a row that uses a list from a step.
    assert_eq!(asked, registered);
}

#[test]
fn every_default_of_the_registry_can_be_read() {
    for (section, key) in keys() {
        let Need::Default(text) = key.need else {
            continue;
        };
        let place = format!("{}.{} = {text}", section.name, key.name);
        match key.kind {
            Kind::Number(d, draw, range) => {
                let read = number::default(text, Wanted::new(d, draw, range), At(0));
                assert!(read.is_some(), "{place}");
            }
            Kind::Count(least) => assert!(text.parse::<u32>().unwrap() >= least, "{place}"),
            Kind::Flag => assert!(matches!(text, "true" | "false"), "{place}"),
            Kind::Word(what) => assert!(has_word(what, text), "{place}"),
            Kind::Form(_) => {
                assert!(["removes", "captures", "off_duty"].contains(&key.name), "{place}")
            }
            _ => panic!("no default is read for {place}"),
        }
    }
}

/// What nobody asks about is a range of the key's dimension and range, and holds its default.
#[test]
fn every_usual_range_of_the_registry_is_one() {
    let mut numbers = 0;
    for (section, key) in keys() {
        let Some((least, most)) = key.plausible else { continue };
        let place = format!("{}.{}", section.name, key.name);
        let Kind::Number(d, _, range) = key.kind else { panic!("{place} is no number") };
        let read =
            |text| crate::base::units::parse(text, d).unwrap_or_else(|e| panic!("{place}: {e}"));
        let (low, high) = (read(least), read(most));
        assert!(0.0 < low && low < high, "{place}: {least} to {most}");
        assert!(range != crate::scenario::key::Range::Fraction || high <= 1.0, "{place}");
        if let Need::Default(text) = key.need {
            let x = read(text);
            assert!(x == 0.0 || low <= x && x <= high, "{place}: default {text}");
        }
        numbers += 1;
    }
    assert!(numbers > 120, "{numbers}");
}

fn has_word(what: &str, text: &str) -> bool {
    fn is<V: Vocabulary>(what: &str, text: &str) -> bool {
        V::WHAT == what && V::parse(text).is_some()
    }
    is::<Each>(what, text)
        || is::<By>(what, text)
        || is::<Noticed>(what, text)
        || is::<RepairFrom>(what, text)
        || is::<Renews>(what, text)
        || is::<StageKind>(what, text)
        || is::<Statistic>(what, text)
}

#[test]
fn what_is_sound_is_not_worth_a_word() {
    let (_, findings, _) = full();
    assert!(findings.is_empty(), "{findings:?}");
}

#[test]
fn what_a_board_asks_for_is_read_in_the_unit_of_its_measure() {
    let (s, ..) = full();
    let [gas, hours] = &s.limits[..] else { panic!("two limits") };
    assert_eq!(
        (gas.it.bound.it, gas.it.below, gas.it.statistic.it),
        (400.0, true, Statistic::Mean)
    );
    assert_eq!((hours.it.bound.it, hours.it.below), (24.0, false));
    assert_eq!((hours.it.statistic.it, hours.it.written.as_str()), (Statistic::P95, "1 d"));
    assert_eq!(hours.it.architectures[0].it, "lock");
    let mass = s.mass.as_ref().unwrap();
    assert_eq!(mass.power.law, Law::Fixed(0.749));
    assert_eq!(mass.crew_time.law, Law::Fixed(1.0 / 3600.0));
    let ranking = &s.rankings[0].it;
    assert_eq!(ranking.measures[1].it, "system_mass_kg");
    assert_eq!(ranking.weights[1].1.law, Law::Fixed(0.5));
    assert_eq!(s.spares[1].it.mass.unwrap().law, Law::Fixed(2.0));
}

#[test]
fn sections_of_the_campaign_are_read_into_si() {
    let (s, ..) = full();
    assert_eq!((s.study.seed, s.study.campaigns), (18_446_744_073_709_551, 250));
    assert_eq!(s.body.name.it, "Moon");
    assert_eq!(s.body.dust_bins[2].law, Law::Uniform { low: 0.2, high: 0.4 });
    assert_eq!(s.campaign.length.law, Law::Fixed(165.0 * 86_400.0));
    assert_eq!(s.campaign.wait_at_most.law, Law::Fixed(2_700.0));
    assert_eq!(s.campaign.shut_in_at_most.law, Law::Fixed(64_800.0));
    assert_eq!(s.campaign.walk_margin.law, Law::Fixed(0.3));
    let names: Vec<_> = s.crew.names.iter().map(|n| n.it.as_str()).collect();
    assert_eq!(names, ["Ines", "Otto"]);
    let soft = &s.suits[0];
    assert_eq!((soft.name.as_str(), soft.it.pressure.law), ("soft", Law::Fixed(29_600.0)));
    assert_eq!(soft.it.gas_volume.law, Law::Fixed(0.06));
    assert_eq!(soft.it.maintenance_every.map(|n| n.it), Some(25));
    let gas = &s.stores[0].it;
    assert_eq!(gas.resupply[0].day.law, Law::Fixed(90.0 * 86_400.0));
    assert_eq!(gas.resupply[0].spares[0].0.it, "hatch kit");
    assert_eq!(gas.resupply[0].spares[0].1, 2);
    let spares: Vec<_> = s.spares.iter().map(|n| (n.name.as_str(), n.it.count.it)).collect();
    assert_eq!(spares, [("hatch kit", 3), ("seal", 8)]);
    assert_eq!(s.environment.events[0].it.effect.it, EnvironmentEffect::StandDown);
    assert_eq!(s.laws[0].it.law, Law::Uniform { low: 600.0, high: 1_200.0 });
}

#[test]
fn elements_keep_their_openings_and_defaults() {
    let (s, ..) = full();
    let [habitat, stores] = &s.elements[..] else {
        panic!("two elements");
    };
    assert_eq!(habitat.it.volume.law, Law::Uniform { low: 60.0, high: 100.0 });
    assert_eq!(habitat.it.volume.per, Some(Per::Study));
    assert_eq!(habitat.it.kind.it, ElementKind::Habitat);
    assert!(habitat.it.ascent.it && !habitat.it.played.it);
    let tunnel = &habitat.it.openings[0].it;
    assert_eq!(tunnel.between[1].it, "stores.cabin");
    assert_eq!((tunnel.count.it, tunnel.docking.it), (2, true));
    assert_eq!(stores.it.inside_least.it, 1);
    assert!(!stores.it.ascent.it && stores.it.played.it);
    assert_eq!(stores.it.cleaning_removes.law, Law::Fixed(0.7));
    assert!(stores.it.openings.is_empty() && stores.it.store.is_none());
}

#[test]
fn activities_take_one_of_three_ways_to_be_planned() {
    let (s, ..) = full();
    let [base, unload, drive] = &s.activities[..] else {
        panic!("three activities");
    };
    assert_eq!(base.it.per_week.map(|n| n.it), Some(3.5));
    assert_eq!(base.it.nominal_hours.law, Law::Fixed(6.0 * 3_600.0));
    assert_eq!(base.it.by.it, By::RoverOutside);
    let slots: Vec<_> = unload.it.at_times.iter().map(|t| t.it).collect();
    assert_eq!(slots, [3.0 * 86_400.0, 100.0 * 3_600.0]);
    assert_eq!(unload.it.ports[0].it, "main");
    assert_eq!(unload.it.by.it, By::Foot);
    assert_eq!(drive.it.traverse.as_ref().map(|t| t.days.it), Some(3));
}

#[test]
fn failure_laws_follow_their_exposure() {
    let (s, ..) = full();
    let laws: Vec<_> = s.failures.iter().map(|f| f.it.law.law).collect();
    let life = 4_000.0 * 3_600.0;
    let expected = [
        Law::Lognormal { median: 6.2e-4, error_factor: 5.0 },
        Law::Fixed(3e-5 / 3_600.0),
        Law::Weibull { life, shape: 2.0 },
        Law::RateEvidence { events: 1.0, exposure: 5e6 },
    ];
    assert_eq!(laws, expected);
    let [stuck, hurt, pump, _] = &s.failures[..] else {
        panic!("four failure modes");
    };
    let repair = stuck.it.repair.as_ref().expect("a repair");
    assert_eq!((repair.crew.it, repair.renews.it), (2, Renews::AsOld));
    assert_eq!(stuck.it.common.as_ref().map(|c| c.0.it.as_str()), Some("hatches"));
    assert_eq!(hurt.it.off_duty.law, Law::Fixed(f64::INFINITY));
    assert_eq!(pump.it.off_duty.law, Law::Fixed(14.0 * 86_400.0));
    assert_eq!(pump.it.noticed.it, Noticed::AtOnce);
}

#[test]
fn access_files_are_named_by_their_stem() {
    let (s, ..) = full();
    let lock = &s.access[0];
    assert_eq!(lock.name, "lock");
    assert_eq!(lock.provenance.basis, Some(Basis::Assumed));
    let [chamber, porch] = &lock.it.volumes[..] else {
        panic!("two volumes");
    };
    assert_eq!((chamber.it.rest.it, chamber.it.fed.it), (Target::Cabin, false));
    assert_eq!((porch.it.rest.it, porch.it.fed.it), (Target::Pascal(2_000.0), true));
    let removes = |i: usize| lock.it.stages[i].it.removes.map(|n| n.law.fixed().unwrap());
    assert_eq!(removes(0), [0.1, 0.3, 0.5, 0.7]);
    assert_eq!(removes(1), [0.5; 4]);
    assert_eq!(removes(2), [0.0; 4]);
    assert_eq!(lock.it.laws[0].name, "dressing");
}

fn steps(list: &[RowSpec]) -> Vec<&StepSpec> {
    let step = |row: &RowSpec| match &row.it {
        RowBody::Step(_) => true,
        RowBody::Use(_) => false,
    };
    assert!(list.iter().all(step));
    list.iter()
        .filter_map(|row| match &row.it {
            RowBody::Step(step) => Some(&**step),
            RowBody::Use(_) => None,
        })
        .collect()
}

#[test]
fn steps_are_read_column_by_column() {
    let (s, ..) = full();
    let egress = steps(&s.access[0].it.egress.as_ref().unwrap().rows);
    let Some(TakesSpec::Name(law)) = &egress[0].takes else {
        panic!("the name of a law");
    };
    assert_eq!((law.it.as_str(), egress[0].action.it), ("dressing", Action::Don));
    assert!(matches!(&egress[1].who, Some(WhoSpec::InsideOf(x)) if x.it == "stores"));
    assert_eq!(egress[1].if_fails.map(|f| f.it), Some(IfFails::Retry(2)));
    assert!(matches!(egress[2].to.unwrap().it, Target::Pascal(p) if (p - 13_789.5).abs() < 0.1));
    let on: Vec<_> = egress[3].on.iter().map(|n| n.it.as_str()).collect();
    assert_eq!(on, ["chamber", "cabin"]);
    assert_eq!(egress[4].when[0].it, "no casualty");
    let ingress = steps(&s.access[0].it.ingress.as_ref().unwrap().rows);
    let hurt: Vec<_> = ingress.iter().map(|r| r.incapacitated.unwrap().it).collect();
    assert_eq!(hurt[0], Incapacitated::Skip);
    assert!(matches!(hurt[1], Incapacitated::Takes(_, Some(_))));
    assert!(matches!(hurt[2], Incapacitated::Adds(_, None)));
    assert!(matches!(hurt[3], Incapacitated::Times(x, Some(_)) if x == 2.0));
}

#[test]
fn ways_back_can_use_parts_of_other_lists() {
    let (s, ..) = full();
    let way = &s.access[0].it.ways_back[0];
    assert_eq!(way.name, "free-the-hatch");
    assert_eq!((way.it.from.it.as_str(), way.it.needs[0].it.as_str()), ("outside", "in time"));
    let frees = steps(&way.it.rows[..1])[0].frees.unwrap();
    assert_eq!(frees.law, Law::Fixed(0.6));
    let RowBody::Use(part) = &way.it.rows[3].it else {
        panic!("a part of another list");
    };
    assert_eq!(part.list.it, "ingress");
    assert_eq!(part.until.as_ref().map(|r| r.it.as_str()), Some("close outer"));
    assert_eq!(way.it.after_rows.len(), 1);
}

#[test]
fn an_architecture_changes_its_own_view_of_the_elements() {
    let (s, ..) = full();
    let [lock, plain] = &s.architectures[..] else {
        panic!("two architectures");
    };
    let pressure = |a: &Named<ArchitectureSpec>| a.it.elements[0].it.pressure;
    assert_eq!(pressure(lock).law, Law::Fixed(56_500.0));
    assert_eq!(
        s.sources.place(pressure(lock).at).path,
        "architecture.lock.element.habitat.pressure"
    );
    assert_eq!(pressure(plain).law, Law::Fixed(70_300.0));
    assert_eq!(s.elements[0].it.pressure.law, Law::Fixed(70_300.0));
    let tunnel = &lock.it.elements[0].it.openings[0].it;
    assert_eq!(tunnel.clear.unwrap().law, Law::Fixed(0.9));
    assert_eq!(tunnel.count.it, 2);
    assert_eq!((lock.it.title.as_str(), plain.it.title.as_str()), ("One lock", "plain"));
    assert_eq!(lock.it.ports[0].it.access.it, "lock");
    let kept = &lock.it.suits[0];
    assert_eq!((kept.suit.it.as_str(), kept.count.it), ("soft", 5));
    assert_eq!(kept.place.it, "main.chamber");
    assert_eq!(lock.it.ways_back[1].it, "main.cabin-too");
}

#[test]
fn an_architecture_changes_its_own_view_of_the_failure_modes() {
    let (s, ..) = full();
    let success = |all: &[Named<FailureSpec>]| {
        let r = all[0].it.repair.as_ref().expect("a repair");
        (r.success.law, r.crew.it)
    };
    let [lock, plain] = &s.architectures[..] else {
        panic!("two architectures");
    };
    assert_eq!(success(&lock.it.failures), success(&s.failures));
    assert_eq!(success(&plain.it.failures), (Law::Fixed(0.5), success(&s.failures).1));
    assert_ne!(success(&s.failures).0, Law::Fixed(0.5));
    let worn = s.failures[3].it.worn.as_ref().expect("an age");
    assert_eq!((worn.from.law, worn.factor.law), (Law::Fixed(2e6), Law::Fixed(3.0)));
}

#[test]
fn a_port_changes_numbers_of_its_own_copy_of_the_access_file() {
    let (s, ..) = full();
    let [lock, plain] = &s.architectures[..] else {
        panic!("two architectures");
    };
    assert_eq!(lock.it.ports[0].it.system(), "lock");
    let port = &plain.it.ports[0].it;
    assert_eq!((port.access.it.as_str(), port.system()), ("lock", "lock (plain.main)"));
    let [own, copy] = &s.access[..] else {
        panic!("the file and its copy");
    };
    assert_eq!((own.name.as_str(), copy.name.as_str()), ("lock", port.system()));
    assert_eq!(own.it.volumes[0].it.free.law, Law::Fixed(4.25));
    assert_eq!(copy.it.volumes[0].it.free.law, Law::Fixed(5.0));
    assert_eq!(copy.it.volumes[0].it.gear.law, Law::Fixed(0.2));
    let at = copy.it.volumes[0].it.free.at;
    assert_eq!(s.sources.place(at).path, "architecture.plain.port.main.volume.chamber.free");
    assert_eq!(copy.it.openings[0].it.clear.unwrap().law, Law::Fixed(0.8));
    assert_eq!(copy.it.stages[0].it.removes[3].law, Law::Fixed(0.2));
    assert_eq!(copy.it.laws[0].it.law, Law::Fixed(1500.0));
    assert_eq!(own.it.laws[0].it.law, Law::Triangular { low: 1200.0, mode: 1800.0, high: 3000.0 });
}

#[test]
fn every_source_and_basis_is_kept_in_reading_order() {
    let (s, ..) = full();
    let paths: Vec<_> =
        s.assumptions.iter().map(|(at, _)| s.sources.place(*at).path.as_str()).collect();
    let expected = [
        "body",
        "element.habitat.volume",
        "failure.hatch-stuck",
        "spare.seal",
        "",
        "list.egress[2]",
        "suit.soft.gas_volume",
    ];
    assert_eq!(paths, expected);
}

#[test]
fn the_fingerprint_covers_every_file_in_reading_order() {
    let (s, ..) = full();
    let names = ["campaign.toml", "catalogue/access/lock.toml", "parts/gear.toml"];
    let read = |name: &str| std::fs::read_to_string(folder().join(name)).unwrap();
    assert_eq!(s.fingerprint, fnv1a64(&names.map(read).concat()));
    assert_eq!(s.sources.files[1..], names[1..]);
}

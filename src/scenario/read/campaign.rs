//! Sections that describe the campaign, its people, suits and stores.

use crate::scenario::finding::Finding;
use crate::scenario::keys::*;
use crate::scenario::name;
use crate::scenario::number::Wanted;
use crate::scenario::rules;
use crate::scenario::spec::*;
use crate::scenario::table::{Table, count};
use crate::scenario::tree::Entry;

pub fn study(t: &Table) -> StudySpec {
    let [campaigns, outer, inner] = ["campaigns", "outer", "inner"].map(|k| t.large_opt(k));
    let product = outer.zip(inner).and_then(|(o, i)| o.checked_mul(i));
    let product = product.filter(|n| *n <= i64::MAX as u64);
    let (campaigns, inner) = match (campaigns, outer.or(inner), product) {
        (Some(n), None, _) => (n, None),
        (None, Some(_), Some(n)) => (n, inner),
        (n, loops, _) => {
            let what = match (n, loops) {
                (Some(_), Some(_)) => "`campaigns` stands beside `outer` or `inner`",
                (None, None) => "the number of campaigns is not given",
                _ if outer.is_some() && inner.is_some() => "`outer` times `inner` is too large",
                _ => "`outer` and `inner` come together",
            };
            t.ctx.report(Finding::new(&rules::STUDY_LOOPS, t.at, what));
            (1, None)
        }
    };
    StudySpec { seed: t.large("seed"), campaigns, inner, at: t.at }
}

pub fn body(t: &Table) -> BodySpec {
    t.provenance();
    let dust_bins = t.bins("dust_bins", Wanted::share(Draw::Unknown), false);
    if let [Some(a), Some(b), Some(c), Some(d)] = dust_bins.map(|n| n.law.fixed()) {
        // Shares written in decimals add up to 1 within rounding.
        let sum = a + b + c + d;
        if (sum - 1.0).abs() > 1e-9 {
            let at = t.node("dust_bins").map_or(t.at, |n| n.at);
            let what = format!("the four shares add up to {sum}");
            t.ctx.report(Finding::new(&rules::SHARES_SUM, at, what));
        }
    }
    BodySpec {
        name: t.text("name"),
        gravity: t.num("gravity"),
        ambient: t.num("ambient"),
        dust_limit: t.num("dust_limit"),
        dust_peak_limit: t.num_opt("dust_peak_limit"),
        dust_density: t.num("dust_density"),
        dust_shape: t.num("dust_shape"),
        dust_bins,
        dust_airborne: t.num("dust_airborne"),
        abrasion: t.num("abrasion"),
        bioburden_limit: t.num_opt("bioburden_limit"),
    }
}

pub fn campaign(t: &Table) -> CampaignSpec {
    t.provenance();
    CampaignSpec {
        length: t.num("length"),
        day: t.num("day"),
        duty_day: t.num("duty_day"),
        rest_least: t.num("rest_least"),
        eva_week_most: t.num_opt("eva_week_most"),
        reserve: t.num("reserve"),
        wait_at_most: t.num("wait_at_most"),
        shut_in_at_most: t.num("shut_in_at_most"),
        walk_margin: t.num("walk_margin"),
        pressure_rate: t.num("pressure_rate"),
        prebreathe_ratio: t.num("prebreathe_ratio"),
        prebreathe_least: t.num("prebreathe_least"),
        prebreathe_break: t.num("prebreathe_break"),
        mask_oxygen: t.num("mask_oxygen"),
        inspection_every: t.num_opt("inspection_every"),
        inspection_hours: t.num("inspection_hours"),
        inspection_takes: t.num("inspection_takes"),
        bioburden: t.num_opt("bioburden"),
        bioburden_passes: t.num("bioburden_passes"),
    }
}

pub fn crew(t: &Table) -> CrewSpec {
    t.provenance();
    let names = t.texts("names");
    for (i, person) in names.iter().enumerate() {
        name::check(t.ctx, &person.it, person.at);
        if names[..i].iter().any(|other| other.it == person.it) {
            let what = format!("`{}` is on the roster twice", person.it);
            t.ctx.report(Finding::new(&rules::DUPLICATE_NAME, person.at, what));
        }
    }
    CrewSpec {
        names,
        rest: t.num("rest"),
        work: t.num("work"),
        walk: t.num("walk"),
        ride: t.num_opt("ride"),
        with_casualty: t.num("with_casualty"),
        walk_speed: t.num("walk_speed"),
        helped_speed: t.num("helped_speed"),
        stretcher_speed: t.num("stretcher_speed"),
        home: t.text_opt("home"),
        lift: t.num("lift"),
        displaces: t.num("displaces"),
        illness: t.num_opt("illness"),
        illness_lasts: t.num_opt("illness_lasts"),
    }
}

pub fn suit(t: &Table) -> SuitSpec {
    SuitSpec {
        mass: t.num_opt("mass"),
        envelope: t.num_opt("envelope"),
        pressure: t.num("pressure"),
        port_limit: t.num_opt("port_limit"),
        width: t.num("width"),
        gas_volume: t.num("gas_volume"),
        primary: t.num("primary"),
        primary_at: t.num("primary_at"),
        secondary: t.num("secondary"),
        shares_secondary: t.flag("shares_secondary"),
        battery: t.num_opt("battery"),
        oxygen: t.num_opt("oxygen"),
        water: t.num_opt("water"),
        carbon_dioxide: t.num_opt("carbon_dioxide"),
        equipment: t.num("equipment"),
        leak: t.num("leak"),
        purge_flow: t.num("purge_flow"),
        purity: t.num("purity"),
        respiratory_quotient: t.num("respiratory_quotient"),
        recharge_elapsed: t.num("recharge_elapsed"),
        maintenance_every: t.count_opt("maintenance_every"),
        maintenance_takes: t.num_opt("maintenance_takes"),
        maintenance_sheds: t.num("maintenance_sheds"),
        doff_sheds: t.num("doff_sheds"),
        parked_dust: t.num("parked_dust"),
    }
}

pub fn store(t: &Table) -> StoreSpec {
    StoreSpec {
        oxygen: t.num("oxygen"),
        nitrogen: t.num("nitrogen"),
        water: t.num_opt("water"),
        filled_from: t.text_opt("filled_from"),
        resupply: t.tables("resupply", &RESUPPLY, resupply),
    }
}

fn resupply(t: &Table) -> ResupplySpec {
    ResupplySpec {
        day: t.num("at"),
        on_time: t.num("on_time"),
        slip: t.num("slip"),
        oxygen: t.num("oxygen"),
        nitrogen: t.num("nitrogen"),
        water: t.num("water"),
        spares: t
            .entries("spares")
            .iter()
            .map(|entry| {
                let it = entry.key.clone();
                let at = entry.key_at;
                (Spot { it, at }, number_of(t, entry))
            })
            .collect(),
        at: t.at,
    }
}

/// The whole number of an entry.
pub(super) fn number_of(t: &Table, entry: &Entry) -> u32 {
    count(t.ctx, &entry.node, 0, i128::from(u32::MAX))
        .and_then(|n| u32::try_from(n).ok())
        .unwrap_or(0)
}

//! Access files: volumes, openings, pumps, stages, laws and lists.

use super::element::{filter_life, opening};
use super::{laws, row};
use crate::scenario::context::Context;
use crate::scenario::files::File;
use crate::scenario::keys::*;
use crate::scenario::name;
use crate::scenario::number::Wanted;
use crate::scenario::spec::*;
use crate::scenario::table::Table;

pub fn access(ctx: &Context, file: &File) -> Named<AccessSpec> {
    name::check(ctx, &file.stem, file.at);
    let t = Table::open(ctx, &ACCESS, file.at, &file.root);
    let lists = t.table("list", &LIST);
    lists.provenance();
    let list = |name: &str| {
        lists.entry(name).map(|entry| ListSpec { at: entry.key_at, rows: row::rows(&lists, name) })
    };
    Named {
        name: file.stem.clone(),
        at: file.at,
        provenance: t.provenance(),
        it: AccessSpec {
            volumes: t.named("volume", &VOLUME, volume),
            openings: t.named("opening", &OPENING, opening),
            pumps: t.named("pump", &PUMP, pump),
            stages: t.named("stage", &STAGE, stage),
            laws: laws(&t),
            egress: list("egress"),
            ingress: list("ingress"),
            service_in: list("service-in"),
            service_out: list("service-out"),
            service_needs: lists.texts("service-needs"),
            restore: list("restore"),
            dock: list("dock"),
            undock: list("undock"),
            ways_back: lists.named("way_back", &WAY_BACK, way_back),
        },
    }
}

fn volume(t: &Table) -> VolumeSpec {
    VolumeSpec {
        mass: t.num_opt("mass"),
        envelope: t.num_opt("envelope"),
        free: t.num("free"),
        rest: row::target(t, "rest", false).unwrap_or(Spot { it: Target::Cabin, at: t.at }),
        holds: t.count_opt("holds"),
        count: t.count("count"),
        gear: t.num("gear"),
        fed: t.flag("fed"),
        mask: t.flag("mask"),
        filter_flow: t.num("filter_flow"),
        filter_efficiency: t.num("filter_efficiency"),
        filter_life: filter_life(t),
        height: t.num("height"),
        cleaning_every: t.num_opt("cleaning_every"),
        cleaning_removes: t.num("cleaning_removes"),
        cleaning_takes: t.num("cleaning_takes"),
    }
}

fn pump(t: &Table) -> PumpSpec {
    PumpSpec {
        mass: t.num_opt("mass"),
        envelope: t.num_opt("envelope"),
        on: t.text("on"),
        speed: t.num("speed"),
        stop: t.num("stop"),
        recovery: t.num("recovery"),
        to: t.text("to"),
        power: t.num_opt("power"),
        reservoir: t.num("reservoir"),
    }
}

fn stage(t: &Table) -> StageSpec {
    StageSpec {
        mass: t.num_opt("mass"),
        envelope: t.num_opt("envelope"),
        kind: t.word("kind"),
        within: t.text("in"),
        removes: t.bins("removes", Wanted::share(Draw::Unknown), true),
        captures: t.bins("captures", Wanted::share(Draw::Unknown), true),
        gas: t.num("gas"),
        upkeep: t.num("upkeep"),
        serves: t.count_opt("serves"),
    }
}

fn way_back(t: &Table) -> WayBackSpec {
    WayBackSpec {
        from: t.text("from"),
        needs: t.texts("needs"),
        rows: row::rows(t, "rows"),
        after_rows: row::rows(t, "after_rows"),
    }
}

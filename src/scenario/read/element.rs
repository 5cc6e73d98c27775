//! Elements and openings.

use crate::scenario::keys::*;
use crate::scenario::spec::*;
use crate::scenario::table::Table;

pub fn element(t: &Table) -> ElementSpec {
    ElementSpec {
        kind: t.word("kind"),
        volume: t.num("volume"),
        pressure: t.num("pressure"),
        band: t.num("band"),
        oxygen: t.num("oxygen"),
        oxygen_most: t.num_opt("oxygen_most"),
        temperature: t.num("temperature"),
        prebreathe_least: t.num_opt("prebreathe_least"),
        haven_people: t.count("haven_people"),
        haven_days: t.num("haven_days"),
        shelter: t.flag("shelter"),
        tolerates_vacuum: t.flag("tolerates_vacuum"),
        tolerates_dust: t.flag("tolerates_dust"),
        filter_flow: t.num("filter_flow"),
        filter_efficiency: t.num("filter_efficiency"),
        filter_life: filter_life(t),
        height: t.num("height"),
        deposition: t.num("deposition"),
        resuspension: t.num("resuspension"),
        cleaning_every: t.num_opt("cleaning_every"),
        cleaning_removes: t.num("cleaning_removes"),
        cleaning_takes: t.num("cleaning_takes"),
        inside_least: t.count("inside_least"),
        leak: t.num("leak"),
        store: t.text_opt("store"),
        joined: t.text_opt("joined"),
        distance: t.num("distance"),
        speed: t.num_opt("speed"),
        range: t.num_opt("range"),
        picks_up: t.flag("picks_up"),
        ascent: t.flag("ascent"),
        played: t.flag("played"),
        suit_dust: t.num_opt("suit_dust"),
        openings: t.named("opening", &OPENING, opening),
    }
}

pub fn opening(t: &Table) -> OpeningSpec {
    OpeningSpec {
        mass: t.num_opt("mass"),
        envelope: t.num_opt("envelope"),
        seal_length: t.num_opt("seal_length"),
        kind: t.word("kind"),
        between: between(t),
        rest: t.word("rest"),
        count: t.count("count"),
        clear: t.num_opt("clear"),
        leak: t.num("leak"),
        leak_at: t.num_opt("leak_at"),
        diameter: t.num_opt("diameter"),
        discharge: t.num("discharge"),
        air_share: t.num("air_share"),
        floor_share: t.num("floor_share"),
        dust_share: t.num("dust_share"),
        seal_dust: t.num("seal_dust"),
        leak_allowed: t.num_opt("leak_allowed"),
        gap: t.table_opt("gap", &GAP).map(|g| {
            g.provenance();
            GapSpec { length: g.num("length"), height: g.num("height"), path: g.num("path") }
        }),
        cover: t.table_opt("cover", &COVER).map(|c| {
            c.provenance();
            CoverSpec { dust: c.num("dust"), sun: c.num("sun"), at: c.at }
        }),
        make: t.text_opt("make"),
        docking: t.flag("docking"),
        inspection_takes: t.num_opt("inspection_takes"),
    }
}

/// `filter_life` of an element or of a volume.
pub fn filter_life(t: &Table) -> Option<FilterLifeSpec> {
    let f = t.table_opt("filter_life", &FILTER_LIFE)?;
    f.provenance();
    Some(FilterLifeSpec {
        capacity: f.num("capacity"),
        flow_left: f.num("flow_left"),
        efficiency_left: f.num("efficiency_left"),
        change: f.num("change"),
        spare: f.text_opt("spare"),
    })
}

fn between(t: &Table) -> [Spot<String>; 2] {
    let nothing = || Spot { it: String::new(), at: t.at };
    match t.exactly::<2>("between", "a list of two names") {
        Some(nodes) => nodes
            .each_ref()
            .map(|node| Spot { it: t.ctx.text(node).unwrap_or_default(), at: node.at }),
        None => [nothing(), nothing()],
    }
}

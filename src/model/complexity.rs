//! Complexity, counted and not scored: what an architecture has of each kind of part.

use super::arm_compile::ArmBuilder;
use super::{Mode, PartMode};
use crate::check::Single;
use crate::plan::{NONE, Opening};
use crate::scenario::{OpeningKind, StageKind};

/// One count.
#[derive(Clone, Debug)]
pub struct Count {
    /// Port; [`NONE`] for the whole architecture.
    pub port: u16,
    /// What is counted.
    pub item: &'static str,
    /// How many, or how much; `None` where it cannot be said.
    pub count: Option<f64>,
    /// Unit, empty for numbers.
    pub unit: &'static str,
    /// What a reader has to know.
    pub note: String,
}

/// What is counted of each port, in the order of the table.
pub const ITEMS: &[(&str, &str)] = &[
    ("pressure hatches", ""),
    ("suit interfaces", ""),
    ("dust doors", ""),
    ("seals", ""),
    ("seal length", "m"),
    ("moving mechanisms", ""),
    ("pumps", ""),
    ("peak power", "kW"),
    ("dust stages", ""),
    ("pass-throughs", ""),
    ("steps per sortie", ""),
    ("single-point failures", ""),
];

impl ArmBuilder<'_, '_> {
    /// Counts of each port and of all together.
    pub(super) fn complexity(
        &mut self,
        singles: &[Single],
        modes: &[Mode],
        parts: &[PartMode],
    ) -> Vec<Count> {
        let ports = self.l.ports.len() as u16;
        let mut out: Vec<Count> = Vec::new();
        for port in 0..ports {
            out.extend(self.of_port(port, singles));
        }
        let mut all: Vec<Count> = Vec::new();
        for (item, unit) in ITEMS {
            let of: Vec<&Count> = out.iter().filter(|c| c.item == *item).collect();
            // Steps of different ports are not done in one sortie.
            if *item == "steps per sortie" {
                continue;
            }
            let count = of.iter().map(|c| c.count).sum::<Option<f64>>();
            let note = match count {
                None if *item == "peak power" => "not given for every pump".into(),
                None => "not given for every seal".into(),
                Some(_) if *item == "single-point failures" => "added over the ports".into(),
                Some(_) => String::new(),
            };
            all.push(Count { port: NONE, item, count, unit, note });
        }
        let mut spares: Vec<u16> =
            parts.iter().filter_map(|p| modes[p.mode as usize].repair.as_ref()?.spare).collect();
        spares.sort_unstable();
        spares.dedup();
        all.push(Count {
            port: NONE,
            item: "kinds of spares",
            count: Some(spares.len() as f64),
            unit: "",
            note: "that repairs of its parts use".into(),
        });
        out.extend(all);
        out
    }

    fn of_port(&self, port: u16, singles: &[Single]) -> Vec<Count> {
        let l = self.l;
        let p = &l.ports[port as usize];
        let openings: Vec<&Opening> = p.openings.iter().map(|o| &l.openings[*o]).collect();
        let of = |kind: OpeningKind| openings.iter().filter(|o| o.kind == kind).count();
        let sealed: Vec<&&Opening> =
            openings.iter().filter(|o| o.kind != OpeningKind::DustDoor).collect();
        let length = |o: &&&Opening| {
            let spec = &self.access(port).openings[o.spec as usize].it;
            spec.seal_length.and_then(|n| n.law.fixed())
        };
        // A valve has a seat and no seal of a length worth telling.
        let faces = || sealed.iter().filter(|o| o.kind != OpeningKind::Valve);
        let metres: Option<f64> = faces().map(length).sum();
        let without = faces().filter(|o| length(o).is_none()).count();
        let pumps = l.pumps.iter().filter(|x| x.port == port).count();
        let power = |x: &crate::plan::Pump| {
            let spec = &self.access(port).pumps[x.spec as usize].it;
            spec.power.map(|n| n.law.mean())
        };
        let mine = l.pumps.iter().filter(|x| x.port == port);
        let powers: Vec<Option<f64>> = mine.map(power).collect();
        let stages =
            |kind: StageKind| l.stages.iter().filter(|x| x.port == port && x.kind == kind).count();
        let lines = stages(StageKind::Panel) + stages(StageKind::Umbilical);
        let rows = |id: u16| l.lists.get(id as usize).map_or(0, |list| list.rows.len());
        let steps = rows(p.egress) + rows(p.ingress);
        let counts: [(Option<f64>, String); ITEMS.len()] = [
            (whole(of(OpeningKind::PressureHatch)), String::new()),
            (whole(of(OpeningKind::SuitInterface)), String::new()),
            (whole(of(OpeningKind::DustDoor)), String::new()),
            (whole(sealed.len()), "openings that hold pressure, valves included".into()),
            (metres, lacking(without, "seals give no `seal_length`", "")),
            (whole(openings.len() + pumps), "openings of every kind, and pumps".into()),
            (whole(pumps), String::new()),
            (
                powers.iter().copied().sum::<Option<f64>>().map(|w| w / 1000.0),
                lacking(
                    powers.iter().filter(|w| w.is_none()).count(),
                    "pumps give no `power`",
                    "of its pumps, all at once",
                ),
            ),
            (whole(stages(StageKind::Cleaning)), String::new()),
            (
                whole(lines + of(OpeningKind::Valve) + pumps),
                "recharge panels, umbilicals, valves and pumps: lines through a wall".into(),
            ),
            (whole(steps), "rows of going out and coming in".into()),
            (
                whole(singles.iter().filter(|s| s.port == port).count()),
                "single failures given in the file after which the only contingency ingress is \
                to free the part; see findings.csv"
                    .into(),
            ),
        ];
        let named = ITEMS.iter().zip(counts);
        named.map(|((item, unit), (count, note))| Count { port, item, count, unit, note }).collect()
    }
}

/// A note on how many of a kind lack what is counted; another if none does.
fn lacking(n: usize, what: &str, none: &str) -> String {
    if n == 0 { none.into() } else { format!("{n} {what}") }
}

fn whole(n: usize) -> Option<f64> {
    Some(n as f64)
}

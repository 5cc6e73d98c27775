//! What a shard says of itself.

use super::share::{Layout, Share};
use crate::stats::wire::wire_fields;
use crate::stats::{Reader, Wire, WireError};

/// What was played.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Kind {
    /// One campaign file.
    Run,
    /// The points of a sweep.
    Sweep,
}

impl Kind {
    /// As it stands in messages.
    pub fn word(self) -> &'static str {
        match self {
            Kind::Run => "run",
            Kind::Sweep => "sweep",
        }
    }
}

impl Wire for Kind {
    fn put(&self, to: &mut Vec<u8>) {
        u8::from(*self == Kind::Sweep).put(to);
    }
    fn get(from: &mut Reader) -> Result<Kind, WireError> {
        Ok(if bool::get(from)? { Kind::Sweep } else { Kind::Run })
    }
}

/// Everything that shards of one study have in common: what their numbers depend on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Study {
    /// What was played.
    pub kind: Kind,
    /// Version of the program and checksum of its file: other code may give other bits.
    pub build: String,
    /// Scheme of luck.
    pub luck: String,
    /// Fingerprint of all input files.
    pub fingerprint: u64,
    /// Options that change numbers, beside those below; empty: none.
    pub options: String,
    /// What initiating failures were biased by; empty: plain play.
    pub proposal: String,
    /// Seed.
    pub seed: u64,
    /// Campaigns of each point.
    pub campaigns: u64,
    /// Campaigns of each parameter set, in a study with an outer loop.
    pub inner: Option<u64>,
    /// Points of the design; 1 for a run.
    pub points: u64,
    /// Units in all.
    pub units: u64,
    /// Number of shards.
    pub shards: u64,
}

wire_fields!(Study {
    kind,
    build,
    luck,
    fingerprint,
    options,
    proposal,
    seed,
    campaigns,
    inner,
    points,
    units,
    shards,
});

impl Study {
    /// In which it differs from another one: name, own value, the other's.
    pub fn differs(&self, other: &Study) -> Vec<(&'static str, String, String)> {
        let mut out = Vec::new();
        let mut compare = |name, a: String, b: String| {
            if a != b {
                out.push((name, a, b));
            }
        };
        let inner = |s: &Study| s.inner.map_or("no outer loop".to_string(), |i| i.to_string());
        let hex = |s: &Study| format!("{:#018x}", s.fingerprint);
        compare("kind", self.kind.word().into(), other.kind.word().into());
        compare("build", self.build.clone(), other.build.clone());
        compare("scheme of random numbers", self.luck.clone(), other.luck.clone());
        compare("fingerprint of the input", hex(self), hex(other));
        compare("options", self.options.clone(), other.options.clone());
        compare("proposal", self.proposal.clone(), other.proposal.clone());
        compare("seed", self.seed.to_string(), other.seed.to_string());
        compare("campaigns", self.campaigns.to_string(), other.campaigns.to_string());
        compare("inner", inner(self), inner(other));
        compare("points", self.points.to_string(), other.points.to_string());
        compare("units", self.units.to_string(), other.units.to_string());
        compare("number of shards", self.shards.to_string(), other.shards.to_string());
        out
    }

    /// Does it have the units of a layout?
    pub fn suits(&self, layout: &Layout) -> bool {
        self.points == layout.points && self.units == layout.units()
    }
}

/// The head of a shard file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Header {
    /// The study that it is a part of.
    pub study: Study,
    /// Which part.
    pub k: u64,
    /// First unit, and the unit behind the last.
    pub units: (u64, u64),
    /// Where its input file lay: for people, no part of what it is.
    pub origin: String,
}

wire_fields!(Header { study, k, units, origin });

impl Header {
    /// Of one share of a study.
    pub fn new(study: &Study, share: Share, origin: &str) -> Header {
        let units = share.units(study.units);
        let study = Study { shards: share.n, ..study.clone() };
        Header { study, k: share.k, units: (units.start, units.end), origin: origin.into() }
    }

    /// Which share it is; `None` if it cannot be one, or has other units than that share.
    pub fn share(&self) -> Option<Share> {
        let share = Share { k: self.k, n: self.study.shards };
        let units = (share.k < share.n).then(|| share.units(self.study.units))?;
        ((units.start, units.end) == self.units).then_some(share)
    }
}

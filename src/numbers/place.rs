//! Places: elements, volumes and the openings between them.

use crate::model::{ElementPlay, Model, OpeningPlay, P, VolumePlay};
use crate::physics::gas;
use crate::physics::gas::vent::Orifice;

/// An element.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Element {
    /// Protocol minimum of a prebreathe in it, s.
    pub prebreathe_least: f64,
    /// Days it keeps people alive as a haven.
    pub haven_days: f64,
    /// Distance from the base, m.
    pub distance: f64,
    /// Speed, m/s, of what drives.
    pub speed: Option<f64>,
    /// Range, m; infinite where none is given.
    pub range: f64,
    /// Share of the floor's dust that a cleaning removes.
    pub cleaning_removes: f64,
    /// Time between cleanings, s.
    pub cleaning_every: Option<f64>,
}

impl Element {
    pub(super) fn of(x: &ElementPlay, v: &[f64]) -> Element {
        let of = |p: P| p.of(v);
        Element {
            prebreathe_least: of(x.prebreathe_least),
            haven_days: of(x.haven_days),
            distance: of(x.distance),
            speed: x.speed.map(of),
            range: x.range.map_or(f64::INFINITY, of),
            cleaning_removes: of(x.cleaning_removes),
            cleaning_every: x.cleaning_every.map(of),
        }
    }
}

/// A volume; outside, all is 0.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Volume {
    /// Gas volume with nobody and nothing in it, m3.
    pub gas: f64,
    /// What is stowed in it displaces, m3.
    pub gear: f64,
    /// What a person in it displaces, m3: nothing in the gap of a berth, where nobody stands.
    pub person: f64,
    /// Temperature, K.
    pub temperature: f64,
}

impl Volume {
    pub(super) fn of(m: &Model, x: &VolumePlay, v: &[f64]) -> Volume {
        let of = |p: P| p.of(v);
        let displaced = |p: P| if x.gap { 0.0 } else { of(p) };
        Volume {
            gas: of(x.gas),
            gear: displaced(x.gear),
            person: displaced(m.crew.displaces),
            temperature: of(x.temperature),
        }
    }

    /// Free gas volume with so many persons in it, m3.
    #[inline]
    pub fn free(&self, persons: u32) -> f64 {
        gas::free_volume(self.gas, persons, self.person, self.gear)
    }
}

/// An opening.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Opening {
    /// Share of the air of the smaller side that crosses.
    pub air_share: f64,
    /// Share of the outer floor's dust that is tracked in.
    pub floor_share: f64,
    /// Share of a suit's dust that a berth's interface passes.
    pub dust_share: f64,
    /// Dust that a closing leaves on the seal, kg/m2.
    pub seal_dust: f64,
    /// What reaches a suit parked here: share of the dust.
    pub cover_dust: f64,
    /// The same: factor of failures by the calendar.
    pub cover_sun: f64,
    /// Hole of a valve.
    pub orifice: Option<Orifice>,
}

impl Opening {
    pub(super) fn of(x: &OpeningPlay, v: &[f64]) -> Opening {
        let of = |p: P| p.of(v);
        Opening {
            air_share: of(x.air_share),
            floor_share: of(x.floor_share),
            dust_share: of(x.dust_share),
            seal_dust: of(x.seal_dust),
            cover_dust: of(x.cover_dust),
            cover_sun: of(x.cover_sun),
            orifice: x.diameter.map(|d| Orifice::round(of(d), of(x.discharge))),
        }
    }
}

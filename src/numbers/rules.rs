//! Numbers of the campaign and of the body it is on.

use crate::model::{Model, P};

/// Rules of the campaign.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
#[allow(missing_docs)] // named as the keys of `CampaignSpec`
pub struct Rules {
    pub duty_day: f64,
    pub rest_least: f64,
    /// Infinite where none is given.
    pub eva_week_most: f64,
    pub reserve: f64,
    pub wait_at_most: f64,
    pub shut_in_at_most: f64,
    pub walk_margin: f64,
    pub pressure_rate: f64,
    pub prebreathe_ratio: f64,
    pub prebreathe_break: f64,
    pub mask_oxygen: f64,
    pub inspection_every: Option<f64>,
}

impl Rules {
    pub(super) fn of(m: &Model, v: &[f64]) -> Rules {
        let (of, x) = (|p: P| p.of(v), &m.rules);
        Rules {
            duty_day: of(x.duty_day),
            rest_least: of(x.rest_least),
            eva_week_most: x.eva_week_most.map_or(f64::INFINITY, of),
            reserve: of(x.reserve),
            wait_at_most: of(x.wait_at_most),
            shut_in_at_most: of(x.shut_in_at_most),
            walk_margin: of(x.walk_margin),
            pressure_rate: of(x.pressure_rate),
            prebreathe_ratio: of(x.prebreathe_ratio),
            prebreathe_break: of(x.prebreathe_break),
            mask_oxygen: of(x.mask_oxygen),
            inspection_every: x.inspection_every.map(of),
        }
    }
}

/// The body: its dust.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Body {
    /// Shares of dust by bin.
    pub dust_bins: [f64; 4],
    /// Share of arriving dust that is airborne at first.
    pub dust_airborne: f64,
}

impl Body {
    pub(super) fn of(m: &Model, v: &[f64]) -> Body {
        Body {
            dust_bins: m.body.dust_bins.map(|p| p.of(v)),
            dust_airborne: m.body.dust_airborne.of(v),
        }
    }
}

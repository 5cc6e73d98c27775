//! Conditions as text become conditions with indices.

use super::resolve::{Resolver, opening, volume};
use super::*;
use crate::scenario::*;

impl Resolver<'_, '_> {
    pub(super) fn condition(&mut self, text: &Spot<String>) -> Option<Asked> {
        let (not, bare) = match text.it.strip_prefix("not ") {
            Some(rest) => (true, rest.trim_start()),
            None => (false, text.it.as_str()),
        };
        let found = self.parse_condition(bare).map(|condition| Asked { not, condition });
        if found.is_none() {
            let what = format!("no condition reads `{}`", text.it);
            let all: Vec<&str> = CONDITIONS.iter().map(|c| c.0).collect();
            self.say("condition", text.at, what, format!("write one of: {}", all.join("; ")));
        }
        found
    }

    /// A condition of one row; `in time` is asked of whole ways back.
    pub(super) fn row_condition(&mut self, text: &Spot<String>) -> Option<Asked> {
        let asked = self.condition(text)?;
        if asked.condition == Condition::InTime {
            let what = format!("`{}` is asked of a row", text.it);
            self.say("condition", text.at, what, "ask it in the `needs` of the list");
            return None;
        }
        Some(asked)
    }

    pub(super) fn parse_condition(&self, t: &str) -> Option<Condition> {
        let fixed = match t {
            "anyone inside" => Some(Condition::AnyoneInside),
            "helper inside" => Some(Condition::HelperInside),
            "rescuers inside" => Some(Condition::RescuersInside),
            "suit for everyone inside" => Some(Condition::SuitForEveryoneInside),
            "umbilical for everyone" => Some(Condition::UmbilicalForEveryone),
            "port free" => Some(Condition::PortFree),
            "berth free" => Some(Condition::BerthFree),
            "berth empty" => Some(Condition::BerthEmpty),
            "berth intact" => Some(Condition::BerthIntact),
            "two berths free" => Some(Condition::TwoBerthsFree),
            "port fits suit" => Some(Condition::PortFitsSuit),
            "rover drives" => Some(Condition::RoverDrives),
            "rover manned" => Some(Condition::RoverManned),
            "rover remote" => Some(Condition::RoverRemote),
            "casualty" => Some(Condition::Casualty),
            "no casualty" => Some(Condition::NoCasualty),
            "daylight" => Some(Condition::Daylight),
            "ascent vehicle" => Some(Condition::AscentVehicle),
            "in time" => Some(Condition::InTime),
            _ => None,
        };
        fixed.or_else(|| self.named_condition(t))
    }

    pub(super) fn named_condition(&self, t: &str) -> Option<Condition> {
        let vol = |n: &str| volume(self.l, self.port, n);
        let element = |n: &str| match n {
            "cabin" => Some(self.l.ports[self.port as usize].element),
            n => self.l.element(n.strip_suffix(".cabin").unwrap_or(n)),
        };
        if let Some(n) = t.strip_suffix(" tolerates vacuum") {
            return element(n).map(Condition::ToleratesVacuum);
        }
        if let Some(n) = t.strip_prefix("nobody in ") {
            return vol(n).map(|v| Condition::NobodyIn(v.0));
        }
        if let Some(n) = t.strip_prefix("gas covers ") {
            let mut ids = n.split(" and ").map(vol);
            let first = ids.next()??.0;
            return match ids.next() {
                None => Some(Condition::GasCovers([first, VolumeId::NONE], 1)),
                Some(second) => Some(Condition::GasCovers([first, second?.0], 2)),
            };
        }
        if let Some(n) = t.strip_suffix(" clears suit") {
            return opening(self.l, self.port, n).map(|o| Condition::ClearsSuit(o.0));
        }
        if let Some(n) = t.strip_suffix(" in reach") {
            return element(n).map(Condition::InReach);
        }
        if let Some(n) = t.strip_prefix("room at ") {
            return element(n).map(Condition::RoomAt);
        }
        if let Some(n) = t.strip_suffix(" opens") {
            return opening(self.l, self.port, n).map(|(o, k)| Condition::Opens(o, k));
        }
        if let Some(n) = t.strip_suffix(" leaks") {
            return opening(self.l, self.port, n).map(|(o, k)| Condition::Leaks(o, k));
        }
        if let Some(n) = t.strip_suffix(" dirty") {
            return opening(self.l, self.port, n).map(|(o, k)| Condition::Dirty(o, k));
        }
        if let Some(n) = t.strip_suffix(" stuck") {
            return match opening(self.l, self.port, n) {
                Some((o, k)) => Some(Condition::OpeningStuck(o, k)),
                None => vol(n).map(|v| Condition::VolumeStuck(v.0)),
            };
        }
        let n = t.strip_suffix(" intact")?;
        if let Some((o, k)) = opening(self.l, self.port, n) {
            return Some(Condition::OpeningIntact(o, k));
        }
        match self.l.element(n) {
            Some(e) => Some(Condition::ElementIntact(e)),
            None => vol(n).map(|v| Condition::VolumeIntact(v.0)),
        }
    }
}

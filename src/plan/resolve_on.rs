//! What a row acts on: names of parts become indices.

use super::resolve::{Resolver, opening, volume};
use super::*;
use crate::scenario::*;

impl Resolver<'_, '_> {
    pub(super) fn on(&mut self, s: &StepSpec, at: At) -> Option<On> {
        use Action::*;
        let names: Vec<&str> = s.on.iter().map(|n| n.it.as_str()).collect();
        let here = s.on.first().map_or(at, |n| n.at);
        let found = match s.action.it {
            Prepare | Wait => Some(On::Nothing),
            Open | Close | Pass => self.one_opening(&names),
            Mate | Unmate => self.one_interface(&names),
            // From a mask: nothing of the port is used.
            Prebreathe if names == ["mask"] => Some(On::Nothing),
            Don | Doff | SuitUp | Purge | Prebreathe => {
                if names.is_empty() || names == ["suit"] || self.kind(s) != NONE {
                    Some(On::Suit)
                } else {
                    self.one_interface(&names)
                }
            }
            Depress | Vent | Repress => self.volumes(&names),
            LeakCheck => self.volumes(&names).or_else(|| self.one_opening(&names)),
            Clean => self.stage(&names).or_else(|| self.one_opening(&names)),
            Recharge => {
                if names == ["suit"] {
                    Some(On::Suit)
                } else {
                    self.stage(&names)
                }
            }
            Travel => names.first().and_then(|n| self.element_or_ascent(n)),
        };
        if found.is_none() {
            let what =
                format!("`{}` cannot act on `{}` here", s.action.it.word(), names.join(", "));
            self.say("row-on", here, what, remedy_on(s.action.it));
        }
        found
    }

    /// The kind of suit that a row puts people in by name; [`NONE`] if it names none.
    pub(super) fn kind(&self, s: &StepSpec) -> u16 {
        let puts_on = matches!(s.action.it, Action::Don | Action::SuitUp);
        let named = |k: &Named<SuitSpec>| puts_on && s.on.iter().any(|n| n.it == k.name);
        self.suits.iter().position(named).map_or(NONE, |k| k as u16)
    }

    pub(super) fn element_or_ascent(&self, name: &str) -> Option<On> {
        if name == "ascent" {
            return self.l.elements.iter().position(|e| e.ascent).map(|e| On::Element(e as u16));
        }
        if name == "cabin" {
            return Some(On::Element(self.l.ports[self.port as usize].element));
        }
        self.l.element(name).map(On::Element)
    }

    pub(super) fn one_opening(&self, names: &[&str]) -> Option<On> {
        let [name] = names else { return None };
        opening(self.l, self.port, name).map(|(o, n)| On::Opening(o, n))
    }

    pub(super) fn one_interface(&self, names: &[&str]) -> Option<On> {
        let on = self.one_opening(names)?;
        let On::Opening(o, _) = on else { return None };
        (self.l.openings[o].kind == OpeningKind::SuitInterface).then_some(on)
    }

    pub(super) fn stage(&self, names: &[&str]) -> Option<On> {
        let [name] = names else { return None };
        let found = |p: u16, n: &str| self.l.stages.iter().position(|s| s.port == p && s.name == n);
        found(self.port, name).map(|s| On::Stage(s as u16))
    }

    pub(super) fn volumes(&self, names: &[&str]) -> Option<On> {
        if names == ["suit"] {
            return Some(On::Suit);
        }
        let ids: Option<Vec<(VolumeId, u8)>> =
            names.iter().map(|n| volume(self.l, self.port, n)).collect();
        match ids?.as_slice() {
            [] => None,
            [(v, 1)] if *v != OUTSIDE => Some(On::Volumes([*v, VolumeId::NONE, VolumeId::NONE], 1)),
            [(v, n)] if *v != OUTSIDE => Some(On::BerthVolume(*v, *n)),
            many if many.len() <= 3 && many.iter().all(|(v, n)| *n == 1 && *v != OUTSIDE) => {
                let mut out = [VolumeId::NONE; 3];
                for (slot, (v, _)) in out.iter_mut().zip(many) {
                    *slot = *v;
                }
                Some(On::Volumes(out, many.len() as u8))
            }
            _ => None,
        }
    }
}

fn remedy_on(action: Action) -> &'static str {
    use Action::*;
    match action {
        Open | Close | Pass => {
            "name an opening of this file or of the host element, or `element.opening`"
        }
        Mate | Unmate | Don | Doff | SuitUp | Purge | Prebreathe => {
            "write `suit` or a suit interface of this file (or `mask` for prebreathe)"
        }
        Depress | Vent | Repress => "name up to three volumes, or `suit`",
        LeakCheck => "write `suit`, a volume or an opening",
        Clean => "name a stage of this file, or an opening whose seal is cleaned",
        Recharge => "name a stage of this file or `suit`",
        Travel => "name an element, `cabin` (the host element), or `ascent`",
        Prepare | Wait => "name anything of this port",
    }
}

//! Suits and the berths they hang at.

use super::*;

impl Builder<'_> {
    /// Finds the berths: interface between a gap and an outer volume, hatches on the gap.
    pub(super) fn berths(&mut self) {
        for p in 0..self.out.ports.len() {
            let own = self.out.ports[p].openings.clone();
            let of = |out: &Layout, kind| -> Vec<OpeningId> {
                own.iter().copied().filter(|o| out.openings[*o].kind == kind).collect()
            };
            for (k, interface) in of(&self.out, OpeningKind::SuitInterface).into_iter().enumerate()
            {
                match self.berth(p as u16, interface, k as u16, &own) {
                    Some(berth) => {
                        let id = BerthId::new(self.out.berths.len());
                        let hatch = berth.suit_hatch;
                        for side in &mut self.out.openings[hatch].sides {
                            if matches!(side, Side::Suit(_)) {
                                *side = Side::Suit(id);
                            }
                        }
                        self.out.ports[p].berths.push(id);
                        self.out.volumes[berth.outer].berths.push(id);
                        self.out.berths.push(berth);
                    }
                    None => {
                        let o = &self.out.openings[interface];
                        let (at, what) = (
                            o.at,
                            format!("`{}` has no gap with a port hatch and a suit hatch", o.path),
                        );
                        self.say("berth", at, what, "give it a gap volume, a hatch from the wall into the gap and a hatch between the gap and `suit`, all with the same count");
                    }
                }
            }
        }
    }

    pub(super) fn berth(
        &self,
        port: u16,
        interface: OpeningId,
        k: u16,
        own: &[OpeningId],
    ) -> Option<Berth> {
        let o = &self.out.openings;
        let [Side::Volume(gap), Side::Volume(outer)] = o[interface].sides else {
            return None;
        };
        let of_gap = |x: &&OpeningId| {
            let s = o[**x].sides;
            **x != interface && s.contains(&Side::Volume(gap))
        };
        let to_suit = |x: &&OpeningId| o[**x].sides.contains(&Side::Suit(BerthId::new(k as usize)));
        let hatch = |x: &&OpeningId| o[**x].kind == OpeningKind::PressureHatch;
        let suit_hatch = *own.iter().filter(of_gap).find(to_suit)?;
        let port_hatch = *own.iter().filter(of_gap).filter(hatch).find(|x| **x != suit_hatch)?;
        let cabin = self.out.across(port_hatch, gap)?;
        let rank = self.out.ports[port as usize].berths.len() as u16;
        Some(Berth { port, interface, gap, port_hatch, suit_hatch, cabin, outer, rank })
    }

    pub(super) fn suits(&mut self) {
        for s in &self.spec.suits {
            let Some(kind) = self.scenario.suits.iter().position(|k| k.name == s.suit.it) else {
                let known = names(self.scenario.suits.iter().map(|k| &k.name));
                self.say("unknown-name", s.suit.at, format!("no suit `{}`", s.suit.it), known);
                continue;
            };
            let Some(places) = self.suit_places(&s.place.it, s.count.it) else {
                let what =
                    format!("suits cannot be kept at `{}` ({} of them)", s.place.it, s.count.it);
                self.say(
                    "suit-place",
                    s.place.at,
                    what,
                    "write a port with that many berths, `PORT.VOLUME` or `ELEMENT.cabin`",
                );
                continue;
            };
            for (k, home) in places.into_iter().enumerate() {
                self.out.suits.push(Suit {
                    path: instance(&format!("suit/{}", s.suit.it), &s.place.it, k as u32),
                    kind: kind as u16,
                    home,
                    working: self.scenario.suits[kind].it.pressure.law.mean(),
                    rank: 0,
                });
            }
        }
    }

    pub(super) fn suit_places(&self, text: &str, count: u32) -> Option<Vec<Kept>> {
        let out = &self.out;
        if let Some(p) = out.port(text) {
            let taken = |b: &&BerthId| !out.suits.iter().any(|s| s.home == Kept::Berth(**b));
            let free: Vec<Kept> = out.ports[p as usize]
                .berths
                .iter()
                .filter(taken)
                .map(|b| Kept::Berth(*b))
                .collect();
            return (free.len() >= count as usize && count > 0)
                .then(|| free[..count as usize].to_vec());
        }
        let volume = match text.split_once('.') {
            Some((element, "cabin")) => {
                out.element(element).map(|e| out.elements[e as usize].cabin)
            }
            Some((port, name)) => {
                out.port(port).and_then(|p| resolve::volume(out, p, name)).map(|v| v.0)
            }
            None => out.element(text).map(|e| out.elements[e as usize].cabin),
        };
        volume.map(|v| vec![Kept::Volume(v); count as usize])
    }
}

//! A port is made ready before a way back or the next batch (rule 4).

use crate::campaign::world::World;
use crate::plan::NONE;

impl World<'_> {
    /// Makes the port ready (rule 4) and enters the list.
    pub(in crate::campaign) fn enter_ready(&mut self, k: usize, list: u16) {
        let ready = self.arm.lists[list as usize].ready;
        let port = self.arm.layout.lists[list as usize].port;
        let egress = self.arm.layout.ports[port as usize].egress;
        if ready.is_none() || egress == NONE || self.places.pressure(ready) <= self.vacuum() {
            return self.enter_list(k, list, 0);
        }
        self.enter_list(k, egress, 0);
        self.teams[k].leg.then = list;
    }

    /// While a port is made ready: once the chamber is empty the list itself begins.
    pub(in crate::campaign) fn ready_so_far(&mut self, k: usize) {
        let list = self.teams[k].leg.then;
        if self.teams[k].leg.shuts.is_some() {
            return self.shut_so_far(k, list);
        }
        let ready = self.arm.lists[list as usize].ready;
        if self.places.pressure(ready) <= self.vacuum() {
            self.now = self.teams[k].leg.t;
            self.teams[k].leg.then = NONE;
            self.enter_list(k, list, 0);
        }
    }

    /// The egress rows did not empty the chamber: the list is not open.
    pub(in crate::campaign) fn ready_done(&mut self, k: usize) {
        self.strand(k);
    }
}

//! Cause before consequence: what is missing only because something else is misspelt is no error of
//! its own.

use crate::plan::Complaint;
use crate::scenario::{ArchitectureSpec, Scenario};

/// The complaints about an architecture without those that follow from others of them: a port whose
/// access file is not known has no ways back to name and no place to keep suits at.
pub(super) fn causes(spec: &ArchitectureSpec, complaints: Vec<Complaint>) -> Vec<Complaint> {
    let unknown = |name: &str| {
        let port = spec.ports.iter().find(|p| p.name == name);
        port.is_some_and(|p| complaints.iter().any(|c| c.at == p.it.access.at))
    };
    let any = spec.ports.iter().any(|p| unknown(&p.name));
    let port_of = |name: &str| name.split('.').next().unwrap_or_default().to_string();
    let follows = |c: &Complaint| {
        let way = c.rule == "unknown-name" && spec.ways_back.iter().any(|w| w.at == c.at);
        let kept = |p: &crate::scenario::SuitPlaceSpec| {
            p.place.at == c.at && unknown(&port_of(&p.place.it))
        };
        any && way || spec.suits.iter().any(kept)
    };
    let keep: Vec<bool> = complaints.iter().map(|c| !follows(c)).collect();
    let mut keep = keep.into_iter();
    complaints.into_iter().filter(|_| keep.next().unwrap_or(true)).collect()
}

/// Does a port name an access file that is not there? Then nothing is said of files that no port has.
pub(super) fn access_unknown(s: &Scenario) -> bool {
    let known = |name: &str| s.access.iter().any(|a| a.name == name);
    let mut ports = s.architectures.iter().flat_map(|a| &a.it.ports);
    ports.any(|p| !known(&p.it.access.it))
}

//! What a team is for: sorties, service, repairs, crossing between elements, going out to help.

pub(in crate::campaign) mod at_rest;
pub(in crate::campaign) mod batch;
pub(in crate::campaign) mod docking;
pub(in crate::campaign) mod driving;
pub(in crate::campaign) mod given_up;
pub(in crate::campaign) mod hits;
pub(in crate::campaign) mod hold;
pub(in crate::campaign) mod home;
pub(in crate::campaign) mod hours;
pub(in crate::campaign) mod outdoors;
pub(in crate::campaign) mod repair;
pub(in crate::campaign) mod rescue;
pub(in crate::campaign) mod return_walk;
pub(in crate::campaign) mod rover_sent;
pub(in crate::campaign) mod service;
pub(in crate::campaign) mod slots;
pub(in crate::campaign) mod sortie;
pub(in crate::campaign) mod spares;
pub(in crate::campaign) mod suit_errand;
pub(in crate::campaign) mod suits_left;
pub(in crate::campaign) mod traverse;
pub(in crate::campaign) mod turn;
pub(in crate::campaign) mod why;

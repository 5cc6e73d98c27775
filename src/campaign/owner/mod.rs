//! Owners: each keeps one kind of book of a campaign, with fields of its own and verbs in the words of
//! the trade.

pub mod doorstep;
pub(in crate::campaign) mod drawn;
pub(in crate::campaign) mod duty;
pub mod exposure;
pub(in crate::campaign) mod faults;
pub(in crate::campaign) mod filters;
pub mod gas;
pub(in crate::campaign) mod jobs;
pub mod leaks;
pub(in crate::campaign) mod metabolic;
pub(in crate::campaign) mod parked;
pub mod parts;
pub mod person;
pub(in crate::campaign) mod ports;
pub mod room_law;
pub mod rooms;
pub(in crate::campaign) mod rovers;
pub mod seals;
pub(in crate::campaign) mod sky;
pub mod suits;
pub mod team;

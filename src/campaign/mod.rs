//! One history.

pub mod exposure;
pub mod room_law;
pub mod rooms;

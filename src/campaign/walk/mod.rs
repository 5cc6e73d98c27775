//! A team walks rows: who does a row, how long it takes, what it asks, what it changes.

pub(in crate::campaign) mod books;
pub(in crate::campaign) mod breath;
pub(in crate::campaign) mod conditions;
pub(in crate::campaign) mod dusty;
pub(in crate::campaign) mod failed;
pub(in crate::campaign) mod hazard;
pub(in crate::campaign) mod row_time;
pub(in crate::campaign) mod rows;
pub(in crate::campaign) mod skip;
pub(in crate::campaign) mod strike;
pub(in crate::campaign) mod tried;
pub(in crate::campaign) mod unfed;
pub(in crate::campaign) mod who;

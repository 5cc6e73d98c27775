//! Getting back in when the planned list does not work: demands and their clocks, ways back, waiting.

pub(in crate::campaign) mod demand;
pub(in crate::campaign) mod demands_open;
pub(in crate::campaign) mod haven_over;
pub(in crate::campaign) mod on_the_way;
pub(in crate::campaign) mod openness;
pub(in crate::campaign) mod ready;
pub(in crate::campaign) mod reckon;
pub(in crate::campaign) mod shelter;
pub(in crate::campaign) mod shut_in;
pub(in crate::campaign) mod starts;
pub(in crate::campaign) mod together;
pub(in crate::campaign) mod trouble;
pub(in crate::campaign) mod waiting;

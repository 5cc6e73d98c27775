//! One history.

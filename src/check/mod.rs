//! Is it coherent: every finding at once.

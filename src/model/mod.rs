//! What it means: immutable dense tables.

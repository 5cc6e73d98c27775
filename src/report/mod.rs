//! What the reader sees.

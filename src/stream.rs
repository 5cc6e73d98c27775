//! Random numbers by address: (seed, campaign, path, occasion, purpose).

//! Everything Sorrel computes. No I/O, no clock, no randomness, no browser: they come in as arguments.

//! Equilibrium of the water: plain numbers in, plain numbers out; no files, no ranges.

//! What a press expert would ask of the separation.

mod brute_force;
mod gamut;
mod refusals;
mod rendered;
mod round_trip;
mod smoothness;
mod steps;
mod stored;
mod support;

//! What a press expert would ask of the separation.

mod gamut;
mod refusals;
mod round_trip;
mod smoothness;
mod stored;
mod support;

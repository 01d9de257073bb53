//! Long proofs and speed measurements.
fn main() {}

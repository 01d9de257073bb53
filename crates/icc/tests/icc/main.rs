//! Source profiles and transforms against published numbers, hand-made profiles and damage.
#![cfg(test)]

mod assumed_cmyk;
mod damage;
mod intents;
mod made_profiles;
mod output_profiles;
mod refusals;
mod sharing;
mod srgb;
mod srgb_oracle;

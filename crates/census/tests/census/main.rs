//! Rules that hold for every census: accuracy, sameness, delivery of rows, preview, stored form.
#![cfg(test)]
#![expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "samples of invented pictures are clamped before they are cast"
)]

mod accuracy;
mod delivery;
mod inks;
mod pictures;
mod preview;
mod sameness;
mod separation_with_kinks;
mod stored_form;

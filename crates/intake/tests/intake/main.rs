//! Files made here and the shared test pictures, against what they were made from and against
//! independent decoders.

#![expect(
    clippy::unwrap_used,
    clippy::cast_possible_truncation,
    reason = "tests' own functions may panic as tests do"
)]

mod accepted_damage;
mod cmyk;
mod damage;
mod encoders;
mod format_table;
mod hostile;
mod jpeg;
mod limits;
mod pages;
mod png;
mod side_by_side;
mod support;
mod testimages;
mod tiff;
mod tiff_writer;

//! What the encoders write, read again by independent decoders.

#![expect(clippy::unwrap_used, reason = "tests' own functions may panic as tests do")]

mod png_files;
mod refusals;
mod tiff_files;

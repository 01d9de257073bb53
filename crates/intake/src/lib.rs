//! Image files in, bands of rows out.
//!
//! [`open`] takes the bytes of a file from whoever opened it, tells its format from its content,
//! and gives a [`Picture`]: size, layout, orientation, resolution and profile as the file states
//! them, a hash of the whole file, [`Notice`]s, and the rows, which are decoded while they are
//! asked for.
//!
//! | format | read | refused by name |
//! |---|---|---|
//! | JPEG | baseline and progressive, gray, YCbCr and RGB | CMYK, 12 bits, lossless, hierarchical, arithmetic |
//! | PNG | everything; palettes and 1, 2, 4 bits are widened to 8 | – |
//! | TIFF | gray, RGB, palette in 1, 2, 4, 8 or 16 bits; strips, tiles, planes; raw, PackBits, LZW, deflate; both byte orders, 64-bit form | CMYK, Lab, YCbCr, floating point, JPEG and fax inside, camera raw |
//!
//! A file that ends early, contradicts itself or claims more than its bytes can hold is an
//! [`IntakeError`], never a picture that is partly gray. Sizes are checked against [`Limits`]
//! before anything is allocated for them.
//!
//! Deliberately absent: opening paths, applying orientation, interpreting profiles, inks.
//!
//! ```
//! use inkfathom_intake::{FileFormat, Limits, open};
//! use std::io::Cursor;
//!
//! let mut file = Vec::new();
//! let mut encoder = png::Encoder::new(&mut file, 2, 1);
//! encoder.set_color(png::ColorType::Rgb);
//! encoder.write_header()?.write_image_data(&[255, 255, 255, 0, 90, 160])?;
//!
//! let mut picture = open(Cursor::new(file), &Limits::default())?;
//! assert_eq!(picture.file_format, FileFormat::Png);
//! assert_eq!(picture.format.pixels(), 2);
//! while let Some(band) = picture.rows.next_band()? {
//!     assert_eq!(band.rows, 1);
//! }
//! # Ok::<(), Box<dyn std::error::Error>>(())
//! ```

mod bands;
mod bytes;
mod content_hash;
mod error;
mod exif;
mod file_format;
mod jpeg;
mod limits;
mod notice;
mod picture;
mod png;
mod resolution;
mod tags;
mod tiff;

pub use bytes::Bytes;
pub use content_hash::ContentHash;
pub use error::IntakeError;
pub use file_format::FileFormat;
pub use jpeg::jpeg_decoder_is_accelerated;
pub use limits::Limits;
pub use notice::Notice;
pub use picture::{Picture, Rows, open};
pub use resolution::{Resolution, ResolutionSource};

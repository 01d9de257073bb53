//! Image files in, bands of rows out.
//!
//! [`open`] takes the bytes of a file from whoever opened it, tells its format from its content,
//! and gives a [`Picture`]: size, layout, orientation, resolution and profile as the file states
//! them, a hash of the whole file, [`Notice`]s, and the rows, which are decoded while they are
//! asked for.
//!
//! | format | read | refused by name |
//! |---|---|---|
//! | JPEG | baseline, progressive, arithmetic; gray, YCbCr, RGB, CMYK, YCCK | 12 bits, lossless, hierarchical |
//! | PNG | everything; palettes and 1, 2, 4 bits are widened to 8 | – |
//! | TIFF | gray, RGB, palette, YCbCr, CMYK, CIELAB in 1 to 16 bits; 32 bits and floating point, narrowed to 16; strips, tiles, planes; raw, PackBits, LZW, deflate, Zstandard, JPEG, fax; both byte orders, 64-bit form, pages | other inks, old-style JPEG, JPEG 2000, LZMA, camera raw |
//! | WebP, GIF, BMP | as the `image` library reads them, whole | – |
//! | PNM | PBM, PGM, PPM, PAM | – |
//! | PDF | pages drawn in RGB, in bands | passwords, fonts and pictures that can't be drawn |
//! | SVG | drawn in RGB, in bands | text, links, scripts |
//!
//! A file that ends early, contradicts itself or claims more than its bytes can hold is an
//! [`IntakeError`], never a picture that is partly gray. Sizes are checked against [`Limits`]
//! before anything is allocated for them.
//!
//! [`open_as`] takes choices: the page, how CMYK of JPEG is taken, whether damage is accepted, at
//! which resolution pages are drawn.
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
mod drawn_rows;
mod error;
mod exif;
mod file_format;
mod guarded;
mod held_rows;
mod jpeg;
mod limits;
mod notice;
mod opening;
mod pdf;
mod picture;
mod png;
mod pnm;
mod resolution;
mod svg;
mod tags;
mod tiff;
mod tolerant;
mod whole;

pub use bytes::Bytes;
pub use content_hash::ContentHash;
pub use error::IntakeError;
pub use file_format::FileFormat;
pub use guarded::panic_is_caught;
pub use jpeg::jpeg_decoder_is_accelerated;
pub use limits::Limits;
pub use notice::Notice;
pub use opening::{Opening, PageBox, Polarity};
pub use picture::{Picture, Rows, open, open_as};
pub use resolution::{Resolution, ResolutionSource};

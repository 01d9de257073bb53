//! Rows of pixels in, picture files out.
//!
//! Two encoders write to whatever takes bytes, a row at a time, so that memory doesn't grow with
//! the picture: [`PngPicture`] for what a screen shows, and [`TiffPicture`] for what a printer
//! takes, with up to fifteen ink channels or CIELAB.
//!
//! ```
//! use std::io::Cursor;
//!
//! use colour::{BitDepth, Orientation};
//! use inkfathom_picture_files::{Row, TiffColour, TiffPicture};
//!
//! let inks = ["cyan", "magenta", "yellow", "black", "orange"];
//! let picture = TiffPicture {
//!     width: 2,
//!     height: 1,
//!     colour: TiffColour::Inks(&inks),
//!     depth: BitDepth::Eight,
//!     orientation: Orientation::Upright,
//!     resolution: None,
//!     profile: None,
//! };
//! let mut rows = picture.start(Cursor::new(Vec::new()))?;
//! rows.write_row(Row::Eight(&[0, 0, 0, 0, 0, 255, 0, 0, 0, 128]))?;
//! let file = rows.finish()?.into_inner();
//! assert!(file.starts_with(b"II*\0"));
//! # Ok::<(), inkfathom_picture_files::PictureFileError>(())
//! ```
//!
//! Deliberately absent: reading, opening paths, converting colours, inks but for their names.

mod error;
mod jpeg;
mod png;
mod resolution;
mod row;
mod tiff;

pub use error::PictureFileError;
pub use jpeg::JpegPicture;
pub use png::{PngColour, PngPicture, PngRows};
pub use resolution::PixelResolution;
pub use row::Row;
pub use tiff::{MOST_INKS, TiffColour, TiffPicture, TiffRows, lab_samples};

//! The colours of a picture, counted in one pass.
//!
//! [`CensusTaker`] reads the rows of a picture once and leaves two things: a [`ColourCensus`],
//! the short list of colours with the number of pixels of each, and a [`Preview`] of at most
//! two megapixels. The picture is not needed again: ink is a sum over colours, and sums don't ask
//! where a pixel stood.
//!
//! Colours are binned in cells of the picture's own encoding, and each cell keeps the exact
//! integer sums of its samples, so that a cell stands for the *mean* of its pixels and not for
//! its middle. Where little ink hangs on the difference, neighbouring cells share an entry. Everything counted is an integer: the result is the same to the last bit for any
//! number of threads and any order of bands, and the censuses of tiles merge into the census of
//! the whole.
//!
//! [`StoredCensus`] is the form on disk.
//!
//! ```
//! use std::convert::Infallible;
//! use std::num::NonZeroUsize;
//!
//! use colour::{Alpha, Band, BitDepth, ColourModel, Orientation, RasterFormat, RowSource, Samples};
//! use inkfathom_census::{Backdrop, CensusTaker, MOST_PREVIEW_PIXELS, SourceColour};
//!
//! /// One row: a white pixel and two blue ones.
//! struct OneRow(Option<Band>);
//!
//! impl RowSource for OneRow {
//!     type Error = Infallible;
//!
//!     fn format(&self) -> RasterFormat {
//!         RasterFormat {
//!             width: 3,
//!             height: 1,
//!             model: ColourModel::Rgb,
//!             depth: BitDepth::Eight,
//!             alpha: Alpha::None,
//!         }
//!     }
//!
//!     fn next_band(&mut self) -> Result<Option<Band>, Infallible> {
//!         Ok(self.0.take())
//!     }
//! }
//!
//! let samples = Samples::Eight(vec![255, 255, 255, 0, 0, 254, 0, 0, 255]);
//! let taker = CensusTaker {
//!     orientation: Orientation::Upright,
//!     backdrop: Backdrop::MediaWhite,
//!     preview_pixels: MOST_PREVIEW_PIXELS,
//!     joins: true,
//!     threads: NonZeroUsize::MIN,
//! };
//! let taken = taker.take(&mut OneRow(Some(Band { first_row: 0, rows: 1, samples })))?;
//! let entries: Vec<_> = taken.census.entries().collect();
//! assert_eq!(entries[0].colour, SourceColour::Rgb([0.0, 0.0, 509.0 / 510.0]));
//! assert_eq!((entries[0].pixels, entries[1].pixels), (2, 1));
//! # Ok::<(), inkfathom_census::TakingError<Infallible>>(())
//! ```
//!
//! Deliberately absent: inks, decoders and ICC profiles (a profile is carried as bytes).

mod backdrop;
mod byte_counters;
mod byte_reader;
mod cells;
mod census;
mod compositing;
mod counted_cells;
mod counting;
mod delivered_rows;
mod error;
mod grouping;
mod key_hasher;
mod lattice;
mod linear_light;
mod mapped_bytes;
mod overlay;
mod place_bits;
mod preview;
mod preview_canvas;
mod sample;
mod source_colour;
mod sparse_cells;
mod sparse_lattice;
mod stored;
mod stored_header;
mod taking;

pub use backdrop::Backdrop;
pub use census::{CensusEntry, ColourCensus};
pub use error::{CensusError, TakingError};
pub use overlay::{Levels, Overlay};
pub use preview::{MOST_PREVIEW_PIXELS, Preview};
pub use source_colour::SourceColour;
pub use stored::{Origin, Resolution, StoredCensus};
pub use taking::{CensusTaker, Taken};

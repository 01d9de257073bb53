//! The wire form of what a stored census says about itself: JSON, of both forms.

use std::ops::RangeInclusive;

use colour::{BitDepth, ColourModel, Orientation};
use serde::{Deserialize, Serialize};
use units::DotsPerInch;

use crate::lattice::Lattice;
use crate::sparse_lattice::{FEWEST_BITS, MOST_BITS, SparseLattice};
use crate::stored::{NumberWidth, Origin, Resolution, StoredCensus};
use crate::{Backdrop, CensusError, SourceColour};

/// Fields of the header, with the lengths of the sections behind it.
#[derive(Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct StoredHeader {
    content_blake3: String,
    file_format: String,
    width: u32,
    height: u32,
    model: WireModel,
    depth: u8,
    /// Bits of a sample in the key of a cell, where that is not given by model and depth.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    cell_bits: Option<u32>,
    /// Whether cells are joined entries, whose keys say what begins a wide one.
    #[serde(default, skip_serializing_if = "std::ops::Not::not")]
    pub(crate) joined: bool,
    /// The number of the Exif tag.
    orientation: u16,
    /// `null` is media white.
    backdrop: Option<WireColour>,
    resolution: Option<WireResolution>,
    program_version: String,
    pub(crate) profile_bytes: Option<u64>,
    pub(crate) unprinted: u64,
    pub(crate) cells: u64,
    /// Bytes of each of their numbers, 4 or 8.
    number_bytes: u8,
    pub(crate) preview_width: u32,
    pub(crate) preview_height: u32,
    /// Bits of its samples, 8 or 16.
    preview_bits: u8,
}

#[derive(Deserialize, Serialize)]
#[serde(rename_all = "lowercase")]
enum WireModel {
    Gray,
    Rgb,
    Cmyk,
    Lab,
}

#[derive(Deserialize, Serialize)]
#[serde(rename_all = "lowercase")]
enum WireColour {
    Gray(f64),
    Rgb([f64; 3]),
    Cmyk([f64; 4]),
    Lab([f64; 3]),
}

/// In dots per inch.
#[derive(Deserialize, Serialize)]
#[serde(deny_unknown_fields)]
struct WireResolution {
    across: f64,
    along: f64,
}

impl StoredHeader {
    pub(crate) fn of(stored: &StoredCensus) -> Self {
        let (origin, lattice) = (&stored.origin, stored.census.lattice());
        Self {
            content_blake3: blake3::Hash::from_bytes(origin.content).to_hex().to_string(),
            file_format: origin.file_format.clone(),
            width: origin.width,
            height: origin.height,
            model: WireModel::of(lattice.model()),
            cell_bits: match lattice {
                Lattice::Gray(_) | Lattice::Rgb(_) => None,
                Lattice::Sparse(sparse) => Some(sparse.bits),
            },
            joined: stored.census.begins().is_some(),
            depth: bits_of(lattice.depth()),
            orientation: tag_of(origin.orientation),
            backdrop: wire_backdrop(origin.backdrop),
            resolution: origin.resolution.map(WireResolution::of),
            program_version: origin.program_version.clone(),
            profile_bytes: stored.profile.as_ref().map(|profile| profile.len() as u64),
            unprinted: stored.census.unprinted(),
            cells: stored.census.cells().len() as u64,
            number_bytes: match NumberWidth::of(stored.census.cells().iter().map(|(_, cell)| cell))
            {
                NumberWidth::Four => 4,
                NumberWidth::Eight => 8,
            },
            preview_width: stored.preview.width,
            preview_height: stored.preview.height,
            preview_bits: bits_of(stored.preview.depth()),
        }
    }

    pub(crate) fn lattice(&self) -> Result<Lattice, CensusError> {
        let finest = Lattice::of(self.model.model(), depth_of(self.depth)?);
        match (finest, self.cell_bits) {
            (Lattice::Sparse(finest), Some(bits)) if BITS.contains(&bits) => {
                Ok(Lattice::Sparse(SparseLattice { bits, ..finest }))
            }
            (Lattice::Gray(_) | Lattice::Rgb(_), None) => Ok(finest),
            (_, bits) => Err(damaged(format!("{bits:?} bits in the key of a cell"))),
        }
    }

    pub(crate) fn number_width(&self) -> Result<NumberWidth, CensusError> {
        match self.number_bytes {
            4 => Ok(NumberWidth::Four),
            8 => Ok(NumberWidth::Eight),
            bytes => Err(damaged(format!("numbers of {bytes} bytes"))),
        }
    }

    pub(crate) fn preview_depth(&self) -> Result<BitDepth, CensusError> {
        depth_of(self.preview_bits)
    }

    pub(crate) fn into_origin(self) -> Result<Origin, CensusError> {
        let content = blake3::Hash::from_hex(&self.content_blake3)
            .map_err(|_| damaged(format!("content hash `{}`", self.content_blake3)))?;
        let orientation = Orientation::from_tag(self.orientation)
            .ok_or_else(|| damaged(format!("orientation {}", self.orientation)))?;
        let resolution = self.resolution.map(WireResolution::into_resolution);
        Ok(Origin {
            content: *content.as_bytes(),
            file_format: self.file_format,
            width: self.width,
            height: self.height,
            orientation,
            backdrop: match self.backdrop {
                None => Backdrop::MediaWhite,
                Some(WireColour::Gray(sample)) => Backdrop::Colour(SourceColour::Gray(sample)),
                Some(WireColour::Rgb(samples)) => Backdrop::Colour(SourceColour::Rgb(samples)),
                Some(WireColour::Cmyk(samples)) => Backdrop::Colour(SourceColour::Cmyk(samples)),
                Some(WireColour::Lab(samples)) => Backdrop::Colour(SourceColour::Lab(samples)),
            },
            resolution: resolution.transpose()?,
            program_version: self.program_version,
        })
    }
}

/// Bits that the key of a sparse cell may have of each sample.
const BITS: RangeInclusive<u32> = FEWEST_BITS..=MOST_BITS;

impl WireModel {
    const fn of(model: ColourModel) -> Self {
        match model {
            ColourModel::Gray => Self::Gray,
            ColourModel::Rgb => Self::Rgb,
            ColourModel::Cmyk => Self::Cmyk,
            ColourModel::Lab => Self::Lab,
        }
    }

    const fn model(&self) -> ColourModel {
        match self {
            Self::Gray => ColourModel::Gray,
            Self::Rgb => ColourModel::Rgb,
            Self::Cmyk => ColourModel::Cmyk,
            Self::Lab => ColourModel::Lab,
        }
    }
}

impl WireResolution {
    fn of(resolution: Resolution) -> Self {
        Self {
            across: resolution.across.to_dots_per_inch(),
            along: resolution.along.to_dots_per_inch(),
        }
    }

    fn into_resolution(self) -> Result<Resolution, CensusError> {
        let read = |dots: f64| {
            DotsPerInch::from_dots_per_inch(dots).map_err(|error| damaged(error.to_string()))
        };
        Ok(Resolution { across: read(self.across)?, along: read(self.along)? })
    }
}

pub(crate) const fn damaged(detail: String) -> CensusError {
    CensusError::Damaged { detail }
}

const fn bits_of(depth: BitDepth) -> u8 {
    match depth {
        BitDepth::Eight => 8,
        BitDepth::Sixteen => 16,
    }
}

fn depth_of(bits: u8) -> Result<BitDepth, CensusError> {
    match bits {
        8 => Ok(BitDepth::Eight),
        16 => Ok(BitDepth::Sixteen),
        bits => Err(damaged(format!("samples of {bits} bits"))),
    }
}

fn tag_of(orientation: Orientation) -> u16 {
    (1..=8).find(|tag| Orientation::from_tag(*tag) == Some(orientation)).unwrap_or(1)
}

const fn wire_backdrop(backdrop: Backdrop) -> Option<WireColour> {
    match backdrop {
        Backdrop::MediaWhite => None,
        Backdrop::Colour(SourceColour::Gray(sample)) => Some(WireColour::Gray(sample)),
        Backdrop::Colour(SourceColour::Rgb(samples)) => Some(WireColour::Rgb(samples)),
        Backdrop::Colour(SourceColour::Cmyk(samples)) => Some(WireColour::Cmyk(samples)),
        Backdrop::Colour(SourceColour::Lab(samples)) => Some(WireColour::Lab(samples)),
    }
}

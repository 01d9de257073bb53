use colour::Xyz;

use crate::profile_bytes::{Tag, laid_out};
use crate::profile_tags::{colorant_table, forward_tag, inverse_tag, text_tag, xyz_tag};
use crate::{DeviceSpace, ForwardTables, InverseTables};

/// An output profile to be written: version 4, with XYZ as connection space.
///
/// XYZ and not CIELAB, because a table from XYZ may begin with a matrix and curves and so take
/// whatever axes suit the separation, and a table to XYZ may end with a power and so mix as
/// halftones do.
#[derive(Clone, Debug, PartialEq)]
pub struct NewOutputProfile {
    /// What the profile calls itself.
    pub description: String,
    /// Who may do what with it.
    pub copyright: String,
    /// When it was made: year, month, day, hour, minute, second, in universal time.
    pub made: [u16; 6],
    /// The colorants that it drives.
    pub space: DeviceSpace,
    /// Name of each colorant, at most 31 bytes of it, and its solid relative to the paper, white
    /// being the connection space's with Y = 1.
    pub colorants: Vec<(String, [f64; 3])>,
    /// The paper under D50, Y of the perfect diffuser 100.
    pub media_white: Xyz,
    /// For perceptual rendering and saturation: between the reference medium and this one.
    pub perceptual: (ForwardTables, InverseTables),
    /// For colorimetric rendering.
    pub colorimetric: (ForwardTables, InverseTables),
    /// One output: zero for colours within reach.
    pub gamut: InverseTables,
}

impl NewOutputProfile {
    /// The profile as a file holds it (ICC.1:2022).
    #[must_use]
    pub fn to_bytes(&self) -> Vec<u8> {
        let Self { media_white, perceptual, colorimetric, .. } = self;
        let white = [media_white.x, media_white.y, media_white.z].map(|value| value / 100.0);
        laid_out(
            self.space.signature(),
            self.made,
            &[
                Tag::new(&[b"desc"], text_tag(&self.description)),
                Tag::new(&[b"cprt"], text_tag(&self.copyright)),
                Tag::new(&[b"wtpt"], xyz_tag(white)),
                Tag::new(&[b"clrt"], colorant_table(&self.colorants)),
                Tag::new(&[b"A2B0", b"A2B2"], forward_tag(&perceptual.0)),
                Tag::new(&[b"A2B1"], forward_tag(&colorimetric.0)),
                Tag::new(&[b"B2A0", b"B2A2"], inverse_tag(&perceptual.1)),
                Tag::new(&[b"B2A1"], inverse_tag(&colorimetric.1)),
                Tag::new(&[b"gamt"], inverse_tag(&self.gamut)),
            ],
        )
    }
}

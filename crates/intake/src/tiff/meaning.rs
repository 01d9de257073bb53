use colour::ColourModel;

/// What the stored colour samples mean.
#[derive(Clone)]
pub(super) enum Meaning {
    /// As they are delivered: 0 is black, or no ink.
    AsDelivered,
    /// 0 is white.
    Inverted,
    /// An index into these colours.
    Palette(Vec<[u8; 3]>),
    /// L* from 0, a* and b* with a sign (TIFF 6.0, section 23).
    SignedLab,
    /// L*, a* and b* as ICC profiles of version 2 encode them (TIFF Technical Notes of 2002,
    /// "ICC L*a*b*").
    IccLab,
}

impl Meaning {
    /// Colour samples of a stored pixel.
    pub(super) const fn colours(&self, model: ColourModel) -> usize {
        match self {
            Self::Palette(_) => 1,
            _ => model.channels(),
        }
    }

    pub(super) const fn is_palette(&self) -> bool {
        matches!(self, Self::Palette(_))
    }
}

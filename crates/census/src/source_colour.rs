use colour::ColourModel;

/// A colour in the encoding of the picture: 0 to 1, as its ICC profile takes it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SourceColour {
    /// 0 black to 1 white.
    Gray(f64),
    /// Red, green, blue.
    Rgb([f64; 3]),
    /// Cyan, magenta, yellow, black: device values, 0 is no ink.
    Cmyk([f64; 4]),
    /// L*, a*, b*, each a share of its range: see [`ColourModel::Lab`].
    Lab([f64; 3]),
}

impl SourceColour {
    /// What the samples mean.
    #[must_use]
    pub const fn model(&self) -> ColourModel {
        match self {
            Self::Gray(_) => ColourModel::Gray,
            Self::Rgb(_) => ColourModel::Rgb,
            Self::Cmyk(_) => ColourModel::Cmyk,
            Self::Lab(_) => ColourModel::Lab,
        }
    }

    /// One value for gray, three for RGB and CIELAB, four for CMYK.
    #[must_use]
    pub const fn samples(&self) -> &[f64] {
        match self {
            Self::Gray(sample) => std::slice::from_ref(sample),
            Self::Rgb(samples) | Self::Lab(samples) => samples,
            Self::Cmyk(samples) => samples,
        }
    }
}

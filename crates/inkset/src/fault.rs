use colour::ColourError;
use strict_toml::{FormatFault, quoted};
use thiserror::Error;

/// What can be wrong at a place in the text of an ink set.
///
/// Each message continues the name of a key: "`limit_percent` of ink `cyan`" + "is 120, outside
/// 1 to 100 %; …".
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum Fault {
    /// What any strictly read text may get wrong.
    #[error(transparent)]
    Format(#[from] FormatFault),
    /// Numbers that are not a spectrum.
    #[error("can't be used: {0}")]
    Spectrum(ColourError),
    /// A bare spectrum of the wrong length.
    #[error(
        "has {count} numbers, not 36 for 380 to 730 nm by 10 nm; for another grid write \
         {{ first_nm = …, step_nm = …, values = […] }}"
    )]
    SpectrumLength {
        /// How many there are.
        count: usize,
    },
    /// Two measured patches of the same amounts.
    #[error("are the same as in line {first_line}; keep one of the two patches")]
    DuplicatePatch {
        /// The line of the first one.
        first_line: usize,
    },
    /// More families than the print model mixes.
    #[error(
        "begins family {count}, outside 1 to {most} families; join inks of one hue into one family"
    )]
    TooManyFamilies {
        /// Its number.
        count: usize,
        /// The most allowed.
        most: usize,
    },
    /// A family of light inks alone.
    #[error(
        "is `{family}`, which has no full-strength ink; add one, or give one of its inks strength = \"full\" and a solid"
    )]
    NoFullStrength {
        /// The family.
        family: String,
    },
    /// A family other than black with several full-strength inks.
    #[error(
        "is `{family}`, which has a full-strength ink in line {first_line} already; 1 is allowed \
         outside the family `black`, so make one of the two \"light\" or give it another family"
    )]
    SecondFullStrength {
        /// The family.
        family: String,
        /// The line of the first one.
        first_line: usize,
    },
    /// Several full-strength blacks and a substrate that does not choose.
    #[error("is missing although the set has {} full-strength blacks; write one of {}", blacks.len(), quoted(blacks))]
    BlackNotChosen {
        /// The full-strength blacks.
        blacks: Vec<String>,
    },
    /// A light ink without strength or spectrum.
    #[error(
        "is \"light\" without a density or a solid; write density_percent (1 to 99 %), [ink.solid], or both"
    )]
    StrengthNotKnown,
    /// A full-strength ink without its solid.
    #[error(
        "is missing although the ink is at full strength; write [ink.solid] with its spectrum, or strength = \"light\""
    )]
    SolidNotKnown,
    /// A density beside full strength.
    #[error(
        "is given although the ink is at full strength, which is 100 % by definition; remove it or write strength = \"light\""
    )]
    StrengthOfFull,
    /// A light ink that is measured to be as dense as the full-strength ink, or denser.
    #[error(
        "has {percent:.0} % of the density of `{full}`, outside 0 to 100 %; exchange their \
         strengths or correct the spectra"
    )]
    LightTooStrong {
        /// Measured strength in percent.
        percent: f64,
        /// The full-strength ink.
        full: String,
    },
    /// A full-strength solid that is nowhere darker than its sheet.
    #[error(
        "is nowhere darker than the white of substrate `{substrate}`: a density of 0 or less, \
         outside 0 to 5; correct the spectrum or `printed_on`"
    )]
    NoAbsorption {
        /// The substrate.
        substrate: String,
    },
    /// A reflectance that lies below what its sheet makes possible.
    #[error(
        "is {value} at {nanometres} nm, outside {low} to 1.3; lower `{limit}` of substrate `{substrate}` or correct the spectrum"
    )]
    DarkerThanSheet {
        /// The reflectance.
        value: f64,
        /// Its wavelength.
        nanometres: f64,
        /// The value of the limit.
        low: f64,
        /// The key that sets the limit.
        limit: &'static str,
        /// The substrate.
        substrate: String,
    },
    /// A darkest reflectance below the reflectance of the surface.
    #[error(
        "is {darkest}, outside {surface} (its surface_reflectance) to 0.5; raise it or lower the other"
    )]
    DarkerThanSurface {
        /// The darkest reflectance.
        darkest: f64,
        /// The surface reflectance.
        surface: f64,
    },
    /// A curve that does not begin and end where it should.
    #[error("runs from {first} to {last} %, not from 0 to 100 %; add the missing end")]
    CurveEnds {
        /// Its first value in percent.
        first: f64,
        /// Its last value in percent.
        last: f64,
    },
    /// Ink without being asked for.
    #[error("does not begin with 0 %: device value 0 must fire no ink, so write 0 first")]
    InkWithoutDeviceValue,
    /// Drop shares that don't add up to the whole.
    #[error("add up to {sum:.2} %, outside 99.9 to 100.1 %; correct the shares of the drop sizes")]
    SharesSum {
        /// The sum in percent.
        sum: f64,
    },
    /// A drop mix whose mean drop shrinks.
    #[error(
        "gives a mean drop of {volume:.3} pl after {before:.3} pl at lower coverage; write shares \
         whose mean drop does not fall as coverage rises"
    )]
    MeanDropFalls {
        /// The mean drop volume in picolitres.
        volume: f64,
        /// That of the row before.
        before: f64,
    },
    /// No way to know the lay-down of some inks.
    #[error(
        "are missing and lay_down_ml_per_m2 lacks {}; state the drops, or the lay-down of every ink",
        quoted(inks)
    )]
    LayDownNotKnown {
        /// The inks without a lay-down.
        inks: Vec<String>,
    },
    /// Drop facts that need the drop sizes, without them.
    #[error("is given without drop_volumes_pl; add the drop volumes or remove it")]
    DropsWithoutVolumes,
    /// Several drop sizes and no mix.
    #[error(
        "is missing although there are {sizes} drop sizes; write [[print_mode.drop_mix]] rows from 0 to 100 % coverage"
    )]
    DropMixMissing {
        /// How many sizes there are.
        sizes: usize,
    },
    /// A separation by an output profile beside the settings of the built separation.
    #[error("is given beside output_profile, which separates by itself; remove one of the two")]
    BothSeparations,
    /// An output profile and no word on what its device values fire.
    #[error(
        "lacks {} although output_profile delivers device values; give the curves, or write \
         \"unknown\"",
        quoted(inks)
    )]
    DeviceCurveNotKnown {
        /// The inks without a curve.
        inks: Vec<String>,
    },
    /// A crossover of an ink that has no darker one beside it.
    #[error("is for `{ink}`, which is at full strength; name a light ink or remove it")]
    CrossoverOfFull {
        /// The ink.
        ink: String,
    },
}

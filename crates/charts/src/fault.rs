use colour::ColourError;
use thiserror::Error;

/// What can be wrong at a line of a chart.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum ChartFault {
    /// Neither CGATS text nor CxF3.
    #[error(
        "the file is neither CGATS text (it has no BEGIN_DATA_FORMAT) nor CxF3 (it has no CxF \
         element); export the chart in one of the two forms"
    )]
    UnknownForm,
    /// The text ends before what it began.
    #[error("the file ends before {missing}; it was cut off, so export it again")]
    CutOff {
        /// The keyword or element that is missing.
        missing: &'static str,
    },
    /// A keyword where it has no meaning.
    #[error("{keyword} stands before {wanted}; correct the order of the file's parts")]
    OutOfOrder {
        /// The keyword.
        keyword: &'static str,
        /// What should have come first.
        wanted: &'static str,
    },
    /// A column that appears twice.
    #[error("column `{column}` stands twice in the data format; remove one of the two")]
    ColumnTwice {
        /// The column.
        column: String,
    },
    /// Some of a group's columns and not all.
    #[error("{group} lacks the column {missing}; export all of {group}, or none of it")]
    ColumnsMissing {
        /// What belongs together.
        group: String,
        /// What is missing.
        missing: String,
    },
    /// Nothing that was measured.
    #[error(
        "no column holds a measurement; export spectra (SPECTRAL_nnn), XYZ_X, XYZ_Y, XYZ_Z or LAB_L, \
         LAB_A, LAB_B"
    )]
    NothingMeasured,
    /// Two sets of device columns.
    #[error(
        "device values stand as {first} and as {second}; keep the columns of the device that printed"
    )]
    TwoDevices {
        /// One set.
        first: String,
        /// The other.
        second: String,
    },
    /// Device values of no ink.
    #[error(
        "device values are RGB, which name no inks; print and export the chart with one value for \
         each ink, for example CMYK_C or 7CLR_1"
    )]
    RgbDevice,
    /// A count that the file states and does not keep.
    #[error("{keyword} states {stated}, but there are {found} {of}; correct it or export again")]
    Count {
        /// The keyword that states it.
        keyword: &'static str,
        /// The stated number.
        stated: String,
        /// The number found.
        found: usize,
        /// What was counted.
        of: &'static str,
    },
    /// A row of the wrong length.
    #[error("the row has {found} values, not {wanted}: one for each column; complete the row")]
    RowLength {
        /// How many there are.
        found: usize,
        /// How many are needed.
        wanted: usize,
    },
    /// No patch.
    #[error("the chart holds 0 patches, outside 1 to 100000; export it with its data")]
    NoPatches,
    /// Something that is not a number.
    #[error(
        "{column} of sample `{sample}` is `{value}`, not a number; write a number{range}, or measure \
         the patch again"
    )]
    NotANumber {
        /// The column.
        column: String,
        /// The sample.
        sample: String,
        /// What stands there.
        value: String,
        /// The allowed range, with "from" before it.
        range: String,
    },
    /// A number out of its range.
    #[error(
        "{column} of sample `{sample}` is {value}, outside {low} to {high}; measure the patch again or \
         remove the row"
    )]
    OutOfRange {
        /// The column.
        column: String,
        /// The sample.
        sample: String,
        /// The value.
        value: f64,
        /// The lowest allowed value.
        low: f64,
        /// The highest allowed value.
        high: f64,
    },
    /// A whole group of columns in another scale.
    #[error("{what} reach {highest}, outside {low} to {high}; {remedy}")]
    WrongScale {
        /// The group of columns.
        what: &'static str,
        /// Its highest value.
        highest: f64,
        /// The lowest that the highest value may be.
        low: f64,
        /// The highest that it may be.
        high: f64,
        /// What to do.
        remedy: &'static str,
    },
    /// Wavelengths that are not evenly spaced.
    #[error(
        "wavelengths go from {before} to {after} nm, not by {step} nm as before; export an even grid"
    )]
    UnevenWavelengths {
        /// A wavelength.
        before: f64,
        /// The next one.
        after: f64,
        /// The step at the beginning.
        step: f64,
    },
    /// Numbers that are not a spectrum or a colour.
    #[error("sample `{sample}` can't be used: {cause}")]
    Colour {
        /// The sample.
        sample: String,
        /// Why.
        cause: ColourError,
    },
    /// Colours of another light.
    #[error(
        "{keyword} is `{value}`; colours must be for {wanted}, so export them for it, or export spectra"
    )]
    OtherLight {
        /// The keyword.
        keyword: String,
        /// Its value.
        value: String,
        /// What is needed.
        wanted: &'static str,
    },
    /// Two patches of the same device values and different colours.
    #[error(
        "sample `{sample}` has the device values of line {first_line} and differs from it by ΔE00 \
         {difference:.1}, outside 0 to {most}; one of the two was read or labelled wrongly: remove \
         it, or have both set aside"
    )]
    ContradictingDuplicate {
        /// The sample.
        sample: String,
        /// The line of the other patch.
        first_line: usize,
        /// Their colour difference.
        difference: f64,
        /// The most that two readings may differ.
        most: f64,
    },
    /// A sample name that should be a step and is none.
    #[error(
        "sample name `{name}` is not a step from 0 to 100 %; name the samples by the percentage of the \
         ink, or export device columns"
    )]
    NoStep {
        /// The name.
        name: String,
    },
    /// Sample names taken as steps although the file has device values.
    #[error(
        "the chart has device columns ({columns}) beside steps in its sample names; use one of the two"
    )]
    StepsBesideDevice {
        /// The device columns.
        columns: String,
    },
    /// XML that can't be read.
    #[error("the XML can't be read: {detail}; export the file again")]
    Xml {
        /// What the reader says.
        detail: String,
    },
    /// A document type declaration.
    #[error(
        "the XML declares a document type, which can define entities that grow without end; remove the \
         DOCTYPE, which CxF3 does not need"
    )]
    DocumentType,
    /// Elements nested too deeply.
    #[error("elements are nested {depth} deep, outside 1 to {most}; this is no CxF3 export")]
    TooDeep {
        /// The depth.
        depth: usize,
        /// The most allowed.
        most: usize,
    },
    /// An object that differs from the others.
    #[error(
        "object `{sample}` lacks {column}, which the first patch has; give all patches the same values"
    )]
    UnevenObjects {
        /// The object.
        sample: String,
        /// What it lacks.
        column: String,
    },
}

/// What a [`Notice`](crate::Notice) of a chart says.
#[derive(Clone, Debug, Error, PartialEq)]
#[non_exhaustive]
pub enum ChartRemark {
    /// Columns that are not used.
    #[error("columns without use here: {columns}")]
    UnusedColumns {
        /// Their names.
        columns: String,
    },
    /// Tables after the first one.
    #[error("the tables after this line are left out: a chart is the first table of a file")]
    FurtherTables,
    /// Spectra that don't reach over 380 to 730 nm.
    #[error("spectra reach from {first} to {last} nm: beyond, the value at their end is held")]
    NarrowSpectra {
        /// The shortest wavelength in nanometres.
        first: f64,
        /// The longest.
        last: f64,
    },
    /// Reflectances slightly below zero.
    #[error(
        "{count} reflectances lie below 0, the lowest at {lowest}: noise of the instrument, taken as 0"
    )]
    NegativeReflectances {
        /// How many.
        count: usize,
        /// The lowest.
        lowest: f64,
    },
    /// CIELAB that does not follow from what is used in its place.
    #[error(
        "CIELAB differs from {used} by a median ΔE00 of {median:.2}: it is relative to another white or \
         light; {used} are used"
    )]
    OtherCielab {
        /// What is used.
        used: &'static str,
        /// The median difference.
        median: f64,
    },
    /// Repeated patches that were read rather differently.
    #[error(
        "{count} repeated patches differ from their first reading, by up to ΔE00 {largest:.1}: they are \
         averaged"
    )]
    UnsteadyDuplicates {
        /// How many.
        count: usize,
        /// The largest difference.
        largest: f64,
    },
    /// Objects of a CxF3 file that are no patches.
    #[error("{count} objects without device values are left out")]
    ObjectsWithoutDevice {
        /// How many.
        count: usize,
    },
    /// Objects of a CxF3 file with several spectra.
    #[error("each object has {count} spectra: those of {used} are used")]
    SeveralSpectra {
        /// How many the first object has.
        count: usize,
        /// Which are used.
        used: String,
    },
    /// No measurement condition is stated.
    #[error("the measurement condition (M0 to M3 of ISO 13655) is not stated")]
    ConditionNotStated,
}

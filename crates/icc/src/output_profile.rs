use colour::Xyz;
use lcms2::{LCMSResult, Profile, ThreadContext};

use crate::profile_header::{check_output_header, number, tag};
use crate::source_profile::{description_of, unreadable};
use crate::{DeviceSpace, IccError, MOST_PROFILE_BYTES, OutputTransform, RenderingIntent};

/// Bytes of a name in a colorant table, and of an entry: the name and three 16-bit numbers of
/// the connection space (ICC.1:2022, table 34).
const COLORANT_NAME: usize = 32;
const COLORANT_ENTRY: usize = 38;
/// Where the count and the entries of that table stand.
const COLORANT_COUNT: std::ops::Range<usize> = 8..12;
const COLORANTS_START: usize = 12;
/// Where the three numbers of an `XYZ ` tag stand (ICC.1:2022, table 84).
const XYZ_NUMBERS: std::ops::Range<usize> = 8..20;

/// What an ICC output profile says: device values for colours, and colours for device values.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OutputProfile {
    bytes: Vec<u8>,
    space: DeviceSpace,
    description: String,
}

impl OutputProfile {
    /// Reads an output profile, and tries it out in both directions.
    ///
    /// # Errors
    ///
    /// `TooLarge` above 64 MiB, `NoOutputProfile` for another class, `NotInks` for other colours
    /// than CMYK or 1 to 12 inks, `Damaged`, `NoOutputTables` or `ImpossibleColour` when it can't
    /// be used.
    pub fn parse(bytes: &[u8]) -> Result<Self, IccError> {
        if bytes.len() > MOST_PROFILE_BYTES {
            return Err(IccError::TooLarge { bytes: bytes.len(), limit: MOST_PROFILE_BYTES });
        }
        let (bytes, space) = check_output_header(bytes)?;
        let context = ThreadContext::new();
        let opened = Profile::new_icc_context(&context, bytes).map_err(|_| unreadable())?;
        let profile = Self { bytes: bytes.to_vec(), space, description: description_of(&opened) };
        for intent in [RenderingIntent::RelativeColorimetric, RenderingIntent::Perceptual] {
            OutputTransform::new(&profile, intent)?;
        }
        Ok(profile)
    }

    /// What the profile calls itself, for reports. Printable, at most 200 characters.
    #[must_use]
    pub fn description(&self) -> &str {
        &self.description
    }

    /// The colorants that it drives.
    #[must_use]
    pub const fn space(&self) -> DeviceSpace {
        self.space
    }

    /// The profile as it was read, without what followed it in the file.
    #[must_use]
    pub fn bytes(&self) -> &[u8] {
        &self.bytes
    }

    /// The names of the colorants where the profile has a table of them. For CMYK there is
    /// rarely one.
    #[must_use]
    pub fn colorant_names(&self) -> Option<Vec<String>> {
        let table = tag(&self.bytes, b"clrt")?;
        let count = number(table.get(COLORANT_COUNT)?);
        let entries = table.get(COLORANTS_START..)?.chunks_exact(COLORANT_ENTRY);
        let names: Vec<String> = entries.take(count).map(name).collect();
        (names.len() == self.space.colorants()).then_some(names)
    }

    /// The measured colour of the paper: its tristimulus values under D50, Y of the perfect
    /// diffuser 100. `None` when the profile lacks a sensible one.
    #[must_use]
    pub fn media_white(&self) -> Option<Xyz> {
        let numbers = tag(&self.bytes, b"wtpt")?.get(XYZ_NUMBERS)?;
        let [x, y, z] = [0, 4, 8].map(|place| 100.0 * fixed(&numbers[place..place + 4]));
        let plausible = [x, y, z].iter().all(|value| (1.0..=200.0).contains(value));
        plausible.then_some(Xyz { x, y, z })
    }

    /// Opens the profile for one use: an open profile reads its tags late and is not shared.
    pub(crate) fn open(&self, context: &ThreadContext) -> LCMSResult<Profile<ThreadContext>> {
        Profile::new_icc_context(context, &self.bytes)
    }
}

/// A name of a colorant table, up to its first NUL.
fn name(entry: &[u8]) -> String {
    let bytes = entry[..COLORANT_NAME].split(|byte| *byte == 0).next().unwrap_or_default();
    String::from_utf8_lossy(bytes).chars().filter(|letter| !letter.is_control()).collect()
}

/// A signed number with 16 binary places (ICC.1:2022, clause 4.6).
fn fixed(bytes: &[u8]) -> f64 {
    let bytes = bytes.try_into().unwrap_or_default();
    f64::from(i32::from_be_bytes(bytes)) / 65536.0
}

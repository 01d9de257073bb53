use std::ops::Range;

use colour::ColourModel;

use crate::IccError;
use crate::device_space::{DeviceSpace, MOST_COLORANTS};

/// Length of the header (ICC.1:2022, clause 7.2) and of the tag count behind it.
const SMALLEST_PROFILE: usize = 128 + 4;

// Places in the header: ICC.1:2022, table 17.
const SIZE: Range<usize> = 0..4;
const CLASS: Range<usize> = 12..16;
const COLOUR_SPACE: Range<usize> = 16..20;
const CONNECTION_SPACE: Range<usize> = 20..24;
const SIGNATURE: Range<usize> = 36..40;

const TAG_COUNT: Range<usize> = 128..132;
/// Bytes of an entry of the tag table.
const TAG_ENTRY: usize = 12;

/// Classes that have colours of their own: input, display, output, colour space.
const SOURCE_CLASSES: [&[u8]; 4] = [b"scnr", b"mntr", b"prtr", b"spac"];
const OUTPUT_CLASS: &[u8] = b"prtr";
const CONNECTION_SPACES: [&[u8]; 2] = [b"XYZ ", b"Lab "];

/// Checks the header of a profile for pictures of a colour model; returns the bytes that the
/// profile says it has.
///
/// The colour management library would accept unknown signatures, and its binding turns them
/// into enumerations without looking. So they are checked here, before it sees them.
pub(crate) fn check_header(bytes: &[u8], expected: ColourModel) -> Result<&[u8], IccError> {
    let profile = sound(bytes)?;
    if !SOURCE_CLASSES.contains(&&profile[CLASS]) {
        let found = printable(&profile[CLASS]);
        return Err(IccError::WrongClass { found });
    }
    if &profile[COLOUR_SPACE] != colour_space(expected) {
        let found = printable(&profile[COLOUR_SPACE]);
        return Err(IccError::WrongModel { expected, found });
    }
    check_contents(profile)
}

/// Checks the header of an output profile; returns the bytes that the profile says it has, and
/// its colorants.
pub(crate) fn check_output_header(bytes: &[u8]) -> Result<(&[u8], DeviceSpace), IccError> {
    let profile = sound(bytes)?;
    if &profile[CLASS] != OUTPUT_CLASS {
        return Err(IccError::NoOutputProfile { found: printable(&profile[CLASS]) });
    }
    let space = DeviceSpace::of_signature(&profile[COLOUR_SPACE]).ok_or_else(|| {
        IccError::NotInks { found: printable(&profile[COLOUR_SPACE]), most: MOST_COLORANTS }
    })?;
    Ok((check_contents(profile)?, space))
}

/// The bytes of a tag of a checked profile.
pub(crate) fn tag<'a>(profile: &'a [u8], signature: &[u8; 4]) -> Option<&'a [u8]> {
    let count = number(&profile[TAG_COUNT]);
    let mut entries = profile[SMALLEST_PROFILE..].chunks_exact(TAG_ENTRY).take(count);
    let entry = entries.find(|entry| &entry[..4] == signature)?;
    let (offset, size) = (number(&entry[4..8]), number(&entry[8..12]));
    profile.get(offset..)?.get(..size)
}

/// A profile that is whole and marked as one.
fn sound(bytes: &[u8]) -> Result<&[u8], IccError> {
    if bytes.len() < SMALLEST_PROFILE {
        return Err(damaged(format!("{} bytes are no profile", bytes.len())));
    }
    if &bytes[SIGNATURE] != b"acsp" {
        return Err(damaged("the signature `acsp` is missing".to_owned()));
    }
    whole(bytes)
}

/// Checks what classes and models have in common.
fn check_contents(profile: &[u8]) -> Result<&[u8], IccError> {
    if !CONNECTION_SPACES.contains(&&profile[CONNECTION_SPACE]) {
        let found = printable(&profile[CONNECTION_SPACE]);
        return Err(damaged(format!("`{found}` is no connection space")));
    }
    check_tags(profile)?;
    Ok(profile)
}

/// The colour model of pictures that a profile is for.
pub(crate) fn model_of(bytes: &[u8]) -> Result<ColourModel, IccError> {
    let found = bytes.get(COLOUR_SPACE).unwrap_or_default();
    [ColourModel::Gray, ColourModel::Rgb, ColourModel::Cmyk]
        .into_iter()
        .find(|model| colour_space(*model) == found)
        .ok_or_else(|| IccError::UnsupportedSpace { found: printable(found) })
}

/// Checks that every tag lies inside the profile; the library passes over those that don't, and
/// reads the picture by what is left.
///
/// The table holds a count and entries of signature, offset and size (ICC.1:2022, clause 7.3).
fn check_tags(profile: &[u8]) -> Result<(), IccError> {
    let count = number(&profile[TAG_COUNT]);
    let table = &profile[SMALLEST_PROFILE..];
    if count > table.len() / TAG_ENTRY {
        return Err(damaged(format!("{count} tags don't fit into it")));
    }
    for entry in table.chunks_exact(TAG_ENTRY).take(count) {
        let (offset, size) = (number(&entry[4..8]), number(&entry[8..12]));
        if offset.saturating_add(size) > profile.len() {
            let tag = printable(&entry[..4]);
            return Err(damaged(format!("tag `{tag}` reaches past its end")));
        }
    }
    Ok(())
}

/// A big-endian number.
pub(crate) fn number(bytes: &[u8]) -> usize {
    bytes.iter().fold(0, |number, byte| number << 8 | usize::from(*byte))
}

/// The bytes up to the size that the header states; what follows is padding of the file.
fn whole(bytes: &[u8]) -> Result<&[u8], IccError> {
    let stated = number(&bytes[SIZE]);
    let profile = bytes.get(..stated).filter(|profile| profile.len() >= SMALLEST_PROFILE);
    profile.ok_or_else(|| damaged(format!("{} of {stated} bytes are there", bytes.len())))
}

const fn colour_space(model: ColourModel) -> &'static [u8] {
    match model {
        ColourModel::Gray => b"GRAY",
        ColourModel::Rgb => b"RGB ",
        ColourModel::Cmyk => b"CMYK",
        ColourModel::Lab => b"Lab ",
    }
}

/// A signature for a message; bytes that can't be printed become escapes.
pub(crate) fn printable(signature: &[u8]) -> String {
    signature.trim_ascii_end().escape_ascii().to_string()
}

pub(crate) const fn damaged(detail: String) -> IccError {
    IccError::Damaged { detail }
}

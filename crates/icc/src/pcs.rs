//! CIELAB of the profile connection space as the other end of a transform.

use colour::Lab;
use lcms2::{LCMSResult, Profile, ThreadContext};

/// L*, a*, b* as the colour management library takes and gives them.
pub(crate) type PcsSamples = [f64; 3];

/// The CIELAB profile that every transform ends or starts with.
///
/// It is the identity of version 4, which works in floating point (the one of version 2 rounds
/// to 16 bits), but says version 2 of itself: perceptual rendering between two profiles of
/// version 4 gets black-point compensation forced upon it, which would lift black to L* 3.1.
pub(crate) fn lab_profile(context: &ThreadContext) -> LCMSResult<Profile<ThreadContext>> {
    let mut profile = Profile::new_lab4_context(context, lcms2::CIExyY::d50())?;
    profile.set_version(2.4);
    Ok(profile)
}

pub(crate) const fn lab_of([l, a, b]: PcsSamples) -> Lab {
    Lab { l, a, b }
}

pub(crate) const fn samples_of(colour: Lab) -> PcsSamples {
    [colour.l, colour.a, colour.b]
}

/// Whether a colour could come from a device: far wider than any, to tell damage from colour.
///
/// The imaginary blue of the widest encodings has a b* near −300 (from memory, no source).
pub(crate) fn is_possible(colour: Lab) -> bool {
    samples_of(colour).iter().all(|value| value.abs() <= 1000.0)
}

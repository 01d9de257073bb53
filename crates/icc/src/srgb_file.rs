use lcms2::Profile;

/// Where the header holds the date and the identity of a profile (ICC.1:2022, 7.2).
const DATE: std::ops::Range<usize> = 24..36;
const IDENTITY: std::ops::Range<usize> = 84..100;
/// A date for a profile that is made anew each time: the same, so that the bytes are.
const FIXED_DATE: [u8; 12] = [0x07, 0xD0, 0, 1, 0, 1, 0, 0, 0, 0, 0, 0];

/// sRGB (IEC 61966-2-1) as an ICC profile, to be embedded in pictures for a screen. The same bytes
/// every time; empty if the library can't make it, which means no profile.
#[must_use]
pub fn srgb_profile_bytes() -> Vec<u8> {
    let mut bytes = Profile::new_srgb().icc().unwrap_or_default();
    if let Some(date) = bytes.get_mut(DATE) {
        date.copy_from_slice(&FIXED_DATE);
    }
    if let Some(identity) = bytes.get_mut(IDENTITY) {
        identity.fill(0);
    }
    bytes
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{RenderingIntent, SourceProfile, SourceTransform};
    use colour::{ColourModel, delta_e_ab};

    #[test]
    fn the_profile_means_what_the_built_in_one_means() {
        let parsed = SourceProfile::parse(&srgb_profile_bytes(), ColourModel::Rgb).unwrap();
        let colours = [0.2, 0.5, 0.9, 1.0, 0.1, 0.0];
        let lab = |profile: &SourceProfile| {
            let transform = SourceTransform::new(profile, RenderingIntent::RelativeColorimetric);
            transform.unwrap().to_lab(&colours).unwrap()
        };
        for (one, other) in lab(&parsed).into_iter().zip(lab(&SourceProfile::srgb())) {
            assert!(delta_e_ab(one, other) < 0.05, "{one}, {other}");
        }
    }

    #[test]
    fn the_bytes_are_the_same_every_time_and_few() {
        assert_eq!(srgb_profile_bytes(), srgb_profile_bytes());
        assert!(srgb_profile_bytes().len() < 4096);
    }
}

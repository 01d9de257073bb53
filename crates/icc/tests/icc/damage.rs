//! Damaged profiles are refused or used, and never stop the program.

use colour::{ColourModel, Lab};
use inkfathom_icc::{RenderingIntent, SourceProfile, SourceTransform};
use proptest::prelude::*;

use crate::made_profiles::{corners, display, gray, scanner};

/// Reads the bytes and uses what comes out in every way.
fn use_profile(bytes: &[u8], model: ColourModel) {
    let Ok(profile) = SourceProfile::parse(bytes, model) else {
        return;
    };
    for intent in [
        RenderingIntent::Perceptual,
        RenderingIntent::RelativeColorimetric,
        RenderingIntent::AbsoluteColorimetric,
    ] {
        let Ok(transform) = SourceTransform::new(&profile, intent) else {
            continue;
        };
        for sample in [0.0, 0.3, 1.0] {
            if let Ok(colours) = transform.to_lab(&vec![sample; model.channels()]) {
                assert!(colours[0].l.is_finite());
                check_way_back(&transform, colours[0]);
            }
        }
    }
}

fn check_way_back(transform: &SourceTransform, colour: Lab) {
    if let Ok(encoded) = transform.from_lab(colour) {
        assert!(encoded.iter().all(|sample| (0.0..=1.0).contains(sample)));
    }
}

fn whole_profiles() -> Vec<(Vec<u8>, ColourModel)> {
    let black = corners(Lab { l: 4.0, a: 0.0, b: 0.0 });
    let built_in = lcms2::Profile::new_srgb().icc().unwrap();
    vec![
        (display(2.2).bytes(), ColourModel::Rgb),
        (gray(2.2).bytes(), ColourModel::Gray),
        (scanner(&black, &black).bytes(), ColourModel::Rgb),
        (built_in, ColourModel::Rgb),
    ]
}

#[test]
fn profiles_cut_anywhere_are_refused() {
    for (bytes, model) in whole_profiles() {
        for length in 0..bytes.len() {
            assert!(SourceProfile::parse(&bytes[..length], model).is_err());
        }
    }
}

#[test]
fn every_byte_of_a_profile_may_be_the_worst() {
    for (bytes, model) in whole_profiles() {
        for place in 0..bytes.len() {
            for value in [0x00, 0x7F, 0xFF] {
                let mut changed = bytes.clone();
                changed[place] = value;
                use_profile(&changed, model);
            }
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2000))]

    #[test]
    fn profiles_with_several_damages_never_stop_the_program(
        which in 0_usize..4,
        changes in prop::collection::vec((any::<prop::sample::Index>(), any::<u8>()), 1..12),
    ) {
        let (mut bytes, model) = whole_profiles().swap_remove(which);
        for (place, value) in changes {
            let place = place.index(bytes.len());
            bytes[place] = value;
        }
        use_profile(&bytes, model);
    }

    #[test]
    fn arbitrary_bytes_behind_a_sound_header_never_stop_the_program(
        which in 0_usize..4,
        bytes in prop::collection::vec(any::<u8>(), 0..600),
    ) {
        let (whole, model) = whole_profiles().swap_remove(which);
        let mut changed = whole[..128].to_vec();
        changed.extend(bytes);
        let size = u32::try_from(changed.len()).unwrap();
        changed[0..4].copy_from_slice(&size.to_be_bytes());
        use_profile(&changed, model);
    }
}

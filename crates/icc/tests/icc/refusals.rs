//! What is refused, and with which words.

use colour::{ColourModel, Lab};
use inkfathom_icc::{
    IccError, MOST_PROFILE_BYTES, RenderingIntent, SourceProfile, SourceTransform,
};

use crate::made_profiles::{MadeProfile, corners, description, display, gray, scanner};

fn refused(made: &MadeProfile, expected: ColourModel) -> String {
    SourceProfile::parse(&made.bytes(), expected).unwrap_err().to_string()
}

fn parsed(made: &MadeProfile) -> SourceProfile {
    SourceProfile::parse(&made.bytes(), ColourModel::Rgb).unwrap()
}

#[test]
fn a_profile_for_other_colours_is_refused_with_both_names() {
    let message = refused(&gray(2.2), ColourModel::Rgb);
    assert!(message.contains("picture is RGB") && message.contains("`GRAY`"), "{message}");
    let message = refused(&display(2.2), ColourModel::Gray);
    assert!(message.contains("picture is gray") && message.contains("`RGB`"), "{message}");
}

#[test]
fn classes_without_colours_of_their_own_are_refused() {
    for class in [b"link", b"nmcl", b"abst", b"\xFFxyz"] {
        let mut made = display(2.2);
        made.class = *class;
        let message = refused(&made, ColourModel::Rgb);
        let name = class.escape_ascii().to_string();
        assert!(message.contains(&format!("class `{name}`")), "{message}");
    }
}

#[test]
fn bytes_that_are_no_profile_are_refused() {
    let mut unsigned = display(2.2).bytes();
    unsigned[36] = b'x';
    let mut elsewhere = display(2.2);
    elsewhere.connection_space = *b"Luv ";
    let cut = &display(2.2).bytes()[..300];
    for bytes in [&b""[..], b"acsp", cut, &unsigned, &elsewhere.bytes()] {
        let refused = SourceProfile::parse(bytes, ColourModel::Rgb).unwrap_err();
        assert!(matches!(refused, IccError::Damaged { .. }), "{refused}");
    }
    let refused = SourceProfile::parse(cut, ColourModel::Rgb).unwrap_err();
    assert!(refused.to_string().contains("300 of"), "{refused}");
}

#[test]
fn a_profile_without_curves_is_refused() {
    let mut made = display(2.2);
    made.tags.retain(|(signature, _)| signature != b"gTRC");
    let message = refused(&made, ColourModel::Rgb);
    assert!(message.contains("`hand-made display` can't be used"), "{message}");
}

#[test]
fn a_profile_with_absurd_colours_is_refused() {
    let mut made = display(2.2);
    for (signature, tag) in &mut made.tags {
        if signature == b"rXYZ" {
            tag[8..12].copy_from_slice(&i32::MAX.to_be_bytes());
        }
    }
    assert!(refused(&made, ColourModel::Rgb).contains("which is none"));
}

#[test]
fn too_large_a_profile_is_not_looked_at() {
    let bytes = vec![0; MOST_PROFILE_BYTES + 1];
    let refused = SourceProfile::parse(&bytes, ColourModel::Rgb).unwrap_err();
    assert_eq!(refused, IccError::TooLarge { bytes: 67_108_865, limit: 67_108_864 });
}

#[test]
fn padding_behind_the_profile_is_left_away() {
    let whole = display(2.2).bytes();
    let padded = [&whole[..], &[0; 7]].concat();
    let profile = SourceProfile::parse(&padded, ColourModel::Rgb).unwrap();
    assert_eq!(profile.embedded(), Some(&whole[..]));
    assert_eq!(SourceProfile::srgb().embedded(), None);
}

#[test]
fn the_description_is_the_profiles_own_and_printable() {
    assert_eq!(parsed(&display(2.2)).description(), "hand-made display");
    let mut made = display(2.2);
    made.tags[0].1 = description("bell\x07 and \x1b[31mred");
    assert_eq!(parsed(&made).description(), "bell and [31mred");
    made.tags[0].1 = description(&"long ".repeat(100));
    assert!(parsed(&made).description().chars().count() <= 200);
    made.tags.remove(0);
    assert_eq!(parsed(&made).description(), "unnamed profile");
}

#[test]
fn samples_outside_the_encoding_or_cut_colours_are_refused() {
    let srgb = SourceTransform::new(&SourceProfile::srgb(), RenderingIntent::Perceptual).unwrap();
    for sample in [-0.001, 1.001, f64::NAN, f64::INFINITY] {
        let message = srgb.to_lab(&[0.5, sample, 0.5]).unwrap_err().to_string();
        assert!(message.contains("outside 0 to 1"), "{message}");
    }
    let message = srgb.to_lab(&[0.5; 4]).unwrap_err().to_string();
    assert!(message.contains("4 samples are not whole RGB colours"), "{message}");
    assert_eq!(srgb.to_lab(&[]), Ok(Vec::new()));
}

#[test]
fn what_is_no_colour_is_not_encoded() {
    let profile = parsed(&display(2.2));
    let transform = SourceTransform::new(&profile, RenderingIntent::RelativeColorimetric).unwrap();
    for l in [f64::NAN, f64::INFINITY, -1e6] {
        let refused = transform.from_lab(Lab { l, a: 0.0, b: 0.0 }).unwrap_err();
        assert!(matches!(refused, IccError::NotAColour { .. }), "{refused}");
    }
}

#[test]
fn a_scanner_profile_is_read() {
    let white_corners = corners(Lab { l: 3.0, a: 0.0, b: 0.0 });
    let profile = parsed(&scanner(&white_corners, &white_corners));
    assert_eq!((profile.description(), profile.model()), ("hand-made scanner", ColourModel::Rgb));
}

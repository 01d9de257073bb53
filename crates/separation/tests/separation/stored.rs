//! The stored separation answers as the built one, or is refused.

use crate::support::{Random, excess, set};
use colour::Lab;
use inkfathom_separation::{InkPolicy, Separation, SeparationInputs};
use units::Share;

fn answers(separation: &Separation) -> Vec<f64> {
    let mut random = Random::new(5);
    (0..2000)
        .flat_map(|_| {
            let separated = separation.separate(random.picture_colour());
            separated.coverages.iter().map(|c| c.to_fraction()).collect::<Vec<_>>()
        })
        .collect()
}

#[test]
fn a_stored_separation_answers_bit_for_bit_as_the_built_one() {
    let set = set("five");
    let inputs = SeparationInputs::defaults(&set).unwrap();
    let built = inputs.build().unwrap();
    let restored = inputs.restore(&built.to_bytes(&inputs)).unwrap();
    assert_eq!(answers(&built), answers(&restored));
    assert_eq!(built.darkest_neutral(), restored.darkest_neutral());
}

#[test]
fn any_number_of_threads_builds_the_same_separation() {
    let set = set("five");
    let inputs = SeparationInputs::defaults(&set).unwrap();
    let built_on = |threads: usize| {
        let pool = rayon::ThreadPoolBuilder::new().num_threads(threads).build().unwrap();
        pool.install(|| inputs.build().unwrap().to_bytes(&inputs))
    };
    let alone = built_on(1);
    assert!(alone == built_on(2) && alone == built_on(7));
}

#[test]
fn damaged_foreign_and_other_inputs_are_refused() {
    let set = set("five");
    let inputs = SeparationInputs::defaults(&set).unwrap();
    let bytes = inputs.build().unwrap().to_bytes(&inputs);
    let other = SeparationInputs { policy: InkPolicy::BlackReplacement(Share::MAX), ..inputs };
    assert!(other.restore(&bytes).is_none());
    assert!(inputs.restore(b"something else").is_none());
    for cut in [0, 7, 8, 40, 45, bytes.len() / 2, bytes.len() - 1] {
        assert!(inputs.restore(&bytes[..cut]).is_none(), "cut at {cut}");
    }
    for place in [0, 9, 44, 1000, bytes.len() - 1] {
        let mut damaged = bytes.clone();
        damaged[place] ^= 1;
        assert!(inputs.restore(&damaged).is_none(), "damaged at {place}");
    }
    let white = inputs.restore(&bytes).unwrap().separate(Lab::WHITE);
    assert!(white.coverages.iter().all(|c| c.to_fraction() == 0.0));
}

/// A place among some.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "0 to the count")]
fn one_of(count: usize, random: &mut Random) -> usize {
    (random.unit() * count as f64) as usize
}

/// Bytes that are no longer what was stored: flipped, overwritten, zeroed, cut, repeated or moved.
fn damaged(bytes: &[u8], random: &mut Random) -> Vec<u8> {
    let mut damaged = bytes.to_vec();
    let length = bytes.len();
    let place = one_of(length, random);
    let end = (place + 1 + one_of(4096, random)).min(length);
    match one_of(6, random) {
        0 => damaged[place] ^= 1 << one_of(8, random),
        1 => damaged[place..end].iter_mut().for_each(|byte| *byte = !*byte),
        2 => damaged[place..end].fill(0),
        3 => damaged.truncate(place),
        4 => drop(damaged.splice(place..place, bytes[place..end].iter().copied())),
        _ => damaged.rotate_left(place.max(1)),
    }
    damaged
}

/// The stored form ends with the BLAKE3 of all before.
const CHECKSUM: usize = 32;

/// The same with a checksum that fits again: what a writer at fault would leave.
fn sealed(mut bytes: Vec<u8>) -> Vec<u8> {
    bytes.truncate(bytes.len().saturating_sub(CHECKSUM));
    let checksum = blake3::hash(&bytes);
    bytes.extend(checksum.as_bytes());
    bytes
}

#[test]
fn no_damage_gives_another_separation() {
    let set = set("five");
    let inputs = SeparationInputs::defaults(&set).unwrap();
    let bytes = inputs.build().unwrap().to_bytes(&inputs);
    let mut random = Random::new(13);
    for round in 0..2000 {
        let damaged = damaged(&bytes, &mut random);
        let refused = inputs.restore(&damaged).is_none();
        assert!(refused || damaged == bytes, "round {round}");
    }
}

#[test]
fn damage_under_a_fitting_checksum_passes_no_limit() {
    let set = set("five");
    let inputs = SeparationInputs::defaults(&set).unwrap();
    let bytes = inputs.build().unwrap().to_bytes(&inputs);
    let mut random = Random::new(17);
    let mut taken_up = 0;
    for round in 0..400 {
        let Some(separation) = inputs.restore(&sealed(damaged(&bytes, &mut random))) else {
            continue;
        };
        taken_up += 1;
        for _ in 0..100 {
            let colour = random.any_colour();
            assert!(excess(&separation, colour) <= 1e-6, "round {round}: {colour}");
        }
    }
    assert!(taken_up > 0, "no damage reached the answers");
}

#[test]
fn numbers_that_are_no_amounts_are_refused() {
    let set = set("five");
    let inputs = SeparationInputs::defaults(&set).unwrap();
    let bytes = inputs.build().unwrap().to_bytes(&inputs);
    let numbers = (bytes.len() - CHECKSUM - HEADER) / 4;
    for number in [0, 1, numbers / 2, numbers - 1] {
        for wrong in [f32::NAN, f32::INFINITY, -0.01, 1.01] {
            let mut damaged = bytes.clone();
            let place = HEADER + 4 * number;
            damaged[place..place + 4].copy_from_slice(&wrong.to_le_bytes());
            assert!(inputs.restore(&sealed(damaged)).is_none(), "{wrong} at {number}");
        }
    }
    assert!(inputs.restore(&sealed(bytes)).is_some());
}

/// Magic, key and number of nodes come before the numbers.
const HEADER: usize = 8 + 32 + 8;

//! The stored separation answers as the built one, or is refused.

use crate::support::{Random, set};
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

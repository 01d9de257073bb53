//! One transform in many threads.

use std::thread;

use inkfathom_icc::{RenderingIntent, SourceProfile, SourceTransform};

#[test]
fn a_transform_gives_the_same_bits_in_every_thread() {
    let srgb = SourceTransform::new(&SourceProfile::srgb(), RenderingIntent::Perceptual).unwrap();
    let colours: Vec<f64> =
        (0..3000).map(|place| f64::from(place * 7919 % 3001) / 3000.0).collect();
    let alone = srgb.to_lab(&colours).unwrap();
    thread::scope(|scope| {
        let together: Vec<_> = (0..8)
            .map(|_| {
                scope.spawn(|| (0..20).map(|_| srgb.to_lab(&colours).unwrap()).collect::<Vec<_>>())
            })
            .collect();
        for found in together.into_iter().flat_map(|thread| thread.join().unwrap()) {
            assert!(found == alone);
        }
    });
}

#[test]
fn a_colour_does_not_depend_on_its_neighbours() {
    let srgb = SourceTransform::new(&SourceProfile::srgb(), RenderingIntent::Perceptual).unwrap();
    let colours: Vec<f64> = (0..300).map(|place| f64::from(place) / 299.0).collect();
    let together = srgb.to_lab(&colours).unwrap();
    for (colour, expected) in colours.chunks_exact(3).zip(together) {
        assert_eq!(srgb.to_lab(colour).unwrap(), [expected]);
    }
}

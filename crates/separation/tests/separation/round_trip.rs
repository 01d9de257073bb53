//! Printable colours are printed, neutrals stay neutral, and nothing passes a limit.

use crate::support::{Random, by_policy, excess, printable, separation};
use colour::{Lab, delta_e_00};
use inkfathom_separation::{ColourTolerance, InkPolicy, Separation, Toning};
use units::Share;

const SETS: [&str; 3] = ["five", "nine", "eleven"];

#[test]
fn random_printable_colours_come_back() {
    for (name, mean_allowed, p95_allowed) in
        [("five", 0.5, 1.5), ("nine", 0.7, 2.0), ("eleven", 0.7, 2.0)]
    {
        let separation = separation(name);
        let mut random = Random::new(1);
        let mut differences = Vec::new();
        while differences.len() < 10_000 {
            if let Some(colour) = printable(separation, &mut random) {
                let back = separation.predict(&separation.separate(colour));
                differences.push(delta_e_00(colour, back));
            }
        }
        differences.sort_by(f64::total_cmp);
        let mean = differences.iter().sum::<f64>() / 10_000.0;
        println!(
            "{name}: mean {mean:.3}, p95 {:.3}, max {:.3}",
            differences[9_500], differences[9_999]
        );
        assert!(mean <= mean_allowed && differences[9_500] <= p95_allowed, "{name}");
    }
}

#[test]
fn no_limit_is_passed_by_any_colour_under_any_policy() {
    let tolerance = ColourTolerance::from_delta_e_00(1.0).unwrap();
    for policy in [
        InkPolicy::OfSet,
        InkPolicy::BlackReplacement(Share::MIN),
        InkPolicy::BlackReplacement(Share::MAX),
        InkPolicy::LeastInk(tolerance),
        InkPolicy::Monochrome(Toning::new(2.0, 6.0).unwrap()),
    ] {
        let separation = by_policy("five", policy);
        assert_within_limits(&separation, 20_000);
    }
    assert_within_limits(separation("nine"), 50_000);
    assert_within_limits(separation("eleven"), 50_000);
}

/// The limits hold to 10⁻⁶, the single precision of stored tables being 10⁻⁷.
fn assert_within_limits(separation: &Separation, colours: usize) {
    let mut random = Random::new(3);
    for _ in 0..colours {
        let colour = random.any_colour();
        assert!(excess(separation, colour) <= 1e-6, "{colour}");
    }
}

#[test]
fn white_takes_exactly_nothing_under_any_policy() {
    for policy in [InkPolicy::OfSet, InkPolicy::Monochrome(Toning::new(5.0, 5.0).unwrap())] {
        let separation = by_policy("five", policy);
        for white in [Lab::WHITE, Lab { l: 99.97, a: 0.01, b: -0.02 }] {
            let separated = separation.separate(white);
            assert!(separated.coverages.iter().all(|c| c.to_fraction() == 0.0), "{policy:?}");
        }
    }
}

#[test]
fn neutrals_stay_neutral_and_darken_steadily() {
    for name in SETS {
        let separation = separation(name);
        let darkest = separation.darkest_neutral().l;
        let mut last = f64::INFINITY;
        for step in 0..=400 {
            let l = 100.0 - 0.25 * f64::from(step);
            let printed = separation.predict(&separation.separate(Lab { l, a: 0.0, b: 0.0 }));
            assert!(printed.a.abs() <= 1.0 && printed.b.abs() <= 1.0, "{name} at {l}: {printed}");
            // Below the darkest neutral there is nothing left to darken.
            let slack = if l > darkest + 1.0 { 1e-6 } else { 0.05 };
            assert!(printed.l <= last + slack, "{name} at {l}: {} after {last}", printed.l);
            last = printed.l;
        }
    }
}

#[test]
fn a_monochrome_print_uses_the_black_family_alone_and_keeps_lightness() {
    let separation = by_policy("nine", InkPolicy::Monochrome(Toning::default()));
    let model = separation.model();
    let black: Vec<usize> = (0..model.families())
        .filter(|&family| model.family_name(family) == "black")
        .flat_map(|family| model.family_channels(family).to_vec())
        .collect();
    for (l, a, b) in [(80.0, 40.0, 20.0), (50.0, -30.0, 30.0), (25.0, 10.0, -40.0)] {
        let separated = separation.separate(Lab { l, a, b });
        for (channel, coverage) in separated.coverages.iter().enumerate() {
            assert!(black.contains(&channel) || coverage.to_fraction() == 0.0);
        }
        let printed = separation.predict(&separated);
        assert!((printed.l - l).abs() < 0.5 && printed.chroma() < 2.0, "{printed}");
    }
}

#[test]
fn a_toning_tints_the_mid_greys() {
    let separation = by_policy("five", InkPolicy::Monochrome(Toning::new(3.0, 9.0).unwrap()));
    let printed = separation.predict(&separation.separate(Lab { l: 50.0, a: 0.0, b: 0.0 }));
    assert!((printed.a - 3.0).abs() < 0.5 && (printed.b - 9.0).abs() < 0.5, "{printed}");
}

#[test]
fn more_black_replacement_puts_more_black_into_neutrals() {
    let black_of = |percent: f64| {
        let share = Share::from_fraction(percent / 100.0).unwrap();
        let separation = by_policy("five", InkPolicy::BlackReplacement(share));
        let separated = separation.separate(Lab { l: 40.0, a: 0.0, b: 0.0 });
        separated.coverages[3].to_fraction()
    };
    let (none, half, all) = (black_of(0.0), black_of(50.0), black_of(100.0));
    assert!(none + 0.05 < half && half + 0.05 < all, "{none} {half} {all}");
}

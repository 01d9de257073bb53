//! Neighbouring colours get neighbouring separations.
//!
//! What is left over the limits on eleven inks are dark saturated colours next to the gamut's
//! edge: under much black a step of ΔE*ab 1 needs more of a chromatic ink than elsewhere.

use crate::steps::Steps;
use crate::support::{separation, set};

/// Share of the steps that may move one channel further, and how far, by ink set.
const FURTHER: [(&str, f64, f64); 3] =
    [("five", 0.0, 0.05), ("nine", 0.002, 0.11), ("eleven", 0.015, 0.17)];

#[test]
fn channels_move_gently_along_hue_circles_and_lines() {
    for (name, share_further, furthest) in FURTHER {
        let steps = Steps::along_circles_and_lines(separation(name), &set(name));
        let share = steps.over as f64 / steps.steps as f64;
        println!(
            "{name}: longest step full {:.3}, light {:.3}, tint {:.3}; {} of {} steps over",
            steps.full, steps.light, steps.tint, steps.over, steps.steps
        );
        assert!(share <= share_further, "{name}: {share} of the steps are too long");
        assert!(steps.full.max(steps.light).max(steps.tint) <= furthest, "{name}");
    }
}

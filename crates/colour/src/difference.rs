use palette::Lab as PaletteLab;
use palette::color_difference::Ciede2000;
use palette::white_point::D50;

use crate::Lab;

/// The CIEDE2000 colour difference ΔE00 (ISO/CIE 11664-6), parametric factors 1.
#[must_use]
pub fn delta_e_00(one: Lab, other: Lab) -> f64 {
    to_palette(one).difference(to_palette(other))
}

/// The CIELAB colour difference ΔE*ab (CIE 15): the distance between two colours.
#[must_use]
pub fn delta_e_ab(one: Lab, other: Lab) -> f64 {
    let lightness = one.l - other.l;
    (one.a - other.a).hypot(one.b - other.b).hypot(lightness)
}

/// The white point is only a tag here: the formula uses L*, a*, b* alone.
fn to_palette(colour: Lab) -> PaletteLab<D50, f64> {
    PaletteLab::new(colour.l, colour.a, colour.b)
}

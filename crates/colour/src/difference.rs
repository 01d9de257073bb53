use crate::Lab;

/// The CIEDE2000 colour difference ΔE00 (ISO/CIE 11664-6), parametric factors 1.
///
/// Source: Sharma, Wu and Dalal, Color Research and Application 30 (2005), whose equations this
/// follows. Hues enter by their sines and cosines, which the colours give without angles; the mean
/// hue is the direction halfway along the shorter arc.
#[must_use]
pub fn delta_e_00(one: Lab, other: Lab) -> f64 {
    let mean_chroma = f64::midpoint(length(one.a, one.b), length(other.a, other.b));
    let stretch = 1.0 + 0.5 * (1.0 - chroma_weight(mean_chroma));
    let (one, other) = (Stretched::of(one, stretch), Stretched::of(other, stretch));
    let lightness = f64::midpoint(one.l, other.l) - 50.0;
    let chroma = f64::midpoint(one.chroma, other.chroma);
    let hue = mean_hue(one, other);
    let away = lightness * lightness;
    let by_lightness = (other.l - one.l) / (1.0 + 0.015 * away / (20.0 + away).sqrt());
    let by_chroma = (other.chroma - one.chroma) / (1.0 + 0.045 * chroma);
    let by_hue = hue_difference(one, other) / (1.0 + 0.015 * chroma * hue.weight());
    let rotation = hue.rotation() * 2.0 * chroma_weight(chroma);
    let squared = by_lightness * by_lightness
        + by_chroma * by_chroma
        + by_hue * by_hue
        + rotation * by_chroma * by_hue;
    squared.max(0.0).sqrt()
}

/// The CIELAB colour difference ΔE*ab (CIE 15): the distance between two colours.
#[must_use]
pub fn delta_e_ab(one: Lab, other: Lab) -> f64 {
    let [l, a, b] = [one.l - other.l, one.a - other.a, one.b - other.b];
    (l * l + a * a + b * b).sqrt()
}

/// A colour with its a* stretched, as the formula does to near-neutral colours.
#[derive(Clone, Copy)]
struct Stretched {
    l: f64,
    a: f64,
    b: f64,
    chroma: f64,
}

impl Stretched {
    fn of(Lab { l, a, b }: Lab, stretch: f64) -> Self {
        let a = stretch * a;
        Self { l, a, b, chroma: length(a, b) }
    }

    /// Cosine and sine of the hue; 0° for a neutral.
    fn direction(self) -> (f64, f64) {
        if self.chroma > 0.0 { (self.a / self.chroma, self.b / self.chroma) } else { (1.0, 0.0) }
    }
}

/// A hue by its cosine and sine.
#[derive(Clone, Copy)]
struct Hue {
    cos: f64,
    sin: f64,
}

impl Hue {
    /// The weighting function T.
    fn weight(self) -> f64 {
        /// Cosines and sines of the formula's 30°, 6° and 63°.
        const THIRTY: (f64, f64) = (0.866_025_403_784_438_6, 0.5);
        const SIX: (f64, f64) = (0.994_521_895_368_273_3, 0.104_528_463_267_653_47);
        const SIXTY_THREE: (f64, f64) = (0.453_990_499_739_546_8, 0.891_006_524_188_367_9);
        let Self { cos, sin } = self;
        let (cos_2, sin_2) = (cos * cos - sin * sin, 2.0 * sin * cos);
        let (cos_3, sin_3) = (cos_2 * cos - sin_2 * sin, sin_2 * cos + cos_2 * sin);
        let (cos_4, sin_4) = (cos_2 * cos_2 - sin_2 * sin_2, 2.0 * sin_2 * cos_2);
        1.0 - 0.17 * (cos * THIRTY.0 + sin * THIRTY.1)
            + 0.24 * cos_2
            + 0.32 * (cos_3 * SIX.0 - sin_3 * SIX.1)
            - 0.20 * (cos_4 * SIXTY_THREE.0 + sin_4 * SIXTY_THREE.1)
    }

    /// Rotation of the ellipses, -sin 2Δθ: large in blue alone.
    fn rotation(self) -> f64 {
        let degrees = self.sin.atan2(self.cos).to_degrees();
        let from_blue = (if degrees < 0.0 { degrees + 360.0 } else { degrees } - 275.0) / 25.0;
        -(60.0_f64.to_radians() * (-from_blue * from_blue).exp()).sin()
    }
}

/// √(C⁷ / (C⁷ + 25⁷)).
fn chroma_weight(chroma: f64) -> f64 {
    const SEVENTH_POWER_OF_25: f64 = 6_103_515_625.0;
    let seventh = chroma.powi(7);
    (seventh / (seventh + SEVENTH_POWER_OF_25)).sqrt()
}

/// ΔH′ = 2 √(C′₁C′₂) sin(Δh′ / 2), by the products of the colours: both forms are the same, and
/// each is exact where it is used.
fn hue_difference(one: Stretched, other: Stretched) -> f64 {
    let chromas = one.chroma * other.chroma;
    let cross = one.a * other.b - one.b * other.a;
    let dot = one.a * other.a + one.b * other.b;
    if chromas == 0.0 {
        0.0
    } else if dot > 0.0 {
        cross / f64::midpoint(chromas, dot).sqrt()
    } else {
        (2.0 * (chromas - dot)).sqrt().copysign(cross)
    }
}

/// Halfway along the shorter arc between two hues; of a neutral and a colour, the colour's.
fn mean_hue(one: Stretched, other: Stretched) -> Hue {
    let ((cos, sin), (other_cos, other_sin)) = (one.direction(), other.direction());
    if one.chroma == 0.0 || other.chroma == 0.0 {
        let (cos, sin) = if one.chroma == 0.0 { (other_cos, other_sin) } else { (cos, sin) };
        return Hue { cos, sin };
    }
    let cross = cos * other_sin - sin * other_cos;
    let (x, y) = if cos * other_cos + sin * other_sin > 0.0 {
        (cos + other_cos, sin + other_sin)
    } else {
        // Across the line between them, which is long where their sum is short.
        let (x, y) = (other_sin - sin, cos - other_cos);
        // Of two opposite hues the mean is 90° above the smaller one.
        let turned = if cross == 0.0 { x > 0.0 || (x == 0.0 && y < 0.0) } else { cross < 0.0 };
        if turned { (-x, -y) } else { (x, y) }
    };
    let scale = length(x, y);
    Hue { cos: x / scale, sin: y / scale }
}

/// Without the care for overflow that `hypot` takes: colours are far from it.
fn length(one: f64, other: f64) -> f64 {
    (one * one + other * other).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use palette::color_difference::Ciede2000;
    use palette::white_point::D50;
    use proptest::prelude::*;

    /// The other library leaves mean hues above 360° as they are, which moves the rotation around red by
    /// up to a ten-thousandth of a unit or two, of sixty.
    const MEAN_HUES_ABOVE_360: f64 = 1e-3;

    /// A second computation; the white is only a tag.
    fn of_palette(one: Lab, other: Lab) -> f64 {
        let colour = |lab: Lab| palette::Lab::<D50, f64>::new(lab.l, lab.a, lab.b);
        colour(one).difference(colour(other))
    }

    fn lab() -> impl Strategy<Value = Lab> {
        (0.0..100.0_f64, -128.0..128.0_f64, -128.0..128.0_f64).prop_map(|(l, a, b)| Lab { l, a, b })
    }

    proptest! {
        #[test]
        fn any_two_colours_differ_as_another_library_says(one in lab(), other in lab()) {
            let found = delta_e_00(one, other);
            assert_abs_diff_eq!(found, of_palette(one, other), epsilon = MEAN_HUES_ABOVE_360);
        }

        #[test]
        fn near_colours_differ_as_another_library_says(
            one in lab(), step in prop::array::uniform3(-1e-3..1e-3_f64),
        ) {
            let other = Lab { l: one.l + step[0], a: one.a + step[1], b: one.b + step[2] };
            assert_abs_diff_eq!(delta_e_00(one, other), of_palette(one, other), epsilon = 1e-9);
        }
    }

    #[test]
    fn neutrals_and_opposite_hues_differ_as_another_library_says() {
        let axis = [(0.0, 0.0), (40.0, 0.0), (-40.0, 0.0), (0.0, 40.0), (0.0, -40.0)];
        for (a, b) in axis {
            for (other_a, other_b) in axis {
                let (one, other) = (Lab { l: 40.0, a, b }, Lab { l: 60.0, a: other_a, b: other_b });
                assert_abs_diff_eq!(delta_e_00(one, other), of_palette(one, other), epsilon = 1e-9);
            }
        }
    }

    #[test]
    fn a_colour_does_not_differ_from_itself() {
        for colour in [Lab::WHITE, Lab { l: 30.0, a: 68.0, b: -112.0 }] {
            assert_abs_diff_eq!(delta_e_00(colour, colour), 0.0, epsilon = 1e-12);
        }
    }
}

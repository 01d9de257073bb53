use std::fmt;
use std::ops::Mul;

use crate::quantity::{quantity, summable};
use crate::{Coverage, DotsPerInch, DropVolume};

quantity! {
    /// Millilitres of one ink per square metre at full coverage. Aqueous sets lay down about
    /// 5 to 12 (from memory, unverified); the range leaves room for textile and tile printing.
    LayDown, "lay-down", "ml/m²", 0.0, 200.0,
    from_millilitres_per_square_metre, to_millilitres_per_square_metre
}

quantity! {
    /// Millilitres of all inks per square metre at one place; the medium's limit is given in it.
    Load, "ink load", "ml/m²", 0.0, 2400.0,
    from_millilitres_per_square_metre, to_millilitres_per_square_metre
}
summable!(Load);

/// Dots per inch squared to dots per square metre: (1 / 0.0254 m)².
const DOTS_PER_SQUARE_METRE: f64 = 1.0 / (0.0254 * 0.0254);
const MILLILITRES_PER_PICOLITRE: f64 = 1e-9;

impl LayDown {
    /// The lay-down of a dot grid: dots per inch across × along × drops per cell × mean drop.
    ///
    /// # Errors
    ///
    /// `OutOfRange` when the product exceeds 200 ml/m².
    pub fn from_dots(
        across: DotsPerInch,
        along: DotsPerInch,
        drops_per_cell: f64,
        mean_drop: DropVolume,
    ) -> Result<Self, crate::UnitError> {
        let dots = across.to_dots_per_inch() * along.to_dots_per_inch() * DOTS_PER_SQUARE_METRE;
        let picolitres = dots * drops_per_cell * mean_drop.to_picolitres();
        Self::from_millilitres_per_square_metre(picolitres * MILLILITRES_PER_PICOLITRE)
    }
}

impl Mul<Coverage> for LayDown {
    type Output = Load;
    fn mul(self, coverage: Coverage) -> Load {
        Load(self.0 * coverage.to_fraction())
    }
}

impl fmt::Display for LayDown {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{:.2} ml/m²", self.0)
    }
}

impl fmt::Display for Load {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{:.2} ml/m²", self.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// Worked values of the dot geometry, printed to three decimals.
    const PRINTED_DECIMALS: f64 = 5e-4;

    #[test]
    fn dot_geometry_gives_the_worked_lay_downs() {
        for (dpi, picolitres, expected) in
            [(600.0, 10.0, 5.580), (1200.0, 4.0, 8.928), (720.0, 7.0, 5.625)]
        {
            let dpi = DotsPerInch::from_dots_per_inch(dpi).unwrap();
            let drop = DropVolume::from_picolitres(picolitres).unwrap();
            let lay_down = LayDown::from_dots(dpi, dpi, 1.0, drop).unwrap();
            assert_abs_diff_eq!(
                lay_down.to_millilitres_per_square_metre(),
                expected,
                epsilon = PRINTED_DECIMALS
            );
        }
    }
}

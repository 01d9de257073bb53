#![expect(clippy::suspicious_arithmetic_impl, reason = "product and quotient rules")]

use std::ops::{Add, Div, Mul, Neg, Sub};

/// A number with its slopes over three variables: forward-mode differentiation, so that the
/// inverse has exact derivatives of formulas as long as CIEDE2000.
#[derive(Clone, Copy, Debug)]
pub(crate) struct Dual {
    pub(crate) value: f64,
    pub(crate) slopes: [f64; 3],
}

impl Dual {
    /// A number that doesn't vary.
    pub(crate) const fn constant(value: f64) -> Self {
        Self { value, slopes: [0.0; 3] }
    }

    /// One of the three variables.
    pub(crate) const fn variable(value: f64, axis: usize) -> Self {
        let mut slopes = [0.0; 3];
        slopes[axis] = 1.0;
        Self { value, slopes }
    }

    /// A function of one number, by its value and its slope there.
    fn chained(self, value: f64, slope: f64) -> Self {
        Self { value, slopes: self.slopes.map(|s| s * slope) }
    }

    pub(crate) fn sqrt(self) -> Self {
        // Keeps the slope finite at zero, where distances have a kink.
        let root = self.value.max(1e-18).sqrt();
        self.chained(root, 0.5 / root)
    }

    pub(crate) fn cbrt(self) -> Self {
        let root = self.value.cbrt();
        self.chained(root, 1.0 / (3.0 * (root * root).max(1e-12)))
    }

    pub(crate) fn powi(self, exponent: i32) -> Self {
        let lower = self.value.powi(exponent - 1);
        self.chained(lower * self.value, f64::from(exponent) * lower)
    }

    pub(crate) fn sin(self) -> Self {
        self.chained(self.value.sin(), self.value.cos())
    }

    pub(crate) fn cos(self) -> Self {
        self.chained(self.value.cos(), -self.value.sin())
    }

    pub(crate) fn exp(self) -> Self {
        let value = self.value.exp();
        self.chained(value, value)
    }

    /// The angle of (x, y); at the origin it has no slope.
    pub(crate) fn atan2(y: Self, x: Self) -> Self {
        let square = (x.value * x.value + y.value * y.value).max(1e-18);
        let slope = |axis| (x.value * y.slopes[axis] - y.value * x.slopes[axis]) / square;
        Self { value: y.value.atan2(x.value), slopes: std::array::from_fn(slope) }
    }
}

impl Add for Dual {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        let slopes = std::array::from_fn(|axis| self.slopes[axis] + other.slopes[axis]);
        Self { value: self.value + other.value, slopes }
    }
}

impl Sub for Dual {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        self + -other
    }
}

impl Neg for Dual {
    type Output = Self;
    fn neg(self) -> Self {
        Self { value: -self.value, slopes: self.slopes.map(|slope| -slope) }
    }
}

impl Mul for Dual {
    type Output = Self;
    fn mul(self, other: Self) -> Self {
        let slope = |axis| self.slopes[axis] * other.value + self.value * other.slopes[axis];
        Self { value: self.value * other.value, slopes: std::array::from_fn(slope) }
    }
}

impl Div for Dual {
    type Output = Self;
    fn div(self, other: Self) -> Self {
        let value = self.value / other.value;
        let slope = |axis| (self.slopes[axis] - value * other.slopes[axis]) / other.value;
        Self { value, slopes: std::array::from_fn(slope) }
    }
}

impl Mul<f64> for Dual {
    type Output = Self;
    fn mul(self, factor: f64) -> Self {
        self.chained(self.value * factor, factor)
    }
}

impl Add<f64> for Dual {
    type Output = Self;
    fn add(self, term: f64) -> Self {
        Self { value: self.value + term, ..self }
    }
}

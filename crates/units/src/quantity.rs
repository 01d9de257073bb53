/// Defines a newtype over `f64` with a checked range.
///
/// The generated constructor and getter carry the unit in their names, so that a call site
/// reads `LayDown::from_millilitres_per_square_metre(9.0)`.
macro_rules! quantity {
    (
        $(#[$doc:meta])*
        $name:ident, $label:literal, $unit:literal, $low:expr, $high:expr, $from:ident, $to:ident
    ) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, PartialOrd)]
        pub struct $name(f64);

        impl $name {
            /// The lowest value.
            pub const MIN: Self = Self($low);
            /// The highest value.
            pub const MAX: Self = Self($high);

            #[doc = concat!("Makes the quantity from a number in ", $unit, ".")]
            ///
            /// # Errors
            ///
            #[doc = concat!("`OutOfRange` outside ", stringify!($low), " to ", stringify!($high), " or for NaN.")]
            pub fn $from(value: f64) -> Result<Self, $crate::UnitError> {
                if ($low..=$high).contains(&value) {
                    Ok(Self(value))
                } else {
                    Err($crate::UnitError::OutOfRange {
                        quantity: $label,
                        value,
                        low: $low,
                        high: $high,
                        unit: $unit,
                    })
                }
            }

            #[doc = concat!("The number in ", $unit, ".")]
            #[must_use]
            pub const fn $to(self) -> f64 {
                self.0
            }
        }
    };
}

/// Adds `+`, `+=` and `sum` to a quantity for which a sum has a meaning.
macro_rules! summable {
    ($name:ident) => {
        impl std::ops::Add for $name {
            type Output = Self;
            fn add(self, other: Self) -> Self {
                Self(self.0 + other.0)
            }
        }

        impl std::ops::AddAssign for $name {
            fn add_assign(&mut self, other: Self) {
                self.0 += other.0;
            }
        }

        impl std::iter::Sum for $name {
            fn sum<I: Iterator<Item = Self>>(terms: I) -> Self {
                Self(terms.map(|term| term.0).sum())
            }
        }

        impl $name {
            /// Nothing of it.
            pub const ZERO: Self = Self(0.0);
        }
    };
}

pub(crate) use quantity;
pub(crate) use summable;

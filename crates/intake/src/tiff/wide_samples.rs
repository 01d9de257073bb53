use crate::tags::ByteOrder;

/// Samples that are stored wider than they are delivered: 16 bits are kept.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct WideSamples {
    pub(super) kind: WideKind,
    pub(super) order: ByteOrder,
    pub(super) prediction: Prediction,
}

/// How a wide sample is coded.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum WideKind {
    /// Unsigned, of which the upper half is kept.
    Integer32,
    /// IEEE 754 half precision, 0 to 1.
    Float16,
    /// IEEE 754 single precision, 0 to 1.
    Float32,
    /// IEEE 754 double precision, 0 to 1.
    Float64,
}

/// How a row of wide samples refers to itself.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Prediction {
    None,
    /// Whole samples as differences (TIFF 6.0, section 14).
    Differences,
    /// Bytes by weight, as differences (TIFF Technical Note 3).
    Bytes,
}

/// What was met among samples that should lie between 0 and 1.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) struct Strays {
    /// Below 0 or above 1: cut.
    pub(super) outside: u64,
    /// Not a number: no picture.
    pub(super) not_numbers: u64,
}

impl WideKind {
    pub(super) const fn bytes(self) -> usize {
        match self {
            Self::Float16 => 2,
            Self::Integer32 | Self::Float32 => 4,
            Self::Float64 => 8,
        }
    }
}

impl WideSamples {
    /// Turns a stored row into samples of 16 bits; pixels have `samples` of them.
    pub(super) fn narrow(self, raw: &[u8], samples: usize, into: &mut [u16], strays: &mut Strays) {
        let wide = match self.prediction {
            Prediction::Bytes => {
                self.numbers(&merged(raw, samples, self.kind.bytes()), ByteOrder::Big)
            }
            Prediction::Differences => {
                let mut wide = self.numbers(raw, self.order);
                for index in samples..wide.len() {
                    wide[index] = self.wrapped(wide[index].wrapping_add(wide[index - samples]));
                }
                wide
            }
            Prediction::None => self.numbers(raw, self.order),
        };
        for (sample, wide) in into.iter_mut().zip(wide) {
            *sample = self.level(wide, strays);
        }
    }

    fn numbers(self, raw: &[u8], order: ByteOrder) -> Vec<u64> {
        let append = |number: u64, byte: &u8| number << 8 | u64::from(*byte);
        let number = |bytes: &[u8]| match order {
            ByteOrder::Big => bytes.iter().fold(0, append),
            ByteOrder::Little => bytes.iter().rev().fold(0, append),
        };
        raw.chunks_exact(self.kind.bytes()).map(number).collect()
    }

    fn wrapped(self, number: u64) -> u64 {
        match self.kind.bytes() {
            8 => number,
            bytes => number & ((1 << (8 * bytes)) - 1),
        }
    }

    fn level(self, number: u64, strays: &mut Strays) -> u16 {
        let low = u32::try_from(number & u64::from(u32::MAX)).unwrap_or(0);
        let value = match self.kind {
            WideKind::Integer32 => return u16::try_from(low >> 16).unwrap_or(u16::MAX),
            WideKind::Float16 => half(low),
            WideKind::Float32 => f64::from(f32::from_bits(low)),
            WideKind::Float64 => f64::from_bits(number),
        };
        strays.not_numbers += u64::from(value.is_nan());
        strays.outside += u64::from(!value.is_nan() && !(0.0..=1.0).contains(&value));
        rounded(value)
    }
}

#[expect(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "clamped to 0 to 65,535 before; not a number becomes 0 and is counted"
)]
fn rounded(value: f64) -> u16 {
    (value.clamp(0.0, 1.0) * f64::from(u16::MAX)).round() as u16
}

/// IEEE 754 half precision: 1, 5 and 10 bits.
fn half(bits: u32) -> f64 {
    let (exponent, fraction) = (bits >> 10 & 31, f64::from(bits & 1023) / 1024.0);
    let size = match exponent {
        0 => fraction * 2_f64.powi(-14),
        31 if fraction > 0.0 => f64::NAN,
        31 => f64::INFINITY,
        _ => (1.0 + fraction) * 2_f64.powi(i32::try_from(exponent).unwrap_or(0) - 15),
    };
    if bits >> 15 & 1 == 1 { -size } else { size }
}

/// Undoes the floating-point predictor: bytes are added up along the row, then the bytes of each
/// sample are gathered from its planes, the heaviest first.
fn merged(raw: &[u8], samples: usize, width: usize) -> Vec<u8> {
    let mut bytes = raw.to_vec();
    for index in samples..bytes.len() {
        bytes[index] = bytes[index].wrapping_add(bytes[index - samples]);
    }
    let count = bytes.len() / width;
    (0..count)
        .flat_map(|sample| (0..width).map(move |plane| (plane, sample)))
        .map(|(plane, sample)| bytes[plane * count + sample])
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn narrowed(kind: WideKind, raw: &[u8]) -> (Vec<u16>, Strays) {
        let wide = WideSamples { kind, order: ByteOrder::Little, prediction: Prediction::None };
        let (mut into, mut strays) = (vec![0; raw.len() / kind.bytes()], Strays::default());
        wide.narrow(raw, 1, &mut into, &mut strays);
        (into, strays)
    }

    #[test]
    fn floats_fill_the_scale_and_strays_are_counted() {
        let raw: Vec<u8> = [0.0_f32, 0.5, 1.0, 1.5, -0.25, f32::NAN]
            .iter()
            .flat_map(|v| v.to_le_bytes())
            .collect();
        let (levels, strays) = narrowed(WideKind::Float32, &raw);
        assert_eq!(levels[..5], [0, 32768, 65535, 65535, 0]);
        assert_eq!(strays, Strays { outside: 2, not_numbers: 1 });
    }

    #[test]
    fn half_precision_has_the_values_of_its_standard() {
        for (bits, value) in [
            (0x3c00, 1.0),
            (0x3800, 0.5),
            (0x3555, 0.333_251_953_125),
            (0xc000, -2.0),
            (1, 2_f64.powi(-24)),
        ] {
            assert_eq!(half(bits), value);
        }
    }

    #[test]
    fn the_upper_half_of_an_integer_is_kept() {
        let (levels, _) = narrowed(WideKind::Integer32, &0x1234_ffff_u32.to_le_bytes());
        assert_eq!(levels, [0x1234]);
    }
}

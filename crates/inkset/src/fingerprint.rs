use std::collections::BTreeMap;
use std::fmt;
use std::path::PathBuf;

use blake3::Hasher;
use colour::Spectrum;
use units::{
    Coverage, DeviceValue, DotsPerInch, DropVolume, EffectiveCoverage, LayDown, Length, Load,
    Money, Reflectance, Share, TotalAreaCoverage, Volume,
};

use crate::{
    Backing, BuiltSeparation, Cartridge, DeviceCurve, DropMix, DropMixRow, EffectiveCoverageCurve,
    EffectiveValues, Heads, Ink, InkSet, MachineFacts, MeasuredPrimary, MeasurementCondition,
    MixedBands, PrintMode, Provenance, RampLaw, SeparationDefaults, Solid, SolidSpectrum,
    Substrate,
};

/// Changes whenever the canonical form below changes its meaning.
const FORM: &str = "inkfathom ink set 2";

/// Identifies the content of an ink set: the same for two texts that differ in comments, layout
/// or the order of keys alone.
#[derive(Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Fingerprint([u8; 32]);

impl Fingerprint {
    /// The 32 bytes of the BLAKE3 hash.
    #[must_use]
    pub const fn bytes(self) -> [u8; 32] {
        self.0
    }
}

impl fmt::Display for Fingerprint {
    /// 64 hexadecimal digits.
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.iter().try_for_each(|byte| write!(out, "{byte:02x}"))
    }
}

impl fmt::Debug for Fingerprint {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "Fingerprint({self})")
    }
}

impl InkSet {
    /// The BLAKE3 hash of everything that the set says, prices and provenance included.
    #[must_use]
    pub fn fingerprint(&self) -> Fingerprint {
        let mut hasher = Hasher::new();
        FORM.feed(&mut hasher);
        self.feed(&mut hasher);
        Fingerprint(*hasher.finalize().as_bytes())
    }
}

/// Feeds a value into the hash in a form that no other value of its type has.
trait Canonical {
    fn feed(&self, hasher: &mut Hasher);
}

/// Structures are fed field by field; a field that is forgotten here does not compile.
macro_rules! by_fields {
    ($($type:ident { $($field:ident),+ })+) => {
        $(impl Canonical for $type {
            fn feed(&self, hasher: &mut Hasher) {
                let Self { $($field),+ } = self;
                $($field.feed(hasher);)+
            }
        })+
    };
}

by_fields! {
    InkSet { name, title, provenance, inks, substrates, print_modes, separation, machine }
    Ink { name, family, solid, limit, cartridge, provenance }
    SolidSpectrum { spectrum, condition, backing, printed_on }
    Cartridge { size, price }
    Substrate {
        name, white, condition, backing, active_black, load_limit, total_area_coverage_limit,
        darkest_reflectance, surface_reflectance, trapping, ramp_law, mixed_bands, curves, primaries,
        provenance
    }
    EffectiveCoverageCurve { coverages, effective }
    MeasuredPrimary { amounts, spectrum }
    PrintMode { name, across, along, drops_per_cell, drop_mix, lay_down, device_curve }
    DropMix { volumes, rows }
    DropMixRow { coverage, shares }
    BuiltSeparation { black_replacement, black_start, black_curve, crossover, family_limits }
    MachineFacts {
        widest, price, idle_per_day, cleaning, cleanings_per_month, start_up, residual_ink, heads,
        maintenance_per_year
    }
    Heads { count, price, life_months }
}

macro_rules! by_number {
    ($($type:ident as $number:ident)+) => {
        $(impl Canonical for $type {
            fn feed(&self, hasher: &mut Hasher) {
                self.$number().feed(hasher);
            }
        })+
    };
}

by_number! {
    Coverage as to_fraction
    DeviceValue as to_fraction
    EffectiveCoverage as to_fraction
    Share as to_fraction
    TotalAreaCoverage as to_fraction
    Reflectance as to_unit
    DotsPerInch as to_dots_per_inch
    DropVolume as to_picolitres
    LayDown as to_millilitres_per_square_metre
    Load as to_millilitres_per_square_metre
    Length as to_metres
    Volume as to_millilitres
    Spectrum as bands
}

/// Choices are fed as the number of the choice, then what it carries.
macro_rules! by_choice {
    ($($type:ident { $($number:literal: $pattern:pat => ($($carried:ident),*)),+ $(,)? })+) => {
        $(impl Canonical for $type {
            fn feed(&self, hasher: &mut Hasher) {
                match self {
                    $($pattern => {
                        hasher.update(&[$number]);
                        $($carried.feed(hasher);)*
                    })+
                }
            }
        })+
    };
}

by_choice! {
    Solid {
        0: Self::Full(solid) => (solid),
        1: Self::LightBySpectrum { solid, stated_strength } => (solid, stated_strength),
        2: Self::LightByStrength(strength) => (strength),
    }
    Provenance { 0: Self::Measured => (), 1: Self::Invented => () }
    MeasurementCondition {
        0: Self::M0 => (), 1: Self::M1 => (), 2: Self::M2 => (), 3: Self::M3 => ()
    }
    Backing { 0: Self::White => (), 1: Self::Black => (), 2: Self::SelfBacking => () }
    RampLaw {
        0: Self::YuleNielsen { n } => (n),
        1: Self::KubelkaMunk { n } => (n),
        2: Self::KubelkaMunkMixtures { n } => (n),
    }
    MixedBands { 0: Self::Spectral => (), 1: Self::Tristimulus => () }
    EffectiveValues {
        0: Self::AllBands(nodes) => (nodes),
        1: Self::PerBand(nodes) => (nodes),
        2: Self::PerTristimulus(nodes) => (nodes),
    }
    DeviceCurve { 0: Self::Unknown => (), 1: Self::Points(points) => (points) }
    SeparationDefaults { 0: Self::Built(built) => (built), 1: Self::OutputProfile(path) => (path) }
}

impl Canonical for f64 {
    fn feed(&self, hasher: &mut Hasher) {
        // Adding zero turns -0 into 0, which is equal to it.
        hasher.update(&(self + 0.0).to_bits().to_le_bytes());
    }
}

impl Canonical for str {
    fn feed(&self, hasher: &mut Hasher) {
        self.len().feed(hasher);
        hasher.update(self.as_bytes());
    }
}

impl Canonical for u32 {
    fn feed(&self, hasher: &mut Hasher) {
        hasher.update(&self.to_le_bytes());
    }
}

impl Canonical for usize {
    fn feed(&self, hasher: &mut Hasher) {
        hasher.update(&(*self as u64).to_le_bytes());
    }
}

impl Canonical for String {
    fn feed(&self, hasher: &mut Hasher) {
        self.as_str().feed(hasher);
    }
}

impl Canonical for PathBuf {
    fn feed(&self, hasher: &mut Hasher) {
        self.to_string_lossy().feed(hasher);
    }
}

impl Canonical for Money {
    fn feed(&self, hasher: &mut Hasher) {
        self.amount().normalize().to_string().feed(hasher);
        self.currency().code().feed(hasher);
    }
}

impl<const N: usize> Canonical for [f64; N] {
    fn feed(&self, hasher: &mut Hasher) {
        self.iter().for_each(|value| value.feed(hasher));
    }
}

impl<T: Canonical> Canonical for Vec<T> {
    fn feed(&self, hasher: &mut Hasher) {
        self.len().feed(hasher);
        self.iter().for_each(|value| value.feed(hasher));
    }
}

impl<T: Canonical> Canonical for Option<T> {
    fn feed(&self, hasher: &mut Hasher) {
        hasher.update(&[u8::from(self.is_some())]);
        self.iter().for_each(|value| value.feed(hasher));
    }
}

impl<T: Canonical> Canonical for BTreeMap<String, T> {
    fn feed(&self, hasher: &mut Hasher) {
        self.len().feed(hasher);
        for (name, value) in self {
            name.feed(hasher);
            value.feed(hasher);
        }
    }
}

impl<A: Canonical, B: Canonical> Canonical for (A, B) {
    fn feed(&self, hasher: &mut Hasher) {
        self.0.feed(hasher);
        self.1.feed(hasher);
    }
}

#[cfg(test)]
mod tests {
    use crate::{InkSet, builtin, builtin_names};

    fn five() -> &'static str {
        builtin("five").unwrap().text
    }

    fn fingerprint(text: &str) -> String {
        let parsed = InkSet::parse(text, "test").unwrap();
        parsed.set.fingerprint().to_string()
    }

    #[test]
    fn comments_layout_and_number_spelling_do_not_change_the_fingerprint() {
        let changed = five()
            .replace("# INVENTED", "# Changed")
            .replace("limit_percent = 100\n", "limit_percent   =  100.0\n\n")
            .replace("210.00", "210.0");
        assert!(changed != five());
        assert_eq!(fingerprint(&changed), fingerprint(five()));
    }

    #[test]
    fn every_changed_value_changes_the_fingerprint() {
        let original = fingerprint(five());
        for (from, to) in [
            ("M1", "M2"),
            ("load_limit_ml_per_m2 = 22", "load_limit_ml_per_m2 = 23"),
            ("cartridge_price = 210.00", "cartridge_price = 210.01"),
            ("0.2578", "0.2579"),
            ("shares_percent = [60, 40, 0]", "shares_percent = [61, 39, 0]"),
            ("black_curve_exponent = 1", "black_curve_exponent = 1.6"),
            ("residual_percent = 3", "residual_percent = 4"),
            ("n = 2", "n = 2.5"),
        ] {
            let changed = five().replace(from, to);
            assert!(five().contains(from), "{from} is not in the text");
            assert_ne!(fingerprint(&changed), original, "{from} -> {to}");
        }
    }

    #[test]
    fn a_fingerprint_is_64_hexadecimal_digits() {
        for name in builtin_names() {
            let digits = fingerprint(builtin(name).unwrap().text);
            assert_eq!(digits.len(), 64);
            assert!(digits.chars().all(|digit| digit.is_ascii_hexdigit()));
        }
    }
}

use crate::quantity::quantity;

quantity! {
    /// Share of the light that a surface returns in one wavelength band, relative to the
    /// perfect reflecting diffuser. Papers with brightener may exceed 1 near 440 nm.
    Reflectance, "reflectance", "(unit reflectance)", 0.0, 1.3, from_unit, to_unit
}

"""Prints the table in crates/icc/tests/icc/srgb_oracle.rs: sRGB colours in CIELAB of the PCS.

Method: colour-science 0.4.7. sRGB decoding curve (IEC 61966-2-1), matrices derived from the
published primaries and the white x 0.3127, y 0.3290 at full precision, Bradford adaptation to
the ICC profile connection space white (0.9642, 1, 0.8249), CIELAB relative to that white.

Run from the repository's root:
    pip install -r tests/oracles/requirements.txt
    python3 tests/oracles/srgb_to_lab.py > crates/icc/tests/icc/srgb_oracle.rs
"""

import itertools

import colour

PCS_WHITE = colour.XYZ_to_xy([0.9642, 1.0, 0.8249])
LEVELS = (0.0, 0.5, 1.0)
OTHERS = [
    (0.01, 0.01, 0.01),
    (0.04, 0.04, 0.04),
    (0.02, 0.03, 0.01),
    (0.2, 0.4, 0.6),
    (0.9, 0.7, 0.1),
    (0.95, 0.97, 0.99),
]


def pcs_lab(rgb: tuple[float, float, float], srgb: colour.RGB_Colourspace) -> list[float]:
    xyz = colour.RGB_to_XYZ(
        rgb,
        srgb,
        illuminant=PCS_WHITE,
        chromatic_adaptation_transform="Bradford",
        apply_cctf_decoding=True,
    )
    return list(colour.XYZ_to_Lab(xyz, PCS_WHITE))


def main() -> None:
    srgb = colour.RGB_COLOURSPACES["sRGB"].copy()
    srgb.use_derived_transformation_matrices(True)
    print("//! sRGB colours (0 to 1) and their CIELAB in the ICC profile connection space.")
    print("//!")
    print("//! Source: IEC 61966-2-1 and ICC.1, computed by `tests/oracles/srgb_to_lab.py` with")
    print("//! colour-science 0.4.7; do not edit by hand.")
    print("\n#[rustfmt::skip]")
    print("pub(crate) const SRGB_TO_LAB: &[([f64; 3], [f64; 3])] = &[")
    for rgb in [*itertools.product(LEVELS, repeat=3), *OTHERS]:
        samples = ", ".join(f"{sample:.2f}" for sample in rgb)
        lab = ", ".join(f"{value + 0.0:.5f}" for value in pcs_lab(rgb, srgb))
        print(f"    ([{samples}], [{lab.replace('-0.00000', '0.00000')}]),")
    print("];")


if __name__ == "__main__":
    main()

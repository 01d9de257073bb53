"""Prints crates/colour/src/weights.rs: tristimulus weighting factors on 36 bands.

Method: ASTM E2022, computed by colour-science 0.4.7 from the CIE 1931 2 degree observer and the
illuminants D50, D65 and A; the factors of 360-370 nm are added to 380 nm and those of
740-780 nm to 730 nm, because spectra are measured from 380 to 730 nm (ASTM E308, section on
missing end bands).

Run from the repository's root:
    pip install -r tests/oracles/requirements.txt
    python3 tests/oracles/folded_weights.py > crates/colour/src/weights.rs
"""

import colour
import numpy as np

BANDS = colour.SpectralShape(360, 780, 10)
FIRST, LAST = 2, 37  # indices of 380 and 730 nm


def folded(illuminant: str) -> np.ndarray:
    """Returns 36 rows of weights for X, Y, Z."""
    observer = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]
    fine = colour.SpectralShape(360, 780, 1)
    power = colour.SDS_ILLUMINANTS[illuminant].copy().align(fine)
    table = colour.colorimetry.tristimulus_weighting_factors_ASTME2022(
        observer.copy().align(fine), power, BANDS
    )
    weights = table[FIRST : LAST + 1].copy()
    weights[0] += table[:FIRST].sum(axis=0)
    weights[-1] += table[LAST + 1 :].sum(axis=0)
    return weights


def main() -> None:
    print("//! Folded tristimulus weighting factors, 380 to 730 nm by 10 nm, CIE 1931 2° observer.")
    print("//!")
    print("//! Source: ASTM E2022 method, computed by `tests/oracles/folded_weights.py` with")
    print("//! colour-science 0.4.7; do not edit by hand. Rows are bands, columns X, Y, Z.")
    for illuminant in ("D50", "D65", "A"):
        print(f"\n/// Weights for illuminant {illuminant}; the Y column sums to 100.")
        print("#[rustfmt::skip]")
        print(f"pub(crate) const {illuminant}: [[f64; 3]; 36] = [")
        for row in folded(illuminant):
            print("    [" + ", ".join(f"{value:.8f}" for value in row) + "],")
        print("];")


if __name__ == "__main__":
    main()

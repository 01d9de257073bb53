"""Recomputes the colours and colour differences of tests/reference with colour-science.

Run from the repository's root:
    pip install -r tests/oracles/requirements.txt
    python3 tests/oracles/colorimetry.py

Fails when a table and the second computation differ by more than the table's decimals.
"""

import csv
import sys

import colour
import numpy as np

BANDS = colour.SpectralShape(380, 730, 10)
OBSERVER = colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"]


def lab(reflectance: np.ndarray, illuminant: str) -> np.ndarray:
    """CIELAB by ASTM E308 relative to the perfect diffuser summed in the same way."""

    def xyz(values: np.ndarray) -> np.ndarray:
        distribution = colour.SpectralDistribution(values, BANDS)
        light = colour.SDS_ILLUMINANTS[illuminant]
        return colour.sd_to_XYZ(distribution, OBSERVER, light, method="ASTM E308")

    white = xyz(np.ones(len(BANDS.range())))
    return cielab(xyz(reflectance), white)


def cielab(xyz: np.ndarray, white: np.ndarray) -> np.ndarray:
    """CIE 15."""
    ratio = xyz / white
    f = np.where(ratio > 216 / 24389, np.cbrt(ratio), (24389 / 27 * ratio + 16) / 116)
    return np.array([116 * f[1] - 16, 500 * (f[0] - f[1]), 200 * (f[1] - f[2])])


def check_spectra() -> float:
    worst = 0.0
    with open("tests/reference/spectra-to-lab.csv", newline="") as table:
        for row in csv.DictReader(table):
            spectrum = np.array([float(row[f"R{nm}"]) for nm in range(380, 740, 10)])
            for light in ("D50", "A"):
                expected = np.array([float(row[f"{light}_{axis}"]) for axis in "Lab"])
                worst = max(worst, np.linalg.norm(lab(spectrum, light) - expected))
    return worst


def check_pairs() -> float:
    table = np.loadtxt("tests/reference/ciede2000-pairs.csv", delimiter=",", skiprows=1)
    found = colour.delta_E(table[:, 0:3], table[:, 3:6], method="CIE 2000")
    return float(np.abs(found - table[:, 6]).max())


def main() -> None:
    limits = {"spectra": (check_spectra(), 1e-3), "pairs": (check_pairs(), 1e-4)}
    for name, (found, allowed) in limits.items():
        print(f"{name}: largest difference {found:.6f}, allowed {allowed}")
    sys.exit(any(found > allowed for found, allowed in limits.values()))


if __name__ == "__main__":
    main()

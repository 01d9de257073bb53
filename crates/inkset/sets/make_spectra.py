#!/usr/bin/env python3
"""Makes the invented spectra of the built-in ink sets.

    python3 make_spectra.py                                     # prints names, CIELAB, numbers
    python3 make_spectra.py --check five.toml nine.toml eleven.toml

Needs numpy and colour-science (0.4.7 was used). With `--check` it compares the spectra in the
files with its own and says where they differ; it never writes a file.

Everything here is invented: no ink or paper was measured, and nothing was fitted to data of
this project. A paper is a flat reflectance that falls off towards the ultraviolet, with some
glow of a brightener and a slight slope. A solid is the paper's Kubelka-Munk ratio K/S plus a sum
of smooth absorption bands, under the reflectance of the paper's surface:

    R = s + (1 - s) * R_inf(K/S of the paper below its surface + bands)

The bands imitate what is generally known of the pigment classes that water-based sets use
(common practice, no source): a phthalocyanine blue absorbs twice between 600 and 700 nm and
again in the violet; a quinacridone twice between 520 and 570 nm and weakly in the blue; azo
yellows and oranges have one clean edge; carbon black is flat. Positions, widths and heights were
tuned by hand until CIELAB came close to GOALS.
"""

import argparse
import sys
import tomllib
import warnings

import numpy as np

with warnings.catch_warnings():
    warnings.simplefilter("ignore")  # about plotting, which is not used
    import colour

WAVELENGTHS = np.arange(380.0, 731.0, 10.0)
DECIMALS = 4  # of the reflectances in the files

# CIELAB, D50, 2 degree observer, absolute: what such solids have on satin paper. From memory,
# unverified.
GOALS = {
    "cyan": (54, -38, -50),
    "magenta": (47, 75, -6),
    "yellow": (88, -6, 95),
    "orange": (64, 62, 78),
    "green": (53, -72, 26),
    "photo black": (6, 0, 0),
    "matte black": (9, 0, 0),
    "satin photo paper": (96, 0, -2),
    "matte art paper": (96, 0, 2),
    "canvas": (94, 0, 3),
}

# Reflectance of the satin paper's surface, as in the files.
SATIN_SURFACE = 0.003


def edge(centre, width):
    """Rises from 0 to 1 around a wavelength."""
    return 1 / (1 + np.exp(-(WAVELENGTHS - centre) / width))


def band(centre, short, long):
    """A bell with its own width on the short and on the long side."""
    width = np.where(WAVELENGTHS < centre, short, long)
    return np.exp(-(((WAVELENGTHS - centre) / width) ** 2) / 2)


def flat():
    return np.ones_like(WAVELENGTHS)


def paper(level, absorption, at, width, glow, slope):
    """Flat with ultraviolet absorption, the glow of a brightener at 440 nm, and a slope."""
    ultraviolet = 1 - absorption * (1 - edge(at, width))
    return level * ultraviolet + glow * band(440, 14, 22) + slope * (WAVELENGTHS - 560) / 170


PAPERS = {
    "satin photo paper": paper(0.905, 0.55, 392, 9, 0.055, 0.0),
    "matte art paper": paper(0.905, 0.50, 392, 14, 0.0, 0.012),
    "canvas": paper(0.850, 0.50, 394, 16, 0.0, 0.020),
}

ABSORPTIONS = {
    "cyan": 21.6 * band(680, 33.5, 34)
    + 12.3 * band(618, 35.5, 26)
    + 0.85 * band(385, 28, 32)
    + 0.012 * flat(),
    "magenta": 14.4 * band(562, 18, 15.3)
    + 12.9 * band(528, 32, 22)
    + 0.94 * band(400, 50, 54.6)
    + 0.028 * flat(),
    "yellow": 10.5 * (1 - edge(485.6, 6.4)) + 0.014 * flat(),
    "orange": 20.6 * (1 - edge(542.5, 8.1)) + 0.005 * flat(),
    "green": 24.7 * edge(589, 10) + 8.25 * band(420, 60, 40.6) + 0.053 * flat(),
    "photo black": 138.0 * flat() + 6.0 * edge(560, 60),
    "matte black": 70.0 * flat() + 3.0 * edge(560, 60),
}


def ratio(reflectance):
    """Kubelka-Munk: K/S of an opaque layer."""
    return (1 - reflectance) ** 2 / (2 * reflectance)


def reflectance(ks):
    """Kubelka-Munk: reflectance of an opaque layer."""
    return 1 + ks - np.sqrt(ks * ks + 2 * ks)


def solid(absorption):
    white = PAPERS["satin photo paper"]
    body = (white - SATIN_SURFACE) / (1 - SATIN_SURFACE)
    return SATIN_SURFACE + (1 - SATIN_SURFACE) * reflectance(ratio(body) + absorption)


def spectra():
    solids = {ink: solid(absorption) for ink, absorption in ABSORPTIONS.items()}
    return {name: values.round(DECIMALS) for name, values in (PAPERS | solids).items()}


def tristimulus(values):
    # The warnings say that the tables are cut to 380-730 nm, which E308 makes good for.
    with colour.utilities.suppress_warnings(colour_runtime_warnings=True):
        return colour.sd_to_XYZ(
            colour.SpectralDistribution(dict(zip(WAVELENGTHS, values))),
            cmfs=colour.MSDS_CMFS["CIE 1931 2 Degree Standard Observer"],
            illuminant=colour.SDS_ILLUMINANTS["D50"],
            method="ASTM E308",
        )


def lab(values):
    white = tristimulus(flat())
    return colour.XYZ_to_Lab(tristimulus(values) / white[1], colour.XYZ_to_xy(white))


def show(name, values):
    numbers = [f"{value:.{DECIMALS}f}" for value in values]
    rows = [", ".join(numbers[row : row + 9]) for row in range(0, len(numbers), 9)]
    goal = ", ".join(str(value) for value in GOALS[name])
    found = ", ".join(f"{value:.1f}" for value in lab(values))
    print(f"{name}: CIELAB {found} (goal {goal})")
    print("spectrum = [\n  " + ",\n  ".join(rows) + ",\n]\n")


def spectra_of(file):
    """The spectra that a file states, by name of ink or paper."""
    with open(file, "rb") as text:
        ink_set = tomllib.load(text)
    for ink in ink_set["ink"]:
        if "solid" in ink:
            yield ink["name"], ink["solid"]["spectrum"]
    for substrate in ink_set["substrate"]:
        yield substrate["name"], substrate["white"]["spectrum"]


def differences(file):
    made = spectra()
    half_a_digit = 0.5 * 10.0**-DECIMALS
    for name, stated in spectra_of(file):
        distance = np.abs(np.array(stated) - made[name]).max()
        if distance > half_a_digit:
            yield f"{file}: {name} differs by up to {distance:.4f}"


def main():
    arguments = argparse.ArgumentParser(description="Makes the invented spectra.")
    arguments.add_argument("--check", nargs="+", metavar="FILE")
    files = arguments.parse_args().check
    if not files:
        for name, values in spectra().items():
            show(name, values)
        return 0
    found = [line for file in files for line in differences(file)]
    print("\n".join(found) or "all spectra agree")
    return 1 if found else 0


if __name__ == "__main__":
    sys.exit(main())

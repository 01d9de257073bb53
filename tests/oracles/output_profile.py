"""Prints tests/reference/tr006-device-values.csv: what another build of the colour management
library makes of the CMYK output profile kept there.

Run from the repository's root, on a Debian machine:
    apt-get install liblcms2-utils
    python3 tests/oracles/output_profile.py

`transicc` is a program of the library's authors that computes one colour at a time in floating
point, here without black-point compensation and without optimisation.
"""

import math
import pathlib
import subprocess
import sys

PROFILE = pathlib.Path("tests/reference/tr006-low.icc")
INTENTS = {0: "perceptual", 1: "relative"}

NEUTRALS = [(lightness, 0.0, 0.0) for lightness in range(0, 101, 10)]
HUES = [
    (lightness, round(chroma * math.cos(hue), 4), round(chroma * math.sin(hue), 4))
    for lightness in (25, 50, 75)
    for chroma in (20, 60)
    for hue in (math.radians(45 * step) for step in range(8))
]
COLOURS = NEUTRALS + HUES


def transicc(options: list[str], rows: list[tuple]) -> list[list[float]]:
    text = "".join(" ".join(f"{value:.6f}" for value in row) + "\n" for row in rows)
    command = ["transicc", "-n", "-c0", *options]
    run = subprocess.run(command, input=text, capture_output=True, text=True, check=True)
    answers = [[float(word) for word in line.split()] for line in run.stdout.splitlines() if line.strip()]
    if len(answers) != len(rows):
        raise ValueError(f"{len(answers)} answers to {len(rows)} colours")
    return answers


def to_device(profile: pathlib.Path, intent: int, colours: list[tuple]) -> list[list[float]]:
    """Device values in percent."""
    return transicc(["-i*Lab2", f"-o{profile}", f"-t{intent}"], colours)


def to_lab(profile: pathlib.Path, intent: int, values: list[list[float]]) -> list[list[float]]:
    return transicc([f"-i{profile}", "-o*Lab2", f"-t{intent}"], values)


def main() -> int:
    print("intent,L,a,b,C,M,Y,K,printed_L,printed_a,printed_b")
    for intent, name in INTENTS.items():
        device = to_device(PROFILE, intent, COLOURS)
        printed = to_lab(PROFILE, 1, device)
        for row in zip(COLOURS, device, printed):
            values = (f"{value:.4f}" for part in row for value in part)
            print(name, *values, sep=",")
    return 0


if __name__ == "__main__":
    sys.exit(main())

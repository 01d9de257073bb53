#!/usr/bin/env python3
"""Recomputes the colour differences of a comparison from the files that `proof` writes.

For each picture and ink set, `inkfathom proof` writes the intended, asked, predicted and clipped
colours as 16-bit CIELAB TIFF files, and `inkfathom compare` reports mean, 95th percentile and
maximum of ΔE00 from the picture's census. Here the same figures come from every pixel of the
files, with the CIEDE2000 of the colour-science package, and must agree.

Usage: proof_statistics.py [PICTURE …]   (below two megapixels, so that the preview is the picture)
"""

import json
import subprocess
import sys
import tempfile
import warnings
from pathlib import Path

import numpy as np
import tifffile

warnings.filterwarnings("ignore")
import colour  # noqa: E402  (its warnings about missing plotting packages are not ours)

REPOSITORY = Path(__file__).resolve().parents[2]
PICTURES = [
    "testimages/photographs/fig-red-bowl.jpg",
    "testimages/photographs/shore.png",
    "testimages/photographs/tulips.png",
    "testimages/photographs/shore-gray.png",
    "testimages/photographs/brushes-saturated.jpg",
]
INK_SETS = ["five", "eleven"]

# Percentiles are those of pixels, of 8,192 at least where there are so many colours.
P95_WITHIN = 0.05
# A census cell stands for its pixels by their mean colour, and 16-bit CIELAB has steps of 1/256.
AGREE_WITHIN = {"mean": 0.05, "max": 0.05, "p95": P95_WITHIN}
# A share moves with every pixel that lies at the threshold.
SHARE_WITHIN = 0.02


def inkfathom(*arguments):
    command = ["cargo", "run", "--quiet", "--locked", "--package", "inkfathom", "--"]
    run = subprocess.run(
        [*command, *arguments], cwd=REPOSITORY, check=True, capture_output=True, text=True
    )
    return run.stdout


def lab(path):
    """CIELAB of a TIFF file: L* over all 16 bits, a* and b* in signed 256ths."""
    samples = tifffile.imread(path).reshape(-1, 3)
    lightness = samples[:, 0].astype(np.float64) / 65535 * 100
    signed = samples[:, 1:].astype(np.uint16).view(np.int16).astype(np.float64) / 256
    return np.column_stack([lightness, signed])


def statistics(one, other):
    differences = colour.difference.delta_E_CIE2000(one, other)
    rising = np.sort(differences)
    p95 = rising[int(np.ceil(0.95 * len(rising))) - 1]
    return {"mean": differences.mean(), "p95": p95, "max": rising[-1]}, differences


def disagreements(name, found, reported):
    for key, value in found.items():
        gap = abs(value - reported[key])
        print(f"  {name:<24} {key:<5} {value:8.4f}  reported {reported[key]:8.4f}  apart {gap:.4f}")
        if gap > AGREE_WITHIN[key]:
            yield f"{name} {key}: {value} and {reported[key]}"


def check(folder, estimate):
    name, verdict = estimate["ink_set"], estimate["verdict"]
    intended = lab(folder / "intended.tif")
    predicted = lab(folder / f"{name}.predicted.tif")
    found, _ = statistics(intended, predicted)
    yield from disagreements(f"{name} intended", found, verdict["against_intended"])
    found, _ = statistics(lab(folder / f"{name}.asked.tif"), predicted)
    yield from disagreements(
        f"{name} compensated", found, verdict["after_black_point_compensation"]
    )
    _, clipped = statistics(intended, lab(folder / f"{name}.clipped.tif"))
    share = (clipped > verdict["thresholds"]["lost_above"]).mean()
    reported = verdict["out_of_gamut_share"]
    print(f"  {name + ' out of gamut':<24} share {share:8.4f}  reported {reported:8.4f}")
    if abs(share - reported) > SHARE_WITHIN:
        yield f"{name} out of gamut: {share} and {reported}"


def main(pictures):
    sets = [word for ink_set in INK_SETS for word in ("--ink-set", ink_set)]
    document = json.loads(
        inkfathom("compare", *pictures, *sets, "--width", "60cm", "--format", "json")
    )
    faults = []
    with tempfile.TemporaryDirectory() as folder:
        inkfathom("proof", *pictures, *sets, "--output", folder)
        for file in document["files"]:
            print(file["file"])
            of_picture = Path(folder) / Path(file["file"]).stem
            for estimate in file["estimates"]:
                faults.extend(f"{file['file']} {fault}" for fault in check(of_picture, estimate))
    for fault in faults:
        print(f"disagrees: {fault}", file=sys.stderr)
    return 1 if faults else 0


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:] or PICTURES))

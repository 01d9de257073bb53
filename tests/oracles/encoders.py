"""Photographs through five JPEG encoders: the program's millilitres against those of other decoders' pixels.

Run, with the program built for release and the encoders of `testimages/jpeg_encoders.py` installed:

    pip install pillow==13.0.0 numpy==2.4.6
    python3 tests/oracles/encoders.py [--photographs 6]

Each photograph goes through each encoder at qualities of 50, 75 and 92, without a profile and with
a wide one. Of every file the program estimates twice: the file itself, and a PNG file of the pixels
that Pillow decodes from it, with the same profile. The two may differ by what decoders differ by
(rounding of the transform and of chroma): 0.1 % in total and 0.3 % of an ink that carries a hundredth
of the print's ink or more. Beside it stands what the encoder itself changed: the estimate of the
photograph before encoding. Exits with 1 when a file is beyond the tolerance.
"""

import argparse
import io
import json
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
from PIL import Image

ROOT = Path(__file__).resolve().parents[2]
sys.path.insert(0, str(ROOT / "testimages"))

import icc_profiles  # noqa: E402
from jpeg_encoders import ENCODERS, encoded  # noqa: E402

PROGRAM = ROOT / "target/release/inkfathom"
QUALITIES = [50, 75, 92]
OF_TOTAL, OF_INK, CARRYING = 0.1, 0.3, 0.01


def estimates(paths):
    """Millilitres of each ink by file, in the order given."""
    words = [PROGRAM, "estimate", *paths, "--ink-set", "nine", "--width", "60cm", "--format", "json"]
    files = json.loads(subprocess.run(words, capture_output=True, check=True).stdout)["files"]
    inks = lambda file: [ink["ml"] for ink in file["estimates"][0]["channels"]]
    return [np.array(inks(file)) for file in files]


def percent(value, reference):
    return 100 * (value / reference - 1)


def of_photograph(path, wide, folder):
    """A row for each file: encoder, quality, profile, and the differences in percent."""
    with Image.open(path) as opened:
        picture = opened.convert("RGB")
    rows, files = [], []
    for profile in (None, wide):
        icc = profile.read_bytes() if profile else None
        source = folder / f"source-{bool(profile)}.png"
        picture.save(source, icc_profile=icc, compress_level=1)
        files.append(source)
        for encoder in ENCODERS:
            for quality in QUALITIES:
                data = encoded(encoder, picture, quality, profile)
                decoded = Image.open(io.BytesIO(data)).convert("RGB")
                name = folder / f"{encoder}-{quality}-{bool(profile)}"
                name.with_suffix(".jpg").write_bytes(data)
                decoded.save(name.with_suffix(".png"), icc_profile=icc, compress_level=1)
                files += [name.with_suffix(".jpg"), name.with_suffix(".png")]
                levels = np.abs(np.asarray(decoded, float) - np.asarray(picture, float)).mean()
                rows.append([encoder, quality, bool(profile), levels])
    answers = estimates(files)
    half = len(answers) // 2
    for place, row in enumerate(rows):
        start, within = (0, place) if not row[2] else (half, place - len(rows) // 2)
        source, own, other = answers[start], answers[start + 1 + 2 * within], answers[start + 2 + 2 * within]
        carrying = other > CARRYING * other.sum()
        row += [
            percent(own.sum(), other.sum()),
            np.abs(percent(own[carrying], other[carrying])).max(),
            percent(own.sum(), source.sum()),
        ]
    return rows


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--photographs", type=int, default=100)
    photographs = sorted((ROOT / "testimages/photographs").glob("*.*"))
    # Without the one of 16 bits, and without gray ones.
    photographs = [path for path in photographs if path.suffix in (".jpg", ".png") and "gray" not in path.name]
    photographs = photographs[: arguments.parse_args().photographs]
    rows = []
    with tempfile.TemporaryDirectory() as folder:
        folder = Path(folder)
        wide = folder / "wide.icc"
        wide.write_bytes(icc_profiles.wide_rgb())
        for path in photographs:
            rows += of_photograph(path, wide, folder)
    print(f"{len(photographs)} photographs, {len(rows)} files; greatest of all photographs and profiles\n")
    print("| encoder | quality | against Pillow's pixels, total | an ink | levels changed by encoding, mean | ink changed by encoding |")
    print("|---|--:|--:|--:|--:|--:|")
    for encoder in ENCODERS:
        for quality in QUALITIES:
            mine = np.array([row[3:] for row in rows if row[:2] == [encoder, quality]])
            worst = np.abs(mine).max(axis=0)
            print(f"| {encoder} | {quality} | {worst[1]:.3f} % | {worst[2]:.3f} % | {mine[:, 0].mean():.2f} | {worst[3]:.2f} % |")
    beyond = [row for row in rows if abs(row[4]) > OF_TOTAL or row[5] > OF_INK]
    for row in beyond:
        print(f"error: {row}", file=sys.stderr)
    sys.exit(1 if beyond else 0)


if __name__ == "__main__":
    main()

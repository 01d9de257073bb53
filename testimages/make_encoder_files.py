"""Makes `encoders/`: the same small crop through five JPEG encoders, and the table of its means.

Run:

    pip install pillow==13.0.0 numpy==2.4.6
    apt-get install libjpeg-turbo-progs=1:2.1.5-2 libvips-tools=8.14.1-3+deb12u3 \\
        imagemagick=8:6.9.11.60+dfsg-1.6+deb12u15
    python3 make_encoder_files.py

Writes `encoders/` and `../tests/reference/encoder-means.csv`. Its means are Pillow's (libjpeg-turbo
with smooth chroma upsampling) and nothing in it comes from the project: means of the channels of
each file, 0 to 1, of the crop itself in the rows `source`, and the mean difference of a file's
samples from the crop's, 0 to 1. Of four inks, 0 is none and 1 full.
"""

import csv
import io
import tempfile
from pathlib import Path

import numpy as np
from PIL import Image

import icc_profiles
from jpeg_encoders import ENCODERS, OF_FOUR_INKS, encoded

HERE = Path(__file__).resolve().parent
TARGET = HERE / "encoders"
TABLE = HERE.parent / "tests/reference/encoder-means.csv"
COLUMNS = ["file", "encoder", "quality", "profile", "mean_1", "mean_2", "mean_3", "mean_4", "difference"]
QUALITIES = [50, 75, 92]
OF_PROFILES = 85


def samples(picture, inverted=False):
    values = np.asarray(picture, dtype=float) / 255
    return 1 - values if inverted else values


def row(name, encoder, quality, profile, values, source):
    means = [f"{mean:.6f}" for mean in values.mean(axis=(0, 1))]
    means += [""] * (4 - len(means))
    return [name, encoder, quality, profile, *means, f"{np.abs(values - source).mean():.6f}"]


def main():
    TARGET.mkdir(exist_ok=True)
    rgb = Image.open(HERE / "edge/crop-8.png").convert("RGB")
    cmyk = Image.open(HERE / "edge/crop-cmyk.tif")
    of_rgb, of_cmyk = samples(rgb), samples(cmyk)
    rows = [
        row("crop-8.png", "source", "", "", of_rgb, of_rgb),
        row("crop-cmyk.tif", "source", "", "", of_cmyk, of_cmyk),
    ]

    def add(encoder, quality, profile, path, picture, source, kind):
        name = f"{encoder}-{kind}{quality}{'-' + profile if profile else ''}.jpg"
        data = encoded(encoder, picture, quality, path)
        (TARGET / name).write_bytes(data)
        # Pillow undoes the inversion that the marker of four inks stands for.
        rows.append(row(name, encoder, quality, profile, samples(Image.open(io.BytesIO(data))), source))

    with tempfile.TemporaryDirectory() as folder:
        wide = Path(folder) / "wide.icc"
        wide.write_bytes(icc_profiles.wide_rgb())
        for encoder in ENCODERS:
            for quality in QUALITIES:
                add(encoder, quality, "", None, rgb, of_rgb, "rgb-")
            add(encoder, OF_PROFILES, "wide", wide, rgb, of_rgb, "rgb-")
        for encoder in OF_FOUR_INKS:
            add(encoder, OF_PROFILES, "", None, cmyk, of_cmyk, "cmyk-")
    with TABLE.open("w", newline="") as file:
        writer = csv.writer(file, lineterminator="\n")
        writer.writerow(COLUMNS)
        writer.writerows(rows)


if __name__ == "__main__":
    main()

"""Measures the most memory that the program takes for one large file, by the way it is decoded.

Run, with the program built for release:

    pip install pillow==13.0.0 numpy==2.4.6 tifffile==2026.3.3 imagecodecs==2026.3.6
    python3 tests/oracles/peak_memory.py [--megapixels 60]

Every file holds the photographs of `testimages` side by side and over one another, mirrored until the
page is full, in one of the forms that have rows, tiles or neither. Printed are the highest resident
set of a run (wait4's ru_maxrss) less that of a run on a picture of one pixel, which stands for the
program and the ink set's tables. A form that is read row by row must stay below 120 MB; one that
is held as a whole must be refused under `--most-memory` of a quarter of what it holds, before it takes
that much. Exits with 1 when one of them fails.
"""

import argparse
import os
import subprocess
import sys
import tempfile
from pathlib import Path

import numpy as np
import tifffile
from PIL import Image

Image.MAX_IMAGE_PIXELS = None
ROOT = Path(__file__).resolve().parents[2]
PROGRAM = ROOT / "target/release/inkfathom"
# MB of 10⁶ bytes: what a file in work may take, its census included.
MOST = 120
STREAMED, HELD = "rows", "held"


def page(megapixels):
    """RGB samples of photographs, mirrored."""
    names = ["mountain-path-landscape", "brushes-saturated", "sunset-hills", "autumn-hills-landscape"]
    sides = int((megapixels * 1e6 / 1.5) ** 0.5) // 16 * 16
    width, height = sides * 3 // 2, sides
    parts = []
    for name in names:
        with Image.open(ROOT / f"testimages/photographs/{name}.jpg") as picture:
            samples = np.asarray(picture.convert("RGB"))
        mirrored = np.concatenate([samples, samples[:, ::-1]], axis=1)
        mirrored = np.concatenate([mirrored, mirrored[::-1]], axis=0)
        down, across = -(-height // 2 // mirrored.shape[0]) + 1, -(-width // 2 // mirrored.shape[1]) + 1
        parts.append(np.tile(mirrored, (down, across, 1))[: height // 2, : width // 2])
    return np.concatenate([np.concatenate(parts[:2], 1), np.concatenate(parts[2:], 1)], 0)


def forms(samples):
    """Name, ending, whether rows are streamed, and how the file is written."""
    picture = Image.fromarray(samples)
    cmyk = picture.convert("CMYK")
    wide = lambda: samples.astype(np.uint16) * 257
    tiff = lambda **options: lambda path: tifffile.imwrite(path, samples, photometric="rgb", **options)
    planes = lambda path: tifffile.imwrite(
        path, samples.transpose(2, 0, 1), photometric="rgb", planarconfig="separate", rowsperstrip=64
    )
    return [
        ("JPEG, baseline", "jpg", STREAMED, lambda path: picture.save(path, quality=90)),
        ("JPEG, CMYK", "jpg", STREAMED, lambda path: cmyk.save(path, quality=90)),
        ("JPEG, progressive", "jpg", HELD, lambda path: picture.save(path, quality=90, progressive=True)),
        ("PNG, 8 bits", "png", STREAMED, lambda path: picture.save(path, compress_level=1)),
        ("TIFF, strips, none", "tif", STREAMED, tiff(rowsperstrip=64)),
        ("TIFF, strips, LZW", "tif", STREAMED, tiff(rowsperstrip=64, compression="lzw", predictor=True)),
        ("TIFF, one strip, zip", "tif", STREAMED, tiff(rowsperstrip=samples.shape[0], compression="zlib")),
        ("TIFF, one strip, LZW", "tif", STREAMED, tiff(rowsperstrip=samples.shape[0], compression="lzw")),
        ("TIFF, strips, JPEG", "tif", STREAMED, tiff(rowsperstrip=64, compression="jpeg")),
        ("TIFF, tiles, zip", "tif", STREAMED, tiff(tile=(256, 256), compression="zlib")),
        ("TIFF, tiles, Zstandard", "tif", STREAMED, tiff(tile=(256, 256), compression="zstd")),
        ("TIFF, planes", "tif", STREAMED, planes),
        ("TIFF, 16 bits", "tif", STREAMED, lambda path: tifffile.imwrite(path, wide(), photometric="rgb", rowsperstrip=64)),
        ("TIFF, CMYK", "tif", STREAMED, lambda path: tifffile.imwrite(path, np.asarray(cmyk), photometric="separated", rowsperstrip=64)),
        ("PNM", "ppm", STREAMED, lambda path: picture.save(path)),
        ("WebP", "webp", HELD, lambda path: picture.save(path, quality=80, method=0)),
        ("GIF", "gif", HELD, lambda path: picture.quantize(256, dither=0).save(path)),
        ("BMP", "bmp", HELD, lambda path: picture.save(path)),
        ("PDF", "pdf", HELD, lambda path: picture.save(path, resolution=150, quality=90)),
    ]


# A process counts what its parent held when it was started, so that the program is started by one
# that holds little, and not by this one with its pictures.
STARTER = """import os, subprocess, sys
child = subprocess.Popen(sys.argv[1:], stdout=subprocess.DEVNULL)
_, status, usage = os.wait4(child.pid, 0)
print(usage.ru_maxrss, os.waitstatus_to_exitcode(status))"""


def run(path, cache, most_memory=None):
    """Highest resident set in MB of 10⁶ bytes, exit code and messages."""
    command = [PROGRAM, "estimate", path, "--width", "100cm", "--format", "csv"]
    if most_memory:
        command += ["--most-memory", str(most_memory)]
    starter = [sys.executable, "-S", "-c", STARTER, *command]
    done = subprocess.run(starter, env=os.environ | {"XDG_CACHE_HOME": cache}, capture_output=True, check=True)
    kilobytes, code = map(int, done.stdout.split())
    return kilobytes * 1024 / 1e6, code, done.stderr.decode()


def main():
    arguments = argparse.ArgumentParser()
    arguments.add_argument("--megapixels", type=float, default=60)
    samples = page(arguments.parse_args().megapixels)
    megapixels = samples.shape[0] * samples.shape[1] / 1e6
    print(f"{samples.shape[1]} × {samples.shape[0]}, {megapixels:.0f} megapixels\n")
    print("| form | way | file, MB | beyond the program, MB | under a lower --most-memory |\n|---|---|--:|--:|---|")
    failed = []
    with tempfile.TemporaryDirectory() as folder:
        cache = f"{folder}/cache"
        run(ROOT / "testimages/edge/one-pixel.png", cache)
        bare, _, _ = run(ROOT / "testimages/edge/one-pixel.png", cache)
        for name, ending, way, write in forms(samples):
            path = Path(folder) / f"large.{ending}"
            write(path)
            peak, code, messages = run(path, cache)
            told = "–"
            if code != 0:
                failed.append(f"{name}: {messages}")
            if way == STREAMED and peak - bare > MOST:
                failed.append(f"{name} takes {peak - bare:.0f} MB")
            if way == HELD:
                lower = max(1, int(megapixels / 4))
                refused, code, messages = run(path, cache, lower)
                told = f"refused, {refused - bare:.0f} MB" if code == 4 else "answered"
                if code != 4 or refused - bare > MOST:
                    failed.append(f"{name} is not refused in time: {code}, {refused - bare:.0f} MB {messages}")
            print(f"| {name} | {way} | {path.stat().st_size / 1e6:.0f} | {peak - bare:.0f} | {told} |", flush=True)
            path.unlink()
    print(f"\nThe program and the ink set's tables alone: {bare:.0f} MB.")
    for fault in failed:
        print(f"error: {fault}", file=sys.stderr)
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()

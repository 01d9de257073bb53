"""Measures the files of `edge/` with general libraries and writes the expected values.

Run (after `make_edge_cases.py`):

    pip install pillow==13.0.0 numpy==2.4.6 tifffile==2026.3.3 imagecodecs==2026.3.6
    pip install pypng==0.20220715.0
    python3 measure_edge_cases.py

Reads the files back with Pillow (libjpeg-turbo, libwebp), tifffile and, for
16-bit PNG, pypng: nothing here comes from the project. Writes
`edge/expected.csv` and, for four inks, `edge/expected-cmyk.csv`; `README.md`
says what the columns mean.
"""

import csv
from pathlib import Path

import numpy as np
import png
import tifffile
from PIL import Image

FOLDER = Path(__file__).parent / "edge"
COLUMNS = ["file", "width", "height", "colour_model", "bits", "orientation", "dpi_x", "dpi_y", "mean_r", "mean_g", "mean_b", "mean_alpha"]
INK_COLUMNS = ["file", "width", "height", "bits", "orientation", "dpi_x", "dpi_y", "mean_c", "mean_m", "mean_y", "mean_k"]
ORIENTATION, X_RESOLUTION, Y_RESOLUTION, RESOLUTION_UNIT = 274, 282, 283, 296
CENTIMETRES_PER_INCH = 2.54
PNG_MODELS = {0: "gray", 2: "rgb", 3: "palette", 4: "gray-alpha", 6: "rgb-alpha"}
TIFF_MODELS = {"MINISBLACK": "gray", "MINISWHITE": "gray", "RGB": "rgb", "PALETTE": "palette", "YCBCR": "rgb", "SEPARATED": "cmyk"}


class Picture:
    """What one file holds: samples 0..=1 of shape (height, width, channels) and its tags."""

    def __init__(self, samples, model, bits, orientation=1, dpi=None):
        self.samples, self.model, self.bits = samples, model, bits
        self.orientation, self.dpi = orientation, dpi


def scaled(samples):
    """Integers of any depth to 0..=1, always with a channel axis."""
    samples = np.asarray(samples)
    top = 1 if samples.dtype == bool else np.iinfo(samples.dtype).max
    samples = samples.astype(np.float64) / top
    return samples[..., None] if samples.ndim == 2 else samples


def dots_per_inch(x, y, unit):
    """Resolution by the unit numbers that TIFF and EXIF share: 2 inch, 3 centimetre, else none."""
    factor = {2: 1.0, 3: CENTIMETRES_PER_INCH}.get(int(unit))
    return factor and (float(x) * factor, float(y) * factor)


def sixteen_bits(data):
    """Samples of a 16-bit PNG, which Pillow would cut to eight bits."""
    width, height, lines, info = png.Reader(bytes=data).read()
    values = np.array([list(line) for line in lines], np.uint16)
    return scaled(values.reshape(height, width, info["planes"]))


def read_png(path):
    data = path.read_bytes()
    bits, colour_type = data[24], data[25]
    image = Image.open(path)
    model, keyed = PNG_MODELS[colour_type], "transparency" in image.info
    if keyed:
        model += "-alpha" if model == "palette" else "-colour-key"
    if bits == 16:
        samples = sixteen_bits(data)
    else:
        samples = scaled(image.convert("RGBA" if keyed else "RGB") if keyed or model == "palette" else image)
    return Picture(samples, model, bits, dpi=image.info.get("dpi"))


def jpeg_density(image):
    """JFIF density where it has a unit, else EXIF density where there is one."""
    if image.info.get("jfif_unit") in (1, 2):
        return image.info["dpi"]
    tags = image.getexif()
    if X_RESOLUTION not in tags:
        return None
    return dots_per_inch(tags[X_RESOLUTION], tags[Y_RESOLUTION], tags[RESOLUTION_UNIT])


def read_jpeg(path):
    image = Image.open(path)
    if image.format == "PNG":
        return read_png(path)
    model = {"L": "gray", "RGB": "rgb", "CMYK": "cmyk"}[image.mode]
    return Picture(scaled(image), model, 8, image.getexif().get(ORIENTATION, 1), jpeg_density(image))


def tiff_samples(page):
    samples = page.asarray()
    if page.photometric.name == "PALETTE":
        return scaled(np.moveaxis(page.colormap[:, samples], 0, -1))
    if int(page.planarconfig) == 2 and samples.ndim == 3:
        samples = np.moveaxis(samples, 0, -1)
    return 1 - scaled(samples) if page.photometric.name == "MINISWHITE" else scaled(samples)


def read_tiff(path):
    with tifffile.TiffFile(path) as file:
        page = file.pages[0]
        model = TIFF_MODELS[page.photometric.name]
        if page.extrasamples:
            model += {"ASSOCALPHA": "-alpha-associated", "UNASSALPHA": "-alpha"}[page.extrasamples[0].name]
        x, y = (top / bottom for top, bottom in (page.tags[X_RESOLUTION].value, page.tags[Y_RESOLUTION].value))
        orientation = page.tags[ORIENTATION].value if ORIENTATION in page.tags else 1
        dpi = dots_per_inch(x, y, page.tags[RESOLUTION_UNIT].value)
        return Picture(tiff_samples(page), model, page.bitspersample, orientation, dpi)


def read_other(path):
    image = Image.open(path)
    dpi = image.info.get("dpi", (0, 0))
    return Picture(scaled(image.convert("RGB")), "rgb", 8, dpi=dpi if all(dpi) else None)


READERS = {".png": read_png, ".jpg": read_jpeg, ".tif": read_tiff, ".bmp": read_other, ".ppm": read_other, ".webp": read_other}


def colour_means(picture):
    """Means of red, green, blue and alpha; gray counts three times, no alpha stays empty."""
    means = [f"{mean:.6f}" for mean in picture.samples.mean(axis=(0, 1))]
    alpha = means.pop() if len(means) in (2, 4) else ""
    return (means * 3 if len(means) == 1 else means) + [alpha]


def common_fields(path, picture):
    height, width = picture.samples.shape[:2]
    dpi = [f"{value:.4f}" for value in picture.dpi] if picture.dpi else ["", ""]
    return {"file": path.name, "width": width, "height": height, "colour_model": picture.model, "bits": picture.bits,
            "orientation": picture.orientation, "dpi_x": dpi[0], "dpi_y": dpi[1]}


def rows():
    """One row for each picture: the colour ones and the four-ink ones, sorted by name."""
    colour, ink = [], []
    for path in sorted(FOLDER.iterdir()):
        if path.suffix not in READERS:
            continue
        picture = READERS[path.suffix](path)
        row = common_fields(path, picture)
        if picture.model == "cmyk":
            del row["colour_model"]
            row |= zip(INK_COLUMNS[-4:], (f"{mean:.6f}" for mean in picture.samples.mean(axis=(0, 1))))
            ink.append(row)
        else:
            colour.append(row | dict(zip(COLUMNS[-4:], colour_means(picture))))
    return colour, ink


def write_table(name, columns, table):
    with (FOLDER / name).open("w", newline="") as file:
        writer = csv.DictWriter(file, columns, lineterminator="\n")
        writer.writeheader()
        writer.writerows(table)


def main():
    colour, ink = rows()
    write_table("expected.csv", COLUMNS, colour)
    write_table("expected-cmyk.csv", INK_COLUMNS, ink)


if __name__ == "__main__":
    main()

"""Makes `formats/`: one small file for each cell of format, colour model, depth and compression,
and `tests/reference/format-means.csv`: what independent readers find in them.

Run:

    pip install pillow==13.0.0 numpy==2.4.6 tifffile==2026.3.3 imagecodecs==2026.3.6
    pip install pypdfium2 cairosvg
    apt-get install libjpeg-turbo-progs        # cjpeg, for arithmetic coding
    python3 make_format_table.py

Readers: Pillow (libjpeg-turbo, libtiff, libwebp, zlib), tifffile with imagecodecs, imagecodecs alone
for 16-bit PNG, pypdfium2 for pictures in PDF, cairosvg for SVG. Nothing here comes from the project. Means are of samples, 0 to 1, in
the order of the channels; opacity stands apart. CIELAB is written as shares of L* 0 to 100 and
a*, b* -128 to 127. The picture is a piece of `photographs/tulips.png`, made small, 61 x 47
pixels so that neither blocks nor bytes divide it.
"""

import csv
import io
import subprocess
from pathlib import Path

import cairosvg
import imagecodecs
import numpy as np
import pypdfium2
import tifffile
from PIL import Image, ImageDraw, TiffImagePlugin

HERE = Path(__file__).parent
TARGET = HERE / "formats"
TABLE = HERE.parent / "tests/reference/format-means.csv"
SIZE = (61, 47)
COLUMNS = ["file", "format", "model", "depth", "compression", "layout", "width", "height",
           "mean_1", "mean_2", "mean_3", "mean_4", "mean_alpha", "reader", "refused"]
rows = []


def picture():
    whole = Image.open(HERE / "photographs/tulips.png").convert("RGB")
    return np.asarray(whole.crop((60, 90, 426, 372)).resize(SIZE, Image.Resampling.BOX))


RGB = picture()
GRAY = np.asarray(Image.fromarray(RGB).convert("L"))
ALPHA = np.tile(np.linspace(0, 255, SIZE[0]).round().astype(np.uint8), (SIZE[1], 1))
BILEVEL = GRAY > 110
PALETTE = Image.fromarray(RGB).quantize(200, dither=Image.Dither.NONE)


def deep(samples):
    """Sixteen bits that are not merely doubled bytes."""
    ramp = (np.arange(samples.size) * 37 % 251).reshape(samples.shape)
    return np.minimum(samples.astype(np.uint32) * 256 + ramp, 65535).astype(np.uint16)


def cmyk():
    rgb = RGB.astype(np.float64) / 255
    black = (1 - rgb.max(axis=2)) * 0.8
    inks = (1 - rgb - black[..., None]) / (1 - black[..., None])
    return (np.dstack([inks, black]).clip(0, 1) * 255).round().astype(np.uint8)


CMYK = cmyk()


def lab():
    """Shares of L* 0 to 100, a* and b* -128 to 127; D65 numbers will do for a test picture."""
    rgb = RGB.astype(np.float64) / 255
    light = np.where(rgb <= 0.04045, rgb / 12.92, ((rgb + 0.055) / 1.055) ** 2.4)
    to_xyz = np.array([[0.4124, 0.3576, 0.1805], [0.2126, 0.7152, 0.0722], [0.0193, 0.1192, 0.9505]])
    xyz = light @ to_xyz.T / np.array([0.9505, 1.0, 1.089])
    f = np.where(xyz > 216 / 24389, np.cbrt(xyz), 24389 / 27 / 116 * xyz + 16 / 116)
    return np.dstack([116 * f[..., 1] - 16, 500 * (f[..., 0] - f[..., 1]), 200 * (f[..., 1] - f[..., 2])])


def means(samples, full):
    samples = np.asarray(samples, np.float64)
    if samples.ndim == 2:
        samples = samples[..., None]
    return [float(mean) for mean in samples.reshape(-1, samples.shape[2]).mean(axis=0) / full]


def cell(file, format, model, depth, compression, layout="", values=(), alpha=None, reader="", refused="", size=SIZE):
    colours = [f"{value:.6f}" for value in values] + [""] * (4 - len(values))
    opacity = "" if alpha is None else f"{alpha:.6f}"
    rows.append([file, format, model, depth, compression, layout, *size, *colours, opacity, reader, refused])


def split(values, has_alpha):
    return (values[:-1], values[-1]) if has_alpha else (values, None)


def pillow_cell(file, format, model, depth, compression, layout="", mode=None):
    """A file that Pillow reads; the mode is what it is turned into without loss."""
    with Image.open(TARGET / file) as opened:
        opened.load()
        read = opened if mode is None else opened.convert(mode)
        samples = np.asarray(read).astype(np.float64)
    full = 1 if read.mode == "1" else 65535 if read.mode.startswith("I;16") else 255
    values, alpha = split(means(samples, full), read.mode in ("LA", "RGBA"))
    cell(file, format, model, depth, compression, layout, values, alpha, "Pillow")


# --- JPEG

def jpeg():
    for name, samples, options in [
        ("gray", GRAY, {}), ("rgb-420", RGB, {"subsampling": "4:2:0"}),
        ("rgb-422", RGB, {"subsampling": "4:2:2"}), ("rgb-444", RGB, {"subsampling": "4:4:4"}),
        ("rgb-progressive", RGB, {"progressive": True}), ("rgb-restart", RGB, {"restart_marker_rows": 1}),
        ("rgb-untransformed", RGB, {"keep_rgb": True}), ("gray-progressive", GRAY, {"progressive": True}),
    ]:
        file = f"jpeg-{name}.jpg"
        Image.fromarray(samples).save(TARGET / file, "JPEG", quality=88, **options)
        pillow_cell(file, "JPEG", "gray" if samples.ndim == 2 else "RGB", 8, "DCT", name)
    jpeg_arithmetic()
    jpeg_inks()
    twelve = imagecodecs.jpeg8_encode(deep(GRAY) >> 4, bitspersample=12)
    refuse("jpeg-gray-12.jpg", twelve, "JPEG", "gray", 12, "DCT", "Unsupported")
    refuse("jpeg-rgb-lossless.jpg", imagecodecs.ljpeg_encode(GRAY), "JPEG", "gray", 8, "lossless", "Unsupported")


def jpeg_arithmetic():
    ppm = io.BytesIO()
    Image.fromarray(RGB).save(ppm, "PPM")
    for name, options in [("arithmetic", []), ("arithmetic-progressive", ["-progressive"])]:
        coded = subprocess.run(["cjpeg", "-quality", "88", "-arithmetic", *options], input=ppm.getvalue(),
                               capture_output=True, check=True).stdout
        (TARGET / f"jpeg-rgb-{name}.jpg").write_bytes(coded)
        # The same coefficients under Huffman's codes, which Pillow reads.
        plain = subprocess.run(["jpegtran"], input=coded, capture_output=True, check=True).stdout
        values = means(np.asarray(Image.open(io.BytesIO(plain))), 255)
        cell(f"jpeg-rgb-{name}.jpg", "JPEG", "RGB", 8, "DCT", name, values, None, "jpegtran and Pillow")


def jpeg_inks():
    image = Image.fromarray(CMYK, "CMYK")
    for name, options in [("cmyk", {}), ("cmyk-progressive", {"progressive": True})]:
        image.save(TARGET / f"jpeg-{name}.jpg", "JPEG", quality=90, **options)
        pillow_cell(f"jpeg-{name}.jpg", "JPEG", "CMYK", 8, "DCT", name)
    upright = imagecodecs.jpeg8_encode(CMYK, level=90, colorspace="CMYK", outcolorspace="CMYK")
    plain = without_marker(upright)
    (TARGET / "jpeg-cmyk-unmarked.jpg").write_bytes(plain)
    decoded = imagecodecs.jpeg8_decode(plain, colorspace="CMYK", outcolorspace="CMYK")
    cell("jpeg-cmyk-unmarked.jpg", "JPEG", "CMYK", 8, "DCT", "cmyk-unmarked", means(decoded, 255), None, "imagecodecs")
    ycck = imagecodecs.jpeg8_encode(255 - CMYK, level=90, colorspace="CMYK", outcolorspace="YCCK")
    (TARGET / "jpeg-ycck.jpg").write_bytes(ycck)
    pillow_cell("jpeg-ycck.jpg", "JPEG", "CMYK", 8, "DCT", "ycck")


def without_marker(file):
    """Drops the APP14 segment, whose writers invert CMYK."""
    place = file.find(b"\xff\xee")
    if place < 0:
        return file
    length = int.from_bytes(file[place + 2:place + 4], "big")
    return file[:place] + file[place + 2 + length:]


def refuse(file, content, format, model, depth, compression, error, layout=""):
    (TARGET / file).write_bytes(content)
    cell(file, format, model, depth, compression, layout, refused=error)


# --- PNG

def png():
    for name, model, samples in [
        ("gray-8", "gray", GRAY), ("rgb-8", "RGB", RGB), ("gray-alpha-8", "gray+alpha", np.dstack([GRAY, ALPHA])),
        ("rgb-alpha-8", "RGB+alpha", np.dstack([RGB, ALPHA])), ("gray-16", "gray", deep(GRAY)),
        ("rgb-16", "RGB", deep(RGB)), ("gray-alpha-16", "gray+alpha", np.dstack([deep(GRAY), deep(ALPHA)])),
        ("rgb-alpha-16", "RGB+alpha", np.dstack([deep(RGB), deep(ALPHA)])),
    ]:
        coded = imagecodecs.png_encode(samples, level=9)
        (TARGET / f"png-{name}.png").write_bytes(coded)
        decoded = imagecodecs.png_decode(coded)
        full = np.iinfo(decoded.dtype).max
        values, alpha = split(means(decoded, full), "alpha" in name)
        cell(f"png-{name}.png", "PNG", model, name.rsplit("-")[-1], "deflate", "", values, alpha, "imagecodecs")
    for bits in (1, 2, 4, 8):
        few = PALETTE if bits == 8 else Image.fromarray(RGB).quantize(2**bits, dither=Image.Dither.NONE)
        few.save(TARGET / f"png-palette-{bits}.png", "PNG", bits=bits)
        pillow_cell(f"png-palette-{bits}.png", "PNG", "palette", bits, "deflate", mode="RGB")
    PALETTE.save(TARGET / "png-palette-key.png", "PNG", transparency=3)
    pillow_cell("png-palette-key.png", "PNG", "palette+alpha", 8, "deflate", mode="RGBA")
    Image.fromarray(BILEVEL).save(TARGET / "png-gray-1.png", "PNG")
    pillow_cell("png-gray-1.png", "PNG", "gray", 1, "deflate", mode="L")


# --- TIFF

CODECS = {"none": None, "LZW": "lzw", "zip": "zlib", "PackBits": "packbits", "Zstandard": "zstd"}
BLOCKS = {"strips": {"rowsperstrip": 10}, "tiles": {"tile": (16, 32)}}


def write_tiff(file, samples, **options):
    tifffile.imwrite(TARGET / file, samples, metadata=None, software=False, **options)


def tiff_cell(file, model, depth, compression, layout, alpha=False, convert=None):
    with tifffile.TiffFile(TARGET / file) as opened:
        page = opened.pages[0]
        samples = page.asarray()
        if page.planarconfig == 2 and samples.ndim == 3:
            samples = samples.transpose(1, 2, 0)
    if convert is not None:
        samples = convert(samples)
    full = 1.0 if samples.dtype == bool or samples.dtype.kind == "f" else float(np.iinfo(samples.dtype).max)
    values, opacity = split(means(samples, full), alpha)
    cell(file, "TIFF", model, depth, compression, layout, values, opacity, "tifffile")


def tiff_models():
    unit = np.float32(1 / 65535)
    yield "gray", 8, GRAY, {"photometric": "minisblack"}, False, None
    yield "gray", 16, deep(GRAY), {"photometric": "minisblack"}, False, None
    yield "gray", "32 float", deep(GRAY) * unit, {"photometric": "minisblack"}, False, None
    yield "gray+alpha", 8, np.dstack([GRAY, ALPHA]), {"photometric": "minisblack", "extrasamples": ["unassalpha"]}, True, None
    yield "RGB", 8, RGB, {"photometric": "rgb"}, False, None
    yield "RGB", 16, deep(RGB), {"photometric": "rgb"}, False, None
    yield "RGB", "32 float", deep(RGB) * unit, {"photometric": "rgb"}, False, None
    yield "RGB+alpha", 8, np.dstack([RGB, ALPHA]), {"photometric": "rgb", "extrasamples": ["unassalpha"]}, True, None
    yield "CMYK", 8, CMYK, {"photometric": "separated"}, False, None
    yield "CMYK", 16, deep(CMYK), {"photometric": "separated"}, False, None
    yield "CIELAB", 8, lab_8(), {"photometric": "cielab"}, False, lab_8_shares
    yield "CIELAB", 16, lab_16(), {"photometric": "cielab"}, False, lab_16_shares


def lab_8():
    coded = lab() / [100 / 255, 1, 1]
    return coded.round().astype(np.int16).astype(np.uint8)


def lab_8_shares(stored):
    axes = stored[..., 1:].astype(np.int8).astype(np.float64)
    return np.dstack([stored[..., 0] / 255, (axes + 128) / 255])


def lab_16():
    coded = lab() / [100 / 65535, 1 / 256, 1 / 256]
    return coded.round().astype(np.int32).astype(np.uint16)


def lab_16_shares(stored):
    axes = stored[..., 1:].astype(np.int16).astype(np.float64) / 256
    return np.dstack([stored[..., 0] / 65535, (axes + 128) / 255])


def tiff():
    for model, depth, samples, options, alpha, convert in tiff_models():
        name = f"{model}-{depth}".lower().replace("+", "-").replace(" ", "-")
        for codec, compression in CODECS.items():
            for layout, blocks in BLOCKS.items():
                if layout == "tiles" and codec in ("PackBits",):
                    continue
                extra = {"predictor": True} if codec in ("LZW", "zip") and layout == "strips" else {}
                file = f"tiff-{name}-{codec.lower()}-{layout}.tif"
                write_tiff(file, samples, compression=compression, **options, **blocks, **extra)
                tiff_cell(file, model, depth, codec, layout, alpha, convert)
        if samples.ndim == 3:
            file = f"tiff-{name}-zip-planes.tif"
            write_tiff(file, samples.transpose(2, 0, 1), compression="zlib", planarconfig="separate", **options)
            tiff_cell(file, model, depth, "zip", "planes", alpha, convert)
    tiff_odd()
    tiff_bilevel()
    tiff_jpeg()
    tiff_refused()


def tiff_odd():
    write_tiff("tiff-rgb-8-big-endian-bigtiff.tif", RGB, photometric="rgb", compression="zlib", byteorder=">", bigtiff=True)
    tiff_cell("tiff-rgb-8-big-endian-bigtiff.tif", "RGB", 8, "zip", "64-bit, big-endian")
    write_tiff("tiff-rgb-16-big-endian.tif", deep(RGB), photometric="rgb", compression="lzw", predictor=True, byteorder=">")
    tiff_cell("tiff-rgb-16-big-endian.tif", "RGB", 16, "LZW", "big-endian")
    write_tiff("tiff-rgb-32-float-big-endian.tif", deep(RGB) * np.float32(1 / 65535), photometric="rgb", compression="zlib", predictor=True, byteorder=">")
    tiff_cell("tiff-rgb-32-float-big-endian.tif", "RGB", "32 float", "zip", "big-endian")
    write_tiff("tiff-rgb-16-float.tif", (deep(RGB) / 65535).astype(np.float16), photometric="rgb")
    tiff_cell("tiff-rgb-16-float.tif", "RGB", "16 float", "none", "one strip")
    write_tiff("tiff-gray-32-integer.tif", deep(GRAY).astype(np.uint32) * 65536, photometric="minisblack", compression="zlib")
    tiff_cell("tiff-gray-32-integer.tif", "gray", "32", "zip", "one strip")
    associated = np.dstack([(RGB * (ALPHA[..., None] / 255)).round().astype(np.uint8), ALPHA])
    write_tiff("tiff-rgb-associated.tif", associated, photometric="rgb", extrasamples=["assocalpha"], compression="lzw")
    tiff_cell("tiff-rgb-associated.tif", "RGB+associated", 8, "LZW", "one strip", True)
    spot = np.dstack([CMYK, ALPHA])
    write_tiff("tiff-cmyk-spot.tif", spot, photometric="separated", extrasamples=["unspecified"], compression="zlib")
    tiff_cell("tiff-cmyk-spot.tif", "CMYK+spot", 8, "zip", "one strip", convert=lambda samples: samples[..., :4])
    write_tiff("tiff-gray-inverted.tif", 255 - GRAY, photometric="miniswhite", compression="packbits")
    tiff_cell("tiff-gray-inverted.tif", "gray, 0 white", 8, "PackBits", "one strip", convert=lambda samples: 255 - samples)
    PALETTE.save(TARGET / "tiff-palette-8.tif", "TIFF", compression="tiff_lzw")
    pillow_cell("tiff-palette-8.tif", "TIFF", "palette", 8, "LZW", "one strip", mode="RGB")
    tiff_ycbcr()


def tiff_ycbcr():
    """Units of 2 x 2 pixels that share a colour, written by hand: no library at hand writes them."""
    ycc = np.asarray(Image.fromarray(RGB).convert("YCbCr")).astype(np.uint16)
    padded = np.pad(ycc, ((0, 1), (0, 1), (0, 0)), mode="edge")
    units = bytearray()
    for y in range(0, padded.shape[0], 2):
        for x in range(0, padded.shape[1], 2):
            block = padded[y:y + 2, x:x + 2]
            units += bytes(block[..., 0].reshape(-1).astype(np.uint8).tolist())
            units += bytes(int(v) for v in block[..., 1:].reshape(4, 2).mean(axis=0).round())
    fields = TiffImagePlugin.ImageFileDirectory_v2()
    for tag, value in {256: SIZE[0], 257: SIZE[1], 259: 1, 262: 6, 277: 3, 278: SIZE[1], 279: len(units)}.items():
        fields[tag] = value
    fields[258], fields[530] = (8, 8, 8), (2, 2)
    fields.tagtype[258] = fields.tagtype[530] = 3
    fields[273] = 0
    # Pillow adds the place behind the directory to that, where the pixels follow.
    (TARGET / "tiff-ycbcr-8.tif").write_bytes(b"II*\x00\x08\x00\x00\x00" + fields.tobytes(8) + bytes(units))
    y, cb, cr = (padded[..., 0].astype(float), *unshared(units, padded.shape))
    red, blue = y + 1.402 * cr, y + 1.772 * cb
    green = (y - 0.299 * red - 0.114 * blue) / 0.587
    rgb = np.dstack([red, green, blue]).round().clip(0, 255)[: SIZE[1], : SIZE[0]]
    cell("tiff-ycbcr-8.tif", "TIFF", "YCbCr 2 x 2", 8, "none", "one strip", means(rgb, 255), None, "this script, by TIFF 6.0")


def unshared(units, shape):
    pairs = np.frombuffer(bytes(units), np.uint8).reshape(-1, 6)[:, 4:].astype(float) - 128
    grid = pairs.reshape(shape[0] // 2, shape[1] // 2, 2).repeat(2, axis=0).repeat(2, axis=1)
    return grid[..., 0], grid[..., 1]


def tiff_bilevel():
    image = Image.fromarray(BILEVEL)
    for codec, compression in {"none": None, "PackBits": "packbits", "LZW": "tiff_lzw", "zip": "tiff_adobe_deflate",
                               "G3": "group3", "G4": "group4", "fax runs": "tiff_ccitt"}.items():
        file = f"tiff-bilevel-{codec.lower().replace(' ', '-')}.tif"
        image.save(TARGET / file, "TIFF", compression=compression)
        pillow_cell(file, "TIFF", "bilevel", 1, codec, "one strip", mode="L")
    two_dimensional = {292: 1}
    image.save(TARGET / "tiff-bilevel-g3-2d.tif", "TIFF", compression="group3", tiffinfo=two_dimensional)
    pillow_cell("tiff-bilevel-g3-2d.tif", "TIFF", "bilevel", 1, "G3, two-dimensional", "one strip", mode="L")


def tiff_jpeg():
    for name, samples, options in [
        ("gray", GRAY, {"photometric": "minisblack"}), ("rgb", RGB, {"photometric": "rgb"}),
        ("ycbcr", RGB, {"photometric": "ycbcr"}), ("cmyk", CMYK, {"photometric": "separated"}),
    ]:
        for layout, blocks in {"strips": {"rowsperstrip": 16}, "tiles": {"tile": (16, 32)}}.items():
            file = f"tiff-{name}-jpeg-{layout}.tif"
            settings = {"level": 90} | ({"subsampling": (2, 2)} if name == "ycbcr" else {})
            write_tiff(file, samples, compression="jpeg", compressionargs=settings, **options, **blocks)
            if name == "cmyk":
                tiff_cell(file, "CMYK", 8, "JPEG", layout)
            else:
                pillow_cell(file, "TIFF", {"gray": "gray", "rgb": "RGB", "ycbcr": "YCbCr"}[name], 8, "JPEG", layout)


def tiff_refused():
    for name, samples, options in [
        ("lzma", RGB, {"compression": "lzma"}), ("jpeg2000", RGB, {"compression": "jpeg2000"}),
        ("webp", RGB, {"compression": "webp"}), ("signed", GRAY.astype(np.int16), {"photometric": "minisblack"}),
    ]:
        options.setdefault("photometric", "rgb")
        write_tiff(f"tiff-{name}.tif", samples, **options)
        cell(f"tiff-{name}.tif", "TIFF", options["photometric"], samples.dtype.name, name, refused="Unsupported")
    five = np.dstack([CMYK, GRAY])
    write_tiff("tiff-five-inks.tif", five, photometric="separated", extratags=[(332, 3, 1, 2, True), (334, 3, 1, 5, True)])
    cell("tiff-five-inks.tif", "TIFF", "five inks", 8, "none", refused="Unsupported")


# --- the rest

def bitmaps():
    image = Image.fromarray(RGB)
    for name, options in [("lossy", {"quality": 85}), ("lossless", {"lossless": True})]:
        image.save(TARGET / f"webp-rgb-{name}.webp", "WEBP", **options)
        pillow_cell(f"webp-rgb-{name}.webp", "WebP", "RGB", 8, name)
        Image.fromarray(np.dstack([RGB, ALPHA])).save(TARGET / f"webp-alpha-{name}.webp", "WEBP", exact=True, **options)
        pillow_cell(f"webp-alpha-{name}.webp", "WebP", "RGB+alpha", 8, name)
    PALETTE.save(TARGET / "gif-palette.gif", "GIF")
    gif_cell("gif-palette.gif", "palette")
    PALETTE.save(TARGET / "gif-interlaced.gif", "GIF", interlace=1)
    gif_cell("gif-interlaced.gif", "palette, interlaced")
    PALETTE.save(TARGET / "gif-key.gif", "GIF", transparency=3)
    gif_cell("gif-key.gif", "palette+alpha")
    for name, form in [("rgb", image), ("gray", Image.fromarray(GRAY)), ("palette", PALETTE), ("bilevel", Image.fromarray(BILEVEL))]:
        form.save(TARGET / f"bmp-{name}.bmp", "BMP")
        pillow_cell(f"bmp-{name}.bmp", "BMP", name if name != "rgb" else "RGB", 1 if name == "bilevel" else 8, "none", mode="RGB")
    anymaps()


def gif_cell(file, model):
    """A GIF decoder here always gives an opacity."""
    pillow_cell(file, "GIF", model, 8, "LZW", mode="RGBA")


def anymaps():
    image, gray = Image.fromarray(RGB), Image.fromarray(GRAY)
    image.save(TARGET / "pnm-rgb.ppm", "PPM")
    gray.save(TARGET / "pnm-gray.pgm", "PPM")
    Image.fromarray(BILEVEL).save(TARGET / "pnm-bilevel.pbm", "PPM")
    for file, model, bits in [("pnm-rgb.ppm", "RGB", 8), ("pnm-gray.pgm", "gray", 8), ("pnm-bilevel.pbm", "bilevel", 1)]:
        pillow_cell(file, "PNM", model, bits, "none", mode="RGB" if model == "RGB" else "L")
    header = f"{SIZE[0]} {SIZE[1]}\n"
    digits = "\n".join(" ".join(str(v) for v in row) for row in GRAY)
    (TARGET / "pnm-gray-digits.pgm").write_text(f"P2\n{header}255\n{digits}\n")
    pillow_cell("pnm-gray-digits.pgm", "PNM", "gray", 8, "digits", mode="L")
    bits = "\n".join("".join(str(1 - int(v)) for v in row) for row in BILEVEL)
    (TARGET / "pnm-bilevel-digits.pbm").write_text(f"P1\n# by hand\n{header}{bits}\n")
    pillow_cell("pnm-bilevel-digits.pbm", "PNM", "bilevel", 1, "digits", mode="L")
    (TARGET / "pnm-rgb-16.ppm").write_bytes(f"P6\n{header}65535\n".encode() + deep(RGB).astype(">u2").tobytes())
    cell("pnm-rgb-16.ppm", "PNM", "RGB", 16, "none", "", means(deep(RGB), 65535), None, "this script, as written")
    pam = np.dstack([RGB, ALPHA])
    head = f"P7\nWIDTH {SIZE[0]}\nHEIGHT {SIZE[1]}\nDEPTH 4\nMAXVAL 255\nTUPLTYPE RGB_ALPHA\nENDHDR\n"
    (TARGET / "pnm-rgb-alpha.pam").write_bytes(head.encode() + pam.tobytes())
    values, alpha = split(means(pam, 255), True)
    cell("pnm-rgb-alpha.pam", "PNM", "RGB+alpha", 8, "none", "", values, alpha, "this script, as written")


# --- pages and drawings: means over white, as a print shows them

SVG = """<svg xmlns="http://www.w3.org/2000/svg" width="1.5in" height="1in" viewBox="0 0 150 100">
<rect x="10" y="10" width="60" height="50" fill="#c8323c"/>
<circle cx="100" cy="55" r="32" fill="#1e78b4" fill-opacity="0.75"/>
<path d="M20 90 L70 60 L120 90 Z" fill="none" stroke="#285028" stroke-width="5"/>
</svg>
"""


def over_white(rgba):
    rgba = np.asarray(rgba, np.float64) / 255
    return rgba[..., :3] * rgba[..., 3:] + 1 - rgba[..., 3:]


def svg():
    (TARGET / "svg-shapes.svg").write_text(SVG)
    drawn = cairosvg.svg2png(bytestring=SVG.encode(), output_width=225, output_height=150)
    values = means(over_white(Image.open(io.BytesIO(drawn)).convert("RGBA")), 1)
    cell("svg-shapes.svg", "SVG", "shapes", "150 dpi", "", "", values, None, "cairosvg, over white", size=(225, 150))
    text = SVG.replace("</svg>", '<text x="9" y="9">tide</text></svg>')
    refuse("svg-text.svg", text.encode(), "SVG", "text", "", "", "Unsupported")


def pdf_file(content, media=(0, 0, 216, 144), boxes="", resources="<< >>", objects=()):
    parts = [b"<< /Type /Catalog /Pages 2 0 R >>", b"<< /Type /Pages /Kids [3 0 R] /Count 1 >>",
             f"<< /Type /Page /Parent 2 0 R /MediaBox [{' '.join(map(str, media))}] {boxes} /Contents 4 0 R /Resources {resources} >>".encode(),
             f"<< /Length {len(content)} >>\nstream\n".encode() + content + b"\nendstream", *objects]
    file, places = b"%PDF-1.7\n", []
    for number, part in enumerate(parts, 1):
        places.append(len(file))
        file += f"{number} 0 obj\n".encode() + part + b"\nendobj\n"
    table = "".join(f"{place:010} 00000 n \n" for place in places)
    return file + (f"xref\n0 {len(parts) + 1}\n0000000000 65535 f \n{table}trailer\n<< /Size {len(parts) + 1} /Root 1 0 R >>\n"
                   f"startxref\n{len(file)}\n%%EOF\n").encode()


# Multiples of 12 points are whole pixels at 150 dpi: renderers differ in how they move upright edges.
SHAPES = (b"0.78 0.2 0.24 rg 24 24 84 60 re f\n0.12 0.47 0.7 rg 120 36 m 192 36 l 156 108 l h f\n"
          b"0.3 g 12 120 192 12 re f\n")


def pdf():
    image = zlib_image()
    for name, file in {
        "shapes": pdf_file(SHAPES),
        "trim": pdf_file(SHAPES, boxes="/TrimBox [12 12 204 132] /Rotate 90"),
        "image": pdf_file(b"q 180 0 0 120 24 12 cm /P Do Q", resources="<< /XObject << /P 5 0 R >> >>", objects=[image]),
    }.items():
        (TARGET / f"pdf-{name}.pdf").write_bytes(file)
        if name == "image":
            rgb, size = rendered(file)
            values, reader = means(rgb, 1), "pypdfium2, over white"
        else:
            values, size = exact(name == "trim")
            reader = "exact areas, over white"
        cell(f"pdf-{name}.pdf", "PDF", name, "150 dpi", "", "", values, None, reader, size=size)
    refuse("pdf-locked.pdf", locked(), "PDF", "shapes", "", "with a password", "Unsupported")


def zlib_image():
    import zlib
    packed = zlib.compress(RGB.tobytes(), 9)
    return (f"<< /Type /XObject /Subtype /Image /Width {SIZE[0]} /Height {SIZE[1]} /ColorSpace /DeviceRGB /BitsPerComponent 8 "
            f"/Filter /FlateDecode /Length {len(packed)} >>\nstream\n").encode() + packed + b"\nendstream"


def exact(trim):
    """Means of SHAPES from their areas in points: pypdfium2 widens upright rectangles by up to a pixel."""
    # The trim box cuts nothing off but white.
    width, height = (192, 120) if trim else (216, 144)
    inks = [(84 * 60, (0.78, 0.2, 0.24)), (72 * 72 / 2, (0.12, 0.47, 0.7)), (192 * 12, (0.3, 0.3, 0.3))]
    taken = np.sum([area * (1 - np.array(colour)) for area, colour in inks], axis=0)
    pixels = [round(side * 150 / 72) for side in ((height, width) if trim else (width, height))]
    return list(1 - taken / (width * height)), tuple(pixels)


def rendered(file):
    page = pypdfium2.PdfDocument(file)[0]
    # A little less, so that arithmetic doesn't add a column.
    drawn = page.render(scale=150 / 72 * (1 - 1e-6)).to_pil().convert("RGB")
    return np.asarray(drawn, np.float64) / 255, drawn.size


def locked():
    import pikepdf
    target = io.BytesIO()
    with pikepdf.open(io.BytesIO(pdf_file(SHAPES))) as opened:
        opened.save(target, encryption=pikepdf.Encryption(user="tide", owner="harbour"), deterministic_id=False)
    return target.getvalue()


def main():
    TARGET.mkdir(exist_ok=True)
    for made in (jpeg, png, tiff, bitmaps, svg, pdf):
        made()
    with TABLE.open("w", newline="") as target:
        writer = csv.writer(target, lineterminator="\n")
        writer.writerow(COLUMNS)
        writer.writerows(rows)
    print(len(rows), "cells")


if __name__ == "__main__":
    main()

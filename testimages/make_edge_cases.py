"""Makes `edge/`: small, sound files in the many forms that pictures come in.

Run (after `photographs/` exists):

    pip install pillow==13.0.0 numpy==2.4.6 tifffile==2026.3.3 imagecodecs==2026.3.6
    apt-get install libjpeg-turbo-progs        # jpegtran, for the file in separate scans
    python3 make_edge_cases.py
    python3 measure_edge_cases.py              # writes the two expected*.csv

The same versions give the same bytes. All `crop-*` files hold the same 200 × 150
pixels: bit for bit in PNG, TIFF and the other lossless forms, nearly so in JPEG.
Sixteen-bit forms round to the eight-bit ones. `README.md` lists what each file is for.
"""

import subprocess
from pathlib import Path

import imagecodecs
import numpy as np
import tifffile
from PIL import Image

import edge_pictures as pictures
import icc_profiles
import jpeg_bytes
import png_bytes

TARGET = Path(__file__).parent / "edge"
JPEG_QUALITY = 92
# EXIF orientation → how upright pixels are stored so that a reader that obeys the
# tag shows them upright again (EXIF 2.32, table 4).
STORED_FOR_ORIENTATION = {
    2: lambda p: p[:, ::-1],
    3: lambda p: p[::-1, ::-1],
    4: lambda p: p[::-1],
    5: lambda p: p.transpose(1, 0, 2),
    6: lambda p: p.transpose(1, 0, 2)[::-1],
    7: lambda p: p[::-1, ::-1].transpose(1, 0, 2),
    8: lambda p: p.transpose(1, 0, 2)[:, ::-1],
}
ORIENTATION, X_RESOLUTION, Y_RESOLUTION, RESOLUTION_UNIT = 0x0112, 0x011A, 0x011B, 0x0128


def write(name, data):
    (TARGET / name).write_bytes(data)


def write_tiff(name, samples, **options):
    """A TIFF without the writer's own description, date and program name."""
    options.setdefault("photometric", "rgb" if samples.shape[2] >= 3 else "minisblack")
    samples = samples[..., 0] if samples.shape[2] == 1 else samples
    tifffile.imwrite(TARGET / name, samples, metadata=None, software=False, **options)


def write_jpeg(name, samples, **options):
    samples = samples[..., 0] if samples.shape[2] == 1 else samples
    settings = {"quality": JPEG_QUALITY, "subsampling": "4:2:0"} | options
    Image.fromarray(np.ascontiguousarray(samples)).save(TARGET / name, "JPEG", **settings)


def generated():
    write("white-page.png", png_bytes.picture(pictures.page(255)))
    write("black-page.png", png_bytes.picture(pictures.page(0)))
    write("one-pixel.png", png_bytes.picture(np.array([[[200, 100, 50]]], np.uint8)))
    write_jpeg("one-pixel.jpg", np.array([[[200, 100, 50]]], np.uint8))
    write_tiff("one-pixel.tif", np.array([[[200, 100, 50]]], np.uint8))
    write("one-pixel-wide.png", png_bytes.picture(pictures.crop()[:, :1]))
    write("one-pixel-high.png", png_bytes.picture(pictures.crop()[:1]))
    write("gray-ramp-8.png", png_bytes.picture(pictures.ramp(256, 16, 255)))
    write("gray-ramp-16.png", png_bytes.picture(pictures.ramp(1024, 16, 65535), bits=16))
    write_tiff("gray-ramp-16.tif", pictures.ramp(1024, 16, 65535), compression="zlib", predictor=True)
    write("rgb-cube.png", png_bytes.picture(pictures.rgb_cube()))


def png_plain(crop):
    write("crop-8.png", png_bytes.picture(crop))
    write("crop-16.png", png_bytes.picture(pictures.deepened(crop), bits=16))
    write("crop-interlaced.png", png_bytes.picture(crop, interlaced=True))
    write("crop-16-interlaced.png", png_bytes.picture(pictures.deepened(crop), bits=16, interlaced=True))
    gray = pictures.to_gray(crop)
    write("crop-gray-8.png", png_bytes.picture(gray))
    write("crop-gray-16.png", png_bytes.picture(pictures.deepened(gray), bits=16))
    write("crop-gray-1-bit.png", png_bytes.picture(gray >> 7, bits=1))
    write("png-named.jpg", png_bytes.picture(crop))


def png_transparent(crop):
    straight = pictures.with_alpha(crop)
    write("crop-alpha.png", png_bytes.picture(straight))
    write("crop-alpha-16.png", png_bytes.picture(pictures.deepened(straight), bits=16))
    gray_alpha = pictures.with_alpha(pictures.to_gray(crop))
    write("crop-gray-alpha.png", png_bytes.picture(gray_alpha))
    clear = np.concatenate([crop, np.zeros_like(crop[..., :1])], axis=-1)
    write("crop-fully-transparent.png", png_bytes.picture(clear))
    colour_key(crop)


def colour_key(crop):
    """The crop whose clear surroundings hold one colour that tRNS declares transparent."""
    key = np.array([1, 254, 3], np.uint8)
    samples = np.where(pictures.soft_edge(*crop.shape[:2]) == 0, key, crop)
    declared = b"".join(int(sample).to_bytes(2, "big") for sample in key)
    write("colour-key.png", png_bytes.picture(samples, before_data=png_bytes.chunk(b"tRNS", declared)))


def png_palettes(crop):
    indices, palette = pictures.quantised(crop, 256)
    table = png_bytes.chunk(b"PLTE", palette.tobytes())
    write("palette-8-bit.png", png_bytes.picture(indices, colour_type=png_bytes.PALETTE, before_data=table))
    # Entries 0, 1 and 2 of every four become clear, a third and two thirds opaque.
    alpha = np.array([(0, 85, 170, 255)[entry % 4] for entry in range(len(palette))], np.uint8)
    table += png_bytes.chunk(b"tRNS", alpha.tobytes())
    write("palette-transparent.png", png_bytes.picture(indices, colour_type=png_bytes.PALETTE, before_data=table))
    indices, palette = pictures.quantised(crop, 16)
    table = png_bytes.chunk(b"PLTE", palette.tobytes())
    write("palette-4-bit.png", png_bytes.picture(indices, 4, png_bytes.PALETTE, before_data=table))


def png_resolution_and_profile(crop):
    for name, x, y, unit in (("300-dpi", 11811, 11811, 1), ("300-by-150-dpi", 11811, 5906, 1), ("aspect-only", 2, 1, 0)):
        write(f"crop-{name}.png", png_bytes.picture(crop, before_data=png_bytes.physical(x, y, unit)))
    write("crop-wide-profile.png", png_bytes.picture(crop, before_data=png_bytes.profile(icc_profiles.wide_rgb())))
    gray = pictures.to_gray(crop)
    write("crop-gray-profile.png", png_bytes.picture(gray, before_data=png_bytes.profile(icc_profiles.gray())))


def tiff_layouts(crop):
    write_tiff("crop-strips.tif", crop, rowsperstrip=16)
    write_tiff("crop-one-strip.tif", crop, rowsperstrip=150)
    write_tiff("crop-tiles.tif", crop, tile=(64, 48))
    write_tiff("crop-tiles-lzw-predictor.tif", crop, tile=(64, 48), compression="lzw", predictor=True)
    write_tiff("crop-planar.tif", crop.transpose(2, 0, 1), planarconfig="separate", photometric="rgb", rowsperstrip=16)
    write_tiff("crop-planar-tiles.tif", crop.transpose(2, 0, 1), planarconfig="separate", photometric="rgb", tile=(64, 48))
    write_tiff("crop-big-endian.tif", crop, byteorder=">", rowsperstrip=16)
    write_tiff("crop-bigtiff.tif", crop, bigtiff=True, rowsperstrip=16)
    two_pages = TARGET / "crop-two-pages.tif"
    with tifffile.TiffWriter(two_pages) as pages:
        for samples in (crop, 255 - crop):
            pages.write(samples, photometric="rgb", compression="zlib", metadata=None, software=False)


def tiff_compressions(crop):
    write_tiff("crop-lzw.tif", crop, compression="lzw", rowsperstrip=32)
    write_tiff("crop-lzw-predictor.tif", crop, compression="lzw", predictor=True, rowsperstrip=32)
    write_tiff("crop-deflate.tif", crop, compression="zlib", rowsperstrip=32)
    write_tiff("crop-deflate-predictor.tif", crop, compression="zlib", predictor=True, rowsperstrip=32)
    write_tiff("crop-packbits.tif", crop, compression="packbits", rowsperstrip=32)
    write_tiff("crop-jpeg-in-tiff.tif", crop, compression="jpeg", compressionargs={"level": JPEG_QUALITY}, rowsperstrip=64)


def tiff_samples(crop):
    deep, gray = pictures.deepened(crop), pictures.to_gray(crop)
    write_tiff("crop-16.tif", deep, rowsperstrip=16)
    write_tiff("crop-16-big-endian-lzw-predictor.tif", deep, byteorder=">", compression="lzw", predictor=True)
    write_tiff("crop-gray.tif", gray, rowsperstrip=16)
    write_tiff("crop-gray-16.tif", pictures.deepened(gray), rowsperstrip=16)
    write_tiff("crop-white-is-zero.tif", 255 - gray, photometric="miniswhite", rowsperstrip=16)
    straight = pictures.with_alpha(crop)
    write_tiff("crop-straight-alpha.tif", straight, extrasamples=["unassalpha"], compression="zlib")
    write_tiff("crop-associated-alpha.tif", pictures.associated(straight), extrasamples=["assocalpha"], compression="zlib")
    indices, palette = pictures.quantised(crop, 256)
    colour_map = np.zeros((3, 256), np.uint16)
    colour_map[:, : len(palette)] = palette.T.astype(np.uint16) * 257
    write_tiff("crop-palette.tif", indices[..., None], photometric="palette", colormap=colour_map, rowsperstrip=16)


def tiff_tags(crop):
    resolutions = {"300-dpi": ((300, 300), "INCH"), "100-per-cm": ((100, 100), "CENTIMETER"), "no-unit": ((3, 2), "NONE")}
    for name, (resolution, unit) in resolutions.items():
        write_tiff(f"crop-{name}.tif", crop, compression="zlib", resolution=resolution, resolutionunit=unit)
    write_tiff("crop-wide-profile.tif", crop, compression="zlib", iccprofile=icc_profiles.wide_rgb())
    stored = np.ascontiguousarray(STORED_FOR_ORIENTATION[6](crop))
    write_tiff("crop-orientation-6.tif", stored, compression="zlib", extratags=[(ORIENTATION, "H", 1, 6, True)])


def jpeg_codings(crop):
    write_jpeg("crop-420.jpg", crop)
    write_jpeg("crop-422.jpg", crop, subsampling="4:2:2")
    write_jpeg("crop-444.jpg", crop, subsampling="4:4:4")
    write_jpeg("crop-progressive.jpg", crop, progressive=True)
    write_jpeg("crop-gray.jpg", pictures.to_gray(crop))
    write_jpeg("crop-restart.jpg", crop, restart_marker_blocks=5)
    write_jpeg("crop-rgb-coded.jpg", crop, keep_rgb=True, subsampling="4:4:4")
    separate_scans()


def separate_scans():
    """The 4:2:0 file with one scan for each component, still baseline; the same coefficients."""
    order = TARGET / "scans.txt"
    order.write_text("0;\n1;\n2;\n")
    try:
        command = ["jpegtran", "-scans", order, "-outfile", TARGET / "crop-separate-scans.jpg", TARGET / "crop-420.jpg"]
        subprocess.run(command, check=True)
    finally:
        order.unlink()


def exif(entries):
    tags = Image.Exif()
    tags.update(entries)
    return tags.tobytes()


def jpeg_tags(crop):
    for orientation, stored in STORED_FOR_ORIENTATION.items():
        write_jpeg(f"crop-orientation-{orientation}.jpg", stored(crop), exif=exif({ORIENTATION: orientation}))
    write_jpeg("crop-jfif-300-dpi.jpg", crop, dpi=(300, 300))
    plain = (TARGET / "crop-420.jpg").read_bytes()
    write("crop-jfif-118-per-cm.jpg", jpeg_bytes.with_jfif_density(plain, 2, 118, 118))
    density = {X_RESOLUTION: 240.0, Y_RESOLUTION: 240.0, RESOLUTION_UNIT: 2}
    write_jpeg("crop-exif-240-dpi.jpg", crop, exif=exif(density))


def jpeg_profiles(crop):
    write_jpeg("crop-wide-profile.jpg", crop, icc_profile=icc_profiles.wide_rgb())
    profile, plain = icc_profiles.wide_rgb(), (TARGET / "crop-420.jpg").read_bytes()
    halves = jpeg_bytes.icc_segment(profile[300:], 2, 2) + jpeg_bytes.icc_segment(profile[:300], 1, 2)
    write("crop-wide-profile-in-two.jpg", jpeg_bytes.with_segments_after_jfif(plain, halves))


def four_inks(crop):
    ink = pictures.to_ink(crop)
    write_tiff("crop-cmyk.tif", ink, photometric="separated", rowsperstrip=16)
    write_tiff("crop-cmyk-16-planar.tif", pictures.deepened(ink).transpose(2, 0, 1), photometric="separated",
               planarconfig="separate", compression="zlib")
    write_tiff("crop-cmyk-profile.tif", ink, photometric="separated", compression="zlib", iccprofile=icc_profiles.cmyk())
    Image.fromarray(ink, "CMYK").save(TARGET / "crop-cmyk.jpg", quality=JPEG_QUALITY, subsampling="4:4:4")
    # The convention of APP14 files: 255 means no ink.
    ycck = imagecodecs.jpeg8_encode(255 - ink, level=JPEG_QUALITY, colorspace="CMYK", outcolorspace="YCCK", subsampling="444")
    write("crop-ycck.jpg", ycck)


def other_containers(crop):
    image = Image.fromarray(crop)
    image.save(TARGET / "crop.bmp", dpi=(0, 0))  # 0: no resolution, where Pillow would claim 96
    image.save(TARGET / "crop.ppm")
    image.save(TARGET / "crop-lossless.webp", lossless=True, quality=100, method=6)


def main():
    TARGET.mkdir(exist_ok=True)
    crop = pictures.crop()
    generated()
    for step in (png_plain, png_transparent, png_palettes, png_resolution_and_profile, tiff_layouts, tiff_compressions,
                 tiff_samples, tiff_tags, jpeg_codings, jpeg_tags, jpeg_profiles, four_inks, other_containers):
        step(crop)


if __name__ == "__main__":
    main()

"""Makes `bad/`: files that must be refused, or read only with a loud warning.

Run (after `make_edge_cases.py`):

    pip install pillow==13.0.0 numpy==2.4.6 tifffile==2026.3.3 imagecodecs==2026.3.6
    python3 make_bad_files.py

The same versions give the same bytes. `bad/README.md` says for every file what is
wrong with it and what is expected.
"""

import struct
import zlib
from pathlib import Path

import edge_pictures as pictures
import icc_profiles
import jpeg_bytes
import png_bytes

HERE = Path(__file__).parent
EDGE, TARGET = HERE / "edge", HERE / "bad"
IMAGE_WIDTH, IMAGE_LENGTH, STRIP_OFFSETS, STRIP_BYTE_COUNTS = 256, 257, 273, 279
TIFF_SHORT, TIFF_LONG = 3, 4
BOMB_BYTES = 64 * 1024 * 1024  # inflated size of the profile bomb; deflates to about 64 kB


def sound(name):
    return (EDGE / name).read_bytes()


def write(name, data):
    (TARGET / name).write_bytes(data)


def not_pictures():
    write("text-named.jpg", b"This is a note, not a photograph.\nIt only bears the name of one.\n")
    write("text-named.png", b"This is a note, not a picture.\n")
    write("empty.jpg", b"")
    write("empty.png", b"")
    write("empty.tif", b"")
    write("signature-only.png", png_bytes.SIGNATURE)
    write("header-only.tif", b"II*\0\x08\0\0\0")


def cut_short():
    for name in ("420.jpg", "progressive.jpg", "8.png", "strips.tif", "deflate.tif"):
        data = sound(f"crop-{name}")
        for percent in (10, 50, 99):
            write(f"cut-{percent}-{name}", data[: len(data) * percent // 100])


def early_ends():
    """Files that look finished, yet lack part of the picture."""
    data = sound("crop-420.jpg")
    write("early-end.jpg", data[: len(data) // 2] + jpeg_bytes.END)
    rows = png_bytes.scanlines(pictures.crop()[:75], 8, False)
    write("missing-rows.png", png_file(png_bytes.header(200, 150, 8, png_bytes.RGB), rows))
    data = sound("crop-strips.tif")
    counts = tiff_values(data, STRIP_BYTE_COUNTS)
    write("short-strip.tif", with_tiff_values(data, STRIP_BYTE_COUNTS, [counts[0] // 2, *counts[1:]]))


def png_file(header, rows):
    """A PNG from a ready header chunk and bytes to deflate."""
    return png_bytes.SIGNATURE + header + png_bytes.chunk(b"IDAT", zlib.compress(rows, 9)) + png_bytes.chunk(b"IEND", b"")


def false_sizes():
    few = bytes(1000)
    write("huge-claim.png", png_file(png_bytes.header(100_000, 100_000, 8, png_bytes.RGB), few))
    write("largest-claim.png", png_file(png_bytes.header(2**31 - 1, 2**31 - 1, 16, png_bytes.RGB_ALPHA), few))
    write("zero-width.png", png_file(png_bytes.header(0, 150, 8, png_bytes.RGB), few))
    write("zero-height.png", png_file(png_bytes.header(200, 0, 8, png_bytes.RGB), few))
    write("huge-claim.jpg", jpeg_bytes.with_size(sound("one-pixel.jpg"), 65_535, 65_535))
    write("zero-width.jpg", jpeg_bytes.with_size(sound("one-pixel.jpg"), 0, 1))
    tiff = sound("one-pixel.tif")
    write("huge-claim.tif", tiff_of_size(tiff, 100_000, 100_000))
    write("zero-width.tif", tiff_of_size(tiff, 0, 1))


def tiff_of_size(data, width, height):
    return with_tiff_values(with_tiff_values(data, IMAGE_WIDTH, [width]), IMAGE_LENGTH, [height])


def tiff_entry(data, wanted):
    """Where a tag of a little-endian classic TIFF has its values, with their format and number."""
    directory = struct.unpack_from("<I", data, 4)[0]
    for index in range(struct.unpack_from("<H", data, directory)[0]):
        entry = directory + 2 + 12 * index
        tag, kind, count = struct.unpack_from("<HHI", data, entry)
        if tag == wanted:
            size = {TIFF_SHORT: 2, TIFF_LONG: 4}[kind]
            place = entry + 8 if size * count <= 4 else struct.unpack_from("<I", data, entry + 8)[0]
            return place, entry, f"<{count}{'H' if kind == TIFF_SHORT else 'I'}"
    raise ValueError(f"the file has no tag {wanted}")


def tiff_values(data, tag):
    place, _, form = tiff_entry(data, tag)
    return struct.unpack_from(form, data, place)


def with_tiff_values(data, tag, values):
    """The same file with other values in one tag; a single value is stored as LONG."""
    out, (place, entry, form) = bytearray(data), tiff_entry(data, tag)
    if len(values) == 1:
        struct.pack_into("<HII", out, entry + 2, TIFF_LONG, 1, values[0])
    else:
        struct.pack_into(form, out, place, *values)
    return bytes(out)


def damaged_structure():
    crop = pictures.crop()
    write("bad-crc-data.png", png_bytes.picture(crop, data_crc_error=1))
    write("damaged-data.png", damaged_png(crop))
    data = bytearray(sound("crop-420.jpg"))
    middle = (jpeg_bytes.scan_start(data) + len(data)) // 2
    data[middle : middle + 64] = bytes([0x55, 0xAA]) * 32
    write("damaged-scan.jpg", bytes(data))
    tiff = sound("crop-strips.tif")
    offsets = tiff_values(tiff, STRIP_OFFSETS)
    write("strip-past-end.tif", with_tiff_values(tiff, STRIP_OFFSETS, [*offsets[:-1], len(tiff) + 4096]))
    tiff = bytearray(sound("one-pixel.tif"))
    struct.pack_into("<I", tiff, 4, len(tiff) + 1000)
    write("directory-past-end.tif", bytes(tiff))


def damaged_png(crop):
    """Deflated bytes overwritten in the middle, with a checksum that fits them."""
    packed = bytearray(zlib.compress(png_bytes.scanlines(crop, 8, False), 9))
    middle = len(packed) // 2
    packed[middle : middle + 32] = bytes(range(32))
    parts = (png_bytes.header(200, 150, 8, png_bytes.RGB), png_bytes.chunk(b"IDAT", bytes(packed)), png_bytes.chunk(b"IEND", b""))
    return png_bytes.SIGNATURE + b"".join(parts)


def bad_profiles():
    crop = pictures.crop()
    gray = pictures.to_gray(crop)
    garbage = bytes((7 * n * n + 31 * n) % 251 for n in range(600))
    whole = icc_profiles.wide_rgb()
    for name, profile in {
        "garbage": garbage,
        "cut": whole[: len(whole) // 2],
        "tags-past-end": whole[:136] + struct.pack(">I", 0x7FFFFFF0) + whole[140:],
        "of-four-inks-on-rgb": icc_profiles.cmyk(),
        "of-gray-on-rgb": icc_profiles.gray(),
    }.items():
        write(f"profile-{name}.png", png_bytes.picture(crop, before_data=png_bytes.profile(profile)))
        write(f"profile-{name}.jpg", jpeg_bytes.with_segments_after_jfif(sound("crop-420.jpg"), jpeg_bytes.icc_segment(profile)))
    write("profile-of-rgb-on-gray.png", png_bytes.picture(gray, before_data=png_bytes.profile(whole)))
    write("profile-bomb.png", png_bytes.picture(crop, before_data=png_bytes.profile(bytes(BOMB_BYTES))))
    lone = jpeg_bytes.icc_segment(whole[:300], 1, 2)
    write("profile-segment-missing.jpg", jpeg_bytes.with_segments_after_jfif(sound("crop-420.jpg"), lone))


def main():
    TARGET.mkdir(exist_ok=True)
    for step in (not_pictures, cut_short, early_ends, false_sizes, damaged_structure, bad_profiles):
        step()


if __name__ == "__main__":
    main()

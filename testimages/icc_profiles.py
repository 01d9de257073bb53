"""Small ICC profiles written from public numbers, for the test pictures.

Nothing here is copied from an existing profile: matrices follow from published
chromaticities, curves from published formulas, and the four-ink table from
rounded, invented ink colours. The bytes are dedicated to the public domain (CC0).

Sources: ICC.1:2022 (profile format 4.4), ICC.1:2001-04 (format 2.4, the Lab
encoding of `lut8Type`), IEC 61966-2-1 (sRGB primaries and curve),
ITU-R BT.2020-2 (wide primaries).

This file is a module: `make_photographs.py`, `make_poster.py`,
`make_edge_cases.py` and `make_bad_files.py` import it. It has no command line.
"""

import struct

import numpy as np

CREATED = (2024, 1, 1, 0, 0, 0)  # fixed, so that the files are the same every time
COPYRIGHT = "No copyright, CC0"

D50 = np.array([0.9642, 1.0, 0.8249])  # ICC.1:2022, 7.2.16
D65_XY = (0.3127, 0.3290)  # IEC 61966-2-1 and ITU-R BT.2020-2
SRGB_PRIMARIES = ((0.64, 0.33), (0.30, 0.60), (0.15, 0.06))  # IEC 61966-2-1
BT2020_PRIMARIES = ((0.708, 0.292), (0.170, 0.797), (0.131, 0.046))  # ITU-R BT.2020-2
BRADFORD = np.array(  # ICC.1:2022, annex E
    [[0.8951, 0.2664, -0.1614], [-0.7502, 1.7135, 0.0367], [0.0389, -0.0685, 1.0296]]
)
# IEC 61966-2-1 as a type 3 parametric curve: g, a, b, c, d.
SRGB_CURVE = (2.4, 1 / 1.055, 0.055 / 1.055, 1 / 12.92, 0.04045)

# Invented, rounded Lab colours of an ideal four-ink print on white paper.
# Our choice: they only need to be plausible, so that a reader that wrongly takes
# RGB samples for ink amounts gives a visibly different picture.
PAPER_AND_OVERPRINTS = {
    (0, 0, 0): (95, 0, -2),
    (1, 0, 0): (55, -36, -50),
    (0, 1, 0): (48, 74, -4),
    (0, 0, 1): (89, -5, 92),
    (1, 1, 0): (25, 20, -46),
    (1, 0, 1): (50, -66, 26),
    (0, 1, 1): (47, 68, 48),
    (1, 1, 1): (23, 0, 0),
}
BLACK_INK = (14, 0, 0)


def chromaticity_to_xyz(xy):
    """The tristimulus values, Y = 1, of a chromaticity."""
    x, y = xy
    return np.array([x / y, 1.0, (1 - x - y) / y])


def adaptation_to_d50(white_xy):
    """The Bradford matrix from a white to D50."""
    source = BRADFORD @ chromaticity_to_xyz(white_xy)
    target = BRADFORD @ D50
    return np.linalg.inv(BRADFORD) @ np.diag(target / source) @ BRADFORD


def rgb_to_xyz_d65(primaries):
    """The matrix from linear RGB to XYZ under D65, rows X, Y, Z."""
    columns = np.array([chromaticity_to_xyz(p) for p in primaries]).T
    scale = np.linalg.solve(columns, chromaticity_to_xyz(D65_XY))
    return columns * scale


def s15f16(values):
    """Numbers as the ICC's signed 15.16 fixed point."""
    return b"".join(struct.pack(">i", round(float(v) * 65536)) for v in values)


def text_v2(text):
    """A `textDescriptionType` of format 2."""
    ascii_part = text.encode("ascii") + b"\0"
    return b"desc\0\0\0\0" + struct.pack(">I", len(ascii_part)) + ascii_part + bytes(4 + 4 + 2 + 1 + 67)


def copyright_v2():
    """A `textType`, which format 2 wants for the copyright."""
    return b"text\0\0\0\0" + COPYRIGHT.encode("ascii") + b"\0"


def text_v4(text):
    """A `multiLocalizedUnicodeType` with one English record."""
    utf16 = text.encode("utf-16-be")
    return b"mluc\0\0\0\0" + struct.pack(">II2s2sII", 1, 12, b"en", b"US", len(utf16), 28) + utf16


def xyz_tag(values):
    """An `XYZType` with one triple."""
    return b"XYZ \0\0\0\0" + s15f16(values)


def gamma_v2(gamma):
    """A `curveType` that holds one exponent (8.8 fixed point)."""
    return b"curv\0\0\0\0" + struct.pack(">IH", 1, round(gamma * 256))


def parametric_curve(parameters):
    """A `parametricCurveType` of function type 3."""
    return b"para\0\0\0\0" + struct.pack(">HH", 3, 0) + s15f16(parameters)


def assemble(version, device_class, space, pcs, tags):
    """Header, tag table and tag data; equal tags are stored once."""
    table, data, offsets = b"", b"", {}
    start = 128 + 4 + 12 * len(tags)
    for signature, payload in tags:
        if payload not in offsets:
            data += bytes(-len(data) % 4)
            offsets[payload] = start + len(data)
            data += payload
        table += signature + struct.pack(">II", offsets[payload], len(payload))
    body = struct.pack(">I", len(tags)) + table + data
    body += bytes(-len(body) % 4)
    return header(version, device_class, space, pcs, 128 + len(body)) + body


def header(version, device_class, space, pcs, size):
    """The 128 bytes at the start of every profile."""
    fields = struct.pack(">I4xI4s4s4s6H4s", size, version, device_class, space, pcs, *CREATED, b"acsp")
    fields += bytes(4 + 4 + 4 + 4 + 8 + 4) + s15f16(D50) + bytes(4 + 16 + 28)
    assert len(fields) == 128
    return fields


def rgb_profile(description, primaries):
    """A format 4 display profile: matrix, and the sRGB curve for each channel."""
    adaptation = adaptation_to_d50(D65_XY)
    red, green, blue = (adaptation @ rgb_to_xyz_d65(primaries)).T
    curve = parametric_curve(SRGB_CURVE)
    return assemble(0x04400000, b"mntr", b"RGB ", b"XYZ ", [
        (b"desc", text_v4(description)), (b"cprt", text_v4(COPYRIGHT)), (b"wtpt", xyz_tag(D50)),
        (b"chad", b"sf32\0\0\0\0" + s15f16(adaptation.ravel())),
        (b"rXYZ", xyz_tag(red)), (b"gXYZ", xyz_tag(green)), (b"bXYZ", xyz_tag(blue)),
        (b"rTRC", curve), (b"gTRC", curve), (b"bTRC", curve),
    ])


def srgb():
    """sRGB by its published numbers."""
    return rgb_profile("Test sRGB", SRGB_PRIMARIES)


def wide_rgb():
    """The primaries of BT.2020 with the curve of sRGB."""
    return rgb_profile("Test wide RGB", BT2020_PRIMARIES)


def gray(gamma=2.2):
    """A format 2 gray profile with a plain exponent."""
    return assemble(0x02400000, b"mntr", b"GRAY", b"XYZ ", [
        (b"desc", text_v2("Test gray")), (b"cprt", copyright_v2()),
        (b"wtpt", xyz_tag(D50)), (b"kTRC", gamma_v2(gamma)),
    ])


def lab_to_bytes(lab):
    """The eight-bit Lab encoding of `lut8Type`."""
    lightness, a, b = lab
    return bytes([round(lightness * 255 / 100), round(a + 128), round(b + 128)])


def cmyk_node(cyan, magenta, yellow, black):
    """The table's colour where every ink is fully on or fully off."""
    if not black:
        return PAPER_AND_OVERPRINTS[cyan, magenta, yellow]
    inks_below = cyan + magenta + yellow
    lightness, a, b = BLACK_INK
    return (lightness - 3 * inks_below, a, b)


def cmyk():
    """A format 2 output profile with a two-node table from four inks to Lab.

    It holds the direction from ink to Lab only, which is all that a reader of
    an embedded profile needs.
    """
    nodes = [cmyk_node(c, m, y, k) for c in (0, 1) for m in (0, 1) for y in (0, 1) for k in (0, 1)]
    ramp = bytes(range(256))
    identity = s15f16(np.eye(3).ravel())
    lut8 = b"mft1\0\0\0\0" + bytes([4, 3, 2, 0]) + identity + ramp * 4
    lut8 += b"".join(lab_to_bytes(node) for node in nodes) + ramp * 3
    return assemble(0x02400000, b"prtr", b"CMYK", b"Lab ", [
        (b"desc", text_v2("Test four inks")), (b"cprt", copyright_v2()),
        (b"wtpt", xyz_tag(D50)), (b"A2B0", lut8),
    ])

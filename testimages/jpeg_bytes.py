"""Taking JPEG files apart into segments and building some, by ITU-T T.81 annex B.

This file is a module of the scripts beside it. It has no command line.
"""

import struct

START, END = b"\xff\xd8", b"\xff\xd9"
APP0, APP2, START_OF_SCAN = 0xE0, 0xE2, 0xDA
START_OF_FRAME = (0xC0, 0xC1, 0xC2)


def segments(data):
    """Yields (marker, whole segment); the last one is the first scan with all that follows."""
    position = 2
    while data[position + 1] != START_OF_SCAN:
        length = struct.unpack(">H", data[position + 2 : position + 4])[0]
        yield data[position + 1], data[position : position + 2 + length]
        position += 2 + length
    yield START_OF_SCAN, data[position:]


def segment(marker, body):
    """A segment with its length."""
    return bytes([0xFF, marker]) + struct.pack(">H", len(body) + 2) + body


def icc_segment(piece, number=1, count=1):
    """One piece of a profile (ICC.1:2022, annex B.4); at most 65,519 bytes fit."""
    return segment(APP2, b"ICC_PROFILE\0" + bytes([number, count]) + piece)


def with_segments_after_jfif(data, added):
    """The same file with further segments behind its JFIF header."""
    parts = list(segments(data))
    assert parts[0][0] == APP0, "the file must start with a JFIF header"
    return START + parts[0][1] + added + b"".join(part for _, part in parts[1:])


def with_jfif_density(data, unit, x, y):
    """The same file with another JFIF density; unit 0 is aspect only, 1 per inch, 2 per centimetre."""
    parts = list(segments(data))
    header = bytearray(parts[0][1])
    header[11:16] = struct.pack(">BHH", unit, x, y)
    return START + bytes(header) + b"".join(part for _, part in parts[1:])


def with_size(data, width, height):
    """The same file whose frame header claims another size."""
    out = START
    for marker, part in segments(data):
        if marker in START_OF_FRAME:
            part = part[:5] + struct.pack(">HH", height, width) + part[9:]
        out += part
    return out


def scan_start(data):
    """Where the coded bytes of the first scan begin."""
    scan = list(segments(data))[-1][1]
    header = struct.unpack(">H", scan[2:4])[0] + 2
    return len(data) - len(scan) + header

"""Writing PNG files byte by byte, by the PNG specification (third edition, W3C 2025).

Pillow writes neither 16-bit RGB nor interlaced files nor damaged ones, so the
scripts beside this file write those here. It is a module and has no command line.
"""

import struct
import zlib

import numpy as np

SIGNATURE = b"\x89PNG\r\n\x1a\n"
GRAY, RGB, PALETTE, GRAY_ALPHA, RGB_ALPHA = 0, 2, 3, 4, 6
TYPE_OF_CHANNELS = {1: GRAY, 2: GRAY_ALPHA, 3: RGB, 4: RGB_ALPHA}
# Adam7: first column, first row, column step, row step of each pass.
ADAM7 = ((0, 0, 8, 8), (4, 0, 8, 8), (0, 4, 4, 8), (2, 0, 4, 4), (0, 2, 2, 4), (1, 0, 2, 2), (0, 1, 1, 2))


def chunk(kind, body, crc_error=0):
    """A chunk with length and checksum; a nonzero `crc_error` spoils the checksum."""
    checksum = zlib.crc32(kind + body) ^ crc_error
    return struct.pack(">I", len(body)) + kind + body + struct.pack(">I", checksum)


def header(width, height, bits, colour_type, interlaced=False):
    """The IHDR chunk."""
    return chunk(b"IHDR", struct.pack(">IIBBBBB", width, height, bits, colour_type, 0, 0, int(interlaced)))


def pack_row(row, bits):
    """One row of samples as bytes; fewer than eight bits are packed from the left."""
    if bits == 16:
        return row.astype(">u2").tobytes()
    if bits == 8:
        return row.astype(np.uint8).tobytes()
    spread = (row[:, None] >> np.arange(bits - 1, -1, -1)) & 1
    return np.packbits(spread.astype(np.uint8).ravel()).tobytes()


def filtered(samples, bits):
    """All rows of samples, shape (height, width, channels), with the "sub" filter where it helps."""
    distance = max(1, samples.shape[2] * bits // 8)
    out = bytearray()
    for row in samples:
        packed = np.frombuffer(pack_row(row.reshape(-1), bits), np.uint8)
        if bits < 8:
            out += b"\0" + packed.tobytes()
            continue
        before = np.concatenate([np.zeros(distance, np.uint8), packed[:-distance]])
        out += b"\1" + (packed - before).tobytes()
    return bytes(out)


def scanlines(samples, bits, interlaced):
    """The bytes to be deflated."""
    if not interlaced:
        return filtered(samples, bits)
    passes = (samples[y::dy, x::dx] for x, y, dx, dy in ADAM7)
    return b"".join(filtered(part, bits) for part in passes if part.size)


def physical(x, y, unit):
    """A pHYs chunk; unit 1 is pixels per metre, 0 only an aspect ratio."""
    return chunk(b"pHYs", struct.pack(">IIB", x, y, unit))


def profile(data):
    """An iCCP chunk with the given bytes as profile."""
    return chunk(b"iCCP", b"Test profile\0\0" + zlib.compress(data, 9))


def picture(samples, bits=8, colour_type=None, interlaced=False, before_data=b"", data_crc_error=0):
    """A whole file from samples of shape (height, width) or (height, width, channels).

    `before_data` are ready chunks that go before IDAT.
    """
    samples = np.asarray(samples)
    samples = samples[..., None] if samples.ndim == 2 else samples
    height, width, channels = samples.shape
    kind = TYPE_OF_CHANNELS[channels] if colour_type is None else colour_type
    packed = zlib.compress(scanlines(samples, bits, interlaced), 9)
    parts = (header(width, height, bits, kind, interlaced), before_data,
             chunk(b"IDAT", packed, data_crc_error), chunk(b"IEND", b""))
    return SIGNATURE + b"".join(parts)

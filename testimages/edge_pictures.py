"""The samples behind the edge cases: one crop in several forms, ramps and sweeps.

This file is a module of `make_edge_cases.py` and `make_bad_files.py`. It has no
command line. All pictures are arrays of shape (height, width, channels).
"""

from pathlib import Path

import numpy as np
from PIL import Image

PHOTOGRAPH = Path(__file__).parent / "photographs" / "tulips.png"
CROP_BOX = (270, 220, 470, 370)  # left, top, right, bottom: 200 × 150 pixels


def crop():
    """200 × 150 pixels of tulips, eight-bit RGB: the source of every `crop-*` file."""
    with Image.open(PHOTOGRAPH) as photograph:
        return np.asarray(photograph.crop(CROP_BOX).convert("RGB")).copy()


def deepened(samples):
    """Eight bits to sixteen, so that rounding back gives the eight bits again.

    The low byte differs from the high one, or swapped bytes would go unseen;
    only 0 and full stay what they are, so that clear stays clear and white white.
    """
    height, width, channels = samples.shape
    y, x, c = np.ogrid[:height, :width, :channels]
    shift = (x * 7 + y * 13 + c * 29) % 201 - 100
    between = (samples > 0) & (samples < 255)
    return (samples.astype(np.int64) * 257 + shift * between).astype(np.uint16)


def to_gray(samples):
    """Rounded weights of 299, 587 and 114 thousandths, in integers (ITU-R BT.601)."""
    red, green, blue = (samples[..., k].astype(np.int64) for k in range(3))
    return ((299 * red + 587 * green + 114 * blue + 500) // 1000).astype(np.uint8)[..., None]


def soft_edge(height, width):
    """Alpha of an ellipse: opaque inside, fully transparent outside, a soft edge between."""
    y, x = np.mgrid[:height, :width]
    radius = np.hypot((x - (width - 1) / 2) / (width / 2), (y - (height - 1) / 2) / (height / 2))
    return np.round(np.clip((0.95 - radius) / 0.3, 0, 1) * 255).astype(np.uint8)[..., None]


def with_alpha(samples):
    """The samples with straight alpha; the colours under full transparency stay."""
    return np.concatenate([samples, soft_edge(*samples.shape[:2])], axis=-1)


def associated(samples_with_alpha):
    """Straight alpha to associated: colours times alpha, rounded."""
    colours, alpha = samples_with_alpha[..., :-1].astype(np.int64), samples_with_alpha[..., -1:]
    return np.concatenate([((colours * alpha + 127) // 255).astype(np.uint8), alpha], axis=-1)


def to_ink(samples):
    """Plain four-ink amounts, 255 = full: half of the common part goes to black."""
    inks = 255 - samples.astype(np.int64)
    black = inks.min(axis=-1, keepdims=True) // 2
    return np.concatenate([inks - black, black], axis=-1).astype(np.uint8)


def page(value, width=120, height=170):
    """A page of one colour."""
    return np.full((height, width, 3), value, np.uint8)


def ramp(width, height, top):
    """Gray from 0 on the left to `top` on the right, rounded."""
    row = (np.arange(width, dtype=np.int64) * top * 2 + width - 1) // (2 * (width - 1))
    return np.broadcast_to(row[None, :, None], (height, width, 1)).astype(np.uint16 if top > 255 else np.uint8)


def rgb_cube():
    """All 4,096 colours with 16 levels per channel, as 64 × 64 pixels."""
    number = np.arange(4096).reshape(64, 64)
    return np.stack([number // 256, number // 16 % 16, number % 16], axis=-1).astype(np.uint8) * 17


def quantised(samples, colours):
    """Palette indices (height, width) and the palette (colours, 3)."""
    image = Image.fromarray(samples).quantize(colours, Image.Quantize.MEDIANCUT, dither=Image.Dither.NONE)
    palette = np.array(image.getpalette()[: colours * 3], np.uint8).reshape(-1, 3)
    return np.asarray(image).copy(), palette

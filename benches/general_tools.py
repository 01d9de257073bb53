"""Means of a picture's CMYK channels by general libraries, for the table of speeds.

    python3 general_tools.py vips|pillow [PICTURE]

Without a picture the libraries are only loaded. `vips` streams through libvips (pyvips) on all
cores; `pillow` holds the picture (Pillow's ImageCms with LittleCMS, numpy). Both transform sRGB to
the CMYK profile that libvips brings, relative colorimetric; `pillow` needs its bytes once, through
pyvips.
"""

import sys
import tempfile


def by_vips(path):
    import pyvips

    if path is None:
        return None
    picture = pyvips.Image.new_from_file(path, access="sequential")
    inks = picture.icc_transform(
        "cmyk", input_profile="srgb", intent="relative", depth=8, embedded=True
    )
    means = inks.stats()
    return [means.getpoint(4, band + 1)[0] for band in range(4)]


def by_pillow(path):
    import numpy
    import pyvips
    from PIL import Image, ImageCms

    if path is None:
        return None
    Image.MAX_IMAGE_PIXELS = None
    with tempfile.NamedTemporaryFile(suffix=".icc") as profile:
        profile.write(pyvips.Operation.call("profile_load", "cmyk"))
        profile.flush()
        transform = ImageCms.buildTransform(
            ImageCms.createProfile("sRGB"),
            profile.name,
            "RGB",
            "CMYK",
            renderingIntent=ImageCms.Intent.RELATIVE_COLORIMETRIC,
        )
    with Image.open(path) as picture:
        inks = ImageCms.applyTransform(picture.convert("RGB"), transform)
    return numpy.asarray(inks).mean(axis=(0, 1)).tolist()


if __name__ == "__main__":
    way = {"vips": by_vips, "pillow": by_pillow}[sys.argv[1]]
    print(way(sys.argv[2] if len(sys.argv) > 2 else None))

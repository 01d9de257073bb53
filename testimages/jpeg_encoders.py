"""Five JPEG encoders behind one call, for `make_encoder_files.py` and `tests/oracles/encoders.py`.

| Name | Program |
|---|---|
| `libjpeg-turbo` | `cjpeg` of Debian's `libjpeg-turbo-progs` |
| `mozjpeg` | the `mozjpeg` crate, by the example `encode_with_mozjpeg` of `crates/intake` |
| `pillow` | Pillow |
| `libvips` | `vips` of Debian's `libvips-tools` |
| `imagemagick` | `convert-im6.q16` of Debian's `imagemagick` |

All but Pillow's CMYK take 8-bit RGB. Chroma is halved or not as each encoder thinks best for the
quality; mozjpeg writes progressive files.
"""

import io
import subprocess
import tempfile
from pathlib import Path

from PIL import Image

ROOT = Path(__file__).resolve().parent.parent


def _run(command, standard_input=b""):
    done = subprocess.run(command, input=standard_input, capture_output=True, cwd=ROOT)
    if done.returncode != 0:
        raise RuntimeError(f"{command}: {done.stderr.decode(errors='replace')}")
    return done.stdout


def _ppm(picture):
    out = io.BytesIO()
    picture.save(out, "PPM")
    return out.getvalue()


def _with_libjpeg_turbo(picture, quality, profile, folder):
    icc = ["-icc", str(profile)] if profile else []
    return _run(["cjpeg", "-quality", str(quality), *icc], _ppm(picture))


def _with_mozjpeg(picture, quality, profile, folder):
    words = ["cargo", "run", "--quiet", "--locked", "--package", "inkfathom-intake", "--example", "encode_with_mozjpeg", "--"]
    return _run([*words, str(quality), *([str(profile)] if profile else [])], _ppm(picture))


def _with_pillow(picture, quality, profile, folder):
    out = io.BytesIO()
    picture.save(out, "JPEG", quality=quality, icc_profile=profile.read_bytes() if profile else None)
    return out.getvalue()


def _with_libvips(picture, quality, profile, folder):
    source, target = folder / "source.tif", folder / "target.jpg"
    picture.save(source)
    icc = ["--profile", str(profile)] if profile else []
    _run(["vips", "jpegsave", str(source), str(target), "--Q", str(quality), *icc])
    return target.read_bytes()


def _with_imagemagick(picture, quality, profile, folder):
    source, target = folder / "source.tif", folder / "target.jpg"
    picture.save(source)
    icc = ["-profile", str(profile)] if profile else []
    _run(["convert-im6.q16", str(source), *icc, "-quality", str(quality), str(target)])
    return target.read_bytes()


ENCODERS = {
    "libjpeg-turbo": _with_libjpeg_turbo,
    "mozjpeg": _with_mozjpeg,
    "pillow": _with_pillow,
    "libvips": _with_libvips,
    "imagemagick": _with_imagemagick,
}
# Those that write CMYK.
OF_FOUR_INKS = ["pillow", "libvips", "imagemagick"]


def encoded(name, picture, quality, profile=None):
    """The JPEG file of a Pillow picture without a profile of its own; `profile` is a path."""
    bare = picture.copy()
    bare.info.clear()
    with tempfile.TemporaryDirectory() as folder:
        return ENCODERS[name](bare, quality, profile, Path(folder))

"""Makes `photographs/` from freely licensed pictures that packages carry.

Run:

    pip install pillow==13.0.0 numpy==2.4.6 tifffile==2026.3.3 imagecodecs==2026.3.6
    mkdir sources && cd sources
    pip download --no-deps scikit-image==0.26.0 scikit-learn==1.9.1 matplotlib==3.11.2
    pip download --no-deps scipy==1.9.3
    for wheel in *.whl; do python3 -m zipfile -e "$wheel" .; done
    apt-get download lomiri-wallpapers-16.04=20.04.0-2
    apt-get download libjxl-testdata=0.0~git20230110.d6168ff-1
    for package in *.deb; do dpkg-deb -x "$package" .; done
    cd .. && python3 make_photographs.py sources

`README.md` beside this file holds authors, licences and edits. Every source is
checked against its SHA-256 before use. Camera metadata is left out of all
files; where the README says "as it stands" the coded pixels are copied bit for
bit and only metadata differs.
"""

import bz2
import hashlib
import sys
from pathlib import Path

import numpy as np
import tifffile
from PIL import Image

import icc_profiles
import jpeg_bytes

WALLPAPERS = "usr/share/backgrounds"
WESATURATE = "usr/share/libjxl-testdata/external/wesaturate/500px"
TARGET = Path(__file__).parent / "photographs"

SOURCES = {
    "matplotlib/mpl-data/sample_data/*.jpg": "a8ca6d734765703b09728ab47fe59f473d93ae3967fc24c7c0288c3c7adb7130",
    "skimage/data/astronaut.png": "88431cd9653ccd539741b555fb0a46b61558b301d4110412b5bc28b5e3ea6cb5",
    "skimage/data/camera.png": "b0793d2adda0fa6ae899c03989482bff9a42d3d5690fc7e3648f2795d730c23a",
    "skimage/data/hubble_deep_field.jpg": "3a19c5dd8a927a9334bb1229a6d63711b1c0c767fb27e2286e7c84a3e2c2f5f4",
    "sklearn/datasets/images/china.jpg": "8378025ad2519d649d02e32bd98990db4ab572357d9f09841c2fbfbb4fefad29",
    "sklearn/datasets/images/flower.jpg": "a77f6ec41e353afdf8bdff2ea981b2955535d8d83294f8cfa49cf4e423dd5638",
    "scipy/misc/face.dat": "9d8b0b4d081313e2b485748c770472e5a95ed1738146883d84c7030493e82886",
    f"{WALLPAPERS}/Picture_0B_by_freespace.jpg": "c8c0ab18e48d9e0419fe42881112137f3afafc27dfddc29ec3a6d54c56d225ad",
    f"{WALLPAPERS}/Picture_1A_by_freespace.jpg": "89e86af38d04daaef975665dc2127e9fa76f0fd68f4eea105a2d0ae3390b010b",
    f"{WALLPAPERS}/aitzgorri_by_Aitzol_Berasategi.jpg": "66268e7b48f8854d36a28765fac6e23ec1aee251daa6da1f64715f201020ad36",
    f"{WALLPAPERS}/life_by_Aitzol_Berasategi.jpg": "4c119350ead80201fe256850c3d316309ddfb4bdf10b235ce982dcde0c667c05",
    f"{WALLPAPERS}/picosdeeuropa_by_Aitzol_Berasategi.jpg": "414d0072b2f6f2c555deafeaef6e45c4fed6fa9ad26eba6560ca8803959cf97a",
    f"{WALLPAPERS}/seeding_by_Clements_Engelhardt.jpg": "a5634d1ab5e41a3568e92d4a894a500c92b891f9ff734e50bd224d6e185a605f",
    f"{WALLPAPERS}/sunset_by_Aitzol_Berasategi.jpg": "474dab6a4b9f94dc76c29dfe30e9f5db4af0fd2e33fe5d695f8152b371efca18",
    f"{WESATURATE}/cvo9xd_keong_macan_grayscale.png": "51caaddb558a2e7ef48e532c98338e81874472669705bf6b4a84507d8d797eb3",
    f"{WESATURATE}/cvo9xd_keong_macan_srgb8.png": "f4e2d8da468a4f6bfd3a651a7f0a24c2b883e7f398b326c0e77a9dab42fb5322",
    f"{WESATURATE}/tmshre_riaphotographs_srgb8.png": "b490de2143a336aff26a7ce4ee010f18dece53c3b0802cda76c1796daa5f32a0",
    f"{WESATURATE}/u76c0g_bliznaca_srgb8.png": "9631423e430c1682fca3c2212adc6ae046df8839d22dfaa8b662761f34b6f711",
}

RACCOON_SHAPE = (768, 1024, 3)
JPEG = {"quality": 90, "subsampling": "4:4:4", "optimize": True}


class Sources:
    """The unpacked packages; hands out files whose checksum is the expected one."""

    def __init__(self, folder):
        self.folder = Path(folder)

    def read(self, name):
        """The file of this name, or the one of several that match it, by its checksum."""
        for path in sorted(self.folder.glob(name)):
            data = path.read_bytes()
            if hashlib.sha256(data).hexdigest() == SOURCES[name]:
                return data
        sys.exit(f"{name}: no file has SHA-256 {SOURCES[name]}; fetch the stated package version")

    def open(self, name):
        self.read(name)
        return Image.open(self.folder / name)


def srgb_to_linear(samples):
    """sRGB samples 0..=1 to linear light (IEC 61966-2-1)."""
    return np.where(samples <= 0.04045, samples / 12.92, ((samples + 0.055) / 1.055) ** 2.4)


def linear_to_srgb(light):
    """Linear light 0..=1 to sRGB samples (IEC 61966-2-1)."""
    return np.where(light <= 0.0031308, light * 12.92, 1.055 * light ** (1 / 2.4) - 0.055)


def to_light(image):
    """An eight-bit sRGB picture as an array of linear light, shape (height, width, 3)."""
    return srgb_to_linear(np.asarray(image.convert("RGB"), dtype=np.float64) / 255)


def shrink(light, width):
    """Averages areas in linear light down to a width; the aspect ratio stays."""
    height = round(light.shape[0] * width / light.shape[1])
    planes = [
        Image.fromarray(light[..., channel].astype(np.float32)).resize((width, height), Image.Resampling.BOX)
        for channel in range(3)
    ]
    return np.clip(np.stack([np.asarray(plane, dtype=np.float64) for plane in planes], axis=-1), 0, 1)


def to_eight_bits(light):
    """Linear light to an eight-bit sRGB picture."""
    return Image.fromarray(np.round(linear_to_srgb(light) * 255).astype(np.uint8))


def with_clean_metadata(data, profile):
    """A JPEG with the same coded pixels, without EXIF, XMP, IPTC and comments.

    Its profile, if any, is replaced; the JFIF header (APP0) and the colour
    marker (APP14) stay.
    """
    out = bytearray(data[:2])
    dropped = {0xE1, 0xE2, 0xED, 0xFE}
    placed = False
    for marker, segment in jpeg_bytes.segments(data):
        if marker in dropped:
            continue
        if marker not in (0xE0, 0xEE) and not placed:
            out += jpeg_bytes.icc_segment(profile) if profile else b""
            placed = True
        out += segment
    return bytes(out)


def bare(image, mode):
    """The pixels alone, in a mode, without the metadata of the file they came from."""
    return Image.fromarray(np.asarray(image.convert(mode)))


def save_jpeg(image, name):
    image.save(TARGET / name, "JPEG", **JPEG)


def people(sources):
    elder = sources.open("matplotlib/mpl-data/sample_data/*.jpg")
    save_jpeg(bare(elder, "RGB").crop((150, 122, 512, 480)), "portrait-elder.jpg")

    astronaut = sources.open("skimage/data/astronaut.png")
    bare(astronaut, "RGB").crop((110, 0, 330, 204)).save(TARGET / "portrait-light-hair.png", optimize=True)

    cameraman = sources.open("skimage/data/camera.png")
    bare(cameraman, "L").save(TARGET / "photographer-gray.png", optimize=True)


def copied_pixels(sources):
    srgb = icc_profiles.srgb()
    copies = {
        "sklearn/datasets/images/china.jpg": ("pavilion-lake.jpg", srgb),
        "sklearn/datasets/images/flower.jpg": ("dahlia-saturated.jpg", srgb),
        "skimage/data/hubble_deep_field.jpg": ("deep-sky-dark.jpg", srgb),
        f"{WALLPAPERS}/Picture_1A_by_freespace.jpg": ("brushes-saturated.jpg", None),
    }
    for source, (name, profile) in copies.items():
        (TARGET / name).write_bytes(with_clean_metadata(sources.read(source), profile))

    for source, name in {"tmshre_riaphotographs_srgb8": "tulips.png", "cvo9xd_keong_macan_srgb8": "shore.png"}.items():
        image = sources.open(f"{WESATURATE}/{source}.png")
        profile = image.info["icc_profile"]
        bare(image, "RGB").save(TARGET / name, optimize=True, icc_profile=profile)

    gray_shore = sources.open(f"{WESATURATE}/cvo9xd_keong_macan_grayscale.png")
    bare(gray_shore, "L").save(TARGET / "shore-gray.png", optimize=True, icc_profile=icc_profiles.gray())


def shrunk(sources):
    widths = {
        "picosdeeuropa_by_Aitzol_Berasategi": ("mountain-path-landscape.jpg", 1632),
        "aitzgorri_by_Aitzol_Berasategi": ("autumn-hills-landscape.jpg", 1544),
        "seeding_by_Clements_Engelhardt": ("dandelions-low-light.jpg", 1328),
        "sunset_by_Aitzol_Berasategi": ("sunset-hills.jpg", 1424),
        "Picture_0B_by_freespace": ("fig-red-bowl.jpg", 1286),
    }
    for source, (name, width) in widths.items():
        light = to_light(sources.open(f"{WALLPAPERS}/{source}.jpg"))
        save_jpeg(to_eight_bits(shrink(light, width)), name)


def raccoon(sources):
    pixels = np.frombuffer(bz2.decompress(sources.read("scipy/misc/face.dat")), np.uint8)
    save_jpeg(Image.fromarray(pixels.reshape(RACCOON_SHAPE)), "raccoon.jpg")


def high_key(sources):
    """Blossoms lifted by two stops in linear light, with a shoulder in place of clipping."""
    light = to_light(sources.open(f"{WESATURATE}/u76c0g_bliznaca_srgb8.png"))
    lifted = 1 - np.exp(-4.0 * light)
    save_jpeg(to_eight_bits(lifted), "blossom-high-key.jpg")


def sixteen_bits(sources):
    """A stream at 16 bits in a wide space.

    Averaging 4 × 4 pixels in linear light gives real values between the steps
    of eight bits.
    """
    light = shrink(to_light(sources.open(f"{WALLPAPERS}/life_by_Aitzol_Berasategi.jpg")), 772)
    srgb_to_xyz = icc_profiles.rgb_to_xyz_d65(icc_profiles.SRGB_PRIMARIES)
    xyz_to_wide = np.linalg.inv(icc_profiles.rgb_to_xyz_d65(icc_profiles.BT2020_PRIMARIES))
    wide = np.clip(light @ (xyz_to_wide @ srgb_to_xyz).T, 0, 1)
    samples = np.round(linear_to_srgb(wide) * 65535).astype(np.uint16)
    tifffile.imwrite(
        TARGET / "stream-16-bit-wide.tif", samples, photometric="rgb", compression="zlib", predictor=True,
        rowsperstrip=64, resolution=(240, 240), resolutionunit="INCH", iccprofile=icc_profiles.wide_rgb(),
        metadata=None, software=False,
    )


def main():
    if len(sys.argv) != 2:
        sys.exit("usage: python3 make_photographs.py FOLDER-WITH-UNPACKED-PACKAGES")
    TARGET.mkdir(exist_ok=True)
    sources = Sources(sys.argv[1])
    for step in (people, copied_pixels, shrunk, raccoon, high_key, sixteen_bits):
        step(sources)


if __name__ == "__main__":
    main()

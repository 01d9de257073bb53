"""Adds up written ink channels with tifffile and compares them with the estimate.

Run from the repository's root:
    pip install -r tests/oracles/requirements.txt
    python3 tests/oracles/separations.py

The estimate separates some thousand mean colours, the file every pixel. They must agree by the
rule of the census: the total within 0.05 %; a channel that carries at least 1 % of the total
within 0.5 % of itself; another channel within 0.02 % of the total. CMYK alone is opened with
Pillow too, which knows no other ink channels.
"""

import json
import pathlib
import subprocess
import sys
import tempfile

import numpy as np
import tifffile
from PIL import Image

PROGRAM = ["cargo", "run", "--quiet", "--locked", "--package", "inkfathom", "--"]
OF_TOTAL = 0.0005
CARRIES_INK = 0.01
OF_CARRYING_CHANNEL = 0.005
OF_TOTAL_FOR_OTHERS = 0.0002

PHOTOGRAPHS = "testimages/photographs"
CASES = [
    ("testimages/poster.png", "five", "8"),
    (f"{PHOTOGRAPHS}/shore.png", "nine", "8"),
    (f"{PHOTOGRAPHS}/deep-sky-dark.jpg", "eleven", "8"),
    (f"{PHOTOGRAPHS}/portrait-light-hair.png", "eleven", "16"),
    (f"{PHOTOGRAPHS}/stream-16-bit-wide.tif", "five", "16"),
    (f"{PHOTOGRAPHS}/stream-16-bit-wide.tif", "nine", "16"),
    (f"{PHOTOGRAPHS}/photographer-gray.png", "eleven", "8"),
    ("testimages/poster.png", "press", "8"),
]


def program(*arguments: str) -> str:
    return subprocess.run(
        [*PROGRAM, *arguments], check=True, capture_output=True, text=True
    ).stdout


def press(folder: pathlib.Path) -> str:
    """A set of the four inks of the CMYK profile kept in tests/reference, with device curves."""
    text = pathlib.Path("crates/inkset/sets/five.toml").read_text()
    head, rest = text.split("[[ink]]\nname = \"matte black\"", 1)
    rest = rest[rest.index("[[substrate]]"):rest.index("[[substrate]]\nname = \"matte art paper\"")]
    modes = text[text.index("[[print_mode]]"):text.index("[[print_mode]]\nname = \"fine\"")]
    modes = modes.replace("name = \"standard\"", "name = \"standard\"\ndevice_curve = \"unknown\"")
    profile = pathlib.Path("tests/reference/tr006-low.icc").resolve()
    text = head + rest + modes + f"[separation]\noutput_profile = \"{profile}\"\n"
    path = folder / "press.toml"
    path.write_text(text.replace("name = \"five\"", "name = \"press\""))
    return str(path)


def sums(path: pathlib.Path) -> tuple[list[str], np.ndarray]:
    """Mean coverage of each channel, added up in integers, and the names of the inks."""
    with tifffile.TiffFile(path) as file:
        page = file.pages[0]
        samples = page.asarray()
        named = page.tags.get(333)
        names = named.value.split("\0") if named else ["cyan", "magenta", "yellow", "black"]
        resolution = page.tags[282].value
    if resolution[0] / resolution[1] <= 1:
        raise ValueError(f"{path} states no resolution")
    total = samples.reshape(-1, samples.shape[-1]).sum(axis=0, dtype=np.uint64)
    pixels = samples.shape[0] * samples.shape[1]
    if samples.shape[-1] == 4 and samples.dtype == np.uint8:
        with Image.open(path) as picture:
            opened = np.asarray(picture, dtype=np.uint64).reshape(-1, 4).sum(axis=0)
        if picture.mode != "CMYK" or (opened != total).any():
            raise ValueError(f"Pillow reads {path} otherwise")
    return names, total / (pixels * np.iinfo(samples.dtype).max)


def worst_share(picture: str, ink_set: str, bits: str, folder: pathlib.Path) -> float:
    """The largest difference as a share of what the rule allows."""
    form = ["--ink-set", press(folder) if ink_set == "press" else ink_set, "--width", "60cm"]
    output = folder / "inks.tif"
    program("separate", picture, *form, "--bits", bits, "--output", str(output))
    estimate = json.loads(program("estimate", picture, *form, "--format", "json"))
    channels = estimate["files"][0]["estimates"][0]["channels"]
    expected = np.array([channel["coverage"] for channel in channels])
    names, found = sums(output)
    if [name for name in names if name] != [channel["name"] for channel in channels]:
        if ink_set != "press":
            raise ValueError(f"{names} are not the inks of {ink_set}")
    total = expected.sum()
    shares = [abs(found.sum() - total) / (OF_TOTAL * total)]
    for one, other in zip(found, expected):
        carries = other >= CARRIES_INK * total
        allowed = OF_CARRYING_CHANNEL * other if carries else OF_TOTAL_FOR_OTHERS * total
        shares.append(abs(one - other) / allowed)
    return max(shares)


def main() -> int:
    failed = False
    with tempfile.TemporaryDirectory() as folder:
        for picture, ink_set, bits in CASES:
            share = worst_share(picture, ink_set, bits, pathlib.Path(folder))
            failed |= not share <= 1
            print(f"{picture} on {ink_set}, {bits} bits: {100 * share:.0f} % of what is allowed")
    return 1 if failed else 0


if __name__ == "__main__":
    sys.exit(main())

"""Makes the CMYK output profile of tests/reference anew and compares it with the one kept there.

Run from the repository's root, on a Debian machine with three packages:
    apt-get install argyll icc-profiles-free liblcms2-utils
    python3 tests/oracles/cmyk_profile.py [--write PATH]

The profile is derived from ANSI/CGATS/GRACoL TR 006-2007, "Color Characterization Data for
GRACoL printing on Grade 1 coated paper", as `icc-profiles-free` carries it; the data allow that,
provided the Technical Report is named as their source. With low-resolution tables it is small.

Fails when a colour's device values differ by more than one percent of full scale: another version
of the profile maker may round elsewhere.
"""

import pathlib
import shutil
import subprocess
import sys
import tempfile

from output_profile import COLOURS, to_device

TABLES = pathlib.Path("/usr/share/color/icc")
KEPT = pathlib.Path("tests/reference/tr006-low.icc")
ALLOWED_PERCENT = 1.0

DESCRIPTION = "ANSI CGATS TR 006-2007, low resolution"
COPYRIGHT = (
    "Derived from ANSI/CGATS/GRACoL TR 006-2007, which must be named as the source of the "
    "characterization data"
)


def made(folder: pathlib.Path) -> pathlib.Path:
    """The profile with tables of low resolution, and a perceptual one for sRGB pictures."""
    shutil.copy(TABLES / "TR006.ti3", folder)
    profile = folder / "tr006-low.icc"
    command = ["colprof", "-ql", "-bl", "-nc", "-S", str(TABLES / "sRGB.icc"), "-cmt", "-dpp"]
    names = ["-A", "none", "-M", "none", "-D", DESCRIPTION, "-C", COPYRIGHT]
    command += names + ["-O", str(profile), str(folder / "TR006")]
    subprocess.run(command, check=True, stdout=subprocess.DEVNULL)
    return profile


def main() -> int:
    with tempfile.TemporaryDirectory() as folder:
        profile = made(pathlib.Path(folder))
        if sys.argv[1:2] == ["--write"]:
            shutil.copy(profile, sys.argv[2])
            return 0
        worst = 0.0
        for intent in (0, 1):
            pairs = zip(to_device(profile, intent, COLOURS), to_device(KEPT, intent, COLOURS))
            differences = (abs(a - b) for new, kept in pairs for a, b in zip(new, kept))
            worst = max(worst, *differences)
    print(f"largest difference from {KEPT}: {worst:.4f} % of a device value")
    return 0 if worst <= ALLOWED_PERCENT else 1


if __name__ == "__main__":
    sys.exit(main())

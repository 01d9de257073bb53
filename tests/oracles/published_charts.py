"""Fits ink sets to published characterisation tables and checks how well they are predicted.

The tables are those of Debian's package `icc-profiles-free` (zlib licence; derivative works of the
Technical Reports are allowed when they are named as the source). They are read where the package
puts them, and never kept here.

    apt-get install icc-profiles-free
    python3 tests/oracles/published_charts.py

Prints, for each table, ΔE00 mean / 95th percentile of 16 primaries and of the model that is kept,
over all patches and over those left out; ends with 1 if a bound is passed or a patch suspected.
"""

import json
import pathlib
import subprocess
import sys
import tempfile

# Wanted means in ΔE00 over all patches: 16 primaries, and cells.
PLAIN, KEPT = 1.1, 0.35


# Each table takes some seconds; fitting some at once is no faster, because a fit uses all cores.
PROGRAM = ["cargo", "run", "--quiet", "--locked", "--package", "inkfathom", "--"]
TABLES = pathlib.Path("/usr/share/color/icc")


def fitted(table: pathlib.Path, folder: pathlib.Path) -> dict:
    command = [*PROGRAM, "chart", "fit", table, "--format", "json"]
    command += ["--output", folder / f"{table.stem}.toml"]
    return json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)


def figures(model: dict) -> str:
    def pair(of: dict) -> str:
        return f"{of['mean_delta_e_00']:.2f} / {of['p95_delta_e_00']:.2f}"

    return f"{pair(model['fitted'])}, left out {pair(model['left_out'])}"


def main() -> int:
    tables = sorted(TABLES.rglob("*.ti3"))
    if not tables:
        print(f"no tables in {TABLES}: install icc-profiles-free", file=sys.stderr)
        return 1
    passed = True
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        for table in tables:
            report = fitted(table, folder)
            plain = report["models"][0]
            kept = next(model for model in report["models"] if model["chosen"])
            good = (
                plain["fitted"]["mean_delta_e_00"] <= PLAIN
                and kept["fitted"]["mean_delta_e_00"] <= KEPT
                and not report["suspects"]
            )
            passed &= good
            print(f"{table.stem}: {figures(plain)}; kept {figures(kept)}; {'ok' if good else 'OUT'}")
    return 0 if passed else 1


if __name__ == "__main__":
    sys.exit(main())

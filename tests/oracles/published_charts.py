"""Fits ink sets to published characterisation tables and checks how well they are predicted.

The tables are those of Debian's package `icc-profiles-free` (zlib licence; derivative works of the
Technical Reports are allowed when they are named as the source). They are fetched with apt, read
where they lie and never kept.

    cargo build --release && python3 tests/oracles/published_charts.py target/release/inkfathom

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


def tables(folder: pathlib.Path) -> list[pathlib.Path]:
    subprocess.run(["apt-get", "download", "icc-profiles-free"], cwd=folder, check=True)
    for package in folder.glob("*.deb"):
        subprocess.run(["dpkg", "-x", package, folder / "package"], check=True)
    return sorted((folder / "package").rglob("*.ti3"))


def fitted(program: str, table: pathlib.Path, folder: pathlib.Path) -> dict:
    command = [program, "chart", "fit", table, "--format", "json"]
    command += ["--output", folder / f"{table.stem}.toml"]
    return json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)


def figures(model: dict) -> str:
    def pair(of: dict) -> str:
        return f"{of['mean_delta_e_00']:.2f} / {of['p95_delta_e_00']:.2f}"

    return f"{pair(model['fitted'])}, left out {pair(model['left_out'])}"


def main() -> int:
    program = str(pathlib.Path(sys.argv[1]).resolve())
    passed = True
    with tempfile.TemporaryDirectory() as name:
        folder = pathlib.Path(name)
        for table in tables(folder):
            report = fitted(program, table, folder)
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

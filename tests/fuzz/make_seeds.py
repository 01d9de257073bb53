"""Lays sound files of the repository out as seeds of the fuzz targets, in `corpus/TARGET`.

Run, with the program built for release:

    python3 make_seeds.py

Pictures come from `testimages`, texts from the built-in sets, lists and examples; a ledger and a stored
census are made with the program. Files above 64 KiB are left out: a fuzzer gets further with small ones.
"""

import os
import sqlite3
import subprocess
import tempfile
from pathlib import Path

HERE = Path(__file__).resolve().parent
ROOT = HERE.parents[1]
PROGRAM = ROOT / "target/release/inkfathom"
MOST_BYTES = 64 << 10
ENDINGS = {
    "jpeg": ["jpg"], "png": ["png"], "tiff": ["tif"], "webp": ["webp"], "gif": ["gif"], "bmp": ["bmp"],
    "pnm": ["pbm", "pgm", "ppm", "pam"], "svg": ["svg"], "pdf": ["pdf"],
}
CXF = """<?xml version="1.0" encoding="UTF-8"?>
<cc:CxF xmlns:cc="x"><cc:FileInformation><cc:Description>two</cc:Description></cc:FileInformation>
<cc:Resources><cc:ObjectCollection>
<cc:Object ObjectType="Target" Name="1" Id="1"><cc:DeviceColorValues><cc:ColorCMYKPlusN><cc:Cyan>0</cc:Cyan>
<cc:Magenta>0</cc:Magenta><cc:Yellow>0</cc:Yellow><cc:Black>0</cc:Black><cc:SpotColor><cc:Name>orange</cc:Name>
<cc:Percentage>50</cc:Percentage></cc:SpotColor></cc:ColorCMYKPlusN></cc:DeviceColorValues><cc:ColorValues>
<cc:ReflectanceSpectrum ColorSpecification="S">SPECTRUM</cc:ReflectanceSpectrum></cc:ColorValues></cc:Object>
</cc:ObjectCollection><cc:ColorSpecificationCollection><cc:ColorSpecification Id="S"><cc:MeasurementSpec>
<cc:WavelengthRange StartWL="380" Increment="10"/></cc:MeasurementSpec></cc:ColorSpecification>
</cc:ColorSpecificationCollection></cc:Resources></cc:CxF>
""".replace("SPECTRUM", " ".join(["0.5"] * 36))
JOBS = """date,file,ink_set,width_mm,copies,measured_by,resolution_ml,includes,ml cyan,ml magenta
2026-11-02,a.png,five,400,1,machine-count,0.01,start-up,1.25,2.5
2026-11-03,b.png,five,600.5,2,weighing,0.1,"start-up, margins",0,3
"""


def seed(target, name, data):
    folder = HERE / "corpus" / target
    folder.mkdir(parents=True, exist_ok=True)
    if len(data) <= MOST_BYTES:
        (folder / name).write_bytes(data)


def pictures():
    for folder in ["formats", "edge", "bad", "encoders", "regression"]:
        for path in sorted((ROOT / "testimages" / folder).glob("*.*")):
            for target, endings in ENDINGS.items():
                if path.suffix[1:] in endings:
                    seed(target, f"{folder}-{path.name}", path.read_bytes())


def profiles():
    seed("profile", "published.icc", (ROOT / "tests/reference/tr006-low.icc").read_bytes())
    for path in sorted((ROOT / "testimages/edge").glob("*.tif")):
        data = path.read_bytes()
        mark = data.find(b"acsp")
        if mark >= 36:
            length = int.from_bytes(data[mark - 36 : mark - 32], "big")
            seed("profile", f"{path.stem}.icc", data[mark - 36 : mark - 36 + length])


def texts():
    for path in [*(ROOT / "crates/inkset/sets").glob("*.toml"), ROOT / "crates/inkset/example.toml"]:
        seed("ink_set", path.name, path.read_bytes())
    for path in [*(ROOT / "crates/pricing/lists").glob("*.toml"), ROOT / "crates/pricing/example.toml"]:
        seed("price_list", path.name, path.read_bytes())
    seed("job_list", "example.toml", (ROOT / "crates/pricing/example-jobs.toml").read_bytes())
    seed("job_table", "jobs.csv", JOBS.encode())
    seed("job_table", "semicolons.csv", JOBS.replace(",", ";").replace(".", ",").encode())
    published = (ROOT / "tests/reference/tr006.txt").read_text().splitlines()
    seed("chart", "published.txt", "\n".join([*published[:60], "END_DATA", ""]).encode())
    seed("chart", "spot.txt", (ROOT / "tests/reference/spot-ramp-spectral.txt").read_bytes())
    seed("chart", "two.cxf", CXF.encode())


def of_the_program():
    with tempfile.TemporaryDirectory() as folder:
        ledger = Path(folder) / "seed.ledger"
        words = ["jobs", "add", ROOT / "testimages/edge/one-pixel.png", "--width", "2cm", "--ml", "cyan=1"]
        measured = ["--measured-by", "weighing", "--resolution-ml", "0.1", "--date", "2026-11-02"]
        environment = os.environ | {"XDG_CACHE_HOME": folder}
        subprocess.run([PROGRAM, *words, *measured, "--ledger", ledger], check=True, env=environment, capture_output=True)
        base = sqlite3.connect(ledger)
        base.execute("PRAGMA journal_mode = DELETE")
        for number, (census,) in enumerate(base.execute("SELECT bytes FROM census").fetchall()):
            seed("stored_census", f"{number}.census", census)
        base.execute("DELETE FROM census")
        base.commit()
        base.execute("PRAGMA page_size = 512")
        base.execute("VACUUM")
        base.close()
        seed("ledger_file", "one-job.ledger", ledger.read_bytes())
    seed("stored_separation", "patches", bytes([1, 0, 0, 0, 128, 63, 9, 1, 0, 0, 192, 127, 255, 255, 0, 0, 0, 0]))


if __name__ == "__main__":
    pictures()
    profiles()
    texts()
    of_the_program()

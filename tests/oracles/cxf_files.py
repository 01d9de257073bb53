"""Writes charts as CxF3 files with the colour-cxf package and checks how they are read.

    pip install -r tests/oracles/requirements.txt
    python3 tests/oracles/cxf_files.py

The package was generated from the schema of the standard, so that its files have the elements,
their order, namespaces and attributes from there and not from our reader's author. Each file is fitted; the
ink set must hold the paper and the solids that were written. Files of instruments are not tried here.
"""

import json
import pathlib
import subprocess
import sys
import tempfile
import tomllib

import colour_cxf
import numpy as np
from colour_cxf import cxf3
from xsdata.models.datatype import XmlDateTime

PROGRAM = ["cargo", "run", "--quiet", "--locked", "--package", "inkfathom", "--"]
NANOMETRES = np.arange(380, 740, 10)
INKS = ["cyan", "magenta", "yellow", "black"]
CENTRES = {"cyan": 640, "magenta": 540, "yellow": 430, "black": 550, "orange": 470, "violet": 580}
# A file has six decimals, and a set as many.
WITHIN = 2e-6
DATE = XmlDateTime.from_string("2026-01-31T12:00:00Z")


def reflectance(device: dict[str, float]) -> np.ndarray:
    """An invented print: dots of inks that fall independently."""
    values = np.full(NANOMETRES.shape, 0.9)
    for ink, percent in device.items():
        width = 400 if ink == "black" else 50
        solid = 10 ** (-1.6 * np.exp(-(((NANOMETRES - CENTRES[ink]) / width) ** 2)))
        values = values * (1 + percent / 100 * (solid - 1))
    return np.round(values, 6)


def devices(inks: list[str]) -> list[dict[str, float]]:
    """Paper, ramps and the overprints of two."""
    nothing = dict.fromkeys(inks, 0.0)
    ramps = [nothing | {ink: step} for ink in inks for step in (25.0, 50.0, 75.0, 100.0)]
    pairs = [nothing | {a: 100.0, b: 100.0} for a in inks for b in inks if a < b]
    return [nothing, *ramps, *pairs]


def spectrum(values: np.ndarray, specification: str, **more) -> cxf3.ReflectanceSpectrum:
    return cxf3.ReflectanceSpectrum(
        value=[float(value) for value in values], color_specification=specification, **more
    )


def cmyk(device: dict[str, float]) -> cxf3.ColorCmyk:
    return cxf3.ColorCmyk(color_specification="M1", **device)


def spots(device: dict[str, float], inks: list[str]) -> list[cxf3.SpotColorType]:
    return [cxf3.SpotColorType(name=ink, percentage=device[ink]) for ink in inks]


def plus_spots(device: dict[str, float]) -> cxf3.ColorCmykplusN:
    process = {ink: device[ink] for ink in INKS}
    extra = spots(device, ["orange", "violet"])
    return cxf3.ColorCmykplusN(spot_color=extra, color_specification="M1", **process)


def custom(device: dict[str, float]) -> cxf3.ColorCustom:
    inks = spots(device, list(device))
    return cxf3.ColorCustom(spot_color=inks, name="press", color_specification="M1")


def specification(name: str, light: cxf3.EdeviceIlluminationType, start: int, step: int):
    return cxf3.ColorSpecification(
        id=name,
        measurement_spec=cxf3.MeasurementSpec(
            measurement_type=cxf3.MeasurementType(value=cxf3.EspectrumType.SPECTRUM_REFLECTANCE),
            wavelength_range=cxf3.WavelengthRange(start_wl=start, increment=step),
            backing="White",
            device=cxf3.Device(device_illumination=cxf3.DeviceIllumination(value=light)),
        ),
    )


def lights():
    kinds = cxf3.EdeviceIlluminationType
    return [
        specification("M0", kinds.M0_INCANDESCENT, 380, 10),
        specification("M1", kinds.M1_DAYLIGHT, 380, 10),
        specification("coarse", kinds.M1_DAYLIGHT, 380, 10),
    ]


def document(inks, device_values, measured) -> bytes:
    """A file of some inks: `device_values` and `measured` give what an object holds."""
    objects = []
    for place, device in enumerate(devices(inks)):
        objects.append(
            cxf3.Object(
                creation_date=cxf3.CreationDate(value=DATE),
                object_type="Target",
                name=f"patch {place}",
                id=f"o{place}",
                color_values=cxf3.ColorValues(choice=measured(reflectance(device))),
                device_color_values=cxf3.DeviceColorValues(choice=[device_values(device)]),
            )
        )
    file = cxf3.CxF(
        file_information=cxf3.FileInformation(description="invented & small"),
        resources=cxf3.Resources(
            object_collection=cxf3.ObjectCollection(object_value=objects),
            color_specification_collection=cxf3.ColorSpecificationCollection(
                color_specification=lights()
            ),
        ),
    )
    written = colour_cxf.write_cxf(file)
    return written if isinstance(written, bytes) else written.encode()


def of_light(values):
    return [spectrum(values, "M1")]


def of_two_lights(values):
    """Under incandescent light brighteners glow less; the file states both."""
    return [spectrum(np.round(values * 0.97, 6), "M0"), spectrum(values, "M1")]


def with_own_start(values):
    return [spectrum(values, "coarse", start_wl=380)]


CASES = {
    "cmyk": (INKS, cmyk, of_light),
    "two-conditions": (INKS, cmyk, of_two_lights),
    "start-in-spectrum": (INKS, cmyk, with_own_start),
    "with-spot-colours": ([*INKS, "orange", "violet"], plus_spots, of_light),
    "custom-colorants": (["cyan", "magenta", "orange"], custom, of_light),
}


def faults(name: str, folder: pathlib.Path):
    inks, device_values, measured = CASES[name]
    path, fitted = folder / f"{name}.cxf", folder / f"{name}.toml"
    path.write_bytes(document(inks, device_values, measured))
    command = [*PROGRAM, "chart", "fit", path, "--output", fitted, "--format", "json"]
    report = json.loads(subprocess.run(command, check=True, capture_output=True, text=True).stdout)
    written = tomllib.loads(fitted.read_text())
    if report["inks"] != inks:
        yield f"inks {report['inks']}"
    if report["patches"] != len(devices(inks)):
        yield f"{report['patches']} patches"
    sheet = written["substrate"][0]["white"]
    if (sheet["condition"], sheet["backing"]) != ("M1", "white"):
        yield f"{sheet['condition']} on {sheet['backing']}"
    nothing = dict.fromkeys(inks, 0.0)
    pairs = [("paper", sheet["spectrum"], nothing)]
    for ink in written["ink"]:
        pairs.append((ink["name"], ink["solid"]["spectrum"], nothing | {ink["name"]: 100.0}))
    for what, found, device in pairs:
        apart = np.abs(np.array(found) - reflectance(device)).max()
        if apart > WITHIN:
            yield f"{what} is off by {apart:.6f}"


def main() -> int:
    passed = True
    with tempfile.TemporaryDirectory() as folder:
        for name in CASES:
            found = list(faults(name, pathlib.Path(folder)))
            passed &= not found
            print(f"{name}: {'; '.join(found) or 'ok'}")
    return 0 if passed else 1


if __name__ == "__main__":
    sys.exit(main())

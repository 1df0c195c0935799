#!/usr/bin/env python3
"""Read meter files that others wrote, from packages of public registries.

    python3 tools/samples/samples.py

Fetches general colour-science packages into a throw-away folder, lets
`dawnsmith read` take the IES TM-27 and CGATS files in them, and compares every
wavelength and value with the file's own text, taken apart here by an XML reader
and a splitter of words; TM-27 files also with colour-science's own reading, and
published lights with their published colour temperature. Prints package,
version, file and what was compared. A difference gives the exit status 1. A
package that cannot be fetched is said and passed over.
"""

import json
import math
import os
import pathlib
import shlex
import shutil
import subprocess
import sys
import tempfile
import xml.etree.ElementTree as ET
import zipfile

ROOT = pathlib.Path(__file__).resolve().parent.parent.parent
sys.path.insert(0, str(ROOT / "tools" / "reference"))

COLOUR = "colour-science==0.4.7"
# file, kind, quantity; colour temperature in K and what it may be off by.
# CCT: CIE 015:2018 tables for A, D50, D65, FL1, FL2, FL8, FL11.
TM27 = [
    ("colour/examples/io/resources/TM27 Sample Spectral Data.spdx", "relative", None, 0),
    ("colour/io/tests/resources/Fluorescent.spdx", "relative", None, 0),
]
CGATS = {
    "colord-data": [
        ("usr/share/colord/illuminant/CIE-A.sp", "relative", 2856, 2),
        ("usr/share/colord/illuminant/CIE-D50.sp", "relative", 5003, 3),
        ("usr/share/colord/illuminant/CIE-D65.sp", "relative", 6504, 3),
        ("usr/share/colord/illuminant/CIE-F2.sp", "relative", 4230, 10),
        ("usr/share/colord/illuminant/CIE-F11.sp", "relative", 4000, 10),
        ("usr/share/colord/ref/CIE-TCS.sp", "relative", None, 0),
    ],
    "argyll-ref": [
        ("usr/share/color/argyll/ref/CIE_C.sp", "relative", 6774, 5),
        ("usr/share/color/argyll/ref/F1.sp", "relative", 6430, 10),
        ("usr/share/color/argyll/ref/F8.sp", "relative", 5000, 10),
        ("usr/share/color/argyll/ref/D50_1.0.sp", "relative", 5003, 3),
        ("usr/share/color/argyll/ref/SOtele.sp", "transmittance", None, 0),
        ("usr/share/color/argyll/ref/example.sp", "relative", None, 0),
    ],
}
# What is no spectrum must be refused, with these words.
REFUSED = {
    COLOUR: [("colour/io/tests/resources/Invalid.spdx", "root")],
    "argyll-ref": [("usr/share/color/argyll/ref/ccxx.ti1", "colour chart without spectra")],
}


def tm27_text(path):
    """The readings of a TM-27 file by an ordinary XML reader: [(name, nm, values)]."""
    nm, v, name = [], [], ""
    for e in ET.parse(path).iter():
        tag = e.tag.rsplit("}", 1)[-1]
        if tag == "SpectralData":
            nm.append(float(e.get("wavelength")))
            v.append(float(e.text))
        elif tag == "Description":
            name = (e.text or "").strip()
    return [(name, nm, v)]


def cgats_text(path):
    """The readings of a CGATS file by its words: [(name, nm, values)]."""
    words = shlex.split(path.read_text(encoding="utf-8", errors="replace"), comments=True)
    a, b = words.index("BEGIN_DATA_FORMAT"), words.index("END_DATA_FORMAT")
    c, d = words.index("BEGIN_DATA"), words.index("END_DATA")
    fields, data = words[a + 1:b], words[c + 1:d]
    norms = [w for k, w in zip(words, words[1:]) if k == "SPECTRAL_NORM" and w[0].isdigit()]
    norm = float(norms[-1]) if norms else 1.0
    out = []
    for i in range(0, len(data), len(fields)):
        row = dict(zip(fields, data[i:i + len(fields)]))
        nm = [float(f[5:]) for f in fields if f.startswith("SPEC_")]
        if min(nm) >= 200e3:
            nm = [x / 1000 for x in nm]
        out.append((row.get("SAMPLE_ID", ""), nm, [float(row[f]) / norm for f in fields if f.startswith("SPEC_")]))
    return out


def fetch(package, into):
    """Fetch a package and unpack it; its version, or None where that cannot be."""
    into.mkdir()
    if "==" in package:
        done = subprocess.run([sys.executable, "-m", "pip", "download", "--quiet", "--disable-pip-version-check", "--no-deps", "--dest", str(into), package],
                              capture_output=True, text=True)
        found = list(into.glob("*.whl"))
        if done.returncode or not found:
            return None
        zipfile.ZipFile(found[0]).extractall(into)
        return package.split("==")[1]
    if not (shutil.which("apt-get") and shutil.which("dpkg-deb")):
        return None
    subprocess.run(["apt-get", "download", package], cwd=into, capture_output=True)
    found = list(into.glob("*.deb"))
    if not found or subprocess.run(["dpkg-deb", "-x", str(found[0]), str(into)], capture_output=True).returncode:
        return None
    return found[0].name.split("_")[1]


def main():
    problems, files, values = [], 0, 0
    with tempfile.TemporaryDirectory() as tmp:
        tmp = pathlib.Path(tmp)
        program = tmp / "dawnsmith"
        subprocess.run([os.environ.get("GO", "go"), "build", "-o", str(program), "./cmd/dawnsmith"], cwd=ROOT, check=True)

        def check(package, version, home, name, text_of, quantity, cct, slack):
            nonlocal files, values
            path, out = home / name, tmp / "out.json"
            out.unlink(missing_ok=True)
            done = subprocess.run([str(program), "read", str(path), "--json", "--to", str(out)], capture_output=True, text=True)
            if done.returncode:
                return f"not read: {done.stderr.strip()}"
            lights, got, want = json.loads(done.stdout)["lights"], json.loads(out.read_text())["spectra"], text_of(path)
            if len(got) != len(want) or len(lights) != len(want):
                return f"{len(got)} spectra, its text has {len(want)}"
            for g, l, (title, nm, v) in zip(got, lights, want):
                if g["quantity"] != quantity:
                    return f"taken as {g['quantity']}, it is {quantity}"
                if title and g["name"] != title:
                    return f"named {g['name']!r}, its text says {title!r}"
                if g["wavelength_nm"] != nm:
                    return "wavelengths differ from its text"
                for at, x, y in zip(nm, g["value"], v, strict=True):
                    if x is None or not math.isclose(x, y, rel_tol=1e-12, abs_tol=1e-300):
                        return f"at {at} nm {x}, its text says {y}"
                values += len(v)
                if cct:
                    k = (l.get("values") or {}).get("cct_k")
                    if k is None or abs(k - cct) > slack:
                        return f"colour temperature {k} K, published {cct} K"
            files += 1
            what = f"{len(want)} × {len(want[0][1])} values"
            if cct:
                what += f", {k:.0f} K (published {cct} K)"
            print(f"  {package.split('=')[0]} {version}  {name}: {what}")
            return None

        theirs = []
        for package in [COLOUR, *CGATS]:
            home = tmp / package.replace("=", "_")
            version = fetch(package, home)
            if version is None:
                print(f"  {package}: could not be fetched; passed over")
                continue
            for name, quantity, cct, slack in TM27 if package == COLOUR else CGATS[package]:
                why = check(package, version, home, name, tm27_text if package == COLOUR else cgats_text, quantity, cct, slack)
                if why:
                    problems.append(f"{package} {name}: {why}")
                elif package == COLOUR:
                    theirs.append(home / name)
            for name, words in REFUSED.get(package, []):
                done = subprocess.run([str(program), "read", str(home / name)], capture_output=True, text=True)
                if done.returncode == 0 or words not in done.stderr:
                    problems.append(f"{package} {name}: not refused with {words!r}: {done.stderr.strip()}")
                else:
                    print(f"  {package.split('=')[0]} {version}  {name}: refused, as it should be")
        if theirs:
            problems += colour_reads(theirs, program, tmp)
    print(f"samples: {files} files of others, {values} values as their own text has them")
    for p in problems:
        print("DIFFERS:", p)
    return 1 if problems else 0


def colour_reads(paths, program, tmp):
    """Compare with colour-science's own reading of TM-27 files."""
    import reference
    code = ("import sys, json, warnings; warnings.simplefilter('ignore'); import colour\n"
            "out = []\n"
            "for p in sys.argv[1:]:\n"
            "    s = colour.SpectralDistribution_IESTM2714(p); s.read()\n"
            "    out.append([list(map(float, s.wavelengths)), list(map(float, s.values))])\n"
            "print(json.dumps(out))\n")
    try:
        python = reference.environment()
    except SystemExit:
        return []  # it has said why
    done = subprocess.run([str(python), "-c", code, *map(str, paths)], capture_output=True, text=True)
    if done.returncode:
        return [f"colour-science did not read: {done.stderr.strip().splitlines()[-1]}"]
    bad = []
    for path, (nm, v) in zip(paths, json.loads(done.stdout)):
        out = tmp / "out.json"
        subprocess.run([str(program), "read", str(path), "--json", "--to", str(out)], check=True, stdout=subprocess.DEVNULL)
        got = json.loads(out.read_text())["spectra"][0]
        if got["wavelength_nm"] != nm or got["value"] != v:
            bad.append(f"{path.name}: colour-science reads other numbers")
        else:
            print(f"  {path.name}: colour-science reads the same {len(v)} numbers")
    return bad


if __name__ == "__main__":
    sys.exit(main())

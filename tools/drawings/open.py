"""Opens the DXF drawings of a folder and holds them against what they must hold.

Each drawing has to read without error, pass the reader's audit, be release 12,
and hold something to draw. The template's rule must be 100 mm long, and its
floor line and row centres must be there.
"""
import pathlib
import sys

import ezdxf

folder = pathlib.Path(sys.argv[1])
paths = sorted(folder.glob("*.dxf"))
if len(paths) < 8:
    sys.exit(f"only {len(paths)} drawings in {folder}")
bad = 0
for path in paths:
    doc = ezdxf.readfile(path)
    audit = doc.audit()
    space = list(doc.modelspace())
    kinds = {}
    for e in space:
        kinds[e.dxftype()] = kinds.get(e.dxftype(), 0) + 1
    ok = not audit.has_errors and doc.dxfversion == "AC1009" and space
    if path.stem == "template":
        rules = [e for e in space if e.dxftype() == "LINE" and e.dxf.layer == "RULE" and abs(e.dxf.start.distance(e.dxf.end) - 100) < 1e-6]
        centres = [e for e in space if e.dxf.layer == "CENTRES"]
        floor = [e for e in space if e.dxf.layer == "FLOOR" and e.dxftype() != "TEXT"]
        ok = ok and rules and centres and floor
    print(f"{path.name}: {doc.dxfversion}, {len(space)} entities, {len(audit.errors)} errors, {'good' if ok else 'BAD'}")
    bad += not ok
print(f"ezdxf {ezdxf.__version__}: {len(paths) - bad} of {len(paths)} drawings read as they should")
sys.exit(1 if bad else 0)

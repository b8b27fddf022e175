"""Reads every DXF of the folders given with ezdxf; its audit must find nothing to complain of or to mend."""

import pathlib
import sys

import ezdxf

LAYERS = {"SHEET", "OUTLINE", "HOLES", "POCKETS", "ENGRAVING", "LABELS"}
KINDS = {"LWPOLYLINE", "CIRCLE", "TEXT"}

read = 0
for folder in sys.argv[1:]:
    for path in sorted(pathlib.Path(folder).rglob("*.dxf")):
        drawing = ezdxf.readfile(path)
        audit = drawing.audit()
        found = [entry.message for entry in audit.errors + audit.fixes]
        assert not found, f"{path}: {found}"
        assert drawing.dxfversion == "AC1015", path
        assert drawing.header["$INSUNITS"] in (1, 4), path
        for entity in drawing.modelspace():
            assert entity.dxf.layer in LAYERS, f"{path}: layer {entity.dxf.layer}"
            assert entity.dxftype() in KINDS, f"{path}: {entity.dxftype()}"
            open_line = entity.dxf.layer == "ENGRAVING"
            assert entity.dxftype() != "LWPOLYLINE" or entity.closed != open_line, path
        read += 1
assert read, "no DXF was found"
print(f"{read} DXF files are sound")

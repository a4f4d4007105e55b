#!/usr/bin/env python3
"""Holds the image files of a folder against independent libraries, and writes files with them.

For each NAME.json in the folder (start, size, cells as [speed, load, degrees] in exact counts, fields by name):
  - NAME.hex, NAME.hex32 are read by intelhex and bincopy, NAME.s19, NAME.s28, NAME.s37 by bincopy, NAME.bin plainly:
    all give the same bytes at the same addresses;
  - NAME.a2l is read by pya2l, and with nothing but that description the cells are found in the bytes;
  - NAME.from-*.{hex,s19,s28,s37} are written by intelhex and bincopy, to be read back by the program.
"""

import io
import json
import struct
import sys
from pathlib import Path

import bincopy
import intelhex
from pya2l.parser import A2lParser

FORMATS = {
    "UBYTE": "B", "SBYTE": "b", "UWORD": "H", "SWORD": "h", "ULONG": "I", "SLONG": "i", "FLOAT32_IEEE": "f",
}


class Description:
    """The values that an A2L description finds in bytes."""

    def __init__(self, tree, image):
        self.module = tree.PROJECT.MODULE[0]
        segment = self.module.MOD_PAR.MEMORY_SEGMENT[0]
        self.start, self.size = segment.Address.Value, segment.Size.Value
        self.order = {"MSB_LAST": "<", "MSB_FIRST": ">"}[self.module.MOD_COMMON.BYTE_ORDER.ByteOrder]
        self.image = image
        self.layouts = {part.Name.Value: part for part in self.module.RECORD_LAYOUT}
        self.methods = {part.Name.Value: part for part in self.module.COMPU_METHOD}
        self.axes = {part.Name.Value: part for part in self.module.AXIS_PTS}
        self.values = {part.Name.Value: part for part in self.module.CHARACTERISTIC}

    def raws(self, address, count, kind):
        form = f"{self.order}{count}{FORMATS[kind]}"
        at = address - self.start
        return struct.unpack(form, self.image[at:at + struct.calcsize(form)])

    def physical(self, method, raw):
        coeffs = self.methods[method].COEFFS
        assert coeffs.A.Value == coeffs.D.Value == coeffs.E.Value == 0
        return (raw * coeffs.F.Value - coeffs.C.Value) / coeffs.B.Value

    def axis(self, description):
        count = description.MaxAxisPoints.Value
        if description.Attribute == "FIX_AXIS":
            return [value.Value for value in description.FIX_AXIS_PAR_LIST.AxisPts_Value]
        points = self.axes[description.AXIS_PTS_REF.AxisPoints.Value]
        layout = self.layouts[points.DepositR.Value].AXIS_PTS_X
        raws = self.raws(points.Address.Value, count, layout.DataType.Value)
        values = [self.physical(points.Conversion.Value, raw) for raw in raws]
        return values[::-1] if layout.IndexIncr.Value == "INDEX_DECR" else values

    def map(self, part):
        x, y = (self.axis(description) for description in part.AXIS_DESCR)
        layout = self.layouts[part.Deposit.Value].FNC_VALUES
        raws = self.raws(part.Address.Value, len(x) * len(y), layout.DataType.Value)
        row = {"ROW_DIR": lambda i, j: j * len(x) + i, "COLUMN_DIR": lambda i, j: i * len(y) + j}[layout.IndexMode]
        return [
            (speed, load, self.physical(part.Conversion.Value, raws[row(i, j)]))
            for j, load in enumerate(y)
            for i, speed in enumerate(x)
        ]

    def single(self, part):
        layout = self.layouts[part.Deposit.Value].FNC_VALUES
        return self.physical(part.Conversion.Value, self.raws(part.Address.Value, 1, layout.DataType.Value)[0])


def close(a, b):
    return abs(a - b) <= 1e-6 * max(abs(a), abs(b), 1.0)


def same_bytes(folder, name, start, size):
    image = (folder / f"{name}.bin").read_bytes()
    assert len(image) == size, f"{name}.bin has {len(image)} bytes, not {size}"
    for suffix in ("hex", "hex32"):
        path = folder / f"{name}.{suffix}"
        file = intelhex.IntelHex()
        file.loadhex(str(path))
        assert (file.minaddr(), file.maxaddr()) == (start, start + size - 1), f"{path}: addresses"
        assert file.tobinstr() == image, f"{path}: intelhex reads other bytes"
        file = bincopy.BinFile()
        file.add_ihex(path.read_text())
        assert file.minimum_address == start and bytes(file.as_binary()) == image, f"{path}: bincopy"
    for suffix in ("s19", "s28", "s37"):
        path = folder / f"{name}.{suffix}"
        file = bincopy.BinFile()
        file.add_srec(path.read_text())
        assert file.minimum_address == start and bytes(file.as_binary()) == image, f"{path}: bincopy"
    return image


def same_values(parser, folder, name, image, expected):
    tree = parser.tree_from_a2l((folder / f"{name}.a2l").read_bytes())
    description = Description(tree, image)
    assert (description.start, description.size) == (expected["start"], expected["size"]), f"{name}.a2l: segment"
    first = description.module.CHARACTERISTIC[0]
    assert first.Type == "MAP", f"{name}.a2l: the map is not first"
    found, wanted = sorted(description.map(first)), sorted(map(tuple, expected["cells"]))
    assert len(found) == len(wanted)
    for one, other in zip(found, wanted):
        assert all(map(close, one, other)), f"{name}.a2l: {one} is not {other}"
    for field, value in expected["fields"].items():
        got = description.single(description.values[field])
        assert close(got, value), f"{name}.a2l: {field} is {got}, not {value}"
    return len(found) + len(expected["fields"])


def write(folder, name, start, image):
    file = intelhex.IntelHex()
    file.frombytes(image, offset=start)
    text = io.StringIO()
    file.write_hex_file(text)
    (folder / f"{name}.from-intelhex.hex").write_text(text.getvalue())
    file = bincopy.BinFile()
    file.add_binary(image, address=start)
    (folder / f"{name}.from-bincopy.hex").write_text(file.as_ihex())
    for bits, suffix in ((16, "s19"), (24, "s28"), (32, "s37")):
        # bincopy closes the file only where it knows where a program starts: S28 shows a file without an end.
        file.execution_start_address = None if suffix == "s28" else 0
        if start + len(image) <= 1 << bits:
            (folder / f"{name}.from-bincopy.{suffix}").write_text(file.as_srec(address_length_bits=bits))


def main(folder):
    values = 0
    names = sorted(path.stem for path in folder.glob("*.json"))
    assert names, "there is nothing to check"
    with A2lParser() as parser:
        for name in names:
            expected = json.loads((folder / f"{name}.json").read_text())
            image = same_bytes(folder, name, expected["start"], expected["size"])
            values += same_values(parser, folder, name, image, expected)
            write(folder, name, expected["start"], image)
    print(f"{len(names)} images read alike, {values} values found through their descriptions")


if __name__ == "__main__":
    main(Path(sys.argv[1]))

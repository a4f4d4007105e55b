#!/usr/bin/env python3
"""Holds the image files of a folder against independent libraries and Python's own arithmetic, and writes files with them.

For each NAME.list in the folder, the numbers of a project as `set --list` tells them, the image layout among them:
  - NAME.hex, NAME.hex32 are read by intelhex and bincopy, NAME.s19, NAME.s28, NAME.s37 by bincopy, NAME.bin plainly:
    all give the same bytes at the same addresses;
  - every count of tables, axes, curves and single numbers is computed here, with decimal arithmetic, from the project's
    numbers and stands in the bytes where the layout says; so does the checksum; all else is fill;
  - NAME.a2l is read by pya2l, and with nothing but that description the same values are found in the bytes;
  - NAME.from-*.{hex,s19,s28,s37} are written by intelhex and bincopy, to be read back by the program.
"""

import binascii
import io
import re
import struct
import sys
import zlib
from decimal import ROUND_HALF_UP, Decimal, getcontext
from fractions import Fraction
from pathlib import Path

import bincopy
import intelhex
from pya2l.parser import A2lParser

getcontext().prec = 60

FORMATS = {
    "UBYTE": "B", "SBYTE": "b", "UWORD": "H", "SWORD": "h", "ULONG": "I", "SLONG": "i", "FLOAT32_IEEE": "f",
}
TYPES = {"u8": "B", "i8": "b", "u16": "H", "i16": "h", "u32": "I", "i32": "i", "f32": "f"}
ORDERS = {"little_endian": "<", "big_endian": ">"}
AXES = {
    "advance_cells": ("advance_speeds", "advance_loads"),
    "coolant_trim_degrees": ("coolant_trim_temperatures",),
    "air_trim_degrees": ("air_trim_temperatures",),
    "dwell_times": ("dwell_voltages",),
    "coolant_weights": ("coolant_weight_loads",),
    "air_weights": ("air_weight_loads",),
    "margin_degrees": ("margin_loads",),
    "full_load_degrees": ("full_load_speeds",),
    "full_load_less_degrees": ("full_load_less_loads",),
}
AXIS_PATHS = {
    "advance_speeds": "advance.speed_rpm",
    "advance_loads": "advance.load",
    "coolant_trim_temperatures": "trims.coolant.degrees.at",
    "air_trim_temperatures": "trims.air.degrees.at",
    "dwell_voltages": "coil.dwell_ms.at",
    "coolant_weight_loads": "trims.coolant.weight.at",
    "air_weight_loads": "trims.air.weight.at",
    "margin_loads": "safety_margin.degrees.at",
    "full_load_speeds": "full_load_line.most_deg.at",
    "full_load_less_loads": "full_load_line.less_deg.at",
}
CURVE_PATHS = {
    "coolant_trim_degrees": "trims.coolant.degrees",
    "air_trim_degrees": "trims.air.degrees",
    "dwell_times": "coil.dwell_ms",
    "coolant_weights": "trims.coolant.weight",
    "air_weights": "trims.air.weight",
    "margin_degrees": "safety_margin.degrees",
    "full_load_degrees": "full_load_line.most_deg",
    "full_load_less_degrees": "full_load_line.less_deg",
}


class Project:
    """The numbers of a project by their path, and what its image must hold."""

    def __init__(self, text):
        self.texts, self.choices = {}, {}
        for path, value, about in re.findall(r"^(\S+) = (.*?)  # (.*)$", text, re.MULTILINE):
            self.texts[path] = value
            self.choices[path] = about.removesuffix("; assumed").rpartition(": ")[2].split(", ")
        count = 1 + max(int(index) for index in re.findall(r"^image\.items\[(\d+)\]", text, re.MULTILINE))
        self.items = [Item(self, f"image.items[{index}]") for index in range(count)]
        self.start, self.size = int(self.texts["image.start"]), int(self.texts["image.size"])
        self.fill, self.order = int(self.texts["image.fill"]), ORDERS[self.texts["image.byte_order"]]

    def list(self, path):
        return [Decimal(number) for number in self.texts[path].split(",")]

    def number(self, path):
        text = self.texts[path]
        if text in ("yes", "no"):
            return Decimal(text == "yes")
        if re.fullmatch(r"[a-z_]+", text):
            return Decimal(self.choices[path].index(text))
        return Decimal(text)

    def rows(self):
        loads = len(self.list("advance.load"))
        return [self.list(f"advance.deg[{load}]") for load in range(loads)]

    def axis_item(self, item, content):
        """The item that holds an axis of an item's size."""
        points = item.points(content)
        held = [axis for axis in self.items if axis.content == content and axis.points(content) == points]
        return held[0] if held else None

    def unit_axis(self, item, content):
        """The breakpoints between which the unit interpolates: rounded, where the image holds them."""
        own = spread(self.list(AXIS_PATHS[content]), item.points(content))
        held = self.axis_item(item, content)
        if held is None or len(own) == len(self.list(AXIS_PATHS[content])):
            return own
        return [held.physical(held.count(value)) for value in own]

    def wanted(self, item):
        """What an item is to hold before rounding, rows of speeds from the lowest load on, and the axes under it."""
        if item.content == "field":
            return [[self.number(item.field)]], []
        if item.content in AXIS_PATHS:
            values = spread(self.list(AXIS_PATHS[item.content]), item.points(item.content))
            return ([[value] for value in values] if item.content == "advance_loads" else [values]), []
        axes = [self.unit_axis(item, content) for content in AXES[item.content]]
        if item.content == "advance_cells":
            speeds, loads = self.list("advance.speed_rpm"), self.list("advance.load")
            along = [[interpolate(speeds, row, speed) for speed in axes[0]] for row in self.rows()]
            columns = [[interpolate(loads, column, load) for load in axes[1]] for column in zip(*along)]
            return [list(row) for row in zip(*columns)], axes
        path = CURVE_PATHS[item.content]
        at, values = self.list(f"{path}.at"), self.list(f"{path}.value")
        return [[interpolate(at, values, x) for x in axes[0]]], axes


class Item:
    """One item of the layout."""

    def __init__(self, project, path):
        text = lambda name: project.texts[f"{path}.{name}"]
        self.name, self.content, self.field = text("name")[1:-1], text("content"), text("field")[1:-1]
        self.address, self.cell = int(text("address")), text("cell")
        self.scale, self.offset = Decimal(text("scale")), Decimal(text("offset"))
        self.columns_first = text("order") == "columns_first"
        self.falls = [text(name) == "descending" for name in ("speed_direction", "load_direction")]
        self.sizes = [None if text(name) == "none" else int(text(name)) for name in ("speeds", "loads")]
        self.project = project

    def points(self, content):
        """How many numbers it has along an axis."""
        own = self.sizes[content == "advance_loads"]
        return own or len(self.project.list(AXIS_PATHS[content]))

    def count(self, value):
        """Halves go away from zero, and what lies within a billionth of a half is one."""
        exact = (value - self.offset) / self.scale
        if self.cell == "f32":
            return struct.unpack("<f", struct.pack("<f", float(exact)))[0]
        half = (exact * 2).to_integral_value(ROUND_HALF_UP) / 2
        exact = half if abs(exact - half) < Decimal("1e-9") * max(1, abs(exact)) else exact
        return int(exact.to_integral_value(ROUND_HALF_UP))

    def physical(self, count):
        return Decimal(count) * self.scale + self.offset

    def stored(self, rows):
        """Rows of loads in the order in which they stand in the image."""
        rows = [row[::-1] if self.falls[0] else row for row in rows]
        rows = rows[::-1] if self.falls[1] else rows
        return [value for line in (zip(*rows) if self.columns_first else rows) for value in line]


def spread(axis, count):
    """As many breakpoints as the unit has, spread over the places of the project's, ends kept."""
    if count == len(axis):
        return axis
    found = []
    for step in range(count):
        place = Fraction(step * (len(axis) - 1), count - 1)
        below, rest = int(place), place - int(place)
        if rest == 0:
            found.append(axis[below])
        else:
            share = Decimal(rest.numerator) / Decimal(rest.denominator)
            found.append(round(axis[below] + (axis[below + 1] - axis[below]) * share, 12))
    return found


def interpolate(at, values, x):
    """Linear between the points, flat beyond them."""
    if x <= at[0]:
        return values[0]
    for low, high, one, other in zip(at, at[1:], values, values[1:]):
        if x == high:
            return other
        if x < high:
            return one + (other - one) * (x - low) / (high - low)
    return values[-1]


def modbus(data):
    """CRC-16/MODBUS, bit by bit: polynomial 8005 reflected, from FFFF on."""
    crc = 0xFFFF
    for byte in data:
        crc ^= byte
        for _ in range(8):
            crc = (crc >> 1) ^ (0xA001 if crc & 1 else 0)
    return crc


CHECKSUMS = {
    "sum8": ("B", lambda data: sum(data) & 0xFF),
    "crc16_ccitt_false": ("H", lambda data: binascii.crc_hqx(data, 0xFFFF)),
    "crc16_modbus": ("H", modbus),
    "crc32_iso_hdlc": ("I", zlib.crc32),
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
            return [value.Value for value in description.FIX_AXIS_PAR_LIST.AxisPtsValue]
        return self.axis_points(description.AXIS_PTS_REF.AxisPoints.Value, count)

    def axis_points(self, name, count):
        points = self.axes[name]
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

    def curve(self, part):
        x = self.axis(part.AXIS_DESCR[0])
        layout = self.layouts[part.Deposit.Value].FNC_VALUES
        raws = self.raws(part.Address.Value, len(x), layout.DataType.Value)
        return [(at, self.physical(part.Conversion.Value, raw)) for at, raw in zip(x, raws)]

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


def same_counts(name, image, project):
    """Every byte of the image, from the project's numbers alone."""
    expected = bytearray([project.fill]) * project.size
    numbers = 0
    for item in project.items:
        rows, _ = project.wanted(item)
        counts = [item.count(value) for value in item.stored(rows)]
        form = f"{project.order}{len(counts)}{TYPES[item.cell]}"
        at = item.address - project.start
        found = list(struct.unpack(form, image[at:at + struct.calcsize(form)]))
        assert found == counts, f"{name}: '{item.name}' holds {found}, not {counts}"
        struct.pack_into(form, expected, at, *counts)
        numbers += len(counts)
    kind = project.texts["image.checksum.kind"]
    if kind != "none":
        form, compute = CHECKSUMS[kind]
        first, length, stored_at = (
            int(project.texts[f"image.checksum.{part}"]) for part in ("from", "length", "stored_at")
        )
        covered = bytes(expected[first - project.start:first - project.start + length])
        struct.pack_into(project.order + form, expected, stored_at - project.start, compute(covered))
        numbers += 1
    assert bytes(expected) == image, f"{name}: checksum or fill is another"
    return numbers


def same_values(parser, folder, name, image, project):
    tree = parser.tree_from_a2l((folder / f"{name}.a2l").read_bytes())
    description = Description(tree, image)
    assert (description.start, description.size) == (project.start, project.size), f"{name}.a2l: segment"
    if any(item.content == "advance_cells" for item in project.items):
        assert description.module.CHARACTERISTIC[0].Type == "MAP", f"{name}.a2l: the map is not first"
    numbers = 0
    for item in project.items:
        identifier = re.sub(r"\W", "_", item.name, flags=re.ASCII)
        rows, axes = project.wanted(item)
        rows = [[float(item.physical(item.count(value))) for value in row] for row in rows]
        # What is stored of an axis is rounded, too.
        under = []
        for content, axis in zip(AXES.get(item.content, ()), axes):
            held = project.axis_item(item, content)
            under.append([float(held.physical(held.count(value)) if held else value) for value in axis])
        if item.content in AXIS_PATHS:
            found = [(value,) for value in description.axis_points(identifier, len(rows) * len(rows[0]))]
            wanted = [(value,) for row in rows for value in row]
        elif item.content == "field":
            found, wanted = [(description.single(description.values[identifier]),)], [(rows[0][0],)]
        elif item.content == "advance_cells":
            assert description.values[identifier].Type == "MAP", f"{name}.a2l: {identifier}"
            found = description.map(description.values[identifier])
            wanted = [(x, y, z) for y, row in zip(under[1], rows) for x, z in zip(under[0], row)]
        else:
            assert description.values[identifier].Type == "CURVE", f"{name}.a2l: {identifier}"
            found = description.curve(description.values[identifier])
            wanted = list(zip(under[0], rows[0]))
        assert len(found) == len(wanted), f"{name}.a2l: {identifier} has {len(found)} numbers, not {len(wanted)}"
        for one, other in zip(sorted(found), sorted(wanted)):
            assert all(map(close, one, other)), f"{name}.a2l: {identifier}: {one} is not {other}"
        numbers += len(found)
    return numbers


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
    counts, values = 0, 0
    names = sorted(path.stem for path in folder.glob("*.list"))
    assert names, "there is nothing to check"
    with A2lParser() as parser:
        for name in names:
            project = Project((folder / f"{name}.list").read_text())
            image = same_bytes(folder, name, project.start, project.size)
            counts += same_counts(name, image, project)
            values += same_values(parser, folder, name, image, project)
            write(folder, name, project.start, image)
    print(f"{len(names)} images read alike, {counts} numbers computed, {values} found through their descriptions")


if __name__ == "__main__":
    main(Path(sys.argv[1]))

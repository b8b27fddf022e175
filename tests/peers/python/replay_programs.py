"""Replays every program of the folders given, from its text, and holds the areas that its tools sweep over against those
that job.json's proof gives. Nothing of the project is used: the language is read as NIST IR 6556 has it, as far as the
programs go, and Shapely puts the areas together.

A tool of radius r whose tip passes below a height along a way sweeps there over all places within r of that part of the
way. Two heights are looked at: a tenth of a millimetre below the sheet's upper face, and its lower face.
"""

import json
import math
import pathlib
import re
import sys

import shapely

INCH = 25.4
# Below the upper face (mm).
SURFACE = 0.1
# Here arcs are chords within this of them, and so are the round ends; the proof has its own chords within 0.002 mm.
CHORD = 0.0005
PROOFS_CHORD = 0.002
WORD = re.compile(r"([A-Z])([-+]?[0-9]*\.?[0-9]+|[-+]?[0-9]+\.)")


def chords(radius):
    """Into how many straight lines a whole circle of this radius falls."""
    return math.ceil(math.tau / (2 * math.acos(1 - min(CHORD / radius, 1))))


class Machine:
    """Follows one program; `ways` are the lines of the edges with a z at every corner, and the tool's radius. `tools` are
    radii, and by how much a centre point reaches below the edges."""

    def __init__(self, tools, tool, top):
        self.tools, self.tool, self.top = tools, tool, top
        self.at, self.scale, self.motion = [None] * 3, None, None
        self.chosen, self.cycle, self.before, self.ways = None, {}, None, []
        self.low = False

    def line(self, text):
        text = re.sub(r"\(.*?\)|;.*", "", text).replace(" ", "")
        # ISO 6983-1: percent signs around a program, and its number.
        if text == "%" or re.fullmatch("O[0-9]+", text):
            return
        words = WORD.findall(text)
        assert "".join(letter + number for letter, number in words) == text, text
        codes = [(letter, float(number)) for letter, number in words if letter in "GM"]
        given = {letter: float(number) for letter, number in words if letter not in "GMNFSP"}
        if "T" in given:
            self.chosen = int(given.pop("T"))
        for letter, number in codes:
            if letter == "M":
                if number == 6:
                    self.tool, self.at = self.chosen, [None] * 3
                assert number in (0, 3, 5, 6, 8, 9, 30), text
            elif number in (20, 21):
                self.scale = INCH if number == 20 else 1.0
            elif number in (0, 1, 2, 3, 80, 81, 83):
                if number < 81 or self.motion != number:
                    self.before, self.cycle = self.at[2], {}
                self.motion = number
            elif number in (98, 99):
                self.low = number == 99
            else:
                assert number in (4, 17, 40, 49, 54, 90, 94), text
        if not given:
            return
        size = {letter: number * self.scale for letter, number in given.items()}
        to = [size.get(axis, at) for axis, at in zip("XYZ", self.at)]
        if self.motion in (81, 83):
            self.hole(size, to)
            return
        if self.motion in (2, 3):
            way = self.arc(size, to)
        else:
            assert self.motion in (0, 1) and not set("IJR") & set(size), text
            way = [self.at, to]
        self.go(way, to)

    def go(self, way, to):
        if all(at is not None for corner in way for at in corner):
            radius, point = self.tools[self.tool]
            lowered = [(x, y, z - self.top + point) for x, y, z in way]
            self.ways.append((lowered, radius))
        self.at = to

    def arc(self, size, to):
        """Corners along an arc, close to each other; z changes evenly with the angle."""
        (x0, y0, z0), (x1, y1, z1) = self.at, to
        clockwise = self.motion == 2
        if "R" in size:
            dx, dy, r = x1 - x0, y1 - y0, size["R"]
            half = math.hypot(dx, dy) / 2
            rise = math.sqrt(max(r * r - half * half, 0)) * (-1 if (r > 0) == clockwise else 1)
            cx, cy = (x0 + x1) / 2 - dy / (2 * half) * rise, (y0 + y1) / 2 + dx / (2 * half) * rise
        else:
            cx, cy = x0 + size.get("I", 0), y0 + size.get("J", 0)
        start, end = math.atan2(y0 - cy, x0 - cx), math.atan2(y1 - cy, x1 - cx)
        turn = (start - end if clockwise else end - start) % math.tau
        turn = turn if turn > 1e-9 else math.tau
        r0, r1 = math.hypot(x0 - cx, y0 - cy), math.hypot(x1 - cx, y1 - cy)
        assert abs(r0 - r1) <= (0.002 if self.scale == 1 else 0.0002 * INCH) + 1e-9
        steps = max(1, math.ceil(chords(r0) * turn / math.tau))
        way = []
        for i in range(steps + 1):
            share = i / steps
            angle = start + turn * share * (-1 if clockwise else 1)
            r = r0 + (r1 - r0) * share
            way.append((cx + r * math.cos(angle), cy + r * math.sin(angle), z0 + (z1 - z0) * share))
        return way

    def hole(self, size, to):
        """A drilled hole: down to Z, whatever the pecks; then back to R, or to where it was before the first."""
        self.cycle.update({letter: size[letter] for letter in "RZ" if letter in size})
        x, y, _ = to
        after = self.cycle["R"] if self.low else max(self.before, self.cycle["R"])
        for z in (self.cycle["R"], self.cycle["Z"], after):
            self.go([(x, y, self.at[2]), (x, y, z)], [x, y, z])


def below(way, z):
    """The stretches of a way on which the tip is at or below a height."""
    lines, line = [], []
    for a, b in zip(way, way[1:]):
        low, high = (a, b) if a[2] <= b[2] else (b, a)
        if low[2] > z:
            ends = None
        elif high[2] <= z:
            ends = (a, b)
        else:
            share = (z - low[2]) / (high[2] - low[2])
            cut = tuple(low[i] + (high[i] - low[i]) * share for i in range(3))
            ends = (a, cut) if low is a else (cut, b)
        if ends and line and line[-1] == ends[0][:2]:
            line.append(ends[1][:2])
        elif ends:
            line = [ends[0][:2], ends[1][:2]]
            lines.append(line)
    return lines


def swept(ways, z):
    shapes = []
    for radius in {radius for _, radius in ways}:
        quarter = math.ceil(chords(radius) / 4)
        lines = {tuple(line) for way, own in ways if own == radius for line in below(way, z)}
        for line in sorted(lines):
            same = all(corner == line[0] for corner in line)
            shape = shapely.Point(line[0]) if same else shapely.LineString(line)
            shapes.append(shape.buffer(radius, quad_segs=quarter))
    return shapely.union_all(shapes)


def check(job, program, folder):
    sheet = job["sheets"][program["sheet"] - 1]
    machine = job["router"]["machine"]
    assert not machine["by_hand"], "tools changed by hand are not followed here"
    tools = {tool["number"]: (tool["diameter"] / 2, tool["point"]) for tool in job["router"]["tools"]}
    first = program["tools"][0]["number"] if len(program["tools"]) == 1 else None
    replay = Machine(tools, first, 0.0 if machine["zero_on_top"] else sheet["thickness"])
    for line in (folder / program["file"]).read_text().splitlines():
        replay.line(line)
    proof = next(proof for proof in job["proof"] if proof["file"] == program["file"])
    worst = 0.0
    for name, z in (("surface", -SURFACE), ("through", -sheet["thickness"])):
        shape = swept(replay.ways, z)
        # Both have chords inside the circles, so that neither is off by more than its own along the whole edge; and
        # areas are written to a tenth of a square millimetre.
        allowed = max(CHORD, PROOFS_CHORD) * shape.length + 0.1
        off = abs(shape.area - proof["areas"][name])
        assert off <= allowed, f"{folder}/{program['file']}, {name}: {shape.area} mm², the proof says " \
            f"{proof['areas'][name]}, and may be off by {allowed:.2f}"
        worst = max(worst, off / allowed)
    return worst


def main():
    # The tool's own square and round ends, known from school: a line of 50 mm and a quarter turn of radius 20.
    known = Machine({1: (3.0, 0.0)}, 1, 0.0)
    for line in ("G21 G90 G0 X0 Y0 Z-1", "G1 X50", "G3 X70 Y20 J20"):
        known.line(line)
    for count, wanted in ((1, 300 + math.pi * 9), (2, 300 + math.pi * 9 + 6 * 10 * math.pi)):
        area = swept(known.ways[:count], -1).area
        assert abs(area - wanted) < 0.2, (area, wanted)
    worst, count = 0.0, 0
    for folder in map(pathlib.Path, sys.argv[1:]):
        job = json.loads((folder / "job.json").read_text())
        for program in job["programs"]:
            worst, count = max(worst, check(job, program, folder)), count + 1
    assert count, "no program was found"
    print(f"{count} programs sweep over what their proofs say; the worst is off by {worst:.2f} of what chords allow")


main()

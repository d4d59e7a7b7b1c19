"""Makes `sections.txt`: half sections of made-up engines, and the volume of each of their rooms as
another library has it.

Shapely takes the parts out of the bores as polygons of the plane (axis, radius) and cuts what is left
at the middles of the rings; Pappus turns each piece around the axis: 2 pi times the radius of its
centroid times its area. It shares no code with this program. Lengths in mm, volumes in mm3.

    pip install shapely
    python tests/geometry/sections.py > tests/geometry/sections.txt
"""

import math
import random

from shapely import LineString
from shapely.geometry import Polygon
from shapely.ops import split, unary_union

random.seed(20260314)


def trapezium(start, end, first, last, low=0.0):
    return Polygon([(start, low), (end, low), (end, last), (start, first)])


def case(number):
    lands = random.randint(2, 5)
    widest = random.uniform(8.0, 14.0)
    radii = sorted((random.uniform(5.0, widest) for _ in range(lands)), reverse=True)
    bores, steps, rings, spots = [], [], [], []
    at = 0.0
    moved = random.uniform(0.1, 1.4)
    for land, radius in enumerate(radii):
        length = random.uniform(14.0, 22.0)
        bores.append((at, at + length, radius, radius))
        start = at + random.uniform(3.0, 4.0)
        end = start + random.uniform(3.0, 6.0)
        steps.append((start, end, radius - 0.03, radius - 0.03))
        rings.append((0.5 * (start + end), radius + 0.25))
        at += length
        if steps[:-1]:
            # The waist in front of the land before: a cone in every second case.
            before = steps[-2][1]
            thin = random.uniform(2.0, radius - 1.0)
            other = random.uniform(2.0, radius - 1.0) if number % 2 else thin
            steps.append((before, start, thin, other))
            steps.sort()
    if number % 3 == 0:
        # The last bore ends in a cone.
        bores.append((at, at + 6.0, radii[-1], 1.5))
        at += 6.0
    # A pin on the axis of the body, in front of the part.
    pin = (steps[-1][1] + 2.5, at, 1.2, 1.2)
    void = unary_union([trapezium(*bore) for bore in bores])
    part = unary_union([trapezium(a + moved, b + moved, r, s) for a, b, r, s in steps])
    void = void.difference(part).difference(trapezium(*pin))
    cuts = sorted(at + moved for at, _ in rings)
    rooms = [0.0] * (lands + 1)
    pieces = [void]
    for cut in cuts:
        line = LineString([(cut, -1.0), (cut, 100.0)])
        pieces = [piece for it in pieces for piece in split(it, line).geoms]
    for piece in pieces:
        middle = piece.representative_point().x
        room = sum(cut < middle for cut in cuts)
        rooms[room] += 2.0 * math.pi * piece.centroid.y * piece.area
    print(f"case {number}")
    print("moved", repr(moved))
    for word, rows in (("bore", bores), ("step", steps), ("pin", [pin]), ("ring", sorted(rings))):
        for row in rows:
            print(word, *(repr(value) for value in row))
    print("rooms", *(repr(room) for room in rooms))


print("# Made by sections.py (shapely). Lengths in mm, volumes in mm3.")
for number in range(24):
    case(number)

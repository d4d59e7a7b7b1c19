"""Makes `engines.txt`: the closed rooms of the demo's dimensioned engines at rest, in mm3, as
another library has them.

Reads the chains of lengths from the cutaways and the readings from the pages, sets the parts where
their stops say, takes them out of the bores with shapely as polygons of the plane (axis, radius),
cuts what is left at the middles of the rings, and turns each piece around the axis after Pappus. A
groove counts as full, a hole across has no volume. It shares no code with this program.

    pip install shapely
    python tests/geometry/engines.py > tests/geometry/engines.txt
"""

import math
import re
from pathlib import Path

from shapely import LineString, Point
from shapely.geometry import Polygon
from shapely.ops import split, unary_union

FOLIO = Path(__file__).resolve().parents[2]
# How far a cut reaches beyond the clearance that its ring closes.
BEYOND = 0.3


class Piece:
    def __init__(self, name, start, end, outside, bore, ring):
        self.name, self.start, self.end, self.ring = name, start, end, ring
        self.outside, self.bore = outside, bore


def reading(engine, word):
    page = (FOLIO / f"content/engines/{engine}.md").read_text()
    told = re.search(rf"^  {word}: ([^\n]*)", page, re.M)[1]
    like = re.search(r"like: (\w+)", told)
    if like:
        return reading(like[1], word)
    inches = re.match(r"\{is: (\d+)/(\d+) in", told)
    if inches:
        return 25.4 * int(inches[1]) / int(inches[2])
    return float(re.search(r"([\d.]+) mm", told)[1])


def chains(cutaway, engine):
    """Chains of pieces by name, each from its own rear end at nought; readings are the engine's."""

    def size(text):
        found = re.match(r"([\d.]+) mm", text)
        return float(found[1]) if found else reading(engine, re.match(r"\w+", text)[0])

    text = (FOLIO / f"diagrams/{cutaway}.cut").read_text()
    base = re.search(r"^cutaway \w+ based on (\w+)", text, re.M)
    found, current = chains(base[1], engine) if base else {}, None
    for line in text.splitlines():
        words = line.split()
        if not words:
            current = None
            continue
        if words[0] == "variant":
            break
        if words[0] in ("body", "insert", "tube", "moving"):
            current = found["body" if words[0] == "body" else words[1]] = []
        elif words[0] in ("step", "groove") and current is not None:
            values = {}
            for key in ("length", "dia", "bore", "floor"):
                told = re.search(rf"\b{key} +(\S+(?: mm)?)(?: ± \S+ mm)?(?: to (\S+ mm))?", line)
                if told:
                    ends = [size(told[1]), size(told[2] or told[1])]
                    values[key] = ends[0] if key == "length" else [end / 2 for end in ends]
            last = current[-1] if current else None
            ring = None
            if words[0] == "groove":
                values["dia"], values["bore"] = last.outside, last.bore
                ring = values["floor"][0]
            start = last.end if last else 0.0
            name = words[1] if words[1] != "length" else ""
            bore = values.get("bore")
            piece = Piece(name, start, start + values["length"], values.get("dia"), bore, ring)
            current.append(piece)
    return found


def solid(chain, at):
    pieces = []
    for piece in chain:
        low = piece.bore or [0.0, 0.0]
        start, end = at + piece.start, at + piece.end
        high = piece.outside
        pieces.append(Polygon([(start, low[0]), (end, low[1]), (end, high[1]), (start, high[0])]))
    return unary_union(pieces)


def cuts(chain, at, is_bored):
    """Across the clearance of each ring: inside of its groove where that is cut from inside."""
    lines = []
    for piece in chain:
        if piece.ring:
            x = at + (piece.start + piece.end) / 2
            edge = piece.bore[1] if is_bored else piece.outside[1]
            lines.append(LineString([(x, edge - BEYOND), (x, edge + BEYOND)]))
    return lines


def end(chain, name):
    return next(piece.end for piece in chain if piece.name == name)


def start(chain, name):
    return next(piece.start for piece in chain if piece.name == name)


def rooms(engine, inserts, moving, spots, tube="body"):
    """Volumes of the rooms of a tube of the body that hold these spots; `inserts` and `moving` say
    where each stands."""
    all_chains = chains(engine, engine)
    void = []
    for piece in (it for it in all_chains[tube] if it.bore):
        ends, high = (piece.start, piece.end), piece.bore
        void.append(Polygon([(ends[0], 0), (ends[1], 0), (ends[1], high[1]), (ends[0], high[0])]))
    void = unary_union(void)
    lines = cuts(all_chains[tube], 0.0, True)
    for name, place in [*inserts.items(), *moving.items()]:
        at = place(all_chains)
        void = void.difference(solid(all_chains[name], at))
        lines += cuts(all_chains[name], at, name in inserts)
    pieces = list(getattr(void, "geoms", [void]))
    for line in lines:
        pieces = [part for piece in pieces for part in split(piece, line).geoms]
    for room, places in spots.items():
        own = [next(piece for piece in pieces if piece.contains(Point(place))) for place in places]
        print(engine, room, repr(sum(2 * math.pi * it.centroid.y * it.area for it in own)))


def sleeve(all_chains):
    return start(all_chains["body"], "wall") - end(all_chains["sleeve"], "flange")


print("# Made by engines.py (shapely): engine, room, volume in mm3.")
rooms(
    "hazel",
    {},
    {"spool": lambda all_chains: end(all_chains["body"], "cap")},
    {"rear_room": [(9.0, 7.0)], "store": [(45.0, 10.0)]},
)
rooms(
    "ash",
    {"sleeve": sleeve},
    {
        "switch": lambda all_chains: sleeve(all_chains) - end(all_chains["switch"], "shoulder"),
        "bolt": lambda all_chains: 69.3,
    },
    {
        "switch_room": [(8.0, 6.0)],
        # A stop does not seal: what lies behind it, up to the ring, belongs to the store.
        "store": [(40.0, 12.0), (25.0, 4.77)],
        "tube": [(40.0, 2.0)],
        "sail_room": [(78.0, 5.8)],
        "spring_room": [(140.0, 8.0)],
    },
)
rooms(
    "rowan",
    {"sleeve": sleeve},
    {
        "switch": lambda all_chains: sleeve(all_chains) - end(all_chains["switch"], "shoulder"),
        "bolt": lambda all_chains: 31.7,
    },
    {
        "switch_room": [(8.0, 6.0)],
        # A stop does not seal: what lies behind it, up to the ring, belongs to the store.
        "store": [(40.0, 12.0), (25.0, 4.77)],
        "tube": [(29.0, 2.0)],
        "sail_room": [(70.0, 5.5)],
        "spring_room": [(140.0, 5.5)],
    },
)


def on_its_seat(all_chains):
    """The cone of the poppet touches the edge of the seat's bore."""
    cone = next(piece for piece in all_chains["poppet"] if piece.name == "cone")
    seat = next(piece for piece in all_chains["body"] if piece.name == "seat")
    low, high = cone.outside
    share = (seat.bore[1] - low) / (high - low)
    return seat.end - (cone.start + share * (cone.end - cone.start))


rooms(
    "oak",
    {},
    {"hammer": lambda all_chains: 34.3, "poppet": on_its_seat},
    {"store": [(150.0, 8.0)], "chest": [(117.0, 5.0)], "recoil": [(80.0, 5.0)]},
)
rooms(
    "larch",
    {},
    {"bolt": lambda all_chains: end(all_chains["body"], "cap")},
    {"head": [(5.0, 5.0)]},
)
rooms(
    "larch",
    {},
    {"pulse": lambda all_chains: end(all_chains["side"], "lid")},
    {
        "pilot_room": [(5.0, 5.0)],
        "line": [(33.0, 5.5)],
        "outlet": [(58.0, 6.5)],
        # The drilled spool opens into the clearance between its two rings by a hole.
        "dose": [(75.0, 5.0), (15.0, 6.1)],
    },
    "side",
)

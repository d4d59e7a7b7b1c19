"""Products, quotients, sums and powers of every kind, worked out by pint on absolute SI.

Each row: a formula of this program; its value with every pressure counted from vacuum; its value with every
pressure that is written gauge or vacuum counted from the ambient (what pushes on a wall). Pressures are written
gauge, absolute or as a vacuum at random, factors stand in random order and brackets."""

import random

import pint

random.seed(20)
U = pint.UnitRegistry()
AMBIENT = 101325.0


class Term:
    def __init__(self, text, absolute, pushed=None):
        self.text, self.absolute = text, absolute
        self.pushed = absolute if pushed is None else pushed


def number(low, high):
    return round(random.uniform(low, high), 2)


def pressure():
    bar = number(0.2, 12)
    whole = U.Quantity(bar * 1e5, "Pa")
    above = U.Quantity(bar * 1e5 - AMBIENT, "Pa")
    way = random.choice("gga")
    if way == "a":
        return Term(f"{bar} bar absolute", whole)
    gauge = round(bar * 1e5 - AMBIENT, 3)
    if gauge < 0:
        return Term(f"{-gauge:.3f} Pa vacuum", whole, above)
    return Term(f"{gauge:.3f} Pa gauge", whole, above)


def plain(unit, code, low=0.5, high=50):
    n = number(low, high)
    return Term(f"{n} {code}", U.Quantity(n, unit).to_base_units())


LEAVES = [
    lambda: plain("bar", "bar difference"),
    lambda: plain("cm**3", "cm3"),
    lambda: plain("cm**3", "cm3"),
    lambda: plain("inch**3", "in3"),
    lambda: plain("mm**2", "mm2"),
    lambda: plain("mm", "mm"),
    lambda: plain("gram", "g"),
    lambda: plain("ms", "ms"),
    lambda: plain("N", "N"),
    lambda: plain("J", "J"),
    lambda: plain("N*m", "N·m"),
    lambda: plain("liter", "l ANR"),
    lambda: plain("liter/min", "l/min ANR"),
    lambda: plain("kelvin", "K", 200, 400),
    lambda: plain("rad/s", "rad/s"),
    lambda: Term(str(n := number(0.5, 4)), U.Quantity(n, "")),
    lambda: Term(f"{(n := number(5, 90))} %", U.Quantity(n / 100, "")),
]


def times(a, b):
    return Term(f"({a.text} * {b.text})", a.absolute * b.absolute, a.pushed * b.pushed)


def over(a, b):
    # A blank before the slash, so that no unit goes on behind it.
    return Term(f"({a.text} / {b.text})", a.absolute / b.absolute, a.pushed / b.pushed)


def plus(a, b, sign):
    word = "+" if sign > 0 else "-"
    return Term(
        f"({a.text} {word} {b.text})", a.absolute + sign * b.absolute, a.pushed + sign * b.pushed
    )


def chain(above, below):
    """One product in random order and brackets."""
    above, below = above[:], below[:]
    random.shuffle(above)
    random.shuffle(below)
    found = above.pop()
    while above or below:
        if above and (not below or random.random() < 0.5):
            factor = above.pop()
            found = times(found, factor) if random.random() < 0.5 else times(factor, found)
        elif above and random.random() < 0.4:
            found = times(found, over(above.pop(), below.pop()))
        elif len(below) > 1 and random.random() < 0.4:
            found = over(found, times(below.pop(), below.pop()))
        else:
            found = over(found, below.pop())
    return found


def formula():
    leaf = lambda: random.choice(LEAVES)()
    shape = random.randrange(9)
    if shape == 0:  # anything
        return chain([leaf() for _ in range(random.randint(1, 3))] + [pressure()], [leaf() for _ in range(random.randint(0, 2))])
    if shape == 1:  # a pressure in proportion
        other = random.choice(LEAVES[1:])
        return chain([pressure(), other()], [other()])
    if shape == 2:  # of several pressures
        return chain([pressure(), pressure()] + [leaf()], [pressure()])
    if shape == 3:  # a sum of two products
        a, b = random.choice(LEAVES[1:]), random.choice(LEAVES[1:])
        one, two = a(), b()
        left, right = chain([pressure(), one], [two]), chain([pressure(), one], [two])
        return over(plus(left, right, random.choice([1, -1])), leaf())
    if shape == 4:  # a mean, a weighted mean, an extrapolation
        w = number(-0.5, 1.5)
        return plus(
            times(Term(f"{w}", U.Quantity(w, "")), pressure()),
            times(pressure(), Term(f"{1 - w:.2f}", U.Quantity(round(1 - w, 2), ""))), 1)
    if shape == 5:  # a push
        return chain([pressure(), LEAVES[4]()], [])
    if shape == 6:  # balance of pushes
        area = LEAVES[4]()
        return plus(times(pressure(), LEAVES[4]()), times(area, pressure()), random.choice([1, -1]))
    if shape == 7:  # powers
        a = chain([pressure(), leaf()], [leaf()])
        n = random.choice([2, -1, 3])
        b = Term(f"{a.text}^{n}" if n > 0 else f"{a.text}^({n})", a.absolute**n, a.pushed**n)
        return over(b, pressure()) if random.random() < 0.5 else b
    a, b = pressure(), pressure()
    root = times(a, b)
    return times(
        Term(f"sqrt({root.text})", root.absolute**0.5, abs(root.pushed) ** 0.5), leaf())


for _ in range(9000):
    found = formula()
    absolute, pushed = found.absolute.to_base_units(), found.pushed.to_base_units()
    print(f"{found.text}\t{absolute.magnitude!r}\t{pushed.magnitude!r}")

"""The brewing arithmetic once more, in decimals of 40 digits and by bisection.

Prints lines "name TAB arguments separated by blanks TAB value", which test_oracles.c compares with
the library. The equations are those of lib/equations.c, typed in again.
"""

from decimal import Decimal as D, getcontext

getcontext().prec = 40


def water(t):
    above = (D("999.83952") + D("16.952577") * t - D("7.9905127e-3") * t**2
             - D("46.241757e-6") * t**3 + D("105.84601e-9") * t**4 - D("281.03006e-12") * t**5)
    return above / (1 + D("16.887236e-3") * t)


SUCROSE = [
    "385.1761 135.3705 40.9299 -3.9643 13.4853 -17.2890",
    "-46.2720 -7.1720 1.1597 5.1126 17.5254",
    "59.7712 7.2491 12.3630 -35.4791",
    "-47.2207 -21.6977 27.6301",
    "18.3184 12.3081",
]


def density(plato, t):
    w, x = plato / 100, (t - 20) / 100
    total, weight = water(t), D(1)
    for row in SUCROSE:
        for i, k in enumerate(row.split()):
            total += weight * D(k) * w ** (i + 1)
        weight *= x
    return total


def solve(f, target, low, high):
    """Where f, which rises, comes to target."""
    for _ in range(130):
        middle = (low + high) / 2
        if f(middle) < target:
            low = middle
        else:
            high = middle
    return low


def sg(plato, t):
    return (density(plato, t) - D("1.2")) / (water(t) - D("1.2"))


def hydrometer(read, t, ref):
    target = density(read, ref) / (1 + D("25e-6") * (t - ref))
    return solve(lambda p: density(p, t), target, D(-10), D(50))


def henry(t):
    k = t + D("273.15")
    return (D("-6.8346") + D("1.2817e4") / k - D("3.7668e6") / k**2 + D("2.997e8") / k**3).exp()


def ln_phi(t):
    k = t + D("273.15")
    r = D("304.13") / k
    simple = (D("0.1445") - D("0.330") * r - D("0.1385") * r**2 - D("0.0121") * r**3
              - D("0.000607") * r**8)
    shape = D("0.0637") + D("0.331") * r**2 - D("0.423") * r**3 - D("0.008") * r**8
    return (simple + D("0.2239") * shape) * D("304.13") / (D("7.3773") * k)


def fraction(t, bar):
    mpa = bar / 10
    return mpa * (ln_phi(t) * mpa).exp() / henry(t)


def ethanol():
    a = ("998.20123 -192.9769495 389.1238958 -1668.103923 13522.15441 -88292.78388 306287.4042 "
         "-613838.1234 747017.2998 -547846.1354 223446.0334 -39032.85426")
    return sum(D(k) for k in a.split())


def volume(original, apparent):
    real = D("0.1808") * original + D("0.8192") * apparent
    mass = (original - real) / (D("2.0665") - D("0.010665") * original)
    return mass * density(apparent, D(20)) / ethanol()


def show(name, value, *arguments):
    print(name, " ".join(str(a) for a in arguments), format(value, ".17g"), sep="\t")


for sg_text in ("0.9881", "0.9999", "1.0001", "1.0104", "1.048", "1.0923", "1.17"):
    target = D(sg_text)
    show("plato", solve(lambda p: sg(p, D(20)), target, D(-10), D(50)), target)
for plato in (D("-3.5"), D("-0.3"), D("2.4"), D("12.1"), D("27.3"), D("39.9")):
    for t in (D(0), D("4.5"), D("15.25"), D("38.5")):
        show("density", density(plato, t), plato, t)
for read in (D("-1.2"), D("2.5"), D("11.9"), D("19.75")):
    for t in (D("1.5"), D("11"), D("25"), D("39")):
        show("hydrometer", hydrometer(read, t, D(20)), read, t, 20)
for t in (D(0), D("3.3"), D("21")):
    for bar in (D("0.4"), D("2.2"), D("9.5")):
        show("fraction", fraction(t, bar), t, bar)
for original, apparent in (("12.1", "2.5"), ("4", "1.2"), ("28", "7"), ("11", "-0.8")):
    show("volume", volume(D(original), D(apparent)), original, apparent)

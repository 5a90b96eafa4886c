"""The fits of tests/bench/fits by scipy: reads its data, writes SHAPE READINGS, then microseconds and the sum of
squares left for each of three ways: MINPACK with derivatives by differences, as curve_fit is mostly called; with
exact ones; and with exact ones within bounds (trust region), as ours are. Exit status 3 without scipy.

The start is given, near the truth; ours finds its own. curve_fit stops when the sum of squares changes by less than
1.5e-8 of itself; ours when it could still fall by 1e-6 p / (n - p), and takes that step too."""
import sys
import time
import warnings

try:
    import numpy as np
    from scipy.optimize import curve_fit
    from scipy.special import lambertw
except ImportError:
    sys.exit(3)


def exponential(t, start, end, half):
    return end + (start - end) * np.exp2(-t / half)


def exponential_jac(t, start, end, half):
    f = np.exp2(-t / half)
    return np.column_stack((f, 1 - f, (start - end) * f * np.log(2) * t / half**2))


def logistic(t, start, end, half, rate):
    return end + (start - end) / (1 + np.exp(rate * (t - half)))


def logistic_jac(t, start, end, half, rate):
    f = 1 / (1 + np.exp(rate * (t - half)))
    slope = -(start - end) * f * (1 - f)
    return np.column_stack((f, 1 - f, -slope * rate, slope * (t - half)))


def asymmetric(t, start, end, half, rate, log_s):
    s = np.exp(log_s)
    b = rate / (2 * s * (1 - 2 ** (-1 / s)))
    return end + (start - end) * (1 + (2 ** (1 / s) - 1) * np.exp(b * (t - half))) ** -s


def asymmetric_jac(t, start, end, half, rate, log_s):
    s, root = np.exp(log_s), 2 ** np.exp(-log_s)
    slope = 2 * s * (1 - 1 / root)
    b = rate / slope
    x = b * (t - half)
    e = (root - 1) * np.exp(x)
    f, gone = (1 + e) ** -s, e / (1 + e)
    scaled = -(start - end) * f * s
    by_tail = -np.log(2) * root / (s * (root - 1)) + x * (2 * np.log(2) / (root * slope) - 1)
    return np.column_stack((f, 1 - f, -scaled * gone * b, scaled * gone * x / rate,
                            scaled * (gone * by_tail + np.log1p(e))))


def monod_parts(t, half, rate, log_k, log_c):
    k, c = np.exp(log_k), np.exp(log_c)
    y_half = c * (0.5 + k * np.log(2))
    a = c * rate * (0.5 + k) / (2 * -np.expm1(-y_half))
    x = a * (t - half)
    y = np.logaddexp(0, x + np.log(np.expm1(y_half)))
    return k, c, a, x, y_half, y, k * np.real(lambertw(np.exp((1 - y / c) / k) / k))


def monod(t, start, end, half, rate, log_k, log_c):
    return end + (start - end) * monod_parts(t, half, rate, log_k, log_c)[-1]


def monod_jac(t, start, end, half, rate, log_k, log_c):
    k, c, a, x, y_half, y, f = monod_parts(t, half, rate, log_k, log_c)
    grown, at_half = -np.expm1(-y), -np.expm1(-y_half)
    rest = (1 - at_half) / at_half
    by_u = (start - end) * f / (f + k)
    slope = -by_u * grown / c
    by_k = slope * (c * k * np.log(2) / at_half + x * (k / (0.5 + k) - rest * c * k * np.log(2)))
    by_c = slope * (y_half / at_half + x * (1 - rest * y_half)) + by_u * y / c
    return np.column_stack((f, 1 - f, -slope * a, slope * x / rate, by_k - by_u * k * np.log(f), by_c))


SHAPES = {
    "exponential": (exponential, exponential_jac, []),
    "logistic": (logistic, logistic_jac, [0.08]),
    "asymmetric": (asymmetric, asymmetric_jac, [0.08, 0.0]),
    "monod": (monod, monod_jac, [0.08, -2.0, 1.5]),
}

LOW = [0, -10, 1, 1e-4, -5, -1]
HIGH = [40, 20, 1000, 10, 3.5, 4]


def microseconds(model, t, y, start, **how):
    """The least of five rounds, and the sum of squares that is left; dashes where there is no fit."""
    best = float("inf")
    try:
        for _ in range(5):
            begun = time.process_time()
            for _ in range(4):
                theta, _ = curve_fit(model, t, y, p0=start, **how)
            best = min(best, (time.process_time() - begun) / 4)
    except (RuntimeError, ValueError):
        return "- -"
    return "%.0f %.9g" % (1e6 * best, np.sum((model(t, *theta) - y) ** 2))


warnings.simplefilter("ignore")
lines = iter(sys.stdin.read().splitlines())
for head in lines:
    name, count = head.split()
    t, y = (np.array(next(lines).split(), float) for _ in range(2))
    model, jac, more = SHAPES[name]
    start = [y.max(), y.min(), 45.0] + more
    bounds = (LOW[: len(start)], HIGH[: len(start)])
    print(name, count, microseconds(model, t, y, start), microseconds(model, t, y, start, jac=jac),
          microseconds(model, t, y, start, jac=jac, bounds=bounds))

"""Makes expected.json: what a general-purpose numerical library says of some short series.

The tests of package series read the stored file, so this is only run when a function or a series is added:

    apt-get install python3-numpy python3-scipy
    /usr/bin/python3 testdata/scipy/expected.py

Inputs are rounded first, so that the few digits in the file are exactly what the answers were computed from.
"""

import json
import pathlib
import platform

import numpy as np
import scipy
from scipy import integrate, ndimage, signal, stats


def inputs():
    """Series like those that the program meets: a push, its noise, slow waver, flat tops and ties."""
    rng = np.random.default_rng(20240611)
    t = np.linspace(0, 1, 120)
    push = 1500 * np.sin(np.pi * t) ** 0.7 - 260 * np.exp(-(((t - 0.5) / 0.1) ** 2))
    walk = np.cumsum(rng.normal(0, 1, 90))
    made = {
        "two humps": push,
        "two humps, noisy": push + rng.normal(0, 15, t.size),
        "noise": rng.normal(700, 3, 100),
        "walk": walk,
        "flat tops": np.array([0, 2, 2, 2, 1, 3, 3, 0, 0, 4, 4, 4, 4, 2, 2, 5, 5, 5], float),
        "ties": rng.integers(0, 4, 80).astype(float),
        "dip, noisy": 0.4 * (np.arange(25) - 9.3) ** 2 + rng.normal(0, 1, 25),
        "falling": np.linspace(10, -10, 30),
        "one peak": np.array([0.0, 1.0, 0.0]),
        "odd count": rng.normal(0, 1, 31),
        "heavy tails": stats.t(2).rvs(61, random_state=rng) * 5,
    }
    return {name: np.round(x, 4) for name, x in made.items()}


def held(x, at):
    """Straight-line interpolation, held at the ends."""
    return float(np.interp(at, np.arange(len(x)), x))


def between(x, a, b, dt):
    """The trapezoid rule on the samples between two positions and the interpolated ends."""
    a, b = max(0.0, a), min(len(x) - 1.0, b)
    if b <= a:
        return 0.0
    grid = np.array([a, *np.arange(np.floor(a) + 1, np.ceil(b)), b])
    return float(integrate.trapezoid(np.interp(grid, np.arange(len(x)), x), grid * dt))


def peaks(x):
    at, found = signal.find_peaks(x, prominence=0)
    return {"at": at.tolist(), "prominence": found["prominences"].tolist()}


def vertex(x):
    """The turning point of the least-squares parabola and its leading coefficient."""
    c, b, _ = np.polyfit(np.arange(len(x)), x, 2)
    return {"at": float(-b / (2 * c)), "opens": float(c)}


def moving(x, half):
    """The centred moving mean; the library's own filter inside, the mean of what is there at the ends."""
    y = ndimage.uniform_filter1d(x, 2 * half + 1, mode="constant")
    for i in [*range(half), *range(len(x) - half, len(x))]:
        y[i] = np.mean(x[max(0, i - half) : i + half + 1])
    return np.round(y, 10).tolist()


def mid_shorth(x):
    s, h = np.sort(x), len(x) // 2 + 1
    widths = s[h - 1 :] - s[: len(s) - h + 1]
    first = int(np.argmin(widths))
    return float(np.median(s[first : first + h]))


def answers(x):
    dt = 0.002
    spans = [(0, len(x) - 1), (0.25, 1.75), (1.2, 1.7), (-3, len(x) + 3), (0.5, len(x) - 1.25), (2, 2), (1.5, 0.5)]
    places = [-1, 0, 0.3, 1, 1.999, len(x) - 1.5, len(x) - 1, len(x) + 4]
    shares = [0, 0.05, 0.25, 0.5, 0.77, 0.995, 1]
    return {
        "x": x.tolist(),
        "mean": float(np.mean(x)),
        "sd": float(np.std(x, ddof=1)),
        "median": float(np.median(x)),
        "mad": float(stats.median_abs_deviation(x, scale="normal")),
        "quantiles": [[p, float(np.quantile(x, p))] for p in shares],
        "peaks": peaks(x),
        "dt": dt,
        "cumulative": np.round(integrate.cumulative_trapezoid(x, dx=dt, initial=0), 12).tolist(),
        "between": [[a, b, between(x, a, b, dt)] for a, b in spans],
        "at": [[p, held(x, p)] for p in places],
        "vertex": vertex(x),
        "half": 3,
        "moving": moving(x, 3) if len(x) >= 7 else None,
        "white_sd": float(np.sqrt(np.mean(np.diff(x, 2) ** 2) / 6)),
        "mid_shorth": mid_shorth(x),
    }


def drift():
    """A plate that drifts: block means, their regression on time and the 95 % half-width of the slope, a minute."""
    rng = np.random.default_rng(7)
    rate, blocks = 50, 20
    x = np.round(2 + 0.05 * np.arange(400) / rate + rng.normal(0, 0.8, 400), 2)
    means = x.reshape(blocks, -1).mean(axis=1)
    fit = stats.linregress((np.arange(blocks) + 0.5) * len(x) / blocks / rate, means)
    half = stats.t(blocks - 2).ppf(0.975) * fit.stderr
    return {"x": x.tolist(), "rate_hz": rate, "slope_per_min": 60 * fit.slope, "half_per_min": 60 * half}


def main():
    out = {
        "made_by": {"python": platform.python_version(), "numpy": np.__version__, "scipy": scipy.__version__},
        "mad_factor": float(1 / stats.norm.ppf(0.75)),
        "series": {name: answers(x) for name, x in inputs().items()},
        "drift": drift(),
    }
    path = pathlib.Path(__file__).with_name("expected.json")
    path.write_text(json.dumps(out, indent=None, separators=(",", ":")).replace('],"', '],\n"') + "\n")


if __name__ == "__main__":
    main()

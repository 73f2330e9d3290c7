"""Reference numbers for the trend, the chances and the quantiles.

Run with Python 3 and the versions printed into the file:
    python trend.py > trend.json

The transition and noise of a gap come from a matrix exponential (Van Loan 1978), the filter and the
smoother from statsmodels' state-space code, the chances from scipy: three routes that share no code
with the program.
"""

import json
import platform

import numpy
import scipy
import scipy.linalg
import scipy.stats
import statsmodels
from statsmodels.tsa.statespace.mlemodel import MLEModel

WANDER, DRIFT, FADING = 0.005, 0.0015, 12.0


def over(weeks):
    """Transition and noise of d level = drift dt + wander dW, d drift = -drift / fading dt + s dW."""
    a = numpy.array([[0.0, 1.0], [0.0, -1.0 / FADING]])
    q = numpy.diag([WANDER**2, 2.0 * DRIFT**2 / FADING])
    block = numpy.zeros((4, 4))
    block[:2, :2], block[:2, 2:], block[2:, 2:] = -a, q, a.T
    e = scipy.linalg.expm(block * weeks)
    transition = e[2:, 2:].T
    return transition, transition @ e[:2, 2:]


def smooth(days, values, errors, start_mean, start_cov):
    n = len(days)
    endog = numpy.array([numpy.nan if v is None else v for v in values])
    model = MLEModel(endog[:, None], k_states=2, k_posdef=2)
    model["design"] = numpy.array([[1.0, 0.0]])
    model["selection"] = numpy.eye(2)
    transition, noise = numpy.zeros((2, 2, n)), numpy.zeros((2, 2, n))
    for at in range(n - 1):
        transition[:, :, at], noise[:, :, at] = over((days[at + 1] - days[at]) / 7.0)
    transition[:, :, n - 1], noise[:, :, n - 1] = numpy.eye(2), numpy.eye(2) * 1e-12
    model["transition"], model["state_cov"] = transition, noise
    model["obs_cov"] = numpy.array([[[e**2 if e else 1.0 for e in errors]]]).reshape(1, 1, n)
    model.ssm.initialize_known(numpy.array(start_mean), numpy.array(start_cov))
    found = model.ssm.smooth()
    return {
        "filtered": [
            {"mean": found.filtered_state[:, t].tolist(), "covariance": found.filtered_state_cov[:, :, t].tolist()}
            for t in range(n)
        ],
        "smoothed": [
            {"mean": found.smoothed_state[:, t].tolist(), "covariance": found.smoothed_state_cov[:, :, t].tolist()}
            for t in range(n)
        ],
    }


def change(days, values, errors, start_mean, start_cov, earlier, later):
    """Level on one step less level on another, by conditioning the joint normal of all states."""
    n = len(days)
    mean, cov = [numpy.array(start_mean)], [[numpy.array(start_cov)]]
    steps = [over((days[t] - days[t - 1]) / 7.0) for t in range(1, n)]
    big_mean, big = numpy.zeros(2 * n), numpy.zeros((2 * n, 2 * n))
    m, p = numpy.array(start_mean), numpy.array(start_cov)
    big_mean[:2], big[:2, :2] = m, p
    for t, (f, q) in enumerate(steps, start=1):
        m = f @ m
        here = slice(2 * t, 2 * t + 2)
        big_mean[here] = m
        for s in range(t):
            there = slice(2 * s, 2 * s + 2)
            big[here, there] = f @ big[slice(2 * t - 2, 2 * t), there]
            big[there, here] = big[here, there].T
        last = slice(2 * t - 2, 2 * t)
        big[here, here] = f @ big[last, last] @ f.T + q
    seen = [t for t in range(n) if values[t] is not None]
    h = numpy.zeros((len(seen), 2 * n))
    for row, t in enumerate(seen):
        h[row, 2 * t] = 1.0
    r = numpy.diag([errors[t] ** 2 for t in seen])
    y = numpy.array([values[t] for t in seen])
    gain = big @ h.T @ numpy.linalg.inv(h @ big @ h.T + r)
    post_mean = big_mean + gain @ (y - h @ big_mean)
    post = big - gain @ h @ big
    c = numpy.zeros(2 * n)
    c[2 * later], c[2 * earlier] = 1.0, -1.0
    return {"earlier": earlier, "later": later, "mean": float(c @ post_mean), "sd": float(numpy.sqrt(c @ post @ c))}


def main():
    days = [0, 44, 58, 117, 139, 203, 230]
    speeds = [4.31, 4.36, None, 4.44, 4.39, 4.52, None]
    errors = [0.026, 0.02, None, 0.03, 0.02, 0.02, None]
    values = [None if v is None else float(numpy.log(v)) for v in speeds]
    start_mean, start_cov = [float(numpy.log(4.31)), 0.0], [[0.25, 0.0], [0.0, DRIFT**2]]
    run = {"days": days, "values": values, "errors": errors, "start_mean": start_mean, "start_covariance": start_cov}
    run.update(smooth(days, values, errors, start_mean, start_cov))
    run["changes"] = [
        change(days, values, errors, start_mean, start_cov, a, b) for a, b in [(0, 5), (2, 5), (1, 4), (5, 6)]
    ]
    gaps = []
    for weeks in [0.5, 1.0, 6.0, 26.0]:
        f, q = over(weeks)
        gaps.append({"weeks": weeks, "transition": f.tolist(), "noise": q.tolist()})
    chances = []
    for seen, te, n1, n2 in [(3, 2.0, 1, 1), (-3, 2.0, 1, 1), (2, 4.0, 2, 1), (0, 2.4, 1, 1), (5.5, 2.4, 3, 2), (1, 2.0, 1, 1)]:
        se = te * (1.0 / n1 + 1.0 / n2) ** 0.5
        chances.append({
            "change_percent": seen, "typical_error_percent": te, "before": n1, "after": n2, "standard_error_percent": se,
            "better": float(scipy.stats.norm.sf(1.0, seen, se)), "worse": float(scipy.stats.norm.cdf(-1.0, seen, se)),
        })
    print(json.dumps({
        "made_by": {"python": platform.python_version(), "numpy": numpy.__version__, "scipy": scipy.__version__, "statsmodels": statsmodels.__version__},
        "run": run, "gaps": gaps, "chances": chances,
    }, indent=1))


main()

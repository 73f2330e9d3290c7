"""The exact optima of random small squads, by a general-purpose solver (scipy.optimize.milp, HiGHS).

    python3 tests/reference/plans.py > tests/reference/plans.json

The hard rules are written here from the program's design, not from its code. Three solves a squad, each
with the value of the one before held: the greatest sum of weights; then the smallest sum of days from the
first meeting; then the smallest sum of squares of the numbers a day.
"""

import datetime as dt
import json
import platform
import random
import sys

import numpy as np
import scipy
from scipy.optimize import Bounds, LinearConstraint, milp

SQUADS = 260
SEED = 20261126
TODAY = dt.date(2026, 11, 26)
KINDS = (5, 20, 40)
# a first 20-minute test of somebody without zones goes before any number of others
WEIGHTS = {"first zones": 649, "overdue": 8, "never tested": 6, "due": 3, "fresh": 0}


def day(offset):
    return (TODAY + dt.timedelta(days=offset)).isoformat()


def of(text):
    return dt.date.fromisoformat(text)


def draw(rng):
    """A squad: the same shape as the tests read."""
    dates = sorted(rng.sample(range(0, 40), rng.randint(1, 6)))
    meetings = [{"on": day(d), "capacity": rng.randint(1, 5)} for d in dates]
    athletes = [draw_athlete(rng, dates) for _ in range(rng.randint(1, 14))]
    return {"today": day(0), "meetings": meetings, "athletes": athletes}


def draw_athlete(rng, dates):
    age = rng.choice([13, 15, 15, 17, 22, 35, 51])
    born = day(-age * 365 - rng.randint(0, 300))
    cleared = rng.choice([-30, -200, -350, -340, -400]) if rng.random() < 0.4 else -rng.randint(1, 300)
    screening = {"cleared": day(cleared)}
    if rng.random() < 0.06:
        screening = {"hold": True}
    elif rng.random() < 0.06:
        screening = {"not_asked": True}
    aways = []
    if rng.random() < 0.35:
        start = rng.randint(-60, 30)
        end = start + rng.randint(0, 50) if rng.random() < 0.85 else None
        kind = rng.choice(["injury", "illness", "holiday", "camp"])
        well = None
        if kind in ("injury", "illness") and end is not None and rng.random() < 0.7:
            well = day(end + rng.randint(0, 20))
        aways.append({"kind": kind, "from": day(start), "to": None if end is None else day(end), "well_on": well})
    races = []
    if rng.random() < 0.45:
        metres = rng.choice([3000, 5000, 10000, 15000, 21097.5, 42195])
        races.append({"on": day(rng.randint(-20, 45)), "metres": metres, "goal": rng.random() < 0.5})
    last = {}
    for kind in KINDS:
        if rng.random() < 0.75:
            last[kind] = -rng.randint(1, 90)
    if 40 in last and 20 not in last:
        last[20] = last[40] - 3
    run = [{"minutes": kind, "on": day(on)} for kind, on in last.items()]
    fixed = []
    if rng.random() < 0.12 and dates:
        fixed.append({"minutes": rng.choice([5, 20]), "on": day(rng.choice(dates))})
    target_from = day(last[20]) if 20 in last else None
    return {
        "born": born,
        "consent": day(-100) if rng.random() < 0.8 else None,
        "screening": screening,
        "aways": aways,
        "races": races,
        "run": run,
        "target_from": target_from,
        "fixed": fixed,
    }


def state(athlete, kind, today):
    on = [of(run["on"]) for run in athlete["run"] if run["minutes"] == kind]
    if not on:
        return "first zones" if kind == 20 and athlete["target_from"] is None else "never tested"
    weeks = (today - max(on)).days
    return "fresh" if weeks < 28 else "due" if weeks <= 56 else "overdue"


def age_on(born, on):
    return on.year - born.year - ((on.month, on.day) < (born.month, born.day))


def cleared(athlete, on):
    screening = athlete["screening"]
    if "cleared" not in screening:
        return False
    since = of(screening["cleared"])
    # twelve months on; the 29th of February lapses on the 28th
    try:
        lapses = since.replace(year=since.year + 1)
    except ValueError:
        lapses = since.replace(year=since.year + 1, day=28)
    if on >= lapses:
        return False
    return age_on(of(athlete["born"]), on) >= 18 or athlete["consent"] is not None


def away(athlete, on):
    for span in athlete["aways"]:
        start, end = of(span["from"]), span["to"] and of(span["to"])
        if start > on:
            continue
        if end is None or on <= end:
            return True
        if span["kind"] in ("injury", "illness"):
            back = end + dt.timedelta(days=1)
            wait = min(max((back - start).days // 2, 14), 42)
            if span["well_on"] is None or on < max(back + dt.timedelta(days=wait), of(span["well_on"])):
                return True
    return False


def apart_days(athlete, on):
    return 3 if age_on(of(athlete["born"]), on) < 16 else 2


def race_forbids(athlete, kind, on):
    for race in athlete["races"]:
        then, metres = of(race["on"]), race["metres"]
        after = 4 if metres <= 10_000 else 10 if metres <= 21_097.5 else 21
        gap = (on - then).days
        if 0 <= gap < after:
            return True
        if gap < 0 and kind != 40:
            if race["goal"] and -gap <= 7:
                return True
            if -gap < apart_days(athlete, on):
                return True
    return False


def clash(athlete, one, other):
    """Whether two tests, each (minutes, date), may not both stand."""
    (kind, on), (other_kind, then) = one, other
    if on == then:
        return True
    if 40 in (kind, other_kind):
        return False
    return abs((on - then).days) < apart_days(athlete, min(on, then))


def optimum(squad):
    today = of(squad["today"])
    dates = [of(m["on"]) for m in squad["meetings"]]
    variables, weights, days = [], [], []
    for a, athlete in enumerate(squad["athletes"]):
        stands = [(f["minutes"], of(f["on"])) for f in athlete["fixed"]]
        run = [(r["minutes"], of(r["on"])) for r in athlete["run"]]
        for kind in KINDS:
            weight = WEIGHTS[state(athlete, kind, today)]
            if weight == 0 or any(kind == fixed for fixed, _ in stands):
                continue
            for d, on in enumerate(dates):
                test = (kind, on)
                if on < today or not cleared(athlete, on) or away(athlete, on) or race_forbids(athlete, kind, on):
                    continue
                if any(clash(athlete, test, other) for other in stands + run):
                    continue
                variables.append((a, kind, d))
                weights.append(weight)
                days.append((on - dates[0]).days)
    count, slots = len(variables), []
    taken = [sum(of(f["on"]) == on for a in squad["athletes"] for f in a["fixed"]) for on in dates]
    room = [max(0, m["capacity"] - t) for m, t in zip(squad["meetings"], taken)]
    for d in range(len(dates)):
        slots += [(d, n) for n in range(room[d])]
    if count == 0:
        return 0, 0, sum(t * t for t in taken)
    width = count + len(slots)
    rows, low, high = [], [], []

    def add(entries, least, most):
        row = np.zeros(width)
        for index, value in entries:
            row[index] += value
        rows.append(row)
        low.append(least)
        high.append(most)

    def where(a=None, kind=None, d=None):
        return [
            i
            for i, v in enumerate(variables)
            if (a is None or v[0] == a) and (kind is None or v[1] == kind) and (d is None or v[2] == d)
        ]

    for a, athlete in enumerate(squad["athletes"]):
        for kind in KINDS:
            add([(i, 1) for i in where(a, kind)], 0, 1)
        own = where(a)
        for i in own:
            for j in own:
                one, other = variables[i], variables[j]
                if i < j and clash(athlete, (one[1], dates[one[2]]), (other[1], dates[other[2]])):
                    add([(i, 1), (j, 1)], 0, 1)
        for i in where(a, 40):
            on = dates[variables[i][2]]
            has = athlete["target_from"] is not None and of(athlete["target_from"]) < on
            has = has or any(f["minutes"] == 20 and of(f["on"]) < on for f in athlete["fixed"])
            if not has:
                earlier = [j for j in where(a, 20) if dates[variables[j][2]] < on]
                add([(i, 1)] + [(j, -1) for j in earlier], -np.inf, 0)
    for d in range(len(dates)):
        # as many slots are used as tests stand; the n-th slot of a day costs what the square grows by
        used = [(count + s, -1) for s, slot in enumerate(slots) if slot[0] == d]
        add([(i, 1) for i in where(d=d)] + used, 0, 0)
    weights = np.array(weights + [0] * len(slots), float)
    days = np.array(days + [0] * len(slots), float)
    squares = np.array([0] * count + [2 * (taken[d] + n) + 1 for d, n in slots], float)

    def solve(cost, more):
        constraint = LinearConstraint(
            np.array(rows + [row for row, _ in more]),
            low + [value for _, value in more],
            high + [value for _, value in more],
        )
        found = milp(cost, constraints=constraint, integrality=np.ones(width), bounds=Bounds(0, 1))
        assert found.success, found.message
        return round(float(cost @ np.round(found.x)))

    most = -solve(-weights, [])
    earliest = solve(days, [(weights, most)])
    even = solve(squares, [(weights, most), (days, earliest)])
    return most, earliest, even + sum(t * t for t in taken)


def main():
    rng = random.Random(SEED)
    squads = []
    for _ in range(SQUADS):
        squad = draw(rng)
        weight, days, squares = optimum(squad)
        squads.append({"squad": squad, "weight": weight, "days": days, "squares": squares})
    json.dump(
        {
            "made_with": {"python": platform.python_version(), "scipy": scipy.__version__, "numpy": np.__version__},
            "seed": SEED,
            "squads": squads,
        },
        sys.stdout,
        separators=(",", ":"),
    )
    print()


main()

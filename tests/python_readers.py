"""Reads the files this program's reader reads with general-purpose Python readers, and prints how
many times slower they are.

Needs fitdecode 0.11.0 and gpxpy 1.6.2 (pip install fitdecode==0.11.0 gpxpy==1.6.2, in a virtual
environment of its own), and the bench that writes its files and times the program on them:

    READER_FILES=FOLDER cargo bench --profile release --workspace --bench large_files -- --against-python
    python tests/python_readers.py FOLDER
"""


import json
import pathlib
import sys
import time

import fitdecode
import gpxpy

LEAST_TIMES = 50.0


def fit(path):
    count = 0
    with fitdecode.FitReader(str(path)) as reader:
        for frame in reader:
            if frame.frame_type == fitdecode.FIT_FRAME_DATA and frame.name == "record":
                # what a recording needs of it
                for name in ("timestamp", "distance", "heart_rate", "cadence"):
                    frame.get_value(name, fallback=None)
                count += 1
    return count


def gpx(path):
    with open(path, encoding="utf-8") as text:
        document = gpxpy.parse(text)
    count = 0
    for point in (p for t in document.tracks for s in t.segments for p in s.points):
        # what a recording needs of it stands in its extensions
        for part in (part for extension in point.extensions for part in extension):
            if part.tag.rpartition("}")[2] in ("hr", "cad", "distance"):
                float(part.text)
        count += 1
    return count


def main():
    folder = pathlib.Path(sys.argv[1])
    ours = json.loads((folder / "times.json").read_text())
    missed = False
    for name, reader in (("hour.fit", fit), ("hour.gpx", gpx)):
        best = float("inf")
        for _ in range(3):
            start = time.perf_counter()
            count = reader(folder / name)
            best = min(best, time.perf_counter() - start)
        times = best / ours[name]["seconds"]
        short = times < LEAST_TIMES or count != ours[name]["records"]
        missed |= short
        print(
            f"{name}: {count} records, {best * 1e3:.1f} ms in Python, "
            f"{ours[name]['seconds'] * 1e3:.2f} ms here: {times:.0f} times{'  MISSED' if short else ''}"
        )
    sys.exit(1 if missed else 0)


if __name__ == "__main__":
    main()
